//! The booklet: all entries of the shop on one page, in the order of their kinds, for paper.

use serde::Serialize;

use super::context::{PageContext, RefContext};
use super::dates::DateText;
use super::edition::{Edition, key_of, value};
use super::entry_page::{entries, path};
use super::listings::{TermContext, terms};
use super::outlet::InMemory;
use super::site::PageFault;
use crate::entry::Kind;

/// A shop of up to so many entries has them all in its booklet. Beyond that no browser would lay the page out, nor
/// anybody carry the paper: the booklet then says what there is, and leads to the lists, whose pages print by themselves.
const WHOLE_BOOKLET: usize = 2_000;

#[derive(Serialize)]
struct BookletContext<'e> {
    /// Whether the entries are in it.
    whole: bool,
    /// The day of the latest change of any entry.
    modified: Option<DateText>,
    parts: Vec<PartContext>,
    /// The number of the part that holds the trade terms.
    words_number: usize,
    words: Vec<TermContext<'e>>,
}

#[derive(Serialize)]
struct PartContext {
    number: usize,
    kind: &'static str,
    label_key: &'static str,
    count: usize,
    /// The list of the kind, from the site's root.
    href: String,
    /// Empty where the booklet is not whole.
    entries: Vec<PartEntry>,
}

#[derive(Serialize)]
struct PartEntry {
    #[serde(rename = "ref")]
    entry: RefContext,
    number: String,
    /// The anchor.
    key: String,
    html: String,
}

/// The booklet of an edition. `inner` is the same edition in the form of the booklet; its pages go to `made`.
pub(super) fn booklet(edition: &Edition<'_>, inner: &Edition<'_>, made: &InMemory) -> Result<(), PageFault> {
    let whole = edition.knowledge.entries().count() <= WHOLE_BOOKLET;
    if whole {
        entries(inner, &|_| {})?;
    }
    let linking = if whole { inner } else { edition };
    let listed = |number: usize, kind: Kind| PartContext {
        number,
        kind: kind.word(),
        label_key: kind.folder(),
        count: edition.knowledge.count(kind),
        href: format!("{}{}/index.html", edition.prefix, kind.folder()),
        entries: Vec::new(),
    };
    let mut parts: Vec<PartContext> = Kind::ALL.iter().enumerate().map(|(at, kind)| listed(at + 1, *kind)).collect();
    for (part, kind) in parts.iter_mut().zip(Kind::ALL).filter(|_| whole) {
        part.entries = entries_of(inner, part.number, kind, made);
    }
    let has = |text: &str| parts.iter().flat_map(|part| &part.entries).any(|entry| entry.html.contains(text));
    let page = PageContext {
        kind: "booklet",
        title: edition.word("booklet").to_owned(),
        path: "booklet.html".to_owned(),
        has_code: has("<pre"),
        has_calc: has("class=\"calc"),
        ..PageContext::default()
    };
    let context = BookletContext {
        whole,
        modified: latest(edition).map(|day| edition.date(day)),
        parts,
        words_number: Kind::ALL.len() + 1,
        words: terms(linking),
    };
    edition.page_then("booklet.html", page, vec![("booklet", value(&context))], onto_this_page)
}

fn entries_of(inner: &Edition<'_>, number: usize, kind: Kind, made: &InMemory) -> Vec<PartEntry> {
    let of_kind = inner.knowledge.entries().filter(|entry| entry.kind == kind);
    let entries = of_kind.enumerate().filter_map(|(at, entry)| {
        let path = path(inner.knowledge.head(entry)?);
        let html = below_an_entry(&String::from_utf8_lossy(&made.get(&path).unwrap_or_default()));
        Some(PartEntry {
            entry: inner.link(entry).clone(),
            number: format!("{number}.{}", at + 1),
            key: key_of(&path),
            html,
        })
    });
    entries.collect()
}

/// Parts of an entry have headings of the fourth level; a calculation, which comes with one of the third, is such.
fn below_an_entry(html: &str) -> String {
    html.replace("<h3 id=\"p-calc-", "<h4 id=\"p-calc-").replace("</h3>", "</h4>")
}

fn latest(edition: &Edition<'_>) -> Option<jiff::civil::Date> {
    let heads = edition.knowledge.entries().filter_map(|entry| edition.knowledge.head(entry));
    heads.filter_map(|head| head.modified.or(head.created)).max()
}

/// Templates put the way to the site's root before every reference; a reference that stays on the page has none.
fn onto_this_page(html: String) -> String {
    html.replace("href=\"../#", "href=\"#")
}
