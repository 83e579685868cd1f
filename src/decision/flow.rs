//! A flow as published: steps as an acyclic graph, shared where they are equal. Compiled and hand-written flows
//! have this one type, so that everything said about flows is said about both.

use super::model::{Model, Verdict};
use super::problem::{Answers, Cause, Hazard, Problem};
use super::unfold::Unfolded;
use crate::diagnostic::{Span, Spanned};
use serde::{Deserialize, Serialize};

/// A flow. A hand-written one may be incomplete: its faults are found by the proof.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Flow {
    /// Position of the first step; none if the written start does not exist.
    pub start: Option<usize>,
    /// Steps.
    pub steps: Vec<Step>,
}

/// One step.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Step {
    /// Name as written; the number of the step in a compiled flow.
    pub name: String,
    /// Where it is written; the symptom for a compiled flow.
    pub span: Span,
    /// What happens.
    pub act: Act,
}

/// What a step does.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub enum Act {
    /// Asks a check.
    Ask {
        /// Its position.
        check: usize,
        /// The step after each answer, "not sure" last; none where nothing, or nothing that exists, was written.
        next: Vec<Option<usize>>,
    },
    /// Ends with a verdict.
    Stop {
        /// The verdict.
        verdict: Verdict,
        /// Conditions to look at first, by position, most probable first.
        leads: Vec<usize>,
    },
    /// A step that cannot be followed, because what it names is unknown; it has its own mark.
    Broken,
}

/// A hand-written flow as read.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
pub struct WrittenFlow {
    /// Name of the first step.
    pub start: Spanned<String>,
    /// Steps by name, in the order written.
    pub steps: Vec<(Spanned<String>, WrittenStep)>,
}

/// A hand-written step.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub enum WrittenStep {
    /// Asks a check; edges are answers and the steps after them.
    Ask {
        /// Id of the check.
        check: Spanned<String>,
        /// Answer, then the name of the step.
        edges: Vec<(Spanned<String>, Spanned<String>)>,
    },
    /// Explains a characteristic.
    Explain {
        /// Id of the characteristic.
        characteristic: Spanned<String>,
    },
    /// Books in.
    BookIn {
        /// Ids of the conditions to look at first.
        leads: Vec<Spanned<String>>,
    },
    /// Says not to drive.
    DoNotDrive {
        /// Ids of the conditions to look at first.
        leads: Vec<Spanned<String>>,
    },
}

/// What a flow costs.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Expected {
    /// Expected minutes of checks.
    pub minutes: f64,
    /// Expected loss of the verdicts, in minutes.
    pub loss: f64,
    /// The least possible sum of both without the limit on questions, where that is small enough to be worked out.
    pub optimum: Option<f64>,
}

/// How a step is arrived at.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Arrival {
    /// Chance that a concern arrives here.
    pub reach: f64,
    /// Chances of the candidates, given that it does; they add up to 1.
    pub chances: Vec<f64>,
}

/// Minutes, loss and arrivals of a flow, exactly: every path is counted.
pub fn evaluate(model: &Model<'_>, flow: &Flow) -> (Expected, Vec<Arrival>) {
    let problem = model.problem;
    let unfolded = Unfolded::of(flow, problem);
    let prior = problem.chances(&Answers::default());
    let mut at_node: Vec<Vec<f64>> = vec![vec![0.0; prior.len()]; unfolded.nodes.len()];
    let mut at_step: Vec<Vec<f64>> = vec![vec![0.0; prior.len()]; flow.steps.len()];
    if let Some(first) = at_node.first_mut() {
        first.clone_from(&prior);
    }
    let mut expected = Expected::default();
    for (node, place) in unfolded.nodes.iter().enumerate() {
        let here = at_node.get(node).cloned().unwrap_or_default();
        at_step.get_mut(place.step).into_iter().for_each(|sum| add(sum, &here));
        let asked = flow.steps.get(place.step).map(|step| &step.act);
        match asked {
            Some(Act::Ask { check, .. }) => {
                let minutes = problem.checks.get(*check).map_or(0.0, |it| it.minutes);
                expected.minutes += if place.known.is_some() { 0.0 } else { minutes * here.iter().sum::<f64>() };
                for (answer, to) in &place.edges {
                    let share = answer_share(model, *check, *answer, place.known.is_some());
                    let flowing: Vec<f64> = here.iter().zip(share).map(|(weight, share)| weight * share).collect();
                    at_node.get_mut(*to).into_iter().for_each(|sum| add(sum, &flowing));
                }
            }
            Some(Act::Stop { verdict, .. }) => expected.loss += model.loss_of(*verdict, &here),
            Some(Act::Broken) | None => {}
        }
    }
    (expected, at_step.into_iter().map(arrival).collect())
}

fn add(sum: &mut [f64], more: &[f64]) {
    sum.iter_mut().zip(more).for_each(|(sum, more)| *sum += more);
}

fn arrival(weights: Vec<f64>) -> Arrival {
    let reach: f64 = weights.iter().sum();
    let scale = if reach > 0.0 { 1.0 / reach } else { 0.0 };
    Arrival { reach, chances: weights.iter().map(|weight| weight * scale).collect() }
}

/// Chance of an answer under each candidate, "not sure" taken into account; 1 where the answer is already known.
fn answer_share(model: &Model<'_>, check: usize, answer: usize, known: bool) -> Vec<f64> {
    let candidates = model.problem.candidates.len();
    let unsure = model.problem.checks.get(check).map_or(0.0, |it| it.unsure);
    match model.column(check, answer) {
        _ if known => vec![1.0; candidates],
        None => vec![unsure; candidates],
        Some(column) => column.iter().map(|chance| (1.0 - unsure) * chance).collect(),
    }
}

/// A condition below this chance is no lead, unless it is the most probable one or an alarm was given for it.
pub const LEAST_LEAD: f64 = 0.02;

/// Conditions to look at first: those that cannot be the cause and have an alarm, by id; then the most probable first, equal ones
/// by id.
pub fn leads(problem: &Problem, answers: &Answers) -> Vec<usize> {
    let conditions = likely_conditions(problem, &problem.chances(answers));
    let (causes, beside): (Vec<_>, Vec<_>) = conditions.into_iter().partition(|(at, _)| problem.can_be_cause(*at));
    let beside = beside.into_iter().filter(|(at, _)| alarmed(problem, *at, answers));
    let leads = causes.into_iter().enumerate();
    let leads =
        leads.filter(|(rank, (at, chance))| *rank == 0 || *chance >= LEAST_LEAD || alarmed(problem, *at, answers));
    beside.chain(leads.map(|(_, lead)| lead)).map(|(at, _)| at).collect()
}

/// All conditions with their chances, most probable first; equal ones by id.
pub(super) fn likely_conditions(problem: &Problem, chances: &[f64]) -> Vec<(usize, f64)> {
    let is_condition = |at: &usize| matches!(problem.candidates.get(*at).map(|it| it.cause), Some(Cause::Condition(_)));
    let chance = |at: usize| chances.get(at).copied().unwrap_or(0.0);
    let id = |at: usize| problem.candidates.get(at).map(|it| it.id.as_str());
    let conditions = (0..problem.candidates.len()).filter(is_condition);
    let mut conditions: Vec<(usize, f64)> = conditions.map(|at| (at, chance(at))).collect();
    conditions.sort_by(|a, b| b.1.total_cmp(&a.1).then(id(a.0).cmp(&id(b.0))));
    conditions
}

/// Whether one of the answers is an alarm of a condition with a hazard.
pub(super) fn alarmed(problem: &Problem, candidate: usize, answers: &Answers) -> bool {
    let Some(candidate) = problem.candidates.get(candidate) else { return false };
    let hazard = candidate.cause.hazard() != Hazard::None;
    hazard && candidate.alarm.iter().any(|given| answers.get(given.check) == Some(given.answer))
}
