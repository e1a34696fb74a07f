//! Takes paths as a manifest writes them; gives paths inside the bag, or says why one is none.

use unicode_normalization::UnicodeNormalization;

/// A path as a manifest writes it: percent, carriage return and line feed are encoded (RFC 8493, 2.1.3).
pub fn encoded(path: &str) -> String {
    path.replace('%', "%25").replace('\r', "%0D").replace('\n', "%0A")
}

/// The path that a line of a manifest names; none when a percent sign stands before anything else than 25, 0D or 0A.
pub fn decoded(text: &str) -> Option<String> {
    let mut parts = text.split('%');
    let mut out = parts.next().unwrap_or_default().to_string();
    for p in parts {
        let (code, rest) = p.split_at_checked(2)?;
        out.push(match code {
            "25" => '%',
            "0D" | "0d" => '\r',
            "0A" | "0a" => '\n',
            _ => return None,
        });
        out.push_str(rest);
    }
    Some(out)
}

/// Whether a path stays inside the bag on every system.
pub fn stays(path: &str) -> bool {
    !path.is_empty()
        && !path.contains(['\\', ':', '\0'])
        && !path.chars().any(char::is_control)
        && path.split('/').all(|s| !s.is_empty() && s != "." && s != "..")
}

/// What two paths share when some system takes them for one: letters composed and in lower case.
pub fn folded(path: &str) -> String {
    path.nfc().collect::<String>().to_lowercase().nfc().collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn paths_survive_the_manifest() {
        for p in ["data/a", "data/100 % of it.csv", "data/a\nb", "data/a\r", "data/%25"] {
            assert_eq!(decoded(&encoded(p)).as_deref(), Some(p));
        }
        assert_eq!(encoded("a%\n"), "a%25%0A");
        assert!(decoded("a%2").is_none() && decoded("a%41").is_none() && decoded("%é").is_none());
    }

    #[test]
    fn paths_that_leave_are_known() {
        for p in ["", "/etc", "a/../b", "..", "a//b", "a/", "./a", "c:\\a", "a\\b", "a\u{7}b"] {
            assert!(!stays(p), "{p:?}");
        }
        assert!(stays("data/a b/é.csv"));
        assert_eq!(folded("Re\u{301}sume\u{301}.TXT"), folded("r\u{e9}sum\u{e9}.txt"));
    }
}
