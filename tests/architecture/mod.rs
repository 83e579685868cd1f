//! The rooms of the code: who may import whom, who may touch the disk, and what every room says of itself.

mod check;

use std::path::Path;

use check::{SourceFile, faults};

use crate::support::content;

fn sources() -> Vec<SourceFile> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let files = content(&root).into_iter().filter(|(path, _)| path.ends_with(".rs"));
    files.map(|(path, bytes)| SourceFile { path, text: String::from_utf8(bytes).unwrap() }).collect()
}

#[test]
fn the_rooms_are_kept() {
    let sources = sources();
    assert!(sources.len() > 50);
    let faults = faults(&sources);
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

const DOOR: &str = "//! A room.\n//!\n//! In: x. Out: y. Never: z.\n";

/// A room with one more file must earn a fault that says this, or none.
fn check_sample(path: &str, text: &str, expected: Option<&str>) {
    let rooms = ["source", "entry", "knowledge", "calculation", "decision", "page", "output", "diagnostic", "command"];
    let door = |room: &&str| SourceFile { path: format!("{room}/mod.rs"), text: DOOR.to_owned() };
    let mut sample: Vec<SourceFile> = rooms.iter().map(door).collect();
    sample.retain(|file| file.path != path);
    sample.push(SourceFile { path: path.to_owned(), text: text.to_owned() });
    let found = faults(&sample);
    match expected {
        Some(words) => assert!(found.iter().any(|fault| fault.contains(words)), "{path}: {text}: {found:?}"),
        None => assert!(found.is_empty(), "{path}: {text}: {found:?}"),
    }
}

#[test]
fn imports_against_the_direction_are_found() {
    check_sample("entry/x.rs", "use crate::knowledge::Knowledge;", Some("entry/x.rs imports knowledge"));
    check_sample("entry/x.rs", "use crate::{diagnostic::Mark, page};", Some("entry/x.rs imports page"));
    check_sample(
        "entry/x.rs",
        "use crate::{\n    source::{Folder, x::Y},\n    decision::Z,\n};",
        Some("imports decision"),
    );
    check_sample("entry/x.rs", "fn f() { crate::output::publish() }", Some("imports output"));
    check_sample("entry/x.rs", "use super::super::page::Theme;", Some("imports page"));
    check_sample("entry/mod.rs", &format!("{DOOR}use super::page::Theme;"), Some("imports page"));
    check_sample("entry/x/y.rs", "use super::super::super::page::Theme;", Some("imports page"));
    check_sample("diagnostic/x.rs", "use crate::entry::Kind;", Some("imports entry"));
    check_sample("output/x.rs", "use crate::page::PageFile;", Some("imports page"));
    check_sample("page/x.rs", "use crate::command::run;", Some("imports command"));
    check_sample("page/x.rs", "use crate::attic::run;", Some("imports attic"));
    check_sample("page/x.rs", "use crate::entry::Kind;\nuse crate::diagnostic::Mark;", None);
    check_sample("page/x.rs", "// use crate::command::run;\nlet x = \"crate::command\";", None);
    check_sample("command/x.rs", "use crate::output::publish;", None);
    check_sample("entry/x.rs", "use super::page_words;\nuse super::super::source::Folder;", None);
}

#[test]
fn calls_to_the_disk_are_found() {
    check_sample("page/x.rs", "let x = std::fs::read(path);", Some("page/x.rs touches the disk"));
    check_sample("command/x.rs", "use std::fs;", Some("touches the disk"));
    check_sample("command/x.rs", "use std::{fmt, fs};", Some("touches the disk"));
    check_sample("command/x.rs", "if path.exists() {}", Some("touches the disk"));
    check_sample("entry/x.rs", "walkdir::WalkDir::new(x)", Some("touches the disk"));
    check_sample("source/x.rs", "fs::write(path, x)", Some("source/x.rs writes"));
    check_sample("source/x.rs", "File::create(path)", Some("source/x.rs writes"));
    check_sample("source/x.rs", "fs::read(path)", None);
    check_sample("output/x.rs", "fs::write(path, fs::read(other))", None);
}

#[test]
fn long_files_and_silent_rooms_are_found() {
    check_sample("page/x.rs", &"\n".repeat(500), Some("page/x.rs has 500 lines"));
    check_sample("page/x.rs", &"\n".repeat(499), None);
    check_sample("page/mod.rs", "mod x;\n", Some("page/mod.rs does not open"));
    check_sample("page/mod.rs", "//! In: x. Out: y.\n", Some("page/mod.rs does not say `Never:`"));
    check_sample("attic/x.rs", "", Some("attic is no room"));
}
