//! What leads to an entry and from it, and what stands alone.

use std::collections::{BTreeMap, BTreeSet};

use super::{EntryRef, Knowledge, Made, at_title, head_of};
use crate::diagnostic::{Mark, MarkId};
use crate::entry::{Entries, Kind, is_id};

/// Fills in `leads_to`, `led_from` and the candidates of symptoms; marks references between entries that have no
/// vehicle in common, and entries that nothing leads to.
pub(super) fn settle(knowledge: &mut Knowledge, entries: &Entries, references: &[Made], marks: &mut Vec<Mark>) {
    let mut to: BTreeMap<EntryRef, BTreeSet<EntryRef>> = BTreeMap::new();
    let mut from: BTreeMap<EntryRef, BTreeSet<EntryRef>> = BTreeMap::new();
    for made in references {
        if let Some(by) = made.by.filter(|by| *by != made.reference.entry) {
            to.entry(by).or_default().insert(made.reference.entry);
            from.entry(made.reference.entry).or_default().insert(by);
        }
        marks.extend(outside_fit(knowledge, made));
    }
    let meant = nearly_named(marks);
    let named: BTreeSet<EntryRef> =
        references.iter().filter(|made| made.by.is_none()).map(|made| made.reference.entry).collect();
    let all: Vec<EntryRef> = knowledge.entries().collect();
    for entry in all {
        let leads_to: Vec<EntryRef> = to.remove(&entry).into_iter().flatten().collect();
        let led_from: Vec<EntryRef> = from.remove(&entry).into_iter().flatten().collect();
        if led_from.is_empty() && !named.contains(&entry) {
            marks.extend(orphan(entries, entry, &leads_to).filter(|_| !meant.contains(id_of(entries, entry))));
        }
        if let Some(head) = knowledge.head_mut(entry) {
            (head.leads_to, head.led_from) = (leads_to, led_from);
        }
    }
    gather_candidates(knowledge);
}

/// What references that lead nowhere probably meant: it is not forgotten, only misspelt, and has its mark there.
fn nearly_named(marks: &[Mark]) -> BTreeSet<String> {
    let dangling = marks.iter().filter(|mark| mark.id == MarkId::DanglingReference);
    dangling.filter_map(|mark| mark.fact("nearest")).map(str::to_owned).collect()
}

fn id_of(entries: &Entries, entry: EntryRef) -> &str {
    head_of(entries, entry).map_or("", |head| &head.id)
}

fn outside_fit(knowledge: &Knowledge, made: &Made) -> Option<Mark> {
    let own = match &made.reference.narrower {
        Some(region) => region,
        None => &knowledge.head(made.by?)?.region,
    };
    let other = knowledge.head(made.reference.entry)?;
    let is_outside = !own.is_empty() && !other.region.is_empty() && !own.meets(&other.region);
    is_outside.then(|| {
        Mark::new(MarkId::ReferenceOutsideFit, made.reference.span)
            .with("found", other.id.clone())
            .with("theirs", knowledge.universe.phrase(&other.region))
            .with("ours", knowledge.universe.phrase(own))
            .see(other.title.span, "the other entry is here")
    })
}

/// Symptoms and guides are where readers begin; a candidate is reached through its symptoms.
fn orphan(entries: &Entries, entry: EntryRef, leads_to: &[EntryRef]) -> Option<Mark> {
    let is_reached = match entry.kind {
        Kind::Symptom | Kind::Guide => true,
        Kind::Condition | Kind::Characteristic => leads_to.iter().any(|other| other.kind == Kind::Symptom),
        Kind::Check | Kind::System => false,
    };
    let head = head_of(entries, entry).filter(|head| is_id(&head.id) && !head.faulty.touches("accounts_for"))?;
    (!is_reached).then(|| at_title(MarkId::OrphanEntry, head).with("kind", entry.kind.word()))
}

fn gather_candidates(knowledge: &mut Knowledge) {
    let mut candidates: BTreeMap<usize, Vec<(EntryRef, usize)>> = BTreeMap::new();
    let conditions = knowledge.conditions.iter().map(|(at, entry)| (EntryRef::from(at), &entry.detail.accounts_for));
    let others = knowledge.characteristics.iter();
    let others = others.map(|(at, entry)| (EntryRef::from(at), &entry.detail.accounts_for));
    for (entry, rows) in conditions.chain(others) {
        for (at, row) in rows.iter().enumerate() {
            candidates.entry(row.symptom.position()).or_default().push((entry, at));
        }
    }
    for (symptom, candidates) in candidates {
        if let Some(symptom) = knowledge.symptoms.at_mut(symptom) {
            symptom.detail.candidates = candidates;
        }
    }
}
