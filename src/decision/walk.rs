//! Walking a flow with answers given in any order: the chances now, the question that is next, or the verdict.
//!
//! The flow decides what is asked; checks that were answered already are passed over. What was volunteered beside
//! the flow counts in the chances and against a verdict that its gates or alarms forbid, never for a milder one.

use super::bay_plan::{BayPlan, bay_plan};
use super::flow::{Act, Flow, leads};
use super::gates::Floor;
use super::model::{Model, Verdict, other_leads};
use super::problem::{Answers, Cause, Place};
use serde::{Deserialize, Serialize};

/// Where a walk stands.
#[derive(Clone, Debug, PartialEq)]
pub struct Walk {
    /// Candidate and chance, most probable first; equal ones by kind and id.
    pub chances: Vec<(usize, f64)>,
    /// Step of the flow and the check it asks, if there is a question left to ask.
    pub next: Option<(usize, usize)>,
    /// The verdict, once it stands. After an alarm of a do-not-drive condition it stands even while questions are
    /// left.
    pub verdict: Option<Outcome>,
    /// What still forbids to explain the leading characteristic.
    pub open_gates: Vec<OpenGate>,
}

/// A verdict and what belongs to it.
#[derive(Clone, Debug, PartialEq)]
pub struct Outcome {
    /// Step of the flow that gave it; none if answers beside the flow did.
    pub step: Option<usize>,
    /// The verdict.
    pub verdict: Verdict,
    /// Conditions to look at first.
    pub leads: Vec<usize>,
    /// Bay plan of a `book-in`.
    pub bay_plan: BayPlan,
}

/// Something that must hold, and does not, before a vehicle is called normal.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum OpenGate {
    /// A condition with a hazard was not ruled out.
    RuleOut(usize),
    /// A check that the leading characteristic needs was not answered as required, by position in its `only_if`.
    OnlyIf(usize, usize),
    /// An answer speaks against the leading characteristic.
    NotIf(usize),
    /// An alarm was given.
    Alarm(Floor),
    /// None of the listed candidates fits best.
    OtherLeads,
}

/// Walks a flow. `hand_written` flows keep the leads that were written.
pub fn walk(model: &Model<'_>, flow: &Flow, hand_written: bool, answers: &Answers) -> Walk {
    let problem = model.problem;
    let floor = model.gates.standing(answers).floor;
    let chances = problem.chances(answers);
    let (arrived, next) = follow(model, flow, answers);
    let written = arrived.and_then(|step| match &flow.steps.get(step)?.act {
        Act::Stop { verdict, leads } => Some((step, *verdict, leads.clone())),
        Act::Ask { .. } | Act::Broken => None,
    });
    let verdict = match written {
        Some((step, verdict, written)) if model.allows(verdict, answers) => {
            let found = if matches!(verdict, Verdict::Explain(_)) { Vec::new() } else { leads(problem, answers) };
            Some((Some(step), verdict, if hand_written { written } else { found }))
        }
        Some(_) => Some((None, forced(floor), leads(problem, answers))),
        None if floor == Floor::DoNotDrive => Some((None, Verdict::DoNotDrive, leads(problem, answers))),
        None => None,
    };
    let verdict = verdict.map(|(step, verdict, leads)| {
        let plan = if verdict == Verdict::BookIn { bay_plan(problem, &leads, &chances) } else { BayPlan::default() };
        Outcome { step, verdict, leads, bay_plan: plan }
    });
    Walk { chances: ranking(model, &chances), next, verdict, open_gates: open_gates(model, answers) }
}

/// The verdict that a walk comes to, if it comes to one.
pub fn verdict_after(model: &Model<'_>, flow: &Flow, answers: &Answers) -> Option<Verdict> {
    let floor = model.gates.standing(answers).floor;
    let step = follow(model, flow, answers).0.and_then(|step| flow.steps.get(step));
    match step.map(|step| &step.act) {
        Some(Act::Stop { verdict, .. }) if model.allows(*verdict, answers) => Some(*verdict),
        Some(Act::Stop { .. }) => Some(forced(floor)),
        _ => (floor == Floor::DoNotDrive).then_some(Verdict::DoNotDrive),
    }
}

fn forced(floor: Floor) -> Verdict {
    if floor == Floor::DoNotDrive { Verdict::DoNotDrive } else { Verdict::BookIn }
}

/// The verdict step that is arrived at, or the question that is. A drive is not asked for after an alarm that
/// forbids driving.
fn follow(model: &Model<'_>, flow: &Flow, answers: &Answers) -> (Option<usize>, Option<(usize, usize)>) {
    let stop = model.gates.standing(answers).floor == Floor::DoNotDrive;
    let mut at = flow.start;
    for _ in 0..=flow.steps.len() {
        let Some(step) = at else { return (None, None) };
        match flow.steps.get(step).map(|it| &it.act) {
            Some(Act::Ask { check, next }) => match answers.get(*check) {
                Some(answer) => at = next.get(answer).copied().flatten(),
                None => {
                    let drives = model.problem.checks.get(*check).is_some_and(|it| it.place == Place::RoadTest);
                    return (None, (!(drives && stop)).then_some((step, *check)));
                }
            },
            _ => return (Some(step), None),
        }
    }
    (None, None)
}

/// What can be the cause by falling chance; equal ones by kind and id.
pub fn ranking(model: &Model<'_>, chances: &[f64]) -> Vec<(usize, f64)> {
    let key = |at: usize| model.problem.candidates.get(at).map(|it| (it.cause.kind(), it.id.as_str()));
    let chance = |at: usize| Some((at, *chances.get(at)?));
    let mut ranked: Vec<(usize, f64)> = model.problem.causes().filter_map(chance).collect();
    ranked.sort_by(|a, b| b.1.total_cmp(&a.1).then_with(|| key(a.0).cmp(&key(b.0))));
    ranked
}

/// What still forbids to explain the characteristic that leads among the characteristics.
pub fn open_gates(model: &Model<'_>, answers: &Answers) -> Vec<OpenGate> {
    let (problem, standing) = (model.problem, model.gates.standing(answers));
    let weights = problem.weights(answers);
    let normal = |at: &(usize, f64)| problem.candidates.get(at.0).is_some_and(|it| it.cause == Cause::Characteristic);
    let mut gates: Vec<OpenGate> = model.gates.not_ruled_out(standing, false).map(OpenGate::RuleOut).collect();
    if let Some((leading, _)) = ranking(model, &weights).into_iter().find(normal) {
        gates.extend(model.gates.not_met(standing, leading).map(|it| OpenGate::OnlyIf(leading, it)));
        gates.extend(model.gates.is_barred(standing, leading).then_some(OpenGate::NotIf(leading)));
    }
    gates.extend((standing.floor != Floor::Open).then_some(OpenGate::Alarm(standing.floor)));
    gates.extend(other_leads(&weights).then_some(OpenGate::OtherLeads));
    gates
}
