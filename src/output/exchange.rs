//! The step from the former site to the new one.

use std::fs;
use std::io;
use std::path::Path;

use super::OutputFault;
use super::target::{self, Former};
use super::work::Work;

/// Puts the finished folder `next` in the place of the former one, which becomes `next`. If somebody put a file of
/// their own into the former one meanwhile, it is put back.
pub(super) fn put_in_place(work: &Work, out: &Path, former: &Former) -> Result<(), OutputFault> {
    let next = work.next();
    if matches!(former, Former::Missing) {
        move_in(&next, out).map_err(OutputFault::refused("publish to", out))?;
    } else {
        swap(&next, out, &work.former()).map_err(OutputFault::refused("publish to", out))?;
        if let Err(fault) = target::check_again(former, &next) {
            swap(&next, out, &work.former()).map_err(OutputFault::refused("put back", out))?;
            return Err(at_home(fault, &next, out));
        }
    }
    // The next run overwrites what was replaced now: by then this step must be on disk. A fault here takes nothing
    // back, as the site is in place.
    let parent = out.parent().filter(|parent| !parent.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let _ = fs::File::open(parent).and_then(|parent| parent.sync_all());
    Ok(())
}

/// Puts a former site back that a run killed between two renamings left in the working folder.
pub(super) fn recover(work: &Work, out: &Path) -> Result<(), OutputFault> {
    let former = work.former();
    if fs::symlink_metadata(&former).is_err() {
        return Ok(());
    }
    if fs::symlink_metadata(out).is_err() {
        return fs::rename(&former, out).map_err(OutputFault::refused("put back", out));
    }
    target::look(&former)?;
    fs::remove_dir_all(&former).map_err(OutputFault::refused("remove", &former))
}

/// A fault found in the folder while it stood at `next` is told of where the folder stands again.
fn at_home(fault: OutputFault, next: &Path, out: &Path) -> OutputFault {
    match fault {
        OutputFault::ForeignFile { file } => {
            let file = file.strip_prefix(next).map_or(file.clone(), |inside| out.join(inside));
            OutputFault::ForeignFile { file }
        }
        OutputFault::NotMade { .. } => OutputFault::NotMade { folder: out.to_owned() },
        other => other,
    }
}

/// Moves a folder to where nothing stands.
#[cfg(target_os = "linux")]
fn move_in(next: &Path, out: &Path) -> io::Result<()> {
    use rustix::fs::{CWD, RenameFlags, renameat_with};
    match renameat_with(CWD, next, CWD, out, RenameFlags::NOREPLACE) {
        Err(cause) if is_unsupported(cause) => fs::rename(next, out),
        done => Ok(done?),
    }
}

#[cfg(not(target_os = "linux"))]
fn move_in(next: &Path, out: &Path) -> io::Result<()> {
    fs::rename(next, out)
}

/// Exchanges two folders: in one step where the system can, so that no reader ever finds nothing there.
#[cfg(target_os = "linux")]
fn swap(next: &Path, out: &Path, aside: &Path) -> io::Result<()> {
    use rustix::fs::{CWD, RenameFlags, renameat_with};
    match renameat_with(CWD, next, CWD, out, RenameFlags::EXCHANGE) {
        Err(cause) if is_unsupported(cause) => swap_by_renaming(next, out, aside),
        done => Ok(done?),
    }
}

#[cfg(not(target_os = "linux"))]
fn swap(next: &Path, out: &Path, aside: &Path) -> io::Result<()> {
    swap_by_renaming(next, out, aside)
}

/// Old kernels, and file systems that cannot do it.
#[cfg(target_os = "linux")]
fn is_unsupported(cause: rustix::io::Errno) -> bool {
    use rustix::io::Errno;
    [Errno::NOSYS, Errno::INVAL, Errno::OPNOTSUPP].contains(&cause)
}

/// The exchange in three steps. A fault undoes what was done; after a kill between the first two, the former site
/// stands aside and [`recover`] puts it back.
fn swap_by_renaming(next: &Path, out: &Path, aside: &Path) -> io::Result<()> {
    fs::rename(out, aside)?;
    if let Err(cause) = fs::rename(next, out) {
        fs::rename(aside, out)?;
        return Err(cause);
    }
    fs::rename(aside, next)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "a test stops where it fails")]

    use super::*;

    fn folder_saying(path: &Path, text: &str) {
        fs::create_dir(path).unwrap();
        fs::write(path.join("text"), text).unwrap();
    }

    fn said(path: &Path) -> String {
        fs::read_to_string(path.join("text")).unwrap()
    }

    #[test]
    fn renaming_exchanges_two_folders() {
        let place = tempfile::tempdir().unwrap();
        let [next, out, aside] = ["next", "out", "aside"].map(|name| place.path().join(name));
        folder_saying(&next, "new");
        folder_saying(&out, "old");
        swap_by_renaming(&next, &out, &aside).unwrap();
        assert_eq!((said(&out), said(&next)), ("new".into(), "old".into()));
        assert!(!aside.exists());
    }

    #[test]
    fn renaming_undoes_the_first_step_if_the_second_fails() {
        let place = tempfile::tempdir().unwrap();
        let [next, out, aside] = ["next", "out", "aside"].map(|name| place.path().join(name));
        folder_saying(&out, "old");
        assert!(swap_by_renaming(&next, &out, &aside).is_err());
        assert_eq!(said(&out), "old");
        assert!(!aside.exists());
    }
}
