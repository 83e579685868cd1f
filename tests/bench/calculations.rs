//! How long 10,000 calculation statements take to proof, against a floor: splitting the same text at blanks and reading its
//! numbers. Run with `cargo run --release --example calculations`.
#![allow(clippy::print_stdout, clippy::disallowed_methods, clippy::unwrap_used, reason = "a report")]

use std::hint::black_box;
use std::time::{Duration, Instant};

use baybook::calculation::{Block, NoSpecifications, Wording, check_sheet, javascript, sheet_view};
use baybook::diagnostic::{FileId, Span, Spanned};

/// Ten statements: ranges, units, a table, a choice, claims.
const STATEMENTS: &str = "given speed# = 100 km/h from 10 km/h to 200 km/h
given grip# = 0.8 from 0.05 to 1.2
given reaction# = 1.5 s from 0.5 s to 3 s
braking# = speed#^2 / (2 * grip# * g0) gives 49.2 m
total# = speed# * reaction# + braking# gives 91 m within 1 m
rest# = table(12.35 V; 11.89 V: 0 %, 12.06 V: 25 %, 12.24 V: 50 %, 12.45 V: 75 %, 12.65 V: 100 %) gives 63 %
turns# = speed# / (pi * 631.9 mm) gives 14.0 Hz
longer# = if(grip# < 0.3, total# * 1.2, total#) in ft
torque# = 20 to 25 N·m
force# = torque# / 0.3 m gives 66 to 84 N";

fn block(text: &str) -> Block {
    let file = FileId(0);
    let mut at = 0;
    let lines = text.lines().map(|line| {
        let span = Span::new(file, at..at + line.len());
        at += line.len() + 1;
        Spanned::new(line.to_owned(), span)
    });
    Block { lines: lines.collect(), span: Span::new(file, 0..text.len()) }
}

/// The best of five.
fn best<T>(mut work: impl FnMut() -> T) -> Duration {
    let once = |_| {
        let start = Instant::now();
        black_box(work());
        start.elapsed()
    };
    (0..5).map(once).min().unwrap()
}

fn floor(texts: &[String]) -> f64 {
    texts.iter().flat_map(|text| text.split_whitespace()).filter_map(|word| word.parse::<f64>().ok()).sum()
}

fn report(name: &str, texts: &[String]) {
    let blocks: Vec<Block> = texts.iter().map(|text| block(text)).collect();
    let check = |block: &Block| check_sheet(std::slice::from_ref(block), &[], &NoSpecifications);
    let wrong: usize = blocks.iter().map(|block| check(block).1.len()).sum();
    let statements: usize = blocks.iter().map(|block| block.lines.len()).sum();
    let proof = best(|| blocks.iter().map(|block| check(block).1.len()).sum::<usize>());
    let least = best(|| floor(texts));
    let sheets: Vec<_> = blocks.iter().map(|block| check(block).0).collect();
    let page = best(|| {
        sheets
            .iter()
            .map(|sheet| javascript("x", sheet).len() + sheet_view(sheet, &Wording::ENGLISH).len())
            .sum::<usize>()
    });
    let ratio = proof.as_secs_f64() / least.as_secs_f64();
    println!(
        "{name}: {statements} statements, {wrong} marks; proof {proof:?} ({ratio:.0} times the floor {least:?}); views and scripts {page:?}"
    );
}

fn main() {
    let small = |at: usize| STATEMENTS.replace('#', &at.to_string());
    let thousand: Vec<String> = (0..1_000).map(small).collect();
    report("1,000 entries of 10", &thousand);
    report("100 entries of 100", &thousand.chunks(10).map(|texts| texts.join("\n")).collect::<Vec<_>>());
    report("1 entry of 10,000", &[thousand.join("\n")]);
}
