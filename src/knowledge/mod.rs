//! Entries linked to each other.
//!
//! In: entries as meant, and the paths of the pictures. Out: [`Knowledge`], in which every reference leads to an entry
//! that exists and every `fits` is a set of vehicles; a mark for everything that leads nowhere, contradicts itself or
//! wants an editor. Never: evaluates a calculation, decides anything about a symptom, reads or writes a file.

pub mod fit;

mod editorial;
mod link_detail;
mod linking;
mod model;
mod names;
mod pictures;
mod reading;
mod regions;
mod replacement;
mod shelf;
mod surroundings;

use std::collections::{BTreeMap, BTreeSet};

pub use model::{
    AccountsFor, Answer, AnswersOf, Change, Characteristic, Check, Condition, CustomerText, Entry, Evidence, Flow,
    Guide, Head, Link, Measurement, Specification, Step, Symptom, System, Target, Telling, Term, Text,
};
pub use reading::{Counts, grade, reading_grade};
pub use shelf::{EntryRef, OfKind, Ref, Shelf};

use crate::diagnostic::{Digest, Mark, MarkId, said};
use crate::entry::{self, Entries, HAZARD_CLASSES, HazardClass, Kind, Likelihood, Shop};
use crate::source::{Folder, Memo};
use fit::{Region, Universe};
use jiff::civil::Date;
use link_detail::LinkDetail;
use linking::{Linking, Reference};
use names::Names;
use rayon::prelude::*;

/// Everything the shop knows, linked.
#[derive(Clone, Debug)]
pub struct Knowledge {
    /// The shop.
    pub shop: Shop,
    /// Its vehicles.
    pub universe: Universe,
    /// Trade terms, in the order of the alphabet.
    pub terms: Vec<Term>,
    /// Hazard classes by id.
    pub hazard_classes: BTreeMap<String, HazardClass>,
    /// Symptoms.
    pub symptoms: Shelf<Symptom>,
    /// Conditions.
    pub conditions: Shelf<Condition>,
    /// Characteristics.
    pub characteristics: Shelf<Characteristic>,
    /// Checks.
    pub checks: Shelf<Check>,
    /// Systems.
    pub systems: Shelf<System>,
    /// Guides.
    pub guides: Shelf<Guide>,
    /// Paths of the pictures that texts show, inside the folder of entries.
    pub pictures: BTreeSet<String>,
    /// A name for all of this but what the texts of entries say beside leading to others. Of an entry that leads to its own
    /// calculations from above its text, these count too.
    pub print: Digest,
}

impl Knowledge {
    /// The head of an entry of any kind.
    pub fn head(&self, entry: EntryRef) -> Option<&Head> {
        let at = entry.position();
        match entry.kind {
            Kind::Symptom => self.symptoms.at(at).map(|entry| &entry.head),
            Kind::Condition => self.conditions.at(at).map(|entry| &entry.head),
            Kind::Characteristic => self.characteristics.at(at).map(|entry| &entry.head),
            Kind::Check => self.checks.at(at).map(|entry| &entry.head),
            Kind::System => self.systems.at(at).map(|entry| &entry.head),
            Kind::Guide => self.guides.at(at).map(|entry| &entry.head),
        }
    }

    fn head_mut(&mut self, entry: EntryRef) -> Option<&mut Head> {
        let at = entry.position();
        match entry.kind {
            Kind::Symptom => self.symptoms.at_mut(at).map(|entry| &mut entry.head),
            Kind::Condition => self.conditions.at_mut(at).map(|entry| &mut entry.head),
            Kind::Characteristic => self.characteristics.at_mut(at).map(|entry| &mut entry.head),
            Kind::Check => self.checks.at_mut(at).map(|entry| &mut entry.head),
            Kind::System => self.systems.at_mut(at).map(|entry| &mut entry.head),
            Kind::Guide => self.guides.at_mut(at).map(|entry| &mut entry.head),
        }
    }

    /// References to every entry, by kind and id.
    pub fn entries(&self) -> impl Iterator<Item = EntryRef> + '_ {
        Kind::ALL.into_iter().flat_map(|kind| (0..self.count(kind)).map(move |at| EntryRef::new(kind, at)))
    }

    /// How many entries of a kind there are.
    pub fn count(&self, kind: Kind) -> usize {
        match kind {
            Kind::Symptom => self.symptoms.len(),
            Kind::Condition => self.conditions.len(),
            Kind::Characteristic => self.characteristics.len(),
            Kind::Check => self.checks.len(),
            Kind::System => self.systems.len(),
            Kind::Guide => self.guides.len(),
        }
    }

    /// The entry of that kind and id; the entries of a kind are in the order of ids.
    pub fn find(&self, kind: Kind, id: &str) -> Option<EntryRef> {
        let (mut low, mut high) = (0, self.count(kind));
        while low < high {
            let middle = low.midpoint(high);
            let entry = EntryRef::new(kind, middle);
            match self.head(entry)?.id.as_str().cmp(id) {
                std::cmp::Ordering::Equal => return Some(entry),
                std::cmp::Ordering::Less => low = middle + 1,
                std::cmp::Ordering::Greater => high = middle,
            }
        }
        None
    }

    /// Every text of an entry, the body first.
    pub fn texts(&self, entry: EntryRef) -> Vec<&Text> {
        let of_condition = |at: Ref<Condition>| self.conditions[at].detail.remedy.iter().collect();
        let of_characteristic = |at: Ref<Characteristic>| {
            let detail = &self.characteristics[at].detail;
            let told = detail.tell.iter().flat_map(|(_, telling)| [&telling.brief, &telling.plain, &telling.full]);
            told.chain(&detail.because).chain(&detail.show).chain(&detail.leave_alone).collect()
        };
        let of_system = |at: Ref<System>| self.systems[at].detail.changes.iter().map(|change| &change.text).collect();
        let own: Option<Vec<&Text>> = match entry.kind {
            Kind::Condition => self.typed(entry).map(of_condition),
            Kind::Characteristic => self.typed(entry).map(of_characteristic),
            Kind::System => self.typed(entry).map(of_system),
            Kind::Symptom | Kind::Check | Kind::Guide => None,
        };
        self.head(entry).map(|head| &head.body).into_iter().chain(own.into_iter().flatten()).collect()
    }

    /// The symptoms that an entry can cause; none for an entry that is no candidate.
    pub fn accounts_for(&self, entry: EntryRef) -> &[AccountsFor] {
        match entry.kind {
            Kind::Condition => self.conditions.at(entry.position()).map(|entry| entry.detail.accounts_for.as_slice()),
            Kind::Characteristic => {
                self.characteristics.at(entry.position()).map(|entry| entry.detail.accounts_for.as_slice())
            }
            Kind::Symptom | Kind::Check | Kind::System | Kind::Guide => None,
        }
        .unwrap_or_default()
    }

    /// The number of a likelihood; `None` for a word that the shop has no number for, so that the answer counts as one of
    /// which nothing was written.
    pub fn chance(&self, likelihood: &Likelihood) -> Option<f64> {
        match likelihood {
            Likelihood::Number(number) => Some(*number),
            Likelihood::Word(word) => {
                self.shop.likelihoods.iter().find(|(known, _)| known == word).map(|(_, number)| *number)
            }
        }
    }

    /// The reference as one to an entry of a kind, if it is of that kind.
    pub fn typed<D: OfKind>(&self, entry: EntryRef) -> Option<Ref<D>> {
        (entry.kind == D::KIND && entry.position() < self.count(D::KIND)).then(|| Ref::new(entry.position()))
    }
}

/// Links everything. `today` is the day against which review dates are held; `None` leaves `review-overdue` out.
pub fn link(entries: &Entries, folder: &Folder, today: Option<Date>) -> (Knowledge, Vec<Mark>) {
    link_with(entries, folder, today, &Memo::none())
}

/// The same; how hard a text is to read is taken from the memo of an earlier run.
pub fn link_with(entries: &Entries, folder: &Folder, today: Option<Date>, memo: &Memo) -> (Knowledge, Vec<Mark>) {
    let universe = Universe::new(&entries.vehicles);
    let names = Names::new(entries);
    let mut marks = Vec::new();
    let regions = AllRegions::new(entries, &universe, &mut marks);
    let mut linking = Linking {
        entries,
        universe: &universe,
        names: &names,
        pictures: &folder.pictures,
        regions: &regions,
        marks,
        references: Vec::new(),
        used_pictures: BTreeSet::new(),
    };
    let mut references = Vec::new();
    let symptoms = shelf(&entries.symptoms, &mut linking, &mut references);
    let conditions = shelf(&entries.conditions, &mut linking, &mut references);
    let characteristics = shelf(&entries.characteristics, &mut linking, &mut references);
    let checks = shelf(&entries.checks, &mut linking, &mut references);
    let systems = shelf(&entries.systems, &mut linking, &mut references);
    let guides = shelf(&entries.guides, &mut linking, &mut references);
    let terms = entries.terms.iter().map(|term| link_term(term, &mut linking, &mut references)).collect();
    let Linking { mut marks, used_pictures, .. } = linking;
    pictures::inspect(folder, entries, &used_pictures, &mut marks);
    let mut knowledge = Knowledge {
        shop: entries.shop.clone(),
        universe,
        terms,
        hazard_classes: hazard_classes(entries),
        symptoms,
        conditions,
        characteristics,
        checks,
        systems,
        guides,
        pictures: used_pictures,
        print: Digest::default(),
    };
    replacement::settle(&mut knowledge, &references, &mut marks);
    surroundings::settle(&mut knowledge, entries, &references, &mut marks);
    editorial::inspect(&mut knowledge, entries, (today, memo), &mut marks);
    knowledge.print = print(&knowledge, entries.settings);
    (knowledge, marks)
}

/// Everything follows from what stands in settings and above texts, from where texts lead, and from the calculations of those
/// entries that lead to them above their texts: other pages may show such a link, and it names the block.
fn print(knowledge: &Knowledge, settings: Digest) -> Digest {
    let place = |entry: &EntryRef| (entry.kind.word(), entry.position());
    let of_entry = |entry: &EntryRef| {
        let head = knowledge.head(*entry)?;
        let leads_to: Vec<(&str, usize)> = head.leads_to.iter().map(place).collect();
        let is_calculation = |link: &Link| matches!(link.target, Target::Calculation(_));
        let is_named = knowledge.texts(*entry).iter().skip(1).any(|text| text.links.iter().any(is_calculation));
        let lines = head.body.calculations.iter().filter(|_| is_named).map(|block| &block.lines);
        let lines: Vec<Vec<&str>> = lines.map(|lines| lines.iter().map(|line| line.value.as_str()).collect()).collect();
        Digest::of_said(|to| said(&(head.kind.word(), &head.id, head.front, leads_to, lines), to))
    };
    let all: Vec<EntryRef> = knowledge.entries().collect();
    let heads: Vec<Option<Digest>> = all.par_iter().map(of_entry).collect();
    Digest::of_said(|to| said(&(settings, heads), to)).unwrap_or_default()
}

/// A reference and the entry that makes it; the terms of the shop make references too, but are no entries.
struct Made {
    by: Option<EntryRef>,
    reference: Reference,
}

/// How many entries one core links at a time.
const AT_A_TIME: usize = 64;

fn shelf<D: LinkDetail + Send>(
    entries: &[entry::Entry<D::Meant>],
    linking: &mut Linking<'_>,
    references: &mut Vec<Made>,
) -> Shelf<D> {
    let parts: Vec<(Vec<Entry<D>>, Vec<Made>, Linking<'_>)> = entries
        .par_chunks(AT_A_TIME)
        .enumerate()
        .map(|(part, entries)| {
            let mut linking = linking.anew();
            let (linked, made) = link_part(part * AT_A_TIME, entries, &mut linking);
            (linked, made, linking)
        })
        .collect();
    let mut shelf = Vec::with_capacity(entries.len());
    for (linked, made, part) in parts {
        shelf.extend(linked);
        references.extend(made);
        linking.marks.extend(part.marks);
        linking.used_pictures.extend(part.used_pictures);
    }
    Shelf::new(shelf)
}

fn link_part<D: LinkDetail>(
    first: usize,
    entries: &[entry::Entry<D::Meant>],
    linking: &mut Linking<'_>,
) -> (Vec<Entry<D>>, Vec<Made>) {
    let mut references = Vec::new();
    let linked = entries.iter().enumerate().map(|(at, entry)| {
        let by = EntryRef::new(D::KIND, first + at);
        let linked = link_entry(by, entry, linking);
        references.extend(linking.references.drain(..).map(|reference| Made { by: Some(by), reference }));
        linked
    });
    (linked.collect(), references)
}

fn link_entry<D: LinkDetail>(by: EntryRef, entry: &entry::Entry<D::Meant>, linking: &mut Linking<'_>) -> Entry<D> {
    let head = &entry.head;
    let region = linking.regions.get(by).cloned().unwrap_or_else(|| linking.universe.everything());
    let systems = head.systems.iter().filter_map(|system| linking.refer(system)).collect();
    let replaces = head.replaces.iter().filter_map(|old| replaced(by.kind, old, linking)).collect();
    let before = linking.marks.len();
    let detail = D::link(&entry.detail, head, &region, linking);
    let mut faulty = head.faulty.clone();
    if linking.marks.len() > before {
        // The mark may be about any of these, so nothing may be concluded from what they lack.
        faulty.fields.extend(entry::referring(head.kind).map(str::to_owned));
    }
    let body = linking.text(&head.body, &head.body.headings);
    let head = Head {
        entry: by,
        kind: head.kind,
        id: head.id.clone(),
        file: head.file,
        title: head.title.clone(),
        systems,
        region,
        sources: head.sources.clone(),
        basis: head.basis.clone(),
        created: head.created,
        modified: head.modified,
        due: head.review_by.as_ref().map(|date| date.value),
        author: head.author.clone(),
        replaces,
        replaced_by: Vec::new(),
        codes: head.codes.iter().map(|code| code.value.clone()).collect(),
        body,
        front: head.front,
        leads_to: Vec::new(),
        led_from: Vec::new(),
        faulty,
    };
    Entry { head, detail }
}

fn replaced(kind: Kind, name: &crate::diagnostic::Spanned<String>, linking: &mut Linking<'_>) -> Option<EntryRef> {
    match linking.names.of_kind(kind, name) {
        Ok(entry) => {
            let reference = Reference { entry, span: name.span, narrower: None, replaces: true };
            linking.references.push(reference);
            Some(entry)
        }
        Err(mark) => {
            linking.marks.extend(mark);
            None
        }
    }
}

fn link_term(term: &entry::Term, linking: &mut Linking<'_>, references: &mut Vec<Made>) -> Term {
    let mut see = Vec::new();
    for path in &term.see {
        let (kind, id) = &path.value;
        match linking.names.of_link(*kind, id, path.span) {
            Ok(entry) => {
                let reference = Reference { entry, span: path.span, narrower: None, replaces: false };
                references.push(Made { by: None, reference });
                see.push(entry);
            }
            Err(mark) => linking.marks.push(mark),
        }
    }
    Term { term: term.term.value.clone(), means: term.means.clone(), heard_as: term.heard_as.clone(), see }
}

/// Every class that a check may name: those that every shop has, with the shop's own words where it gives some.
fn hazard_classes(entries: &Entries) -> BTreeMap<String, HazardClass> {
    let usual =
        HAZARD_CLASSES.map(|(id, signal)| HazardClass { id: id.to_owned(), signal: signal.to_owned(), text: None });
    let own = entries.cautions.iter().cloned();
    usual.into_iter().chain(own).map(|class| (class.id.clone(), class)).collect()
}

/// The region of every entry, before anything else about it is known.
struct AllRegions(BTreeMap<Kind, Vec<Region>>);

impl AllRegions {
    fn new(entries: &Entries, universe: &Universe, marks: &mut Vec<Mark>) -> Self {
        let mut all = BTreeMap::new();
        for kind in Kind::ALL {
            let regions = entries.heads(kind).into_iter().map(|head| {
                let faulty = entries.vehicles_faulty;
                regions::region(universe, head.fits.as_ref(), &universe.everything(), faulty, marks)
            });
            all.insert(kind, regions.collect());
        }
        Self(all)
    }

    fn get(&self, entry: EntryRef) -> Option<&Region> {
        self.0.get(&entry.kind)?.get(entry.position())
    }
}

fn head_of(entries: &Entries, entry: EntryRef) -> Option<&entry::Head> {
    let at = entry.position();
    match entry.kind {
        Kind::Symptom => entries.symptoms.get(at).map(|entry| &entry.head),
        Kind::Condition => entries.conditions.get(at).map(|entry| &entry.head),
        Kind::Characteristic => entries.characteristics.get(at).map(|entry| &entry.head),
        Kind::Check => entries.checks.get(at).map(|entry| &entry.head),
        Kind::System => entries.systems.get(at).map(|entry| &entry.head),
        Kind::Guide => entries.guides.get(at).map(|entry| &entry.head),
    }
}

/// A mark of the editorial kind, at an entry's title.
fn at_title(id: MarkId, head: &entry::Head) -> Mark {
    Mark::new(id, head.title.span).with("entry", head.title.value.clone())
}
