//! All integration tests in one binary: one file per feature.

mod builder;
mod calculations;
mod commands;
mod demo;
mod determinism;
mod documents;
mod logic;
mod published;
mod reading;
mod readme;
mod refused;
mod tidy;
