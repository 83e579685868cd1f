//! Entries as linked: every reference leads to an entry that exists, every `fits` is a set of vehicles.

use std::sync::Arc;

use jiff::civil::Date;

use super::fit::Region;
use super::shelf::{EntryRef, OfKind, Ref};
use crate::diagnostic::{Digest, FileId, Span, Spanned};
use crate::entry::{self, CalculationBlock, Hazard, Heading, Kind, Likelihood, Place, Source};

/// An entry of one kind.
#[derive(Clone, Debug)]
pub struct Entry<D> {
    /// What every entry has.
    pub head: Head,
    /// What only its kind has.
    pub detail: D,
}

/// What every entry has.
#[derive(Clone, Debug)]
pub struct Head {
    /// The entry itself.
    pub entry: EntryRef,
    /// The kind.
    pub kind: Kind,
    /// The id, unique within its kind.
    pub id: String,
    /// The file that it was read from.
    pub file: FileId,
    /// The title.
    pub title: Spanned<String>,
    /// Systems that it belongs to.
    pub systems: Vec<Ref<System>>,
    /// The vehicles that it is about.
    pub region: Region,
    /// Where the knowledge comes from.
    pub sources: Vec<Source>,
    /// How well it is founded.
    pub basis: Option<String>,
    /// The day it was first written.
    pub created: Option<Date>,
    /// The day its meaning last changed.
    pub modified: Option<Date>,
    /// The day by which it is to be read again: as written, or by the shop's interval.
    pub due: Option<Date>,
    /// Who wrote it, as a role.
    pub author: Option<String>,
    /// Entries that it replaces.
    pub replaces: Vec<EntryRef>,
    /// Entries that replace it.
    pub replaced_by: Vec<EntryRef>,
    /// Trouble codes.
    pub codes: Vec<String>,
    /// The text.
    pub body: Text,
    /// A name for everything that is written of it above the text.
    pub front: Digest,
    /// Entries that it refers to, in fields and text, each once, in order.
    pub leads_to: Vec<EntryRef>,
    /// Entries that refer to it, each once, in order.
    pub led_from: Vec<EntryRef>,
    /// Which of its fields have marks already.
    pub faulty: entry::Faulty,
}

/// Markdown whose links are resolved.
#[derive(Clone, Debug, Default)]
pub struct Text {
    /// The Markdown.
    pub markdown: String,
    /// What its links lead to, in the order of the text.
    pub links: Vec<Link>,
    /// Paths of its pictures inside the folder of entries, in the order of the text.
    pub pictures: Vec<String>,
    /// Its headings, in the order of the text.
    pub headings: Vec<Heading>,
    /// Its calculation blocks, in the order of the text.
    pub calculations: Vec<CalculationBlock>,
    /// Its sentences without marks, headings and blocks of code.
    pub sentences: Arc<[String]>,
    /// The start of its first paragraph as one plain line; empty where a heading comes first.
    pub opening: String,
}

/// A resolved link.
#[derive(Clone, Debug)]
pub struct Link {
    /// What it leads to.
    pub target: Target,
    /// The words of the link, where they are a claim.
    pub words: Spanned<String>,
    /// Whether the words stand in the file as they are, without emphasis or escapes, so that parts of them have places.
    pub is_plain: bool,
    /// The destination as written.
    pub span: Span,
}

/// What a resolved link leads to.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Target {
    /// Somewhere outside.
    Outside(String),
    /// A heading of the same text, by its anchor.
    Heading(String),
    /// Another entry, and perhaps one of its headings.
    Entry(EntryRef, Option<String>),
    /// A picture, by its path inside the folder of entries.
    Picture(String),
    /// The page of the trade terms.
    Words,
    /// A result of a calculation of this entry: a claim, and a name that the calculation room resolves.
    Calculation(String),
    /// A specification: a claim. The position is that in the system's list.
    Specification(Ref<System>, usize),
}

/// Answers of a check, by their positions among its answers.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct AnswersOf {
    /// The check.
    pub check: Ref<Check>,
    /// Positions of the answers.
    pub answers: Vec<usize>,
    /// Where the check is named.
    pub span: Span,
}

/// A symptom that a candidate accounts for, and the evidence.
#[derive(Clone, Debug)]
pub struct AccountsFor {
    /// The symptom.
    pub symptom: Ref<Symptom>,
    /// Where the symptom is named.
    pub span: Span,
    /// How often this is the cause, relative to others; above 0.
    pub prior: f64,
    /// The vehicles for which it is a candidate: never more than the entry's own and the symptom's.
    pub region: Region,
    /// Likelihoods of answers.
    pub evidence: Vec<Evidence>,
}

/// How likely answers of a check are under a cause.
#[derive(Clone, Debug)]
pub struct Evidence {
    /// The check.
    pub check: Ref<Check>,
    /// Where the check is named.
    pub span: Span,
    /// Positions of answers, with the likelihood of each as written.
    pub answers: Vec<(usize, Likelihood)>,
}

/// What is reported.
#[derive(Clone, Debug)]
pub struct Symptom {
    /// What customers say.
    pub heard_as: Vec<String>,
    /// How it is noticed.
    pub senses: Vec<String>,
    /// A decision flow by hand.
    pub flow: Option<Flow>,
    /// Candidates that account for it: conditions and characteristics, in the order of kind and id, each with the
    /// position in its `accounts_for`.
    pub candidates: Vec<(EntryRef, usize)>,
}

/// A decision flow by hand. Names of steps and answers are the decision room's to resolve.
#[derive(Clone, Debug)]
pub struct Flow {
    /// The first step.
    pub start: Spanned<String>,
    /// The steps by name.
    pub steps: Vec<(Spanned<String>, Step)>,
    /// The key of the field.
    pub span: Span,
}

/// A step of a flow by hand.
#[derive(Clone, Debug)]
pub enum Step {
    /// A question and where each answer leads.
    Ask {
        /// The check.
        check: Ref<Check>,
        /// Where it is named.
        span: Span,
        /// Answers and the steps that they lead to.
        edges: Vec<(Spanned<String>, Spanned<String>)>,
    },
    /// Nothing to repair.
    Explain {
        /// What is explained.
        characteristic: Ref<Characteristic>,
        /// Where the verdict is written.
        span: Span,
    },
    /// To be looked at.
    BookIn {
        /// Conditions to look for, the likeliest first.
        leads: Vec<Ref<Condition>>,
        /// Where the verdict is written.
        span: Span,
    },
    /// To be left standing.
    DoNotDrive {
        /// Conditions to look for, the likeliest first.
        leads: Vec<Ref<Condition>>,
        /// Where the verdict is written.
        span: Span,
    },
}

/// A fault.
#[derive(Clone, Debug)]
pub struct Condition {
    /// Whether the vehicle may be driven with it.
    pub hazard: Hazard,
    /// The symptoms that it can cause.
    pub accounts_for: Vec<AccountsFor>,
    /// Bay checks that settle it, with the answers that confirm.
    pub confirm: Vec<AnswersOf>,
    /// What mends it.
    pub remedy: Option<Text>,
    /// Answers each of which excludes it.
    pub ruled_out_by: Vec<AnswersOf>,
    /// Answers that are alarming by themselves.
    pub alarm: Vec<AnswersOf>,
}

/// Normal for the vehicle.
#[derive(Clone, Debug)]
pub struct Characteristic {
    /// The symptoms that it can cause.
    pub accounts_for: Vec<AccountsFor>,
    /// What the customer is told, by language.
    pub tell: Vec<(String, Telling)>,
    /// Why the vehicle does it.
    pub because: Option<Text>,
    /// Answers without which it must not be called normal.
    pub only_if: Vec<AnswersOf>,
    /// Answers with which it must not be called normal.
    pub not_if: Vec<AnswersOf>,
    /// How to let the customer hear or see it.
    pub show: Option<Text>,
    /// What must not be repaired, and why.
    pub leave_alone: Option<Text>,
}

/// One explanation at three depths.
#[derive(Clone, Debug, Default)]
pub struct Telling {
    /// One sentence.
    pub brief: Text,
    /// A few sentences.
    pub plain: Text,
    /// With the reason.
    pub full: Text,
}

/// A text for customers by language, the shop's first language first if it is there.
pub type CustomerText = Vec<(String, String)>;

/// A question or a measurement.
#[derive(Clone, Debug)]
pub struct Check {
    /// The question in plain words.
    pub ask: CustomerText,
    /// Where it is done.
    pub place: Place,
    /// How long it takes.
    pub minutes: f64,
    /// Hazard classes of the work, by id; each is in [`super::Knowledge::hazard_classes`].
    pub hazards: Vec<String>,
    /// What is needed for it.
    pub tools: Vec<String>,
    /// The answers in the order written; for a measurement, its bands.
    pub answers: Vec<Answer>,
    /// What is measured, if the answers are bands.
    pub measures: Option<Measurement>,
    /// How often nobody can tell, 0 to 0.5.
    pub unsure: f64,
}

/// An answer of a check.
#[derive(Clone, Debug)]
pub struct Answer {
    /// Its id.
    pub id: Spanned<String>,
    /// Its wording; empty for a band.
    pub words: CustomerText,
    /// The interval, for a band.
    pub band: Option<Spanned<String>>,
}

/// A measurement whose range is cut into bands.
#[derive(Clone, Debug)]
pub struct Measurement {
    /// What is measured.
    pub quantity: String,
    /// The unit of the bands and of the range.
    pub unit: Spanned<String>,
    /// The smallest reading that can occur.
    pub from: Spanned<String>,
    /// The largest reading that can occur.
    pub to: Spanned<String>,
}

/// How a thing works, and its specifications.
#[derive(Clone, Debug)]
pub struct System {
    /// Values with their units.
    pub specifications: Vec<Specification>,
    /// What differs by model year.
    pub changes: Vec<Change>,
}

/// A named value of a system.
#[derive(Clone, Debug)]
pub struct Specification {
    /// The name.
    pub name: Spanned<String>,
    /// Values, each for some vehicles of the system's.
    pub values: Vec<(Region, Spanned<String>)>,
}

/// Something that changed with a model year.
#[derive(Clone, Debug)]
pub struct Change {
    /// The first model year.
    pub from: u16,
    /// Position of the vehicle line.
    pub line: usize,
    /// What changed.
    pub text: Text,
}

/// Any other page.
#[derive(Clone, Copy, Debug)]
pub struct Guide;

/// A trade term.
#[derive(Clone, Debug)]
pub struct Term {
    /// The term.
    pub term: String,
    /// What the trade means by it.
    pub means: String,
    /// What customers say for it.
    pub heard_as: Vec<String>,
    /// Entries that it leads to.
    pub see: Vec<EntryRef>,
}

impl OfKind for Symptom {
    const KIND: Kind = Kind::Symptom;
}

impl OfKind for Condition {
    const KIND: Kind = Kind::Condition;
}

impl OfKind for Characteristic {
    const KIND: Kind = Kind::Characteristic;
}

impl OfKind for Check {
    const KIND: Kind = Kind::Check;
}

impl OfKind for System {
    const KIND: Kind = Kind::System;
}

impl OfKind for Guide {
    const KIND: Kind = Kind::Guide;
}
