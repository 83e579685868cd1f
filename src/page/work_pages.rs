//! The pages of checks and systems.

use serde::Serialize;

use super::context::GroupContext;
use super::edition::{Edition, value};
use super::entry_page::{entry_value, own_path, page, placed};
use super::evidence::{SeparatesContext, separates, shown_beside};
use super::html::Html;
use super::link::Look;
use super::numbers::{minutes_text, with_signs};
use super::site::PageFault;
use crate::calculation::{UnitSystem, in_systems, intervals_in_system};
use crate::entry::Kind;
use crate::knowledge::fit::{Selection, Universe};
use crate::knowledge::{Change, Check, EntryRef, Head, Ref, Specification, System};

#[derive(Serialize)]
struct CheckContext<'e> {
    ask: String,
    #[serde(rename = "where")]
    place: &'static str,
    minutes_text: String,
    no_hazard: bool,
    tools: Vec<String>,
    answers: Vec<AnswerContext>,
    measures: Option<MeasuresContext>,
    bands: Vec<BandContext>,
    separates: Vec<SeparatesContext<'e>>,
}

#[derive(Serialize)]
struct AnswerContext {
    id: String,
    text: String,
}

#[derive(Serialize)]
struct MeasuresContext {
    quantity: String,
    from_text: String,
    to_text: String,
    other_text: String,
}

#[derive(Serialize)]
struct BandContext {
    id: String,
    text: String,
    other_text: String,
    label: String,
}

/// The page of a check.
pub(super) fn check(edition: &Edition<'_>, head: &Head, at: Ref<Check>, check: &Check) -> Result<(), PageFault> {
    let unit = check.measures.as_ref().map(|measures| measures.unit.value.as_str());
    let worded = check.answers.iter().filter(|answer| answer.band.is_none());
    let bands = check.answers.iter().filter(|answer| answer.band.is_some());
    let (other, none) = (Other::of(edition, check), String::new());
    let context = CheckContext {
        ask: edition.customer_text(&check.ask).to_owned(),
        place: check.place.word(),
        minutes_text: minutes_text(check.minutes, edition.words),
        no_hazard: check.hazards.is_empty() && check.place != crate::entry::Place::Counter,
        tools: check.tools.clone(),
        answers: worded
            .map(|answer| AnswerContext { id: answer.id.value.clone(), text: edition.answer_text(answer, None) })
            .collect(),
        measures: check.measures.as_ref().map(|measures| MeasuresContext {
            quantity: measures.quantity.clone(),
            from_text: format!("{} {}", measures.from.value, measures.unit.value),
            to_text: format!("{} {}", measures.to.value, measures.unit.value),
            other_text: other.range.join(&format!(" {} ", edition.word("to"))),
        }),
        bands: bands
            .zip(other.bands.iter().chain(std::iter::repeat(&none)))
            .map(|(band, other)| BandContext {
                id: band.id.value.clone(),
                text: edition.answer_text(band, unit),
                other_text: with_signs(other).into_owned(),
                label: band.id.value.replace('-', " "),
            })
            .collect(),
        separates: separates(edition, at),
    };
    let hazards = check.hazards.iter().collect();
    edition.page(
        "check.html",
        page(edition, head),
        vec![entry_value(edition, head, hazards, shown_beside(edition.knowledge, at)), ("check", value(&context))],
    )
}

/// A measurement in the shop's other system of units: the ends of its range, and its bands. Readings keep the unit of their
/// bands first, whichever system the shop puts first: it is that of the instrument.
#[derive(Default)]
struct Other {
    range: Vec<String>,
    bands: Vec<String>,
}

impl Other {
    fn of(edition: &Edition<'_>, check: &Check) -> Self {
        let Some(measures) = &check.measures else { return Self::default() };
        let bands = check.answers.iter().filter_map(|answer| Some(answer.band.as_ref()?.value.as_str()));
        let range = [measures.from.value.as_str(), measures.to.value.as_str()];
        let texts: Vec<&str> = range.into_iter().chain(bands).collect();
        let systems = systems(edition);
        let systems = systems.iter().filter(|_| systems.len() > 1);
        let found = systems.filter_map(|system| intervals_in_system(&texts, &measures.unit.value, *system)).next();
        let mut range = found.unwrap_or_default();
        let bands = range.split_off(range.len().min(2));
        Self { range, bands }
    }
}

/// The shop's systems of units, in its order.
fn systems(edition: &Edition<'_>) -> Vec<UnitSystem> {
    edition.knowledge.shop.units.iter().filter_map(|word| UnitSystem::by_word(word)).collect()
}

#[derive(Serialize)]
struct SystemContext<'e> {
    specifications: Vec<SpecificationContext>,
    changes: Vec<ChangeContext<'e>>,
    groups: Vec<GroupContext<'e>>,
}

#[derive(Serialize)]
struct SpecificationContext {
    id: String,
    name: String,
    rows: Vec<ValueContext>,
}

#[derive(Serialize)]
struct ValueContext {
    fits: String,
    boxes: String,
    value: String,
    other_value: String,
}

#[derive(Serialize)]
struct ChangeContext<'e> {
    from: String,
    line: String,
    boxes: String,
    text_html: Html<'e>,
}

/// The page of a system.
pub(super) fn system(edition: &Edition<'_>, head: &Head, at: Ref<System>, system: &System) -> Result<(), PageFault> {
    let members = members(edition, head, at);
    let checks = members.iter().flat_map(|(_, entries)| entries).filter_map(|entry| edition.knowledge.typed(*entry));
    let hazards = checks.flat_map(|check: Ref<Check>| &edition.knowledge.checks[check].detail.hazards).collect();
    let shown = members.iter().flat_map(|(_, entries)| entries).copied().collect();
    let context = SystemContext {
        specifications: system.specifications.iter().map(|row| specification(edition, row)).collect(),
        changes: system.changes.iter().map(|row| change(edition, head, row)).collect(),
        groups: members.into_iter().map(|(kind, entries)| group(edition, kind, entries)).collect(),
    };
    edition.page(
        "system.html",
        page(edition, head),
        vec![entry_value(edition, head, hazards, shown), ("system", value(&context))],
    )
}

fn specification(edition: &Edition<'_>, row: &Specification) -> SpecificationContext {
    let systems = systems(edition);
    let values = row.values.iter().map(|(region, written)| {
        let (value, other) = in_systems(&written.value, &systems);
        let other_value = other.unwrap_or_default();
        ValueContext { fits: edition.fits(region), boxes: edition.boxes(region), value, other_value }
    });
    let name = row.name.value.replace('-', " ");
    SpecificationContext { id: row.name.value.clone(), name, rows: values.collect() }
}

fn change<'e>(edition: &'e Edition<'_>, head: &Head, change: &'e Change) -> ChangeContext<'e> {
    let universe = &edition.knowledge.universe;
    let own_path = own_path(edition, head);
    let prefix = format!("change-{}-", change.from);
    ChangeContext {
        from: change.from.to_string(),
        line: universe.vehicles().lines.get(change.line).map(|line| line.name.clone()).unwrap_or_default(),
        boxes: edition.boxes(&from_year(universe, change)),
        text_html: Html::of(edition, Some(&change.text), placed(head, &own_path, &prefix)),
    }
}

fn from_year(universe: &Universe, change: &Change) -> crate::knowledge::fit::Region {
    let years = vec![crate::entry::YearRange { first: Some(change.from), last: None }];
    universe.select(&Selection { line: change.line, years: Some(years), ..Selection::default() })
}

/// The entries that belong to a system, by kind.
fn members(edition: &Edition<'_>, system: &Head, at: Ref<System>) -> Vec<(Kind, Vec<EntryRef>)> {
    let is_member = |entry: &EntryRef| edition.knowledge.head(*entry).is_some_and(|head| head.systems.contains(&at));
    let members: Vec<EntryRef> = system.led_from.iter().copied().filter(is_member).collect();
    let of_kind = |kind: Kind| (kind, members.iter().copied().filter(|entry| entry.kind == kind).collect());
    Kind::ALL.into_iter().map(of_kind).filter(|(_, entries): &(Kind, Vec<EntryRef>)| !entries.is_empty()).collect()
}

fn group<'e>(edition: &'e Edition<'_>, kind: Kind, entries: Vec<EntryRef>) -> GroupContext<'e> {
    GroupContext { kind: kind.word(), label_key: kind.folder(), refs: edition.links(entries, Look::Marked) }
}
