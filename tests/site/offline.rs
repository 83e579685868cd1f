//! The copy that a browser keeps.

use std::collections::BTreeSet;

use serde_json::Value as Json;

use super::{pages, site};

fn text(path: &str) -> &'static str {
    std::str::from_utf8(&site()[path]).unwrap()
}

fn copy() -> Json {
    let data = text("sw.js").split("self.baybookCopy = ").nth(1).unwrap().split(";\n").next().unwrap();
    serde_json::from_str(data).unwrap()
}

#[test]
fn the_copy_names_every_file_that_a_reader_opens_and_no_other() {
    let copy = copy();
    let lists = copy["editions"].as_object().unwrap().values().chain([&copy["shared"]]);
    let listed: Vec<&str> =
        lists.flat_map(|list| list.as_array().unwrap()).map(|path| path.as_str().unwrap()).collect();
    let once: BTreeSet<&str> = listed.iter().copied().collect();
    assert_eq!(once.len(), listed.len(), "each file once");
    let is_kept = |path: &&str| !path.ends_with(".json") && !path.starts_with('.') && *path != "sw.js";
    let for_readers: BTreeSet<&str> = site().keys().map(String::as_str).filter(is_kept).collect();
    let differing: Vec<&&str> = once.symmetric_difference(&for_readers).collect();
    assert!(differing.is_empty(), "{differing:?}");
    assert_eq!(copy["whole"], true, "the demonstration is kept whole");
}

#[test]
fn each_edition_is_a_copy_of_its_own_under_the_limit() {
    let copy = copy();
    let size = |list: &Json| -> usize {
        list.as_array().unwrap().iter().map(|path| site()[path.as_str().unwrap()].len()).sum()
    };
    for (edition, list) in copy["editions"].as_object().unwrap() {
        assert!(
            size(list) + size(&copy["shared"]) <= usize::try_from(baybook::page::WHOLE_COPY).unwrap(),
            "{edition:?}"
        );
    }
}

#[test]
fn the_manifest_has_what_makes_a_site_installable() {
    let manifest: Json = serde_json::from_str(text("manifest.webmanifest")).unwrap();
    assert_eq!(manifest["name"], "Withy Lane Workshop");
    assert_eq!(manifest["short_name"], "Withy Lane");
    assert_eq!(manifest["display"], "standalone");
    assert!(site().contains_key(manifest["start_url"].as_str().unwrap()));
    for icon in manifest["icons"].as_array().unwrap() {
        assert!(site().contains_key(icon["src"].as_str().unwrap()));
    }
}

#[test]
fn every_page_keeps_the_copy_and_allows_the_worker() {
    for (path, html) in pages() {
        let up = "../".repeat(path.matches('/').count());
        assert!(html.contains(&format!("<script src=\"{up}assets/offline.js\" defer></script>")), "{path}");
        assert!(html.contains("worker-src 'self'"), "{path}");
        assert!(!html.contains("rel=\"manifest\""), "{path}: pages in a folder may not ask for one");
    }
}
