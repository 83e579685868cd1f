//! The index as script files: plain scripts, because pages opened from a folder can load nothing else.
//!
//! Numbers are written in base 64 (`A-Za-z0-9-_`): a run of numbers as groups of five bits, the lowest first, with 32
//! added where more follow. How postings are written, see [`postings`](super::postings).

use rayon::prelude::*;
use serde_json::{Value as Json, json};

use super::document_files::{DOCUMENTS, DocumentFiles, Fits};
use super::documents::DocumentKind;
use super::index::{Index, Word};
use super::language::ENDINGS;
use super::postings::{digit, number, packed};
use super::term_files::TermFiles;
use super::{look_up, tokens};
use crate::knowledge::Knowledge;
use crate::knowledge::fit::Region;
use crate::page::edition::boxes;
use crate::page::listings::SENSES;
use crate::page::outlet::Outlet;
use crate::page::site::{PageFault, PageFile};

/// Words in a part of words alone.
const WORDS: usize = 512;
/// Fewest and most words in a part for a letter; within these bounds a part ends where the first letter changes.
const LETTERS: (usize, usize) = (2_048, 8_192);

/// The files of the search. `has_flow` says of a symptom's id whether the site has its flow.
pub fn search_files(knowledge: &Knowledge, index: &Index, has_flow: &(dyn Fn(&str) -> bool + Sync)) -> Vec<PageFile> {
    let (fits, terms) = (Fits::new(index), TermFiles::new(index));
    let mut files = other_files(knowledge, index, &fits, &terms);
    files.extend(DocumentFiles { knowledge, index, fits: &fits, has_flow }.all());
    files.extend(terms.all());
    files
}

/// Hands the same files over; those of documents and of terms are made only if they do not stand.
///
/// # Errors
/// If the outlet wants no more.
pub fn take_search_files(
    knowledge: &Knowledge,
    index: &Index,
    has_flow: &(dyn Fn(&str) -> bool + Sync),
    outlet: &dyn Outlet,
) -> Result<(), PageFault> {
    let (fits, terms) = (Fits::new(index), TermFiles::new(index));
    DocumentFiles { knowledge, index, fits: &fits, has_flow }.take(outlet)?;
    terms.take(outlet)?;
    let others = other_files(knowledge, index, &fits, &terms);
    others.into_par_iter().try_for_each(|file| outlet.take(file, None))
}

/// The root, and the parts that are neither of terms nor of documents. A small index is one file, but for what is shown of
/// documents: that is most of it, and no page waits for it.
fn other_files(knowledge: &Knowledge, index: &Index, fits: &Fits<'_>, terms: &TermFiles<'_>) -> Vec<PageFile> {
    let mut parts: Vec<(String, Json)> = Vec::new();
    let word_firsts = word_parts(index, "w", &|words| words.len().min(WORDS), &mut parts);
    let letter_firsts = match index.form.is_cut {
        true => word_parts(index, "l", &of_letter, &mut parts),
        false => Vec::new(),
    };
    parts.extend(terms.whole());
    facet_parts(index, fits, &mut parts);
    let mut root = root(knowledge, index);
    let mut files = Vec::new();
    if let Json::Object(root) = &mut root {
        root.insert("fits".to_owned(), fits_json(knowledge, fits));
        root.insert("words".to_owned(), json!(word_firsts));
        root.insert("letters".to_owned(), json!(letter_firsts));
        root.insert("splits".to_owned(), json!(front_coded(terms.splits())));
        root.insert("terms".to_owned(), json!(terms.sizes()));
        let (apart, own) = if index.form.is_cut { (parts, Vec::new()) } else { (Vec::new(), parts) };
        files.par_extend(apart.into_par_iter().map(|(name, part)| part_file(&name, &part)));
        root.insert("parts".to_owned(), Json::Object(own.into_iter().collect()));
    }
    let text = format!("\"use strict\";\nwindow.baybookSearchIndex = {root};\n");
    files.push(PageFile { path: "data/search.js".to_owned(), bytes: text.into_bytes() });
    files
}

fn part_file(name: &str, part: &Json) -> PageFile {
    PageFile { path: part_path(name), bytes: part_text(name, part) }
}

pub(super) fn part_path(name: &str) -> String {
    format!("data/search/{name}.js")
}

pub(super) fn part_text(name: &str, part: &Json) -> Vec<u8> {
    format!("(window.baybookSearchParts=window.baybookSearchParts||{{}})[\"{name}\"]={part};\n").into_bytes()
}

/// What the script needs before anything is asked: sizes, parameters, names of what can be filtered by.
fn root(knowledge: &Knowledge, index: &Index) -> Json {
    let first = |kind: &DocumentKind| index.documents.partition_point(|document| document.kind < *kind);
    let kinds: Vec<Json> = DocumentKind::ALL.iter().map(|kind| json!([kind.word(), first(kind)])).collect();
    let systems = knowledge.systems.iter().map(|(_, system)| json!([system.head.id, system.head.title.value]));
    let likenesses = index.likenesses.iter().map(|likeness| json!([likeness.when, likeness.then]));
    let endings = ENDINGS.iter().map(|ending| json!([ending.cut, ending.doubles, ending.add]));
    json!({
        "documents": index.documents.len(),
        "cut": index.form.is_cut,
        "fine": index.form.is_fine(),
        "part": DOCUMENTS,
        "languages": knowledge.shop.languages,
        "kinds": kinds,
        "systems": systems.collect::<Vec<_>>(),
        "senses": SENSES,
        "likenesses": likenesses.collect::<Vec<_>>(),
        "endings": endings.collect::<Vec<_>>(),
        "units": tokens::UNITS,
        "small": index.small,
        "rules": look_up::rules(index),
    })
}

/// Parts of words alone, for beginnings and slips: of some words next to each other, or of all that begin with a letter.
/// Gives where each begins: what its words are not before. In a small index one part has all words.
fn word_parts(
    index: &Index,
    letter: &str,
    size: &dyn Fn(&[Word]) -> usize,
    parts: &mut Vec<(String, Json)>,
) -> Vec<String> {
    let (mut begins, mut rest) = (Vec::new(), index.words.as_slice());
    let mut before = "";
    while let Some(first) = rest.first() {
        let (words, after) = rest.split_at(if index.form.is_cut { size(rest) } else { rest.len() });
        parts.push((format!("{letter}{}", begins.len()), json!(word_list(index, words, 0))));
        begins.push(between(before, &first.text));
        before = words.last().map_or("", |word| word.text.as_str());
        rest = after;
    }
    begins
}

/// The shortest text that is after one and not after the other.
pub(super) fn between(before: &str, after: &str) -> String {
    after.chars().take(before.chars().zip(after.chars()).take_while(|(a, b)| a == b).count() + 1).collect()
}

/// How many of the words make a part for a letter.
fn of_letter(words: &[Word]) -> usize {
    let (fewest, most) = LETTERS;
    let letter = |at: usize| words.get(at).and_then(|word| word.text.chars().next());
    let most = words.len().min(most);
    (fewest..most).find(|at| letter(at - 1) != letter(*at)).unwrap_or(most)
}

/// Words, sorted and front-coded, and beside them three numbers a word: its term, against the term before, which for
/// the first word is `term`; how many documents have it; its endings and whether it is silent or small.
pub(super) fn word_list(index: &Index, words: &[Word], term: u32) -> [String; 2] {
    let (mut data, mut before) = (String::new(), i64::from(term));
    for word in words {
        let step = i64::from(word.term) - before;
        before = i64::from(word.term);
        number(&mut data, (step.unsigned_abs() << 1) | u64::from(step < 0));
        let term = index.term(word.term);
        number(&mut data, term.map_or(0, |term| u64::from(term.documents)));
        let is_small = term.is_some_and(|term| term.is_small);
        number(&mut data, u64::from(word.endings) << 2 | u64::from(is_small) << 1 | u64::from(word.is_silent));
    }
    [front_coded(words.iter().map(|word| word.text.as_str())), data]
}

/// Of each word how many letters are those of the word before, then the rest.
fn front_coded<'w>(words: impl Iterator<Item = &'w str>) -> String {
    let (mut text, mut before) = (String::new(), "");
    for word in words {
        let shared = shared(before, word);
        text.push(digit(shared));
        text.extend(word.chars().skip(shared));
        text.push(' ');
        before = word;
    }
    text.pop();
    text
}

/// Letters that both words begin with, as far as one digit counts.
fn shared(a: &str, b: &str) -> usize {
    a.chars().zip(b.chars()).take_while(|(a, b)| a == b).count().min(63)
}

fn fits_json(knowledge: &Knowledge, fits: &Fits<'_>) -> Json {
    let row = |region: &Option<&Region>| match region {
        Some(region) => json!([boxes(knowledge, region), knowledge.universe.phrase(region)]),
        None => json!(["", ""]),
    };
    Json::from(fits.regions.iter().map(row).collect::<Vec<_>>())
}

/// What can be filtered by: of each document its set of vehicles and its senses, packed; how many systems it has, and
/// their numbers.
fn facet_parts(index: &Index, fits: &Fits<'_>, parts: &mut Vec<(String, Json)>) {
    let senses = index.documents.iter().map(|document| {
        let bits = SENSES.iter().enumerate().filter(|(_, sense)| document.senses.iter().any(|own| own == *sense));
        bits.fold(0, |bits, (at, _)| bits | 1 << at)
    });
    let size = usize::BITS - fits.regions.len().saturating_sub(1).leading_zeros();
    let mut systems = String::new();
    for document in &index.documents {
        number(&mut systems, document.systems.len() as u64);
        document.systems.iter().for_each(|at| number(&mut systems, *at as u64));
    }
    parts.push(("fit".to_owned(), Json::from(packed(fits.of_documents.iter().copied(), size))));
    parts.push(("system".to_owned(), Json::from(systems)));
    parts.push(("sense".to_owned(), Json::from(packed(senses, SENSES.len() as u32))));
}
