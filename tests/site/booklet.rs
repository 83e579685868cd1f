//! The booklet: all entries on one page.

use std::collections::BTreeSet;

use super::{attributes, files, pages, site};

fn booklets() -> impl Iterator<Item = (&'static str, &'static str)> {
    pages().filter(|(path, _)| path.ends_with("booklet.html"))
}

#[test]
fn every_edition_has_one_and_every_page_leads_to_its_own() {
    let found: Vec<&str> = booklets().map(|(path, _)| path).collect();
    assert_eq!(found, ["booklet.html", "es/booklet.html"]);
    for (path, html) in pages().filter(|(path, _)| !path.starts_with("handouts/")) {
        let own = if path.starts_with("es/") { path.matches('/').count() - 1 } else { path.matches('/').count() };
        let link = format!("{}booklet.html", "../".repeat(own));
        let edition = if path.starts_with("es/") { "es/booklet.html" } else { "booklet.html" };
        let links = attributes(html, "href");
        assert!(links.iter().any(|href| *href == link || href.ends_with(edition)), "{path} does not lead to {link}");
    }
}

#[test]
fn every_entry_stands_in_it_and_in_its_contents_once() {
    let entries: Vec<String> = files(&super::demo())
        .into_keys()
        .filter(|path| path.ends_with(".md"))
        .map(|path| path.trim_end_matches(".md").replace('/', "-"))
        .collect();
    for (path, html) in booklets() {
        let contents = html.split("class=\"contents\"").nth(1).unwrap().split("</nav>").next().unwrap();
        for entry in &entries {
            assert_eq!(html.matches(&format!(" id=\"{entry}\"")).count(), 1, "{path}: {entry}");
            assert_eq!(contents.matches(&format!("href=\"#{entry}\"")).count(), 1, "{path}: {entry}");
        }
    }
}

#[test]
fn references_between_entries_stay_on_it() {
    let kinds = ["symptoms/", "conditions/", "characteristics/", "checks/", "systems/", "guides/"];
    for (path, html) in booklets() {
        let main = html.split("<main").nth(1).unwrap().split("</main>").next().unwrap();
        let leaving: BTreeSet<&str> = attributes(main, "href")
            .into_iter()
            .filter(|href| !href.starts_with('#') && kinds.iter().any(|kind| href.contains(kind)))
            .collect();
        assert!(leaving.is_empty(), "{path}: {leaving:?}");
    }
}

#[test]
fn no_caution_of_an_entry_is_left_out() {
    for (path, html) in pages().filter(|(path, _)| path.starts_with("checks/") || path.starts_with("conditions/")) {
        if path.ends_with("index.html") {
            continue;
        }
        let cautions = html.matches("<div class=\"caution ").count();
        let key = path.trim_end_matches(".html").replace('/', "-");
        let booklet = std::str::from_utf8(&site()["booklet.html"]).unwrap();
        let part = booklet.split(&format!(" id=\"{key}\"")).nth(1).unwrap();
        let part = part.split("<article class=\"item\"").next().unwrap();
        assert_eq!(part.matches("<div class=\"caution ").count(), cautions, "{path}");
    }
}
