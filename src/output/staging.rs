//! A site while it is put together: files come one by one, on several cores, and are put in place at the end.

use std::cell::RefCell;
use std::collections::BTreeSet;
use std::fs;
use std::io::ErrorKind;
use std::path::{Path, PathBuf};
use std::sync::{Mutex, MutexGuard, PoisonError};
use std::time::Duration;

use super::marker::{Marker, Print};
use super::origins::{Origin, Origins};
use super::site::{Names, folders_above, in_order};
use super::stamps::{self, Seen};
use super::target::{self, Former};
use super::work::{Work, working_folder};
use super::{MARKER_NAME, Notice, OutputFault, Published, compare, exchange, tree};
use crate::diagnostic::{Digest, MadeFrom};

/// A site that is being put together for one folder. Nobody else publishes to that folder meanwhile.
pub struct Staging {
    out: PathBuf,
    maker: String,
    next: PathBuf,
    work: Work,
    former: Former,
    /// What the files of the former site were made from.
    origins: Origins,
    /// What is known of the files of the former site.
    site_seen: Seen,
    /// What is known of the files in `next`.
    next_seen: Seen,
    made: Mutex<Made>,
}

#[derive(Default)]
struct Made {
    files: Names<(Print, Option<MadeFrom>)>,
    /// Folders of the site that stand in the working folder.
    folders: BTreeSet<String>,
    fault: Option<OutputFault>,
}

/// A fault stopped the site; [`Staging::finish`] tells it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Stopped;

impl Staging {
    /// Begins a site for the folder `out`, waiting up to `patience` for another publisher to finish. `maker` names
    /// whatever makes files beside what each is made from: what another maker made is made again.
    ///
    /// # Errors
    /// When the folder may not be replaced, or another publisher does not finish.
    pub fn open(
        out: &Path,
        maker: &str,
        patience: Duration,
        talk: &mut dyn FnMut(Notice),
    ) -> Result<Self, OutputFault> {
        refuse_early(out)?;
        let work = Work::open(out, patience, talk)?;
        exchange::recover(&work, out)?;
        let (former, (origins, (site_seen, next_seen))) = rayon::join(
            || target::look(out),
            || {
                (
                    Origins::read(out, maker),
                    if maker.is_empty() { Default::default() } else { stamps::read(out, &work) },
                )
            },
        );
        let (former, next, made) = (former?, work.next(), Mutex::default());
        let origins = origins.filter(|(site, _)| former.print() == Some(*site)).map(|(_, origins)| origins);
        tree::make_folder(&next)?;
        Ok(Self {
            out: out.to_owned(),
            maker: maker.to_owned(),
            next,
            work,
            former,
            origins: origins.unwrap_or_default(),
            site_seen,
            next_seen,
            made,
        })
    }

    /// Whether the former site's file at `path` was made in the same circumstances. If so, it is taken over byte for byte.
    pub fn stands_in(&self, path: &str, circumstances: &Origin) -> bool {
        let made_from = self.origins.get(path).filter(|known| known.circumstances.as_ref() == Some(circumstances));
        made_from.is_some_and(|made_from| self.take_over(path, made_from))
    }

    /// Whether the former site's file at `path` was made from the same. If so, it is taken over byte for byte.
    pub fn stands(&self, path: &str, made_from: &MadeFrom) -> bool {
        let is_same = self.origins.get(path).is_some_and(|known| known.origin == made_from.origin);
        is_same && self.take_over(path, made_from)
    }

    fn take_over(&self, path: &str, made_from: &MadeFrom) -> bool {
        let print = self.former.marker().and_then(|marker| marker.files.get(path));
        let Some(print) = print else { return false };
        thread_local! {
            static READ: RefCell<Vec<u8>> = const { RefCell::new(Vec::new()) };
        }
        READ.with_borrow_mut(|buffer| self.keep(path, made_from, print, buffer))
    }

    /// Takes a file over from the former site, if it still stands there as it should: anybody may have changed it.
    fn keep(&self, path: &str, made_from: &MadeFrom, print: &Print, buffer: &mut Vec<u8>) -> bool {
        if self.made().make_folders(&self.next, path).is_err() {
            return false;
        }
        let next = self.next.join(path);
        let found = fs::symlink_metadata(&next).ok().filter(tree::may_overwrite);
        let is_whole =
            |found| self.next_seen.knows(path, found, print) || self.next_seen.reads(path, &next, found, print, buffer);
        if found.as_ref().is_some_and(is_whole) {
            return self.note(path, *print, Some(*made_from)).is_ok();
        }
        let out = self.out.join(path);
        let found = fs::symlink_metadata(&out);
        found.is_ok_and(|found| self.site_seen.reads(path, &out, &found, print, buffer))
            && self.take(path, &[buffer.as_slice()], Some(*made_from)).is_ok()
    }

    /// Takes a file, which is these parts one after the other.
    ///
    /// # Errors
    /// When this or an earlier file could not be written.
    pub fn take(&self, path: &str, parts: &[&[u8]], made_from: Option<MadeFrom>) -> Result<(), Stopped> {
        let print = Print::of_parts(parts);
        // A file that differs from the published one is written even if the bytes stand here since the time before:
        // its date would be older than that of the file it replaces, and browsers would go on with theirs.
        let may_keep = self.former.marker().and_then(|former| former.files.get(path)) == Some(&print);
        self.note(path, print, made_from)?;
        let file = self.next.join(path);
        let found = if may_keep { fs::symlink_metadata(&file).ok().filter(tree::may_overwrite) } else { None };
        if found.is_some_and(|found| self.next_seen.knows(path, &found, &print)) {
            return Ok(());
        }
        tree::put(&file, parts, may_keep).map_err(|fault| self.stop(fault))?;
        self.next_seen.note_written(path, &file, &print);
        Ok(())
    }

    /// Whether a fault stopped it.
    pub fn is_stopped(&self) -> bool {
        self.made().fault.is_some()
    }

    /// Path, size and digest of every file so far, by path.
    pub fn prints(&self) -> Vec<(String, u64, Digest)> {
        let made = self.made();
        let files: Vec<(String, Print)> =
            made.files.files.iter().map(|(path, (print, _))| (path.clone(), *print)).collect();
        // Whoever sorts on several cores may meanwhile be given work that notes a file.
        drop(made);
        in_order(files).into_iter().map(|(path, Print { size, digest })| (path, size, digest)).collect()
    }

    /// Puts the finished site in place of the former one. Where that already says the same, byte for byte, it is not
    /// touched.
    ///
    /// # Errors
    /// The fault that stopped it, now or earlier. The former site then stands whole.
    pub fn finish(self, talk: &mut dyn FnMut(Notice)) -> Result<Published, OutputFault> {
        let next = self.next.clone();
        self.complete(talk).inspect_err(|fault| free_the_disk(fault, &next))
    }

    fn complete(self, talk: &mut dyn FnMut(Notice)) -> Result<Published, OutputFault> {
        let Self { out, maker, next, work, former, made, site_seen, next_seen, .. } = self;
        let made = made.into_inner().unwrap_or_else(PoisonError::into_inner);
        if let Some(fault) = made.fault {
            return Err(fault);
        }
        let Names { files, folders } = made.files;
        let (marker, origins) = parted(in_order(files), &maker);
        let (text, compared) = rayon::join(|| marker.to_text(), || compare(&former, &marker));
        let print = Digest::of(text.as_bytes());
        let published = Published { print: print.to_string(), ..compared };
        if former.print() == Some(print) && site_seen.is_whole(&out, &marker) {
            origins.keep(&out, &print);
            stamps::leave(&out, &work, &marker, site_seen, next_seen);
            return Ok(published);
        }
        tree::sweep(&next, "", &marker, &folders)?;
        tree::put(&next.join(MARKER_NAME), &[text.as_bytes()], false)?;
        talk(Notice::Settling);
        tree::settle(&next)?;
        target::keep_permissions(&former, &out, &next)?;
        exchange::put_in_place(&work, &out, &former)?;
        rayon::join(|| origins.keep(&out, &print), || stamps::leave(&out, &work, &marker, next_seen, site_seen));
        Ok(published)
    }

    /// Writes down that the site has the file, and makes its folders.
    fn note(&self, path: &str, print: Print, made_from: Option<MadeFrom>) -> Result<(), Stopped> {
        let mut made = self.made();
        if made.fault.is_some() {
            return Err(Stopped);
        }
        let noted = made.note(&self.next, path, print, made_from);
        noted.map_err(|fault| {
            made.fault.get_or_insert(fault);
            Stopped
        })
    }

    fn stop(&self, fault: OutputFault) -> Stopped {
        self.made().fault.get_or_insert(fault);
        Stopped
    }

    /// What was noted stays true if a thread failed.
    fn made(&self) -> MutexGuard<'_, Made> {
        self.made.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl Made {
    fn note(&mut self, next: &Path, path: &str, print: Print, made_from: Option<MadeFrom>) -> Result<(), OutputFault> {
        self.files.add(path, (print, made_from))?;
        self.make_folders(next, path)
    }

    fn make_folders(&mut self, next: &Path, path: &str) -> Result<(), OutputFault> {
        for folder in folders_above(path) {
            if !self.folders.contains(folder) {
                tree::make_folder(&next.join(folder))?;
                self.folders.insert(folder.to_owned());
            }
        }
        Ok(())
    }
}

/// What the site is made of, and what its files were made from.
fn parted(files: Vec<(String, (Print, Option<MadeFrom>))>, maker: &str) -> (Marker, Origins) {
    let mut origins = Origins::of(maker);
    let mut file = |(path, (print, made_from)): (String, (Print, Option<MadeFrom>))| {
        if let Some(made_from) = made_from {
            origins.set(&path, made_from);
        }
        (path, print)
    };
    let files = files.into_iter().map(&mut file).collect();
    (Marker { files }, origins)
}

/// A folder that is refused gets no working folder beside it. If one stands there, another publisher may be
/// exchanging what is looked at: then the look under the lock decides.
fn refuse_early(out: &Path) -> Result<(), OutputFault> {
    let working = working_folder(out)?;
    let has_one = || fs::symlink_metadata(&working).is_ok();
    if has_one() {
        return Ok(());
    }
    match target::look(out) {
        Err(fault) if !has_one() => Err(fault),
        _ => Ok(()),
    }
}

/// On a full disk half a site is in everybody's way. If removing it fails as well, the first fault is the one to tell.
fn free_the_disk(fault: &OutputFault, next: &Path) {
    let OutputFault::Refused { cause, .. } = fault else { return };
    if matches!(cause.kind(), ErrorKind::StorageFull | ErrorKind::QuotaExceeded) {
        let _ = fs::remove_dir_all(next);
    }
}
