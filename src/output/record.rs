//! What a run leaves for the next one: a short text in the working folder, beside the site and never in it.
//!
//! It may be deleted at any time. One that is damaged, or that another edition of the program wrote, is as good as
//! none: its first line names the format, its second is a hash of the rest.

use std::fs;
use std::path::Path;
use std::time::Duration;

use super::target::{self, Former};
use super::work::{Work, working_folder};
use super::{MARKER_NAME, Notice, OutputFault};

const NAME: &str = "record";
const FORMAT: &str = "baybook record, format 1";

/// The record that the last run left for `out`, if there is one and it is whole.
pub fn recall(out: &Path) -> Option<String> {
    let bytes = fs::read(working_folder(out).ok()?.join(NAME)).ok()?;
    let rest = std::str::from_utf8(&bytes).ok()?.strip_prefix(FORMAT)?.strip_prefix('\n')?;
    let (hash, record) = rest.split_once('\n')?;
    (blake3::hash(record.as_bytes()).to_hex().as_str() == hash).then(|| record.to_owned())
}

/// Leaves a record for the next run. It stands whole or not at all.
///
/// # Errors
/// When the working folder cannot be written to; the site stands all the same.
pub fn keep(out: &Path, record: &str) -> Result<(), OutputFault> {
    let folder = working_folder(out)?;
    let (new, path) = (folder.join("record.new"), folder.join(NAME));
    let hash = blake3::hash(record.as_bytes()).to_hex();
    let text = format!("{FORMAT}\n{hash}\n{record}");
    fs::write(&new, text).and_then(|()| fs::rename(&new, &path)).map_err(OutputFault::refused("write", &path))
}

/// Whether `out` is, byte for byte, the site whose print [`super::Published`] told, and holds nothing else.
pub fn stands(out: &Path, print: &str, patience: Duration, talk: &mut dyn FnMut(Notice)) -> bool {
    let Ok(_work) = Work::open(out, patience, talk) else { return false };
    let Ok(Former::Made(marker)) = target::look(out) else { return false };
    let bytes = fs::read(out.join(MARKER_NAME)).unwrap_or_default();
    blake3::hash(&bytes).to_hex().as_str() == print && marker.is_whole(out)
}
