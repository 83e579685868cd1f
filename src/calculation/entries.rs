//! From linked entries to their sheets: which texts hold blocks and claims, and what a specification is for whom.

use std::collections::BTreeMap;
use std::ops::Range;

use indexmap::IndexMap;
use rayon::prelude::*;

use super::specification::{Lookup, SpecificationName, Specifications, VehicleGroup};
use super::{Block, CheckedSheet, ClaimTarget, ProseClaim, check_sheet, quantity, unit};
use crate::diagnostic::Mark;
use crate::entry::{Kind, misnamed_for, nearest};
use crate::knowledge::fit::Region;
use crate::knowledge::{Check, Entry, EntryRef, Knowledge, Specification, System, Target, Text};

/// The sheets of all entries that calculate or quote anything.
#[derive(Clone, Debug, Default)]
pub struct Calculations {
    sheets: BTreeMap<EntryRef, CheckedSheet>,
}

impl Calculations {
    /// The sheet of an entry, if it has a calculation or quotes a value.
    pub fn sheet(&self, entry: EntryRef) -> Option<&CheckedSheet> {
        self.sheets.get(&entry)
    }

    /// All sheets, by kind and id.
    pub fn sheets(&self) -> impl Iterator<Item = (EntryRef, &CheckedSheet)> {
        self.sheets.iter().map(|(entry, sheet)| (*entry, sheet))
    }
}

/// Checks every calculation, every claim in prose, every specification and the unit of every measurement.
pub fn calculate(knowledge: &Knowledge) -> (Calculations, Vec<Mark>) {
    let mut marks = specification_marks(knowledge);
    marks.extend(knowledge.checks.iter().filter_map(|(_, check)| unit_mark(check)));
    let mut sheets = BTreeMap::new();
    let entries: Vec<EntryRef> = knowledge.entries().collect();
    let checked = entries.par_iter().filter_map(|entry| Some((*entry, check_entry(knowledge, *entry)?)));
    for (entry, (sheet, own)) in checked.collect::<Vec<_>>() {
        marks.extend(own);
        sheets.insert(entry, sheet);
    }
    (Calculations { sheets }, marks)
}

/// The sheet of an entry, if it calculates or quotes anything.
fn check_entry(knowledge: &Knowledge, entry: EntryRef) -> Option<(CheckedSheet, Vec<Mark>)> {
    let texts = knowledge.texts(entry);
    let blocks: Vec<Block> = texts.iter().flat_map(|text| text.calculations.iter().cloned()).collect();
    let claims: Vec<ProseClaim> = texts.iter().flat_map(|text| claims(knowledge, text)).collect();
    let head = knowledge.head(entry).filter(|_| !(blocks.is_empty() && claims.is_empty()))?;
    Some(check_sheet(&blocks, &claims, &ForVehicles { knowledge, region: &head.region }))
}

/// Values that are no quantities, each marked where it is written.
fn specification_marks(knowledge: &Knowledge) -> Vec<Mark> {
    let systems: Vec<&Entry<System>> = knowledge.systems.iter().map(|(_, system)| system).collect();
    let values = |system: &&'_ Entry<System>| {
        let rows = system.detail.specifications.iter().flat_map(|row| &row.values);
        rows.filter_map(|(_, text)| quantity(&text.value, text.span).err()).collect::<Vec<Mark>>()
    };
    systems.par_iter().flat_map_iter(values).collect()
}

/// The mark for a measurement whose unit is none.
fn unit_mark(check: &Entry<Check>) -> Option<Mark> {
    let measures = check.detail.measures.as_ref().filter(|_| !check.head.faulty.touches("measures"))?;
    unit(&measures.unit.value, measures.unit.span).err()
}

fn claims<'a>(knowledge: &'a Knowledge, text: &'a Text) -> impl Iterator<Item = ProseClaim> + 'a {
    text.links.iter().filter_map(|link| {
        let target = match &link.target {
            Target::Calculation(name) => ClaimTarget::Result(name.clone()),
            Target::Specification(system, at) => {
                let system = &knowledge.systems[*system];
                let name = system.detail.specifications.get(*at)?.name.value.clone();
                ClaimTarget::Specification(SpecificationName { system: system.head.id.clone(), name })
            }
            _ => return None,
        };
        Some(ProseClaim { target, words: link.words.clone(), is_plain: link.is_plain, span: link.span })
    })
}

/// The specifications as the vehicles of one entry have them.
struct ForVehicles<'a> {
    knowledge: &'a Knowledge,
    region: &'a Region,
}

impl ForVehicles<'_> {
    fn system(&self, id: &str) -> Option<&Entry<System>> {
        let entry = self.knowledge.find(Kind::System, id);
        let found = entry.and_then(|entry| self.knowledge.typed::<System>(entry));
        found.map(|own| &self.knowledge.systems[own]).or_else(|| self.misnamed_system(id))
    }

    /// A system whose file has its mark for not being called `id`.
    fn misnamed_system(&self, id: &str) -> Option<&Entry<System>> {
        let is_meant = |system: &&Entry<System>| misnamed_for(&system.head.id).is_some_and(|meant| meant == id);
        self.knowledge.systems.iter().map(|(_, system)| system).find(is_meant)
    }

    fn specification(&self, name: &SpecificationName) -> Option<&Specification> {
        self.system(&name.system)?.detail.specifications.iter().find(|own| own.name.value == name.name)
    }
}

impl Specifications for ForVehicles<'_> {
    fn look_up(&self, wanted: &SpecificationName) -> Lookup {
        let Some(system) = self.system(&wanted.system) else {
            let known = self.knowledge.systems.iter().map(|(_, system)| system.head.id.as_str());
            return Lookup::NoSystem(nearest(&wanted.system, known));
        };
        let known = || system.detail.specifications.iter().map(|own| own.name.value.as_str());
        if known().any(|name| name == wanted.name) {
            Lookup::Known
        } else {
            Lookup::NoName(nearest(&wanted.name, known()))
        }
    }

    fn groups(&self, names: &[SpecificationName], most: usize) -> Option<Vec<VehicleGroup>> {
        let rows: Vec<Option<&Specification>> = names.iter().map(|name| self.specification(name)).collect();
        // The regions of all values in one list, after that of the entry; where in it each specification's are.
        let mut regions = vec![self.region.clone()];
        let mut places = Vec::new();
        for row in &rows {
            let begin = regions.len();
            regions.extend(row.iter().flat_map(|row| &row.values).map(|(region, _)| region.intersection(self.region)));
            places.push(begin..regions.len());
        }
        let universe = &self.knowledge.universe;
        // One more for the vehicles that the entry does not fit.
        let own = universe.split(&regions, most + 1)?;
        let own = own.into_iter().filter(|(_, members)| members.first() == Some(&0));
        // Atoms with the same values are one group: two rows may state one value.
        let mut groups: IndexMap<Vec<Option<usize>>, Region> = IndexMap::new();
        for (atom, members) in own {
            let values = places.iter().map(|place| first_value(&members, place)).collect();
            groups.entry(values).and_modify(|region| *region = region.union(&atom)).or_insert(atom);
        }
        let value = |(row, at): (&Option<&Specification>, Option<usize>)| Some((*row)?.values.get(at?)?.1.clone());
        let worded = groups.into_iter().map(|(values, region)| VehicleGroup {
            vehicles: universe.phrase(&region),
            values: rows.iter().zip(values).map(value).collect(),
        });
        Some(worded.collect())
    }
}

/// The first value of a specification whose region is a member, where its values stand at `place` in the list.
fn first_value(members: &[usize], place: &Range<usize>) -> Option<usize> {
    let at = members.get(members.partition_point(|&member| member < place.start))?;
    at.checked_sub(place.start).filter(|_| place.contains(at))
}
