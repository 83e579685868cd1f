//! What the search knows of languages: stems, endings, and words that say little.

use std::borrow::Cow;

use snowball_stemmers_rs::{Algorithm, Stemmer};

/// A language of texts. One that is not known has no stems and no small words.
pub(super) struct Language {
    /// Its code without a region.
    code: &'static str,
    stemmer: Option<Stemmer>,
    /// Words that say little, in the order of the alphabet.
    small: &'static [&'static str],
}

impl Language {
    /// The language of that code, such as `en`.
    pub(super) fn of(code: &str) -> Self {
        match code.split('-').next().unwrap_or(code) {
            "en" => Self { code: "en", stemmer: Some(Stemmer::create(Algorithm::English)), small: ENGLISH },
            "es" => Self { code: "es", stemmer: Some(Stemmer::create(Algorithm::Spanish)), small: SPANISH },
            _ => Self { code: "", stemmer: None, small: &[] },
        }
    }

    /// The stem of a folded word. Words with digits have none but themselves.
    pub(super) fn stem<'w>(&self, word: &'w str) -> Cow<'w, str> {
        match &self.stemmer {
            Some(stemmer) if word.chars().all(char::is_alphabetic) => Cow::Owned(stemmer.stem(word).into_owned()),
            _ => Cow::Borrowed(word),
        }
    }

    /// Its code without a region; empty for one that is not known.
    pub(super) fn code(&self) -> &'static str {
        self.code
    }

    /// The words that say little.
    pub(super) fn small(&self) -> &'static [&'static str] {
        self.small
    }

    /// Whether a folded word says little.
    pub(super) fn is_small(&self, word: &str) -> bool {
        self.small.binary_search(&word).is_ok()
    }

    /// Whether words have stems.
    pub(super) fn has_stems(&self) -> bool {
        self.stemmer.is_some()
    }
}

/// A way in which English words end: from a word, take `cut` off, double the last letter or not, and add `add`.
pub(super) struct Ending {
    pub(super) cut: &'static str,
    pub(super) doubles: bool,
    pub(super) add: &'static str,
}

/// Endings that readers may type though no entry has the word so. Which of them belong to a word is asked of the
/// stemmer when the index is made; the page's script then only looks it up.
pub(super) const ENDINGS: [Ending; 14] = [
    Ending { cut: "", doubles: false, add: "s" },
    Ending { cut: "", doubles: false, add: "es" },
    Ending { cut: "", doubles: false, add: "ed" },
    Ending { cut: "", doubles: false, add: "d" },
    Ending { cut: "", doubles: false, add: "ing" },
    Ending { cut: "e", doubles: false, add: "ing" },
    Ending { cut: "", doubles: true, add: "ed" },
    Ending { cut: "", doubles: true, add: "ing" },
    Ending { cut: "y", doubles: false, add: "ies" },
    Ending { cut: "y", doubles: false, add: "ied" },
    Ending { cut: "", doubles: false, add: "ly" },
    Ending { cut: "", doubles: false, add: "e" },
    Ending { cut: "", doubles: false, add: "y" },
    Ending { cut: "", doubles: false, add: "er" },
];

impl Ending {
    /// The word with this ending.
    pub(super) fn put(&self, word: &str) -> Option<String> {
        let base = word.strip_suffix(self.cut)?;
        let mut back = base.chars();
        let (last, _) = (back.next_back()?, back.next_back()?);
        let mut put = String::with_capacity(base.len() + last.len_utf8() + self.add.len());
        put.push_str(base);
        put.extend(self.doubles.then_some(last));
        put.push_str(self.add);
        Some(put)
    }

    /// The word that this ending was put to.
    pub(super) fn take(&self, word: &str) -> Option<String> {
        let base = word.strip_suffix(self.add)?;
        let mut chars = base.chars();
        let base = if self.doubles {
            let last = chars.next_back()?;
            chars.as_str().ends_with(last).then_some(chars.as_str())?
        } else {
            base
        };
        (base.chars().count() > 1).then(|| format!("{base}{}", self.cut))
    }
}

/// English words that say little by themselves, and contractions, without their apostrophes. Words of negation and
/// direction (not, off, on, up, down) are none of them: "will not turn off" is a symptom.
const ENGLISH: &[&str] = &[
    "a",
    "about",
    "after",
    "again",
    "all",
    "also",
    "am",
    "an",
    "and",
    "any",
    "are",
    "arent",
    "as",
    "at",
    "be",
    "because",
    "been",
    "being",
    "bit",
    "but",
    "by",
    "came",
    "can",
    "cant",
    "car",
    "come",
    "comes",
    "could",
    "couldnt",
    "did",
    "didnt",
    "do",
    "does",
    "doesnt",
    "doing",
    "dont",
    "each",
    "even",
    "ever",
    "for",
    "from",
    "get",
    "gets",
    "getting",
    "go",
    "goes",
    "going",
    "got",
    "had",
    "hadnt",
    "has",
    "hasnt",
    "have",
    "havent",
    "having",
    "he",
    "her",
    "here",
    "hes",
    "him",
    "his",
    "how",
    "i",
    "if",
    "im",
    "in",
    "into",
    "is",
    "isnt",
    "it",
    "its",
    "ive",
    "just",
    "kind",
    "like",
    "little",
    "lot",
    "makes",
    "making",
    "may",
    "me",
    "mine",
    "more",
    "most",
    "much",
    "my",
    "now",
    "of",
    "or",
    "other",
    "our",
    "really",
    "seems",
    "she",
    "shes",
    "should",
    "shouldnt",
    "so",
    "some",
    "something",
    "sometimes",
    "sort",
    "still",
    "such",
    "than",
    "that",
    "thats",
    "the",
    "their",
    "them",
    "then",
    "there",
    "theres",
    "these",
    "they",
    "theyre",
    "thing",
    "this",
    "those",
    "to",
    "too",
    "vehicle",
    "very",
    "was",
    "wasnt",
    "we",
    "were",
    "werent",
    "weve",
    "what",
    "when",
    "where",
    "which",
    "while",
    "who",
    "why",
    "will",
    "with",
    "wont",
    "would",
    "wouldnt",
    "you",
    "your",
    "youre",
];

/// Spanish words that say little by themselves, without accents.
const SPANISH: &[&str] = &[
    "a", "al", "algo", "asi", "como", "con", "cual", "cuando", "de", "del", "desde", "donde", "e", "el", "ella",
    "ellos", "en", "entre", "era", "es", "esa", "ese", "eso", "esta", "este", "esto", "fue", "ha", "hace", "hay", "la",
    "las", "le", "les", "lo", "los", "mas", "me", "mi", "mis", "muy", "o", "para", "pero", "por", "porque", "que",
    "se", "ser", "si", "sobre", "son", "su", "sus", "tambien", "tan", "un", "una", "uno", "unos", "y", "ya",
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn small_words_can_be_searched_by_halves() {
        assert!(ENGLISH.is_sorted() && SPANISH.is_sorted());
    }

    #[test]
    fn taking_an_ending_undoes_putting_it() {
        for ending in &ENDINGS {
            for word in ["groan", "whine", "grip", "carry", "slip"] {
                let Some(put) = ending.put(word) else { continue };
                assert_eq!(ending.take(&put).as_deref(), Some(word), "{put}");
            }
        }
    }
}
