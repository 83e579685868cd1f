//! The nearest name: what somebody probably meant.

use strsim::damerau_levenshtein;

/// The name closest to `wanted`, if any is close enough to be a slip of the fingers: at most one edit for every three
/// characters, or the same words in another order. Of equally close names, the first by the alphabet.
pub fn nearest<'n>(wanted: &str, names: impl Iterator<Item = &'n str>) -> Option<String> {
    let limit = (wanted.chars().count() / 3).max(1);
    let sorted = sorted_words(wanted);
    let distance = |name: &str| {
        let edits = damerau_levenshtein(wanted, name);
        if edits > limit && sorted_words(name) == sorted { 1 } else { edits }
    };
    let close = names.filter(|name| name.len().abs_diff(wanted.len()) <= limit.max(1) * 4 && *name != wanted);
    close.map(|name| (distance(name), name)).filter(|(edits, _)| *edits <= limit).min().map(|(_, name)| name.to_owned())
}

fn sorted_words(name: &str) -> Vec<&str> {
    let mut words: Vec<&str> = name.split(['-', '_', ' ']).collect();
    words.sort_unstable();
    words
}
