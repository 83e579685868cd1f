//! Changes to the folder of entries itself, asked for by name: one new file, or several files together.

use std::fmt;
use std::fs::{self, File, OpenOptions, Permissions};
use std::io::{self, Write};
use std::path::{Path, PathBuf};

/// A change of one text file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Change {
    /// Its path inside the folder.
    pub path: String,
    /// The path that it gets; the same if it stays where it is.
    pub new_path: String,
    /// What it says, without a byte-order mark, as it was read.
    pub before: String,
    /// What it is to say. A byte-order mark is kept.
    pub after: String,
}

/// Why nothing was changed. Displayed as one line.
#[derive(Debug)]
pub enum EditFault {
    /// Something stands at the path of a new file.
    Taken(PathBuf),
    /// The file no longer says what was read.
    Changed(PathBuf),
    /// The file is a link, or is reached through one: it is not clear which file is meant.
    IsLink(PathBuf),
    /// The system refused.
    Refused(PathBuf, io::Error),
    /// The system refused, and then refused to put this file back as it was.
    HalfDone(PathBuf, io::Error),
}

impl fmt::Display for EditFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Taken(path) => write!(f, "`{}` is there already", path.display()),
            Self::Changed(path) => write!(f, "`{}` was changed in the meantime; run the command again", path.display()),
            Self::IsLink(path) => write!(f, "`{}` is a link: change what it leads to by hand", path.display()),
            Self::Refused(path, cause) => write!(f, "`{}` cannot be written: {cause}", path.display()),
            Self::HalfDone(path, cause) => {
                write!(f, "`{}` could not be put back as it was ({cause}): restore it from your copy", path.display())
            }
        }
    }
}

/// Writes a new file into the folder `root`, and makes the folder for it if need be. Nothing is overwritten.
///
/// # Errors
/// When something stands at that path, or the system refuses; then no file is left behind.
pub fn create(root: &Path, path: &str, text: &str) -> Result<(), EditFault> {
    let target = root.join(path);
    if let Some(folder) = target.parent() {
        fs::create_dir_all(folder).map_err(|cause| EditFault::Refused(folder.to_path_buf(), cause))?;
    }
    let mut file = reserve(&target)?;
    let written = file.write_all(text.as_bytes()).and_then(|()| file.sync_all());
    written.map_err(|cause| {
        _ = fs::remove_file(&target);
        EditFault::Refused(target, cause)
    })
}

/// Makes all changes in the folder `root`, or none. The new texts are written beside the old ones first, so that what
/// remains is renaming; a renaming that fails undoes those before it. The old name of a file that moves is given up
/// last: whatever stops the process, no text is lost.
///
/// # Errors
/// The fault that stopped it. The folder is then as it was, except after [`EditFault::HalfDone`].
pub fn change(root: &Path, changes: &[Change]) -> Result<(), EditFault> {
    let real_root = fs::canonicalize(root).map_err(|cause| EditFault::Refused(root.to_path_buf(), cause))?;
    let mut steps = Vec::new();
    let prepared = changes.iter().try_for_each(|change| {
        steps.push(Step::prepare(&real_root, change)?);
        Ok(())
    });
    let done = prepared.and_then(|()| carry_out(&steps));
    steps.iter().for_each(Step::tidy);
    done
}

fn carry_out(steps: &[Step]) -> Result<(), EditFault> {
    for (at, step) in steps.iter().enumerate() {
        if let Err(cause) = fs::rename(&step.beside, &step.new) {
            all(steps.get(..at).unwrap_or_default().iter().rev().map(Step::undo))?;
            return Err(EditFault::Refused(step.new.clone(), cause));
        }
    }
    for (at, step) in steps.iter().enumerate().filter(|(_, step)| step.old != step.new) {
        if let Err(cause) = fs::remove_file(&step.old) {
            let (gone, _) = steps.split_at(at);
            all(gone.iter().filter(|step| step.old != step.new).map(Step::restore))?;
            all(steps.iter().rev().map(Step::undo))?;
            return Err(EditFault::Refused(step.old.clone(), cause));
        }
    }
    Ok(())
}

/// The first fault, after all have been tried.
fn all(results: impl Iterator<Item = Result<(), EditFault>>) -> Result<(), EditFault> {
    results.fold(Ok(()), Result::and)
}

/// One file's change, with its new text written beside it.
struct Step {
    old: PathBuf,
    new: PathBuf,
    beside: PathBuf,
    /// Every byte of the old text, to put it back.
    bytes: Vec<u8>,
    permissions: Permissions,
}

const BYTE_ORDER_MARK: &[u8] = "\u{feff}".as_bytes();

impl Step {
    fn prepare(root: &Path, change: &Change) -> Result<Self, EditFault> {
        let old = root.join(&change.path);
        let refused = |path: &Path, cause| EditFault::Refused(path.to_path_buf(), cause);
        if fs::canonicalize(&old).map_err(|cause| refused(&old, cause))? != old {
            return Err(EditFault::IsLink(old));
        }
        let bytes = fs::read(&old).map_err(|cause| refused(&old, cause))?;
        let bare = bytes.strip_prefix(BYTE_ORDER_MARK);
        if bare.unwrap_or(&bytes) != change.before.as_bytes() {
            return Err(EditFault::Changed(old));
        }
        let mark = if bare.is_some() { BYTE_ORDER_MARK } else { &[] };
        let permissions = fs::metadata(&old).map_err(|cause| refused(&old, cause))?.permissions();
        let new = root.join(&change.new_path);
        if new != old {
            reserve(&new)?;
        }
        let step = Self { beside: beside(&new), old, new, bytes, permissions };
        match step.write_beside(&[mark, change.after.as_bytes()].concat()) {
            Ok(()) => Ok(step),
            Err(cause) => {
                step.tidy();
                Err(refused(&step.new, cause))
            }
        }
    }

    fn write_beside(&self, bytes: &[u8]) -> io::Result<()> {
        let mut file = File::create(&self.beside)?;
        file.write_all(bytes)?;
        file.set_permissions(self.permissions.clone())?;
        file.sync_all()
    }

    fn undo(&self) -> Result<(), EditFault> {
        if self.old == self.new { self.restore() } else { fs::remove_file(&self.new).map_err(|cause| self.half(cause)) }
    }

    fn restore(&self) -> Result<(), EditFault> {
        let restored = self.write_beside(&self.bytes).and_then(|()| fs::rename(&self.beside, &self.old));
        restored.map_err(|cause| self.half(cause))
    }

    fn half(&self, cause: io::Error) -> EditFault {
        EditFault::HalfDone(self.old.clone(), cause)
    }

    /// Removes what was only needed on the way: the text beside, and a name that was reserved and not used.
    fn tidy(&self) {
        let was_left = fs::remove_file(&self.beside).is_ok();
        if was_left && self.old != self.new {
            _ = fs::remove_file(&self.new);
        }
    }
}

/// Takes a name by an empty file, unless something stands there.
fn reserve(path: &Path) -> Result<File, EditFault> {
    OpenOptions::new().write(true).create_new(true).open(path).map_err(|cause| match cause.kind() {
        io::ErrorKind::AlreadyExists => EditFault::Taken(path.to_path_buf()),
        _ => EditFault::Refused(path.to_path_buf(), cause),
    })
}

/// Where the new text waits. Names that begin with a dot are no entries.
fn beside(path: &Path) -> PathBuf {
    let name = path.file_name().unwrap_or_default().to_string_lossy();
    path.with_file_name(format!(".{name}.baybook-new"))
}
