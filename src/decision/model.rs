//! The problem as columns of numbers, and what it costs to stop now.

use super::gates::{Floor, Gates, Standing};
use super::problem::{Answers, Cause, Hazard, Problem, Stakes};
use serde::{Deserialize, Serialize};

/// How a flow ends.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub enum Verdict {
    /// Do not drive it.
    DoNotDrive,
    /// Book it in.
    BookIn,
    /// Explain the characteristic at this position among the candidates.
    Explain(usize),
}

impl Verdict {
    /// The word in data files.
    pub fn word(self) -> &'static str {
        match self {
            Self::DoNotDrive => "do-not-drive",
            Self::BookIn => "book-in",
            Self::Explain(_) => "explain",
        }
    }

    /// Whether an alarm leaves this verdict open.
    pub fn allowed_by(self, floor: Floor) -> bool {
        match floor {
            Floor::Open => true,
            Floor::BookIn => !matches!(self, Self::Explain(_)),
            Floor::DoNotDrive => self == Self::DoNotDrive,
        }
    }
}

/// What a verdict costs under one truth, in minutes.
pub fn loss(stakes: &Stakes, verdict: Verdict, truth: usize, cause: Cause) -> f64 {
    match verdict {
        Verdict::Explain(it) if it == truth => 0.0,
        Verdict::Explain(_) => match cause {
            Cause::Characteristic => stakes.wrong_explanation,
            Cause::Other | Cause::Condition(Hazard::None) => stakes.missed_fault,
            Cause::Condition(Hazard::DriveWithCare) => stakes.missed_care,
            Cause::Condition(Hazard::DoNotDrive) => stakes.missed_stop,
        },
        Verdict::BookIn => match cause {
            Cause::Characteristic => stakes.needless_visit,
            Cause::Condition(Hazard::DoNotDrive) => stakes.drove_in,
            Cause::Condition(_) | Cause::Other => 0.0,
        },
        Verdict::DoNotDrive => match cause {
            Cause::Characteristic => stakes.needless_recovery + stakes.needless_visit,
            Cause::Condition(Hazard::DoNotDrive) => 0.0,
            Cause::Condition(_) | Cause::Other => stakes.needless_recovery,
        },
    }
}

/// The best verdict if nothing more is asked.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stop {
    /// The verdict.
    pub verdict: Verdict,
    /// Its loss, weighted: minutes times the weight of the state.
    pub loss: f64,
    /// Weight of the state: the sum over the candidates.
    pub total: f64,
}

/// Two values nearer than this share of the state's weight count as equal; the first in order then stands.
pub(super) const TIE: f64 = 1e-12;

/// A problem, ready for arithmetic.
#[derive(Clone, Debug)]
pub struct Model<'a> {
    /// The problem itself.
    pub problem: &'a Problem,
    /// Its gates.
    pub gates: Gates,
    /// By check, by answer: the likelihood under each candidate.
    columns: Vec<Vec<Vec<f64>>>,
    /// Where the classes of candidates end: characteristics, then conditions by hazard; then comes `other`.
    ends: [usize; 4],
}

impl<'a> Model<'a> {
    /// Lays a problem out for arithmetic.
    pub fn new(problem: &'a Problem) -> Self {
        let class_of = |cause: Cause| match cause {
            Cause::Characteristic => 0,
            Cause::Condition(Hazard::None) => 1,
            Cause::Condition(Hazard::DriveWithCare) => 2,
            Cause::Condition(Hazard::DoNotDrive) => 3,
            Cause::Other => 4,
        };
        let end = |class: usize| problem.candidates.iter().take_while(|it| class_of(it.cause) <= class).count();
        let ends = [end(0), end(1), end(2), end(3)];
        Self { problem, gates: Gates::of(problem), columns: columns(problem), ends }
    }

    /// Likelihood of an answer under each candidate; none for "not sure", which counts for nothing.
    pub fn column(&self, check: usize, answer: usize) -> Option<&[f64]> {
        self.columns.get(check)?.get(answer).map(Vec::as_slice)
    }

    /// The best verdict that the gates and alarms leave open, safer ones first where they cost the same.
    pub fn stop(&self, weights: &[f64], standing: Standing) -> Stop {
        let (classes, stakes) = (self.by_class(weights), &self.problem.stakes);
        let Classes { normal, fault, care, stop } = classes;
        let total = normal + fault + care + stop;
        let recovery = stakes.needless_recovery * (total - stop).max(0.0) + stakes.needless_visit * normal;
        let mut best = Stop { verdict: Verdict::DoNotDrive, loss: recovery, total };
        if standing.floor == Floor::DoNotDrive {
            return best;
        }
        better(&mut best, Verdict::BookIn, stakes.needless_visit * normal + stakes.drove_in * stop);
        if standing.floor == Floor::Open && self.gates.all_ruled_out(standing) && !other_leads(weights) {
            let missed = stakes.missed_fault * fault + stakes.missed_care * care + stakes.missed_stop * stop;
            for candidate in self.gates.explainable(standing) {
                let own = weights.get(candidate).copied().unwrap_or(0.0);
                let wrong = stakes.wrong_explanation * (normal - own).max(0.0);
                better(&mut best, Verdict::Explain(candidate), missed + wrong);
            }
        }
        best
    }

    /// What every flow loses from here, whatever it asks: once no characteristic can be explained any more, each of
    /// them costs a visit. `to_come` is all that further answers could show.
    pub(super) fn sure_loss(&self, weights: &[f64], standing: Standing, to_come: Standing) -> f64 {
        if self.gates.may_explain(standing, to_come) {
            return 0.0;
        }
        let normal: f64 = weights.get(..self.ends[0]).map_or(0.0, |part| part.iter().sum());
        self.problem.stakes.needless_visit * normal
    }

    fn by_class(&self, weights: &[f64]) -> Classes {
        let [normal, fault, care, stop] = self.ends;
        let sum = |from: usize, to: usize| weights.get(from..to).map_or(0.0, |part| part.iter().sum());
        let other = weights.get(stop..).map_or(0.0, |part| part.iter().sum::<f64>());
        let fault = (normal, fault);
        Classes {
            normal: sum(0, normal),
            fault: sum(fault.0, fault.1) + other,
            care: sum(fault.1, care),
            stop: sum(care, stop),
        }
    }

    /// The verdict if nothing more than these answers is known.
    pub fn stop_after(&self, answers: &Answers) -> Stop {
        self.stop(&self.problem.weights(answers), self.gates.standing(answers))
    }

    /// Whether the gates, the alarms and the ranking leave a verdict open after these answers.
    pub fn allows(&self, verdict: Verdict, answers: &Answers) -> bool {
        let standing = self.gates.standing(answers);
        let Verdict::Explain(candidate) = verdict else { return verdict.allowed_by(standing.floor) };
        let explainable = self.gates.explainable(standing).any(|it| it == candidate);
        explainable && !other_leads(&self.problem.weights(answers))
    }

    /// What a verdict costs after weights, in minutes times weight.
    pub fn loss_of(&self, verdict: Verdict, weights: &[f64]) -> f64 {
        let stakes = &self.problem.stakes;
        let causes = self.problem.candidates.iter().zip(weights).enumerate();
        causes.map(|(at, (it, weight))| weight * loss(stakes, verdict, at, it.cause)).sum()
    }
}

fn columns(problem: &Problem) -> Vec<Vec<Vec<f64>>> {
    let cell = |check: usize, answer: usize| {
        let rows = problem.candidates.iter();
        rows.map(|it| it.rows.get(check).and_then(|row| row.get(answer)).copied().unwrap_or(0.0)).collect()
    };
    let checks = problem.checks.iter().enumerate();
    checks.map(|(at, check)| (0..check.answers.len()).map(|answer| cell(at, answer)).collect()).collect()
}

fn better(best: &mut Stop, verdict: Verdict, loss: f64) {
    if loss < best.loss - TIE * best.total {
        best.verdict = verdict;
        best.loss = loss;
    }
}

/// By what share `other` must outweigh a listed candidate: a tie is no lead, whatever the last bits say.
const CLEAR_LEAD: f64 = 1.0 + 1e-9;

/// Whether `other`, the last candidate, outweighs every one that is listed.
pub fn other_leads(weights: &[f64]) -> bool {
    let Some((other, listed)) = weights.split_last() else { return false };
    listed.iter().all(|weight| weight * CLEAR_LEAD < *other)
}

/// Weights added up by what a verdict costs under them.
struct Classes {
    normal: f64,
    fault: f64,
    care: f64,
    stop: f64,
}
