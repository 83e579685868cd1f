//! Markdown inside Markdown: what the proof found for a picture or a link is what the page shows there.

use std::fs;

use baybook::command::Status;
use tempfile::TempDir;

use super::publish;
use crate::support::{example_folder, put};

/// The page of a guide with this text must hold these pieces.
fn check(text: &str, pieces: &[&str]) {
    let kb = example_folder(&[]);
    for name in ["a.svg", "b.svg"] {
        put(kb.path(), &format!("media/{name}"), "<svg xmlns='http://www.w3.org/2000/svg'/>");
    }
    put(kb.path(), "guides/x.md", format!("---\ntitle: x\nbasis: demo\n---\n{text}\n"));
    let place = TempDir::new().unwrap();
    let out = place.path().join("site");
    let ran = publish(kb.path(), &out);
    assert_eq!(ran.status, Status::Done, "{text}: {}{}", ran.out, ran.err);
    let page = fs::read_to_string(out.join("guides/x.html")).unwrap();
    for piece in pieces {
        assert!(page.contains(piece), "{text}: no {piece} in {page}");
    }
}

#[test]
fn a_picture_in_the_words_of_a_picture_lends_its_words_alone() {
    let [a, b] = ["a.svg", "b.svg"].map(|name| format!("<img src=\"../media/{name}\" alt="));
    check("![one ![two](../media/b.svg)](../media/a.svg)", &[&format!("{a}\"one two\"")]);
    let after = "![one ![two](../media/b.svg)](../media/a.svg) and ![three](../media/b.svg)";
    check(after, &[&format!("{a}\"one two\""), &format!("{b}\"three\"")]);
    check("![one [two](../media/b.svg)](../media/a.svg)", &[&format!("{a}\"one two\"")]);
    check(
        "[![one](../media/a.svg)](../systems/wheels.md)",
        &[&format!("<a href=\"../systems/wheels.html\">{a}\"one\"")],
    );
}

#[test]
fn a_table_has_no_heading_without_words() {
    check(
        "| |b|\n|-|:-|\n|c|[d](../systems/wheels.md)|",
        &[
            "<thead><tr><td></td><th scope=\"col\" class=\"to-left\">b</th></tr></thead>",
            "<td>c</td><td class=\"to-left\"><a href=\"../systems/wheels.html\">d</a></td>",
        ],
    );
}

/// A text from above the body is shown on many pages; the heading that it names is on one.
#[test]
fn a_link_to_a_heading_leads_to_the_page_of_its_entry() {
    let kb = example_folder(&[]);
    let normal = include_str!("../../src/diagnostic/catalogue/base/characteristics/tread-hum.md");
    let linked =
        normal.replace("brief: The tyres sing on the road.", "brief: The tyres [sing](#why-it-is) on the road.");
    put(kb.path(), "characteristics/tread-hum.md", format!("{linked}## Why it is\n\nBlocks.\n"));
    let place = TempDir::new().unwrap();
    let out = place.path().join("site");
    let ran = publish(kb.path(), &out);
    assert_eq!(ran.status, Status::Done, "{}{}", ran.out, ran.err);
    let page = |path: &str| fs::read_to_string(out.join(path)).unwrap();
    let pages = ["characteristics/tread-hum.html", "symptoms/hum.html", "flows/hum.html", "handouts/tread-hum.en.html"];
    for path in pages {
        let link = "<a href=\"../characteristics/tread-hum.html#why-it-is\">sing</a>";
        assert!(page(path).contains(link), "{path}: {}", page(path));
    }
    assert!(page("characteristics/tread-hum.html").contains("id=\"why-it-is\""));
    let booklet = page("booklet.html");
    let link = booklet.split("\">sing</a>").next().and_then(|before| before.rsplit("href=\"#").next()).unwrap();
    assert!(booklet.contains(&format!("id=\"{link}\"")), "no {link} in {booklet}");
}
