//! The index: the words as written, the terms that they are forms of, and what each term says about each document.

use std::collections::{BTreeMap, BTreeSet};

use super::documents::{Document, DocumentKind, Field, PassageClass, documents, scoring};
use super::language::{ENDINGS, Language};
use super::tokens::tokens;
use super::weigh::{Occurrence, weigh};
use crate::knowledge::{EntryRef, Knowledge};

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

    /// The form for so many bytes of text.
    pub fn for_bytes(bytes: usize) -> Self {
        if bytes > 2_000_000 { Self::CUT } else { Self::WHOLE }
    }
}

/// How much less a word counts that says little by itself.
const SMALL: f64 = 0.1;

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
    /// The forms that texts have, in the order of the alphabet.
    pub forms: Vec<String>,
    /// Whether it says little.
    pub is_small: bool,
    /// How many documents have it.
    pub documents: u32,
    /// The unit of its weights, in parts of 65536.
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
}

impl Index {
    /// Indexes everything; the form follows from how much text there is.
    pub fn new(knowledge: &Knowledge) -> Self {
        let documents = documents(knowledge);
        let form = Form::for_bytes(bytes(&documents));
        Self::build(knowledge, documents, form)
    }

    /// Indexes everything in a form.
    pub fn of_form(knowledge: &Knowledge, form: Form) -> Self {
        Self::build(knowledge, documents(knowledge), form)
    }

    fn build(knowledge: &Knowledge, mut documents: Vec<Document>, form: Form) -> Self {
        let bytes = bytes(&documents);
        let languages: Vec<Language> = knowledge.shop.languages.iter().map(|code| Language::of(code)).collect();
        let stock = Stock::new(&documents, &languages);
        let occurrences: Vec<Vec<Occurrence>> = documents.iter().map(|document| stock.occurrences(document)).collect();
        let weighed = weigh(&occurrences, stock.stems.len(), &scoring());
        drop(occurrences);
        let likenesses = likenesses(knowledge, &stock);
        if form.shown < 100 {
            documents.iter_mut().for_each(|document| shorten(document, form, &stock, &weighed));
        }
        documents.iter_mut().for_each(|document| document.texts = Vec::new());
        let terms = weighed.into_iter().enumerate().map(|(at, postings)| stock.term(at, postings, form)).collect();
        let words = stock.words(&languages);
        let small = languages.iter().flat_map(Language::small).copied().collect::<BTreeSet<&str>>();
        Self { form, words, terms, small: small.into_iter().collect(), likenesses, documents, bytes }
    }

    /// The word of that text.
    pub(super) fn word(&self, text: &str) -> Option<&Word> {
        let at = self.words.binary_search_by(|word| word.text.as_str().cmp(text)).ok()?;
        self.words.get(at)
    }

    pub(super) fn term(&self, term: u32) -> Option<&Term> {
        self.terms.get(term as usize)
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

fn bytes(documents: &[Document]) -> usize {
    documents.iter().flat_map(|document| &document.texts).map(|(_, _, text)| text.len()).sum()
}

/// The words of all documents and their stems, before anything is weighed.
struct Stock {
    /// The number of the term of each word.
    words: BTreeMap<String, u32>,
    /// Stems in order, each with its words and whether it says little.
    stems: Vec<(String, Vec<String>, bool)>,
}

impl Stock {
    /// A word that stands in texts of several languages is taken as one of the shop's first.
    fn new(documents: &[Document], languages: &[Language]) -> Self {
        let mut first: BTreeMap<String, usize> = BTreeMap::new();
        for (_, language, text) in documents.iter().flat_map(|document| &document.texts) {
            for token in tokens(text) {
                let known = first.entry(token.text).or_insert(*language);
                *known = (*known).min(*language);
            }
        }
        let mut stems: BTreeMap<String, (Vec<String>, bool)> = BTreeMap::new();
        for (word, language) in first {
            let language = languages.get(language);
            let is_small = languages.iter().any(|language| language.is_small(&word));
            let stem = language.filter(|_| !is_small).map_or(word.clone(), |own| own.stem(&word).into_owned());
            let (words, small) = stems.entry(stem).or_default();
            words.push(word);
            *small |= is_small;
        }
        let stems: Vec<_> = stems.into_iter().map(|(stem, (words, small))| (stem, words, small)).collect();
        let numbered =
            (0..).zip(&stems).flat_map(|(at, (_, words, _))| words.iter().map(move |word| (word.clone(), at)));
        Self { words: numbered.collect(), stems }
    }

    fn occurrences(&self, document: &Document) -> Vec<Occurrence> {
        let mut found = Vec::new();
        for (field, _, text) in &document.texts {
            for token in tokens(text) {
                let Some(term) = self.words.get(&token.text) else { continue };
                found.push(Occurrence { field: *field as usize, term: *term, counts: !token.is_joined });
            }
        }
        found
    }

    /// The terms of a text that say something, ascending, each once.
    fn telling(&self, text: &str) -> Vec<u32> {
        let all = tokens(text).into_iter().filter(|token| !token.is_joined);
        let terms = all.filter_map(|token| self.words.get(&token.text).copied());
        let is_telling = |term: &u32| self.stems.get(*term as usize).is_some_and(|(_, _, is_small)| !is_small);
        terms.filter(is_telling).collect::<BTreeSet<u32>>().into_iter().collect()
    }

    fn term(&self, at: usize, postings: Vec<(u32, f64)>, form: Form) -> Term {
        let (_, forms, is_small) = self.stems.get(at).cloned().unwrap_or_default();
        let factor = if is_small { SMALL } else { 1.0 };
        let documents = u32::try_from(postings.len()).unwrap_or(u32::MAX);
        let most = postings.iter().fold(0.0_f64, |most, (_, weight)| most.max(weight * factor));
        let scale = (most * SCALE / f64::from(form.steps)).ceil().max(1.0);
        let step = |weight: f64| (weight * factor * SCALE / scale).round().clamp(1.0, f64::from(form.steps)) as u32;
        let mut postings: Vec<(u32, u32)> = postings.into_iter().map(|(at, weight)| (at, step(weight))).collect();
        if postings.len() > form.most {
            postings.sort_by_key(|(at, weight)| (std::cmp::Reverse(*weight), *at));
            postings.truncate(form.most);
            postings.sort_unstable();
        }
        Term { forms, is_small, documents, scale: scale as u32, postings }
    }

    /// The words, with the endings that readers may put to them, and stems that no text has but that take endings.
    fn words(&self, languages: &[Language]) -> Vec<Word> {
        let stemmer = languages.first().filter(|language| language.has_stems());
        let mut words = Vec::with_capacity(self.words.len());
        for (at, (stem, forms, is_small)) in (0..).zip(&self.stems) {
            let mut reached: BTreeSet<String> = forms.iter().cloned().collect();
            let takes_endings =
                |word: &str| !is_small && word.chars().count() > 2 && word.chars().all(char::is_alphabetic);
            let mut word = |text: &str, is_silent: bool| {
                let own = stemmer.filter(|_| takes_endings(text));
                let endings = own.map_or(0, |own| self.endings(own, text, stem, &mut reached));
                Word { text: text.to_owned(), term: at, endings, is_silent }
            };
            words.extend(forms.iter().map(|form| word(form, false)));
            if stemmer.is_some_and(|own| !self.words.contains_key(stem) && own.stem(stem) == *stem) {
                words.push(word(stem, true));
            }
        }
        words.sort_by(|a, b| a.text.cmp(&b.text));
        words
    }

    /// The endings that make a new word of the same stem, one bit each.
    fn endings(&self, own: &Language, word: &str, stem: &str, reached: &mut BTreeSet<String>) -> u32 {
        let mut bits = 0;
        for (bit, ending) in ENDINGS.iter().enumerate() {
            let Some(put) = ending.put(word) else { continue };
            if !self.words.contains_key(&put) && own.stem(&put) == stem && reached.insert(put) {
                bits |= 1 << bit;
            }
        }
        bits
    }
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
fn shorten(document: &mut Document, form: Form, stock: &Stock, weighed: &[Vec<(u32, f64)>]) {
    let text: usize =
        document.texts.iter().filter(|(field, ..)| *field == Field::Body).map(|(.., text)| text.len()).sum();
    let rarity = |text: &str| {
        let terms = stock.telling(text);
        let weight =
            |term: &u32| 1.0 / weighed.get(*term as usize).map_or(1.0, |postings| postings.len().max(1) as f64);
        terms.iter().map(weight).sum::<f64>()
    };
    let mut sentences: Vec<(usize, f64, usize)> = Vec::new();
    for (at, passage) in document.passages.iter().enumerate() {
        if passage.class == PassageClass::Sentence {
            sentences.push((at, rarity(&passage.text), passage.text.len()));
        }
    }
    sentences.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
    let mut room = text * form.shown / 100;
    let mut kept = BTreeSet::new();
    for (at, _, length) in sentences {
        if kept.is_empty() || length <= room {
            room = room.saturating_sub(length);
            kept.insert(at);
        }
    }
    let mut at = 0..;
    document.passages.retain(|passage| {
        let at = at.next().unwrap_or(0);
        passage.class != PassageClass::Sentence || kept.contains(&at)
    });
}
