//! Takes flows, distributions and models; gives the facts of these cases.

use super::Kind;

pub const KINDS: &[(&str, Kind)] = &[];
