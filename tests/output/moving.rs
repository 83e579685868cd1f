//! Publishing while somebody works on the entries, and where it is not permitted.

use std::fs;
use std::os::unix::process::CommandExt;
use std::path::Path;
use std::process::Command;
use std::sync::atomic::{AtomicBool, Ordering};
use std::thread;

use baybook::command::Status;
use tempfile::TempDir;

use super::content;
use crate::support::{Ran, baybook, check_same, example_folder, put};

const GUIDE: &str = "guides/moving.md";
const ROUNDS: usize = 25;

fn publish(kb: &Path, out: &Path) -> Ran {
    let (kb, out) = (kb.to_str().unwrap(), out.to_str().unwrap());
    baybook(["publish", "--kb", kb, "--out", out, "--report", "short", "--today", "2026-11-25"])
}

/// A guide that says a word many times.
fn guide(word: &str) -> String {
    format!("---\ntitle: A {word}\nbasis: demo\n---\n{}\n", format!("{word} ").repeat(2_000))
}

/// Publishes again and again while `work` is done to the guide by another. After each run the site must be that of
/// one of the states, whole, and what the run says of the guide must begin with `may_say`.
fn check(states: &[Option<String>], may_say: &str, work: impl Fn(&Path) + Sync) {
    let (kb, place) = (example_folder(&[]), TempDir::new().unwrap());
    let (path, out) = (kb.path().join(GUIDE), place.path().join("site-out"));
    fs::create_dir_all(path.parent().unwrap()).unwrap();
    let site_of = |state: &Option<String>| {
        match state {
            Some(text) => fs::write(&path, text).unwrap(),
            None => _ = fs::remove_file(&path),
        }
        assert_eq!(publish(kb.path(), &out).status, Status::Done);
        content(&out)
    };
    let whole: Vec<_> = states.iter().map(site_of).collect();
    let ended = AtomicBool::new(false);
    thread::scope(|scope| {
        scope.spawn(|| {
            while !ended.load(Ordering::SeqCst) {
                work(&path);
            }
        });
        for round in 0..ROUNDS {
            let ran = publish(kb.path(), &out);
            let said = ran.out.lines().filter(|line| line.starts_with(GUIDE)).all(|line| line.starts_with(may_say));
            let is_whole = whole.contains(&content(&out));
            if !said || !is_whole || ran.status == Status::CouldNotRun {
                ended.store(true, Ordering::SeqCst);
                panic!("round {round}: whole {is_whole}\n{}{}", ran.out, ran.err);
            }
        }
        ended.store(true, Ordering::SeqCst);
    });
}

#[test]
fn a_file_that_vanishes_while_it_is_read_is_told_of_or_missed_altogether() {
    let text = guide("hum");
    check(&[Some(text.clone()), None], "guides/moving.md:1:1: error unreadable-file", |path| {
        let aside = path.with_extension("aside");
        fs::rename(path, &aside).or_else(|_| fs::write(&aside, &text)).unwrap();
        fs::rename(&aside, path).unwrap();
        fs::remove_file(path).unwrap();
        fs::write(&aside, &text).unwrap();
        fs::rename(&aside, path).unwrap();
    });
}

/// Set for the run of this binary that has no rights: the folder of entries and the folder to publish to.
const WITHOUT_RIGHTS: &str = "BAYBOOK_TEST_WITHOUT_RIGHTS";

/// Does nothing in an ordinary run.
#[test]
fn child() {
    let Some(folders) = std::env::var(WITHOUT_RIGHTS).ok() else { return };
    let (kb, out) = folders.split_once('|').unwrap();
    let ran = publish(Path::new(kb), Path::new(out));
    eprintln!("{:?} {}{}", ran.status, ran.out, ran.err);
}

/// What publishing says to somebody who owns nothing here; `None` where this test may not become somebody else.
fn without_rights(kb: &Path, out: &Path) -> Option<String> {
    let ran = Command::new(std::env::current_exe().unwrap())
        .args(["output::moving::child", "--exact", "--nocapture"])
        .env(WITHOUT_RIGHTS, format!("{}|{}", kb.display(), out.display()))
        .uid(65534)
        .gid(65534)
        .output();
    ran.ok().map(|ran| String::from_utf8(ran.stderr).unwrap())
}

#[test]
fn without_permission_nothing_happens_and_the_file_is_named() {
    use std::os::unix::fs::PermissionsExt;
    let (kb, place) = (example_folder(&[]), TempDir::new().unwrap());
    let out = place.path().join("site-out");
    let mode = |path: &Path, mode: u32| fs::set_permissions(path, fs::Permissions::from_mode(mode)).unwrap();
    mode(kb.path(), 0o755);
    mode(place.path(), 0o755);
    publish(kb.path(), &out);
    let before = content(place.path());
    put(kb.path(), GUIDE, guide("hum"));
    let Some(said) = without_rights(kb.path(), &out) else {
        eprintln!("not tested: this test may not become another user");
        return;
    };
    assert!(said.contains("CouldNotRun") && said.contains("site-out"), "{said}");
    assert!(said.contains("Permission denied"), "{said}");
    check_same(&content(place.path()), &before, "");
    mode(&kb.path().join(GUIDE), 0o000);
    let said = without_rights(kb.path(), &out).unwrap();
    assert!(
        said.contains("Errors") && said.contains("guides/moving.md") && said.contains("it may not be read"),
        "{said}"
    );
    mode(kb.path(), 0o000);
    let said = without_rights(kb.path(), &out).unwrap();
    mode(kb.path(), 0o755);
    assert!(said.contains("CouldNotRun") && said.contains(kb.path().to_str().unwrap()), "{said}");
    check_same(&content(place.path()), &before, "");
}

#[test]
fn a_path_of_four_thousand_characters_is_refused_by_name() {
    let (kb, place) = (example_folder(&[]), TempDir::new().unwrap());
    let before = content(place.path());
    let one = "a".repeat(4_000);
    let many = ["deep"; 800].join("/");
    for long in [one.as_str(), &many] {
        let out = place.path().join(long);
        let ran = publish(kb.path(), &out);
        assert_eq!(ran.status, Status::CouldNotRun);
        let named = if long == one { out.as_path() } else { out.parent().unwrap() };
        assert!(ran.err.contains(named.to_str().unwrap()), "{}", ran.err);
        let ran = publish(&place.path().join(long), &place.path().join("site-out"));
        assert_eq!(ran.status, Status::CouldNotRun);
        assert!(ran.err.contains(out.to_str().unwrap()), "{}", ran.err);
    }
    check_same(&content(place.path()), &before, "");
}
