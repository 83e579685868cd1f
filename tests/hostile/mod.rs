//! Files that are small and made to cost much: the program ends with a mark or a page within 2 s of work and 200 MB.
//!
//! The program runs as a process of its own, and the kernel counts: `/proc/PID/stat` the time, `/proc/PID/status` the
//! most memory. `BAYBOOK_PROGRAM` names another program, such as one that is built for release; to that the 2 s and 200 MB
//! apply.
//! `BAYBOOK_SHOW=1` prints what each file costs.

#![cfg(target_os = "linux")]

mod flows;
mod front_matter;
mod markdown;
mod settings;
mod statements;
mod vehicles;

use std::fs::{self, File};
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::thread;
use std::time::{Duration, Instant};

use baybook::diagnostic::catalogue::EXAMPLE_DAY;
use tempfile::TempDir;

use crate::support::{example_folder, put};

/// Bytes of an entry, and of a file of settings, that are read: what is hostile fills them.
const ENTRY: usize = 192 * 1024;
const SETTINGS: usize = 384 * 1024;

const MOST: Bound = Bound { work: Duration::from_secs(2), memory: 200_000_000 };
/// Programs for tests are built with checks and with little optimization, and are some 50 MB larger; a run reads the
/// program too.
const MOST_UNOPTIMIZED: Bound = Bound { work: Duration::from_secs(20), memory: 250_000_000 };
/// What hangs takes for ever; a busy computer takes long.
const PATIENCE: Duration = Duration::from_secs(120);

/// What a run may take.
struct Bound {
    work: Duration,
    memory: u64,
}

/// How a run must end.
#[derive(Clone, Copy, Debug)]
enum End {
    /// With a site.
    Page,
    /// With this mark, which is an error.
    Mark(&'static str),
}

/// Prints what a file cost, if that was asked for.
#[allow(clippy::print_stdout, reason = "a report for whoever asks for it")]
fn show(name: &str, size: usize, ran: &Measured) {
    if std::env::var_os("BAYBOOK_SHOW").is_some() {
        let (seconds, megabytes) = (ran.work.as_secs_f64(), ran.memory / 1_000_000);
        println!("{name}: {} KB, {seconds:.2} s, {megabytes} MB", size / 1000);
    }
}

/// A file with this content in the folder of the examples must end so.
fn check(name: &str, path: &str, content: &[u8], end: End) {
    check_files(name, &[(path.to_owned(), content)], end);
}

/// Files with this content in the folder of the examples must end so.
fn check_files(name: &str, files: &[(String, &[u8])], end: End) {
    let kb = example_folder(&[]);
    files.iter().for_each(|(path, content)| put(kb.path(), path, content));
    let place = TempDir::new().unwrap();
    let (program, most) = match std::env::var("BAYBOOK_PROGRAM") {
        Ok(program) => (program, MOST),
        Err(_) if cfg!(debug_assertions) => (env!("CARGO_BIN_EXE_baybook").to_owned(), MOST_UNOPTIMIZED),
        Err(_) => (env!("CARGO_BIN_EXE_baybook").to_owned(), MOST),
    };
    let child = start(&program, kb.path(), place.path());
    let ran = measured(child);
    let said = fs::read_to_string(place.path().join("said")).unwrap();
    show(name, files.iter().map(|(_, content)| content.len()).sum(), &ran);
    let begin: String = said.chars().take(1000).collect();
    match end {
        End::Page => assert_eq!(ran.code, Some(0), "{name}: {begin}"),
        End::Mark(mark) => {
            assert_eq!(ran.code, Some(1), "{name}: {begin}");
            assert!(said.lines().any(|line| line.contains(&format!(" error {mark}: "))), "{name}: {begin}");
        }
    }
    assert!(ran.work <= most.work, "{name} took {:?} of work", ran.work);
    assert!(ran.memory <= most.memory, "{name} took {} bytes", ran.memory);
}

fn start(program: &str, kb: &Path, place: &Path) -> Child {
    let said = File::create(place.join("said")).unwrap();
    Command::new(program)
        .args(["publish", "--report", "short", "--today", EXAMPLE_DAY])
        .arg("--kb")
        .arg(kb)
        .arg("--out")
        .arg(place.join("site"))
        .stdin(Stdio::null())
        .stderr(said.try_clone().unwrap())
        .stdout(said)
        .spawn()
        .unwrap()
}

/// What a run came to.
struct Measured {
    /// `None` if it was ended from outside.
    code: Option<i32>,
    work: Duration,
    /// In bytes, as last seen; looked at every few milliseconds.
    memory: u64,
}

fn measured(mut child: Child) -> Measured {
    let (begin, mut memory) = (Instant::now(), 0);
    let work = loop {
        memory = most_memory(child.id()).unwrap_or(memory);
        let (has_ended, work) = state(child.id());
        if has_ended || begin.elapsed() > PATIENCE {
            break work;
        }
        thread::sleep(Duration::from_millis(3));
    };
    // One that has ended does not hear this.
    _ = child.kill();
    Measured { code: child.wait().unwrap().code(), work, memory }
}

/// The most memory that a process held so far, in bytes; `None` once it has ended.
fn most_memory(process: u32) -> Option<u64> {
    let status = fs::read_to_string(format!("/proc/{process}/status")).ok()?;
    let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:"))?;
    let kilobytes: u64 = line.trim().strip_suffix(" kB")?.trim().parse().ok()?;
    Some(kilobytes * 1024)
}

/// Whether a process has ended, and the time that it has worked so far. One that has ended still stands in the list
/// of processes, until it is waited for.
fn state(process: u32) -> (bool, Duration) {
    /// Linux tells programs times in hundredths of a second.
    const TICKS_PER_SECOND: u64 = 100;
    let stat = fs::read_to_string(format!("/proc/{process}/stat")).unwrap();
    let fields: Vec<&str> = stat.rsplit(')').next().unwrap().split_whitespace().collect();
    let ticks: u64 = [11, 12].map(|at: usize| fields[at].parse::<u64>().unwrap()).iter().sum();
    (fields[0] == "Z", Duration::from_millis(ticks * 1000 / TICKS_PER_SECOND))
}

/// An entry with these lines in its front matter, cut to what is read.
fn with_fields(name: &str, fields: &str, end: End) {
    let head = "---\ntitle: x\nbasis: demo\n";
    let room = ENTRY - head.len() - "\n---\n".len();
    check(name, "guides/x.md", format!("{head}{}\n---\n", cut(fields, room)).as_bytes(), end);
}

/// An entry with this text, cut to what is read.
fn with_text(name: &str, text: &str, end: End) {
    let head = "---\ntitle: x\nbasis: demo\n---\n";
    check(name, "guides/x.md", format!("{head}{}", cut(text, ENTRY - head.len())).as_bytes(), end);
}

/// Settings with this content, cut to what is read.
fn with_settings(path: &str, name: &str, content: &str, end: End) {
    check(name, path, cut(content, SETTINGS).as_bytes(), end);
}

fn cut(text: &str, room: usize) -> &str {
    (0..=room.min(text.len())).rev().find_map(|end| text.get(..end)).unwrap()
}

/// A piece again and again, as often as fits into an entry and more.
fn flood(piece: &str) -> String {
    piece.repeat(ENTRY / piece.len() + 1)
}

/// As many pieces as that, each from its number.
fn pieces(count: usize, piece: impl Fn(usize) -> String) -> String {
    (0..count).map(piece).collect()
}

#[test]
fn the_check_itself_can_fail() {
    let failed = |end: End| thread::spawn(move || with_text("nothing is hostile", "Text.", end)).join().is_err();
    assert!(failed(End::Mark("bad-front-matter")));
    assert!(!failed(End::Page));
    // Work and memory are those of the process: it took some of both.
    let (kb, place) = (example_folder(&[]), TempDir::new().unwrap());
    put(kb.path(), "guides/x.md", format!("---\ntitle: x\nbasis: demo\n---\n{}", "[a](".repeat(40_000)));
    let ran = measured(start(env!("CARGO_BIN_EXE_baybook"), kb.path(), place.path()));
    assert!(ran.work >= Duration::from_millis(10) && ran.memory > 10_000_000, "{:?} {}", ran.work, ran.memory);
}
