//! One symptom for one group of vehicles: who can be the cause, what can be asked, what must be shown first.

use super::evidence;
use crate::diagnostic::Span;
use crate::entry::NOT_SURE;
pub use crate::entry::{Hazard, Place, Stakes};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// What kind of cause a candidate is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub enum Cause {
    /// Normal for the vehicle.
    Characteristic,
    /// A fault.
    Condition(Hazard),
    /// None of those listed; counts as a condition without hazard.
    Other,
}

impl Cause {
    /// How dangerous it is, if it is the truth.
    pub fn hazard(self) -> Hazard {
        match self {
            Self::Condition(hazard) => hazard,
            Self::Characteristic | Self::Other => Hazard::None,
        }
    }

    /// The kind's word in data files.
    pub fn kind(self) -> &'static str {
        match self {
            Self::Characteristic => "characteristic",
            Self::Condition(_) => "condition",
            Self::Other => "other",
        }
    }
}

/// One answer to one check, by their positions in the problem.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub struct Given {
    /// The check.
    pub check: usize,
    /// The answer; the number of answers itself stands for "not sure".
    pub answer: usize,
}

/// Answers of a bay check that settle a condition.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Confirm {
    /// Position among the bay checks.
    pub check: usize,
    /// Id of the answer that confirms.
    pub answer: String,
}

/// Something that can account for the symptom; or a condition that cannot, but has an alarm among the answers.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Candidate {
    /// What kind of cause.
    pub cause: Cause,
    /// Id within its kind; `other` for the one nobody listed.
    pub id: String,
    /// Its title.
    pub title: String,
    /// Relative frequency, not scaled; 0 for a condition of which only the alarms count here.
    pub weight: f64,
    /// How likely each answer is if this is the truth: by check, then by answer; every row adds up to 1.
    pub rows: Vec<Vec<f64>>,
    /// Any of these answers excludes it (conditions with a hazard).
    pub ruled_out_by: Vec<Given>,
    /// Any of these answers is alarming by itself (conditions with a hazard).
    pub alarm: Vec<Given>,
    /// Every one of these must hold before it is explained; one without answers can never hold at the counter.
    pub only_if: Vec<Requirement>,
    /// None of these may have been answered when it is explained.
    pub not_if: Vec<Given>,
    /// Bay checks that settle it.
    pub confirm: Vec<Confirm>,
    /// What it says of gates has a mark already, so that nothing is concluded from what is missing there.
    pub unclear: bool,
    /// Where it says that it accounts for the symptom.
    pub span: Span,
}

impl Candidate {
    /// Whether it can be the cause. A condition that cannot is here for its alarms alone: what is alarming by itself is so
    /// whatever was asked about, but it need not be ruled out before the symptom is explained.
    pub fn can_be_cause(&self) -> bool {
        self.weight > 0.0
    }
}

/// A check that must have been answered in one of these ways.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Requirement {
    /// Id of the check, which may be one that no counter flow asks.
    pub check: String,
    /// The answers that meet it.
    pub answers: Vec<Given>,
}

/// A question or measurement that a flow may ask.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Check {
    /// Id.
    pub id: String,
    /// What it is called in a path told to people.
    pub title: String,
    /// Where it is made; never the bay.
    pub place: Place,
    /// Minutes it takes.
    pub minutes: f64,
    /// Chance of "not sure", whatever the truth.
    pub unsure: f64,
    /// Ids of the answers, in the order written, without "not sure".
    pub answers: Vec<String>,
}

impl Check {
    /// The position that stands for "not sure".
    pub fn not_sure(&self) -> usize {
        self.answers.len()
    }

    /// Id of the answer at a position.
    pub fn answer_id(&self, answer: usize) -> &str {
        self.answers.get(answer).map_or(NOT_SURE, String::as_str)
    }

    /// Position of an answer by id, "not sure" included.
    pub fn answer(&self, id: &str) -> Option<usize> {
        if id == NOT_SURE {
            return Some(self.not_sure());
        }
        self.answers.iter().position(|known| known == id)
    }
}

/// A check in the workshop that can settle a condition.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct BayCheck {
    /// Id.
    pub id: String,
    /// Minutes it takes.
    pub minutes: f64,
}

/// The whole question that one flow answers.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Problem {
    /// Id of the symptom.
    pub symptom: String,
    /// Where the symptom is written.
    pub span: Span,
    /// Characteristics, then conditions, the least dangerous first, each by id; then `other`.
    pub candidates: Vec<Candidate>,
    /// By id.
    pub checks: Vec<Check>,
    /// By id.
    pub bay_checks: Vec<BayCheck>,
    /// What wrong verdicts cost.
    pub stakes: Stakes,
    /// Most questions on any path of a compiled flow.
    pub max_questions: usize,
}

impl Problem {
    /// Position of a check by id.
    pub fn check(&self, id: &str) -> Option<usize> {
        self.checks.iter().position(|check| check.id == id)
    }

    /// Position of a candidate by kind and id.
    pub fn candidate(&self, kind: &str, id: &str) -> Option<usize> {
        self.candidates.iter().position(|candidate| candidate.cause.kind() == kind && candidate.id == id)
    }

    /// Positions of the conditions with a hazard that can be the cause.
    pub fn hazards(&self) -> impl Iterator<Item = usize> {
        self.alarming().filter(|at| self.can_be_cause(*at))
    }

    /// Positions of all conditions with a hazard, of which alarms count.
    pub fn alarming(&self) -> impl Iterator<Item = usize> {
        let with_hazard = |(_, it): &(usize, &Candidate)| it.cause.hazard() != Hazard::None;
        self.candidates.iter().enumerate().filter(with_hazard).map(|(at, _)| at)
    }

    /// Positions of the candidates that can be the cause.
    pub fn causes(&self) -> impl Iterator<Item = usize> {
        (0..self.candidates.len()).filter(|at| self.can_be_cause(*at))
    }

    /// Whether the candidate at that position can be the cause.
    pub fn can_be_cause(&self, candidate: usize) -> bool {
        self.candidates.get(candidate).is_some_and(Candidate::can_be_cause)
    }

    /// Whether anything but `other` can be the cause.
    pub fn has_candidates(&self) -> bool {
        self.candidates.iter().any(|candidate| candidate.cause != Cause::Other && candidate.can_be_cause())
    }

    /// Unnormalised weights after answers, multiplied in the order of the checks so that the order of asking
    /// never shows in the last bit. "Not sure" and absent answers count as nothing.
    pub fn weights(&self, answers: &Answers) -> Vec<f64> {
        self.candidates.iter().map(|candidate| weight(candidate, answers)).collect()
    }

    /// Chances after answers; they add up to 1. Answers that contradict every candidate leave only `other`.
    pub fn chances(&self, answers: &Answers) -> Vec<f64> {
        let weights = self.weights(answers);
        let total: f64 = weights.iter().sum();
        let last = weights.len().saturating_sub(1);
        let alone = |at: usize| if at == last { 1.0 } else { 0.0 };
        weights.iter().enumerate().map(|(at, weight)| if total > 0.0 { weight / total } else { alone(at) }).collect()
    }
}

fn weight(candidate: &Candidate, answers: &Answers) -> f64 {
    let of = |(check, answer): (usize, usize)| candidate.rows.get(check)?.get(answer).copied();
    answers.given().filter_map(of).fold(candidate.weight, |weight, chance| weight * chance)
}

/// Answers given so far, one at most for each check.
#[derive(Clone, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub struct Answers(BTreeMap<usize, usize>);

impl Answers {
    /// The answer to a check, if it was given.
    pub fn get(&self, check: usize) -> Option<usize> {
        self.0.get(&check).copied()
    }

    /// Adds or replaces an answer.
    pub fn set(&mut self, check: usize, answer: usize) {
        self.0.insert(check, answer);
    }

    /// The same answers with one more.
    #[must_use]
    pub fn with(&self, check: usize, answer: usize) -> Self {
        let mut more = self.clone();
        more.set(check, answer);
        more
    }

    /// Check and answer, by check.
    pub fn given(&self) -> impl Iterator<Item = (usize, usize)> {
        self.0.iter().map(|(check, answer)| (*check, *answer))
    }

    /// How many checks were asked.
    pub fn len(&self) -> usize {
        self.0.len()
    }

    /// Whether nothing was asked yet.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }
}

impl FromIterator<(usize, usize)> for Answers {
    fn from_iter<I: IntoIterator<Item = (usize, usize)>>(answers: I) -> Self {
        Self(answers.into_iter().collect())
    }
}

/// A candidate as written, with ids instead of positions.
#[derive(Clone, Debug, PartialEq)]
pub struct DraftCandidate {
    /// What kind of cause; not `Other`.
    pub cause: Cause,
    /// Id within its kind.
    pub id: String,
    /// Title.
    pub title: String,
    /// Relative frequency, above 0; 0 for a condition of which only the alarms count here.
    pub prior: f64,
    /// Check, then answers with their likelihoods.
    pub evidence: BTreeMap<String, BTreeMap<String, f64>>,
    /// Check and answer, each.
    pub ruled_out_by: Vec<(String, String)>,
    /// Check and answer, each.
    pub alarm: Vec<(String, String)>,
    /// Check and the answers that meet it.
    pub only_if: Vec<(String, Vec<String>)>,
    /// Check and answer, each.
    pub not_if: Vec<(String, String)>,
    /// Bay check and answer, each.
    pub confirm: Vec<(String, String)>,
    /// What it says of gates has a mark already.
    pub unclear: bool,
    /// Where it says that it accounts for the symptom.
    pub span: Span,
}

/// A problem as written, before positions and rows are worked out.
#[derive(Clone, Debug, PartialEq)]
pub struct Draft {
    /// Id of the symptom.
    pub symptom: String,
    /// Where it is written.
    pub span: Span,
    /// Everything that accounts for it on these vehicles.
    pub candidates: Vec<DraftCandidate>,
    /// Every check that may be asked of these vehicles; bay checks are not.
    pub checks: Vec<Check>,
    /// Bay checks of these vehicles.
    pub bay_checks: Vec<BayCheck>,
    /// What wrong verdicts cost.
    pub stakes: Stakes,
    /// Most questions on any path of a compiled flow.
    pub max_questions: usize,
    /// Weight of `other`, as a share of the sum of the priors.
    pub other: f64,
    /// Title of `other`.
    pub other_title: String,
}

impl Draft {
    /// Works out positions and rows. Ids that this draft does not know are left out: they have their own marks,
    /// and a gate that needs them stays shut.
    pub fn into_problem(mut self) -> Problem {
        self.checks.retain(|check| check.place != Place::Bay);
        self.checks.sort_by(|a, b| a.id.cmp(&b.id));
        self.bay_checks.sort_by(|a, b| a.id.cmp(&b.id));
        self.candidates.sort_by(|a, b| (a.cause, &a.id).cmp(&(b.cause, &b.id)));
        let mut candidates: Vec<Candidate> = self.candidates.iter().map(|it| self.candidate(it)).collect();
        candidates.push(self.other_candidate());
        Problem {
            symptom: self.symptom,
            span: self.span,
            candidates,
            checks: self.checks,
            bay_checks: self.bay_checks,
            stakes: self.stakes,
            max_questions: self.max_questions,
        }
    }

    fn candidate(&self, written: &DraftCandidate) -> Candidate {
        Candidate {
            cause: written.cause,
            id: written.id.clone(),
            title: written.title.clone(),
            weight: written.prior,
            rows: self.checks.iter().map(|check| row_of(written, check)).collect(),
            ruled_out_by: self.givens(&written.ruled_out_by),
            alarm: self.givens(&written.alarm),
            only_if: written.only_if.iter().map(|(check, answers)| self.requirement(check, answers)).collect(),
            not_if: self.givens(&written.not_if),
            confirm: written.confirm.iter().filter_map(|(check, answer)| self.confirm(check, answer)).collect(),
            unclear: written.unclear,
            span: written.span,
        }
    }

    fn other_candidate(&self) -> Candidate {
        let sum: f64 = self.candidates.iter().map(|candidate| candidate.prior).sum();
        Candidate {
            cause: Cause::Other,
            id: "other".into(),
            title: self.other_title.clone(),
            weight: if sum > 0.0 { self.other * sum } else { 1.0 },
            rows: self.checks.iter().map(|check| evidence::row(check.answers.len(), &[])).collect(),
            ruled_out_by: Vec::new(),
            alarm: Vec::new(),
            only_if: Vec::new(),
            not_if: Vec::new(),
            confirm: Vec::new(),
            unclear: false,
            span: self.span,
        }
    }

    fn given(&self, check: &str, answer: &str) -> Option<Given> {
        let at = self.checks.binary_search_by(|known| known.id.as_str().cmp(check)).ok()?;
        let answer = self.checks.get(at)?.answers.iter().position(|known| known == answer)?;
        Some(Given { check: at, answer })
    }

    fn givens(&self, written: &[(String, String)]) -> Vec<Given> {
        written.iter().filter_map(|(check, answer)| self.given(check, answer)).collect()
    }

    fn requirement(&self, check: &str, answers: &[String]) -> Requirement {
        let answers = answers.iter().filter_map(|answer| self.given(check, answer)).collect();
        Requirement { check: check.to_owned(), answers }
    }

    fn confirm(&self, check: &str, answer: &str) -> Option<Confirm> {
        let at = self.bay_checks.binary_search_by(|known| known.id.as_str().cmp(check)).ok()?;
        Some(Confirm { check: at, answer: answer.to_owned() })
    }
}

fn row_of(written: &DraftCandidate, check: &Check) -> Vec<f64> {
    let none = BTreeMap::new();
    let listed = written.evidence.get(&check.id).unwrap_or(&none);
    let position = |id: &String| check.answers.iter().position(|known| known == id);
    let listed: Vec<(usize, f64)> = listed.iter().filter_map(|(id, value)| Some((position(id)?, *value))).collect();
    evidence::row(check.answers.len(), &listed)
}
