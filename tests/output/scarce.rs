//! A full disk, and a disk that must not be written to.

use std::fs;
use std::path::Path;
use std::process::Command;

use baybook::output::OutputFault;

use super::{content, edition, holds, left_over, publish};
use crate::support::check_same;

/// A small file system in memory, for as long as the value lives.
struct SmallDisk(tempfile::TempDir);

impl SmallDisk {
    /// None, with the reason on stderr, where mounting is not permitted (it takes root and Linux).
    fn new(size: &str) -> Option<Self> {
        let place = tempfile::tempdir().unwrap();
        let disk = Self(place);
        let done = disk.mount(&["-t", "tmpfs", "-o", &format!("size={size}"), "tmpfs"]);
        if !done {
            eprintln!("not tested: this machine does not permit mounting a small file system");
        }
        done.then_some(disk)
    }

    fn mount(&self, arguments: &[&str]) -> bool {
        Command::new("mount").args(arguments).arg(self.path()).output().is_ok_and(|done| done.status.success())
    }

    fn path(&self) -> &Path {
        self.0.path()
    }
}

impl Drop for SmallDisk {
    fn drop(&mut self) {
        let _ = Command::new("umount").arg(self.path()).output();
    }
}

#[test]
fn a_full_disk_leaves_the_former_site_and_frees_what_was_taken() {
    let Some(disk) = SmallDisk::new("1m") else { return };
    let out = disk.path().join("site-out");
    let small = edition(1, 20, 10_000);
    publish(&small, &out).unwrap();
    let before = content(&out);
    for _ in 0..2 {
        let fault = publish(&edition(2, 100, 10_000), &out).unwrap_err();
        assert!(matches!(&fault, OutputFault::Refused { action: "write", .. }), "{fault}");
        assert!(fault.to_string().contains("No space left on device"), "{fault}");
        check_same(&content(&out), &before, "");
        assert_eq!(left_over(&out), ["lock"]);
    }
    let third = edition(3, 20, 10_000);
    publish(&third, &out).unwrap();
    assert!(holds(&out, &third));
}

#[test]
fn a_disk_that_must_not_be_written_to_is_told_of() {
    let Some(disk) = SmallDisk::new("1m") else { return };
    let out = disk.path().join("site-out");
    publish(&edition(1, 5, 100), &out).unwrap();
    let before = content(disk.path());
    assert!(disk.mount(&["-o", "remount,ro"]));
    let fault = publish(&edition(2, 5, 100), &out).unwrap_err();
    assert!(fault.to_string().contains(": Read-only file system"), "{fault}");
    let fault = publish(&edition(2, 5, 100), &disk.path().join("fresh")).unwrap_err();
    assert!(fault.to_string().starts_with("cannot create "), "{fault}");
    check_same(&content(disk.path()), &before, "");
}

#[test]
fn a_site_that_is_a_disk_of_its_own_stays() {
    let Some(disk) = SmallDisk::new("1m") else { return };
    fs::write(disk.path().join(".made-by-baybook"), "baybook site, format 2\n").unwrap();
    let before = content(disk.path());
    let fault = publish(&edition(1, 5, 100), disk.path()).unwrap_err();
    assert!(matches!(&fault, OutputFault::Refused { action: "publish to", .. }), "{fault}");
    check_same(&content(disk.path()), &before, "");
    let working = baybook::output::working_folder(disk.path()).unwrap();
    fs::remove_dir_all(working).unwrap();
}
