//! Takes labels of revisions; says which one comes after which.

/// Whether `new` comes after `old`.
///
/// Labels are whole numbers ("1", "12") or capital letters ("A", "AB"); a document keeps to one kind.
///
/// # Errors
/// When a label is of neither kind, or the two are of different kinds; in words.
pub fn rises(old: &str, new: &str) -> Result<bool, String> {
    let (a, b) = (rank(old)?, rank(new)?);
    if a.0 != b.0 {
        return Err(format!("revision {new} does not continue {old}: one is a number, the other letters"));
    }
    Ok((b.1, &b.2) > (a.1, &a.2))
}

/// (kind, length, text): longer labels of one kind come later, equal lengths in order of the text.
fn rank(label: &str) -> Result<(u8, usize, String), String> {
    let number = label.bytes().all(|b| b.is_ascii_digit()) && !label.starts_with('0');
    let letters = label.bytes().all(|b| b.is_ascii_uppercase());
    if label.is_empty() || label.len() > 9 || !(number || letters) {
        let why = if label.len() > 9 {
            "it is longer than 9 signs"
        } else if label.starts_with('0') {
            "numbers begin at 1, without leading zero"
        } else {
            "write a whole number or capital letters"
        };
        return Err(format!("\"{}\" is no revision: {why}", label.escape_debug()));
    }
    Ok((u8::from(letters), label.len(), label.to_string()))
}

/// Whether a label is one.
///
/// # Errors
/// In words, when it is none.
pub fn checked(label: &str) -> Result<(), String> {
    rank(label).map(|_| ())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn revisions_rise() {
        for (old, new) in [("1", "2"), ("9", "10"), ("A", "B"), ("Z", "AA")] {
            assert_eq!((rises(old, new), rises(new, old)), (Ok(true), Ok(false)));
        }
        assert_eq!(rises("3", "3"), Ok(false));
        for (old, new) in [("1", "A"), ("1", "02"), ("1", "1.1"), ("a", "b"), ("1", ""), ("1", "../2")] {
            assert!(rises(old, new).is_err(), "{old} {new}");
        }
    }
}
