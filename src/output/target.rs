//! The folder to publish to, as it stands before: what may be replaced and what may not.

use std::fs::{self, DirEntry};
use std::io;
use std::path::{Path, PathBuf};

use rayon::prelude::*;

use super::marker::Marker;
use super::{MARKER_NAME, OutputFault};

/// What stands where the site should go, if it may be replaced.
#[derive(Debug)]
pub(super) enum Former {
    /// Nothing.
    Missing,
    /// An empty folder.
    Empty,
    /// A folder that was made here and holds nothing else.
    Made(Marker),
}

/// Looks at what stands at `out`, and refuses whatever could be somebody's own.
pub(super) fn look(out: &Path) -> Result<Former, OutputFault> {
    let found = match fs::symlink_metadata(out) {
        Ok(found) => found,
        Err(cause) if cause.kind() == io::ErrorKind::NotFound => return Ok(Former::Missing),
        Err(cause) => return Err(OutputFault::refused("look at", out)(cause)),
    };
    if found.is_symlink() {
        return Err(OutputFault::IsLink { out: out.to_owned() });
    }
    if !found.is_dir() {
        return Err(OutputFault::IsFile { out: out.to_owned() });
    }
    match Marker::read(out)? {
        Some(marker) => check_content(out, &marker).map(|()| Former::Made(marker)),
        None if entries(out)?.is_empty() => Ok(Former::Empty),
        None => Err(OutputFault::NotMade { folder: out.to_owned() }),
    }
}

/// Whether the folder `moved`, taken away from where `former` was seen, still is what was seen there: somebody may
/// have put a file of their own in meanwhile.
pub(super) fn check_again(former: &Former, moved: &Path) -> Result<(), OutputFault> {
    match former {
        Former::Missing => Ok(()),
        Former::Empty if entries(moved)?.is_empty() => Ok(()),
        Former::Empty => Err(OutputFault::NotMade { folder: moved.to_owned() }),
        Former::Made(marker) => check_content(moved, marker),
    }
}

/// Gives the new folder the permissions of the one that it replaces, so that a web server still may read it.
pub(super) fn keep_permissions(former: &Former, out: &Path, next: &Path) -> Result<(), OutputFault> {
    if matches!(former, Former::Missing) {
        return Ok(());
    }
    let permissions = fs::metadata(out).map_err(OutputFault::refused("look at", out))?.permissions();
    fs::set_permissions(next, permissions).map_err(OutputFault::refused("set the permissions of", next))
}

/// Every file below `folder` must be in the marker's list. Files of the list that are gone, and folders without
/// files, are nobody's loss.
fn check_content(folder: &Path, marker: &Marker) -> Result<(), OutputFault> {
    match foreign(folder, "", marker)? {
        None => Ok(()),
        Some(file) => Err(OutputFault::ForeignFile { file }),
    }
}

/// The first file below `folder`, in the order of names, that is not the marker's; `prefix` is the folder's path there.
fn foreign(folder: &Path, prefix: &str, marker: &Marker) -> Result<Option<PathBuf>, OutputFault> {
    let foreign_at = |entry: &DirEntry| {
        let kind = entry.file_type().map_err(|cause| OutputFault::refused("look at", &entry.path())(cause))?;
        let relative = entry.file_name().to_str().map(|name| format!("{prefix}{name}"));
        let ours = |path: &String| path == MARKER_NAME || marker.files.contains_key(path);
        match relative {
            Some(path) if kind.is_dir() => foreign(&entry.path(), &(path + "/"), marker),
            Some(path) if kind.is_file() && ours(&path) => Ok(None),
            _ => Ok(Some(entry.path())),
        }
    };
    let entries = entries(folder)?;
    let found: Vec<Option<PathBuf>> = entries.par_iter().map(foreign_at).collect::<Result<_, _>>()?;
    Ok(found.into_iter().flatten().min())
}

/// The entries of a folder, in the order in which the system has them.
pub(super) fn entries(folder: &Path) -> Result<Vec<DirEntry>, OutputFault> {
    let list = fs::read_dir(folder).and_then(Iterator::collect::<io::Result<Vec<DirEntry>>>);
    list.map_err(OutputFault::refused("list", folder))
}
