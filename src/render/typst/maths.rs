//! Takes text that is to be Typst mathematics; tells whether it is only that: numbers, names, signs and known functions.

/// Names of Typst that galipot writes without quotation marks; no other name of several letters may stand bare, for it
/// could be a function that reads or runs something.
const NAMES: &[&str] = &[
    "abs", "floor", "frac", "slash", "sqrt", "sum", "times", "alpha", "beta", "gamma", "delta", "epsilon", "zeta",
    "eta", "theta", "kappa", "lambda", "mu", "nu", "xi", "pi", "rho", "sigma", "tau", "phi", "chi", "psi", "omega",
    "Gamma", "Delta", "Sigma", "Phi", "Omega",
];

/// Whether the text may stand between dollar signs as it is.
pub fn is_plain(text: &str) -> bool {
    let mut open = 0usize;
    let mut rest = text.trim();
    if rest.is_empty() {
        return false;
    }
    while let Some(c) = rest.chars().next() {
        let word = |keep: fn(char) -> bool| rest.find(|c| !keep(c)).unwrap_or(rest.len());
        let taken = match c {
            '"' => match rest[1..].find('"') {
                Some(end) if end > 0 && rest[1..=end].chars().all(|c| c.is_ascii_alphanumeric() || c == ' ') => end + 2,
                _ => return false,
            },
            c if c.is_ascii_alphabetic() => word(|c| c.is_ascii_alphanumeric()),
            c if c.is_ascii_digit() => word(|c| c.is_ascii_digit() || c == '.'),
            _ => 1,
        };
        let piece = &rest[..taken.max(c.len_utf8())];
        match c {
            '(' => open += 1,
            ')' if open == 0 => return false,
            ')' => open -= 1,
            ' ' | '+' | '-' | '=' | ',' | '^' | '_' | '"' => {}
            c if c.is_ascii_digit() => {}
            c if c.is_ascii_alphabetic() && (piece.len() == 1 || NAMES.contains(&piece)) => {}
            _ => return false,
        }
        rest = &rest[piece.len()..];
    }
    open == 0
}

#[cfg(test)]
mod tests {
    use super::is_plain;

    #[test]
    fn only_signs_numbers_and_known_names_pass() {
        for good in ["\"LTB\" = m - k times s", "y = frac(1.5, rho_(\"as mg\"))", "abs(a - b)^(2)", "x slash floor(n)"]
        {
            assert!(is_plain(good), "{good}");
        }
        for bad in [
            "",
            " ",
            "#read(\"/etc/passwd\")",
            "read(\"/etc/passwd\")",
            "eval(x)",
            "a $ b",
            "a // b",
            "a /* b",
            "\"a",
            "\"a\\\"",
            "\"\u{202e}\"",
            "a)",
            "(a",
            "std.read",
            "a \\ b",
            "<a>",
            "@a",
            "é",
            "[a]",
            "{a}",
            "a; b",
            "a & b",
            "x'",
        ] {
            assert!(!is_plain(bad), "{bad}");
        }
    }
}
