//! The pages of vehicle lines: what fits each of them.

use rayon::prelude::*;
use serde::Serialize;

use super::context::{GroupContext, PageContext, RefContext};
use super::edition::{Edition, value};
use super::entry_page::placed;
use super::leaves::{Part, beginning, leaf_path, leaves, links};
use super::site::PageFault;
use super::work_pages::by_kind;
use crate::entry::{Kind, Line, VehicleOption};
use crate::knowledge::fit::{Region, Selection};

#[derive(Serialize)]
struct VehicleContext {
    id: String,
    name: String,
    href: String,
    years_text: String,
    count: usize,
    options: Vec<OptionContext>,
}

/// What a leaf of a line's list shows of a kind.
#[derive(Serialize)]
struct KindPart<'g> {
    kind: &'static str,
    label_key: &'static str,
    count: usize,
    continued: bool,
    refs: &'g [RefContext],
}

#[derive(Serialize)]
struct OptionContext {
    name: String,
    values: Vec<String>,
}

#[derive(Serialize)]
struct ChangeContext {
    from: String,
    #[serde(rename = "ref")]
    entry: RefContext,
    text_html: String,
}

/// A page for each line, and the page that lists them.
pub(super) fn vehicles(edition: &Edition<'_>) -> Result<(), PageFault> {
    let lines = &edition.knowledge.universe.vehicles().lines;
    let mut contexts = Vec::new();
    for (at, line) in lines.iter().enumerate() {
        let (context, groups) = vehicle(edition, at, line);
        line_pages(edition, &context, &groups, &changes(edition, at, line))?;
        contexts.push(context);
    }
    let page = PageContext {
        kind: "vehicles",
        section: "vehicle",
        title: edition.word("vehicles").to_owned(),
        path: "vehicles/index.html".to_owned(),
        ..PageContext::default()
    };
    edition.page("vehicles.html", page, vec![("vehicles", value(&contexts))])
}

/// The leaves of one line: what changed by model year, then what fits.
fn line_pages(
    edition: &Edition<'_>,
    context: &VehicleContext,
    groups: &[GroupContext],
    changes: &[ChangeContext],
) -> Result<(), PageFault> {
    let sizes = [changes.len()].into_iter().chain(groups.iter().map(|group| group.refs.len()));
    let cut = leaves(&sizes.collect::<Vec<_>>());
    let group = |part: &Part| groups.get(part.group.checked_sub(1)?);
    let label = |leaf: &Vec<Part>| {
        let part = leaf.first()?;
        let year = || changes.get(part.rows.start).map(|change| change.from.clone());
        group(part).map_or_else(year, |group| Some(beginning(&group.refs.get(part.rows.start)?.title)))
    };
    let labels: Vec<String> = cut.iter().map(|leaf| label(leaf).unwrap_or_default()).collect();
    let changed = |leaf: &[Part]| {
        let part = leaf.iter().find(|part| part.group == 0)?;
        changes.get(part.rows.clone())
    };
    let part = |part: &Part| {
        let group = group(part)?;
        let (continued, refs) = (part.rows.start > 0, group.refs.get(part.rows.clone())?);
        let GroupContext { kind, label_key, .. } = group;
        Some(KindPart { kind, label_key, count: group.refs.len(), continued, refs })
    };
    cut.par_iter().enumerate().try_for_each(|(at, leaf)| {
        let page = PageContext {
            kind: "vehicle",
            section: "vehicle",
            title: context.name.clone(),
            path: leaf_path(&format!("vehicles/{}.html", context.id), at + 1),
            ..PageContext::default()
        };
        let parts: Vec<KindPart<'_>> = leaf.iter().filter_map(part).collect();
        let (changed, links) = (changed(leaf).unwrap_or_default(), links(&context.href, at + 1, &labels));
        let rest = vec![
            ("vehicle", value(context)),
            ("changes", value(&changed)),
            ("groups", value(&parts)),
            ("leaves", value(&links)),
        ];
        edition.page("vehicle.html", page, rest)
    })
}

fn vehicle(edition: &Edition<'_>, at: usize, line: &Line) -> (VehicleContext, Vec<GroupContext>) {
    let universe = &edition.knowledge.universe;
    let whole = universe.select(&Selection { line: at, ..Selection::default() });
    let refs = fitting(edition, &whole);
    let context = VehicleContext {
        id: line.id.clone(),
        name: line.name.clone(),
        href: format!("{}vehicles/{}.html", edition.prefix, line.id),
        years_text: format!("{}–{}", line.first_year, line.last_year),
        count: refs.len(),
        options: line.options.iter().map(option).collect(),
    };
    (context, by_kind(refs))
}

fn option(option: &VehicleOption) -> OptionContext {
    let words = option.values.iter().map(|value| value.words.clone().unwrap_or_else(|| value.id.replace('-', " ")));
    OptionContext { name: option.id.replace('-', " "), values: words.collect() }
}

/// Entries that fit a vehicle of the line. What they fit beyond the line does not matter here.
fn fitting(edition: &Edition<'_>, line: &Region) -> Vec<RefContext> {
    let knowledge = edition.knowledge;
    let all = knowledge.entries().filter(|entry| entry.kind != Kind::Guide);
    let fitting = all.filter_map(|entry| {
        let part = knowledge.head(entry)?.region.intersection(line);
        (!part.is_empty()).then(|| {
            let fits = if part == *line { String::new() } else { knowledge.universe.phrase(&part) };
            RefContext { fits, ..edition.link(entry) }
        })
    });
    fitting.collect()
}

fn changes(edition: &Edition<'_>, at: usize, line: &Line) -> Vec<ChangeContext> {
    let path = format!("{}vehicles/{}.html", edition.prefix, line.id);
    let mut found = Vec::new();
    for (system, entry) in edition.knowledge.systems.iter() {
        for change in entry.detail.changes.iter().filter(|change| change.line == at) {
            let prefix = format!("{}-", entry.head.id);
            let text_html = edition.html(&change.text, &placed(&entry.head, &path, &prefix));
            found.push(ChangeContext { from: change.from.to_string(), entry: edition.link(system), text_html });
        }
    }
    found.sort_by(|a, b| b.from.cmp(&a.from).then_with(|| a.entry.id.cmp(&b.entry.id)));
    found
}
