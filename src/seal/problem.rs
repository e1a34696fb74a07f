//! What can be wrong with a bag: a code, a file, and words.

/// One thing that is wrong with a bag.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Problem {
    /// One of [`CODES`].
    pub code: &'static str,
    /// Path inside the bag; empty for the bag as a whole.
    pub file: String,
    pub text: String,
}

/// Every code with what it means, in order.
pub const CODES: &[(&str, &str)] = &[
    ("altered", "the bytes are not those that were sealed"),
    ("approval", "an approval does not bind: its signature, statement or digest is wrong"),
    ("bad-line", "a line of a manifest or of the bag's information cannot be read, or stands twice"),
    ("bad-path", "a path leads out of the bag, or differs from another only by case or composition of letters"),
    ("declaration", "bagit.txt is not that of BagIt 1.0 in UTF-8"),
    ("form", "a written form or a record is not the sum of its sections or parts"),
    (
        "information",
        "bag-info.txt contradicts the record, the inputs, the payload or the whole; README.txt has other words",
    ),
    ("link", "a link, or something that is no ordinary file"),
    ("missing", "a file that was sealed is not there"),
    ("people", "the table of people cannot be read, or allowed_signers holds other keys"),
    ("unlisted", "a file that was never sealed"),
    ("withheld", "a copy leaves out what its reader may see, or shows what he may not"),
];

/// A problem.
///
/// # Panics
/// When the code is not one of [`CODES`]: every caller names it in the source.
pub fn problem(code: &'static str, file: &str, text: impl Into<String>) -> Problem {
    assert!(CODES.iter().any(|c| c.0 == code), "no code {code}");
    Problem { code, file: file.to_string(), text: text.into() }
}
