//! Takes logs of insulation readings; gives the facts of these cases.

use super::Kind;

pub const KINDS: &[(&str, Kind)] = &[];
