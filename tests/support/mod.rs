//! What several tests need: folders of entries, and the program run on them.

use std::ffi::OsString;
use std::fs;
use std::path::Path;

use baybook::command::{Status, Terminal, run};
use baybook::diagnostic::catalogue::{BASE, EXAMPLE_DAY, ExampleFile};
use tempfile::TempDir;

/// What a run of the program left behind.
pub struct Ran {
    pub status: Status,
    pub out: String,
    pub err: String,
}

/// The root of the project.
pub fn repository() -> std::path::PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).to_owned()
}

/// Runs the program with these arguments.
pub fn baybook<S: Into<OsString>>(arguments: impl IntoIterator<Item = S>) -> Ran {
    let (mut out, mut err) = (Vec::new(), Vec::new());
    let mut terminal = Terminal { out: &mut out, err: &mut err, colour: false, progress: false };
    let arguments = std::iter::once(OsString::from("baybook")).chain(arguments.into_iter().map(Into::into));
    let status = run(arguments, &mut terminal);
    Ran { status, out: String::from_utf8(out).unwrap(), err: String::from_utf8(err).unwrap() }
}

/// Proofs a folder on the day of the examples, in one form of report.
pub fn proof(kb: &Path, report: &str) -> Ran {
    let kb = kb.to_str().unwrap();
    baybook(["proof", "--kb", kb, "--report", report, "--today", EXAMPLE_DAY])
}

/// The base folder of the examples with some files changed.
pub fn example_folder(files: &[ExampleFile]) -> TempDir {
    let folder = TempDir::new().unwrap();
    for file in BASE.iter().chain(files) {
        let path = folder.path().join(file.path);
        match file.text {
            Some(text) => {
                fs::create_dir_all(path.parent().unwrap()).unwrap();
                fs::write(path, text).unwrap();
            }
            None => _ = fs::remove_file(path),
        }
    }
    folder
}
