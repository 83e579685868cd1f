//! From a query to results, the best first, each with the reason why it was found.

use std::collections::BTreeMap;

use super::documents::{Document, DocumentKind, PassageClass};
use super::index::{Index, SCALE, Said};
use super::look_up::{LookUp, ReadAs, Slot, look_up, suggestions};
use super::tokens::tokens;
use crate::knowledge::fit::Region;

/// What is asked for.
#[derive(Clone, Debug, Default)]
pub struct Query {
    /// The reader's words.
    pub words: String,
    /// The vehicles in question: one, or those that a reader left open; `None` for every vehicle.
    pub vehicles: Option<Region>,
    /// Only this kind.
    pub kind: Option<DocumentKind>,
    /// Only entries of this system, by its position.
    pub system: Option<usize>,
    /// Only symptoms noticed this way.
    pub sense: Option<String>,
    /// How many results, at most, of those that fit and of those that do not.
    pub limit: usize,
}

/// What was found.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Answer {
    /// What fits the vehicles, the best first.
    pub results: Vec<Hit>,
    /// What does not fit them, the best first.
    pub apart: Vec<Hit>,
    /// How many documents were found that fit.
    pub total: usize,
    /// How many documents were found that do not fit.
    pub total_apart: usize,
    /// Words of the query that were read as others.
    pub read_as: Vec<ReadAs>,
    /// Words of the query that nothing here has, and that nothing was taken for; but for numbers, units and the like.
    pub unknown: Vec<String>,
    /// Words of the query that one entry alone has, where that is not among the first results.
    pub rare: Vec<String>,
    /// Where nothing was found: the nearest words that there are.
    pub nearest: Vec<String>,
}

/// A document that was found.
#[derive(Clone, Debug, PartialEq)]
pub struct Hit {
    /// Its position in the index.
    pub document: usize,
    /// How well it matches; comparable within one answer only.
    pub score: f64,
    /// Its title.
    pub title: Vec<Stretch>,
    /// Why it was found.
    pub reason: Option<Reason>,
}

/// A part of a text that was found, or that stands between such parts.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Stretch {
    /// The text.
    pub text: String,
    /// Whether it was found.
    pub is_found: bool,
}

/// The passage that holds most of what was asked for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Reason {
    /// What it is; `None` where the words stand only in text that is not kept to be shown.
    pub class: Option<PassageClass>,
    /// The passage; else the words.
    pub text: Vec<Stretch>,
}

/// So many results are the first: a reader looks no further to see what the search understood.
const FIRST: usize = 3;

/// Finds documents.
pub fn find(index: &Index, query: &Query) -> Answer {
    let asked = look_up(index, &query.words);
    let terms = asked.slots.iter().flat_map(|slot| &slot.terms);
    let said: BTreeMap<u32, Said> = terms.map(|(term, _)| (*term, index.said(*term))).collect();
    let ranked = rank(index, &said, &asked);
    let mut answer = Answer::default();
    let weights = Weights::new(index, &said, &asked);
    for (at, score) in ranked {
        let Some(document) = index.documents.get(at).filter(|document| query.admits(document)) else { continue };
        let fits = query.fits(document);
        let (hits, total) = match fits {
            true => (&mut answer.results, &mut answer.total),
            false => (&mut answer.apart, &mut answer.total_apart),
        };
        *total += 1;
        if hits.len() < query.limit {
            hits.push(weights.hit(at, score, document));
        }
    }
    if answer.total + answer.total_apart == 0 {
        answer.nearest = suggestions(index, &asked);
    }
    answer.unknown = asked.unknown_to_tell();
    answer.rare = rare(index, &said, &asked, &answer.results);
    answer.read_as = asked.read_as;
    answer
}

impl Query {
    fn admits(&self, document: &Document) -> bool {
        self.kind.is_none_or(|kind| kind == document.kind)
            && self.system.is_none_or(|system| document.systems.contains(&system))
            && self.sense.as_ref().is_none_or(|sense| document.senses.contains(sense))
    }

    /// Whether the document may be about one of the vehicles.
    fn fits(&self, document: &Document) -> bool {
        match (&self.vehicles, &document.region) {
            (Some(vehicles), Some(region)) => region.meets(vehicles),
            _ => true,
        }
    }
}

/// Documents by score, then by position. Scores are summed slot by slot: the page's script adds the same numbers in the
/// same order. A document that has nothing of what was asked for but words that say little is not found, unless nothing
/// else was asked for.
fn rank(index: &Index, said: &BTreeMap<u32, Said>, asked: &LookUp) -> Vec<(usize, f64)> {
    let mut scores = vec![0.0_f64; index.documents.len()];
    let mut is_told = vec![!asks_more(index, asked); index.documents.len()];
    for slot in &asked.slots {
        for (document, (score, tells)) in scores_of(index, said, slot) {
            let at = document as usize;
            if let Some((sum, is_told)) = scores.get_mut(at).zip(is_told.get_mut(at)) {
                *sum += score;
                *is_told |= tells;
            }
        }
    }
    let found = scores.into_iter().zip(is_told).enumerate().filter(|(_, (score, is_told))| *score > 0.0 && *is_told);
    let mut found: Vec<(usize, f64)> = found.map(|(at, (score, _))| (at, score / SCALE)).collect();
    found.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
    found
}

/// The documents of a slot: what it says about each, and whether it has more there than words that say little. The best
/// term counts, or all of them where all are needed.
fn scores_of(index: &Index, said: &BTreeMap<u32, Said>, slot: &Slot) -> BTreeMap<u32, (f64, bool)> {
    let mut scores: BTreeMap<u32, (f64, bool)> = BTreeMap::new();
    let mut had: BTreeMap<u32, usize> = BTreeMap::new();
    for (at, weight) in &slot.terms {
        let Some((term, said)) = index.term(*at).zip(said.get(at)) else { continue };
        for (document, steps) in &said.postings {
            let score = weight * (f64::from(*steps) * f64::from(said.scale));
            let kept = scores.entry(*document).or_default();
            kept.0 = if slot.needs_all { kept.0 + score } else { kept.0.max(score) };
            kept.1 |= !term.is_small;
            *had.entry(*document).or_default() += 1;
        }
    }
    scores.retain(|document, _| !slot.needs_all || had.get(document) == Some(&slot.terms.len()));
    scores
}

/// Whether anything is asked for that says more than a small word, known or not.
fn asks_more(index: &Index, asked: &LookUp) -> bool {
    let says_more = |(at, _): &(u32, f64)| index.term(*at).is_some_and(|term| !term.is_small);
    asked.unknown().next().is_some() || asked.slots.iter().flat_map(|slot| &slot.terms).any(says_more)
}

/// Words of the query that one entry alone has, where that is not among the first results: these are not about it.
fn rare(index: &Index, said: &BTreeMap<u32, Said>, asked: &LookUp, results: &[Hit]) -> Vec<String> {
    let is_in = |at: u32, hit: &Hit| {
        let postings = said.get(&at).map_or(&[][..], |said| &said.postings);
        postings.iter().any(|(document, _)| *document as usize == hit.document)
    };
    let is_rare = |at: u32| {
        index.term(at).is_some_and(|term| term.documents == 1) && !results.iter().take(FIRST).any(|hit| is_in(at, hit))
    };
    asked.known.iter().filter(|(_, at)| is_rare(*at)).map(|(word, _)| word.clone()).collect()
}

/// What each word of a text is worth as a reason. Words that say little are worth nothing beside those that tell.
struct Weights<'i> {
    index: &'i Index,
    said: &'i BTreeMap<u32, Said>,
    asked: &'i LookUp,
    words: BTreeMap<&'i str, (u32, f64)>,
}

impl<'i> Weights<'i> {
    fn new(index: &'i Index, said: &'i BTreeMap<u32, Said>, asked: &'i LookUp) -> Self {
        let mut weights: BTreeMap<&str, (u32, f64)> = BTreeMap::new();
        let is_told = asks_more(index, asked);
        for (number, weight) in asked.slots.iter().flat_map(|slot| &slot.terms) {
            let Some(term) = index.term(*number).filter(|term| !(is_told && term.is_small)) else { continue };
            let worth = weight * said.get(number).map_or(0.0, |said| f64::from(said.scale));
            for form in &term.forms {
                let kept = weights.entry(form).or_insert((*number, worth));
                kept.1 = kept.1.max(worth);
            }
        }
        Self { index, said, asked, words: weights }
    }

    fn hit(&self, at: usize, score: f64, document: &Document) -> Hit {
        let title = self.marked(&document.title);
        let is_said = title.iter().any(|stretch| stretch.is_found);
        let reason = self.reason(document).or_else(|| (!is_said).then(|| self.by_words(at)));
        Hit { document: at, score, title, reason }
    }

    /// The passage worth most, the first of equals.
    fn reason(&self, document: &Document) -> Option<Reason> {
        let mut best: Option<(f64, PassageClass, &str)> = None;
        for passage in &document.passages {
            let worth = self.worth(&passage.text);
            if worth > best.map_or(0.0, |(most, ..)| most) {
                best = Some((worth, passage.class, &passage.text));
            }
        }
        best.map(|(_, class, text)| Reason { class: Some(class), text: self.marked(text) })
    }

    /// The words that the document has, one for each term: the reader's own if the term has it.
    fn by_words(&self, document: usize) -> Reason {
        let mut text = Vec::new();
        for (number, _) in self.asked.slots.iter().flat_map(|slot| &slot.terms) {
            let Some((term, said)) = self.index.term(*number).zip(self.said.get(number)) else { continue };
            let own = term.forms.iter().find(|form| self.asked.words.contains(form));
            let form = own.or(term.forms.first()).filter(|form| self.words.contains_key(form.as_str()));
            if said.postings.binary_search_by_key(&document, |(at, _)| *at as usize).is_ok() {
                push(&mut text, form.map(String::as_str), true);
            }
        }
        Reason { class: None, text }
    }

    /// Each term counts once.
    fn worth(&self, text: &str) -> f64 {
        let mut counted: Vec<u32> = Vec::new();
        let mut sum = 0.0;
        for token in tokens(text) {
            if let Some((term, worth)) = self.words.get(token.text.as_str())
                && !counted.contains(term)
            {
                counted.push(*term);
                sum += worth;
            }
        }
        sum
    }

    fn marked(&self, text: &str) -> Vec<Stretch> {
        let mut stretches = Vec::new();
        let mut end = 0;
        for token in tokens(text).into_iter().filter(|token| self.words.contains_key(token.text.as_str())) {
            let start = token.range.start.max(end);
            push(&mut stretches, text.get(end..start), false);
            push(&mut stretches, text.get(start..token.range.end), true);
            end = end.max(token.range.end);
        }
        push(&mut stretches, text.get(end..), false);
        stretches
    }
}

fn push(stretches: &mut Vec<Stretch>, text: Option<&str>, is_found: bool) {
    if let Some(text) = text.filter(|text| !text.is_empty()) {
        stretches.push(Stretch { text: text.to_owned(), is_found });
    }
}
