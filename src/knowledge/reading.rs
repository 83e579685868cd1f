//! How hard a text is to read.
//!
//! The grade is that of Flesch and Kincaid: Kincaid, Fishburne, Rogers, Chissom (1975), "Derivation of new
//! readability formulas for Navy enlisted personnel", Research Branch Report 8-75. It is made for English.

use std::cell::RefCell;
use std::collections::BTreeMap;

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

/// As many words are remembered.
const WORDS_KNOWN: usize = 16 * 1024;

/// Hyphens join words that are spoken apart. Texts say the same words again and again: each is counted once.
fn syllables_of_token(token: &str) -> usize {
    thread_local! {
        static KNOWN: RefCell<BTreeMap<Box<str>, usize>> = const { RefCell::new(BTreeMap::new()) };
    }
    let parts = token.split(|c: char| !c.is_alphanumeric() && !matches!(c, '\'' | '’'));
    let counted = |part: &str| {
        KNOWN.with_borrow_mut(|known| {
            if let Some(count) = known.get(part) {
                return *count;
            }
            let count = syllables(part);
            if known.len() < WORDS_KNOWN {
                known.insert(part.into(), count);
            }
            count
        })
    };
    parts.filter(|part| !part.is_empty()).map(counted).sum::<usize>().max(1)
}

/// Syllables of one English word, by its groups of vowels. Counters differ by a few in a hundred words.
fn syllables(word: &str) -> usize {
    let word = word.to_lowercase().replace('’', "'");
    let word = word.strip_suffix("'s").unwrap_or(&word).replace('\'', "");
    if word.chars().all(|c| c.is_ascii_digit()) {
        return word.len().max(1);
    }
    // The `u` after a `q` is no vowel.
    let word = word.replace("qu", "q");
    let letters: Vec<char> = word.chars().collect();
    let is_vowel_at = |at: usize| letters.get(at).copied().is_some_and(is_vowel);
    let groups = (0..letters.len()).filter(|&at| is_vowel_at(at) && (at == 0 || !is_vowel_at(at - 1))).count();
    let have_neighbours = (1..letters.len()).any(|at| is_vowel_at(at) && is_vowel_at(at - 1));
    let fitting = |parts: &[&str]| parts.iter().filter(|part| fits(&word, part)).count();
    let of_neighbours = |parts: &[&str]| if have_neighbours { fitting(parts) } else { 0 };
    let more = of_neighbours(SPOKEN_APART) + fitting(SPOKEN_MORE);
    let less = of_neighbours(SPOKEN_TOGETHER) + fitting(SWALLOWED) + silent_vowels(&word);
    (groups + more).saturating_sub(less).max(1)
}

/// Vowels that stand together and are two syllables. `^` stands for the start of a word and `$` for its end.
const SPOKEN_APART: &[&str] = &[
    "ia", "io", "iu", "eo", "ua", "iet", "ien", "ier$", "iest$", "uid", "uel", "uou", "ying", "eing", "oing", "eum",
    "oem", "^create", "^creati", "^react", "^science", "idea", "area", "tio$",
];

/// Endings that are spoken with one more.
const SPOKEN_MORE: &[&str] = &["sm$", "thm$"];

/// Words in which a vowel is swallowed.
const SWALLOWED: &[&str] = &["^every", "^business", "^wednes"];

/// Where vowels that are else spoken apart melt into one syllable after all.
const SPOKEN_TOGETHER: &[&str] = &[
    "cia", "tia", "gia", "iage", "cio", "tio", "sio", "gio", "shio", "xio", "eopl", "geo", "gua", "guid", "tien",
    "cien", "frien", "reor",
];

fn fits(word: &str, part: &str) -> bool {
    match (part.strip_prefix('^'), part.strip_suffix('$')) {
        (Some(start), _) => word.starts_with(start),
        (_, Some(end)) => word.ends_with(end),
        // Both are short: a search that is prepared first costs more than looking everywhere.
        _ => word.as_bytes().windows(part.len()).any(|letters| letters == part.as_bytes()),
    }
}

fn is_vowel(letter: char) -> bool {
    "aeiouyáéíóúàèùâêîôûäöüë".contains(letter)
}

/// How many groups of vowels are not spoken: an `e` at the end, alone or before `d` and `s`; one before an ending; one
/// at the end of the first word of a compound.
fn silent_vowels(word: &str) -> usize {
    if ENDINGS
        .iter()
        .any(|ending| word.strip_suffix(ending).is_some_and(|stem| stem.len() > 1 && is_silent_after(stem, &[])))
    {
        return 1;
    }
    let at_end = if let Some(stem) = word.strip_suffix('e') {
        is_silent_after(stem, &[])
    } else if let Some(stem) = word.strip_suffix("ed") {
        is_silent_after(stem, &["t", "d"])
    } else if let Some(stem) = word.strip_suffix("es") {
        is_silent_after(stem, &["s", "x", "z", "ch", "sh", "c", "g"])
    } else {
        false
    };
    let rest = COMPOUNDED.iter().find_map(|first| word.strip_prefix(first)).unwrap_or("");
    usize::from(at_end) + usize::from(rest.len() > 2 && !rest.starts_with(is_vowel))
}

/// Endings that leave the `e` before them silent.
const ENDINGS: &[&str] = &["ely", "eful", "efully", "eless", "ement", "eness"];

/// Words with a silent `e` that compounds begin with.
const COMPOUNDED: &[&str] = &[
    "where", "some", "drive", "tyre", "base", "there", "fore", "pipe", "line", "side", "brake", "fire", "hose", "wire",
];

/// Whether an `e` after `stem` is silent: not after a vowel, which it joins, nor where it carries an `l` or `r` after
/// another consonant, nor after the `spoken` sounds.
fn is_silent_after(stem: &str, spoken: &[&str]) -> bool {
    let mut back = stem.chars().rev();
    let (last, before) = (back.next(), back.next());
    let carries = matches!(last, Some('l' | 'r')) && before.is_some_and(|c| !is_vowel(c) && !"lrw".contains(c));
    let joins = last.is_none_or(is_vowel);
    let is_only_vowel = !stem.chars().any(is_vowel);
    !joins && !carries && !is_only_vowel && !spoken.iter().any(|sound| stem.ends_with(sound))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Counts as dictionaries divide the words; recalled from memory.
    const COUNTED: &[(usize, &str)] = &[
        (1, "the brake car noise heard wheel tyre brakes squeal grind drive smooth road through rough clutch gear hub"),
        (1, "rear torque valve pulse gauge fuse wire hose bolt spring shock eight ride cooled washed changed pressed"),
        (
            1,
            "stopped leaked worked wheels tyres bridge edge please those screech strength scratched goes said true oil",
        ),
        (2, "engine motor pedal steering rubber pressure rattle whistle cable axle handle needle little bottle noises"),
        (2, "changes fixes washes pulses started heated added loaded driver workshop cooling gearbox clutches surface"),
        (
            2,
            "voltage spongy rusty ion quiet being doing seeing fluid fuel science poem neon something sometimes safely",
        ),
        (
            2,
            "careful useless basement movement question station cushion people hybrid idle cycle react create oxen metre",
        ),
        (2, "centre stable rustle measure highway tailpipe wheelbase driveline baseline therefore coolant every prism"),
        (
            3,
            "battery vibration condition injector regular radio audio ratio area idea serious previous glorious museum",
        ),
        (
            3,
            "video customer completely carefully officer electric manual actual visual company typical capable possible",
        ),
        (
            3,
            "technician assembly suspension ignition evidence components adjusted calibrate quieter quietest violent vehicle several",
        ),
        (3, "hydraulic generous dangerous conditions alignment continues indicate visible"),
        (4, "alternator diagnosis amplifier familiar variable reliable thermometer accelerate"),
        (4, "evaporate condensation calculation operation generator original immediate manually security electronic"),
        (4, "mechanical experience material temperature differential mechanism particulate speedometer usually"),
        (5, "regeneration acceleration refrigerator hydraulically immediately"),
        (6, "accelerometer"),
    ];

    #[test]
    fn syllables_of_known_words() {
        let rows = COUNTED.iter().flat_map(|(count, words)| words.split(' ').map(move |word| (*count, word)));
        let rows: Vec<(usize, &str)> = rows.collect();
        assert!(rows.len() > 200);
        let wrong: Vec<_> = rows.iter().filter(|(count, word)| syllables(word) != *count).collect();
        assert!(
            wrong.is_empty(),
            "{wrong:?}, counted {:?}",
            wrong.iter().map(|(_, w)| syllables(w)).collect::<Vec<_>>()
        );
    }

    #[test]
    fn tokens_are_split_where_they_are_spoken_apart() {
        assert_eq!(count("A four-wheel drive's load, 12 V."), Counts { sentences: 1, words: 6, syllables: 8 });
    }
}
