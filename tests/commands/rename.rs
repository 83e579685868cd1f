//! An entry and every reference to it.

use std::fs;
use std::path::Path;

use baybook::command::Status;
use baybook::diagnostic::MarkId;
use baybook::diagnostic::catalogue::ExampleFile;
use baybook::entry::read_entries;
use baybook::knowledge::link;
use baybook::source::read_folder;

use crate::support::{Ran, baybook, check_same, content, copy, demo, example_folder, proof, put};

fn rename(kb: &Path, entry: &str, new: &str) -> Ran {
    baybook(["rename", entry, new, "--kb", kb.to_str().unwrap()])
}

/// The marks of reading and linking; calculations and flows name entries in the same places.
fn marks(kb: &Path) -> Vec<MarkId> {
    let (folder, mut marks) = read_folder(kb).unwrap();
    let (entries, of_entries) = read_entries(&folder);
    let (_, of_links) = link(&entries, &folder, None);
    marks.extend(of_entries.into_iter().chain(of_links));
    let mut marks: Vec<MarkId> = marks.iter().map(|mark| mark.id).collect();
    marks.sort();
    marks
}

/// Renames the entry there and back: the marks stay as many, no file names it any more, the bytes come back.
fn check_there_and_back(kb: &Path, kind: &str, folder: &str, id: &str) {
    let (before, marks_before) = (content(kb), marks(kb));
    let there = rename(kb, &format!("{kind}/{id}"), "zz-renamed-for-a-while");
    assert_eq!(there.status, Status::Done, "{folder}/{id}: {}", there.err);
    assert_eq!(marks(kb), marks_before, "{folder}/{id}");
    let named = content(kb).into_iter().find(|(path, bytes)| {
        path.ends_with(&format!("{folder}/{id}.md"))
            || String::from_utf8_lossy(bytes).contains(&format!("/{id}.md")) && !has_other_kind(&before, folder, id)
    });
    assert_eq!(named.map(|(path, _)| path), None, "{folder}/{id} is still named");
    let back = rename(kb, &format!("{folder}/zz-renamed-for-a-while"), id);
    assert_eq!(back.status, Status::Done, "{}", back.err);
    let after = content(kb);
    assert!(after.keys().eq(before.keys()));
    let differs = after.iter().find(|(path, bytes)| before[*path] != **bytes).map(|(path, _)| path);
    assert_eq!(differs, None, "after {folder}/{id} there and back");
}

fn has_other_kind(files: &std::collections::BTreeMap<String, Vec<u8>>, folder: &str, id: &str) -> bool {
    files.keys().any(|path| path.ends_with(&format!("/{id}.md")) && !path.starts_with(folder))
}

/// Every so many entries, in the order of their paths.
fn check_entries(kb: &Path, every: usize) {
    let entries = content(kb).into_keys().filter(|path| path.ends_with(".md"));
    for path in entries.step_by(every).collect::<Vec<_>>() {
        let (folder, _) = path.split_once('/').unwrap();
        let id = path.rsplit('/').next().unwrap().strip_suffix(".md").unwrap();
        check_there_and_back(kb, folder.strip_suffix('s').unwrap(), folder, id);
    }
}

#[test]
fn every_entry_of_the_examples_can_be_renamed_there_and_back() {
    check_entries(example_folder(&[]).path(), 1);
}

#[test]
fn entries_of_the_demonstration_can_be_renamed_there_and_back() {
    let kb = copy(&demo());
    assert_eq!(marks(kb.path()), Vec::new());
    check_entries(kb.path(), 15);
}

/// A guide that names a check in every way that Markdown has, and a symptom with a flow.
const GUIDE: &str = "\u{feff}---\r\ntitle: \"All the \\\"ways\\\"\"   # a remark: hub-play\r\nbasis: demo\r\n---\r\n\
    # hub-play.md\r\n\r\nRead [it](../checks/hub-play.md), [hub-play.md](../checks/hub-play.md#how \"hub-play.md\"),\r\n\
    [by name][play] and [again][play], [play], ![no](../media/hub-play.png)\r\n\r\n\
    [play]: <../checks/hub-play.md> \"hub-play\"\r\n[unused]: ../checks/./hub-play.md#how\r\n\r\n\
    | a | b |\r\n|---|---|\r\n| [x](../checks/hub-play.md) | `../checks/hub-play.md` |\r\n\r\n\
    > - [quoted](../checks/hub-play.md)\r\n\r\n```calc\r\nlimit = spec( wheels , tread-minimum) # spec(wheels, x)\r\n```\r\n";

const CHECK: &str = "---\ntitle: Play in the hub\nwhere: bay\nminutes: 15\nhazards: raised-vehicle\nbasis: demo\n\
    answers: {loose: It has play, firm: It has none}\n---\n## How\n\n[Here](hub-play.md#how) and [there](#how).\n";

const CONDITION: &str = "---\ntitle: Worn wheel bearing\nhazard: do-not-drive\nsystems: 'wheels'\nbasis: demo\n\
    accounts_for:\n  - {symptom: hum, prior: 1, evidence: {bends-change-it: {yes: usually, no: rarely}, bearing-rock: {loose: always, firm: never}, \"hub-play\": {loose: often}}}\n\
    ruled_out_by: {bearing-rock: firm}\nalarm:\n  ? hub-play\n  : loose\nconfirm:\n  hub-play: [loose]\n\
    remedy: >-\n  Replace the hub\n  unit, see\n  [the play](../checks/hub-play.md).\n---\n## Wear\n\nText.\n";

#[test]
fn every_way_of_naming_an_entry_is_followed() {
    let kb = example_folder(&[
        ExampleFile { path: "guides/ways.md", text: Some(GUIDE) },
        ExampleFile { path: "checks/hub-play.md", text: Some(CHECK) },
        ExampleFile { path: "conditions/worn-bearing.md", text: Some(CONDITION) },
    ]);
    put(kb.path(), "media/hub-play.png", [0]);
    put(kb.path(), "words.yaml", "play: {means: Looseness., see: [checks/hub-play, 'checks/hub-play']}\n");
    assert_eq!(proof(kb.path(), "short").out, "");
    let ran = rename(kb.path(), "check/hub-play", "bearing-looseness");
    assert_eq!((ran.status, proof(kb.path(), "short").out.as_str()), (Status::Done, ""), "{}", ran.err);
    let guide = fs::read_to_string(kb.path().join("guides/ways.md")).unwrap();
    let expected = GUIDE
        .replace("checks/hub-play.md", "checks/bearing-looseness.md")
        .replace("checks/./hub-play.md", "checks/./bearing-looseness.md")
        .replace("`../checks/bearing-looseness.md`", "`../checks/hub-play.md`");
    assert_eq!(guide, expected);
    let condition = fs::read_to_string(kb.path().join("conditions/worn-bearing.md")).unwrap();
    assert_eq!(condition, CONDITION.replace("hub-play", "bearing-looseness"));
    let check = fs::read_to_string(kb.path().join("checks/bearing-looseness.md")).unwrap();
    assert_eq!(check, CHECK.replace("hub-play", "bearing-looseness"));
    let words = fs::read_to_string(kb.path().join("words.yaml")).unwrap();
    assert_eq!(words, "play: {means: Looseness., see: [checks/bearing-looseness, 'checks/bearing-looseness']}\n");
    assert_eq!(rename(kb.path(), "systems/wheels", "rolling-gear").status, Status::Done);
    let guide = fs::read_to_string(kb.path().join("guides/ways.md")).unwrap();
    assert_eq!(guide, expected.replace("spec( wheels ", "spec( rolling-gear "));
    check_entries(kb.path(), 1);
}

#[test]
fn a_sub_folder_and_permissions_are_kept() {
    use std::os::unix::fs::PermissionsExt;
    let kb = example_folder(&[ExampleFile { path: "checks/hub-play.md", text: None }]);
    put(kb.path(), "checks/bay/hub-play.md", CHECK);
    fs::set_permissions(kb.path().join("checks/bay/hub-play.md"), fs::Permissions::from_mode(0o640)).unwrap();
    assert_eq!(rename(kb.path(), "checks/hub-play", "play").status, Status::Done);
    let new = fs::metadata(kb.path().join("checks/bay/play.md")).unwrap();
    assert_eq!(new.permissions().mode() & 0o777, 0o640);
}

fn check_refused(kb: &Path, entry: &str, new: &str, status: Status, said: &str) {
    let before = content(kb);
    let ran = rename(kb, entry, new);
    assert_eq!(ran.status, status, "{entry} {new}: {}", ran.err);
    assert!(format!("{}{}", ran.out, ran.err).contains(said), "{}{}", ran.out, ran.err);
    check_same(&content(kb), &before, "");
}

#[test]
fn what_cannot_be_renamed_is_refused_and_nothing_changes() {
    let kb = example_folder(&[]);
    let refused = |entry, new, said| check_refused(kb.path(), entry, new, Status::CouldNotRun, said);
    refused("checks/hub-play", "bearing-rock", "there is a check `bearing-rock` already: checks/bearing-rock.md");
    refused("checks/hub-play", "hub-play", "already");
    refused("checks/hub-play", "Hub", "`Hub` is no id");
    refused("checks/hub-play", "../x", "is no id");
    refused("checks/hub-paly", "x", "no check is called `hub-paly`; did you mean `hub-play`?");
    refused("check-hub-play", "x", "names no entry");
    refused("chekcs/hub-play", "x", "did you mean `checks`?");
}

#[test]
fn entries_with_errors_are_not_renamed() {
    let kb = example_folder(&[ExampleFile { path: "checks/hub-play.md", text: Some("nothing") }]);
    check_refused(
        kb.path(),
        "checks/bearing-rock",
        "x",
        Status::Errors,
        "checks/hub-play.md:1:1: error bad-front-matter",
    );
}

#[test]
fn an_id_written_with_escapes_is_left_alone_and_said() {
    let text = "---\ntitle: Tips\nbasis: demo\n---\nRead [it](../checks/hub\\-play.md).\n";
    let kb = example_folder(&[ExampleFile { path: "guides/tips.md", text: Some(text) }]);
    assert_eq!(proof(kb.path(), "short").out, "");
    let said = "guides/tips.md:5:6: `hub-play` is written with escapes here";
    check_refused(kb.path(), "checks/hub-play", "x", Status::CouldNotRun, said);
}

#[test]
fn a_file_that_is_a_link_is_not_replaced() {
    let kb = example_folder(&[ExampleFile { path: "checks/hub-play.md", text: None }]);
    put(kb.path(), "guides/notes.txt.md", "---\ntitle: x\nbasis: demo\n---\n");
    fs::remove_file(kb.path().join("guides/notes.txt.md")).unwrap();
    put(kb.path(), "outcomes/kept.csv", CHECK.replace("hub-play", "linked"));
    std::os::unix::fs::symlink("../outcomes/kept.csv", kb.path().join("checks/linked.md")).unwrap();
    put(kb.path(), "conditions/worn-bearing.md", CONDITION.replace("hub-play", "linked"));
    assert_eq!(proof(kb.path(), "short").out, "");
    check_refused(kb.path(), "checks/linked", "x", Status::CouldNotRun, "is a link");
}

/// A folder that may not be written to stops the change of another file that was already prepared.
#[test]
fn a_refusal_of_the_system_changes_nothing() {
    use std::os::unix::fs::PermissionsExt;
    let kb = example_folder(&[]);
    let locked = kb.path().join("conditions");
    fs::set_permissions(&locked, fs::Permissions::from_mode(0o555)).unwrap();
    let is_held = fs::write(locked.join("probe"), "").is_err();
    if is_held {
        check_refused(kb.path(), "checks/hub-play", "x", Status::CouldNotRun, "cannot be written");
    }
    fs::set_permissions(&locked, fs::Permissions::from_mode(0o755)).unwrap();
}
