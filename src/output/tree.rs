//! A folder brought to say exactly what a site says.

use std::fs::{self, Metadata, OpenOptions};
use std::io::{self, Write};
use std::path::Path;

use rayon::prelude::*;

use super::marker::Marker;
use super::target::entries;
use super::{MARKER_NAME, Notice, OutputFault, Site};

/// How many files stand ready between two notices.
const NOTICE_EVERY: usize = 256;

/// Brings `folder` up to date, whatever a former or a killed run left there: its content is compared, never trusted.
pub(super) fn bring_up_to_date(
    folder: &Path,
    site: &Site,
    marker: &Marker,
    former: Option<&Marker>,
    talk: &mut dyn FnMut(Notice),
) -> Result<(), OutputFault> {
    make_folder(folder)?;
    sweep(folder, "", site)?;
    for path in site.folders() {
        make_folder(&folder.join(path))?;
    }
    // A file that differs from the published one is written even if the bytes stand here since the time before: its
    // date would be older than that of the file it replaces, and browsers would go on with theirs.
    let may_keep = |path: &str| former.and_then(|former| former.files.get(path)) == marker.files.get(path);
    let files: Vec<(&str, &[u8])> = site.files().collect();
    let total = files.len();
    for (at, files) in files.chunks(NOTICE_EVERY).enumerate() {
        talk(Notice::Ready { done: at * NOTICE_EVERY, total });
        let put = files.par_iter().map(|(path, bytes)| put(&folder.join(path), bytes, may_keep(path)));
        put.find_first(Result::is_err).unwrap_or(Ok(()))?;
    }
    put(&folder.join(MARKER_NAME), marker.to_text().as_bytes(), false)?;
    talk(Notice::Ready { done: total, total });
    Ok(())
}

/// Whether the folder says what the site says, by its bytes.
pub(super) fn is_same(folder: &Path, site: &Site, marker: &Marker) -> bool {
    let same = |path: &str, bytes: &[u8]| fs::read(folder.join(path)).is_ok_and(|found| found == bytes);
    let files: Vec<(&str, &[u8])> = site.files().collect();
    same(MARKER_NAME, marker.to_text().as_bytes()) && files.par_iter().all(|(path, bytes)| same(path, bytes))
}

fn make_folder(folder: &Path) -> Result<(), OutputFault> {
    match fs::symlink_metadata(folder) {
        Ok(found) if found.is_dir() => return Ok(()),
        Ok(_) => fs::remove_file(folder).map_err(OutputFault::refused("remove", folder))?,
        Err(_) => {}
    }
    fs::create_dir(folder).map_err(OutputFault::refused("create", folder))
}

/// Removes everything that the site does not have. Links are removed, never followed.
fn sweep(folder: &Path, prefix: &str, site: &Site) -> Result<(), OutputFault> {
    for entry in entries(folder)? {
        let path = entry.path();
        let kind = entry.file_type().map_err(OutputFault::refused("look at", &path))?;
        let relative = entry.file_name().to_str().map(|name| format!("{prefix}{name}"));
        match relative {
            Some(relative) if kind.is_dir() && site.has_folder(&relative) => {
                sweep(&path, &format!("{relative}/"), site)?;
            }
            Some(relative) if kind.is_file() && (site.has_file(&relative) || relative == MARKER_NAME) => {}
            _ if kind.is_dir() => fs::remove_dir_all(&path).map_err(OutputFault::refused("remove", &path))?,
            _ => fs::remove_file(&path).map_err(OutputFault::refused("remove", &path))?,
        }
    }
    Ok(())
}

/// Makes the file say `bytes`. With `may_keep`, one that says so already is left alone.
fn put(path: &Path, bytes: &[u8], may_keep: bool) -> Result<(), OutputFault> {
    let written = match fs::symlink_metadata(path) {
        Ok(found) if may_keep && found.len() == bytes.len() as u64 && says(path, bytes) => return Ok(()),
        Ok(found) if may_overwrite(&found) => overwrite(path, bytes, found.len()),
        Ok(_) => fs::remove_file(path).and_then(|()| fs::write(path, bytes)),
        Err(_) => fs::write(path, bytes),
    };
    written.map_err(OutputFault::refused("write", path))
}

/// Writes over what stands there, then cuts off what is left of it. Emptying files first, renaming over them or
/// making them anew took 20 to 100 times as long for 10,000 files on ext4, which then looks after each by itself.
fn overwrite(path: &Path, bytes: &[u8], found_len: u64) -> io::Result<()> {
    let mut file = OpenOptions::new().write(true).open(path)?;
    file.write_all(bytes)?;
    if found_len > bytes.len() as u64 { file.set_len(bytes.len() as u64) } else { Ok(()) }
}

fn says(path: &Path, bytes: &[u8]) -> bool {
    fs::read(path).is_ok_and(|found| found == bytes)
}

/// Not where somebody made a second name for the file (a copy by hard links would change under their hands), and
/// not where it is write-protected.
fn may_overwrite(found: &Metadata) -> bool {
    !found.permissions().readonly() && !has_other_names(found)
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
