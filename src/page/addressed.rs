//! Files that name whole addresses, and so exist only where the shop gives that of its site: a feed of changes
//! (Atom, RFC 4287), a site map (sitemaps.org, protocol 0.9), a description of the search (OpenSearch 1.1).

use std::collections::BTreeMap;

use jiff::civil::Date;

use super::edition::Edition;
use super::entry_page::path;
use super::highlight::escaped;
use super::outlet::FilePrint;
use super::site::PageFile;
use crate::knowledge::{EntryRef, Knowledge};

/// The feed's path.
pub(super) const FEED: &str = "feed.xml";

/// The path of the description of the search.
pub(super) const SEARCH_DESCRIPTION: &str = "opensearch.xml";

/// How many changes the feed holds, at most.
const FEED_LENGTH: usize = 100;

/// How many addresses one site map may hold, by its protocol.
const MAP_LENGTH: usize = 50_000;

/// Characters of the short name that OpenSearch 1.1 allows.
const SHORT_NAME_LENGTH: usize = 16;

const DECLARATION: &str = "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n";

/// Whether there is anything to put into a feed.
pub(super) fn has_feed(edition: &Edition<'_>) -> bool {
    let mut heads = edition.knowledge.entries().filter_map(|entry| edition.knowledge.head(entry));
    edition.knowledge.shop.address.is_some() && heads.any(|head| head.modified.or(head.created).is_some())
}

/// The feed and the description of the search, from the first edition.
pub(super) fn feed_and_search(edition: &Edition<'_>) -> Vec<PageFile> {
    let Some(address) = &edition.knowledge.shop.address else { return Vec::new() };
    let changes = changes(edition);
    let feed = changes.first().map(|(latest, _)| file(FEED, feed(edition, address, *latest, &changes)));
    let description = file(SEARCH_DESCRIPTION, search_description(edition, address));
    feed.into_iter().chain([description]).collect()
}

fn file(path: &str, text: String) -> PageFile {
    PageFile { path: path.to_owned(), bytes: text.into_bytes() }
}

/// Entries by the day they last changed, the latest first, then in the order of entries.
fn changes(edition: &Edition<'_>) -> Vec<(Date, EntryRef)> {
    let heads = edition.knowledge.entries().filter_map(|entry| Some((entry, edition.knowledge.head(entry)?)));
    let dated = heads.filter_map(|(entry, head)| Some((head.modified.or(head.created)?, entry)));
    let mut changes: Vec<(Date, EntryRef)> = dated.collect();
    changes.sort_by_key(|(day, entry)| (std::cmp::Reverse(*day), *entry));
    changes.truncate(FEED_LENGTH);
    changes
}

fn feed(edition: &Edition<'_>, address: &str, latest: Date, changes: &[(Date, EntryRef)]) -> String {
    let name = escaped(&edition.knowledge.shop.name);
    let title = escaped(&format!("{}: {}", edition.knowledge.shop.name, edition.word("changes")));
    let address = escaped(address);
    let entries: String = changes.iter().map(|(day, entry)| feed_entry(edition, &address, *day, *entry)).collect();
    format!(
        "{DECLARATION}<feed xmlns=\"http://www.w3.org/2005/Atom\" xml:lang=\"{language}\">\n\
         <title>{title}</title>\n<id>{address}{FEED}</id>\n<updated>{updated}</updated>\n\
         <author><name>{name}</name></author>\n\
         <link rel=\"self\" type=\"application/atom+xml\" href=\"{address}{FEED}\"/>\n\
         <link rel=\"alternate\" type=\"text/html\" href=\"{address}changes.html\"/>\n{entries}</feed>\n",
        language = escaped(edition.language),
        updated = instant(latest),
    )
}

fn feed_entry(edition: &Edition<'_>, address: &str, day: Date, entry: EntryRef) -> String {
    let link = edition.link(entry);
    let page = format!("{address}{}", escaped(&link.href));
    let created = edition.knowledge.head(entry).and_then(|head| head.created);
    let published = created.map(|day| format!("<published>{}</published>", instant(day))).unwrap_or_default();
    let kind = edition.word(&format!("kind_{}", link.kind)).to_owned();
    let fits = if link.fits.is_empty() { edition.word("every_vehicle").to_owned() } else { link.fits.clone() };
    format!(
        "<entry><title>{title}</title><id>{page}</id><updated>{updated}</updated>{published}\
         <category term=\"{term}\" label=\"{label}\"/><link rel=\"alternate\" type=\"text/html\" href=\"{page}\"/>\
         <summary>{summary}</summary></entry>\n",
        title = escaped(&link.title),
        updated = instant(day),
        term = link.kind,
        label = escaped(&kind),
        summary = escaped(&format!("{kind}. {}: {fits}", edition.word("fits"))),
    )
}

/// A day as RFC 3339 writes an instant: entries know days only.
fn instant(day: Date) -> String {
    format!("{day}T00:00:00Z")
}

/// The site map of the pages in `files`; several with an index where one may not hold all.
pub(super) fn site_map(knowledge: &Knowledge, files: &[FilePrint]) -> Vec<PageFile> {
    let Some(address) = &knowledge.shop.address else { return Vec::new() };
    let days = days(knowledge);
    let pages = files.iter().filter(|file| file.path.ends_with(".html"));
    let mut rows: Vec<String> = pages
        .map(|file| {
            let day = days.get(&file.path).map(|day| format!("<lastmod>{day}</lastmod>")).unwrap_or_default();
            format!("<url><loc>{}{}</loc>{day}</url>\n", escaped(address), escaped(&file.path))
        })
        .collect();
    rows.sort_unstable();
    if rows.len() <= MAP_LENGTH {
        return vec![file("sitemap.xml", map("urlset", &rows))];
    }
    let (mut index, mut files) = (Vec::new(), Vec::new());
    for (at, rows) in rows.chunks(MAP_LENGTH).enumerate() {
        let path = format!("sitemap-{}.xml", at + 1);
        index.push(format!("<sitemap><loc>{}{path}</loc></sitemap>\n", escaped(address)));
        files.push(file(&path, map("urlset", rows)));
    }
    files.push(file("sitemap.xml", map("sitemapindex", &index)));
    files
}

fn map(element: &str, rows: &[String]) -> String {
    let rows = rows.concat();
    format!("{DECLARATION}<{element} xmlns=\"http://www.sitemaps.org/schemas/sitemap/0.9\">\n{rows}</{element}>\n")
}

/// The day on which each entry's page last changed, by its path in the first edition.
fn days(knowledge: &Knowledge) -> BTreeMap<String, Date> {
    let heads = knowledge.entries().filter_map(|entry| knowledge.head(entry));
    heads.filter_map(|head| Some((path(head), head.modified.or(head.created)?))).collect()
}

fn search_description(edition: &Edition<'_>, address: &str) -> String {
    let name = &edition.knowledge.shop.name;
    format!(
        "{DECLARATION}<OpenSearchDescription xmlns=\"http://a9.com/-/spec/opensearch/1.1/\">\n\
         <ShortName>{short}</ShortName>\n<Description>{description}</Description>\n\
         <Url type=\"text/html\" method=\"get\" template=\"{address}index.html?q={{searchTerms}}\"/>\n\
         <Image height=\"32\" width=\"32\" type=\"image/svg+xml\">{address}assets/icon.svg</Image>\n\
         <Language>{language}</Language>\n<InputEncoding>UTF-8</InputEncoding>\n</OpenSearchDescription>\n",
        short = escaped(short_name(name)),
        description = escaped(&format!("{name}: {}", edition.word("home_description"))),
        address = escaped(address),
        language = escaped(edition.language),
    )
}

/// As many whole words of a name as a short name may have, or the start of its first one.
pub(super) fn short_name(name: &str) -> &str {
    let end = |length: usize| name.char_indices().nth(length).map_or(name.len(), |(at, _)| at);
    let start = name.get(..end(SHORT_NAME_LENGTH)).unwrap_or(name);
    if start.len() == name.len() || name.get(start.len()..).is_some_and(|rest| rest.starts_with(' ')) {
        return start.trim_end();
    }
    start.rsplit_once(' ').map_or(start, |(words, _)| words.trim_end())
}

#[cfg(test)]
mod tests {
    use super::short_name;

    #[test]
    fn a_short_name_keeps_to_sixteen_characters() {
        for (name, short) in [
            ("Withy Lane", "Withy Lane"),
            ("Withy Lane Workshop", "Withy Lane"),
            ("Sixteen letters.", "Sixteen letters."),
            ("Sixteen letters. And more", "Sixteen letters."),
            ("Taller de la Sección Ñandú", "Taller de la"),
            ("Donaudampfschifffahrt", "Donaudampfschiff"),
        ] {
            assert_eq!(short_name(name), short);
        }
    }
}
