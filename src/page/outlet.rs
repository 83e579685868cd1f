//! Where finished files go. They leave this room one by one, so that a site never stands in memory whole, and one that
//! was made from the same before is not made again.

use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use serde::Serialize;

use super::site::{PageFault, PageFile};
use crate::diagnostic::{Digest, MadeFrom, said};
use crate::source::Memo;

/// A name for all that decides the bytes of a file.
pub type Origin = Digest;

/// Path, size and content of a file, by digest.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FilePrint {
    /// Path inside the site.
    pub path: String,
    /// Size in bytes.
    pub size: u64,
    /// Digest of the content.
    pub digest: Digest,
}

impl FilePrint {
    /// The print of a file.
    pub fn of(path: &str, bytes: &[u8]) -> Self {
        Self { path: path.to_owned(), size: bytes.len() as u64, digest: Digest::of(bytes) }
    }
}

/// What takes finished files; several cores bring them at once.
pub trait Outlet: Sync {
    /// Whether the file at `path` was made in the same circumstances before. If so it counts as taken.
    fn stands_in(&self, path: &str, circumstances: &Origin) -> bool;

    /// Whether the file at `path` was made from the same before. If so it counts as taken.
    fn stands(&self, path: &str, made_from: &MadeFrom) -> bool;

    /// Takes a file. One of which nobody knows what it was made from is made every time.
    ///
    /// # Errors
    /// [`PageFault::NotTaken`] if nothing more is wanted.
    fn take(&self, file: PageFile, made_from: Option<MadeFrom>) -> Result<(), PageFault>;

    /// Takes a large file that is these parts, one after the other.
    ///
    /// # Errors
    /// As of [`Self::take`].
    fn take_parts(&self, path: &str, parts: &[Vec<u8>]) -> Result<(), PageFault> {
        self.take(PageFile { path: path.to_owned(), bytes: parts.concat() }, None)
    }

    /// Everything it took so far, by path.
    fn taken(&self) -> Vec<FilePrint>;
}

/// Takes a file that `make` makes from what `decided_by` says, unless it stands there, made from the same. If that cannot be
/// said, the file is made.
pub(super) fn take_unless_it_stands(
    outlet: &dyn Outlet,
    path: String,
    decided_by: Option<impl Serialize>,
    make: impl FnOnce() -> Vec<u8>,
) -> Result<(), PageFault> {
    let made_from = decided_by.and_then(|by| Digest::of_said(|to| said(&by, to))).map(MadeFrom::from);
    take_unless_made_from(outlet, path, made_from, make)
}

/// Takes a file that `make` makes, unless it stands there, made from the same.
pub(super) fn take_unless_made_from(
    outlet: &dyn Outlet,
    path: String,
    made_from: Option<MadeFrom>,
    make: impl FnOnce() -> Vec<u8>,
) -> Result<(), PageFault> {
    if made_from.is_some_and(|made_from| outlet.stands(&path, &made_from)) {
        return Ok(());
    }
    outlet.take(PageFile { path, bytes: make() }, made_from)
}

/// A site in memory.
#[derive(Default)]
pub struct InMemory {
    former: BTreeMap<String, Kept>,
    files: Mutex<BTreeMap<String, Kept>>,
}

/// A file and what it was made from.
#[derive(Clone)]
struct Kept {
    bytes: Arc<[u8]>,
    made_from: Option<MadeFrom>,
}

impl InMemory {
    /// Takes files after a former site, of which those that are made from the same stay.
    #[must_use]
    pub fn after(former: &Self) -> Self {
        Self { former: former.files().clone(), files: Mutex::default() }
    }

    /// The content of a file.
    pub fn get(&self, path: &str) -> Option<Arc<[u8]>> {
        self.files().get(path).map(|kept| Arc::clone(&kept.bytes))
    }

    /// How many files it has.
    pub fn count(&self) -> usize {
        self.files().len()
    }

    /// Whether two sites are the same, byte for byte.
    pub fn is_same(&self, other: &Self) -> bool {
        let (own, others) = (self.files(), other.files().clone());
        own.iter().map(|(path, kept)| (path, &kept.bytes)).eq(others.iter().map(|(path, kept)| (path, &kept.bytes)))
    }

    /// Takes the former site's file, if `now` knows from what it was made then what it is made from now.
    fn take_over(&self, path: &str, now: impl FnOnce(&MadeFrom) -> Option<MadeFrom>) -> bool {
        let kept = self.former.get(path).and_then(|kept| Some((kept, now(kept.made_from.as_ref()?)?)));
        if let Some((kept, made_from)) = kept {
            self.files().insert(path.to_owned(), Kept { made_from: Some(made_from), ..kept.clone() });
        }
        kept.is_some()
    }

    /// What was taken stays true if a thread failed.
    fn files(&self) -> MutexGuard<'_, BTreeMap<String, Kept>> {
        self.files.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl Outlet for InMemory {
    fn stands_in(&self, path: &str, circumstances: &Origin) -> bool {
        self.take_over(path, |known| (known.circumstances.as_ref() == Some(circumstances)).then_some(*known))
    }

    fn stands(&self, path: &str, made_from: &MadeFrom) -> bool {
        self.take_over(path, |known| (known.origin == made_from.origin).then_some(*made_from))
    }

    fn take(&self, file: PageFile, made_from: Option<MadeFrom>) -> Result<(), PageFault> {
        self.files().insert(file.path, Kept { bytes: file.bytes.into(), made_from });
        Ok(())
    }

    fn taken(&self) -> Vec<FilePrint> {
        self.files().iter().map(|(path, kept)| FilePrint::of(path, &kept.bytes)).collect()
    }
}

/// Pages that become parts of another one. They stand in memory, and are remembered with all else that was worked out.
pub(super) struct Parts<'m> {
    memo: &'m Memo,
    pub(super) files: InMemory,
}

/// The name of such parts in a memo.
const PART: &str = "part";

impl<'m> Parts<'m> {
    pub(super) fn new(memo: &'m Memo) -> Self {
        Self { memo, files: InMemory::default() }
    }
}

impl Outlet for Parts<'_> {
    fn stands_in(&self, _: &str, _: &Origin) -> bool {
        false
    }

    fn stands(&self, path: &str, made_from: &MadeFrom) -> bool {
        let known: Option<Vec<u8>> = self.memo.recall(PART, &made_from.origin);
        known.is_some_and(|bytes| self.files.take(PageFile { path: path.to_owned(), bytes }, Some(*made_from)).is_ok())
    }

    fn take(&self, file: PageFile, made_from: Option<MadeFrom>) -> Result<(), PageFault> {
        if let Some(made_from) = made_from {
            self.memo.note(PART, &made_from.origin, &file.bytes);
        }
        self.files.take(file, made_from)
    }

    fn taken(&self) -> Vec<FilePrint> {
        self.files.taken()
    }
}

/// Something that a template knows by a name: hashed first, and made into the template's own values only if the page
/// must be made.
pub(super) struct Piece<'p>(Box<dyn Part + 'p>);

trait Part {
    fn say(&self, to: Vec<u8>) -> Option<Vec<u8>>;
    fn value(&self) -> tera::Value;
}

impl<T: Serialize> Part for T {
    fn say(&self, to: Vec<u8>) -> Option<Vec<u8>> {
        said(self, to)
    }

    fn value(&self) -> tera::Value {
        tera::Value::from_serializable(self)
    }
}

impl<'p> Piece<'p> {
    pub(super) fn new(part: impl Serialize + 'p) -> Self {
        Self(Box::new(part))
    }

    /// Adds all that it says to `to`, so that two pieces of one type that differ say something else. `None` if that cannot
    /// be said.
    pub(super) fn say(&self, to: Vec<u8>) -> Option<Vec<u8>> {
        let begin = to.len();
        let mut said = self.0.say(to)?;
        let length = said.len() - begin;
        said.extend_from_slice(&(length as u64).to_le_bytes());
        Some(said)
    }

    pub(super) fn value(&self) -> tera::Value {
        self.0.value()
    }
}
