//! How files stood when their bytes were last known: a cache in the working folder, beside the site and never in it.
//!
//! A file is known by its inode and the time of its last change, which the system sets whenever a program writes to it.
//! While these are the same, so are its bytes, and it need not be read again. Where that could be untrue nothing is known: a
//! change within the same tick of the clock as the one before (only what is older by [`MARGIN`] is known), a failure of power
//! after which bytes and times on the disk may come from different moments (what was known before the system started is
//! forgotten), and file systems that other machines write to. What goes past the system's files (a disk that rots, a program that
//! holds a file in its memory and writes to it there) is found where this cache is deleted.

use std::fs::{self, Metadata};
use std::io::{self, Read};
use std::path::Path;
use std::sync::{Mutex, PoisonError};

use rayon::prelude::*;
use serde::{Deserialize, Serialize};

use super::marker::{Marker, Print};
use super::record::{Kept, keep, recall};
use super::site::ByPath;
use super::work::Work;
use crate::diagnostic::said;

/// Seconds by which a change must be older than the moment at which it is looked at. Times of files are as coarse as two
/// seconds on some file systems.
const MARGIN: i64 = 2;

/// A time as the file system says it: seconds and nanoseconds.
pub(super) type Moment = (i64, i64);

/// How a file stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
struct Stamp {
    device: u64,
    inode: u64,
    changed: Moment,
}

/// What bytes a file had when it stood so.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
struct Row {
    stamp: Stamp,
    print: Print,
}

/// Files of one folder, by path.
type Rows = ByPath<Row>;

/// What is known of the files of one folder.
#[derive(Debug, Default)]
pub(super) struct Seen {
    /// When this run began; `None` where nothing can be known.
    began: Option<Moment>,
    former: Rows,
    new: Mutex<Rows>,
}

/// What is left for the next run.
#[derive(Default, Serialize, Deserialize)]
struct Left {
    /// The run of the operating system in which it holds.
    boot: String,
    site: Rows,
    next: Rows,
}

/// What an earlier run left of the site's files and of those in the folder where the next one is put together. `work`
/// is that run's working folder, now this one's.
pub(super) fn read(out: &Path, work: &Work) -> (Seen, Seen) {
    let Some((boot, began)) = boot(out).zip(work.moment()) else { return Default::default() };
    let left = recall(out, Kept::Stamps).and_then(|bytes| postcard::from_bytes::<Left>(&bytes).ok());
    let left = left.filter(|left| left.boot == boot).unwrap_or_default();
    let seen = |former| Seen { began: Some(began), former, new: Mutex::default() };
    (seen(left.site), seen(left.next))
}

/// Leaves for the next run what is known of the site's files and of those of the folder for the next one, which `work` now
/// ends with; of either only files that the site has. Without it the next run reads all of them, which is no fault of this one.
pub(super) fn leave(out: &Path, work: &Work, marker: &Marker, site: Seen, next: Seen) {
    if site.began.is_none() {
        return;
    }
    let Some((boot, ended)) = boot(out).zip(work.moment()) else { return };
    let left = Left { boot, site: site.into_rows(marker, ended), next: next.into_rows(marker, ended) };
    if let Some(bytes) = said(&left, Vec::new()) {
        _ = keep(out, Kept::Stamps, &[&bytes]);
    }
}

impl Seen {
    /// Whether the file at `path`, found as `found`, is known to have these bytes.
    pub(super) fn knows(&self, path: &str, found: &Metadata, print: &Print) -> bool {
        let row = self.former.get(path).filter(|_| self.began.is_some());
        row.is_some_and(|row| row.print == *print && stamp(found) == Some(row.stamp))
    }

    /// Whether the file, found as `found` and read now, has these bytes, which then stand in the buffer and are known from now
    /// on. The buffer is used for one file after the other: new memory for every file is slow.
    pub(super) fn reads(&self, path: &str, file: &Path, found: &Metadata, print: &Print, buffer: &mut Vec<u8>) -> bool {
        let is_whole = found.len() == print.size && read_into(file, buffer).is_ok() && print.is_of(buffer);
        let stamp = self.began.zip(stamp(found)).filter(|(began, stamp)| is_whole && is_older(stamp.changed, *began));
        if let Some((_, stamp)) = stamp {
            self.add(path, stamp, print);
        }
        is_whole
    }

    /// Whether the folder has every file of the marker.
    pub(super) fn is_whole(&self, folder: &Path, marker: &Marker) -> bool {
        let files: Vec<(&String, &Print)> = marker.files.iter().collect();
        let is_whole = |buffer: &mut Vec<u8>, (path, print): (&String, &Print)| {
            let file = folder.join(path);
            let found = fs::symlink_metadata(&file).ok().filter(Metadata::is_file);
            found.is_some_and(|found| self.knows(path, &found, print) || self.reads(path, &file, &found, print, buffer))
        };
        files.into_par_iter().map_init(Vec::new, is_whole).all(|is_whole| is_whole)
    }

    /// Notes the bytes of a file that was just written, where nobody else writes yet.
    pub(super) fn note_written(&self, path: &str, file: &Path, print: &Print) {
        let found = if self.began.is_some() { fs::symlink_metadata(file).ok() } else { None };
        if let Some(stamp) = found.and_then(|found| stamp(&found)) {
            self.add(path, stamp, print);
        }
    }

    fn add(&self, path: &str, stamp: Stamp, print: &Print) {
        // What was noted stays true if a thread failed.
        let mut new = self.new.lock().unwrap_or_else(PoisonError::into_inner);
        new.insert(path.to_owned(), Row { stamp, print: *print });
    }

    /// Whether anything was noted in this run.
    pub(super) fn has_news(&self) -> bool {
        !self.new.lock().unwrap_or_else(PoisonError::into_inner).is_empty()
    }

    /// What is known of the files of a folder at the end of a run.
    fn into_rows(self, marker: &Marker, ended: Moment) -> Rows {
        let mut rows = self.former;
        for (path, row) in self.new.into_inner().unwrap_or_else(PoisonError::into_inner) {
            if is_older(row.stamp.changed, ended) {
                rows.insert(path, row);
            } else {
                rows.swap_remove(&path);
            }
        }
        rows.retain(|path, _| marker.files.contains_key(path));
        rows
    }
}

fn read_into(file: &Path, buffer: &mut Vec<u8>) -> io::Result<()> {
    buffer.clear();
    fs::File::open(file)?.read_to_end(buffer).map(|_| ())
}

/// Whether a change at `moment` or later gets another time than `changed`.
fn is_older(changed: Moment, moment: Moment) -> bool {
    changed.0 + MARGIN < moment.0
}

#[cfg(target_os = "linux")]
fn stamp(found: &Metadata) -> Option<Stamp> {
    use std::os::unix::fs::MetadataExt;
    let stamp = Stamp { device: found.dev(), inode: found.ino(), changed: (found.ctime(), found.ctime_nsec()) };
    found.is_file().then_some(stamp)
}

/// When something last changed.
#[cfg(target_os = "linux")]
pub(super) fn changed(found: &Metadata) -> Option<Moment> {
    use std::os::unix::fs::MetadataExt;
    Some((found.ctime(), found.ctime_nsec()))
}

/// A name for this run of the operating system, if `out` lies on a file system that it alone writes to.
#[cfg(target_os = "linux")]
fn boot(out: &Path) -> Option<String> {
    /// ext2 to ext4, XFS, Btrfs, F2FS, ZFS, tmpfs and overlays of these, as `statfs(2)` lists them.
    const OWN: [u32; 7] = [0xef53, 0x5846_5342, 0x9123_683e, 0xf2f5_2010, 0x2fc1_2fc1, 0x0102_1994, 0x794c_7630];
    let parent = out.parent().filter(|parent| !parent.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let kind = rustix::fs::statfs(parent).ok()?.f_type as u32;
    let boot = fs::read_to_string("/proc/sys/kernel/random/boot_id").ok()?;
    OWN.contains(&kind).then_some(boot)
}

/// Elsewhere the time of the last change is not to be had, or says something else.
#[cfg(not(target_os = "linux"))]
fn stamp(_: &Metadata) -> Option<Stamp> {
    None
}

#[cfg(not(target_os = "linux"))]
pub(super) fn changed(_: &Metadata) -> Option<Moment> {
    None
}

#[cfg(not(target_os = "linux"))]
fn boot(_: &Path) -> Option<String> {
    None
}

#[cfg(all(test, target_os = "linux"))]
mod tests {
    #![allow(clippy::unwrap_used, reason = "a test stops where it fails")]

    use std::time::{Duration, SystemTime};

    use super::*;

    const PATH: &str = "page.html";

    struct Place(tempfile::TempDir);

    impl Place {
        fn out(&self) -> std::path::PathBuf {
            self.0.path().join("site-out")
        }

        fn file(&self) -> std::path::PathBuf {
            self.out().join(PATH)
        }

        fn work(&self) -> Work {
            Work::open(&self.out(), Duration::ZERO, &mut |_| {}).unwrap()
        }

        /// Whether the file is known to say `text`.
        fn knows(&self, text: &str) -> bool {
            let (site, _) = read(&self.out(), &self.work());
            site.knows(PATH, &fs::symlink_metadata(self.file()).unwrap(), &Print::of(text.as_bytes()))
        }

        /// Reads the file, which must say `text`, and leaves what is known then.
        fn look(&self, text: &str) {
            let (work, print) = (self.work(), Print::of(text.as_bytes()));
            let marker = Marker { files: ByPath::from_iter([(PATH.to_owned(), print)]) };
            let (site, next) = read(&self.out(), &work);
            assert!(site.is_whole(&self.out(), &marker));
            leave(&self.out(), &work, &marker, site, next);
        }
    }

    /// A change within the margin is never told from what was read.
    fn wait() {
        std::thread::sleep(Duration::from_secs(MARGIN as u64) + Duration::from_millis(1500));
    }

    #[test]
    fn a_file_is_known_once_it_is_old_and_until_anything_changes_it() {
        let place = Place(tempfile::tempdir().unwrap());
        if boot(&place.out()).is_none() {
            return;
        }
        fs::create_dir(place.out()).unwrap();
        fs::write(place.file(), "old").unwrap();
        place.look("old");
        assert!(!place.knows("old"), "it was written just now");
        wait();
        place.look("old");
        assert!(place.knows("old") && !place.knows("new"));
        // The same time and the same length as before.
        let date = fs::metadata(place.file()).unwrap().modified().unwrap();
        let write = |text: &str, date: SystemTime| {
            fs::write(place.file(), text).unwrap();
            fs::File::options().write(true).open(place.file()).unwrap().set_modified(date).unwrap();
        };
        write("new", date);
        assert!(!place.knows("old") && !place.knows("new"));
        wait();
        place.look("new");
        assert!(place.knows("new"));
        // Another file of the same bytes and dates.
        let other = place.0.path().join("other");
        fs::copy(place.file(), &other).unwrap();
        fs::rename(&other, place.file()).unwrap();
        assert!(!place.knows("new"));
    }

    #[test]
    fn nothing_is_known_from_before_the_system_started_nor_of_files_that_are_gone() {
        let place = Place(tempfile::tempdir().unwrap());
        let Some(own) = boot(&place.out()) else { return };
        fs::create_dir(place.out()).unwrap();
        fs::write(place.file(), "old").unwrap();
        let found = fs::symlink_metadata(place.file()).unwrap();
        let row = Row { stamp: stamp(&found).unwrap(), print: Print::of(b"old") };
        let rows = || Rows::from_iter([(PATH.to_owned(), row), ("gone.html".to_owned(), row)]);
        for (boot, is_known) in [(own.clone(), true), (format!("{own} before"), false)] {
            drop(place.work());
            let left = Left { boot, site: rows(), next: Rows::default() };
            keep(&place.out(), Kept::Stamps, &[&said(&left, Vec::new()).unwrap()]).unwrap();
            assert_eq!(place.knows("old"), is_known);
        }
        let left = Left { boot: own, site: rows(), next: rows() };
        keep(&place.out(), Kept::Stamps, &[&said(&left, Vec::new()).unwrap()]).unwrap();
        place.look("old");
        let bytes = recall(&place.out(), Kept::Stamps).unwrap();
        let left: Left = postcard::from_bytes(&bytes).unwrap();
        assert_eq!([left.site, left.next].map(|rows| rows.into_keys().collect::<Vec<_>>()), [[PATH], [PATH]]);
    }
}
