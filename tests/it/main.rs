//! All integration tests in one binary: one file per feature.
#![allow(
    clippy::disallowed_macros,
    clippy::disallowed_methods,
    clippy::disallowed_types,
    reason = "tests read the folders of the project, and print what they found"
)]

mod batch;
mod builder;
mod calculations;
mod commands;
mod compare;
mod computing;
mod demo;
mod determinism;
mod documents;
mod extremes;
mod formulas;
mod guide;
mod handbook;
mod logic;
mod manual;
mod new_site;
mod nothing;
mod pdf;
mod physics;
mod plan;
mod properties;
mod published;
mod qualification;
mod reading;
mod readme;
mod refused;
mod seal;
mod tidy;
