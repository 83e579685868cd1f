//! Publishing: what stands on disk afterwards, whatever happens.

#![cfg(unix)]
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test stops where it fails")]
#![allow(clippy::disallowed_methods, clippy::disallowed_types, reason = "tests look at the disk themselves")]
#![allow(clippy::print_stderr, reason = "a test that the machine does not permit says so")]

mod kill;
mod moving;
mod paths;
mod publish;
mod refuse;
mod scarce;
mod together;
mod unchanged;

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::time::Duration;

use baybook::output::{Notice, OutputFault, Published, Site, SiteFile};
use tempfile::TempDir;

/// A site of files written as `(path, text)`.
pub(crate) fn site(files: &[(&str, &str)]) -> Site {
    let file = |&(path, text): &(&str, &str)| SiteFile { path: path.into(), bytes: text.into() };
    Site::new(files.iter().map(file)).unwrap()
}

/// A site of `count` pages of about `size` bytes in two folders, all different for each `edition`.
pub(crate) fn edition(edition: u32, count: usize, size: usize) -> Site {
    let page = |at: usize| SiteFile {
        path: format!("{}/page-{at}.html", if at.is_multiple_of(2) { "symptoms" } else { "checks/deep" }),
        bytes: format!("edition {edition} page {at} ").repeat(size / 20 + 1).into_bytes(),
    };
    let own = SiteFile { path: format!("only-{edition}/here.html"), bytes: Vec::new() };
    Site::new((0..count).map(page).chain([own])).unwrap()
}

pub(crate) fn publish(site: &Site, out: &Path) -> Result<Published, OutputFault> {
    baybook::output::publish(site, out, Duration::from_secs(20), &mut |_: Notice| {})
}

pub(crate) fn place() -> (TempDir, PathBuf) {
    let place = tempfile::tempdir().unwrap();
    let out = place.path().join("site-out");
    (place, out)
}

/// Everything below a folder: files with their bytes, links and empty folders as themselves.
pub(crate) fn content(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    let mut all = BTreeMap::new();
    let mut open = vec![folder.to_owned()];
    while let Some(folder_now) = open.pop() {
        for entry in fs::read_dir(&folder_now).unwrap().map(Result::unwrap) {
            let name = entry.path().strip_prefix(folder).unwrap().to_str().unwrap().to_owned();
            let kind = entry.file_type().unwrap();
            if kind.is_dir() {
                all.insert(name + "/", Vec::new());
                open.push(entry.path());
            } else if kind.is_symlink() {
                all.insert(name + "@", Vec::new());
            } else {
                all.insert(name, fs::read(entry.path()).unwrap());
            }
        }
    }
    all
}

/// What a published folder should hold: the files, their folders, and a marker that is given.
pub(crate) fn expected(site: &Site, marker: Vec<u8>) -> BTreeMap<String, Vec<u8>> {
    let mut all = BTreeMap::from([(baybook::output::MARKER_NAME.to_owned(), marker)]);
    for (path, bytes) in site.files() {
        all.insert(path.to_owned(), bytes.to_owned());
        all.extend(path.match_indices('/').map(|(at, _)| (path[..=at].to_owned(), Vec::new())));
    }
    all
}

/// Whether the folder holds that site, whole, and nothing else.
pub(crate) fn holds(out: &Path, site: &Site) -> bool {
    let found = content(out);
    let marker = found.get(baybook::output::MARKER_NAME).cloned();
    marker.is_some_and(|marker| marker == marker_of(site) && found == expected(site, marker))
}

/// The marker by its description: digest, size and path of every file, in order.
fn marker_of(site: &Site) -> Vec<u8> {
    let line = |(path, bytes): (&str, &[u8])| {
        format!("{:032x} {} {path}\n", twox_hash::xxhash3_128::Hasher::oneshot(bytes), bytes.len())
    };
    let lines: String = site.files().map(line).collect();
    format!("baybook site, format 2\n{lines}").into_bytes()
}

/// What stands in the working folder.
pub(crate) fn left_over(out: &Path) -> Vec<String> {
    let folder = baybook::output::working_folder(out).unwrap();
    let Ok(entries) = fs::read_dir(folder) else { return Vec::new() };
    let mut names: Vec<_> = entries.map(|entry| entry.unwrap().file_name().into_string().unwrap()).collect();
    names.sort();
    names
}
