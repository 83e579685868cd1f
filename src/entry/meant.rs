//! Words that people use for one of the words that a field knows.

use super::nearest::nearest;

/// What people write, and what it is called here.
const MEANT: &[(&str, &str)] = &[
    ("normal", "explain"),
    ("explained", "explain"),
    ("reassure", "explain"),
    ("ok", "explain"),
    ("book", "book-in"),
    ("workshop", "book-in"),
    ("appointment", "book-in"),
    ("stop", "do-not-drive"),
    ("tow", "do-not-drive"),
    ("recover", "do-not-drive"),
    ("danger", "do-not-drive"),
    ("dangerous", "do-not-drive"),
    ("care", "drive-with-care"),
    ("careful", "drive-with-care"),
    ("caution", "drive-with-care"),
    ("no", "none"),
    ("safe", "none"),
    ("harmless", "none"),
    ("sound", "hear"),
    ("noise", "hear"),
    ("vibration", "feel"),
    ("touch", "feel"),
    ("sight", "see"),
    ("look", "see"),
    ("odour", "smell"),
    ("light", "lamp"),
    ("performance", "performs"),
    ("desk", "counter"),
    ("phone", "counter"),
    ("walkaround", "walk-round"),
    ("walk-around", "walk-round"),
    ("drive", "road-test"),
    ("road", "road-test"),
    ("test-drive", "road-test"),
    ("workshop", "bay"),
    ("lift", "bay"),
    ("experience", "shop-experience"),
    ("practice", "common-practice"),
];

/// Which of `words` was probably meant: the nearest, or the one that it is another word for.
pub(super) fn meant(text: &str, words: &[&str]) -> Option<String> {
    let lower = text.to_lowercase();
    let another = || MEANT.iter().find(|(theirs, ours)| *theirs == lower && words.contains(ours));
    nearest(text, words.iter().copied()).or_else(|| another().map(|(_, ours)| (*ours).to_owned()))
}
