//! What a site gains when the shop gives its address.

use std::collections::BTreeMap;
use std::fs;
use std::sync::OnceLock;

use baybook::command::Status;
use roxmltree::{Document, Node};
use tempfile::TempDir;

use super::{attributes, demo, files, publish};

const ADDRESS: &str = "https://example.org/shop & bay/";

/// The demonstration with an address, published once.
fn site() -> &'static BTreeMap<String, Vec<u8>> {
    static SITE: OnceLock<BTreeMap<String, Vec<u8>>> = OnceLock::new();
    SITE.get_or_init(|| {
        let folder = TempDir::new().unwrap();
        let kb = folder.path().join("kb");
        for (path, bytes) in files(&demo()) {
            let path = kb.join(path);
            fs::create_dir_all(path.parent().unwrap()).unwrap();
            fs::write(path, bytes).unwrap();
        }
        let shop = fs::read_to_string(kb.join("shop.yaml")).unwrap();
        fs::write(kb.join("shop.yaml"), format!("{shop}address: {}\n", ADDRESS.replace(' ', "%20"))).unwrap();
        let ran = publish(&kb, &folder.path().join("site"));
        assert_eq!(ran.status, Status::Done, "{}{}", ran.out, ran.err);
        files(&folder.path().join("site"))
    })
}

fn address() -> String {
    ADDRESS.replace(' ', "%20")
}

fn text(path: &str) -> &'static str {
    std::str::from_utf8(&site()[path]).unwrap()
}

fn child<'a>(node: Node<'a, 'a>, name: &str) -> Vec<Node<'a, 'a>> {
    node.children().filter(|child| child.has_tag_name((node.tag_name().namespace().unwrap(), name))).collect()
}

fn said<'a>(node: Node<'a, 'a>, name: &str) -> &'a str {
    let found = child(node, name);
    assert_eq!(found.len(), 1, "{name}");
    found[0].text().unwrap()
}

/// A page of the site, by its whole address.
fn leads_to_a_page(address: &str) -> bool {
    address.strip_prefix(&self::address()).is_some_and(|path| site().contains_key(path) && path.ends_with(".html"))
}

#[test]
fn without_an_address_nothing_needs_one() {
    let plain = super::site();
    assert!(!plain.keys().any(|path| path.ends_with(".xml")));
    assert!(super::pages().all(|(_, html)| !html.contains("atom+xml") && !html.contains("opensearch")));
    assert!(super::pages().all(|(path, html)| !path.starts_with("handouts/") || !html.contains("class=\"qr\"")));
}

/// RFC 4287, sections 4.1.1 (feed), 4.1.2 (entry), 4.2.6 (id), 4.2.7 (link), 3.3 (dates).
#[test]
fn the_feed_has_what_rfc_4287_requires() {
    let document = Document::parse(text("feed.xml")).unwrap();
    let feed = document.root_element();
    assert!(feed.has_tag_name(("http://www.w3.org/2005/Atom", "feed")));
    assert!(!said(feed, "title").is_empty());
    assert_eq!(said(feed, "id"), format!("{}feed.xml", address()));
    assert_eq!(child(feed, "author").len(), 1);
    assert!(!said(child(feed, "author")[0], "name").is_empty());
    let links = child(feed, "link");
    let rel = |node: Node<'_, '_>| node.attribute("rel").unwrap_or("alternate").to_owned();
    assert_eq!(links.iter().filter(|link| rel(**link) == "self").count(), 1);
    let entries = child(feed, "entry");
    assert!(entries.len() > 10, "{}", entries.len());
    let mut ids = Vec::new();
    let mut latest = String::new();
    for entry in entries {
        assert!(!said(entry, "title").is_empty());
        ids.push(said(entry, "id").to_owned());
        let updated = said(entry, "updated");
        let day = updated.strip_suffix("T00:00:00Z").unwrap();
        day.parse::<jiff::civil::Date>().unwrap();
        assert!(latest.is_empty() || updated <= latest.as_str(), "newest first");
        latest = updated.to_owned();
        // Without content, an entry must have an alternate link; the feed's author stands for its entries.
        let alternate: Vec<_> = child(entry, "link").into_iter().filter(|link| rel(*link) == "alternate").collect();
        assert_eq!(alternate.len(), 1);
        assert!(leads_to_a_page(alternate[0].attribute("href").unwrap()));
    }
    assert_eq!(said(feed, "updated"), child(child(feed, "entry")[0], "updated")[0].text().unwrap());
    let count = ids.len();
    ids.sort();
    ids.dedup();
    assert_eq!(ids.len(), count, "no two entries share an id");
}

/// sitemaps.org, protocol 0.9: each location once, every one a page, and no page left out.
#[test]
fn the_site_map_names_every_page_once() {
    let document = Document::parse(text("sitemap.xml")).unwrap();
    let root = document.root_element();
    assert!(root.has_tag_name(("http://www.sitemaps.org/schemas/sitemap/0.9", "urlset")));
    let mut named: Vec<&str> = child(root, "url").into_iter().map(|url| said(url, "loc")).collect();
    assert!(named.iter().all(|address| leads_to_a_page(address)));
    assert!(document.descendants().any(|node| node.has_tag_name("lastmod") || node.tag_name().name() == "lastmod"));
    named.sort_unstable();
    let mut pages: Vec<String> =
        site().keys().filter(|path| path.ends_with(".html")).map(|path| format!("{}{path}", address())).collect();
    pages.sort_unstable();
    assert_eq!(named, pages);
}

#[test]
fn every_page_tells_of_the_feed() {
    for (path, bytes) in site().iter().filter(|(path, _)| path.ends_with(".html")) {
        let html = std::str::from_utf8(bytes).unwrap();
        let up = "../".repeat(path.matches('/').count());
        assert!(attributes(html, "href").contains(&format!("{up}feed.xml").as_str()), "{path}");
    }
}

#[test]
fn a_hand_out_carries_the_code_of_its_own_address() {
    for (path, bytes) in site().iter().filter(|(path, _)| path.starts_with("handouts/")) {
        let html = std::str::from_utf8(bytes).unwrap();
        assert_eq!(html.matches("<figure class=\"qr\"><svg role=\"img\"").count(), 1, "{path}");
        let shown = html.split("<figcaption>").nth(1).unwrap().split("</figcaption>").next().unwrap();
        assert_eq!(shown.replace("&amp;", "&"), format!("{}{path}", address()));
    }
}
