//! The only room that touches disk, clock, environment and terminal: one file per verb.
