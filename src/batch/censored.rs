//! Takes readings and ceilings; gives the facts of these cases.

use super::Kind;

pub const KINDS: &[(&str, Kind)] = &[];
