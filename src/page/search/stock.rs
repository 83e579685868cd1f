//! The documents and their words: every text is read once, and from then on words are numbers.

use std::collections::BTreeSet;

use foldhash::fast::FixedState;
use indexmap::IndexMap;
use serde::{Deserialize, Serialize};

use super::documents::{Document, Field, Searched, Subject, document, subjects, terms_by_entry};
use super::language::Language;
use super::shares::in_shares;
use super::tokens::Tokenizer;
use super::weigh::Occurrence;
use crate::knowledge::Knowledge;
use crate::source::Memo;

/// Words in the order in which they were met.
type Met<T> = IndexMap<String, T, FixedState>;

/// So many documents are read together, and remembered together: a run that finds one of them changed reads these again.
const TOGETHER: usize = 128;

/// The words of a run of documents, numbered by themselves: what an earlier run may have found out.
#[derive(Default, Serialize, Deserialize)]
struct Share {
    /// Each word with the first of the shop's languages in whose texts it stands.
    met: Vec<(String, usize)>,
    /// Words of all texts: their numbers doubled, and 1 for a joined word.
    words: Vec<u32>,
    texts: Vec<ReadText>,
    /// How many texts there are up to the end of each document.
    ends: Vec<usize>,
}

/// A text of which only the words are left.
#[derive(Clone, Copy, Debug, Serialize, Deserialize)]
pub(super) struct ReadText {
    /// Where it stands.
    pub(super) field: Field,
    /// The passage that shows it, if it is a sentence.
    pub(super) sentence: Option<u32>,
    /// How many bytes it had.
    pub(super) bytes: u32,
    /// How many words there are up to its end.
    end: usize,
}

/// A text as it is read: where it stands, its language among the shop's, its sentence, what it says.
type Unread<'d> = (Field, usize, Option<u32>, &'d str);

impl Share {
    fn of(documents: &[Vec<Unread<'_>>]) -> Self {
        let (mut share, mut met, mut tokenizer) = (Self::default(), Met::default(), Tokenizer::default());
        for texts in documents {
            for (field, language, sentence, text) in texts {
                tokenizer.each(text, |word, _, is_joined| {
                    share.words.push(number(&mut met, word, *language) << 1 | u32::from(is_joined));
                });
                let (bytes, end) = (u32::try_from(text.len()).unwrap_or(u32::MAX), share.words.len());
                share.texts.push(ReadText { field: *field, sentence: *sentence, bytes, end });
            }
            share.ends.push(share.texts.len());
        }
        share.met = met.into_iter().collect();
        share
    }
}

/// The documents of some subjects, which need their texts no more, and their words.
fn read_together(knowledge: &Knowledge, subjects: &[Subject<'_>], memo: &Memo) -> (Vec<Document>, Share) {
    let mut documents: Vec<Document> = subjects.iter().filter_map(|subject| document(knowledge, *subject)).collect();
    let texts: Vec<Vec<Unread<'_>>> = documents.iter().map(unread).collect();
    let share = memo.value("words", &texts, || Share::of(&texts));
    drop(texts);
    documents.iter_mut().for_each(|document| document.texts = Vec::new());
    (documents, share)
}

fn unread(document: &Document) -> Vec<Unread<'_>> {
    let text = |(searched, text)| {
        let (searched, text): (&Searched, &str) = (searched, text);
        let sentence = document.sentence_of(searched).and_then(|at| u32::try_from(at).ok());
        (searched.field, searched.language, sentence, text)
    };
    document.searched().map(text).collect()
}

/// A word that stands in texts of several languages is taken as one of the shop's first.
fn number(met: &mut Met<usize>, word: &str, language: usize) -> u32 {
    let at = match met.get_full_mut(word) {
        Some((at, _, known)) => {
            *known = language.min(*known);
            at
        }
        None => met.insert_full(word.to_owned(), language).0,
    };
    u32::try_from(at).unwrap_or(u32::MAX >> 1)
}

/// All documents, and their words as numbers of terms.
pub(super) struct Reading {
    /// Every document, by kind and id; trade terms come last.
    pub(super) documents: Vec<Document>,
    /// How many bytes of text were read.
    pub(super) bytes: usize,
    shares: Vec<Share>,
    /// For each share, the terms of its words.
    terms: Vec<Vec<u32>>,
}

/// The words of a document.
#[derive(Clone, Copy)]
pub(super) struct Words<'r> {
    texts: &'r [ReadText],
    /// Where the words of its texts begin.
    from: usize,
    words: &'r [u32],
    terms: &'r [u32],
}

/// Reads every text.
pub(super) fn read(knowledge: &Knowledge, languages: &[Language], memo: &Memo) -> (Reading, Stock) {
    let leading = terms_by_entry(knowledge);
    let subjects = subjects(knowledge, &leading);
    let together: Vec<&[Subject<'_>]> = subjects.chunks(TOGETHER).collect();
    let read = in_shares(&together, |_, run| {
        run.iter().map(|subjects| read_together(knowledge, subjects, memo)).collect::<Vec<_>>()
    });
    let (documents, mut shares): (Vec<Vec<Document>>, Vec<Share>) = read.into_iter().flatten().unzip();
    let stock = Stock::new(&shares, languages);
    let terms = in_shares(&shares, |_, run| {
        let of_word = |(word, _): &(String, usize)| stock.term(word).unwrap_or(u32::MAX);
        run.iter().map(|share| share.met.iter().map(of_word).collect()).collect::<Vec<_>>()
    });
    // From here on words are the numbers of their terms.
    shares.iter_mut().for_each(|share| share.met = Vec::new());
    let documents = documents.into_iter().flatten().collect();
    let bytes = shares.iter().flat_map(|share| &share.texts).map(|text| text.bytes as usize).sum();
    (Reading { documents, bytes, shares, terms: terms.into_iter().flatten().collect() }, stock)
}

impl Reading {
    /// The words of each document.
    pub(super) fn words(&self) -> Vec<Words<'_>> {
        let of_share = |(share, terms)| {
            let (share, terms): (&Share, &Vec<u32>) = (share, terms);
            let mut first = 0_usize;
            share.ends.iter().map(move |end| {
                let before = first.checked_sub(1).and_then(|last| share.texts.get(last));
                let texts = share.texts.get(first..*end).unwrap_or_default();
                first = *end;
                Words { texts, from: before.map_or(0, |text| text.end), words: &share.words, terms }
            })
        };
        self.shares.iter().zip(&self.terms).flat_map(of_share).collect()
    }
}

impl Words<'_> {
    /// Each text with the terms of its words, and whether they are joined.
    pub(super) fn texts(&self) -> impl Iterator<Item = (&ReadText, impl Iterator<Item = (u32, bool)>)> {
        let mut from = self.from;
        self.texts.iter().map(move |text| {
            let words = self.words.get(from..text.end).unwrap_or_default();
            from = text.end;
            let term = |word: u32| self.terms.get((word >> 1) as usize).copied().unwrap_or(u32::MAX);
            (text, words.iter().map(move |word| (term(*word), word & 1 == 1)))
        })
    }

    /// Adds the words to a list of occurrences.
    pub(super) fn occurrences(&self, all: &mut Vec<Occurrence>) {
        for (text, words) in self.texts() {
            let field = text.field as u8;
            all.extend(words.map(|(term, is_joined)| Occurrence { term, field, counts: !is_joined }));
        }
    }
}

/// Words that have a stem in common.
pub(super) struct Stem {
    /// The stem.
    pub(super) text: String,
    /// The words, in the order of their characters.
    pub(super) forms: Vec<String>,
    /// Whether one of them says little.
    pub(super) is_small: bool,
}

/// The words of all documents and their stems. A stem's position is the number of its term.
pub(super) struct Stock {
    /// The term of each word.
    terms: Met<u32>,
    /// In the order of their characters.
    pub(super) stems: Vec<Stem>,
}

impl Stock {
    fn new(shares: &[Share], languages: &[Language]) -> Self {
        let mut words: IndexMap<&String, usize, FixedState> = IndexMap::default();
        for (word, language) in shares.iter().flat_map(|share| &share.met) {
            words.entry(word).and_modify(|known| *known = (*known).min(*language)).or_insert(*language);
        }
        let mut words: Vec<(&String, usize)> = words.into_iter().collect();
        words.sort_unstable();
        let stemmed = in_shares(&words, |_, run| run.iter().map(|word| stemmed(*word, languages)).collect::<Vec<_>>());
        let mut stemmed: Vec<(String, &String, bool)> = stemmed.into_iter().flatten().collect();
        stemmed.sort_unstable();
        let (mut terms, mut stems) = (Met::with_capacity_and_hasher(stemmed.len(), FixedState::default()), Vec::new());
        for (at, run) in (0..).zip(stemmed.chunk_by(|a, b| a.0 == b.0)) {
            terms.extend(run.iter().map(|(_, word, _)| ((*word).clone(), at)));
            stems.push(Stem {
                text: run.first().map(|(stem, ..)| stem.clone()).unwrap_or_default(),
                forms: run.iter().map(|(_, word, _)| (*word).clone()).collect(),
                is_small: run.iter().any(|(.., is_small)| *is_small),
            });
        }
        Self { terms, stems }
    }

    /// The term of a word.
    pub(super) fn term(&self, word: &str) -> Option<u32> {
        self.terms.get(word).copied()
    }

    /// Whether a term says little.
    pub(super) fn is_small(&self, term: u32) -> bool {
        self.stems.get(term as usize).is_some_and(|stem| stem.is_small)
    }

    /// The terms of a text that say something, ascending, each once.
    pub(super) fn telling(&self, text: &str) -> Vec<u32> {
        let mut terms = BTreeSet::new();
        Tokenizer::default().each(text, |word, _, is_joined| {
            let term = self.term(word).filter(|term| !is_joined && !self.is_small(*term));
            terms.extend(term);
        });
        terms.into_iter().collect()
    }
}

/// The stem of a word, the word, and whether it says little; such a word is its own stem.
fn stemmed<'w>((word, language): (&'w String, usize), languages: &[Language]) -> (String, &'w String, bool) {
    let is_small = languages.iter().any(|language| language.is_small(word));
    let language = languages.get(language).filter(|_| !is_small);
    (language.map_or_else(|| word.clone(), |own| own.stem(word).into_owned()), word, is_small)
}
