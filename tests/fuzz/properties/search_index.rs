//! The search: a query, what a customer says, a title and a text, parted by lines `===`.

use std::collections::BTreeMap;

use baybook::page::search::{Form, Hit, Index, Query, Stretch, find, fold, search_files, tokens};
use serde_json::Value as Json;

use super::folder::{Linked, linked};

/// Words lead back to their text, a title is found by its own words, and the published files say what the index holds.
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
        let words = tokens(&document.title).iter().filter(|token| !token.is_joined).count();
        if (1..=24).contains(&words) {
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
    let words: Vec<(String, u64, u64)> = (0..count("words")).flat_map(|at| words(&part(&format!("w{at}")))).collect();
    let expected = index.words.iter().map(|word| {
        let term = &index.terms[word.term as usize];
        let flags = u64::from(word.endings) << 2 | u64::from(term.is_small) << 1 | u64::from(word.is_silent);
        (word.text.clone(), u64::from(word.term), flags)
    });
    assert_eq!(words, expected.collect::<Vec<_>>());
    let (fine, documents) = (root["fine"].as_bool().unwrap(), root["documents"].as_u64().unwrap());
    let mut sizes = root["terms"].as_str().unwrap().chars().peekable();
    let mut cuts = 0;
    while sizes.peek().is_some() {
        assert!(number(&mut sizes) > 0, "a part without terms");
        cuts += 1;
    }
    let parts = (0..=cuts).map(|at| part(&format!("t{at}")));
    let terms: Vec<Json> = parts.flat_map(|part| part.as_array().unwrap().clone()).collect();
    assert_eq!(terms.len(), index.terms.len());
    for (json, term) in terms.iter().zip(&index.terms) {
        let (forms, numbers) = json.as_str().unwrap().rsplit_once('|').unwrap();
        assert_eq!(forms, term.forms.join(" "));
        assert_eq!(
            postings(numbers, fine, documents as u32),
            (u64::from(term.scale) << 1 | u64::from(term.is_small), term.postings.clone())
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

fn words(part: &Json) -> Vec<(String, u64, u64)> {
    let mut data = part[1].as_str().unwrap().chars();
    let (mut found, mut before, mut term) = (Vec::new(), String::new(), 0_i64);
    for coded in part[0].as_str().unwrap().split(' ').filter(|coded| !coded.is_empty()) {
        let mut letters = coded.chars();
        let shared = value(letters.next().unwrap()) as usize;
        before = before.chars().take(shared).chain(letters).collect();
        let step = number(&mut data);
        term += if step & 1 == 1 { -((step >> 1) as i64) } else { (step >> 1) as i64 };
        number(&mut data);
        found.push((before.clone(), term as u64, number(&mut data)));
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
