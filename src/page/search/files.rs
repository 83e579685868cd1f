//! The index as script files: plain scripts, because pages opened from a folder can load nothing else.
//!
//! Numbers are written in base 64 (`A-Za-z0-9-_`): a run of numbers as groups of five bits, the lowest first, with 32
//! added where more follow. How postings are written, see [`postings`](super::postings).

use serde_json::{Value as Json, json};

use super::documents::{Document, DocumentKind, PassageClass};
use super::index::{Index, Term, Word};
use super::language::ENDINGS;
use super::postings::{digit, fine_postings, number, packed_postings};
use super::{look_up, tokens};
use crate::entry::Kind;
use crate::knowledge::Knowledge;
use crate::knowledge::fit::Region;
use crate::page::edition::boxes;
use crate::page::listings::SENSES;
use crate::page::site::PageFile;

/// Words in a part.
const WORDS: usize = 256;
/// Characters of terms after which a new part begins.
const TERMS: usize = 8_000;
/// Documents in a part.
const DOCUMENTS: usize = 16;

/// The files of the search. `has_flow` says of a symptom's id whether the site has its flow.
pub fn search_files(knowledge: &Knowledge, index: &Index, has_flow: &dyn Fn(&str) -> bool) -> Vec<PageFile> {
    let mut parts: Vec<(String, Json)> = Vec::new();
    let word_firsts = word_parts(index, &mut parts);
    let term_firsts = term_parts(index, &mut parts);
    let fits = fits(index);
    document_parts(index, &fits, has_flow, &mut parts);
    facet_parts(index, &fits, &mut parts);
    let mut root = root(knowledge, index);
    let parts = parts.into_iter();
    let mut files = Vec::new();
    if let Json::Object(root) = &mut root {
        root.insert("fits".to_owned(), fits_json(knowledge, &fits));
        root.insert("words".to_owned(), json!(word_firsts));
        root.insert("terms".to_owned(), json!(term_firsts));
        // What is shown of documents is most of a small index: no page waits for it.
        let (apart, own): (Vec<_>, Vec<_>) = parts.partition(|(name, _)| index.form.is_cut || name.starts_with('d'));
        files.extend(apart.into_iter().map(|(name, part)| part_file(&name, &part)));
        root.insert("parts".to_owned(), Json::Object(own.into_iter().collect()));
    }
    let text = format!("\"use strict\";\nwindow.baybookSearchIndex = {root};\n");
    files.push(PageFile { path: "data/search.js".to_owned(), bytes: text.into_bytes() });
    files
}

fn part_file(name: &str, part: &Json) -> PageFile {
    let text = format!("(window.baybookSearchParts=window.baybookSearchParts||{{}})[\"{name}\"]={part};\n");
    PageFile { path: format!("data/search/{name}.js"), bytes: text.into_bytes() }
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
        "fine": is_fine(index),
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

/// Words, sorted and front-coded: how many letters are those of the word before, then the rest. Beside them, three
/// numbers a word: its term, against the term before; how many documents have it; its endings and whether it is
/// silent or small.
fn word_parts(index: &Index, parts: &mut Vec<(String, Json)>) -> Vec<String> {
    let size = if index.form.is_cut { WORDS } else { usize::MAX };
    let mut firsts = Vec::new();
    for (at, words) in index.words.chunks(size).enumerate() {
        let (mut text, mut data) = (String::new(), String::new());
        let mut before: Option<&Word> = None;
        for word in words {
            let shared = before.map_or(0, |before| shared(&before.text, &word.text));
            let rest: String = word.text.chars().skip(shared).collect();
            text.push(digit(shared));
            text.push_str(&rest);
            text.push(' ');
            let step = i64::from(word.term) - before.map_or(0, |before| i64::from(before.term));
            number(&mut data, (step.unsigned_abs() << 1) | u64::from(step < 0));
            let term = index.term(word.term);
            number(&mut data, term.map_or(0, |term| u64::from(term.documents)));
            let is_small = term.is_some_and(|term| term.is_small);
            number(&mut data, u64::from(word.endings) << 2 | u64::from(is_small) << 1 | u64::from(word.is_silent));
            before = Some(word);
        }
        firsts.extend(words.first().map(|word| word.text.clone()));
        parts.push((format!("w{at}"), json!([text.trim_end(), data])));
    }
    firsts
}

/// Letters that both words begin with, as far as one digit counts.
fn shared(a: &str, b: &str) -> usize {
    a.chars().zip(b.chars()).take_while(|(a, b)| a == b).count().min(63)
}

/// Terms: the forms, then the scale doubled, and 1 for a term that says little, then the postings.
fn term_parts(index: &Index, parts: &mut Vec<(String, Json)>) -> Vec<usize> {
    let limit = if index.form.is_cut { TERMS } else { usize::MAX };
    let (mut firsts, mut open, mut length) = (vec![0], Vec::new(), 0);
    for (at, term) in index.terms.iter().enumerate() {
        let text = term_text(term, index);
        if !open.is_empty() && length + text.len() > limit {
            parts.push((format!("t{}", firsts.len() - 1), Json::Array(std::mem::take(&mut open))));
            firsts.push(at);
            length = 0;
        }
        length += text.len();
        open.push(Json::from(text));
    }
    parts.push((format!("t{}", firsts.len() - 1), Json::Array(open)));
    firsts
}

/// Whether postings stand by document, with fine weights, or packed by weight.
fn is_fine(index: &Index) -> bool {
    index.form.steps > 15
}

fn term_text(term: &Term, index: &Index) -> String {
    let mut text = term.forms.join(" ");
    text.push('|');
    number(&mut text, u64::from(term.scale) << 1 | u64::from(term.is_small));
    match is_fine(index) {
        true => fine_postings(&mut text, &term.postings),
        false => packed_postings(&mut text, &term.postings, index.documents.len()),
    }
    text
}

/// Documents: id, title, page where the id does not give it, whether there is a flow, which set of vehicles, and the
/// passages, each with one letter for what it is.
fn document_parts(
    index: &Index,
    fits: &[Option<&Region>],
    has_flow: &dyn Fn(&str) -> bool,
    parts: &mut Vec<(String, Json)>,
) {
    let size = if index.form.is_cut { DOCUMENTS } else { usize::MAX };
    for (at, documents) in index.documents.chunks(size).enumerate() {
        let rows = documents.iter().map(|document| {
            let is_symptom = document.kind == DocumentKind::Entry(Kind::Symptom);
            document_json(document, fit_of(document, fits), is_symptom && has_flow(&document.id))
        });
        parts.push((format!("d{at}"), Json::Array(rows.collect())));
    }
}

fn document_json(document: &Document, fit: usize, has_flow: bool) -> Json {
    let is_word = document.kind == DocumentKind::Word;
    let passages = document.passages.iter().map(|passage| format!("{}{}", class_letter(passage.class), passage.text));
    json!([
        document.id,
        if document.title == document.id { "" } else { &document.title },
        if is_word { document.page.as_str() } else { "" },
        u8::from(has_flow),
        fit,
        passages.collect::<Vec<_>>(),
    ])
}

/// The letter that stands for a class of passages in the index.
pub(super) fn class_letter(class: PassageClass) -> char {
    match class {
        PassageClass::Phrase => 'p',
        PassageClass::Trade => 'w',
        PassageClass::Codes => 'c',
        PassageClass::Sentence => 't',
    }
}

/// The different sets of vehicles; every vehicle is the first.
fn fits(index: &Index) -> Vec<Option<&Region>> {
    let mut fits = vec![None];
    for document in &index.documents {
        if !fits.contains(&document.region.as_ref()) {
            fits.push(document.region.as_ref());
        }
    }
    fits
}

fn fit_of(document: &Document, fits: &[Option<&Region>]) -> usize {
    fits.iter().position(|known| *known == document.region.as_ref()).unwrap_or(0)
}

fn fits_json(knowledge: &Knowledge, fits: &[Option<&Region>]) -> Json {
    let row = |region: &Option<&Region>| match region {
        Some(region) => json!([boxes(knowledge, region), knowledge.universe.phrase(region)]),
        None => json!(["", ""]),
    };
    Json::from(fits.iter().map(row).collect::<Vec<_>>())
}

/// What can be filtered by: one number for each document, or for systems a count and the numbers.
fn facet_parts(index: &Index, fits: &[Option<&Region>], parts: &mut Vec<(String, Json)>) {
    let (mut fit, mut system, mut sense) = (String::new(), String::new(), String::new());
    for document in &index.documents {
        number(&mut fit, fit_of(document, fits) as u64);
        number(&mut system, document.systems.len() as u64);
        document.systems.iter().for_each(|at| number(&mut system, *at as u64));
        let bits = SENSES.iter().enumerate().filter(|(_, sense)| document.senses.iter().any(|own| own == *sense));
        number(&mut sense, bits.fold(0, |bits, (at, _)| bits | 1 << at));
    }
    for (name, text) in [("fit", fit), ("system", system), ("sense", sense)] {
        parts.push((name.to_owned(), Json::from(text)));
    }
}
