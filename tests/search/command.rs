//! `find` in the terminal.

use baybook::command::Status;
use serde_json::Value as Json;

use crate::support::{baybook, repository};

fn find(arguments: &[&str]) -> (Status, String, String) {
    let kb = repository().join("kb");
    let all = ["find"].iter().chain(arguments).map(ToString::to_string);
    let ran = baybook(all.chain(["--kb".to_owned(), kb.to_str().unwrap().to_owned()]));
    (ran.status, ran.out, ran.err)
}

fn results(arguments: &[&str]) -> Json {
    let (status, out, err) = find(&[arguments, &["--report", "json"]].concat());
    assert_eq!(status, Status::Done, "{err}");
    serde_json::from_str(&out).unwrap()
}

#[test]
fn data_has_exactly_what_is_promised() {
    let found = results(&["C0035", "--limit", "2"]);
    assert_eq!(found.as_object().unwrap().keys().collect::<Vec<_>>(), ["results"]);
    let rows = found["results"].as_array().unwrap();
    assert!((1..=2).contains(&rows.len()));
    for row in rows {
        assert_eq!(row.as_object().unwrap().keys().collect::<Vec<_>>(), ["kind", "id", "title", "score", "page"]);
        assert!(row["score"].as_f64().unwrap() > 0.0);
    }
}

#[test]
fn what_does_not_fit_the_vehicle_is_set_apart_with_the_reason() {
    let found = results(&["engine", "oil", "--vehicle", "rill:2024"]);
    let apart = found["apart"].as_array().unwrap();
    assert!(!apart.is_empty());
    for row in apart {
        assert!(!row["fits"].as_str().unwrap().contains("Rill"), "{row}");
    }
}

#[test]
fn a_kind_leaves_only_its_own() {
    for row in results(&["brake", "--kind", "check"])["results"].as_array().unwrap() {
        assert_eq!(row["kind"], "check");
    }
}

#[test]
fn compounds_are_found_however_they_are_written() {
    let first = |words: &str| results(&[words])["results"][0]["id"].clone();
    let expected = first("stop-start");
    assert_eq!((first("stop start"), first("stopstart")), (expected.clone(), expected));
}

#[test]
fn wrong_arguments_name_what_there_is() {
    for (arguments, words) in [
        (["x", "--vehicle", "tern:2019"], "`tarn`"),
        (["x", "--vehicle", "tarn:1999"], "from 2016 to 2024"),
        (["x", "--vehicle", "tarn:2019:gears=manual"], "`gearbox`"),
        (["x", "--vehicle", "tarn:2019:gearbox=none"], "`manual`, `automatic`"),
        (["x", "--kind", "part"], "`symptom`"),
    ] {
        let (status, out, err) = find(&arguments);
        assert_eq!((status, out.as_str()), (Status::CouldNotRun, ""));
        assert!(err.contains(words), "{err}");
    }
}

#[test]
fn reading_text_names_the_reason_and_nothing_found_is_said() {
    let (_, out, _) = find(&["the pedal rattles"]);
    assert!(out.contains("*pedal*"), "{out}");
    let (status, out, _) = find(&["zzzzqqq"]);
    assert_eq!((status, out.as_str()), (Status::Done, "Nothing here is about `zzzzqqq`.\nNothing found.\n"));
}
