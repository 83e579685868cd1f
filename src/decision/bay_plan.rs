//! The order of bay checks after a `book-in`.
//!
//! With one cause at a time and independent checks that each settle their condition, the order of falling chance
//! per minute finds the cause in the least expected time (Kadane and Simon, "Optimal strategies for a class of
//! constrained sequential problems", 1977; Heckerman, Breese and Rommelse, "Decision-theoretic troubleshooting",
//! 1995; both recalled from memory).

use super::problem::Problem;
use serde::{Deserialize, Serialize};
use std::collections::BTreeSet;

/// One condition that a bay check can confirm.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct BayStep {
    /// Position among the bay checks.
    pub check: usize,
    /// Candidate that it confirms.
    pub confirms: usize,
    /// Id of the answer that confirms it.
    pub answer: String,
    /// Chance that it does.
    pub chance: f64,
    /// Minutes that this step adds: 0 if the check was made in the step before.
    pub minutes: f64,
    /// Chance of having found the cause by then.
    pub cumulative: f64,
}

/// A bay plan and what it takes.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct BayPlan {
    /// Steps in order.
    pub steps: Vec<BayStep>,
    /// Expected minutes until the cause is found or the plan is through.
    pub minutes: f64,
}

/// The plan for some leads, given the chances of all candidates.
pub fn bay_plan(problem: &Problem, leads: &[usize], chances: &[f64]) -> BayPlan {
    let mut open: BTreeSet<usize> = leads.iter().copied().collect();
    let mut plan = BayPlan::default();
    let mut found = 0.0;
    while let Some((check, _)) = best(problem, &open, chances) {
        let minutes = problem.bay_checks.get(check).map_or(0.0, |it| it.minutes);
        plan.minutes += minutes * (1.0 - found);
        let mut minutes = minutes;
        for lead in leads.iter().filter(|lead| open.contains(lead)) {
            let Some(answer) = confirming(problem, *lead, check) else { continue };
            let chance = chances.get(*lead).copied().unwrap_or(0.0);
            found += chance;
            plan.steps.push(BayStep { check, confirms: *lead, answer, chance, minutes, cumulative: found });
            minutes = 0.0;
        }
        open.retain(|lead| confirming(problem, *lead, check).is_none());
    }
    plan
}

/// The bay check with the greatest chance per minute of confirming one of the open leads; the first by id where
/// that is equal.
fn best(problem: &Problem, open: &BTreeSet<usize>, chances: &[f64]) -> Option<(usize, f64)> {
    let rate = |(at, check): (usize, &super::problem::BayCheck)| {
        let confirmed: Vec<&usize> = open.iter().filter(|lead| confirming(problem, **lead, at).is_some()).collect();
        let chance: f64 = confirmed.iter().filter_map(|lead| chances.get(**lead)).sum();
        (!confirmed.is_empty()).then(|| (at, chance / check.minutes.max(f64::MIN_POSITIVE)))
    };
    let rates = problem.bay_checks.iter().enumerate().filter_map(rate);
    rates.fold(None, |best: Option<(usize, f64)>, next| match best {
        Some(known) if known.1 >= next.1 => Some(known),
        _ => Some(next),
    })
}

fn confirming(problem: &Problem, lead: usize, check: usize) -> Option<String> {
    let confirm = problem.candidates.get(lead)?.confirm.iter().find(|it| it.check == check)?;
    Some(confirm.answer.clone())
}
