//! The nearest name: what somebody probably meant.

use strsim::damerau_levenshtein;

/// Of more names than this, only those that begin alike are compared, and no more than this of them: a file may hold
/// ten thousand names that nobody knows.
const MOST_COMPARED: usize = 256;

/// The name closest to `wanted`, if any is close enough to be a slip of the fingers: at most one edit for every three
/// characters, or the same words in another order. Of equally close names, the first by the alphabet.
pub fn nearest<'n>(wanted: &str, names: impl Iterator<Item = &'n str>) -> Option<String> {
    let length = wanted.chars().count();
    let limit = (length / 3).max(1);
    let sorted = sorted_words(wanted);
    let distance = |name: &str| {
        let edits = damerau_levenshtein(wanted, name);
        if edits > limit && sorted_words(name) == sorted { 1 } else { edits }
    };
    // Each edit changes the length by one at most, another order not at all.
    let close = names.filter(|name| name.chars().count().abs_diff(length) <= limit && *name != wanted);
    let mut close: Vec<&str> = close.collect();
    if close.len() > MOST_COMPARED {
        let beginning: String = wanted.chars().take(2).collect();
        close.retain(|name| name.starts_with(&beginning));
        close.truncate(MOST_COMPARED);
    }
    close
        .into_iter()
        .map(|name| (distance(name), name))
        .filter(|(edits, _)| *edits <= limit)
        .min()
        .map(|(_, name)| name.to_owned())
}

fn sorted_words(name: &str) -> Vec<&str> {
    let mut words: Vec<&str> = name.split(['-', '_', ' ']).collect();
    words.sort_unstable();
    words
}
