//! What is wrong with files and folders as such.

use std::fs;
use std::os::unix::fs::{PermissionsExt, symlink};
use std::path::Path;

use super::Answer::{Line, Mark, Nothing};
use super::{check, check_folder};
use crate::support::put;

const CHECK: &str = "checks/hub-play.md";

fn guide(title: &str) -> String {
    format!("---\ntitle: {title}\nbasis: demo\n---\nText.\n")
}

#[test]
fn folders_that_are_none() {
    let place = tempfile::TempDir::new().unwrap();
    let at = |name: &str| place.path().join(name);
    fs::write(at("file"), "x").unwrap();
    fs::create_dir(at("empty")).unwrap();
    symlink("nowhere", at("broken-link")).unwrap();
    symlink("loop", at("loop")).unwrap();
    check_folder("a folder that is not there", at("missing"), &Line("missing` cannot be read"));
    check_folder("a file for a folder", at("file"), &Line("file` cannot be read"));
    check_folder("a link that leads nowhere", at("broken-link"), &Line("cannot be read"));
    check_folder("a link to itself", at("loop"), &Line("cannot be read"));
    check_folder("an empty folder", at("empty"), &Mark("unreadable-file", "shop.yaml:1:1"));
}

fn remove(kb: &Path, path: &str) {
    fs::remove_file(kb.join(path)).unwrap();
}

#[test]
fn files_that_are_missing_or_of_another_sort() {
    check("no shop.yaml", |kb| remove(kb, "shop.yaml"), &Mark("unreadable-file", "shop.yaml:1:1"));
    check("no vehicles.yaml", |kb| remove(kb, "vehicles.yaml"), &Mark("unreadable-file", "vehicles.yaml:1:1"));
    let folder_for_file = |kb: &Path| fs::create_dir(kb.join("checks/x.md")).unwrap();
    check("a folder called x.md", folder_for_file, &Mark("unreadable-file", "checks/x.md:1:1"));
    let folder_for_shop = |kb: &Path| {
        remove(kb, "shop.yaml");
        fs::create_dir(kb.join("shop.yaml")).unwrap();
    };
    check("a folder called shop.yaml", folder_for_shop, &Mark("unreadable-file", "shop.yaml:1:1"));
    let pipe = |kb: &Path| {
        let mode = rustix::fs::Mode::from_raw_mode(0o644);
        rustix::fs::mknodat(rustix::fs::CWD, kb.join("checks/pipe.md"), rustix::fs::FileType::Fifo, mode, 0).unwrap();
    };
    check("a pipe", pipe, &Mark("unreadable-file", "checks/pipe.md:1:1"));
    let lock = |kb: &Path| fs::set_permissions(kb.join(CHECK), fs::Permissions::from_mode(0o000)).unwrap();
    let answer = if may_read_everything() { Nothing } else { Mark("unreadable-file", "checks/hub-play.md:1:1") };
    check("a file that may not be read", lock, &answer);
}

/// The administrator of a machine reads files that nobody may read.
fn may_read_everything() -> bool {
    let file = tempfile::NamedTempFile::new().unwrap();
    fs::set_permissions(file.path(), fs::Permissions::from_mode(0o000)).unwrap();
    fs::read(file.path()).is_ok()
}

#[test]
fn links_inside_and_outside() {
    let outside = tempfile::TempDir::new().unwrap();
    put(outside.path(), "secret.md", guide("Secret"));
    let out = outside.path().to_path_buf();
    let file_out = move |kb: &Path| symlink(out.join("secret.md"), kb.join("checks/out.md")).unwrap();
    check("a link out of the folder", file_out, &Mark("unreadable-file", "checks/out.md:1:1"));
    let out = outside.path().to_path_buf();
    let folder_out = move |kb: &Path| symlink(out, kb.join("guides")).unwrap();
    check("a linked folder outside", folder_out, &Mark("unreadable-file", "guides:1:1"));
    let to_itself = |kb: &Path| symlink("loop.md", kb.join("checks/loop.md")).unwrap();
    check("a link to itself", to_itself, &Mark("unreadable-file", "checks/loop.md:1:1"));
    let upwards = |kb: &Path| symlink("..", kb.join("checks/again")).unwrap();
    check("a link to the folder above", upwards, &Mark("unreadable-file", "checks/again:1:1"));
    let nowhere = |kb: &Path| symlink("gone.md", kb.join("checks/nowhere.md")).unwrap();
    check("a link that leads nowhere", nowhere, &Mark("unreadable-file", "checks/nowhere.md:1:1"));
    let twice = |kb: &Path| symlink("hub-play.md", kb.join("checks/same.md")).unwrap();
    check("a link to another entry", twice, &Nothing);
}

#[test]
fn names_that_are_no_ids() {
    let named = |name: &'static str| move |kb: &Path| put(kb, &format!("guides/{name}.md"), guide("x"));
    for name in
        ["a..b", "a b", "🔧", "Größe", "two words", "UPPER", "a_b", "-a", "a-", "a--b", "a.b", "<script>", "%2e"]
    {
        check(name, named(name), &Mark("bad-id", "guides/"));
    }
    let long = |length: usize| move |kb: &Path| put(kb, &format!("guides/{}.md", "a".repeat(length)), guide("x"));
    check("64 characters", long(64), &Nothing);
    check("65 characters", long(65), &Mark("bad-id", "guides/aaaa"));
    for hidden in ["", ".", "..", ".x"] {
        check("a hidden file", named(hidden), &Nothing);
    }
    check("another ending", |kb| put(kb, "guides/x.markdown", guide("x")), &Mark("bad-id", "guides/x.markdown:1:1"));
    check("a folder in capitals", |kb| put(kb, "Guides/x.md", guide("x")), &Mark("bad-id", "Guides:1:1"));
    check("a folder in the singular", |kb| put(kb, "guide/x.md", guide("x")), &Mark("bad-id", "guide:1:1"));
    let bytes = |kb: &Path| {
        use std::os::unix::ffi::OsStrExt;
        fs::create_dir_all(kb.join("guides")).unwrap();
        fs::write(kb.join("guides").join(std::ffi::OsStr::from_bytes(b"a\xff.md")), guide("x")).unwrap();
    };
    check("a name that is no text", bytes, &Mark("bad-id", "guides/a"));
    let same = |kb: &Path| put(kb, "checks/more/hub-play.md", guide("x"));
    check("one id twice", same, &Mark("duplicate-id", "checks/more/hub-play.md:1:1"));
    let cases = |kb: &Path| put(kb, "checks/HUB-PLAY.md", guide("x"));
    check("names that differ in case", cases, &Mark("bad-id", "checks/HUB-PLAY.md:1:1"));
}

#[test]
fn files_of_unusual_size_and_number() {
    let large = |kb: &Path| put(kb, CHECK, guide("x") + &"word ".repeat(1024 * 1024));
    check("5 MB", large, &Mark("unreadable-file", "checks/hub-play.md:1:1"));
    let at_limit = |extra: usize| {
        move |kb: &Path| {
            let head = guide("x");
            put(kb, "guides/x.md", head.clone() + &"x".repeat(192 * 1024 - head.len() + extra));
        }
    };
    check("exactly 192 KiB", at_limit(0), &Nothing);
    check("one byte more", at_limit(1), &Mark("unreadable-file", "guides/x.md:1:1"));
    let deep = |kb: &Path| put(kb, &format!("guides/{}x.md", "d/".repeat(200)), guide("x"));
    check("a deep folder", deep, &Nothing);
    let many = |kb: &Path| (0..300).for_each(|at| put(kb, &format!("guides/g{at}.md"), "no front matter"));
    check("many files with a fault", many, &Mark("bad-front-matter", "guides/g299.md:1:1"));
    check("a file as a folder of a kind", |kb| put(kb, "guides", "x"), &Nothing);
}
