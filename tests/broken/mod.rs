//! Folders that nobody should hand in: each is answered with marks at places or one clear line, soon, without a panic,
//! and the site that was published before stays as it was.

#![cfg(unix)]

mod folders;
mod texts;

use std::fs;
use std::path::{Path, PathBuf};
use std::sync::mpsc;
use std::thread;
use std::time::Duration;

use baybook::command::Status;
use baybook::diagnostic::catalogue::EXAMPLE_DAY;
use tempfile::TempDir;

use crate::support::{Ran, baybook, content, example_folder};

/// Generous: what hangs takes for ever.
const PATIENCE: Duration = Duration::from_secs(60);

/// What a broken folder must earn.
enum Answer {
    /// Exit status 1 and this mark, at this path if it is named.
    Mark(&'static str, &'static str),
    /// Exit status 2 and one line that says this.
    Line(&'static str),
    /// Nothing: odd, but allowed.
    Nothing,
}

/// A folder that is broken by `breaking` must earn `answer`.
fn check(name: &str, breaking: impl FnOnce(&Path), answer: &Answer) {
    let kb = example_folder(&[]);
    breaking(kb.path());
    check_folder(name, kb.path().to_path_buf(), answer);
}

fn check_folder(name: &str, kb: PathBuf, answer: &Answer) {
    let site = TempDir::new().unwrap();
    let out = site.path().join("site");
    let good = example_folder(&[]);
    assert_eq!(publish(name, good.path().to_path_buf(), out.clone()).status, Status::Done);
    let before = content(&out);
    let ran = publish(name, kb, out.clone());
    let said = format!("{name}:\n{}{}", ran.out, ran.err);
    match answer {
        Answer::Mark(mark, path) => {
            assert_eq!(ran.status, Status::Errors, "{said}");
            let is_it = |line: &str| line.contains(&format!(" {mark}: ")) && line.starts_with(path) && has_place(line);
            assert!(ran.out.lines().any(is_it), "no {mark} at {path} in {said}");
        }
        Answer::Line(words) => {
            assert_eq!((ran.status, ran.out.as_str()), (Status::CouldNotRun, ""), "{said}");
            assert!(ran.err.contains(words) && ran.err.trim_end().lines().count() == 1, "{said}");
        }
        Answer::Nothing => return assert_eq!(ran.status, Status::Done, "{said}"),
    }
    assert!(content(&out) == before, "{name}: the former site changed");
}

/// Whether a line of the short report begins with `path:line:column:`.
fn has_place(line: &str) -> bool {
    let place = line.split(": ").next().unwrap_or("");
    place.rsplit(':').take(2).all(|number| number.parse::<u32>().is_ok_and(|number| number > 0))
}

/// Publishes in a thread of its own, so that what hangs or panics is told by its name.
fn publish(name: &str, kb: PathBuf, out: PathBuf) -> Ran {
    let (done, wait) = mpsc::channel();
    thread::spawn(move || {
        let (kb, out) = (kb.into_os_string(), out.into_os_string());
        let fixed = ["publish", "--report", "short", "--today", EXAMPLE_DAY, "--kb"].map(Into::into);
        done.send(baybook(fixed.into_iter().chain([kb, "--out".into(), out])))
    });
    wait.recv_timeout(PATIENCE).unwrap_or_else(|fault| panic!("{name}: {fault}"))
}

#[test]
fn the_check_itself_can_fail() {
    let failed = |name: &'static str, breaking: fn(&Path), answer: Answer| {
        thread::spawn(move || check(name, breaking, &answer)).join().is_err()
    };
    assert!(failed("nothing is broken", |_| {}, Answer::Mark("bad-id", "")));
    assert!(failed("nothing is broken", |_| {}, Answer::Line("cannot be read")));
    assert!(failed("broken", |kb| fs::remove_file(kb.join("shop.yaml")).unwrap(), Answer::Nothing));
}
