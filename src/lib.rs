//! galipot: evidence about flux residue in, a judged and hash-stamped qualification dossier out.
//!
//! Modules in reading order; start at [`pipeline`].
#![forbid(unsafe_code)]

pub mod batch;
pub mod manual;
pub mod pipeline;
pub mod plan;

pub mod diag;
pub mod model;
pub mod quantity;

pub mod compare;
pub mod compose;
pub mod compute;
pub mod judge;
pub mod read;
pub mod render;
pub mod seal;

pub mod cli;
