//! Takes nothing; gives the claims that travel inside the program.

/// Path and text of every built-in profile.
pub const PROFILES: &[(&str, &str)] = &[
    ("built-in/leave.toml", include_str!("../../profiles/leave.toml")),
    ("built-in/wash.toml", include_str!("../../profiles/wash.toml")),
    ("built-in/present.toml", include_str!("../../profiles/present.toml")),
];
