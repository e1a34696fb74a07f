//! Takes a misspelt word and the known ones; gives the nearest known word, or none.

/// The known word nearest to `word`, if it is near enough to be worth proposing.
pub fn nearest<'a>(word: &str, known: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let low = word.to_lowercase();
    // Two letters off is a guess for a word of three: "QFN" is no misspelt "can".
    let letters = word.chars().count();
    let limit = if letters <= 3 { 1 } else { (letters / 3).max(2) };
    known
        .into_iter()
        .map(|k| (strsim::damerau_levenshtein(&low, &k.to_lowercase()), k))
        .filter(|(d, _)| *d <= limit)
        .min_by(|a, b| a.0.cmp(&b.0).then_with(|| a.1.cmp(b.1)))
        .map(|(_, k)| k)
}

#[cfg(test)]
mod tests {
    use super::nearest;

    #[test]
    fn a_misspelt_word_finds_its_neighbour_and_a_strange_one_none() {
        assert_eq!(nearest("unkown", ["unknown", "measured"]), Some("unknown"));
        assert_eq!(nearest("btc", ["chip", "BTC", "can"]), Some("BTC"));
        assert_eq!(nearest("QFN", ["chip", "BTC", "can"]), None);
    }
}
