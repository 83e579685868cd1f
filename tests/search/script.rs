//! The page's script, run in Node on the published index, gives the same answers as the program.

use std::fmt::Write as _;
use std::fs;
use std::process::Command;

use baybook::entry::YearRange;
use baybook::knowledge::fit::Selection;
use baybook::page::search::{
    Answer, DocumentKind, Form, Hit, Index, PassageClass, Query, Stretch, find, search_files, tokens,
};
use serde_json::{Value as Json, json};

use super::demo;
use crate::support::repository;

/// A query, and the vehicle as the page keeps it.
struct Asked {
    query: Query,
    vehicle: Json,
}

#[test]
fn five_hundred_queries_get_the_same_answers_from_one_file() {
    compare(Form::WHOLE, &queries(500));
}

#[test]
fn five_hundred_queries_get_the_same_answers_from_parts() {
    compare(Form::CUT, &queries(500));
}

fn compare(form: Form, asked: &[Asked]) {
    let index = Index::of_form(demo(), form);
    let folder = tempfile::tempdir().unwrap();
    for file in search_files(demo(), &index, &|id| id.len().is_multiple_of(2)) {
        let path = folder.path().join(&file.path);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, file.bytes).unwrap();
    }
    let questions: Vec<Json> = asked.iter().map(question).collect();
    let input = folder.path().join("queries.json");
    fs::write(&input, serde_json::to_string(&questions).unwrap()).unwrap();
    let ran = Command::new("node")
        .arg(repository().join("tests/search/answer.js"))
        .args([&repository().join("themes/workshop"), folder.path(), &input])
        .output()
        .unwrap();
    assert!(ran.status.success(), "{}", String::from_utf8_lossy(&ran.stderr));
    let answers: Vec<Json> = serde_json::from_slice(&ran.stdout).unwrap();
    assert_eq!(answers.len(), asked.len());
    let mut found = 0;
    for (asked, theirs) in asked.iter().zip(&answers) {
        let own = answer(&index, &find(&index, &asked.query));
        assert_eq!(&own, theirs, "{:?} {}", asked.query, asked.vehicle);
        found += usize::from(own["total"].as_u64() > Some(0));
    }
    assert!(found * 10 > asked.len() * 7, "only {found} queries found anything");
}

fn question(asked: &Asked) -> Json {
    json!({
        "words": asked.query.words,
        "vehicle": asked.vehicle,
        "kind": asked.query.kind.map(DocumentKind::word),
        "system": asked.query.system.map(|at| demo().systems.iter().nth(at).unwrap().1.head.id.clone()),
        "sense": asked.query.sense,
        "limit": asked.query.limit,
    })
}

fn answer(index: &Index, answer: &Answer) -> Json {
    let hits = |hits: &[Hit]| hits.iter().map(|hit| hit_json(index, hit)).collect::<Vec<_>>();
    let read_as = answer.read_as.iter().map(|read| json!({"word": read.word, "takenFor": read.taken_for}));
    json!({
        "results": hits(&answer.results),
        "apart": hits(&answer.apart),
        "total": answer.total,
        "totalApart": answer.total_apart,
        "readAs": read_as.collect::<Vec<_>>(),
        "unknown": answer.unknown,
        "rare": answer.rare,
        "nearest": answer.nearest,
    })
}

/// Scores are compared by their bits.
fn hit_json(index: &Index, hit: &Hit) -> Json {
    let document = &index.documents[hit.document];
    let stretches = |all: &[Stretch]| all.iter().map(|part| json!([part.text, part.is_found])).collect::<Vec<_>>();
    let what = |class: Option<PassageClass>| match class {
        Some(PassageClass::Phrase) => "p",
        Some(PassageClass::Trade) => "w",
        Some(PassageClass::Codes) => "c",
        Some(PassageClass::Sentence) => "t",
        None => "",
    };
    json!({
        "kind": document.kind.word(),
        "id": document.id,
        "page": document.page,
        "score": format!("{:016x}", hit.score.to_bits()),
        "title": stretches(&hit.title),
        "fits": document.region.as_ref().map_or(String::new(), |region| demo().universe.phrase(region)),
        "flow": document.kind.word() == "symptom" && document.id.len().is_multiple_of(2),
        "reason": hit.reason.as_ref().map(|reason| json!({"what": what(reason.class), "text": stretches(&reason.text)})),
    })
}

/// Queries as people type them, made from the entries' own words by a fixed sequence of numbers: whole phrases, a few
/// words, beginnings, slips of the finger, words run together; some with a vehicle or a filter.
fn queries(count: usize) -> Vec<Asked> {
    let index = super::index();
    let mut dice = Dice(20_260_205);
    let mut asked = Vec::new();
    while asked.len() < count {
        let document = &index.documents[dice.roll(index.documents.len())];
        let texts: Vec<&str> =
            document.passages.iter().map(|passage| passage.text.as_str()).chain([document.title.as_str()]).collect();
        let words = tokens(texts[dice.roll(texts.len())]);
        let words: Vec<String> = words.into_iter().filter(|word| !word.is_joined).map(|word| word.text).collect();
        if words.is_empty() {
            continue;
        }
        let from = dice.roll(words.len());
        let mut words: Vec<String> = words.into_iter().skip(from).take(1 + dice.roll(6)).collect();
        for word in &mut words {
            slip(word, &mut dice);
        }
        let joint = [" ", " ", " ", " ", "-", ""][dice.roll(6)];
        asked.push(with_filters(words.join(joint), &mut dice));
    }
    asked
}

fn slip(word: &mut String, dice: &mut Dice) {
    let mut letters: Vec<char> = word.chars().collect();
    let at = dice.roll(letters.len());
    match dice.roll(12) {
        0 => _ = letters.remove(at),
        1 => letters.insert(at, 'e'),
        2 if at > 0 => letters.swap(at, at - 1),
        3 => letters.truncate(at + 1),
        4 => letters.extend("ed".chars()),
        5 => letters.extend("ing".chars()),
        _ => {}
    }
    *word = letters.into_iter().collect();
}

fn with_filters(words: String, dice: &mut Dice) -> Asked {
    let kind = (dice.roll(5) == 0).then(|| DocumentKind::ALL[dice.roll(7)]);
    let system = (dice.roll(8) == 0).then(|| dice.roll(demo().systems.len()));
    let sense =
        (dice.roll(10) == 0).then(|| ["hear", "feel", "see", "smell", "lamp", "performs"][dice.roll(6)].to_owned());
    let mut query = Query { words, kind, system, sense, limit: 1 + dice.roll(12), vehicles: None };
    let mut vehicle = Json::Null;
    if dice.roll(2) == 0 {
        let lines = &demo().universe.vehicles().lines;
        let line = dice.roll(lines.len());
        let year =
            lines[line].first_year + dice.roll(usize::from(lines[line].last_year - lines[line].first_year + 1)) as u16;
        let mut selection = Selection {
            line,
            years: Some(vec![YearRange { first: Some(year), last: Some(year) }]),
            ..Selection::default()
        };
        vehicle = json!({"line": lines[line].id, "year": year, "options": {}});
        for (at, option) in lines[line].options.iter().enumerate() {
            if dice.roll(2) == 0 {
                let value = dice.roll(option.values.len());
                selection.options.insert(at, [value].into());
                vehicle["options"][&option.id] = json!(option.values[value].id);
            }
        }
        query.vehicles = Some(demo().universe.select(&selection));
    }
    Asked { query, vehicle }
}

/// The same numbers on every machine (a linear congruential sequence; Knuth's multiplier).
struct Dice(u64);

impl Dice {
    fn roll(&mut self, sides: usize) -> usize {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        ((self.0 >> 33) % sides as u64) as usize
    }
}

#[test]
fn words_of_difficult_texts_are_the_same_in_both() {
    let texts = [
        "Señor's \"stop-start\" won’t; 12.4 V, 12.4V, 205/55 R16 & C0035!",
        "é e\u{301} İstanbul ẞ straße ΟΔΟΣ",
        "5\u{a0}mm 5\u{202f}mm 5  mm -a-b-- 1,000.5km/h",
        "…",
        "日本語 テスト 12°C",
        "a\u{200d}b 🚗brake",
        "x'y' 'z",
    ];
    let folder = tempfile::tempdir().unwrap();
    let input = folder.path().join("texts.json");
    fs::write(&input, serde_json::to_string(&texts).unwrap()).unwrap();
    let files = search_files(demo(), super::index(), &|_| false);
    fs::create_dir_all(folder.path().join("data")).unwrap();
    fs::write(
        folder.path().join("data/search.js"),
        &files.iter().find(|file| file.path == "data/search.js").unwrap().bytes,
    )
    .unwrap();
    let ran = Command::new("node")
        .arg(repository().join("tests/search/answer.js"))
        .args([&repository().join("themes/workshop"), folder.path(), &input])
        .output()
        .unwrap();
    assert!(ran.status.success(), "{}", String::from_utf8_lossy(&ran.stderr));
    let mut own = String::new();
    for text in texts {
        let words: Vec<String> = tokens(text)
            .into_iter()
            .map(|word| format!("{}{}", word.text, if word.is_joined { "+" } else { "" }))
            .collect();
        writeln!(own, "{}", words.join("|")).unwrap();
    }
    let theirs: Vec<String> = serde_json::from_slice(&ran.stdout).unwrap();
    assert_eq!(own, theirs.iter().map(|line| format!("{line}\n")).collect::<String>());
}
