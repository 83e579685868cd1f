//! What a run leaves for the next one: files in the working folder, beside the site and never in it.
//!
//! They may be deleted at any time. One that is damaged, or that another edition of the program wrote, is as good as
//! none: its first line names the format, its second is a digest of the rest. What is read bit by bit has digests of its
//! parts instead, and of that only the damaged parts are as good as none.

use std::fs;
use std::io::{self, BufWriter, Read, Write};
use std::ops::Range;
use std::path::Path;
use std::time::Duration;

use super::stamps;
use super::target::{self, Former};
use super::work::{Work, working_folder};
use super::{Notice, OutputFault};
use crate::diagnostic::Digest;

const FORMAT: &str = "baybook record, format 4";

/// What is left for the next run.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kept {
    /// What was published from what.
    Record,
    /// What was worked out; read bit by bit.
    Memo,
    /// What was worked out since that was written.
    Since,
    /// What each file was made from.
    Origins,
    /// How files stood when their bytes were known.
    Stamps,
}

impl Kept {
    fn name(self) -> &'static str {
        match self {
            Self::Record => "record",
            Self::Memo => "memo",
            Self::Since => "since",
            Self::Origins => "origins",
            Self::Stamps => "stamps",
        }
    }
}

/// What the last run left for `out`, if there is any and it is whole.
pub fn recall(out: &Path, kept: Kept) -> Option<Vec<u8>> {
    let mut file = fs::File::open(working_folder(out).ok()?.join(kept.name())).ok()?;
    let mut before = [0; BEFORE];
    file.read_exact(&mut before).ok()?;
    let mut rest = Vec::new();
    file.read_to_end(&mut rest).ok()?;
    (before == head(Digest::of(&rest)).as_bytes()).then_some(rest)
}

/// What the last run left for `out`, to be read bit by bit, if this edition of the program wrote it: puts the bytes of a range in
/// place of those in a buffer, and says whether there are such and they could be read. Whether they are whole is for the reader
/// to tell.
pub fn open(out: &Path, kept: Kept) -> Option<impl Fn(Range<u64>, &mut Vec<u8>) -> bool + Send + Sync + 'static> {
    let mut file = fs::File::open(working_folder(out).ok()?.join(kept.name())).ok()?;
    let mut before = [0; BEFORE];
    file.read_exact(&mut before).ok()?;
    let all = file.metadata().ok()?.len().checked_sub(BEFORE as u64)?;
    let read = move |range: Range<u64>, to: &mut Vec<u8>| {
        let length = range.end.checked_sub(range.start).filter(|_| range.end <= all);
        let Some(length) = length.and_then(|length| usize::try_from(length).ok()) else { return false };
        to.resize(length, 0);
        read_at(&file, to, BEFORE as u64 + range.start).is_ok()
    };
    before.starts_with(format!("{FORMAT}\n").as_bytes()).then_some(read)
}

#[cfg(unix)]
fn read_at(file: &fs::File, to: &mut [u8], from: u64) -> io::Result<()> {
    std::os::unix::fs::FileExt::read_exact_at(file, to, from)
}

/// Elsewhere a file has one place at which all of its readers stand, so they take turns.
#[cfg(not(unix))]
fn read_at(file: &fs::File, to: &mut [u8], from: u64) -> io::Result<()> {
    use std::io::{Seek, SeekFrom};
    static ONE_AT_A_TIME: std::sync::Mutex<()> = std::sync::Mutex::new(());
    let _turn = ONE_AT_A_TIME.lock();
    let mut file = file;
    file.seek(SeekFrom::Start(from))?;
    file.read_exact(to)
}

/// Leaves something for the next run, which is these parts one after the other. It stands whole or not at all.
///
/// # Errors
/// When the working folder cannot be written to; the site stands all the same.
pub fn keep(out: &Path, kept: Kept, parts: &[&[u8]]) -> Result<(), OutputFault> {
    let folder = working_folder(out)?;
    let (new, path) = (folder.join(format!("{}.new", kept.name())), folder.join(kept.name()));
    let write = || {
        let mut file = BufWriter::with_capacity(TOGETHER, fs::File::create(&new)?);
        let digest = if kept == Kept::Memo { Digest::default() } else { Digest::of_parts(parts) };
        file.write_all(head(digest).as_bytes())?;
        parts.iter().try_for_each(|part| file.write_all(part))?;
        file.flush()?;
        fs::rename(&new, &path)
    };
    write().map_err(|cause| {
        // Half of it is in everybody's way, most of all on a full disk.
        let _ = fs::remove_file(&new);
        OutputFault::refused("write", &path)(cause)
    })
}

/// How many bytes the head has.
const BEFORE: usize = FORMAT.len() + 1 + 32 + 1;

/// So many bytes are written at once.
const TOGETHER: usize = 256 * 1024;

fn head(rest: Digest) -> String {
    format!("{FORMAT}\n{rest}\n")
}

/// Whether `out` is, byte for byte, the site whose print [`super::Published`] told, and holds nothing else.
pub fn stands(out: &Path, print: &str, patience: Duration, talk: &mut dyn FnMut(Notice)) -> bool {
    let Ok(work) = Work::open(out, patience, talk) else { return false };
    let Ok(Former::Made(marker, found)) = target::look(out) else { return false };
    let (site, next) = stamps::read(out, &work);
    let is_whole = found.to_string() == print && site.is_whole(out, &marker);
    if is_whole && site.has_news() {
        stamps::leave(out, &work, &marker, site, next);
    }
    is_whole
}
