//! A folder brought to say exactly what a site says.

use std::collections::BTreeSet;
use std::fs::{self, Metadata, OpenOptions};
use std::io::{self, Write};
use std::path::Path;

use rayon::prelude::*;

use super::marker::Marker;
use super::target::{Found, entries};
use super::{MARKER_NAME, OutputFault};

/// Makes a folder, unless one stands there. Whatever else stands there goes; a link is never followed.
pub(super) fn make_folder(folder: &Path) -> Result<(), OutputFault> {
    match fs::symlink_metadata(folder) {
        Ok(found) if found.is_dir() => return Ok(()),
        Ok(_) => fs::remove_file(folder).map_err(OutputFault::refused("remove", folder))?,
        Err(_) => {}
    }
    fs::create_dir(folder).map_err(OutputFault::refused("create", folder))
}

/// Removes everything that the site does not have. Links are removed, never followed.
pub(super) fn sweep(folder: &Path, prefix: &str, site: &Marker, folders: &BTreeSet<String>) -> Result<(), OutputFault> {
    entries(folder)?.par_iter().try_for_each(|Found { path, name, kind }| {
        let relative = name.to_str().map(|name| format!("{prefix}{name}"));
        let has_file = |path: &String| path == MARKER_NAME || site.files.contains_key(path);
        match relative {
            Some(relative) if kind.is_dir() && folders.contains(&relative) => {
                sweep(path, &format!("{relative}/"), site, folders)
            }
            Some(relative) if kind.is_file() && has_file(&relative) => Ok(()),
            _ if kind.is_dir() => fs::remove_dir_all(path).map_err(OutputFault::refused("remove", path)),
            _ => fs::remove_file(path).map_err(OutputFault::refused("remove", path)),
        }
    })
}

/// Makes the file say the parts, one after the other, whatever stands there. With `may_keep`, one that says so already is left
/// alone.
pub(super) fn put(path: &Path, parts: &[&[u8]], may_keep: bool) -> Result<(), OutputFault> {
    let length = length(parts);
    let written = match fs::symlink_metadata(path) {
        Ok(found) if found.is_dir() => fs::remove_dir_all(path).and_then(|()| write(path, parts)),
        Ok(found) if !may_overwrite(&found) => fs::remove_file(path).and_then(|()| write(path, parts)),
        Ok(found) if may_keep && found.len() == length && says(path, parts) => return Ok(()),
        Ok(found) => overwrite(path, parts, found.len() > length),
        Err(_) => write(path, parts),
    };
    written.map_err(OutputFault::refused("write", path))
}

fn write(path: &Path, parts: &[&[u8]]) -> io::Result<()> {
    let mut file = fs::File::create(path)?;
    parts.iter().try_for_each(|part| file.write_all(part))?;
    settle_early(file, parts);
    Ok(())
}

/// How many bytes the parts have together.
pub(super) fn length(parts: &[&[u8]]) -> u64 {
    parts.iter().map(|part| part.len() as u64).sum()
}

/// A file of so many bytes goes to the disk while others are made; no picture is as large.
#[cfg(target_os = "linux")]
const LARGE: u64 = 16 * 1024 * 1024;

/// Begins with what [`settle`] waits for, which tells of faults too; without a thread to spare it has more to wait for.
#[cfg(target_os = "linux")]
fn settle_early(file: fs::File, parts: &[&[u8]]) {
    if length(parts) >= LARGE {
        _ = std::thread::Builder::new().spawn(move || file.sync_data());
    }
}

/// Elsewhere nothing would wait for it to end.
#[cfg(not(target_os = "linux"))]
fn settle_early(_: fs::File, _: &[&[u8]]) {}

/// Writes over what stands there, then cuts off what is left of it. Emptying files first, renaming over them or
/// making them anew took 20 to 100 times as long for 10,000 files on ext4, which then looks after each by itself.
fn overwrite(path: &Path, parts: &[&[u8]], is_longer: bool) -> io::Result<()> {
    let mut file = OpenOptions::new().write(true).open(path)?;
    parts.iter().try_for_each(|part| file.write_all(part))?;
    if is_longer {
        file.set_len(length(parts))?;
    }
    settle_early(file, parts);
    Ok(())
}

/// Whether a file of that length says the parts.
fn says(path: &Path, parts: &[&[u8]]) -> bool {
    let found = fs::read(path).unwrap_or_default();
    let mut end = 0;
    parts.iter().all(|part| {
        end += part.len();
        found.get(end - part.len()..end) == Some(*part)
    })
}

/// Not a link, not where somebody made a second name for the file (a copy by hard links would change under their hands), and
/// not where it is write-protected.
pub(super) fn may_overwrite(found: &Metadata) -> bool {
    found.is_file() && !found.permissions().readonly() && !has_other_names(found)
}

#[cfg(unix)]
fn has_other_names(found: &Metadata) -> bool {
    std::os::unix::fs::MetadataExt::nlink(found) > 1
}

#[cfg(not(unix))]
fn has_other_names(_: &Metadata) -> bool {
    false
}

/// Has the system write out what it holds back, once for the whole file system: some systems find out only then
/// that a disk is full, and after a power failure the exchange could be on disk and the files not. One call costs
/// far less than one for each file.
#[cfg(target_os = "linux")]
pub(super) fn settle(folder: &Path) -> Result<(), OutputFault> {
    let sync = || -> io::Result<()> { Ok(rustix::fs::syncfs(fs::File::open(folder)?)?) };
    sync().map_err(OutputFault::refused("write out", folder))
}

/// Elsewhere no such call tells of faults; the marker, written last, stands for the others.
#[cfg(not(target_os = "linux"))]
pub(super) fn settle(folder: &Path) -> Result<(), OutputFault> {
    let marker = folder.join(MARKER_NAME);
    let sync = || -> io::Result<()> { OpenOptions::new().append(true).open(&marker)?.sync_all() };
    sync().map_err(OutputFault::refused("write out", &marker))
}
