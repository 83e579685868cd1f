//! The documents and their words: every text is read once, and from then on words are numbers.

use std::borrow::Cow;
use std::collections::BTreeSet;

use foldhash::fast::FixedState;
use indexmap::IndexMap;
use rayon::prelude::*;
use serde::{Deserialize, Serialize};

use super::documents::{Document, Field, Searched, Subject, document, outline, subjects, terms_by_entry, text_print};
use super::language::Language;
use super::shares::in_shares;
use super::tokens::Tokenizer;
use super::weigh::Counts;
use crate::diagnostic::Digest;
use crate::knowledge::Knowledge;
use crate::source::Memo;

/// Words in the order in which they were met.
type Met<T> = IndexMap<String, T, FixedState>;

/// So many documents are read together, and remembered together: a run that finds one of them changed reads these again.
const TOGETHER: usize = 128;

/// The words of a run of documents, numbered by themselves: what an earlier run may have found out.
#[derive(Default, Serialize, Deserialize)]
struct Share {
    /// Each word, and a blank after it.
    met: String,
    /// For each word the first of the shop's languages in whose texts it stands.
    languages: Vec<usize>,
    /// Words of all texts as digits: their numbers doubled, and 1 for a joined word.
    #[serde(with = "serde_bytes")]
    words: Vec<u8>,
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
    /// How many words of its own: joined words stand for these.
    words: u32,
    /// How many digits of words there are up to its end.
    end: usize,
}

/// A text as it is read: where it stands, its language among the shop's, its sentence, what it says.
type Unread<'d> = (Field, usize, Option<u32>, &'d str);

impl Share {
    fn of(documents: &[Vec<Unread<'_>>]) -> Self {
        let (mut share, mut met, mut tokenizer) = (Self::default(), Met::default(), Tokenizer::default());
        for texts in documents {
            for (field, language, sentence, text) in texts {
                let mut words = 0;
                tokenizer.each(text, |word, _, is_joined| {
                    words += u32::from(!is_joined);
                    push_digits(&mut share.words, number(&mut met, word, *language) << 1 | u32::from(is_joined));
                });
                let (bytes, end) = (u32::try_from(text.len()).unwrap_or(u32::MAX), share.words.len());
                share.texts.push(ReadText { field: *field, sentence: *sentence, bytes, words, end });
            }
            share.ends.push(share.texts.len());
        }
        for (word, language) in met {
            share.met.push_str(&word);
            share.met.push(' ');
            share.languages.push(language);
        }
        share
    }

    /// Each word and its language.
    fn words(&self) -> impl Iterator<Item = (&str, usize)> {
        self.met.split_terminator(' ').zip(self.languages.iter().copied())
    }
}

/// A number as groups of seven bits, the lowest first, with 128 added where more follow.
fn push_digits(digits: &mut Vec<u8>, mut number: u32) {
    while number > 127 {
        digits.push(number as u8 | 128);
        number >>= 7;
    }
    digits.push(number as u8);
}

/// Hands over each of the numbers that the digits say.
fn each_number(digits: &[u8], mut take: impl FnMut(u32)) {
    let (mut number, mut place) = (0, 0);
    for digit in digits {
        number |= u32::from(digit & 127) << (place & 31);
        if *digit < 128 {
            take(number);
            (number, place) = (0, 0);
        } else {
            place += 7;
        }
    }
}

/// The documents of the run of subjects at that position, which need their texts no more, and their words. Where these are
/// known without looking at the texts, the documents are outlines.
fn read_together(knowledge: &Knowledge, at: usize, subjects: &[Subject<'_>], memo: &Memo) -> (Vec<Document>, Share) {
    let prints: Vec<Digest> = subjects.iter().map(|subject| text_print(knowledge, *subject)).collect();
    let circumstances = (knowledge.print, at, prints);
    let known: Option<Digest> = memo.recall("block", &circumstances);
    if let Some(share) = known.and_then(|words| memo.recall_named(&words)) {
        return (subjects.iter().filter_map(|subject| outline(knowledge, *subject)).collect(), share);
    }
    let mut documents: Vec<Document> = subjects.iter().filter_map(|subject| document(knowledge, *subject)).collect();
    let texts: Vec<Vec<Unread<'_>>> = documents.iter().map(unread).collect();
    let (share, words) = memo.named("words", &texts, || Share::of(&texts));
    drop(texts);
    if let Some(words) = words {
        memo.note("block", &circumstances, &words);
    }
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
    /// Where the digits of its words begin.
    from: usize,
    words: &'r [u8],
    terms: &'r [u32],
}

/// Reads every text.
pub(super) fn read(knowledge: &Knowledge, languages: &[Language], memo: &Memo) -> (Reading, Stock) {
    let leading = terms_by_entry(knowledge);
    let subjects = subjects(knowledge, &leading);
    let together: Vec<&[Subject<'_>]> = subjects.chunks(TOGETHER).collect();
    let read = in_shares(&together, |first, run| {
        (first..).zip(run).map(|(at, subjects)| read_together(knowledge, at, subjects, memo)).collect::<Vec<_>>()
    });
    let (documents, mut shares): (Vec<Vec<Document>>, Vec<Share>) = read.into_iter().flatten().unzip();
    let (stock, terms) = Stock::new(&shares, languages);
    // From here on words are the numbers of their terms.
    shares.iter_mut().for_each(|share| (share.met, share.languages) = Default::default());
    let documents = documents.into_iter().flatten().collect();
    let bytes = shares.iter().flat_map(|share| &share.texts).map(|text| text.bytes as usize).sum();
    (Reading { documents, bytes, shares, terms }, stock)
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
    /// Each text with the digits of its words.
    pub(super) fn texts(&self) -> impl Iterator<Item = (&ReadText, &[u8])> {
        let mut from = self.from;
        self.texts.iter().map(move |text| {
            let digits = self.words.get(from..text.end).unwrap_or_default();
            from = text.end;
            (text, digits)
        })
    }

    /// Hands over the term of each word that the digits say, and whether the word is joined.
    pub(super) fn each_term(&self, digits: &[u8], mut take: impl FnMut(u32, bool)) {
        each_number(digits, |word| {
            let term = self.terms.get((word >> 1) as usize).copied();
            take(term.unwrap_or(u32::MAX), word & 1 == 1);
        });
    }

    /// Adds to the lengths of the fields.
    pub(super) fn lengths(&self, lengths: &mut [f64]) {
        for text in self.texts {
            if let Some(length) = lengths.get_mut(text.field as usize) {
                *length += f64::from(text.words);
            }
        }
    }

    /// Counts the words.
    pub(super) fn count(&self, counts: &mut Counts) {
        for (text, digits) in self.texts() {
            let field = text.field as u8;
            self.each_term(digits, |term, _| counts.add(term, field));
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

impl Stem {
    /// Of words that have it in common.
    fn of(words: &[Stemmed<'_>]) -> Option<Self> {
        let text = words.first()?.stem.clone().into_owned();
        let forms = words.iter().map(|own| own.word.to_owned()).collect();
        Some(Self { text, forms, is_small: words.iter().any(|own| own.is_small) })
    }
}

/// The words of all documents and their stems. A stem's position is the number of its term.
pub(super) struct Stock {
    /// The term of each word.
    terms: Met<u32>,
    /// In the order of their characters.
    pub(super) stems: Vec<Stem>,
}

impl Stock {
    /// The stock of all shares, and for each share the terms of its words.
    fn new(shares: &[Share], languages: &[Language]) -> (Self, Vec<Vec<u32>>) {
        let (words, numbers) = met(shares);
        let mut words: Vec<(&str, usize, usize)> =
            words.into_iter().zip(0..).map(|((word, language), at)| (word, language, at)).collect();
        words.par_sort_unstable();
        let stemmed = in_shares(&words, |_, run| run.iter().map(|word| stemmed(*word, languages)).collect::<Vec<_>>());
        let mut stemmed: Vec<Stemmed<'_>> = stemmed.into_iter().flatten().collect();
        stemmed.par_sort_unstable_by(|a, b| a.stem.cmp(&b.stem).then_with(|| a.word.cmp(b.word)));
        let runs: Vec<&[Stemmed<'_>]> = stemmed.chunk_by(|a, b| a.stem == b.stem).collect();
        let (stems, terms) = rayon::join(
            || runs.iter().filter_map(|run| Stem::of(run)).collect(),
            || (0..).zip(&runs).flat_map(|(at, run)| run.iter().map(move |own| (own.word.to_owned(), at))).collect(),
        );
        let mut of_words = vec![u32::MAX; stemmed.len()];
        for (at, own) in (0..).zip(&runs).flat_map(|(at, run)| run.iter().map(move |own| (at, own))) {
            if let Some(term) = of_words.get_mut(own.at) {
                *term = at;
            }
        }
        let term = |word: &usize| of_words.get(*word).copied().unwrap_or(u32::MAX);
        (Self { terms, stems }, numbers.par_iter().map(|words| words.iter().map(term).collect()).collect())
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

/// Words, each with the first of the shop's languages in whose texts it stands.
type ByWord<'s> = IndexMap<&'s str, usize, FixedState>;

/// Every word with its language, and for each share the places of its words among these. Half of the shares are counted by
/// themselves, on another core.
fn met(shares: &[Share]) -> (ByWord<'_>, Vec<Vec<usize>>) {
    let (first, second) = shares.split_at(shares.len() / 2);
    let ((mut words, mut numbers), (others, mut of_others)) =
        rayon::join(|| met_in_turn(first), || met_in_turn(second));
    let places: Vec<usize> = others.into_iter().map(|(word, language)| place(&mut words, word, language)).collect();
    for number in of_others.iter_mut().flatten() {
        *number = places.get(*number).copied().unwrap_or(usize::MAX);
    }
    numbers.append(&mut of_others);
    (words, numbers)
}

fn met_in_turn(shares: &[Share]) -> (ByWord<'_>, Vec<Vec<usize>>) {
    let mut words = ByWord::default();
    let own = |share| Share::words(share).map(|(word, language)| place(&mut words, word, language)).collect();
    let numbers = shares.iter().map(own).collect();
    (words, numbers)
}

fn place<'s>(words: &mut ByWord<'s>, word: &'s str, language: usize) -> usize {
    let entry = words.entry(word);
    let at = entry.index();
    entry.and_modify(|known| *known = language.min(*known)).or_insert(language);
    at
}

/// A word and its stem.
struct Stemmed<'w> {
    stem: Cow<'w, str>,
    word: &'w str,
    /// Whether it says little; such a word is its own stem.
    is_small: bool,
    /// Its number among all words as they were met.
    at: usize,
}

fn stemmed<'w>((word, language, at): (&'w str, usize, usize), languages: &[Language]) -> Stemmed<'w> {
    let is_small = languages.iter().any(|language| language.is_small(word));
    let language = languages.get(language).filter(|_| !is_small);
    let stem = language.map_or(Cow::Borrowed(word), |own| own.stem(word));
    Stemmed { stem, word, is_small, at }
}
