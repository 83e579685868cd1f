//! Lists by day: what changed, and when what must be read again.

use std::collections::BTreeMap;

use jiff::civil::Date;
use serde::Serialize;

use super::context::{DatedContext, LinkContext};
use super::dates::DateText;
use super::edition::{Edition, value};
use super::leaves::{FormerLeaves, LeavesContext, MOST_JUMPS, Part, beginnings, leaf_path, leaves, links};
use super::link::Look;
use super::listings::page;
use super::site::PageFault;
use crate::knowledge::EntryRef;

/// A leaf of the list of changes.
#[derive(Serialize)]
struct ChangesContext<'e> {
    days: Vec<DayContext<'e>>,
    leaves: LeavesContext,
}

#[derive(Serialize)]
struct DayContext<'e> {
    date: DateText,
    items: Vec<ChangedContext<'e>>,
}

#[derive(Serialize)]
struct ChangedContext<'e> {
    #[serde(rename = "ref")]
    entry: LinkContext<'e>,
    is_new: bool,
}

/// Entries by the day of their last change, the latest first.
pub(super) fn changes(edition: &Edition<'_>) -> Result<(), PageFault> {
    let former = FormerLeaves::of(edition, "changes.html".to_owned());
    if former.is_whole() {
        return Ok(());
    }
    let mut days: BTreeMap<Date, Vec<(EntryRef, bool)>> = BTreeMap::new();
    for entry in edition.knowledge.entries() {
        let Some(head) = edition.knowledge.head(entry) else { continue };
        if let Some(day) = head.modified.or(head.created) {
            days.entry(day).or_default().push((entry, head.created.is_none_or(|created| created == day)));
        }
    }
    let days: Vec<(Date, Vec<(EntryRef, bool)>)> = days.into_iter().rev().collect();
    let sizes: Vec<usize> = days.iter().map(|(_, items)| items.len()).collect();
    let cut = leaves(&sizes);
    let labels = labels(&cut, |group| days.get(group).map(|(day, _)| edition.date(*day).text));
    let item = |(entry, is_new): &(EntryRef, bool)| ChangedContext {
        entry: edition.shown(*entry, Look::AtRoot),
        is_new: *is_new,
    };
    let day = |part: &Part| {
        let (day, items) = days.get(part.group)?;
        let items = items.get(part.rows.clone())?;
        Some(DayContext { date: edition.date(*day), items: items.iter().map(item).collect() })
    };
    former.make_others(edition, &cut, |number, path, leaf| {
        let leaves = links(&format!("{}changes.html", edition.prefix), number, &labels);
        let context = ChangesContext { days: leaf.iter().filter_map(day).collect(), leaves };
        let page = page(edition, "changes", &path);
        edition.page("changes.html", page, vec![("changes", value(&context))])
    })
}

/// What each leaf begins with.
fn labels(leaves: &[Vec<Part>], title: impl Fn(usize) -> Option<String>) -> Vec<String> {
    leaves.iter().map(|leaf| leaf.first().and_then(|part| title(part.group)).unwrap_or_default()).collect()
}

/// A leaf of the list of reviews.
#[derive(Serialize)]
struct ReviewContext<'e> {
    jumps: Vec<MonthContext<'e>>,
    months: Vec<MonthContext<'e>>,
    leaves: LeavesContext,
}

/// The entries due in one month.
#[derive(Serialize)]
struct MonthContext<'e> {
    id: String,
    title: String,
    count: usize,
    /// Empty for a month of this leaf, else its leaf.
    href: String,
    continued: bool,
    rows: Vec<DueContext<'e>>,
}

#[derive(Serialize)]
struct DueContext<'e> {
    #[serde(rename = "ref")]
    entry: LinkContext<'e>,
    kind: &'static str,
    author: &'e str,
    modified: Option<DateText>,
    review_by: DateText,
}

/// Entries by the month in which they must be read again, the earliest first.
pub(super) fn review(edition: &Edition<'_>) -> Result<(), PageFault> {
    let former = FormerLeaves::of(edition, "review.html".to_owned());
    if former.is_whole() {
        return Ok(());
    }
    let mut months: BTreeMap<(i16, i8), Vec<EntryRef>> = BTreeMap::new();
    for (day, entry) in due(edition) {
        months.entry((day.year(), day.month())).or_default().push(entry);
    }
    let months: Vec<((i16, i8), Vec<EntryRef>)> = months.into_iter().collect();
    let sizes: Vec<usize> = months.iter().map(|(_, entries)| entries.len()).collect();
    let cut = leaves(&sizes);
    let begins = beginnings(&cut, months.len());
    let own = format!("{}review.html", edition.prefix);
    let named = |((year, month), entries): &((i16, i8), Vec<EntryRef>)| MonthContext {
        id: format!("m-{year}-{month:02}"),
        title: format!("{} {year}", edition.word(&format!("month_{month}"))),
        count: entries.len(),
        href: String::new(),
        continued: false,
        rows: Vec::new(),
    };
    let labels = labels(&cut, |group| months.get(group).map(|month| named(month).title));
    former.make_others(edition, &cut, |number, path, leaf| {
        let jump = |(month, begins): (&((i16, i8), Vec<EntryRef>), &usize)| {
            let href = if *begins == number { String::new() } else { leaf_path(&own, *begins) };
            (months.len() <= MOST_JUMPS || *begins == number).then(|| MonthContext { href, ..named(month) })
        };
        let part = |part: &Part| {
            let month = months.get(part.group)?;
            let rows = month.1.get(part.rows.clone())?.iter().filter_map(|entry| due_row(edition, *entry)).collect();
            Some(MonthContext { continued: part.rows.start > 0, rows, ..named(month) })
        };
        let context = ReviewContext {
            jumps: months.iter().zip(&begins).filter_map(jump).collect(),
            months: leaf.iter().filter_map(part).collect(),
            leaves: links(&own, number, &labels),
        };
        let mut page = page(edition, "review", &path);
        page.scripts = vec!["assets/review.js".to_owned()];
        edition.page("review.html", page, vec![("review", value(&context))])
    })
}

fn due_row<'e>(edition: &'e Edition<'_>, entry: EntryRef) -> Option<DueContext<'e>> {
    let head = edition.knowledge.head(entry)?;
    Some(DueContext {
        entry: edition.shown(entry, Look::AtRoot),
        kind: head.kind.word(),
        author: head.author.as_deref().unwrap_or_default(),
        modified: head.modified.map(|date| edition.date(date)),
        review_by: edition.date(head.due?),
    })
}

/// Entries by the day they are due, the earliest first.
fn due(edition: &Edition<'_>) -> Vec<(Date, EntryRef)> {
    let heads = edition.knowledge.entries().filter_map(|entry| Some((edition.knowledge.head(entry)?.due?, entry)));
    let mut rows: Vec<(Date, EntryRef)> = heads.collect();
    rows.sort_unstable();
    rows
}

/// The first entries that are due.
pub(super) fn by_due(edition: &Edition<'_>, most: usize) -> Vec<DatedContext> {
    due(edition).into_iter().take(most).map(|(date, entry)| dated(edition, date, entry)).collect()
}

/// The entries that changed last, the latest first.
pub(super) fn by_modified(edition: &Edition<'_>, most: usize) -> Vec<DatedContext> {
    let heads = edition.knowledge.entries().filter_map(|entry| {
        let head = edition.knowledge.head(entry)?;
        Some((std::cmp::Reverse(head.modified.or(head.created)?), entry))
    });
    let mut rows: Vec<(std::cmp::Reverse<Date>, EntryRef)> = heads.collect();
    rows.sort_unstable();
    rows.into_iter().take(most).map(|(date, entry)| dated(edition, date.0, entry)).collect()
}

fn dated(edition: &Edition<'_>, date: Date, entry: EntryRef) -> DatedContext {
    DatedContext { entry: edition.link(entry).clone(), date: edition.date(date) }
}
