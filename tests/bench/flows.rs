//! Writes a folder of 200 symptoms, each with 12 candidates and 10 checks at the counter: `flows FOLDER`. For
//! `tests/bench/flows.sh`, which says how long publishing it takes.
#![allow(clippy::disallowed_methods, clippy::unwrap_used, clippy::indexing_slicing, reason = "a program for measuring")]

#[path = "invented.rs"]
mod invented;

use std::fmt::Write as _;
use std::fs;
use std::path::Path;

use invented::{Dice, Stock};

const SYMPTOMS: usize = 200;
const CANDIDATES: usize = 12;
const CHECKS: usize = 10;
const SHOP: &str =
    "name: Bench\nlanguages: [en]\nreading_level: 16\nmax_questions: 6\nlocal_rules: Follow local rules.\n";
const VEHICLES: &str = "lines:\n  tarn: {name: Tarn, years: 2016-2024}\n";
const SETTINGS: [(&str, &str); 3] = [("shop.yaml", SHOP), ("vehicles.yaml", VEHICLES), ("words.yaml", "{}\n")];

fn main() {
    let out = std::env::args().nth(1).unwrap();
    let out = Path::new(&out);
    let dice = &mut Dice(3);
    let stock = Stock::new(2_000, dice);
    for folder in ["symptoms", "conditions", "characteristics", "checks"] {
        fs::create_dir_all(out.join(folder)).unwrap();
    }
    for (name, text) in SETTINGS {
        fs::write(out.join(name), text).unwrap();
    }
    for symptom in 0..SYMPTOMS {
        let phrase = stock.phrase(5, dice);
        let text = format!("title: Symptom {symptom}\nheard_as: [it {phrase}]\nsenses: [hear]\n");
        write_entry(out, &format!("symptoms/s-{symptom:03}"), &text);
        for check in 0..CHECKS {
            write_entry(out, &format!("checks/s-{symptom:03}-{check}"), &check_fields(symptom, check, &stock, dice));
        }
        for candidate in 0..CANDIDATES {
            let folder = if candidate < CANDIDATES / 2 { "conditions" } else { "characteristics" };
            let fields = candidate_fields(symptom, candidate, &stock, dice);
            write_entry(out, &format!("{folder}/s-{symptom:03}-{candidate:02}"), &fields);
        }
    }
}

fn write_entry(out: &Path, name: &str, fields: &str) {
    fs::write(out.join(format!("{name}.md")), format!("---\n{fields}basis: demo\n---\nText.\n")).unwrap();
}

fn check_fields(symptom: usize, check: usize, stock: &Stock, dice: &mut Dice) -> String {
    let (ask, minutes) = (stock.phrase(5, dice), 1 + dice.roll(6));
    format!(
        "title: Check {symptom} {check}\nask: Does it {ask}?\nwhere: counter\nminutes: {minutes}\n\
         answers: {{yes: It does, no: It does not}}\n"
    )
}

/// Two of the conditions are hazards that one of the checks can rule out.
fn candidate_fields(symptom: usize, candidate: usize, stock: &Stock, dice: &mut Dice) -> String {
    let prior = 1 + dice.roll(9);
    let mut text = format!(
        "title: Cause {symptom} {candidate}\naccounts_for:\n  - symptom: s-{symptom:03}\n    prior: {prior}\n    evidence:\n"
    );
    for check in 0..CHECKS {
        let yes = 0.05 + 0.9 * dice.next();
        writeln!(text, "      s-{symptom:03}-{check}: {{yes: {yes:.2}, no: {:.2}}}", 1.0 - yes).unwrap();
    }
    if candidate < CANDIDATES / 2 {
        let hazard = ["do-not-drive", "drive-with-care", "none", "none", "none", "none"][candidate];
        writeln!(text, "hazard: {hazard}\nremedy: Mend it.").unwrap();
        if hazard != "none" {
            writeln!(text, "ruled_out_by: {{s-{symptom:03}-{candidate}: no}}").unwrap();
        }
    } else {
        let (said, because) = (stock.sentence(dice), stock.sentence(dice));
        writeln!(text, "because: {because}\ntell: {{brief: {said}, plain: {said}, full: {said}}}").unwrap();
    }
    text
}
