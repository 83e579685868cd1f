//! Walking the folder.

use std::fmt;
use std::fs;
use std::io;
use std::path::{Path, PathBuf};

use rayon::prelude::*;
use walkdir::{DirEntry, FilterEntry, WalkDir};

use super::reading::{cause_words, read_limited};
use super::{ENTRY_LIMIT, SETTINGS_LIMIT};
use crate::diagnostic::{FileId, Mark, MarkId, Span};

/// Settings without which nothing can be said about the entries.
const NEEDED: [&str; 2] = ["shop.yaml", "vehicles.yaml"];

/// Folders below the root that are read; others are passed over.
const READ_FOLDERS: [&str; 8] =
    ["symptoms", "conditions", "characteristics", "checks", "systems", "guides", "media", "outcomes"];

/// The folder of entries as it stands on disk.
#[derive(Clone, Debug, Default)]
pub struct Folder {
    /// Text files, sorted by path; a [`FileId`] is a position in this list.
    pub texts: Vec<TextFile>,
    /// Pictures below `media/`, sorted, as paths inside the folder.
    pub pictures: Vec<String>,
    /// Folders below the root that no kind of entry owns.
    pub foreign_folders: Vec<String>,
}

impl Folder {
    /// The id under which marks speak of the picture at that position.
    pub fn picture_id(&self, at: usize) -> FileId {
        FileId(u32::try_from(self.texts.len() + at).unwrap_or(u32::MAX))
    }

    /// The id under which marks speak of the foreign folder at that position.
    pub fn foreign_id(&self, at: usize) -> FileId {
        self.picture_id(self.pictures.len() + at)
    }

    /// The path of a text, a picture or a foreign folder.
    pub fn path(&self, file: FileId) -> &str {
        let at = file.0 as usize;
        let picture = || self.pictures.get(at - self.texts.len());
        let foreign = || self.foreign_folders.get(at.checked_sub(self.texts.len() + self.pictures.len())?);
        let text = self.texts.get(at).map(|text| &text.path);
        text.or_else(picture).or_else(foreign).map_or("", String::as_str)
    }

    /// The text of a file; empty for what is no text.
    pub fn text(&self, file: FileId) -> &str {
        self.texts.get(file.0 as usize).map_or("", |text| &text.text)
    }
}

/// A text file. One that could not be read stays in the list, so that references to it are not called dangling.
#[derive(Clone, Debug, Default)]
pub struct TextFile {
    /// Path inside the folder, parts joined by `/`.
    pub path: String,
    /// What it says, without a byte-order mark; empty if it could not be read.
    pub text: String,
    /// Whether the text could be read.
    pub readable: bool,
}

/// Why the folder as a whole cannot be read.
#[derive(Debug)]
pub struct SourceFault {
    path: PathBuf,
    cause: io::Error,
}

impl fmt::Display for SourceFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "the folder of entries `{}` cannot be read: {}", self.path.display(), self.cause)
    }
}

/// Reads every text below `root`.
///
/// # Errors
/// When `root` is no folder or may not be entered; faults of single files become marks.
pub fn read_folder(root: &Path) -> Result<(Folder, Vec<Mark>), SourceFault> {
    let fault = |cause| SourceFault { path: root.to_path_buf(), cause };
    let real_root = fs::canonicalize(root).map_err(fault)?;
    fs::read_dir(&real_root).map_err(fault)?;
    let mut found = Vec::new();
    let mut steps = walk(&real_root);
    while let Some(step) = steps.next() {
        if step.as_ref().is_ok_and(|step| is_folder_outside(&real_root, step)) {
            steps.skip_current_dir();
        }
        found.extend(find(&real_root, step));
    }
    Ok(sort_out(&real_root, found))
}

/// The folder that these files would make, as paths inside it with what each says. Nothing is read from disk: for
/// examples, and to proof a change before it is written. What is said of a picture is not kept.
pub fn folder_of(files: impl IntoIterator<Item = (String, Vec<u8>)>) -> (Folder, Vec<Mark>) {
    let found = files.into_iter().filter_map(|(path, bytes)| {
        let what = if path.starts_with("media/") { What::Picture } else { What::Given(bytes) };
        let is_read = matches!(what, What::Picture) || is_text_name(&path) || is_kind_folder(&path);
        is_read.then_some(Found { path, what })
    });
    sort_out(Path::new(""), found.collect())
}

/// What the walk met at one path.
struct Found {
    path: String,
    what: What,
}

enum What {
    Text,
    Given(Vec<u8>),
    Picture,
    ForeignFolder,
    Unreadable(String),
}

fn walk(root: &Path) -> FilterEntry<walkdir::IntoIter, impl FnMut(&DirEntry) -> bool> {
    WalkDir::new(root)
        .min_depth(1)
        .follow_links(true)
        .sort_by_file_name()
        .into_iter()
        .filter_entry(|step| !is_hidden(step) && !is_inside_foreign(step))
}

fn is_hidden(step: &DirEntry) -> bool {
    step.depth() > 0 && step.file_name().as_encoded_bytes().starts_with(b".")
}

/// A foreign folder itself is met, so that a misspelt name can be pointed out; what it holds is not walked.
fn is_inside_foreign(step: &DirEntry) -> bool {
    let owner = step.path().ancestors().nth(step.depth().saturating_sub(1));
    let name = owner.and_then(Path::file_name).and_then(|name| name.to_str());
    step.depth() > 1 && !name.is_some_and(|name| READ_FOLDERS.contains(&name))
}

fn find(root: &Path, step: walkdir::Result<DirEntry>) -> Option<Found> {
    let step = match step {
        Ok(step) => step,
        Err(fault) => return unreachable_step(root, &fault),
    };
    let path = inside(root, step.path());
    if is_folder_outside(root, &step) {
        return Some(Found { path, what: What::Unreadable(OUTSIDE.to_owned()) });
    }
    if step.file_type().is_dir() {
        return folder_step(path, step.depth());
    }
    let what = file_step(root, &step, &path)?;
    Some(Found { path, what })
}

fn unreachable_step(root: &Path, fault: &walkdir::Error) -> Option<Found> {
    let path = inside(root, fault.path()?);
    let cause = if fault.loop_ancestor().is_some() {
        "it is a link that leads back to a folder above it".to_owned()
    } else {
        fault.io_error().map_or_else(|| fault.to_string(), cause_words)
    };
    Some(Found { path, what: What::Unreadable(cause) })
}

fn folder_step(path: String, depth: usize) -> Option<Found> {
    if is_text_name(&path) {
        return Some(Found { path, what: What::Unreadable("it is a folder, not a file".to_owned()) });
    }
    let foreign = depth == 1 && !READ_FOLDERS.contains(&path.as_str());
    foreign.then_some(Found { path, what: What::ForeignFolder })
}

fn file_step(root: &Path, step: &DirEntry, path: &str) -> Option<What> {
    let is_media = path.starts_with("media/");
    if !is_media && !is_text_name(path) && !is_kind_folder(path) {
        return None;
    }
    if step.path_is_symlink() && !leads_inside(root, step.path()) {
        return Some(What::Unreadable(OUTSIDE.to_owned()));
    }
    if !step.file_type().is_file() {
        return Some(What::Unreadable("it is not an ordinary file".to_owned()));
    }
    Some(if is_media { What::Picture } else { What::Text })
}

const OUTSIDE: &str = "it is a link that leads out of the folder";

fn is_folder_outside(root: &Path, step: &DirEntry) -> bool {
    step.file_type().is_dir() && step.path_is_symlink() && !leads_inside(root, step.path())
}

fn leads_inside(root: &Path, link: &Path) -> bool {
    fs::canonicalize(link).is_ok_and(|target| target.starts_with(root))
}

fn is_kind_folder(path: &str) -> bool {
    path.split_once('/').is_some_and(|(top, _)| READ_FOLDERS.contains(&top) && top != "outcomes")
}

fn is_text_name(path: &str) -> bool {
    [".md", ".yaml", ".csv"].iter().any(|ending| path.ends_with(ending))
}

/// The path inside the folder, with `/` between its parts on every system; what is not Unicode is replaced.
fn inside(root: &Path, path: &Path) -> String {
    let parts = path.strip_prefix(root).unwrap_or(path).components();
    parts.map(|part| part.as_os_str().to_string_lossy()).collect::<Vec<_>>().join("/")
}

fn sort_out(root: &Path, mut found: Vec<Found>) -> (Folder, Vec<Mark>) {
    let missing = NEEDED.into_iter().filter(|needed| found.iter().all(|found| found.path != *needed));
    let missing: Vec<Found> = missing
        .map(|path| Found { path: path.to_owned(), what: What::Unreadable("it is not there".to_owned()) })
        .collect();
    found.extend(missing);
    found.sort_by(|a, b| a.path.cmp(&b.path));
    let read: Vec<(String, Read)> = found.into_par_iter().map(|found| read(root, found)).collect();
    let mut folder = Folder::default();
    let mut marks = Vec::new();
    for (path, read) in read {
        match read {
            Read::Picture => folder.pictures.push(path),
            Read::ForeignFolder => folder.foreign_folders.push(path),
            Read::Text(text) => {
                let file = FileId(u32::try_from(folder.texts.len()).unwrap_or(u32::MAX));
                folder.texts.push(keep(file, path, text, &mut marks));
            }
        }
    }
    (folder, marks)
}

/// What came of what the walk met.
enum Read {
    Text(Result<String, Unreadable>),
    Picture,
    ForeignFolder,
}

fn read(root: &Path, Found { path, what }: Found) -> (String, Read) {
    let read = match what {
        What::Picture => Read::Picture,
        What::ForeignFolder => Read::ForeignFolder,
        What::Text => {
            let limit = if path.contains('/') { ENTRY_LIMIT } else { SETTINGS_LIMIT };
            let bytes = read_limited(&root.join(&path), limit).map_err(Unreadable::whole);
            Read::Text(bytes.and_then(as_text))
        }
        What::Given(bytes) => Read::Text(as_text(bytes)),
        What::Unreadable(cause) => Read::Text(Err(Unreadable::whole(cause))),
    };
    (path, read)
}

fn keep(file: FileId, path: String, text: Result<String, Unreadable>, marks: &mut Vec<Mark>) -> TextFile {
    match text {
        Ok(text) => TextFile { path, text, readable: true },
        Err(Unreadable { cause, good }) => {
            let span = Span::new(file, good.len()..good.len());
            marks.push(Mark::new(MarkId::UnreadableFile, span).with("file", path.clone()).with("found", cause));
            TextFile { path, text: good, readable: false }
        }
    }
}

/// Why a text cannot be used, and the part before the fault, which gives the fault its line and column.
struct Unreadable {
    cause: String,
    good: String,
}

impl Unreadable {
    fn whole(cause: String) -> Self {
        Self { cause, good: String::new() }
    }
}

fn as_text(bytes: Vec<u8>) -> Result<String, Unreadable> {
    let without_mark = bytes.strip_prefix("\u{feff}".as_bytes()).map(<[u8]>::to_vec);
    let text = String::from_utf8(without_mark.unwrap_or(bytes)).map_err(|fault| {
        let good = fault.utf8_error().valid_up_to();
        let good = String::from_utf8_lossy(fault.as_bytes().get(..good).unwrap_or_default()).into_owned();
        Unreadable { cause: "it is not UTF-8 text from this place on".to_owned(), good }
    })?;
    match text.split_once('\0') {
        Some((good, _)) => Err(Unreadable { cause: "a NUL byte stands here".to_owned(), good: good.to_owned() }),
        None => Ok(text),
    }
}
