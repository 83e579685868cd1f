//! A site before it is on disk.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Component, Path};

use super::{MARKER_NAME, OutputFault, PathFault};

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
    files: BTreeMap<String, Vec<u8>>,
}

/// The paths of a site.
#[derive(Debug, Default)]
pub(super) struct Names {
    files: BTreeSet<String>,
    folders: BTreeSet<String>,
}

impl Names {
    /// Adds the path of a file.
    ///
    /// # Errors
    /// [`OutputFault::BadPath`] if it cannot be used, or not beside those that were added before.
    pub(super) fn add(&mut self, path: &str) -> Result<(), OutputFault> {
        let bad = |path: &str, fault| OutputFault::BadPath { path: path.to_owned(), fault };
        check(path).map_err(|fault| bad(path, fault))?;
        if let Some(both) = folders_above(path).find(|folder| self.files.contains(*folder)) {
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
        if self.files.insert(path.to_owned()) { Ok(()) } else { Err(bad(path, PathFault::Twice)) }
    }

    pub(super) fn has_file(&self, path: &str) -> bool {
        self.files.contains(path)
    }

    pub(super) fn has_folder(&self, path: &str) -> bool {
        self.folders.contains(path)
    }
}

impl Site {
    /// Checks the paths of a list of files.
    ///
    /// # Errors
    /// [`OutputFault::BadPath`] with the first path that cannot be used.
    pub fn new(list: impl IntoIterator<Item = SiteFile>) -> Result<Self, OutputFault> {
        let mut site = Self::default();
        let mut names = Names::default();
        for SiteFile { path, bytes } in list {
            names.add(&path)?;
            site.files.insert(path, bytes);
        }
        Ok(site)
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
    let mut components = Path::new(part).components();
    let ordinary = matches!(components.next(), Some(Component::Normal(name)) if name == part);
    ordinary && components.next().is_none() && !part.contains('\\')
}
