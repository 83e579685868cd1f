//! Folders with faults, and what is said of them.
//!
//! `<name>/kb/` holds the files that differ from the base folder of the examples, `removed.txt` the base files that are
//! not there, and `expected.txt` the exit status and the short report. With `BAYBOOK_ACCEPT=1` in the environment the
//! expectations are written anew: read the difference before you keep it.

use std::fs;
use std::path::{Path, PathBuf};

use baybook::diagnostic::MarkId;

use crate::support::{content, example_folder, proof, put};

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cases")
}

fn cases() -> Vec<PathBuf> {
    let mut cases: Vec<PathBuf> = fs::read_dir(root()).unwrap().map(|step| step.unwrap().path()).collect();
    cases.retain(|path| path.is_dir());
    cases.sort();
    cases
}

/// What proofreading says of a case.
fn said(case: &Path) -> String {
    let kb = example_folder(&[]);
    for path in fs::read_to_string(case.join("removed.txt")).unwrap_or_default().lines() {
        fs::remove_file(kb.path().join(path)).unwrap();
    }
    if case.join("kb").is_dir() {
        content(&case.join("kb")).iter().for_each(|(path, bytes)| put(kb.path(), path, bytes));
    }
    let ran = proof(kb.path(), "short");
    format!("exit status {}\n{}{}", ran.status.code(), ran.out, ran.err)
}

fn check(case: &Path) -> Option<String> {
    let name = case.file_name()?.to_str()?;
    let said = said(case);
    let expected_path = case.join("expected.txt");
    if std::env::var("BAYBOOK_ACCEPT").is_ok_and(|value| value == "1") {
        fs::write(expected_path, said).unwrap();
        return None;
    }
    let expected = fs::read_to_string(expected_path).unwrap_or_default();
    (said != expected).then(|| format!("== {name}\n-- expected\n{expected}-- said\n{said}"))
}

#[test]
fn every_case_is_answered_as_expected() {
    let wrong: Vec<String> = cases().iter().filter_map(|case| check(case)).collect();
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// Marks that calculations and flows make have cases of their own elsewhere.
#[test]
fn every_mark_of_reading_and_linking_has_a_case() {
    let expected: String = cases().iter().map(|case| fs::read_to_string(case.join("expected.txt")).unwrap()).collect();
    let (first, last) = (MarkId::CalcSyntax, MarkId::UnreachableCandidate);
    let marks = MarkId::ALL.iter().filter(|id| !(first..=last).contains(id));
    let missing: Vec<&str> =
        marks.map(|id| id.name()).filter(|name| !expected.contains(&format!(" {name}: "))).collect();
    assert!(missing.is_empty(), "no case for {missing:?}");
}
