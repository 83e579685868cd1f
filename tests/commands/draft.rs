//! A draft is right from the start.

use std::fs;

use baybook::command::Status;
use baybook::diagnostic::catalogue::EXAMPLE_DAY;

use crate::support::{baybook, check_same, content, copy, demo, example_folder, proof};

const KINDS: [(&str, &str); 6] = [
    ("symptom", "symptoms"),
    ("condition", "conditions"),
    ("characteristic", "characteristics"),
    ("check", "checks"),
    ("system", "systems"),
    ("guide", "guides"),
];

/// Marks of an unfinished entry: nothing leads to it yet, and nothing is said in it that could be read.
const UNFINISHED: [&str; 4] = ["orphan-entry", "no-candidates", "hazard-never-ruled-out", "unchanged-draft"];

fn check(kb: &std::path::Path, kind: &str, folder: &str) {
    let root = kb.to_str().unwrap();
    let before = proof(kb, "short").out;
    let ran = baybook(["draft", kind, "quite-new", "--kb", root, "--today", EXAMPLE_DAY]);
    assert_eq!(ran.status, Status::Done, "{}", ran.err);
    let path = format!("{folder}/quite-new.md");
    assert_eq!(ran.out.trim_end(), kb.join(&path).to_str().unwrap());
    let after = proof(kb, "short").out;
    let earned: Vec<&str> = after.lines().filter(|line| line.starts_with(&path)).collect();
    let is_finished = |line: &&&str| !UNFINISHED.iter().any(|mark| line.contains(&format!(" {mark}: ")));
    let faults: Vec<_> = earned.iter().filter(is_finished).collect();
    assert!(faults.is_empty(), "{faults:?}\n{}", fs::read_to_string(kb.join(&path)).unwrap());
    assert_eq!(after.lines().count(), before.lines().count() + earned.len());
    fs::remove_file(kb.join(path)).unwrap();
}

#[test]
fn a_fresh_draft_of_every_kind_earns_no_mark_for_its_form() {
    let small = example_folder(&[]);
    let demo = copy(&demo());
    for (kind, folder) in KINDS {
        check(small.path(), kind, folder);
    }
    // The demonstration's shop has two languages; the text of an explanation depends on that.
    check(demo.path(), "characteristic", "characteristics");
}

#[test]
fn dates_are_those_of_the_day() {
    let kb = example_folder(&[]);
    baybook(["draft", "guide", "a-page", "--kb", kb.path().to_str().unwrap(), "--today", "2024-02-29"]);
    let text = fs::read_to_string(kb.path().join("guides/a-page.md")).unwrap();
    assert!(text.contains("\ncreated: 2024-02-29\n") && text.contains("\nreview_by: 2025-02-28\n"), "{text}");
}

/// Twenty-six hours lie between these two places, so they never have the same day.
#[test]
fn without_one_it_is_the_day_where_the_computer_stands() {
    let day = |zone: &str| {
        let kb = example_folder(&[]);
        let program = std::process::Command::new(env!("CARGO_BIN_EXE_baybook"))
            .args(["draft", "guide", "a-page", "--kb", kb.path().to_str().unwrap()])
            .env("TZ", zone)
            .output()
            .unwrap();
        assert!(program.status.success(), "{}", String::from_utf8_lossy(&program.stderr));
        let text = fs::read_to_string(kb.path().join("guides/a-page.md")).unwrap();
        text.lines().find(|line| line.starts_with("created: ")).unwrap().to_owned()
    };
    assert!(day("EAST-14") > day("WEST12"));
}

fn check_refused(arguments: [&str; 2], said: &str) {
    let kb = example_folder(&[]);
    fs::create_dir(kb.path().join("checks/more")).unwrap();
    fs::rename(kb.path().join("checks/hub-play.md"), kb.path().join("checks/more/hub-play.md")).unwrap();
    let before = content(kb.path());
    let ran = baybook(["draft", arguments[0], arguments[1], "--kb", kb.path().to_str().unwrap()]);
    assert_eq!((ran.status, ran.out.as_str()), (Status::CouldNotRun, ""), "{arguments:?}");
    assert!(ran.err.contains(said) && ran.err.lines().count() == 1, "{}", ran.err);
    check_same(&content(kb.path()), &before, "");
}

#[test]
fn what_cannot_be_drafted_is_refused() {
    check_refused(["check", "bearing-rock"], "there is a check `bearing-rock` already: checks/bearing-rock.md");
    check_refused(["check", "hub-play"], "checks/more/hub-play.md");
    check_refused(["check", "Hub_Play"], "`Hub_Play` is no id");
    check_refused(["check", "../guides/x"], "is no id");
    check_refused(["check", ""], "is no id");
    check_refused(["simptom", "x"], "did you mean `symptom`?");
    check_refused(["bicycle", "x"], "kinds are symptom, condition");
}

#[test]
fn a_folder_that_is_not_there_is_refused() {
    let ran = baybook(["draft", "check", "x", "--kb", "/nowhere/at/all"]);
    assert_eq!(ran.status, Status::CouldNotRun);
    assert!(ran.err.contains("/nowhere/at/all"), "{}", ran.err);
}
