//! `ask`: a flow walked in the terminal.

use std::io::Cursor;

use baybook::command::{Status, Terminal, run};
use serde_json::{Value, json};

use crate::support::{Ran, baybook, demo, example_folder, put};

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

/// A cause that only some vehicles have must be asked about before any vehicle that may have it is called normal.
#[test]
fn a_vehicle_of_which_too_little_is_said_is_not_taken_for_another() {
    let bearing = include_str!("../../src/diagnostic/catalogue/base/conditions/worn-bearing.md");
    let bearing = bearing.replace("basis: demo", "basis: demo\nfits: [{line: tarn, drive: all}]");
    let kb = example_folder(&[]);
    put(kb.path(), "conditions/worn-bearing.md", &bearing);
    let path = kb.path().to_str().unwrap();
    let told = |vehicle: &[&str]| {
        let answers = ["--answer", "bends-change-it=no", "--answer", "bearing-rock=not-sure", "--report", "json"];
        baybook(["ask", "hum", "--kb", path].into_iter().chain(answers).chain(vehicle.iter().copied()))
    };
    for (vehicle, verdict) in
        [("tarn:2020:drive=all", "book-in"), ("tarn:2020:drive=front", "explain"), ("rill:2020", "explain")]
    {
        let data: Value = serde_json::from_str(&told(&["--vehicle", vehicle]).out).unwrap();
        assert_eq!(data["verdict"]["verdict"], verdict, "{vehicle}");
    }
    for (vehicle, words) in [
        (&["--vehicle", "tarn:2020"][..], "say more of the vehicle with --vehicle: what is asked is not the same for "),
        (&[], "say the vehicle with --vehicle: what is asked is not the same for "),
    ] {
        let ran = told(vehicle);
        assert_eq!(ran.status, Status::CouldNotRun, "{}", ran.out);
        assert!(ran.err.contains(words) && ran.err.contains(":drive=all`)"), "{}", ran.err);
    }
}

/// What is alarming by itself is so whatever was asked about: here the bearing does not account for the shake.
#[test]
fn an_alarm_of_what_is_not_the_cause_forbids_driving() {
    let shake = "---\ntitle: Shake at speed\nheard_as: [it shakes]\nsenses: [feel]\nsystems: [wheels]\nbasis: demo\n---\nA shake.\n";
    let normal = include_str!("../../src/diagnostic/catalogue/base/characteristics/tread-hum.md");
    let normal = normal.replace("tread-hum", "tread-shake").replace("symptom: hum", "symptom: shake");
    let kb = example_folder(&[]);
    put(kb.path(), "symptoms/shake.md", shake);
    put(kb.path(), "characteristics/tread-shake.md", &normal);
    let told = |answer: &str| -> Value {
        let ran =
            baybook(["ask", "shake", "--kb", kb.path().to_str().unwrap(), "--report", "json", "--answer", answer]);
        assert_eq!(ran.status, Status::Done, "{}", ran.err);
        serde_json::from_str(&ran.out).unwrap()
    };
    let alarmed = told("bearing-rock=loose");
    assert_eq!(alarmed["verdict"]["verdict"], "do-not-drive");
    assert_eq!(alarmed["verdict"]["leads"], json!(["worn-bearing"]));
    let firm = told("bearing-rock=firm");
    // It is no cause: it has no chance, and need not be ruled out.
    assert_eq!(firm["candidates"].as_array().unwrap().len(), 2);
    assert!(!firm["open_gates"].to_string().contains("worn-bearing"));
    let by_hand = shake.replace(
        "basis: demo\n",
        "basis: demo\nflow:\n  start: first\n  steps:\n    first: {check: bearing-rock, loose: fine, firm: fine, not-sure: book}\n    fine: {verdict: explain, characteristic: tread-shake}\n    book: {verdict: book-in, leads: [worn-bearing]}\n",
    );
    put(kb.path(), "symptoms/shake.md", &by_hand);
    let ran = baybook(["proof", "--kb", kb.path().to_str().unwrap()]);
    assert!(ran.out.contains("alarm-ignored"), "{}", ran.out);
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
