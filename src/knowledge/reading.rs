//! How hard a text is to read.
//!
//! The grade is that of Flesch and Kincaid: Kincaid, Fishburne, Rogers, Chissom (1975), "Derivation of new
//! readability formulas for Navy enlisted personnel", Research Branch Report 8-75. It is made for English.

/// What the formula counts.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Counts {
    /// Sentences.
    pub sentences: usize,
    /// Words.
    pub words: usize,
    /// Syllables.
    pub syllables: usize,
}

/// The school grade of a text with these counts: 0.39 words a sentence + 11.8 syllables a word - 15.59.
/// `None` without a word or a sentence.
pub fn grade(counts: Counts) -> Option<f64> {
    let (sentences, words, syllables) = (counts.sentences as f64, counts.words as f64, counts.syllables as f64);
    (counts.sentences > 0 && counts.words > 0).then(|| 0.39 * words / sentences + 11.8 * syllables / words - 15.59)
}

/// The school grade of an English text. `None` for one of fewer than [`WORDS_NEEDED`] words, where the formula says
/// nothing.
pub fn reading_grade(text: &str) -> Option<f64> {
    let counts = count(text);
    grade(counts).filter(|_| counts.words >= WORDS_NEEDED)
}

/// Below this many words one long word decides the grade.
const WORDS_NEEDED: usize = 8;

/// Counts sentences, words and syllables.
pub(crate) fn count(text: &str) -> Counts {
    let mut counts = Counts::default();
    let mut is_open = false;
    for token in text.split_whitespace() {
        let word: String = token.chars().filter(|c| c.is_alphanumeric() || matches!(c, '\'' | '’')).collect();
        if word.chars().any(char::is_alphanumeric) {
            counts.words += 1;
            counts.syllables += syllables_of_token(token);
            is_open = true;
        }
        let closes =
            token.trim_end_matches(['"', '\'', ')', '”', '’', '»', '*', '_']).ends_with(['.', '!', '?', '…', ':']);
        if is_open && closes {
            counts.sentences += 1;
            is_open = false;
        }
    }
    counts.sentences += usize::from(is_open);
    counts
}

/// Hyphens join words that are spoken apart.
fn syllables_of_token(token: &str) -> usize {
    let parts = token.split(|c: char| !c.is_alphanumeric() && !matches!(c, '\'' | '’'));
    parts.filter(|part| !part.is_empty()).map(syllables).sum::<usize>().max(1)
}

/// Syllables of one English word, by its groups of vowels. Counters differ by a few in a hundred words.
fn syllables(word: &str) -> usize {
    let word = word.to_lowercase().replace(['\'', '’'], "");
    if word.chars().all(|c| c.is_ascii_digit()) {
        return word.len().max(1);
    }
    let letters: Vec<char> = word.chars().collect();
    let is_vowel = |at: usize| letters.get(at).is_some_and(|c| "aeiouyáéíóúàèùâêîôûäöüë".contains(*c));
    let starts = (0..letters.len()).filter(|&at| is_vowel(at) && (at == 0 || !is_vowel(at - 1))).count();
    let extra = ["ia", "io", "iu", "eo", "ua", "uou", "ying"].iter().filter(|pair| splits(&word, pair)).count();
    (starts + extra).saturating_sub(silent_endings(&word)).max(1)
}

/// Pairs of vowels that are two syllables, except in the endings where they melt into one.
fn splits(word: &str, pair: &str) -> bool {
    let melts =
        ["cial", "tial", "cian", "sion", "tion", "gion", "gious", "cious", "tious", "quar", "guar", "people", "qua"];
    word.contains(pair)
        && !melts
            .iter()
            .any(|ending| word.contains(ending) && ending.contains(pair) || (*ending == "people" && word == "people"))
}

/// A last `e` is silent unless it carries an `l` after a consonant; so is the one in `es` and `ed` after most letters.
fn silent_endings(word: &str) -> usize {
    let stem_ends = |stem: &str, endings: &[&str]| endings.iter().any(|ending| stem.ends_with(ending));
    let vowel_before = |stem: &str| stem.chars().last().is_some_and(|c| "aeiouy".contains(c));
    if let Some(stem) = word.strip_suffix("le") {
        return usize::from(stem.is_empty() || vowel_before(stem));
    }
    if let Some(stem) = word.strip_suffix('e') {
        return usize::from(!vowel_before(stem) && stem.chars().any(|c| "aeiouy".contains(c)));
    }
    if let Some(stem) = word.strip_suffix("ed") {
        return usize::from(!stem_ends(stem, &["t", "d"]) && !vowel_before(stem) && stem.len() > 1);
    }
    if let Some(stem) = word.strip_suffix("es") {
        let is_spoken = stem_ends(stem, &["s", "x", "z", "ch", "sh", "c", "g", "l"]);
        return usize::from(!is_spoken && !vowel_before(stem) && stem.len() > 1);
    }
    0
}
