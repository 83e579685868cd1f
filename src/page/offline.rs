//! The copy of a site that a browser keeps where a server serves it: a manifest, and a worker that knows every file.

use std::collections::BTreeMap;

use serde_json::{Value as Json, json};

use super::addressed::short_name;
use super::dates::date_text;
use super::outlet::FilePrint;
use super::site::{PageFault, PageFile, published_languages};
use super::theme::Theme;
use crate::diagnostic::Digest;
use crate::knowledge::Knowledge;

/// A copy of up to so many bytes is kept whole.
pub const WHOLE_COPY: u64 = 20_000_000;

/// What a copy holds.
#[derive(Debug, PartialEq, Eq)]
struct Copy<'a> {
    /// Whether every page that belongs to it is in it. Otherwise pages are added as they are visited.
    whole: bool,
    /// Always kept.
    shared: Vec<&'a str>,
    /// Kept for those who read that edition, by the folder in which it stands.
    editions: BTreeMap<String, Vec<&'a str>>,
}

/// The manifest and the worker for a site of `files`, which must be complete: the worker's version is a digest of all
/// of them.
///
/// # Errors
/// When the theme lacks the worker or the manifest.
pub fn offline_files(knowledge: &Knowledge, theme: &Theme, files: Vec<FilePrint>) -> Result<Vec<PageFile>, PageFault> {
    let languages = published_languages(knowledge, theme);
    let manifest = PageFile { path: "manifest.webmanifest".to_owned(), bytes: manifest(knowledge, theme, &languages)? };
    let worker = theme.worker()?;
    let files = files.into_iter().chain([FilePrint::of(&manifest.path, &manifest.bytes)]);
    let mut kept: Vec<FilePrint> = files.filter(|file| is_for_readers(&file.path)).collect();
    kept.sort_by(|a, b| a.path.cmp(&b.path));
    let copy = copy(&kept, languages.get(1..).unwrap_or_default(), WHOLE_COPY);
    let data = json!({
        "version": version(worker, &kept),
        "latest": latest(knowledge, theme, &languages)?,
        "whole": copy.whole,
        "shared": copy.shared,
        "editions": copy.editions,
    });
    let text = format!("\"use strict\";\nself.baybookCopy = {data};\n{worker}");
    Ok(vec![manifest, PageFile { path: "sw.js".to_owned(), bytes: text.into_bytes() }])
}

/// Data for other programs, feeds and maps of the site are of no use without a network.
fn is_for_readers(path: &str) -> bool {
    !path.ends_with(".json") && !path.ends_with(".xml")
}

/// Everything, if it is not more than `limit` bytes; else what one edition's reader needs; and if that is more, what
/// leads to pages: the frame, the lists, the search and the flows. `others` are the languages beside the first.
fn copy<'a>(kept: &'a [FilePrint], others: &[String], limit: u64) -> Copy<'a> {
    let size = |files: &[&FilePrint]| files.iter().map(|file| file.size).sum::<u64>();
    let all: Vec<&FilePrint> = kept.iter().collect();
    let paths = |files: &[&'a FilePrint]| files.iter().map(|file| file.path.as_str()).collect::<Vec<_>>();
    if size(&all) <= limit {
        return Copy { whole: true, shared: paths(&all), editions: BTreeMap::new() };
    }
    let mut shared = Vec::new();
    let mut editions: BTreeMap<String, Vec<&'a FilePrint>> = BTreeMap::new();
    for file in kept {
        match edition_of(&file.path, others) {
            Some(edition) => editions.entry(edition).or_default().push(file),
            None => shared.push(file),
        }
    }
    let whole = editions.values().all(|files| size(files) + size(&shared) <= limit);
    if !whole {
        shared.retain(|file| is_shell(&file.path));
        editions.values_mut().for_each(|files| files.retain(|file| is_shell(&file.path)));
    }
    let editions = editions.into_iter().map(|(edition, files)| (edition, paths(&files))).collect();
    Copy { whole, shared: paths(&shared), editions }
}

/// The folder of the edition that a page belongs to; `None` for what all editions share.
fn edition_of(path: &str, others: &[String]) -> Option<String> {
    let other = others.iter().map(|language| format!("{language}/")).find(|folder| path.starts_with(folder.as_str()));
    let is_shared = ["assets/", "data/", "media/", "handouts/"].iter().any(|folder| path.starts_with(folder));
    other.or_else(|| (path.ends_with(".html") && !is_shared).then(String::new))
}

/// Whether a file is needed on the way to every page.
fn is_shell(path: &str) -> bool {
    let is_frame = path.starts_with("assets/") || path.starts_with("data/") || path.ends_with(".webmanifest");
    let is_way = path.ends_with("index.html") || path.ends_with("words.html");
    is_frame || is_way || path.starts_with("flows/") || path.contains("/flows/")
}

/// A name for exactly these files with exactly these bytes, and for the worker that looks after them.
fn version(worker: &str, files: &[FilePrint]) -> String {
    // No path holds a line's end.
    let lines = files.iter().map(|file| format!("{} {}\n", file.digest, file.path));
    let all: String = std::iter::once(format!("{}\n", Digest::of(worker.as_bytes()))).chain(lines).collect();
    Digest::of(all.as_bytes()).to_string().chars().take(16).collect()
}

/// The day of the latest change, in each language's words; empty if no entry is dated.
fn latest(knowledge: &Knowledge, theme: &Theme, languages: &[String]) -> Result<BTreeMap<String, String>, PageFault> {
    let heads = knowledge.entries().filter_map(|entry| knowledge.head(entry));
    let day = heads.filter_map(|head| head.modified.or(head.created)).max();
    let mut latest = BTreeMap::new();
    for language in languages {
        let text = match day {
            Some(day) => date_text(day, &theme.words(language)?).text,
            None => String::new(),
        };
        latest.insert(language.clone(), text);
    }
    Ok(latest)
}

/// The web app manifest (W3C), with the theme's colours and icons.
fn manifest(knowledge: &Knowledge, theme: &Theme, languages: &[String]) -> Result<Vec<u8>, PageFault> {
    let name = &knowledge.shop.name;
    let mut manifest = json!({
        "name": name,
        "short_name": short_name(name),
        "lang": languages.first(),
        "id": "./",
        "start_url": "index.html",
        "scope": "./",
    });
    if let (Json::Object(manifest), Json::Object(of_theme)) = (&mut manifest, theme.json("manifest.json")?) {
        manifest.extend(of_theme);
    }
    Ok(format!("{manifest:#}\n").into_bytes())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn file(path: &str, size: usize) -> FilePrint {
        FilePrint::of(path, &vec![b'x'; size])
    }

    fn site() -> Vec<FilePrint> {
        let paths = ["assets/a.css", "es/flows/hum.html", "es/index.html", "es/systems/s.html"];
        let rest = ["flows/hum.html", "handouts/h.es.html", "index.html", "media/p.svg", "systems/s.html"];
        paths.into_iter().chain(rest).map(|path| file(path, 100)).collect()
    }

    fn held(limit: u64) -> (bool, Vec<String>, BTreeMap<String, Vec<String>>) {
        let site = site();
        let copy = copy(&site, &["es".to_owned()], limit);
        let owned = |paths: Vec<&str>| paths.into_iter().map(str::to_owned).collect::<Vec<_>>();
        let editions = copy.editions.into_iter().map(|(edition, paths)| (edition, owned(paths))).collect();
        (copy.whole, owned(copy.shared), editions)
    }

    #[test]
    fn a_small_site_is_kept_whole() {
        let (whole, shared, editions) = held(900);
        assert!(whole && editions.is_empty());
        assert_eq!(shared.len(), 9);
    }

    #[test]
    fn a_larger_one_by_editions() {
        let (whole, shared, editions) = held(600);
        assert!(whole);
        assert_eq!(shared, ["assets/a.css", "handouts/h.es.html", "media/p.svg"]);
        assert_eq!(editions[""], ["flows/hum.html", "index.html", "systems/s.html"]);
        assert_eq!(editions["es/"], ["es/flows/hum.html", "es/index.html", "es/systems/s.html"]);
    }

    #[test]
    fn a_large_one_in_part() {
        let (whole, shared, editions) = held(599);
        assert!(!whole);
        assert_eq!(shared, ["assets/a.css"]);
        assert_eq!(editions[""], ["flows/hum.html", "index.html"]);
        assert_eq!(editions["es/"], ["es/flows/hum.html", "es/index.html"]);
    }

    #[test]
    fn another_byte_another_path_or_another_worker_is_another_version() {
        let sites = [vec![file("a", 1)], vec![file("a", 2)], vec![file("b", 1)], vec![file("a", 1), file("b", 0)]];
        let versions: Vec<String> =
            sites.iter().flat_map(|site| ["one", "two"].map(|worker| version(worker, site))).collect();
        let distinct: std::collections::BTreeSet<&String> = versions.iter().collect();
        assert_eq!(distinct.len(), versions.len());
    }
}
