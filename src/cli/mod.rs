//! The only room that touches disk, clock, environment and terminal: one file per verb.

pub mod disk;
pub mod show;
