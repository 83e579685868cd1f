//! A site before it is on disk.

use std::collections::BTreeSet;
use std::path::{Component, Path};

use foldhash::fast::FixedState;
use indexmap::IndexMap;
use indexmap::map::Entry;
use rayon::prelude::*;

use super::{MARKER_NAME, OutputFault, PathFault};

/// Something of each file, by its path in the site. Among paths in their order, of which many begin alike, looking for one takes
/// several times as long.
pub(super) type ByPath<T> = IndexMap<String, T, FixedState>;

/// One file of a site.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SiteFile {
    /// Path inside the site, parts joined by `/`, such as `symptoms/hum.html`.
    pub path: String,
    /// Its content.
    pub bytes: Vec<u8>,
}

/// A whole site: every path is plain, none is taken twice, and no file is also a folder.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Site {
    files: Vec<(String, Vec<u8>)>,
}

/// The files of a site by path, as they came, and its folders.
#[derive(Debug)]
pub(super) struct Names<T> {
    pub(super) files: ByPath<T>,
    pub(super) folders: BTreeSet<String>,
}

impl<T> Default for Names<T> {
    fn default() -> Self {
        Self { files: ByPath::default(), folders: BTreeSet::new() }
    }
}

impl<T> Names<T> {
    /// Adds a file.
    ///
    /// # Errors
    /// [`OutputFault::BadPath`] if its path cannot be used, or not beside those that were added before.
    pub(super) fn add(&mut self, path: &str, file: T) -> Result<(), OutputFault> {
        let bad = |path: &str, fault| OutputFault::BadPath { path: path.to_owned(), fault };
        check(path).map_err(|fault| bad(path, fault))?;
        if let Some(both) = folders_above(path).find(|folder| self.files.contains_key(*folder)) {
            return Err(bad(both, PathFault::FileAndFolder));
        }
        if self.folders.contains(path) {
            return Err(bad(path, PathFault::FileAndFolder));
        }
        for folder in folders_above(path) {
            if !self.folders.contains(folder) {
                self.folders.insert(folder.to_owned());
            }
        }
        match self.files.entry(path.to_owned()) {
            Entry::Vacant(place) => {
                place.insert(file);
                Ok(())
            }
            Entry::Occupied(_) => Err(bad(path, PathFault::Twice)),
        }
    }
}

/// Files in the order of their paths.
pub(super) fn in_order<T: Send>(files: impl IntoIterator<Item = (String, T)>) -> Vec<(String, T)> {
    let mut files: Vec<(String, T)> = files.into_iter().collect();
    files.par_sort_unstable_by(|(a, _), (b, _)| a.cmp(b));
    files
}

impl Site {
    /// Checks the paths of a list of files.
    ///
    /// # Errors
    /// [`OutputFault::BadPath`] with the first path that cannot be used.
    pub fn new(list: impl IntoIterator<Item = SiteFile>) -> Result<Self, OutputFault> {
        let mut names = Names::default();
        list.into_iter().try_for_each(|SiteFile { path, bytes }| names.add(&path, bytes))?;
        Ok(Self { files: in_order(names.files) })
    }

    /// Its files by path, in order.
    pub fn files(&self) -> impl ExactSizeIterator<Item = (&str, &[u8])> {
        self.files.iter().map(|(path, bytes)| (path.as_str(), bytes.as_slice()))
    }
}

/// The folders of a path, outermost first.
pub(super) fn folders_above(path: &str) -> impl Iterator<Item = &str> {
    path.match_indices('/').filter_map(|(at, _)| path.get(..at))
}

fn check(path: &str) -> Result<(), PathFault> {
    if !path.split('/').all(is_plain) {
        return Err(PathFault::NotPlain);
    }
    if path.chars().any(char::is_control) {
        return Err(PathFault::ControlCharacter);
    }
    if path == MARKER_NAME {
        return Err(PathFault::Reserved);
    }
    Ok(())
}

/// Whether the part is one ordinary name on this system; a backslash is not, as it parts names on another.
fn is_plain(part: &str) -> bool {
    let is_plain_everywhere = |byte: u8| byte.is_ascii_alphanumeric() || byte == b'-';
    // Nearly all names are such, but for their endings.
    let stem = part.split_once('.').map_or(part, |(stem, ending)| if ending.contains('.') { "" } else { stem });
    if !stem.is_empty() && part.bytes().all(|byte| is_plain_everywhere(byte) || byte == b'.') {
        return true;
    }
    let mut components = Path::new(part).components();
    let ordinary = matches!(components.next(), Some(Component::Normal(name)) if name == part);
    ordinary && components.next().is_none() && !part.contains('\\')
}
