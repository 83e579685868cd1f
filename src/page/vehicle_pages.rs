//! The pages of vehicle lines: what fits each of them.

use rayon::prelude::*;
use serde::Serialize;

use super::context::{LinkContext, PageContext, RefContext};
use super::edition::{Edition, value};
use super::entry_page::placed;
use super::html::Html;
use super::leaves::{FormerLeaves, Part, beginning, leaves, links};
use super::link::Look;
use super::site::PageFault;
use crate::entry::{Kind, Line, VehicleOption};
use crate::knowledge::EntryRef;
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
    refs: &'g [Fitting<'g>],
}

/// The entries of a kind that fit a line.
struct Fittings<'e> {
    kind: Kind,
    entries: Vec<Fitting<'e>>,
}

/// An entry that fits a line, for the part of it that it fits.
#[derive(Serialize)]
#[serde(transparent)]
struct Fitting<'e> {
    entry: LinkContext<'e>,
    #[serde(skip)]
    title: &'e str,
}

#[derive(Serialize)]
struct OptionContext {
    name: String,
    values: Vec<String>,
}

#[derive(Serialize)]
struct ChangeContext<'e> {
    from: String,
    #[serde(rename = "ref")]
    entry: LinkContext<'e>,
    #[serde(skip)]
    id: &'e str,
    text_html: Html<'e>,
}

/// A page for each line, and the page that lists them.
pub(super) fn vehicles(edition: &Edition<'_>) -> Result<(), PageFault> {
    let lines = &edition.knowledge.universe.vehicles().lines;
    let path = "vehicles/index.html";
    let is_listed = edition.stands_in_its_circumstances(path, None);
    let mut contexts = Vec::new();
    for (at, line) in lines.iter().enumerate() {
        let former = FormerLeaves::of(edition, format!("vehicles/{}.html", line.id));
        if is_listed && former.is_whole() {
            continue;
        }
        let (context, groups) = vehicle(edition, at, line);
        if !former.is_whole() {
            line_pages(edition, &context, &groups, &changes(edition, at, line), &former)?;
        }
        contexts.push(context);
    }
    if is_listed {
        return Ok(());
    }
    let page = PageContext {
        kind: "vehicles",
        section: "vehicle",
        title: edition.word("vehicles").to_owned(),
        path: path.to_owned(),
        ..PageContext::default()
    };
    edition.page("vehicles.html", page, vec![("vehicles", value(&contexts))])
}

/// The leaves of one line: what changed by model year, then what fits.
fn line_pages(
    edition: &Edition<'_>,
    context: &VehicleContext,
    groups: &[Fittings<'_>],
    changes: &[ChangeContext<'_>],
    former: &FormerLeaves,
) -> Result<(), PageFault> {
    let sizes = [changes.len()].into_iter().chain(groups.iter().map(|group| group.entries.len()));
    let cut = leaves(&sizes.collect::<Vec<_>>());
    let group = |part: &Part| groups.get(part.group.checked_sub(1)?);
    let label = |leaf: &Vec<Part>| {
        let part = leaf.first()?;
        let year = || changes.get(part.rows.start).map(|change| change.from.clone());
        group(part).map_or_else(year, |group| Some(beginning(group.entries.get(part.rows.start)?.title)))
    };
    let labels: Vec<String> = cut.iter().map(|leaf| label(leaf).unwrap_or_default()).collect();
    let changed = |leaf: &[Part]| {
        let part = leaf.iter().find(|part| part.group == 0)?;
        changes.get(part.rows.clone())
    };
    let part = |part: &Part| {
        let group = group(part)?;
        let (continued, refs) = (part.rows.start > 0, group.entries.get(part.rows.clone())?);
        let (kind, label_key) = (group.kind.word(), group.kind.folder());
        Some(KindPart { kind, label_key, count: group.entries.len(), continued, refs })
    };
    former.make_others(edition, &cut, |number, path, leaf| {
        let page = PageContext {
            kind: "vehicle",
            section: "vehicle",
            title: context.name.clone(),
            path,
            ..PageContext::default()
        };
        let parts: Vec<KindPart<'_>> = leaf.iter().filter_map(part).collect();
        let (changed, links) = (changed(leaf).unwrap_or_default(), links(&context.href, number, &labels));
        let rest = vec![
            ("vehicle", value(context)),
            ("changes", value(&changed)),
            ("groups", value(&parts)),
            ("leaves", value(&links)),
        ];
        edition.page("vehicle.html", page, rest)
    })
}

fn vehicle<'e>(edition: &'e Edition<'_>, at: usize, line: &Line) -> (VehicleContext, Vec<Fittings<'e>>) {
    let universe = &edition.knowledge.universe;
    let whole = universe.select(&Selection { line: at, ..Selection::default() });
    let groups = fitting(edition, &whole);
    let context = VehicleContext {
        id: line.id.clone(),
        name: line.name.clone(),
        href: format!("{}vehicles/{}.html", edition.prefix, line.id),
        years_text: format!("{}–{}", line.first_year, line.last_year),
        count: groups.iter().map(|group| group.entries.len()).sum(),
        options: line.options.iter().map(option).collect(),
    };
    (context, groups)
}

fn option(option: &VehicleOption) -> OptionContext {
    let words = option.values.iter().map(|value| value.words.clone().unwrap_or_else(|| value.id.replace('-', " ")));
    OptionContext { name: option.id.replace('-', " "), values: words.collect() }
}

/// Entries that fit a vehicle of the line, by kind. What they fit beyond the line does not matter here.
fn fitting<'e>(edition: &'e Edition<'_>, line: &Region) -> Vec<Fittings<'e>> {
    let knowledge = edition.knowledge;
    let fitting = |entry: &EntryRef| {
        let part = knowledge.head(*entry)?.region.intersection(line);
        let fits = || if part == *line { String::new() } else { knowledge.universe.phrase(&part) };
        (!part.is_empty()).then(|| for_a_part(edition, *entry, fits()))
    };
    let entries: Vec<EntryRef> = knowledge.entries().collect();
    let of_kind = |kind: Kind| {
        let entries = entries.par_iter().filter(|entry| entry.kind == kind).filter_map(fitting);
        Fittings { kind, entries: entries.collect() }
    };
    let kinds = Kind::ALL.into_iter().filter(|kind| *kind != Kind::Guide).map(of_kind);
    kinds.filter(|group| !group.entries.is_empty()).collect()
}

/// The link to an entry, for the vehicles of a line alone.
fn for_a_part<'e>(edition: &'e Edition<'_>, entry: EntryRef, fits: String) -> Fitting<'e> {
    let known = edition.link(entry);
    let link = if known.fits == fits {
        edition.shown(entry, Look::Plain)
    } else {
        LinkContext::Told(RefContext { fits, ..known.clone() })
    };
    Fitting { entry: link, title: &known.title }
}

fn changes<'e>(edition: &'e Edition<'_>, at: usize, line: &Line) -> Vec<ChangeContext<'e>> {
    let path = format!("{}vehicles/{}.html", edition.prefix, line.id);
    let mut found = Vec::new();
    for (system, known) in edition.knowledge.systems.iter() {
        for change in known.detail.changes.iter().filter(|change| change.line == at) {
            let prefix = format!("{}-", known.head.id);
            let text_html = Html::of(edition, Some(&change.text), placed(&known.head, &path, &prefix));
            let (from, entry) = (change.from.to_string(), edition.shown(system, Look::Marked));
            found.push(ChangeContext { from, entry, id: &known.head.id, text_html });
        }
    }
    found.sort_by(|a, b| b.from.cmp(&a.from).then_with(|| a.id.cmp(b.id)));
    found
}
