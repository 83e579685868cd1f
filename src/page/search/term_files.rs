//! Words and terms as script files, so that one file answers for a word as written.

use std::ops::Range;

use rayon::prelude::*;
use serde_json::{Value as Json, json};

use super::files::{between, part_path, part_text, word_list};
use super::index::{Index, Term, Word};
use super::postings::{fine_postings, number, packed_length, packed_postings};
use crate::diagnostic::{Digest, MadeFrom};
use crate::page::outlet::{Outlet, take_unless_made_from};
use crate::page::site::{PageFault, PageFile};

/// Characters of terms after which a new part begins, as far as they can be told without writing the terms.
const TERMS: usize = 4_000;

/// The files of an index's terms. A small index has none: its only part stands in the root, and its words apart.
pub(super) struct TermFiles<'i> {
    index: &'i Index,
    parts: Vec<Part>,
    /// What a word is not before that stands in the next part: the shortest text between the stems on both sides.
    splits: Vec<String>,
}

/// Some terms next to each other, and words next to each other.
struct Part {
    terms: Range<usize>,
    words: Range<usize>,
}

impl<'i> TermFiles<'i> {
    pub(super) fn new(index: &'i Index) -> Self {
        let stem = |at: usize| index.terms.get(at).map_or("", |term| term.stem.as_str());
        let mut firsts = firsts(index);
        let splits: Vec<String> = firsts.iter().skip(1).map(|first| between(stem(first - 1), stem(*first))).collect();
        firsts.push(index.terms.len());
        let (mut parts, mut from) = (Vec::new(), 0);
        for (at, bounds) in firsts.windows(2).enumerate() {
            let [first, next] = *bounds else { continue };
            let is_before = |word: &Word| splits.get(at).is_none_or(|split| word.text.as_str() < split.as_str());
            let rest = if index.form.is_cut { index.words.get(from..).unwrap_or_default() } else { &[] };
            let end = from + rest.partition_point(is_before);
            parts.push(Part { terms: first..next, words: from..end });
            from = end;
        }
        Self { index, parts, splits }
    }

    pub(super) fn splits(&self) -> impl Iterator<Item = &str> {
        self.splits.iter().map(String::as_str)
    }

    /// How many terms each part has but the last.
    pub(super) fn sizes(&self) -> String {
        let mut sizes = String::new();
        self.parts.iter().take(self.splits.len()).for_each(|part| number(&mut sizes, part.terms.len() as u64));
        sizes
    }

    /// The only part of a small index.
    pub(super) fn whole(&self) -> Option<(String, Json)> {
        let part = self.parts.first().filter(|_| !self.index.form.is_cut)?;
        Some((name(0), self.json(part)))
    }

    /// All files.
    pub(super) fn all(&self) -> Vec<PageFile> {
        let files = self.files().map(|(at, part)| PageFile { path: part_path(&name(at)), bytes: self.text(at, part) });
        files.collect()
    }

    /// Hands them over; one that would be the same as before is not made.
    pub(super) fn take(&self, outlet: &dyn Outlet) -> Result<(), PageFault> {
        self.files().try_for_each(|(at, part)| {
            let made_from = MadeFrom::from(self.print(part));
            take_unless_made_from(outlet, part_path(&name(at)), Some(made_from), || self.text(at, part))
        })
    }

    fn files(&self) -> impl ParallelIterator<Item = (usize, &Part)> {
        let parts = if self.index.form.is_cut { self.parts.as_slice() } else { &[] };
        parts.par_iter().enumerate()
    }

    fn text(&self, at: usize, part: &Part) -> Vec<u8> {
        part_text(&name(at), &self.json(part))
    }

    fn terms_of(&self, part: &Part) -> impl Iterator<Item = (usize, &Term)> {
        part.terms.clone().zip(self.index.terms.get(part.terms.clone()).unwrap_or_default())
    }

    fn words_of(&self, part: &Part) -> &[Word] {
        self.index.words.get(part.words.clone()).unwrap_or_default()
    }

    /// Words, what is said of them, terms: the forms, then the scale doubled, and 1 for a term that says little, then the
    /// postings.
    fn json(&self, part: &Part) -> Json {
        let first = u32::try_from(part.terms.start).unwrap_or(0);
        let [words, data] = word_list(self.index, self.words_of(part), first);
        let terms = self.terms_of(part).map(|(at, term)| term_text(at, term, self.index));
        json!([words, data, terms.collect::<Vec<_>>()])
    }

    /// A name for all that decides a part: what is told of terms and words, before weights become steps of a scale.
    fn print(&self, part: &Part) -> Digest {
        let mut said = Vec::with_capacity(USUAL_PRINT);
        let form = self.index.form;
        let all = [form.steps as usize, form.most, self.index.documents.len(), self.index.symptoms];
        let own = [part.terms.len(), part.words.len()];
        all.into_iter().chain(own).for_each(|size| said.extend_from_slice(&(size as u64).to_le_bytes()));
        for word in self.words_of(part) {
            said.extend_from_slice(word.text.as_bytes());
            said.push(0);
            let term = self.index.term(word.term);
            let bits =
                word.endings << 2 | u32::from(term.is_some_and(|term| term.is_small)) << 1 | u32::from(word.is_silent);
            let place = i64::from(word.term) - i64::try_from(part.terms.start).unwrap_or(0);
            said.extend_from_slice(&place.to_le_bytes());
            said.extend_from_slice(&bits.to_le_bytes());
            said.extend_from_slice(&term.map_or(0, |term| term.documents).to_le_bytes());
        }
        for (at, term) in self.terms_of(part) {
            term.forms.iter().for_each(|form| said.extend([form.as_bytes(), &[0]].concat()));
            said.extend_from_slice(&[0, u8::from(term.is_small)]);
            said.extend_from_slice(&term.documents.to_le_bytes());
            said.extend_from_slice(&self.index.weighed.print(at).to_le_bytes());
        }
        Digest::of(&said)
    }
}

/// Room for what is said of most parts, in bytes.
const USUAL_PRINT: usize = 8 * 1024;

fn name(at: usize) -> String {
    format!("t{at}")
}

/// The first term of each part.
fn firsts(index: &Index) -> Vec<usize> {
    let (mut firsts, mut length) = (vec![0], 0);
    for (at, term) in index.terms.iter().enumerate().filter(|_| index.form.is_cut) {
        let own = length_of(term, index);
        if length > 0 && length + own > TERMS {
            firsts.push(at);
            length = 0;
        }
        length += own;
    }
    firsts
}

/// About how many characters a term will have.
fn length_of(term: &Term, index: &Index) -> usize {
    let forms: usize = term.forms.iter().map(|form| form.len() + 1).sum();
    let postings = (term.documents as usize).min(index.form.most);
    forms + packed_length(postings, index.documents.len())
}

fn term_text(at: usize, term: &Term, index: &Index) -> String {
    let said = index.said(u32::try_from(at).unwrap_or(u32::MAX));
    let mut text = term.forms.join(" ");
    text.push('|');
    number(&mut text, u64::from(said.scale) << 1 | u64::from(term.is_small));
    match index.form.is_fine() {
        true => fine_postings(&mut text, &said.postings),
        false => packed_postings(&mut text, &said.postings, index.documents.len()),
    }
    text
}
