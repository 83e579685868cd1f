//! The search: a query, what a customer says, a title and a text, parted by lines `===`.

use std::collections::BTreeMap;

use baybook::page::search::{Form, Hit, Index, Query, Stretch, find, fold, search_files, tokens};
use serde_json::Value as Json;

use super::folder::{Linked, linked};

/// Words lead back to their text, a title that says something is found by its own words, and the published files say what the index holds.
pub fn search_index(data: &[u8]) {
    let Ok(text) = std::str::from_utf8(data) else { return };
    let mut parts = text.splitn(4, "\n===\n");
    let [query, said, title, body] = [0; 4].map(|_| parts.next().unwrap_or(""));
    [query, said, title, body].into_iter().for_each(words_lead_back);
    let quoted = |text: &str| serde_json::to_string(text).unwrap();
    let symptom = format!(
        "---\ntitle: {}\nheard_as: [{}]\nsenses: [hear]\nsystems: [wheels]\nbasis: demo\n---\n{body}\n",
        quoted(title),
        quoted(said)
    );
    let terms = format!("shimmy: {{means: A shake., heard_as: [{}], see: [symptoms/hum]}}\n", quoted(said));
    let shop = "name: Made up\nlanguages: [en, es]\n";
    let read = linked(&[
        ("symptoms/hum.md", symptom.as_bytes()),
        ("words.yaml", terms.as_bytes()),
        ("shop.yaml", shop.as_bytes()),
    ]);
    read.check(&[]);
    for form in [Form::WHOLE, Form::CUT] {
        let index = Index::of_form(&read.knowledge, form);
        answers(&index, query);
        titles_are_found(&index);
        published(&read, &index);
    }
}

fn words_lead_back(text: &str) {
    let mut before = 0;
    for token in tokens(text) {
        let part = text.get(token.range.clone()).expect("a word stands in its text");
        assert!(!part.is_empty() && !token.text.is_empty());
        assert!(!token.text.contains([' ', '|']), "{token:?} cannot be written into the index");
        assert!(token.is_joined || token.range.start >= before, "{token:?} stands before the word before it");
        before = if token.is_joined { before } else { token.range.start };
    }
    assert_eq!(fold(&fold(text)), fold(text), "{text:?}");
}

fn answers(index: &Index, words: &str) {
    let query = Query { words: words.to_owned(), limit: 100, ..Query::default() };
    let answer = find(index, &query);
    assert_eq!(answer, find(index, &query));
    assert_eq!(answer.results.len(), answer.total.min(100));
    assert_eq!(answer.total_apart, 0, "no vehicle was named");
    for pair in answer.results.windows(2) {
        assert!(pair[0].score >= pair[1].score);
    }
    answer.results.iter().for_each(|hit| whole(index, hit));
}

/// What is shown of a hit is the text of its document.
fn whole(index: &Index, hit: &Hit) {
    let document = &index.documents[hit.document];
    let text = |parts: &[Stretch]| parts.iter().map(|part| part.text.as_str()).collect::<String>();
    assert!(hit.score > 0.0 && hit.score.is_finite());
    assert_eq!(text(&hit.title), document.title);
    if let Some(reason) = hit.reason.as_ref().filter(|reason| reason.class.is_some()) {
        let shown = text(&reason.text);
        assert!(document.passages.iter().any(|passage| passage.text == shown), "{shown:?}");
        assert!(reason.text.iter().any(|part| part.is_found));
    }
}

fn titles_are_found(index: &Index) {
    for (at, document) in index.documents.iter().enumerate() {
        let words: Vec<String> =
            tokens(&document.title).into_iter().filter(|token| !token.is_joined).map(|token| token.text).collect();
        // A word that says little and stands last may be the beginning of one that says more, which then is asked for.
        let says_little = words.iter().all(|word| index.small.contains(&word.as_str()));
        if (1..=24).contains(&words.len()) && !says_little {
            let query = Query { words: document.title.clone(), limit: 1000, ..Query::default() };
            let found = find(index, &query).results.iter().any(|hit| hit.document == at);
            assert!(found, "{:?} is not found by its title", document.title);
        }
    }
}

/// Reads the files as the page's script does.
fn published(read: &Linked, index: &Index) {
    let files = search_files(&read.knowledge, index, &|_| true);
    let text = |path: &str| {
        let file = files.iter().find(|file| file.path == path).unwrap_or_else(|| panic!("no {path}"));
        std::str::from_utf8(&file.bytes).unwrap().to_owned()
    };
    let root = text("data/search.js");
    let root = root.strip_prefix("\"use strict\";\nwindow.baybookSearchIndex = ").unwrap();
    let root: Json = serde_json::from_str(root.strip_suffix(";\n").unwrap()).unwrap();
    let part = |name: &str| -> Json {
        if let Some(part) = root["parts"].get(name) {
            return part.clone();
        }
        let text = text(&format!("data/search/{name}.js"));
        let (_, json) = text.split_once("]=").unwrap();
        serde_json::from_str(json.strip_suffix(";\n").unwrap()).unwrap()
    };
    let count = |list: &str| root[list].as_array().unwrap().len();
    let listed = |letter: &str, list: &str| -> Vec<(String, u64, u64)> {
        (0..count(list)).flat_map(|at| words(&part(&format!("{letter}{at}")), 0)).collect()
    };
    let expected = index.words.iter().map(|word| {
        let term = &index.terms[word.term as usize];
        let flags = u64::from(word.endings) << 2 | u64::from(term.is_small) << 1 | u64::from(word.is_silent);
        (word.text.clone(), u64::from(word.term), flags)
    });
    let expected: Vec<(String, u64, u64)> = expected.collect();
    assert_eq!(listed("w", "words"), expected);
    if index.form.is_cut {
        assert_eq!(listed("l", "letters"), expected);
    }
    let (fine, documents) = (root["fine"].as_bool().unwrap(), root["documents"].as_u64().unwrap());
    let mut sizes = root["terms"].as_str().unwrap().chars().peekable();
    let mut firsts = vec![0];
    while sizes.peek().is_some() {
        let size = number(&mut sizes);
        assert!(size > 0, "a part without terms");
        firsts.push(firsts[firsts.len() - 1] + size);
    }
    let parts: Vec<Json> = (0..firsts.len()).map(|at| part(&format!("t{at}"))).collect();
    if index.form.is_cut {
        let beside: Vec<_> = parts.iter().zip(&firsts).flat_map(|(part, first)| words(part, *first)).collect();
        assert_eq!(beside, expected);
        let splits = uncoded(root["splits"].as_str().unwrap());
        assert_eq!(splits.len() + 1, parts.len());
        for (split, pair) in splits.iter().zip(parts.windows(2)) {
            assert!(uncoded(pair[0][0].as_str().unwrap()).iter().all(|word| word < split), "{split:?}");
            assert!(uncoded(pair[1][0].as_str().unwrap()).iter().all(|word| word >= split), "{split:?}");
        }
    }
    let terms: Vec<Json> = parts.iter().flat_map(|part| part[2].as_array().unwrap().clone()).collect();
    assert_eq!(terms.len(), index.terms.len());
    for (at, (json, term)) in terms.iter().zip(&index.terms).enumerate() {
        let said = index.said(at as u32);
        let (forms, numbers) = json.as_str().unwrap().rsplit_once('|').unwrap();
        assert_eq!(forms, term.forms.join(" "));
        assert_eq!(
            postings(numbers, fine, documents as u32),
            (u64::from(said.scale) << 1 | u64::from(term.is_small), said.postings)
        );
    }
}

fn value(digit: char) -> u64 {
    const DIGITS: &str = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_";
    DIGITS.find(digit).expect("a digit of base 64") as u64
}

fn number(digits: &mut impl Iterator<Item = char>) -> u64 {
    let (mut number, mut place) = (0, 0);
    loop {
        let group = value(digits.next().expect("a number goes on"));
        number |= (group & 31) << place;
        place += 5;
        if group < 32 {
            return number;
        }
    }
}

/// Words of which each says how many letters are those of the word before.
fn uncoded(text: &str) -> Vec<String> {
    let mut before = String::new();
    let coded = text.split(' ').filter(|coded| !coded.is_empty());
    coded
        .map(|coded| {
            let mut letters = coded.chars();
            let shared = value(letters.next().unwrap()) as usize;
            before = before.chars().take(shared).chain(letters).collect();
            before.clone()
        })
        .collect()
}

/// The words of a part with their terms and flags; `first` is what the first term is counted from.
fn words(part: &Json, first: u64) -> Vec<(String, u64, u64)> {
    let mut data = part[1].as_str().unwrap().chars();
    let (mut found, mut term) = (Vec::new(), first as i64);
    for word in uncoded(part[0].as_str().unwrap()) {
        let step = number(&mut data);
        term += if step & 1 == 1 { -((step >> 1) as i64) } else { (step >> 1) as i64 };
        number(&mut data);
        found.push((word, term as u64, number(&mut data)));
    }
    assert!(data.next().is_none(), "numbers are left over");
    found
}

fn postings(text: &str, fine: bool, documents: u32) -> (u64, Vec<(u32, u32)>) {
    let mut text = text.chars().peekable();
    let head = number(&mut text);
    let found = if fine { fine_postings(&mut text) } else { packed_postings(&mut text, documents) };
    assert!(text.next().is_none(), "digits are left over");
    (head, found.into_iter().collect())
}

fn fine_postings(text: &mut std::iter::Peekable<std::str::Chars<'_>>) -> BTreeMap<u32, u32> {
    let (mut found, mut document) = (BTreeMap::new(), 0);
    while text.peek().is_some() {
        document += number(text) as u32;
        let weight = value(text.next().unwrap()) << 6 | value(text.next().unwrap());
        found.insert(document, weight as u32);
    }
    found
}

/// By weight, each weight's documents as gaps in Golomb's code.
fn packed_postings(text: &mut std::iter::Peekable<std::str::Chars<'_>>, documents: u32) -> BTreeMap<u32, u32> {
    let weights = number(text);
    let counts: Vec<u64> = (0..weights).map(|_| number(text)).collect();
    let mut bits = text.flat_map(|digit| (0..6).rev().map(move |place| value(digit) >> place & 1 == 1));
    let mut found = BTreeMap::new();
    for count in counts {
        let (weight, count) = ((count & 15) as u32, (count >> 4) as u32);
        let low = (0..32).rev().find(|low| *low == 0 || (u64::from(count) * 3) << low <= u64::from(documents) * 2);
        let mut next = 0;
        for _ in 0..count {
            let high = bits.by_ref().take_while(|bit| *bit).count() as u32;
            let rest = (0..low.unwrap()).fold(0, |rest, _| rest << 1 | u32::from(bits.next().unwrap()));
            let document = next + (high << low.unwrap() | rest);
            found.insert(document, weight);
            next = document + 1;
        }
    }
    assert!(bits.by_ref().all(|bit| !bit), "bits are left over");
    found
}
