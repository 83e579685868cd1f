//! The folder to publish to, as it stands before: what may be replaced and what may not.

use std::ffi::OsString;
use std::fs::{self, DirEntry, FileType};
use std::io;
use std::path::{Path, PathBuf};

use rayon::prelude::*;

use super::marker::Marker;
use super::{MARKER_NAME, OutputFault};
use crate::diagnostic::Digest;

/// What stands where the site should go, if it may be replaced.
#[derive(Debug)]
pub(super) enum Former {
    /// Nothing.
    Missing,
    /// An empty folder.
    Empty,
    /// A folder that was made here and holds nothing else; a name for the text of its marker.
    Made(Marker, Digest),
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
        Some((marker, print)) => check_content(out, &marker).map(|()| Former::Made(marker, print)),
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
        Former::Made(marker, _) => check_content(moved, marker),
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
/// files, are nobody's loss. Of several foreign files that lie equally deep the same one is named every time.
fn check_content(folder: &Path, marker: &Marker) -> Result<(), OutputFault> {
    let mut open = vec![(folder.to_owned(), String::new())];
    // Level by level: folders may lie in each other as deep as they like.
    while !open.is_empty() {
        let looks = open.par_iter().map(|(folder, prefix)| look_into(folder, prefix, marker));
        let (foreign, below): (Vec<Option<PathBuf>>, Vec<_>) =
            looks.collect::<Result<Vec<_>, _>>()?.into_iter().unzip();
        if let Some(file) = foreign.into_iter().flatten().min() {
            return Err(OutputFault::ForeignFile { file });
        }
        open = below.into_iter().flatten().collect();
    }
    Ok(())
}

/// What is foreign in one folder, and the folders below it; `prefix` is the folder's path in the site.
type Look = (Option<PathBuf>, Vec<(PathBuf, String)>);

fn look_into(folder: &Path, prefix: &str, marker: &Marker) -> Result<Look, OutputFault> {
    let (mut foreign, mut below) = (None, Vec::new());
    for Found { path, name, kind } in entries(folder)? {
        let relative = name.to_str().map(|name| format!("{prefix}{name}"));
        let ours = |path: &String| path == MARKER_NAME || marker.files.contains_key(path);
        match relative {
            Some(relative) if kind.is_dir() => below.push((path, relative + "/")),
            Some(relative) if kind.is_file() && ours(&relative) => {}
            _ => foreign = foreign.into_iter().chain([path]).min(),
        }
    }
    Ok((foreign, below))
}

/// Something in a folder. Unlike the system's own entries it does not hold the folder open.
pub(super) struct Found {
    pub(super) path: PathBuf,
    pub(super) name: OsString,
    pub(super) kind: FileType,
}

/// What is in a folder, in the order in which the system has it.
pub(super) fn entries(folder: &Path) -> Result<Vec<Found>, OutputFault> {
    let found = |entry: DirEntry| Ok(Found { path: entry.path(), name: entry.file_name(), kind: entry.file_type()? });
    let list = fs::read_dir(folder).and_then(|list| list.map(|entry| entry.and_then(found)).collect());
    list.map_err(OutputFault::refused("list", folder))
}
