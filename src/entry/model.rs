//! Entries as meant, one type for each kind. References are still names with their places.

use serde::{Deserialize, Serialize};
use std::collections::BTreeSet;

use jiff::civil::Date;

use super::{Kind, Prose, YearRange};
use crate::diagnostic::{Digest, FileId, Span, Spanned};

/// What every entry has.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct Head {
    /// The kind, from the folder.
    pub kind: Kind,
    /// The id, from the file's name.
    pub id: String,
    /// The file.
    pub file: FileId,
    /// The title; the id where none could be read.
    pub title: Spanned<String>,
    /// Systems that it belongs to.
    pub systems: Vec<Spanned<String>>,
    /// The vehicles that it is about; absent, every vehicle.
    pub fits: Option<Vec<FitBox>>,
    /// Where the knowledge comes from.
    pub sources: Vec<Source>,
    /// How well it is founded.
    pub basis: Option<String>,
    /// The day it was first written.
    pub created: Option<Date>,
    /// The day its meaning last changed.
    pub modified: Option<Date>,
    /// The day by which it is to be read again.
    pub review_by: Option<Spanned<Date>>,
    /// Who wrote it, as a role.
    pub author: Option<String>,
    /// Entries of the same kind that it replaces.
    pub replaces: Vec<Spanned<String>>,
    /// Trouble codes.
    pub codes: Vec<Spanned<String>>,
    /// The text below the front matter.
    pub body: Prose,
    /// A name for everything above that text, byte for byte.
    pub front: Digest,
    /// What has a mark already, so that later rooms do not mark what follows from it.
    pub faulty: Faulty,
}

/// Which parts of an entry have marks already.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
pub struct Faulty {
    /// Nothing could be read.
    pub whole: bool,
    /// Names of the fields that have a mark or are missing.
    pub fields: BTreeSet<String>,
}

impl Faulty {
    /// Whether nothing may be concluded from what this field says or does not say.
    pub fn touches(&self, field: &str) -> bool {
        self.whole || self.fields.contains(field)
    }
}

/// An entry of one kind.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct Entry<D> {
    /// What every entry has.
    pub head: Head,
    /// What only its kind has.
    pub detail: D,
}

/// A box of vehicles as written: a line, model years and values of options.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
pub struct FitBox {
    /// The line.
    pub line: Spanned<String>,
    /// Model years; `None` for every year of the line.
    pub years: Option<Vec<Spanned<YearRange>>>,
    /// Options with the values wanted; an option that is left out may have any value.
    pub options: Vec<(Spanned<String>, Vec<Spanned<String>>)>,
    /// The whole box.
    pub span: Span,
}

/// Where knowledge comes from.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
pub struct Source {
    /// What it is called, or all that is said of it.
    pub name: String,
    /// Where in it.
    pub locator: Option<String>,
    /// Its web address.
    pub url: Option<String>,
}

/// What is reported.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
pub struct Symptom {
    /// What customers say.
    pub heard_as: Vec<Spanned<String>>,
    /// How it is noticed.
    pub senses: Vec<String>,
    /// A decision flow by hand.
    pub flow: Option<WrittenFlow>,
}

/// A decision flow as written.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
pub struct WrittenFlow {
    /// The first step.
    pub start: Spanned<String>,
    /// The steps by name.
    pub steps: Vec<(Spanned<String>, WrittenStep)>,
    /// The key of the field.
    pub span: Span,
}

/// A step of a flow as written.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub enum WrittenStep {
    /// A question and where each answer leads.
    Ask {
        /// The check.
        check: Spanned<String>,
        /// Answers and the steps that they lead to.
        edges: Vec<(Spanned<String>, Spanned<String>)>,
    },
    /// A verdict.
    Verdict {
        /// `explain`, `book-in` or `do-not-drive`.
        verdict: Spanned<String>,
        /// What is explained.
        characteristic: Option<Spanned<String>>,
        /// Conditions to look for.
        leads: Vec<Spanned<String>>,
    },
    /// Neither could be read; it has its mark.
    Unreadable,
}

/// Answers of checks: for each check, the answers meant.
pub type AnswersOfChecks = Vec<(Spanned<String>, Vec<Spanned<String>>)>;

/// A symptom that a candidate accounts for, and the evidence.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
pub struct AccountsFor {
    /// The symptom.
    pub symptom: Spanned<String>,
    /// How often this is the cause, relative to others; above 0.
    pub prior: f64,
    /// Narrower than the entry's own vehicles.
    pub fits: Option<Vec<FitBox>>,
    /// By check, the likelihood of answers.
    pub evidence: Vec<(Spanned<String>, Likelihoods)>,
}

/// Answers of one check with the likelihood of each.
pub type Likelihoods = Vec<(Spanned<String>, Likelihood)>;

/// A likelihood as written.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub enum Likelihood {
    /// One of the shop's words.
    Word(String),
    /// A number in [0, 1].
    Number(f64),
}

/// A fault.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
pub struct Condition {
    /// Whether the vehicle may be driven with it.
    pub hazard: Hazard,
    /// The symptoms that it can cause.
    pub accounts_for: Vec<AccountsFor>,
    /// Bay checks that settle it, with the answers that confirm.
    pub confirm: AnswersOfChecks,
    /// What mends it.
    pub remedy: Option<Prose>,
    /// Answers each of which excludes it.
    pub ruled_out_by: AnswersOfChecks,
    /// Answers that are alarming by themselves.
    pub alarm: AnswersOfChecks,
}

/// Whether a vehicle may be driven with a condition.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub enum Hazard {
    /// It may.
    #[default]
    None,
    /// It may, with care.
    DriveWithCare,
    /// It may not.
    DoNotDrive,
}

impl Hazard {
    /// The word written in entries.
    pub fn word(self) -> &'static str {
        match self {
            Self::None => "none",
            Self::DriveWithCare => "drive-with-care",
            Self::DoNotDrive => "do-not-drive",
        }
    }
}

/// Normal for the vehicle.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
pub struct Characteristic {
    /// The symptoms that it can cause.
    pub accounts_for: Vec<AccountsFor>,
    /// What the customer is told, by language; `None` is the shop's first language.
    pub tell: Vec<(Option<Spanned<String>>, Telling)>,
    /// Why the vehicle does it.
    pub because: Option<Prose>,
    /// Answers without which it must not be called normal.
    pub only_if: AnswersOfChecks,
    /// Answers with which it must not be called normal.
    pub not_if: AnswersOfChecks,
    /// How to let the customer hear or see it.
    pub show: Option<Prose>,
    /// What must not be repaired, and why.
    pub leave_alone: Option<Prose>,
}

/// One explanation at three depths.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
pub struct Telling {
    /// One sentence.
    pub brief: Prose,
    /// A few sentences.
    pub plain: Prose,
    /// With the reason.
    pub full: Prose,
}

/// A text for customers by language; `None` is the shop's first language.
pub type CustomerText = Vec<(Option<Spanned<String>>, Spanned<String>)>;

/// A question or a measurement.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
pub struct Check {
    /// The question in plain words.
    pub ask: CustomerText,
    /// Where it is done.
    pub place: Place,
    /// How long it takes.
    pub minutes: f64,
    /// Hazard classes of the work.
    pub hazards: Vec<Spanned<String>>,
    /// What is needed for it.
    pub tools: Vec<String>,
    /// The answers, or the bands of a measurement, in the order written.
    pub answers: Answers,
    /// How often nobody can tell, 0 to 0.5; absent, by the place.
    pub unsure: Option<f64>,
}

/// Where a check is done.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub enum Place {
    /// A question at the counter.
    #[default]
    Counter,
    /// A walk around the vehicle.
    WalkRound,
    /// A drive.
    RoadTest,
    /// In the workshop.
    Bay,
}

impl Place {
    /// The word written in entries.
    pub fn word(self) -> &'static str {
        match self {
            Self::Counter => "counter",
            Self::WalkRound => "walk-round",
            Self::RoadTest => "road-test",
            Self::Bay => "bay",
        }
    }
}

/// What a check can find.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
pub enum Answers {
    /// Worded answers by id.
    Worded(Vec<(Spanned<String>, CustomerText)>),
    /// A measurement and its bands.
    Measured(Measurement),
    /// Neither was given; it has its mark.
    #[default]
    Missing,
}

/// A measurement whose range is cut into bands.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
pub struct Measurement {
    /// What is measured.
    pub quantity: String,
    /// The unit of the bands and of the range.
    pub unit: Spanned<String>,
    /// The smallest reading that can occur.
    pub from: Spanned<String>,
    /// The largest reading that can occur.
    pub to: Spanned<String>,
    /// Answer ids with the interval of each.
    pub bands: Vec<(Spanned<String>, Spanned<String>)>,
}

/// How a thing works, and its specifications.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
pub struct System {
    /// Values with their units, by name.
    pub specifications: Vec<Specification>,
    /// What differs by model year.
    pub changes: Vec<Change>,
}

/// A named value of a system.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
pub struct Specification {
    /// The name.
    pub name: Spanned<String>,
    /// Values, each for some vehicles; `None` for all that the system fits.
    pub values: Vec<(Option<Vec<FitBox>>, Spanned<String>)>,
}

/// Something that changed with a model year.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
pub struct Change {
    /// The first model year.
    pub from: u16,
    /// The vehicle line.
    pub line: Spanned<String>,
    /// What changed.
    pub text: Prose,
}

/// Any other page.
#[derive(Clone, Copy, Debug, Default, Serialize, Deserialize)]
pub struct Guide;
