//! The kinds of entry and their folders.

use serde::{Deserialize, Serialize};

/// What an entry is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub enum Kind {
    /// What is reported.
    Symptom,
    /// A fault.
    Condition,
    /// Normal for the vehicle.
    Characteristic,
    /// A question or a measurement.
    Check,
    /// How a thing works, and its specifications.
    System,
    /// Any other page.
    Guide,
}

impl Kind {
    /// All kinds, in the order in which a site lists them.
    pub const ALL: [Self; 6] =
        [Self::Symptom, Self::Condition, Self::Characteristic, Self::Check, Self::System, Self::Guide];

    /// The folder that holds entries of this kind, in the folder of entries and in the site.
    pub fn folder(self) -> &'static str {
        match self {
            Self::Symptom => "symptoms",
            Self::Condition => "conditions",
            Self::Characteristic => "characteristics",
            Self::Check => "checks",
            Self::System => "systems",
            Self::Guide => "guides",
        }
    }

    /// The word for one of them.
    pub fn word(self) -> &'static str {
        match self {
            Self::Symptom => "symptom",
            Self::Condition => "condition",
            Self::Characteristic => "characteristic",
            Self::Check => "check",
            Self::System => "system",
            Self::Guide => "guide",
        }
    }

    /// The kind whose folder has that name.
    pub fn of_folder(folder: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|kind| kind.folder() == folder)
    }

    /// The kind called by that word.
    pub fn by_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|kind| kind.word() == word)
    }
}

/// The longest id, in characters.
pub const ID_LIMIT: usize = 64;

/// Whether `id` is lower-case ASCII words (letters and digits) joined by single hyphens, within [`ID_LIMIT`].
pub fn is_id(id: &str) -> bool {
    let is_word = |word: &str| !word.is_empty() && word.bytes().all(|b| b.is_ascii_lowercase() || b.is_ascii_digit());
    id.len() <= ID_LIMIT && id.split('-').all(is_word)
}

/// The id that a file of this name was meant to have, where the name is none.
pub(crate) fn misnamed_for(name: &str) -> Option<String> {
    if is_id(name) { None } else { nearest_id(name) }
}

/// The id that `written` becomes by changing nothing but case and what joins its words.
pub(crate) fn nearest_id(written: &str) -> Option<String> {
    let lower = written.to_ascii_lowercase();
    let words = lower.split(|c: char| !c.is_alphanumeric() && !matches!(c, '/' | '.')).filter(|word| !word.is_empty());
    Some(words.collect::<Vec<_>>().join("-")).filter(|id| is_id(id))
}
