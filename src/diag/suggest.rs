//! Takes a misspelt word and the known ones; gives the nearest known word, or none.

/// The known word nearest to `word`, if it is near enough to be worth proposing.
pub fn nearest<'a>(word: &str, known: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let low = word.to_lowercase();
    let limit = (word.chars().count() / 3).max(2);
    known
        .into_iter()
        .map(|k| (strsim::damerau_levenshtein(&low, &k.to_lowercase()), k))
        .filter(|(d, _)| *d <= limit)
        .min_by(|a, b| a.0.cmp(&b.0).then_with(|| a.1.cmp(b.1)))
        .map(|(_, k)| k)
}
