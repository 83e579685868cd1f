//! What leads to an entry and from it, and what stands alone.

use std::collections::{BTreeMap, BTreeSet};

use rayon::prelude::*;

use super::{EntryRef, Knowledge, Made, at_title, head_of};
use crate::diagnostic::{FileId, Mark, MarkId};
use crate::entry::{self, Entries, Kind, is_id};

/// Fills in `leads_to`, `led_from` and the candidates of symptoms; marks references between entries that have no
/// vehicle in common, and entries that nothing leads to.
pub(super) fn settle(knowledge: &mut Knowledge, entries: &Entries, references: &[Made], marks: &mut Vec<Mark>) {
    let pair = |made: &Made| Some((made.by.filter(|by| *by != made.reference.entry)?, made.reference.entry));
    let pairs: Vec<(EntryRef, EntryRef)> = references.iter().filter_map(pair).collect();
    let turned = pairs.iter().map(|(by, to)| (*to, *by)).collect();
    let (to, from) = rayon::join(|| Neighbours::new(pairs), || Neighbours::new(turned));
    let outside: Vec<Mark> = references.par_iter().filter_map(|made| outside_fit(knowledge, made)).collect();
    marks.extend(outside);
    let named: BTreeSet<EntryRef> =
        references.iter().filter(|made| made.by.is_none()).map(|made| made.reference.entry).collect();
    let unsure = Unsure::new(entries, marks);
    let all: Vec<EntryRef> = knowledge.entries().collect();
    for entry in all {
        let (leads_to, led_from) = (to.of(entry), from.of(entry));
        if led_from.is_empty() && !named.contains(&entry) {
            marks.extend(orphan(entries, entry, &leads_to).filter(|_| !unsure.may_mean(entries, entry)));
        }
        if let Some(head) = knowledge.head_mut(entry) {
            (head.leads_to, head.led_from) = (leads_to, led_from);
        }
    }
    gather_candidates(knowledge);
}

/// Which entries go with which: pairs in order, each once.
struct Neighbours(Vec<(EntryRef, EntryRef)>);

impl Neighbours {
    fn new(mut pairs: Vec<(EntryRef, EntryRef)>) -> Self {
        pairs.sort_unstable();
        pairs.dedup();
        Self(pairs)
    }

    /// The entries that go with one, in order.
    fn of(&self, entry: EntryRef) -> Vec<EntryRef> {
        let begin = self.0.partition_point(|(first, _)| *first < entry);
        let own = self.0.iter().skip(begin).take_while(|(first, _)| *first == entry);
        own.map(|(_, other)| *other).collect()
    }
}

/// What some reference may have meant that leads nowhere or could not be read. Such an entry is not called an orphan:
/// that may follow from the other fault.
#[derive(Default)]
struct Unsure {
    ids: BTreeSet<String>,
    kinds: BTreeSet<Kind>,
    /// Files whose candidates are tied to no symptom because its name leads nowhere.
    files: BTreeSet<FileId>,
}

impl Unsure {
    fn new(entries: &Entries, marks: &[Mark]) -> Self {
        let mut unsure = Self::default();
        for mark in marks {
            let (wanted, meant) = match mark.id {
                MarkId::DanglingReference => (mark.fact("what"), mark.fact("nearest")),
                MarkId::WrongKind => (mark.fact("expected"), None),
                _ => continue,
            };
            let wanted = wanted.and_then(Kind::by_word);
            unsure.ids.extend(meant.or(mark.fact("found")).map(id_in).map(str::to_owned));
            unsure.kinds.extend(wanted.filter(|_| meant.is_none()));
            unsure.files.extend(wanted.filter(|kind| *kind == Kind::Symptom).map(|_| mark.span.file));
        }
        let mut heads = Kind::ALL.into_iter().flat_map(|kind| entries.heads(kind));
        if heads.any(|head| entry::referring(head.kind).any(|field| head.faulty.touches(field))) {
            unsure.kinds.extend(Kind::ALL);
        }
        unsure
    }

    fn may_mean(&self, entries: &Entries, entry: EntryRef) -> bool {
        let Some(head) = head_of(entries, entry) else { return true };
        let is_candidate = matches!(entry.kind, Kind::Condition | Kind::Characteristic);
        let is_untied = is_candidate && self.files.contains(&head.file);
        is_untied || self.kinds.contains(&entry.kind) || self.ids.contains(&head.id)
    }
}

/// The id in a bare id or in a path.
fn id_in(name: &str) -> &str {
    let file = name.rsplit('/').next().unwrap_or(name);
    file.strip_suffix(".md").unwrap_or(file)
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
