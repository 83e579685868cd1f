//! `ask`: a flow walked in the terminal.

use std::io::Cursor;

use baybook::command::{Status, Terminal, run};
use serde_json::{Value, json};

use crate::support::{Ran, baybook, demo, example_folder};

/// Runs `ask` on the example folder; `typed` is what a person answers, if one is there.
fn ask(arguments: &[&str], typed: Option<&str>) -> Ran {
    let kb = example_folder(&[]);
    let (mut out, mut err) = (Vec::new(), Vec::new());
    let mut answers = typed.map(|typed| Cursor::new(typed.to_owned()));
    let input = answers.as_mut().map(|answers| answers as &mut dyn std::io::BufRead);
    let mut terminal = Terminal { out: &mut out, err: &mut err, input, colour: false, progress: false };
    let fixed = ["baybook", "ask", "--kb", kb.path().to_str().unwrap()];
    let status = run(fixed.iter().chain(arguments).map(std::ffi::OsString::from), &mut terminal);
    Ran { status, out: String::from_utf8(out).unwrap(), err: String::from_utf8(err).unwrap() }
}

fn data(answers: &[&str]) -> Value {
    let given = answers.iter().flat_map(|answer| ["--answer", *answer]);
    let arguments: Vec<&str> = ["hum", "--report", "json"].into_iter().chain(given).collect();
    let ran = ask(&arguments, None);
    assert_eq!(ran.status, Status::Done, "{}", ran.err);
    serde_json::from_str(&ran.out).unwrap()
}

#[test]
fn one_shot_gives_the_question_that_is_next() {
    let data = data(&[]);
    assert_eq!(data["symptom"], "hum");
    assert_eq!(data["vehicle"], Value::Null);
    assert_eq!(data["next"]["check"], "bearing-rock");
    assert_eq!(data["verdict"], Value::Null);
    assert_eq!(data["open_gates"][0]["entry"], "worn-bearing");
}

/// By hand: priors 3, 1 and 0.05 of their sum; the rows of `bends-change-it` are scaled to add up to 1, so `no` is 8/9
/// for the tread and 1/9 for the bearing; the other cause has 1/2 for each answer.
#[test]
fn chances_are_those_after_the_answers() {
    let weights = [3.0 * 0.98 * 8.0 / 9.0, 0.02 / 9.0, 0.2 * 0.25];
    let sum: f64 = weights.iter().sum();
    let data = data(&["bends-change-it=no", "bearing-rock=firm"]);
    let expected = [("characteristic", "tread-hum", 0), ("other", "other", 2), ("condition", "worn-bearing", 1)];
    for (found, (kind, id, at)) in data["candidates"].as_array().unwrap().iter().zip(expected) {
        assert_eq!((&found["kind"], &found["id"]), (&json!(kind), &json!(id)));
        assert!((found["chance"].as_f64().unwrap() - weights[at] / sum).abs() < 1e-6, "{found}");
    }
    assert_eq!(data["verdict"]["verdict"], "explain");
    assert_eq!(data["verdict"]["entry"], "tread-hum");
    assert_eq!((&data["next"], &data["open_gates"]), (&Value::Null, &json!([])));
}

#[test]
fn an_alarm_ends_it_whatever_else_was_said() {
    for answers in [&["bearing-rock=loose"][..], &["bends-change-it=no", "bearing-rock=loose"]] {
        let data = data(answers);
        assert_eq!(data["verdict"]["verdict"], "do-not-drive");
        assert_eq!(data["verdict"]["leads"], json!(["worn-bearing"]));
    }
}

#[test]
fn being_unsure_counts_for_nothing_and_books_in_what_cannot_be_settled() {
    let (none, unsure) = (data(&[]), data(&["bearing-rock=not-sure"]));
    assert_eq!(none["candidates"], unsure["candidates"]);
    let end = data(&["bearing-rock=not-sure", "bends-change-it=not-sure"]);
    assert_ne!(end["verdict"]["verdict"], "explain");
}

#[test]
fn a_person_is_asked_until_there_is_a_verdict_and_can_go_back() {
    let talk = ask(&["hum"], Some("7\nloud\n3\nb\n1\n"));
    assert_eq!(talk.status, Status::Done);
    assert_eq!(talk.err.matches("1 to 3, b for back, q to end: ").count(), 5);
    assert!(talk.out.contains("DO NOT DRIVE  look for: Worn wheel bearing\nFollow local rules"), "{}", talk.out);
    let explained = ask(&["hum"], Some("2\n2\n"));
    assert!(explained.out.contains("EXPLAIN  Hum of block tread\n"), "{}", explained.out);
    assert!(explained.out.contains("The tyres sing on the road. That is how they are made.\n"), "{}", explained.out);
    for stopped in ["", "q\n"] {
        let stopped = ask(&["hum"], Some(stopped));
        assert_eq!((stopped.status, stopped.out.contains("EXPLAIN")), (Status::Done, false));
    }
}

#[test]
fn what_is_not_known_is_named_with_the_nearest() {
    let refused = |arguments: &[&str], words: &str| {
        let ran = ask(arguments, None);
        assert_eq!(ran.status, Status::CouldNotRun);
        assert_eq!(ran.err.trim_end(), format!("baybook: {words}"));
    };
    refused(&["humm"], "no symptom is called `humm`; did you mean `hum`?");
    refused(
        &["hum", "--answer", "bearing-rok=firm"],
        "no check of this flow is called `bearing-rok`; did you mean `bearing-rock`?",
    );
    refused(
        &["hum", "--answer", "bearing-rock=firn"],
        "no answer of that check is called `firn`; did you mean `firm`?",
    );
    refused(&["hum", "--answer", "bearing-rock"], "`bearing-rock` is no check=answer");
}

#[test]
fn a_vehicle_chooses_the_flow() {
    let kb = demo();
    let chances = |vehicle: &str| -> Value {
        let ran = baybook(["ask", "speed-hum", "--report", "json", "--vehicle", vehicle, "--kb", kb.to_str().unwrap()]);
        assert_eq!(ran.status, Status::Done, "{}", ran.err);
        serde_json::from_str(&ran.out).unwrap()
    };
    let (front, all) = (chances("tarn:2020:drive=front"), chances("tarn:2020:drive=all"));
    assert_eq!(front["vehicle"], "tarn:2020:drive=front");
    let names = |data: &Value| {
        let all = data["candidates"].as_array().unwrap().iter();
        all.map(|it| it["id"].as_str().unwrap().to_owned()).collect::<std::collections::BTreeSet<_>>()
    };
    assert!(names(&all).contains("axle-gear-whine") && !names(&front).contains("axle-gear-whine"));
}
