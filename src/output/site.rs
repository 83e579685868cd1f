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
    folders: BTreeSet<String>,
}

impl Site {
    /// Checks the paths of a list of files.
    ///
    /// # Errors
    /// [`OutputFault::BadPath`] with the first path that cannot be used.
    pub fn new(list: impl IntoIterator<Item = SiteFile>) -> Result<Self, OutputFault> {
        let mut site = Self::default();
        for SiteFile { path, bytes } in list {
            check(&path).map_err(|fault| OutputFault::BadPath { path: path.clone(), fault })?;
            site.folders.extend(folders_above(&path).map(str::to_owned));
            if site.files.insert(path.clone(), bytes).is_some() {
                return Err(OutputFault::BadPath { path, fault: PathFault::Twice });
            }
        }
        match site.folders.iter().find(|folder| site.files.contains_key(*folder)) {
            Some(both) => Err(OutputFault::BadPath { path: both.clone(), fault: PathFault::FileAndFolder }),
            None => Ok(site),
        }
    }

    /// Its files by path, in order.
    pub fn files(&self) -> impl ExactSizeIterator<Item = (&str, &[u8])> {
        self.files.iter().map(|(path, bytes)| (path.as_str(), bytes.as_slice()))
    }

    /// Its folders, each after the one that holds it.
    pub(super) fn folders(&self) -> impl Iterator<Item = &str> {
        self.folders.iter().map(String::as_str)
    }

    pub(super) fn has_file(&self, path: &str) -> bool {
        self.files.contains_key(path)
    }

    pub(super) fn has_folder(&self, path: &str) -> bool {
        self.folders.contains(path)
    }
}

/// The folders of a path, outermost first.
fn folders_above(path: &str) -> impl Iterator<Item = &str> {
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
