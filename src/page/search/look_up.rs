//! From a reader's words to the terms that are looked for: as written, by endings, cut in two, as a beginning, or
//! with typing mistakes. The page's script takes the same steps in the same order.

use std::collections::BTreeMap;

use super::index::{Index, Word};
use super::language::ENDINGS;
use super::tokens::tokens;

/// Fewer documents than this are little: then beginnings and typing mistakes are looked at too. In a large index they
/// cost more parts, and one document is enough.
fn little(index: &Index) -> u32 {
    if index.form.is_cut { 1 } else { 2 }
}

/// Terms that a beginning or a mistyped word stands for, at most.
const MOST_TERMS: usize = 8;
/// What a term counts that begins with the word, times the share of its letters that was typed.
const BEGINNING: f64 = 0.5;
/// What a term counts that is one or two typing mistakes away.
const MISTYPED: [f64; 2] = [0.6, 0.4];
/// What a term counts that a trade term brings with it, or the reverse.
const LIKENESS: f64 = 0.35;
/// Most words of a query that are looked at.
const MOST_WORDS: usize = 24;

/// The numbers of this file, for the page's script.
pub(super) fn rules(index: &Index) -> serde_json::Value {
    serde_json::json!({
        "little": little(index),
        "mostTerms": MOST_TERMS,
        "mostWords": MOST_WORDS,
        "beginning": BEGINNING,
        "mistyped": MISTYPED,
        "likeness": LIKENESS,
    })
}

/// A word of the query: terms of which the best counts, or the halves of a compound, which count together.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Slot {
    /// Terms and what each counts, in the order of the terms; halves in the order of the word.
    pub terms: Vec<(u32, f64)>,
    /// Whether a document must have all of them: half of a compound is another word.
    pub needs_all: bool,
}

/// A word of the query that was read as other words.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ReadAs {
    /// The word, folded.
    pub word: String,
    /// What it was taken for; empty where nothing is near.
    pub taken_for: Vec<String>,
}

/// What is looked for.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct LookUp {
    /// The words of the query, folded.
    pub words: Vec<String>,
    /// Words of the query, then what trade terms bring.
    pub slots: Vec<Slot>,
    /// Words that were mistyped or cut in two, or that nothing is known of.
    pub read_as: Vec<ReadAs>,
    /// Words that say something and are known as they stand, with their terms.
    pub known: Vec<(String, u32)>,
}

/// Reads a query.
pub fn look_up(index: &Index, query: &str) -> LookUp {
    let mut found = LookUp::default();
    let tokens = tokens(query);
    let plain: Vec<&str> = tokens.iter().filter(|token| !token.is_joined).map(|token| token.text.as_str()).collect();
    let plain: Vec<&str> = plain.into_iter().take(MOST_WORDS).collect();
    found.words = plain.iter().map(|word| (*word).to_owned()).collect();
    for (at, word) in plain.iter().enumerate() {
        found.word(index, word, at + 1 == plain.len());
    }
    let mut joined: Vec<String> =
        tokens.iter().filter(|token| token.is_joined).map(|token| token.text.clone()).collect();
    joined.extend(plain.windows(2).map(|pair| pair.concat()));
    for word in joined.into_iter().take(2 * MOST_WORDS) {
        if let Some(word) = index.word(&word).filter(|word| !word.is_silent) {
            found.add(vec![(word.term, 1.0)], false);
        }
    }
    found.likenesses(index);
    found
}

impl LookUp {
    /// Looks for terms, unless that is done already.
    fn add(&mut self, terms: Vec<(u32, f64)>, needs_all: bool) {
        let slot = Slot { terms, needs_all };
        if !slot.terms.is_empty() && !self.slots.contains(&slot) {
            self.slots.push(slot);
        }
    }

    fn word(&mut self, index: &Index, word: &str, is_last: bool) {
        let exact = index.word(word).map(|word| word.term).or_else(|| by_ending(index, word));
        let term = exact.and_then(|term| index.term(term));
        let mut terms: BTreeMap<u32, f64> = exact.map(|term| (term, 1.0)).into_iter().collect();
        let is_little = term.is_none_or(|term| term.documents < little(index));
        let is_open = is_last && (!index.form.is_cut || term.is_some_and(|term| term.is_small));
        if exact.is_none() && index.small.binary_search(&word).is_ok() {
            return;
        }
        let halves = if is_little { halves(index, word) } else { None };
        if let Some(halves) = halves.filter(|halves| exact.is_none() || is_trade(index, halves)) {
            self.compound(word, exact, halves);
            return;
        }
        if let Some((at, _)) = exact.zip(term).filter(|(_, term)| !term.is_small) {
            self.known.push((word.to_owned(), at));
        }
        let typed = word.chars().count();
        if (is_little || is_open) && typed >= if is_last { 2 } else { 3 } {
            beginnings(index, word, typed, &mut terms);
        }
        if is_little && (!is_last || terms.is_empty()) {
            self.mistyped(index, word, exact.is_none(), &mut terms);
        }
        self.add(terms.into_iter().collect(), false);
    }

    fn compound(&mut self, word: &str, exact: Option<u32>, halves: [&Word; 2]) {
        self.add(exact.map(|term| (term, 1.0)).into_iter().collect(), false);
        self.add(halves.iter().map(|half| (half.term, 1.0)).collect(), true);
        if exact.is_none() {
            let taken_for = vec![halves.map(|half| half.text.as_str()).join(" ")];
            self.read_as.push(ReadAs { word: word.to_owned(), taken_for });
        }
    }

    /// Words that nothing here has, and that nothing was taken for.
    pub(super) fn unknown(&self) -> impl Iterator<Item = &str> {
        self.read_as.iter().filter(|read| read.taken_for.is_empty()).map(|read| read.word.as_str())
    }

    /// Those of them that a reader is told of: numbers, units and other crumbs stand beside what is asked for.
    pub fn unknown_to_tell(&self) -> Vec<String> {
        let tells = |word: &&str| word.chars().count() > 2 && word.contains(char::is_alphabetic);
        self.unknown().filter(tells).map(str::to_owned).collect()
    }

    fn mistyped(&mut self, index: &Index, word: &str, is_unknown: bool, terms: &mut BTreeMap<u32, f64>) {
        let (distance, near) = nearest(index, word);
        let weight = distance.checked_sub(1).and_then(|at| MISTYPED.get(at)).copied().unwrap_or(0.0);
        let mut taken_for = Vec::new();
        for word in near {
            let known = terms.entry(word.term).or_insert(weight);
            *known = known.max(weight);
            taken_for.push(word.text.clone());
        }
        if is_unknown && (terms.is_empty() || !taken_for.is_empty()) {
            self.read_as.push(ReadAs { word: word.to_owned(), taken_for });
        }
    }

    /// What trade terms bring, and the reverse: only what was asked for as written brings anything.
    fn likenesses(&mut self, index: &Index) {
        let written = self.slots.iter().flat_map(|slot| &slot.terms).filter(|(_, weight)| *weight >= 1.0);
        let written: Vec<u32> = written.map(|(term, _)| *term).collect();
        let mut brought: Vec<u32> = Vec::new();
        for likeness in &index.likenesses {
            if likeness.when.iter().all(|term| written.contains(term)) {
                let new = likeness.then.iter().copied().filter(|term| !written.contains(term));
                let new: Vec<u32> = new.filter(|term| !brought.contains(term)).collect();
                brought.extend(new);
            }
        }
        for term in brought {
            self.add(vec![(term, LIKENESS)], false);
        }
    }
}

/// The term of which the word would be a form, though no text has it.
fn by_ending(index: &Index, word: &str) -> Option<u32> {
    ENDINGS.iter().enumerate().find_map(|(bit, ending)| {
        let known = index.word(&ending.take(word)?)?;
        (known.endings >> bit & 1 == 1).then_some(known.term)
    })
}

/// Two known words that make the word when written together; the longest first half wins.
fn halves<'i>(index: &'i Index, word: &str) -> Option<[&'i Word; 2]> {
    let letters: Vec<char> = word.chars().collect();
    if letters.len() < 6 || !letters.iter().all(|c| c.is_alphabetic()) {
        return None;
    }
    let known = |letters: &[char]| {
        let word = index.word(&letters.iter().collect::<String>()).filter(|word| !word.is_silent)?;
        index.term(word.term).filter(|term| !term.is_small).map(|_| word)
    };
    (3..=letters.len() - 3).rev().find_map(|at| {
        let (first, second) = letters.split_at_checked(at)?;
        Some([known(first)?, known(second)?])
    })
}

/// Whether halves are a trade term, or what customers say for one. A word that a text has is cut only then: the halves
/// of others are found in texts of something else.
fn is_trade(index: &Index, halves: &[&Word; 2]) -> bool {
    let is_same = |when: &[u32]| when.len() == 2 && halves.iter().all(|half| when.contains(&half.term));
    index.likenesses.iter().any(|likeness| is_same(&likeness.when))
}

/// Terms of words that begin so: those of most documents.
fn beginnings(index: &Index, word: &str, typed: usize, terms: &mut BTreeMap<u32, f64>) {
    let from = index.words.partition_point(|known| known.text.as_str() < word);
    let all = index.words.iter().skip(from).take_while(|known| known.text.starts_with(word));
    let mut shortest: BTreeMap<u32, usize> = BTreeMap::new();
    for known in all.filter(|known| !known.is_silent) {
        let length = known.text.chars().count();
        let kept = shortest.entry(known.term).or_insert(length);
        *kept = (*kept).min(length);
    }
    let mut found: Vec<(u32, u32, usize)> = Vec::new();
    for (term, length) in shortest {
        found.push((index.term(term).map_or(0, |term| term.documents), term, length));
    }
    found.sort_by(|a, b| b.0.cmp(&a.0).then(a.1.cmp(&b.1)));
    for (_, term, length) in found.into_iter().take(MOST_TERMS) {
        terms.entry(term).or_insert(BEGINNING * typed as f64 / length as f64);
    }
}

/// The words that are fewest typing mistakes away, and how many: one from four letters, two from eight.
fn nearest<'i>(index: &'i Index, word: &str) -> (usize, Vec<&'i Word>) {
    let letters: Vec<char> = word.chars().collect();
    let reach = if letters.len() < 4 || letters.iter().any(char::is_ascii_digit) { 0 } else { 1 + letters.len() / 8 };
    near(index, &letters, reach.min(2), true)
}

/// The words that are fewest typing mistakes away, within a reach; those of most documents come first. In a large
/// index a word must begin alike, so that few parts are asked for. `silent` says whether stems that no text has count.
fn near<'i>(index: &'i Index, letters: &[char], reach: usize, silent: bool) -> (usize, Vec<&'i Word>) {
    let mut best = reach;
    let mut found: Vec<(usize, u32, &Word)> = Vec::new();
    for word in index.words.iter().filter(|word| silent || !word.is_silent) {
        if index.form.is_cut && !begins_alike(&word.text, letters) {
            continue;
        }
        let distance = distance(letters, &word.text, best);
        if distance > 0 && distance <= best {
            best = distance;
            found.push((distance, index.term(word.term).map_or(0, |term| term.documents), word));
        }
    }
    found.retain(|(distance, ..)| *distance == best);
    found.sort_by(|a, b| b.1.cmp(&a.1).then_with(|| a.2.text.cmp(&b.2.text)));
    (best, found.into_iter().take(MOST_TERMS).map(|(.., word)| word).collect())
}

/// Whether a word begins with the same letter, or with the first two letters swapped.
fn begins_alike(word: &str, letters: &[char]) -> bool {
    let mut own = word.chars();
    let (first, second) = (own.next(), own.next());
    let typed = (letters.first().copied(), letters.get(1).copied());
    first == typed.0 || (first, second) == (typed.1, typed.0)
}

/// Letters to add, drop, change or swap with a neighbour to make one word of the other; more than `most` is
/// `most + 1`.
fn distance(a: &[char], b: &str, most: usize) -> usize {
    let b: Vec<char> = b.chars().collect();
    if most == 0 || a.len().abs_diff(b.len()) > most {
        return most + 1;
    }
    let (mut before, mut last): (Vec<usize>, Vec<usize>) = (Vec::new(), (0..=b.len()).collect());
    for (i, letter) in a.iter().enumerate() {
        let mut row = vec![i + 1];
        for (j, other) in b.iter().enumerate() {
            let at = |row: &[usize], j: usize| row.get(j).copied().unwrap_or(usize::MAX / 2);
            let changed = at(&last, j) + usize::from(letter != other);
            let mut least = changed.min(at(&last, j + 1) + 1).min(at(&row, j) + 1);
            let is_swapped = i > 0 && j > 0 && Some(letter) == b.get(j - 1) && a.get(i - 1) == Some(other);
            if is_swapped {
                least = least.min(at(&before, j - 1) + 1);
            }
            row.push(least);
        }
        if row.iter().min().is_none_or(|least| *least > most) {
            return most + 1;
        }
        before = std::mem::replace(&mut last, row);
    }
    last.last().copied().unwrap_or(0).min(most + 1)
}

/// Words to offer where nothing was found: the nearest to each word that nothing is known of.
pub fn suggestions(index: &Index, look_up: &LookUp) -> Vec<String> {
    let unknown = look_up.read_as.iter().filter(|read| read.taken_for.is_empty());
    let mut offered: Vec<String> = Vec::new();
    for read in unknown {
        let letters: Vec<char> = read.word.chars().collect();
        let (_, near) = near(index, &letters, (letters.len() / 3).clamp(1, 3), false);
        offered.extend(near.into_iter().take(3).map(|word| word.text.clone()));
    }
    offered
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn distances_are_those_of_the_reference() {
        let words =
            ["brake", "brkae", "break", "bake", "drake", "brakes", "squeal", "sqeual", "sueal", "a", "", "groan"];
        for a in words {
            let letters: Vec<char> = a.chars().collect();
            for b in words {
                let expected = strsim::osa_distance(a, b);
                for most in 1..4 {
                    assert_eq!(distance(&letters, b, most), expected.min(most + 1), "{a} {b} {most}");
                }
            }
        }
    }
}
