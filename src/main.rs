//! Parse, run, exit status.

fn main() {}
