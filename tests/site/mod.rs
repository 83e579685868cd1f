//! The published demonstration, held against what every page promises.

mod address;
mod booklet;
mod nested;
mod offline;
mod questions;
mod units;

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::OnceLock;

use baybook::command::Status;
use tempfile::TempDir;

use crate::support::{baybook, example_folder};

fn demo() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("kb")
}

fn publish(kb: &Path, out: &Path) -> crate::support::Ran {
    baybook([
        "publish",
        "--kb",
        kb.to_str().unwrap(),
        "--out",
        out.to_str().unwrap(),
        "--report",
        "short",
        "--today",
        "2026-11-25",
    ])
}

/// Every file below a folder, by its path inside it.
fn files(root: &Path) -> BTreeMap<String, Vec<u8>> {
    let mut found = BTreeMap::new();
    let mut open = vec![root.to_path_buf()];
    while let Some(folder) = open.pop() {
        for step in fs::read_dir(folder).unwrap() {
            let path = step.unwrap().path();
            if path.is_dir() {
                open.push(path);
            } else {
                let name = path.strip_prefix(root).unwrap().to_str().unwrap().replace('\\', "/");
                found.insert(name, fs::read(&path).unwrap());
            }
        }
    }
    found
}

/// The demonstration's site, published once for all tests.
fn site() -> &'static BTreeMap<String, Vec<u8>> {
    static SITE: OnceLock<BTreeMap<String, Vec<u8>>> = OnceLock::new();
    SITE.get_or_init(|| {
        let folder = TempDir::new().unwrap();
        let ran = publish(&demo(), &folder.path().join("site"));
        assert_eq!(ran.status, Status::Done, "{}{}", ran.out, ran.err);
        files(&folder.path().join("site"))
    })
}

fn pages() -> impl Iterator<Item = (&'static str, &'static str)> {
    site()
        .iter()
        .filter(|(path, _)| path.ends_with(".html"))
        .map(|(path, bytes)| (path.as_str(), std::str::from_utf8(bytes).unwrap()))
}

/// The values of an attribute, in the order of the page.
fn attributes<'a>(html: &'a str, name: &str) -> Vec<&'a str> {
    let open = format!(" {name}=\"");
    html.split(open.as_str()).skip(1).filter_map(|rest| rest.split('"').next()).collect()
}

#[test]
fn the_demonstration_earns_no_error_and_no_warning() {
    let kb = demo();
    let ran =
        baybook(["proof", "--kb", kb.to_str().unwrap(), "--report", "short", "--strict", "--today", "2026-11-25"]);
    assert_eq!((ran.status, ran.out.as_str()), (Status::Done, ""), "{}", ran.out);
}

#[test]
fn every_link_inside_the_site_leads_to_a_file_and_an_anchor_that_are_there() {
    let anchors: BTreeMap<&str, BTreeSet<&str>> =
        pages().map(|(path, html)| (path, attributes(html, "id").into_iter().collect())).collect();
    let mut dead = Vec::new();
    for (path, html) in pages() {
        for link in attributes(html, "href").into_iter().chain(attributes(html, "src")) {
            if link.starts_with("http") || link.starts_with("mailto:") || link.starts_with("tel:") {
                continue;
            }
            let (file, anchor) = link.split_once('#').map_or((link, None), |(file, anchor)| (file, Some(anchor)));
            let target = if file.is_empty() { path.to_owned() } else { resolve(path, file) };
            let has_file = site().contains_key(&target);
            let is_icon = anchor.is_some_and(|anchor| anchor.starts_with("i-")) && file.is_empty();
            let has_anchor = anchor.is_none_or(|anchor| {
                is_icon || anchors.get(target.as_str()).is_none_or(|known| known.contains(anchor))
            });
            if !has_file || !has_anchor {
                dead.push(format!("{path}: {link}"));
            }
        }
    }
    dead.sort();
    dead.dedup();
    assert!(dead.is_empty(), "{} dead links:\n{}", dead.len(), dead.join("\n"));
}

fn resolve(page: &str, link: &str) -> String {
    let mut parts: Vec<&str> = page.split('/').collect();
    parts.pop();
    for part in link.split('/') {
        match part {
            ".." => _ = parts.pop(),
            "." => {}
            part => parts.push(part),
        }
    }
    parts.join("/")
}

#[test]
fn no_page_repeats_an_id() {
    for (path, html) in pages() {
        let ids = attributes(html, "id");
        let mut seen = BTreeSet::new();
        let twice: Vec<_> = ids.into_iter().filter(|id| !seen.insert(*id)).collect();
        assert!(twice.is_empty(), "{path}: {twice:?}");
    }
}

#[test]
fn every_page_carries_the_policy_and_nothing_that_it_forbids() {
    for (path, html) in pages() {
        assert!(html.contains("http-equiv=\"Content-Security-Policy\" content=\"default-src 'none';"), "{path}");
        assert!(!html.contains(" style=\""), "{path} has a style of its own");
        assert!(!html.contains("<style"), "{path} has a style sheet of its own");
        assert!(!html.contains("<script>"), "{path} has a script of its own");
        for source in attributes(html, "src") {
            assert!(!source.contains(':') && !source.starts_with("//"), "{path} loads {source}");
        }
        let handlers = html.split(" on").skip(1).filter(|rest| {
            rest.split('=').next().is_some_and(|name| name.len() < 12 && name.bytes().all(|b| b.is_ascii_lowercase()))
        });
        let quoted: Vec<_> =
            handlers.filter(|rest| rest.contains("=\"") && rest.find("=\"") < rest.find(' ')).collect();
        assert!(quoted.is_empty(), "{path} has a handler of its own");
    }
}

#[test]
fn the_same_entries_give_the_same_bytes_whatever_the_folder_and_the_order_of_files() {
    let folder = TempDir::new().unwrap();
    let copy = folder.path().join("entries");
    let mut all: Vec<(String, Vec<u8>)> = files(&demo()).into_iter().collect();
    all.reverse();
    for (path, bytes) in all {
        let path = copy.join(path);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, bytes).unwrap();
    }
    let out = folder.path().join("elsewhere");
    assert_eq!(publish(&copy, &out).status, Status::Done);
    let again = files(&out);
    let different: Vec<_> = site().keys().filter(|path| again.get(*path) != site().get(*path)).collect();
    assert!(different.is_empty() && again.len() == site().len(), "{different:?}");
}

#[test]
fn entries_with_errors_leave_the_former_site_as_it_was() {
    let kb = example_folder(&[]);
    let folder = TempDir::new().unwrap();
    let out = folder.path().join("site");
    assert_eq!(publish(kb.path(), &out).status, Status::Done);
    let before = files(&out);
    fs::write(kb.path().join("symptoms/hum.md"), "no front matter").unwrap();
    assert_eq!(publish(kb.path(), &out).status, Status::Errors);
    assert_eq!(files(&out), before);
}

#[test]
fn a_theme_folder_stands_in_file_by_file() {
    let kb = example_folder(&[]);
    let folder = TempDir::new().unwrap();
    let theme = folder.path().join("theme");
    fs::create_dir_all(&theme).unwrap();
    fs::write(theme.join("guide.html"), "{% extends \"layout.html\" %}").unwrap();
    fs::write(theme.join("workshop.css"), "/* ours */").unwrap();
    // Icons that it leaves out are drawn as nothing.
    fs::write(theme.join("icons.svg"), "<svg><symbol id='i-print'/></svg>").unwrap();
    let out = folder.path().join("site");
    let arguments = ["publish", "--kb", kb.path().to_str().unwrap(), "--out", out.to_str().unwrap()];
    let ran = baybook(arguments.into_iter().chain(["--theme", theme.to_str().unwrap()]));
    assert_eq!(ran.status, Status::Done, "{}", ran.err);
    assert_eq!(fs::read_to_string(out.join("assets/workshop.css")).unwrap(), "/* ours */");
    fs::write(theme.join("home.html"), "{{ nothing.at.all }}").unwrap();
    let ran = baybook(arguments.into_iter().chain(["--theme", theme.to_str().unwrap()]));
    assert_eq!(ran.status, Status::CouldNotRun);
    assert!(ran.err.contains("home.html"), "{}", ran.err);
}
