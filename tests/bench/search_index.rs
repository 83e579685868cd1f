//! Writes a site's search files for many invented entries, and queries on them: `search_index COUNT FOLDER`.
//!
//! Words follow Zipf's law (the word of rank r with a chance like 1 / (r + 2.7), as B. Mandelbrot put it) over a
//! stock that grows with the number of entries, so that some words stand in most entries and most in few.
#![allow(
    clippy::print_stdout,
    clippy::disallowed_methods,
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a program for measuring"
)]

#[path = "invented.rs"]
#[allow(dead_code, reason = "other programs use the rest")]
mod invented;

use std::fmt::Write as _;
use std::fs;
use std::path::Path;
use std::time::Instant;

use baybook::entry::read_entries;
use baybook::knowledge::link;
use baybook::page::search::{Index, search_files};
use baybook::source::{Folder, TextFile};
use invented::{Dice, Stock};

fn main() {
    let arguments: Vec<String> = std::env::args().collect();
    let count: usize = arguments[1].parse().unwrap();
    let out = Path::new(&arguments[2]);
    let dice = &mut Dice(7);
    let stock = Stock::new(8_000 + count / 2, dice);
    let folder = folder(count, &stock, dice);
    let bytes: usize = folder.texts.iter().map(|text| text.text.len()).sum();
    let (entries, marks) = read_entries(&folder);
    let (knowledge, more) = link(&entries, &folder, None);
    assert!(marks.iter().chain(&more).all(|mark| mark.id.name() != "missing-field" && mark.id.name() != "bad-value"));
    let rounds = if count > 20_000 { 1 } else { 5 };
    let (mut times, processors): (Vec<(f64, f64)>, f64) = (Vec::new(), processor_ms());
    let mut made = None;
    for _ in 0..rounds {
        drop(made.take());
        let start = Instant::now();
        let index = Index::new(&knowledge);
        let built = start.elapsed();
        let files = search_files(&knowledge, &index, &|_| false);
        times.push((built.as_secs_f64() * 1e3, (start.elapsed() - built).as_secs_f64() * 1e3));
        made = Some((index, files));
    }
    let processors = (processor_ms() - processors) / f64::from(rounds);
    let (index, files) = made.unwrap();
    for file in files {
        let path = out.join(&file.path);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, file.bytes).unwrap();
    }
    times.sort_by(|a, b| a.0.total_cmp(&b.0));
    let (build, write) = times[times.len() / 2];
    fs::write(out.join("queries.json"), queries(&index, dice)).unwrap();
    println!(
        "{{\"entries\": {count}, \"source_bytes\": {bytes}, \"text_bytes\": {}, \"build_ms\": {build:.1}, \"files_ms\": {write:.1}, \"processor_ms\": {processors:.1}, \"rounds\": {rounds}}}",
        index.bytes,
    );
}

/// Time that all processors have spent on this program: fields 14 and 15 of proc(5), in hundredths of a second.
fn processor_ms() -> f64 {
    let stat = fs::read_to_string("/proc/self/stat").unwrap();
    let fields: Vec<&str> = stat.rsplit(')').next().unwrap().split_whitespace().collect();
    10.0 * (fields[11].parse::<f64>().unwrap() + fields[12].parse::<f64>().unwrap())
}

fn folder(count: usize, stock: &Stock, dice: &mut Dice) -> Folder {
    let shop = "name: Bench\nlanguages: [en]\n";
    let vehicles = "lines:\n  tarn: {name: Tarn, years: 2010-2024, options: {drive: [front, all]}}\n  rill: {name: Rill, years: 2015-2026}\n";
    let mut words = String::new();
    for at in 0..60 {
        writeln!(
            words,
            "{}{at}: {{means: {}., heard_as: [{}]}}",
            stock.word(dice),
            stock.phrase(8, dice),
            stock.phrase(2, dice)
        )
        .unwrap();
    }
    let mut texts: Vec<(String, String)> = vec![
        ("shop.yaml".into(), shop.into()),
        ("vehicles.yaml".into(), vehicles.into()),
        ("words.yaml".into(), words),
    ];
    for at in 0..20 {
        texts.push((
            format!("systems/system-{at:02}.md"),
            format!("---\ntitle: System {}\n---\n{}.\n", stock.word(dice), stock.phrase(20, dice)),
        ));
    }
    texts.extend((0..count).map(|at| entry(at, stock, dice)));
    texts.sort();
    let texts = texts.into_iter().map(|(path, text)| TextFile { path, text, readable: true });
    Folder { texts: texts.collect(), ..Folder::default() }
}

fn entry(at: usize, stock: &Stock, dice: &mut Dice) -> (String, String) {
    let fits =
        ["", "fits: [{line: tarn}]\n", "fits: [{line: rill, years: 2020-}]\n", "fits: [{line: tarn, drive: all}]\n"]
            [dice.roll(4)];
    let title = stock.phrase(4, dice);
    let mut text = format!("---\ntitle: The {title}\nsystems: [system-{:02}]\n{fits}", dice.roll(20));
    let is_symptom = at.is_multiple_of(3);
    if is_symptom {
        let phrases: Vec<String> = (0..3)
            .map(|_| {
                let count = 4 + dice.roll(4);
                stock.phrase(count, dice)
            })
            .collect();
        writeln!(text, "heard_as: [{}]\nsenses: [{}]", phrases.join(", "), ["hear", "feel", "smell"][dice.roll(3)])
            .unwrap();
    }
    text.push_str("---\n");
    for part in 0..3 {
        write!(text, "## The {}\n\n", stock.phrase(3, dice)).unwrap();
        for _ in 0..3 + part {
            let count = 8 + dice.roll(12);
            write!(text, "The {}. ", stock.phrase(count, dice)).unwrap();
        }
        text.push_str("\n\n");
    }
    let folder = if is_symptom { "symptoms" } else { "guides" };
    (format!("{folder}/entry-{at:06}.md"), text)
}

/// Queries of four kinds: whole words, a beginning, a slip of the finger, and one vague word.
fn queries(index: &Index, dice: &mut Dice) -> String {
    let mut all = Vec::new();
    for round in 0..400 {
        let document = &index.documents[dice.roll(index.documents.len())];
        let words: Vec<&str> = document
            .title
            .split(' ')
            .chain(document.passages.iter().flat_map(|p| p.text.split(' ')))
            .filter(|word| word.len() > 2)
            .collect();
        let from = dice.roll(words.len());
        let mut words: Vec<String> = words.into_iter().skip(from).take(2 + dice.roll(4)).map(str::to_owned).collect();
        let kind = ["words", "beginning", "slip", "one"][round % 4];
        match kind {
            "beginning" => {
                let last = words.last_mut().unwrap();
                let kept = 2 + dice.roll(2);
                last.truncate(kept);
            }
            "slip" => {
                let at = dice.roll(words.len());
                let word = &mut words[at];
                if word.len() > 3 && word.is_ascii() {
                    let place = 1 + dice.roll(word.len() - 2);
                    word.remove(place);
                }
            }
            "one" => words.truncate(1),
            _ => {}
        }
        all.push(format!("{{\"kind\":\"{kind}\",\"words\":{:?},\"want\":{:?}}}", words.join(" "), document.id));
    }
    format!("[{}]", all.join(",\n"))
}
