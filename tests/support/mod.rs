//! What several tests need: folders of entries, and the program run on them.

use std::collections::{BTreeMap, BTreeSet};
use std::ffi::OsString;
use std::fs;
use std::path::{Path, PathBuf};

use baybook::command::{Status, Terminal, run};
use baybook::diagnostic::catalogue::{BASE, EXAMPLE_DAY, ExampleFile};
use tempfile::TempDir;

/// What a run of the program left behind.
pub(crate) struct Ran {
    pub(crate) status: Status,
    pub(crate) out: String,
    pub(crate) err: String,
}

/// The root of the project.
pub(crate) fn repository() -> std::path::PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).to_owned()
}

/// Runs the program with these arguments.
pub(crate) fn baybook<S: Into<OsString>>(arguments: impl IntoIterator<Item = S>) -> Ran {
    let (mut out, mut err) = (Vec::new(), Vec::new());
    let mut terminal = Terminal { out: &mut out, err: &mut err, input: None, colour: false, progress: false };
    let arguments = std::iter::once(OsString::from("baybook")).chain(arguments.into_iter().map(Into::into));
    let status = run(arguments, &mut terminal);
    Ran { status, out: String::from_utf8(out).unwrap(), err: String::from_utf8(err).unwrap() }
}

/// Proofs a folder on the day of the examples, in one form of report.
pub(crate) fn proof(kb: &Path, report: &str) -> Ran {
    let kb = kb.to_str().unwrap();
    baybook(["proof", "--kb", kb, "--report", report, "--today", EXAMPLE_DAY])
}

/// Writes a file below `root`, with the folders that it needs.
pub(crate) fn put(root: &Path, path: &str, bytes: impl AsRef<[u8]>) {
    let path = root.join(path);
    fs::create_dir_all(path.parent().unwrap()).unwrap();
    fs::write(path, bytes).unwrap();
}

/// The base folder of the examples with some files changed.
pub(crate) fn example_folder(files: &[ExampleFile]) -> TempDir {
    let folder = TempDir::new().unwrap();
    for file in BASE.iter().chain(files) {
        match file.text {
            Some(text) => put(folder.path(), file.path, text),
            None => _ = fs::remove_file(folder.path().join(file.path)),
        }
    }
    folder
}

/// The demonstration's folder of entries.
pub(crate) fn demo() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("kb")
}

/// Every file below `root`, by its path inside it.
pub(crate) fn content(root: &Path) -> BTreeMap<String, Vec<u8>> {
    let files = walkdir::WalkDir::new(root).into_iter().map(Result::unwrap).filter(|step| step.file_type().is_file());
    let path = |step: &walkdir::DirEntry| step.path().strip_prefix(root).unwrap().to_str().unwrap().to_owned();
    files.map(|step| (path(&step), fs::read(step.path()).unwrap())).collect()
}

/// Two folders must hold the same. Else the files that differ are named, not shown: they may be large.
#[track_caller]
pub(crate) fn check_same(found: &BTreeMap<String, Vec<u8>>, expected: &BTreeMap<String, Vec<u8>>, about: &str) {
    let paths: BTreeSet<&String> = found.keys().chain(expected.keys()).collect();
    let differ: Vec<&String> = paths.into_iter().filter(|path| found.get(*path) != expected.get(*path)).collect();
    assert!(differ.is_empty(), "{about} {} files differ: {:?}", differ.len(), &differ[..differ.len().min(20)]);
}

/// A copy of a folder that may be changed.
pub(crate) fn copy(root: &Path) -> TempDir {
    let folder = TempDir::new().unwrap();
    content(root).into_iter().for_each(|(path, bytes)| put(folder.path(), &path, bytes));
    folder
}
