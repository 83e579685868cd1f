//! Entries as meant: what the files of the folder say, with every value's place, not yet linked to each other.
//!
//! In: the texts of the folder. Out: entries by kind and the shop's settings; a mark for everything that cannot be
//! read as its field wants it. Never: looks from one entry at another, reads or writes a file.
//! YAML passes through serde here and nowhere else.

mod convert;
mod dedented;
mod destination;
mod draft;
mod fields;
mod folded;
mod front_matter;
mod indent;
mod inspect;
mod kind;
mod meant;
mod model;
mod nearest;
mod plain;
mod prose;
mod read_detail;
mod read_entry;
mod read_settings;
mod references;
mod rules;
mod scan;
mod schema;
mod settings;
mod shape;
mod text_forms;
mod titles;
mod untouched;
mod vehicles;
mod written;
mod years;

pub use draft::draft;
pub(crate) use fields::referring;
pub(crate) use kind::misnamed_for;
pub use kind::{ID_LIMIT, Kind, is_id};
pub use model::{
    AccountsFor, Answers, AnswersOfChecks, Change, Characteristic, Check, Condition, CustomerText, Entry, Faulty,
    FitBox, Guide, Hazard, Head, Likelihood, Likelihoods, Measurement, Place, Source, Specification, Symptom, System,
    Telling, WrittenFlow, WrittenStep,
};
pub use nearest::nearest;
pub use plain::sentences;
pub use prose::{CalculationBlock, Definition, Heading, Link, Origin, Picture, Prose, Target};
pub use references::{Form, Reference, references};
pub use rules::NOT_SURE;
pub use scan::{CALCULATION_LANGUAGE, MARKDOWN, code_language};
pub use schema::schema;
pub use settings::{HazardClass, Shop, Stakes, Term};
pub use shape::{HAZARD_CLASSES, LIKELIHOOD_WORDS};
pub use vehicles::{Line, OptionValue, VehicleOption, Vehicles};
pub use years::{YearRange, YearsFault, YearsFaultKind, parse_years};

use rayon::prelude::*;

use crate::diagnostic::{Digest, FileId, Mark, MarkId, Span, said};
use crate::source::{Folder, Memo, TextFile};
use read_detail::Detail;
use read_entry::read_entry;

/// Everything that the folder says, by kind, each kind in the order of ids.
#[derive(Clone, Debug, Default)]
pub struct Entries {
    /// The shop.
    pub shop: Shop,
    /// Its vehicle lines.
    pub vehicles: Vehicles,
    /// Whether something about the vehicle lines has a mark already.
    pub vehicles_faulty: bool,
    /// A name for the texts of everything but entries, byte for byte.
    pub settings: Digest,
    /// Trade terms.
    pub terms: Vec<Term>,
    /// Hazard classes that the shop words itself or adds.
    pub cautions: Vec<HazardClass>,
    /// Symptoms.
    pub symptoms: Vec<Entry<Symptom>>,
    /// Conditions.
    pub conditions: Vec<Entry<Condition>>,
    /// Characteristics.
    pub characteristics: Vec<Entry<Characteristic>>,
    /// Checks.
    pub checks: Vec<Entry<Check>>,
    /// Systems.
    pub systems: Vec<Entry<System>>,
    /// Guides.
    pub guides: Vec<Entry<Guide>>,
}

/// How many texts one core reads at a time.
const AT_A_TIME: usize = 32;

/// Reads every text of the folder.
pub fn read_entries(folder: &Folder) -> (Entries, Vec<Mark>) {
    read_entries_with(folder, &Memo::none())
}

/// The same; what an earlier run read in the same text is taken from its memo.
pub fn read_entries_with(folder: &Folder, memo: &Memo) -> (Entries, Vec<Mark>) {
    let mut marks = Vec::new();
    let mut entries = Entries::default();
    let parts: Vec<(Entries, Vec<Mark>)> =
        folder.texts.par_chunks(AT_A_TIME).enumerate().map(|part| read_part(part, memo)).collect();
    for (part, of_part) in parts {
        entries.take_in(part);
        marks.extend(of_part);
    }
    entries.settings = settings_print(folder);
    for (index, source) in folder.texts.iter().enumerate() {
        read_settings(file_id(index), source, &mut entries, &mut marks);
    }
    settle(&mut entries.symptoms, &mut marks);
    settle(&mut entries.conditions, &mut marks);
    settle(&mut entries.characteristics, &mut marks);
    settle(&mut entries.checks, &mut marks);
    settle(&mut entries.systems, &mut marks);
    settle(&mut entries.guides, &mut marks);
    titles::propose(&entries, &mut marks);
    inspect_hazard_classes(&entries, &mut marks);
    inspect_foreign_folders(folder, &mut marks);
    (entries, marks)
}

impl Entries {
    /// The heads of one kind.
    pub fn heads(&self, kind: Kind) -> Vec<&Head> {
        match kind {
            Kind::Symptom => self.symptoms.iter().map(|entry| &entry.head).collect(),
            Kind::Condition => self.conditions.iter().map(|entry| &entry.head).collect(),
            Kind::Characteristic => self.characteristics.iter().map(|entry| &entry.head).collect(),
            Kind::Check => self.checks.iter().map(|entry| &entry.head).collect(),
            Kind::System => self.systems.iter().map(|entry| &entry.head).collect(),
            Kind::Guide => self.guides.iter().map(|entry| &entry.head).collect(),
        }
    }

    /// The entries of another part of the folder. Settings are not in parts.
    fn take_in(&mut self, part: Self) {
        self.symptoms.extend(part.symptoms);
        self.conditions.extend(part.conditions);
        self.characteristics.extend(part.characteristics);
        self.checks.extend(part.checks);
        self.systems.extend(part.systems);
        self.guides.extend(part.guides);
    }
}

fn file_id(index: usize) -> FileId {
    FileId(u32::try_from(index).unwrap_or(u32::MAX))
}

fn read_part((part, texts): (usize, &[TextFile]), memo: &Memo) -> (Entries, Vec<Mark>) {
    let (mut entries, mut marks) = (Entries::default(), Vec::new());
    for (index, source) in texts.iter().enumerate() {
        let kind = source.path.split_once('/').and_then(|(folder, _)| Kind::of_folder(folder));
        if let Some(kind) = kind {
            let file = file_id(part * AT_A_TIME + index);
            read_of_kind(kind, Read { file, source, memo }, &mut entries, &mut marks);
        }
    }
    (entries, marks)
}

fn settings_print(folder: &Folder) -> Digest {
    let is_entry = |path: &str| path.split_once('/').is_some_and(|(folder, _)| Kind::of_folder(folder).is_some());
    let texts = folder.texts.iter().filter(|text| !is_entry(&text.path));
    let texts: Vec<(&str, &str)> = texts.map(|text| (text.path.as_str(), text.text.as_str())).collect();
    Digest::of_said(|to| said(&(texts, &folder.pictures), to)).unwrap_or_default()
}

fn read_settings(file: FileId, source: &TextFile, entries: &mut Entries, marks: &mut Vec<Mark>) {
    match source.path.as_str() {
        "shop.yaml" => entries.shop = read_shop(file, source, marks),
        "vehicles.yaml" => (entries.vehicles, entries.vehicles_faulty) = read_vehicles(file, source, marks),
        "words.yaml" => entries.terms = read_words(file, source, marks),
        "cautions.yaml" => entries.cautions = read_cautions(file, source, marks),
        _ => {}
    }
}

/// A text to be read as an entry.
#[derive(Clone, Copy)]
struct Read<'a> {
    file: FileId,
    source: &'a TextFile,
    memo: &'a Memo,
}

impl Read<'_> {
    fn entry<D: Detail>(self, kind: Kind, marks: &mut Vec<Mark>) -> Entry<D> {
        let Self { file, source, memo } = self;
        let made_from = (file, &source.path, source.readable, &source.text);
        let (entry, found) = memo.value("entry", &made_from, || {
            let mut found = Vec::new();
            (read_entry(kind, file, source, &mut found), found)
        });
        marks.extend(found);
        entry
    }
}

fn read_of_kind(kind: Kind, read: Read<'_>, entries: &mut Entries, marks: &mut Vec<Mark>) {
    let Read { file, source, .. } = read;
    if !source.path.ends_with(".md") {
        let name = source.path.rsplit('/').next().unwrap_or("");
        marks.push(Mark::new(MarkId::BadId, Span::start_of(file)).with("found", inspect::short(name)));
        return;
    }
    match kind {
        Kind::Symptom => entries.symptoms.push(read.entry(kind, marks)),
        Kind::Condition => entries.conditions.push(read.entry(kind, marks)),
        Kind::Characteristic => entries.characteristics.push(read.entry(kind, marks)),
        Kind::Check => entries.checks.push(read.entry(kind, marks)),
        Kind::System => entries.systems.push(read.entry(kind, marks)),
        Kind::Guide => entries.guides.push(read.entry(kind, marks)),
    }
}

/// Sorts by id and keeps the first of several with one id.
fn settle<D: Detail>(entries: &mut Vec<Entry<D>>, marks: &mut Vec<Mark>) {
    entries.sort_by(|a, b| (&a.head.id, a.head.file).cmp(&(&b.head.id, b.head.file)));
    let mut first: Option<(String, FileId)> = None;
    entries.retain(|entry| match &first {
        Some((id, file)) if *id == entry.head.id => {
            let mark = Mark::new(MarkId::DuplicateId, Span::start_of(entry.head.file)).with("found", id.clone());
            marks.push(mark.with("kind", entry.head.kind.word()).see(Span::start_of(*file), "the first one is here"));
            false
        }
        _ => {
            first = Some((entry.head.id.clone(), entry.head.file));
            true
        }
    });
}

/// A folder whose name is nearly that of a kind holds entries that nobody would ever read.
fn inspect_foreign_folders(folder: &Folder, marks: &mut Vec<Mark>) {
    for (at, path) in folder.foreign_folders.iter().enumerate() {
        if let Some(near) = nearest(path, Kind::ALL.into_iter().map(Kind::folder)) {
            let mark = Mark::new(MarkId::BadId, Span::start_of(folder.foreign_id(at))).with("found", path.clone());
            marks.push(mark.with("nearest", near));
        }
    }
}

/// Hazard classes of checks must be known, or no caution could be shown for them.
fn inspect_hazard_classes(entries: &Entries, marks: &mut Vec<Mark>) {
    let own = entries.cautions.iter().map(|class| class.id.as_str());
    let known: Vec<&str> = HAZARD_CLASSES.map(|(id, _)| id).into_iter().chain(own).collect();
    let hazards = entries.checks.iter().flat_map(|check| &check.detail.hazards);
    for hazard in hazards.filter(|hazard| !known.contains(&hazard.value.as_str())) {
        let mark = Mark::new(MarkId::BadValue, hazard.span).with("found", hazard.value.clone());
        let mark = mark.with("expected", "a hazard class, or `none`");
        marks.push(mark.with_some("nearest", nearest(&hazard.value, known.iter().copied())));
    }
}

use read_settings::{read_cautions, read_shop, read_vehicles, read_words};
