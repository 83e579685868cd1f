//! The index: the words as written, the terms that they are forms of, and what each term says about each document.

use std::collections::BTreeSet;

use rayon::prelude::*;
use serde::Serialize;

use super::documents::{Document, DocumentKind, Field, scoring};
use super::language::{ENDINGS, Ending, Language};
use super::shares::in_shares;
use super::stock::{Reading, Stem, Stock, Words, read};
use super::weigh::{Weighed, weigh};
use crate::entry::Kind;
use crate::knowledge::{EntryRef, Knowledge};
use crate::source::Memo;

/// What differs between the index of a small site, which is one file, and that of a large one, which is cut up.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Form {
    /// Whether the index is cut into parts.
    pub is_cut: bool,
    /// The largest weight of a posting: its steps.
    pub steps: u32,
    /// How many postings of a term are kept: those of the greatest weight.
    pub most: usize,
    /// The share of a document's text that is kept to show reasons, beside what customers say. In hundredths.
    pub shown: usize,
}

impl Form {
    /// One file, nothing left out.
    pub const WHOLE: Self = Self { is_cut: false, steps: 64 * 64 - 1, most: usize::MAX, shown: 100 };
    /// Cut into parts.
    pub const CUT: Self = Self { is_cut: true, steps: 15, most: 2048, shown: 8 };

    /// Whether postings stand by document, with fine weights, or packed by weight.
    pub(super) fn is_fine(self) -> bool {
        self.steps > 15
    }

    /// The form for so many bytes of text.
    pub fn for_bytes(bytes: usize) -> Self {
        if bytes > 2_000_000 { Self::CUT } else { Self::WHOLE }
    }
}

/// How much less a word counts that says little by itself.
const SMALL: f64 = 0.1;

/// How much more a word counts in a symptom: from there a reader is asked the right question next.
const SYMPTOM: f64 = 1.2;

/// Weights are whole multiples of a term's scale; a scale is a whole multiple of one part in so many.
pub(super) const SCALE: f64 = 65536.0;

/// A word as written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Word {
    /// The word, folded.
    pub text: String,
    /// The term that it is a form of.
    pub term: u32,
    /// Which endings make another form of the same term from it, one bit each.
    pub endings: u32,
    /// Whether no text has it: a stem, kept to put endings to.
    pub is_silent: bool,
}

/// Forms of one stem.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Term {
    /// The stem.
    pub stem: String,
    /// The forms that texts have, in the order of the alphabet.
    pub forms: Vec<String>,
    /// Whether it says little.
    pub is_small: bool,
    /// How many documents have it.
    pub documents: u32,
}

/// What a term says about documents.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Said {
    /// The unit of the weights, in parts of 65536.
    pub scale: u32,
    /// Documents and weights in units of the scale, 1 and more; ascending by document.
    pub postings: Vec<(u32, u32)>,
}

/// Terms that bring other terms with them: a trade term and what customers say for it.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Likeness {
    /// The terms that must all be asked for.
    pub when: Vec<u32>,
    /// The terms that are then looked for too.
    pub then: Vec<u32>,
}

/// Everything that is searched.
#[derive(Clone, Debug)]
pub struct Index {
    /// What form it has.
    pub form: Form,
    /// The words in the order of their characters.
    pub words: Vec<Word>,
    /// The terms, in the order of their stems.
    pub terms: Vec<Term>,
    /// Words of the shop's languages that say little, in the order of the alphabet.
    pub small: Vec<&'static str>,
    /// Trade terms and what customers say for them.
    pub likenesses: Vec<Likeness>,
    /// What was indexed.
    pub documents: Vec<Document>,
    /// How many bytes of text were read.
    pub bytes: usize,
    /// What each term says about each document.
    pub(super) weighed: Weighed,
    /// How many of the documents are symptoms; they are the first.
    pub(super) symptoms: usize,
}

impl Index {
    /// Indexes everything; the form follows from how much text there is.
    pub fn new(knowledge: &Knowledge) -> Self {
        Self::build(knowledge, None, &Memo::none())
    }

    /// Indexes everything in a form.
    pub fn of_form(knowledge: &Knowledge, form: Form) -> Self {
        Self::build(knowledge, Some(form), &Memo::none())
    }

    /// Indexes everything, in a form or in the one that follows from how much text there is, for [`take_search_files`] alone:
    /// what an earlier run worked out is taken from its memo, and documents whose words are known are outlines.
    ///
    /// [`take_search_files`]: super::take_search_files
    pub fn outlined(knowledge: &Knowledge, form: Option<Form>, memo: &Memo) -> Self {
        Self::build(knowledge, form, memo)
    }

    fn build(knowledge: &Knowledge, form: Option<Form>, memo: &Memo) -> Self {
        let languages: Vec<Language> = knowledge.shop.languages.iter().map(|code| Language::of(code)).collect();
        let (mut reading, stock) = read(knowledge, &languages, memo);
        let form = form.unwrap_or_else(|| Form::for_bytes(reading.bytes));
        let (read, terms) = (reading.words(), stock.stems.len());
        let weighed = weigh(&read, terms, &scoring(), Words::lengths, Words::count);
        if form.shown < 100 {
            shorten(&mut reading, form, &stock, &weighed);
        }
        let Reading { documents, bytes, .. } = reading;
        let symptoms = documents.partition_point(|document| document.kind == DocumentKind::Entry(Kind::Symptom));
        let likenesses = likenesses(knowledge, &stock);
        let words = words(&stock, &languages, memo);
        let small = languages.iter().flat_map(Language::small).copied().collect::<BTreeSet<&str>>();
        let term = |(at, stem): (usize, Stem)| {
            let documents = u32::try_from(weighed.count(at)).unwrap_or(u32::MAX);
            Term { stem: stem.text, forms: stem.forms, is_small: stem.is_small, documents }
        };
        let terms = stock.stems.into_iter().enumerate().map(term).collect();
        Self { form, words, terms, small: small.into_iter().collect(), likenesses, documents, bytes, weighed, symptoms }
    }

    /// The word of that text.
    pub(super) fn word(&self, text: &str) -> Option<&Word> {
        let at = self.words.binary_search_by(|word| word.text.as_str().cmp(text)).ok()?;
        self.words.get(at)
    }

    pub(super) fn term(&self, term: u32) -> Option<&Term> {
        self.terms.get(term as usize)
    }

    /// What a term says about documents: weights in steps of its scale.
    pub fn said(&self, at: u32) -> Said {
        let Some(term) = self.term(at) else { return Said::default() };
        let factor = if term.is_small { SMALL } else { 1.0 };
        let mut values = self.weighed.of(at as usize);
        for (document, value) in &mut values {
            *value = *value * factor * if (*document as usize) < self.symptoms { SYMPTOM } else { 1.0 };
        }
        in_steps(values, self.form)
    }

    /// The document of an entry or a trade term.
    pub fn document(&self, kind: DocumentKind, id: &str) -> Option<&Document> {
        self.documents.iter().find(|document| document.kind == kind && document.id == id)
    }

    /// The document of an entry.
    pub fn of_entry(&self, knowledge: &Knowledge, entry: EntryRef) -> Option<&Document> {
        self.document(DocumentKind::Entry(entry.kind), &knowledge.head(entry)?.id)
    }
}

fn in_steps(values: Vec<(u32, f64)>, form: Form) -> Said {
    let most = values.iter().map(|(_, value)| *value).fold(0.0_f64, f64::max);
    let scale = (most * SCALE / f64::from(form.steps)).ceil().max(1.0);
    // The nearest whole number; no value is negative.
    let step = |value: f64| ((value * SCALE / scale + 0.5) as u32).clamp(1, form.steps);
    let mut postings: Vec<(u32, u32)> = values.into_iter().map(|(at, value)| (at, step(value))).collect();
    if postings.len() > form.most {
        postings.select_nth_unstable_by_key(form.most, |(at, weight)| (std::cmp::Reverse(*weight), *at));
        postings.truncate(form.most);
        postings.shrink_to_fit();
        postings.sort_unstable();
    }
    Said { scale: scale as u32, postings }
}

/// The words, with the endings that readers may put to them, and stems that no text has but that take endings.
fn words(stock: &Stock, languages: &[Language], memo: &Memo) -> Vec<Word> {
    let stemmer = languages.first().filter(|language| language.has_stems());
    let alike: Vec<(usize, &[Stem])> = alike(&stock.stems);
    let shares = in_shares(&alike, |_, run| {
        let mut words = Vec::new();
        for (first, stems) in run {
            let bare: Vec<Bare<'_>> = stems.iter().map(|stem| Bare::of(stem, stock, stemmer)).collect();
            let fitting = stemmer.map_or_else(Vec::new, |own| fitting(own, &bare, memo));
            let mut fitting = fitting.into_iter();
            for (at, (stem, bare)) in (*first..).zip(stems.iter().zip(&bare)) {
                words_of_stem(u32::try_from(at).unwrap_or(u32::MAX), stem, bare, stock, &mut fitting, &mut words);
            }
        }
        words
    });
    let mut words: Vec<Word> = shares.into_iter().flatten().collect();
    words.par_sort_unstable_by(|a, b| a.text.cmp(&b.text));
    words
}

/// Stems next to each other that begin alike, each run with the position of its first. What is known of such a run stays known
/// when a word comes elsewhere.
fn alike(stems: &[Stem]) -> Vec<(usize, &[Stem])> {
    let begin = |stem: &Stem| stem.text.bytes().take(2).collect::<Vec<u8>>();
    let runs = stems.chunk_by(|a, b| begin(a) == begin(b));
    let place = |first: &mut usize, run: &&'_ [Stem]| Some(std::mem::replace(first, *first + run.len()));
    runs.clone().scan(0, |first, run| place(first, &run)).zip(runs).collect()
}

/// A stem and its words that take endings; its own text stands behind its forms if no text has it and it is a word all the same.
#[derive(Serialize)]
struct Bare<'s> {
    stem: &'s str,
    words: Vec<&'s str>,
    #[serde(skip)]
    has_silent: bool,
}

impl<'s> Bare<'s> {
    fn of(stem: &'s Stem, stock: &Stock, stemmer: Option<&Language>) -> Self {
        let is_silent = |own: &Language| stock.term(&stem.text).is_none() && own.stem(&stem.text) == *stem.text;
        let has_silent = stemmer.is_some_and(is_silent);
        let all = stem.forms.iter().chain(has_silent.then_some(&stem.text)).map(String::as_str);
        let words = all.filter(|word| stemmer.is_some() && takes_endings(stem, word)).collect();
        Self { stem: &stem.text, words, has_silent }
    }
}

fn takes_endings(stem: &Stem, word: &str) -> bool {
    !stem.is_small && word.chars().count() > 2 && word.chars().all(char::is_alphabetic)
}

fn words_of_stem(
    at: u32,
    stem: &Stem,
    bare: &Bare<'_>,
    stock: &Stock,
    fitting: &mut impl Iterator<Item = u32>,
    words: &mut Vec<Word>,
) {
    let mut reached = BTreeSet::new();
    let mut bare_words = bare.words.iter().peekable();
    let mut word = |text: &str, is_silent: bool| {
        let fitting = bare_words.next_if(|bare| **bare == text).and_then(|_| fitting.next());
        let endings = fitting.map_or(0, |fitting| endings(fitting, text, stock, &mut reached));
        Word { text: text.to_owned(), term: at, endings, is_silent }
    };
    words.extend(stem.forms.iter().map(|form| word(form, false)));
    if bare.has_silent {
        words.push(word(&stem.text, true));
    }
}

/// For each word of the stems the endings that make a word of the same stem, one bit each; whoever made this index before knows
/// them.
fn fitting(own: &Language, stems: &[Bare<'_>], memo: &Memo) -> Vec<u32> {
    memo.value("endings", &(own.code(), stems), || {
        let fits = |stem: &str, word: &str, ending: &Ending| ending.put(word).is_some_and(|put| own.stem(&put) == stem);
        let bits = |stem: &str, word: &str| {
            (0..).zip(&ENDINGS).map(|(bit, ending)| u32::from(fits(stem, word, ending)) << bit).sum()
        };
        stems.iter().flat_map(|bare| bare.words.iter().map(move |word| bits(bare.stem, word))).collect()
    })
}

/// Of the endings that fit, those that make a new word.
fn endings(fitting: u32, word: &str, stock: &Stock, reached: &mut BTreeSet<String>) -> u32 {
    let mut bits = 0;
    for (bit, ending) in (0..).zip(&ENDINGS).filter(|(bit, _)| fitting >> bit & 1 == 1) {
        let Some(put) = ending.put(word) else { continue };
        if stock.term(&put).is_none() && reached.insert(put) {
            bits |= 1 << bit;
        }
    }
    bits
}

/// A trade term brings what customers say for it, and the reverse.
fn likenesses(knowledge: &Knowledge, stock: &Stock) -> Vec<Likeness> {
    let mut found = BTreeSet::new();
    for term in &knowledge.terms {
        let trade = stock.telling(&term.term);
        for phrase in &term.heard_as {
            let said = stock.telling(phrase);
            if !trade.is_empty() && !said.is_empty() && trade != said {
                found.insert(Likeness { when: trade.clone(), then: said.clone() });
                found.insert(Likeness { when: said, then: trade.clone() });
            }
        }
    }
    found.into_iter().collect()
}

/// Keeps what customers say, and of the sentences those that say most, as far as the form's share goes; always one.
fn shorten(reading: &mut Reading, form: Form, stock: &Stock, weighed: &Weighed) {
    let rarity = |at, stem: &Stem| if stem.is_small { 0.0 } else { 1.0 / weighed.count(at).max(1) as f64 };
    let rarities: Vec<f64> = stock.stems.iter().enumerate().map(|(at, stem)| rarity(at, stem)).collect();
    let dropped = in_shares(&reading.words(), |_, run| {
        let mut seen = vec![0_u32; rarities.len()];
        let mut sentence = 0;
        let mut dropped_of = |words| dropped(words, form, &rarities, &mut seen, &mut sentence);
        run.iter().map(&mut dropped_of).collect::<Vec<_>>()
    });
    let dropped: Vec<Vec<u32>> = dropped.into_iter().flatten().collect();
    reading.documents.par_iter_mut().zip(dropped).for_each(|(document, dropped)| {
        document.dropped = dropped;
        document.drop_passages();
    });
}

/// The passages of sentences that a document can do without, ascending. `seen` says in which sentence each term was
/// seen last, the sentences of all documents counted.
fn dropped(words: &Words<'_>, form: Form, rarities: &[f64], seen: &mut [u32], sentence: &mut u32) -> Vec<u32> {
    let mut all = 0;
    let mut texts: Vec<(u32, f64, usize)> = Vec::new();
    for (text, digits) in words.texts() {
        all += if text.field == Field::Body { text.bytes as usize } else { 0 };
        let Some(passage) = text.sentence else { continue };
        *sentence += 1;
        let mut rarity = 0.0;
        words.each_term(digits, |term, is_joined| {
            let Some((last, own)) = seen.get_mut(term as usize).zip(rarities.get(term as usize)) else { return };
            if !is_joined && std::mem::replace(last, *sentence) != *sentence {
                rarity += own;
            }
        });
        texts.push((passage, rarity, text.bytes as usize));
    }
    texts.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
    let mut room = all * form.shown / 100;
    let mut is_first = true;
    texts.retain(|(_, _, length)| {
        let is_kept = std::mem::take(&mut is_first) || *length <= room;
        room = room.saturating_sub(if is_kept { *length } else { 0 });
        !is_kept
    });
    let mut dropped: Vec<u32> = texts.into_iter().map(|(passage, ..)| passage).collect();
    dropped.sort_unstable();
    dropped
}
