//! The working folder beside the published one, and the lock in it.

use std::ffi::OsString;
use std::fs::{self, File, OpenOptions, TryLockError};
use std::io::{self, Seek, Write};
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use super::stamps::{Moment, changed};
use super::target::entries;
use super::{Notice, OutputFault};

const LOCK_NAME: &str = "lock";
const BETWEEN_TRIES: Duration = Duration::from_millis(20);

/// The working folder of an output folder: `.site-out.baybook` beside `site-out`. It may hold more than this room
/// puts there, such as a cache.
///
/// # Errors
/// [`OutputFault::NoName`] if `out` does not end in a name.
pub fn working_folder(out: &Path) -> Result<PathBuf, OutputFault> {
    let name = out.file_name().ok_or_else(|| OutputFault::NoName { out: out.to_owned() })?;
    let mut working = OsString::from(".");
    working.push(name);
    working.push(".baybook");
    Ok(out.with_file_name(working))
}

/// The working folder while this run alone may use it. The system frees the lock when the run ends, in whatever way.
pub(super) struct Work {
    folder: PathBuf,
    lock: File,
}

impl Work {
    /// Makes the working folder if need be and takes its lock.
    pub(super) fn open(out: &Path, patience: Duration, talk: &mut dyn FnMut(Notice)) -> Result<Self, OutputFault> {
        let folder = working_folder(out)?;
        make(&folder, out)?;
        let path = folder.join(LOCK_NAME);
        let mut options = OpenOptions::new();
        let lock = options.create(true).write(true).truncate(false).open(&path);
        let lock = lock.map_err(OutputFault::refused("open", &path))?;
        if take(&lock, patience, talk).map_err(OutputFault::refused("lock", &path))? {
            Ok(Self { folder, lock })
        } else {
            Err(OutputFault::Busy { out: out.to_owned(), waited: patience })
        }
    }

    /// What the file system says is the time, if it does: a byte is written to the lock file, whose content means nothing.
    pub(super) fn moment(&self) -> Option<Moment> {
        let mut lock = &self.lock;
        lock.rewind().and_then(|()| lock.write_all(b".")).ok()?;
        changed(&lock.metadata().ok()?)
    }

    /// Where the new site is put together, and the former one stays afterwards.
    pub(super) fn next(&self) -> PathBuf {
        self.folder.join("next")
    }

    /// Where the former site stands for a moment, on systems that cannot exchange two folders.
    pub(super) fn former(&self) -> PathBuf {
        self.folder.join("former")
    }
}

impl Drop for Work {
    /// Closing the file would not do while a process that was just started still has it open.
    fn drop(&mut self) {
        let _ = self.lock.unlock();
    }
}

/// The lock file is made right after the folder and never removed, so a folder that has content and no lock file
/// is somebody else's.
fn make(folder: &Path, out: &Path) -> Result<(), OutputFault> {
    match fs::create_dir(folder) {
        Ok(()) => Ok(()),
        Err(cause) if cause.kind() == io::ErrorKind::AlreadyExists => check(folder),
        Err(cause) if cause.kind() == io::ErrorKind::NotFound => {
            let parent = out.parent().filter(|parent| !parent.as_os_str().is_empty()).unwrap_or(Path::new("."));
            Err(OutputFault::ParentMissing { parent: parent.to_owned() })
        }
        Err(cause) => Err(OutputFault::refused("create", folder)(cause)),
    }
}

fn check(folder: &Path) -> Result<(), OutputFault> {
    let found = fs::symlink_metadata(folder).map_err(OutputFault::refused("look at", folder))?;
    if found.is_symlink() {
        return Err(OutputFault::IsLink { out: folder.to_owned() });
    }
    if !found.is_dir() {
        return Err(OutputFault::IsFile { out: folder.to_owned() });
    }
    let lock = fs::symlink_metadata(folder.join(LOCK_NAME));
    if lock.is_ok_and(|lock| lock.is_file()) || entries(folder)?.is_empty() {
        return Ok(());
    }
    Err(OutputFault::NotMade { folder: folder.to_owned() })
}

/// Whether the lock was taken before patience ran out.
fn take(lock: &File, patience: Duration, talk: &mut dyn FnMut(Notice)) -> io::Result<bool> {
    let begin = Instant::now();
    let mut told = false;
    loop {
        match lock.try_lock() {
            Ok(()) => return Ok(true),
            Err(TryLockError::Error(cause)) => return Err(cause),
            Err(TryLockError::WouldBlock) if begin.elapsed() >= patience => return Ok(false),
            Err(TryLockError::WouldBlock) => {
                if !told {
                    talk(Notice::Waiting);
                    told = true;
                }
                std::thread::sleep(BETWEEN_TRIES.min(patience));
            }
        }
    }
}
