//! Takes text that is to be MathML; tells whether it is only that: bare known elements, balanced, around plain text.

/// What galipot writes; nothing that loads, links, runs or styles.
const ELEMENTS: &[&str] = &["mrow", "mi", "mn", "mo", "mfrac", "msqrt", "msup", "msub"];

/// Whether the text may stand inside `math` as it is.
pub fn is_plain(text: &str) -> bool {
    let mut open: Vec<&str> = Vec::new();
    let mut pieces = text.split('<');
    if text.is_empty() || pieces.next() != Some("") {
        return false;
    }
    for piece in pieces {
        let Some((tag, words)) = piece.split_once('>') else { return false };
        match tag.strip_prefix('/') {
            Some(name) if open.pop() != Some(name) => return false,
            Some(_) => {}
            None if !ELEMENTS.contains(&tag) => return false,
            None => open.push(tag),
        }
        let within = matches!(open.last(), Some(&("mi" | "mn" | "mo")));
        let sign = |c: char| c.is_alphanumeric() || ".+−×/=,()|⌊⌋∑".contains(c);
        let spoken = within && open.last() == Some(&tag) && words.chars().all(sign);
        if !words.is_empty() && !spoken {
            return false;
        }
    }
    open.is_empty()
}

#[cfg(test)]
mod tests {
    use super::is_plain;

    #[test]
    fn only_bare_known_elements_pass() {
        assert!(is_plain("<mrow><mi>y</mi><mo>=</mo><mfrac><mn>1.5</mn><mi>ρ</mi></mfrac></mrow>"));
        for bad in [
            "",
            "y",
            "<mi>a</mi>b",
            "<mi>a</mrow>",
            "<mi>a",
            "<script>a</script>",
            "<mi onclick=\"a\">a</mi>",
            "<mi>a<mn>1</mn></mi>b",
            "<mi>a&lt;</mi>",
            "<mi>\u{202e}</mi>",
            "<mrow>a</mrow>",
        ] {
            assert!(!is_plain(bad), "{bad}");
        }
    }
}
