//! From linked entries to their sheets: which texts hold blocks and claims, and what a specification is for whom.

use std::collections::BTreeMap;

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

    fn groups(&self, names: &[SpecificationName]) -> Vec<VehicleGroup> {
        let rows: Vec<Option<&Specification>> = names.iter().map(|name| self.specification(name)).collect();
        let mut regions = vec![self.region.clone()];
        regions.extend(rows.iter().flatten().flat_map(|row| row.values.iter().map(|(region, _)| region.clone())));
        let universe = &self.knowledge.universe;
        let own = universe.split(&regions).into_iter().filter(|(_, members)| members.first() == Some(&true));
        // Atoms with the same values are one group: two rows may state one value.
        let mut groups: Vec<(Region, Vec<Option<crate::diagnostic::Spanned<String>>>)> = Vec::new();
        for (atom, _) in own {
            let values: Vec<_> = rows.iter().map(|row| row.and_then(|row| value_for(row, &atom))).collect();
            match groups.iter_mut().find(|(_, known)| *known == values) {
                Some((region, _)) => *region = region.union(&atom),
                None => groups.push((atom, values)),
            }
        }
        let worded =
            groups.into_iter().map(|(region, values)| VehicleGroup { vehicles: universe.phrase(&region), values });
        worded.collect()
    }
}

fn value_for(row: &Specification, atom: &Region) -> Option<crate::diagnostic::Spanned<String>> {
    row.values.iter().find(|(region, _)| atom.is_subset(region)).map(|(_, text)| text.clone())
}
