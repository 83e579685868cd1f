//! Reasons: why this question, what speaks for the leader and against it, what would change the verdict, how
//! settled it is.

use super::evidence::decibans;
use super::flow::{Act, Flow};
use super::gates::Standing;
use super::model::{Model, Verdict};
use super::problem::{Answers, Given};
use super::table::Moves;
use super::walk::{ranking, verdict_after};
use serde::{Deserialize, Serialize};

/// Why a question is asked next.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Why {
    /// Minutes saved on average against asking the next best check first, and that check; none if there is no other.
    pub saved: Option<(f64, usize)>,
    /// Minutes saved on average against stopping now with the best verdict.
    pub saved_against_stopping: f64,
    /// Hazards not yet ruled out that one of its answers rules out.
    pub rules_out: Vec<usize>,
    /// Hazards of which one of its answers is an alarm.
    pub alarms: Vec<usize>,
}

/// Why a check is asked after these answers, from the values that the policy weighed.
pub fn why(model: &Model<'_>, answers: &Answers, check: usize, moves: &Moves) -> Why {
    let total = if moves.stop.total > 0.0 { moves.stop.total } else { 1.0 };
    let own = moves.asks.iter().find(|(it, _)| *it == check).map(|(_, value)| *value);
    let better = |best: Option<(usize, f64)>, next: &(usize, f64)| match best {
        Some(known) if known.1 <= next.1 => Some(known),
        _ => Some(*next),
    };
    let others = moves.asks.iter().filter(|(it, value)| *it != check && value.is_finite());
    let next_best = others.fold(None, better);
    let saved = own.zip(next_best).map(|(own, (other, value))| ((value - own) / total, other));
    let of_check = |given: &Given| given.check == check;
    let hazards = model.gates.not_ruled_out(model.gates.standing(answers), false);
    let hazards: Vec<usize> = hazards.collect();
    let alarming = model.problem.alarming().filter(|at| hazards.contains(at) || !model.problem.can_be_cause(*at));
    let with = |list: fn(&super::problem::Candidate) -> &[Given], hazards: &[usize]| {
        let touches = |at: &&usize| model.problem.candidates.get(**at).is_some_and(|it| list(it).iter().any(of_check));
        hazards.iter().filter(touches).copied().collect()
    };
    Why {
        saved,
        saved_against_stopping: own.map_or(0.0, |own| (moves.stop.loss - own) / total),
        rules_out: with(|it| &it.ruled_out_by, &hazards),
        alarms: with(|it| &it.alarm, &alarming.collect::<Vec<_>>()),
    }
}

/// One reason for or against the leader.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Weighing {
    /// The answer; none for what was known before any answer.
    pub given: Option<Given>,
    /// Decibans for the leader against the runner-up.
    pub decibans: f64,
}

/// What speaks for the leader against the runner-up, the strongest first. The figures add up to the decibans
/// between them after all answers. None with fewer than two candidates.
pub fn balance(model: &Model<'_>, answers: &Answers) -> Option<(usize, usize, Vec<Weighing>)> {
    let problem = model.problem;
    let ranked = ranking(model, &problem.chances(answers));
    let (&(leader, _), &(runner_up, _)) = (ranked.first()?, ranked.get(1)?);
    let (a, b) = (problem.candidates.get(leader)?, problem.candidates.get(runner_up)?);
    let of = |(check, answer): (usize, usize)| {
        let chance = |it: &super::problem::Candidate| it.rows.get(check)?.get(answer).copied();
        Some(Weighing { given: Some(Given { check, answer }), decibans: decibans(chance(a)?, chance(b)?) })
    };
    let mut weighed: Vec<Weighing> = answers.given().filter_map(of).collect();
    weighed.push(Weighing { given: None, decibans: decibans(a.weight, b.weight) });
    weighed.sort_by(|x, y| y.decibans.abs().total_cmp(&x.decibans.abs()).then(x.given.cmp(&y.given)));
    Some((leader, runner_up, weighed))
}

/// A change of answers that would change the verdict.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Change {
    /// The answers as they would have to be.
    pub answers: Vec<Given>,
    /// The verdict then.
    pub verdict: Verdict,
}

/// The smallest changes of given answers that change the verdict: every single one that does, or else every pair.
/// Where the flow then asks something else, the verdict is the best one for what is known.
pub fn changes(model: &Model<'_>, flow: &Flow, answers: &Answers) -> Vec<Change> {
    let verdict =
        |answers: &Answers| verdict_after(model, flow, answers).unwrap_or_else(|| model.stop_after(answers).verdict);
    let now = verdict(answers);
    let singles: Vec<Given> = answers.given().flat_map(|(check, answer)| alternatives(model, check, answer)).collect();
    let changed = |given: &[Given]| {
        let other = given.iter().fold(answers.clone(), |answers, it| answers.with(it.check, it.answer));
        let then = verdict(&other);
        (then != now).then(|| Change { answers: given.to_vec(), verdict: then })
    };
    let one: Vec<Change> = singles.iter().filter_map(|it| changed(&[*it])).collect();
    if !one.is_empty() {
        return one;
    }
    let pairs = singles.iter().flat_map(|a| singles.iter().filter(move |b| a.check < b.check).map(move |b| [*a, *b]));
    pairs.filter_map(|pair| changed(&pair)).collect()
}

fn alternatives(model: &Model<'_>, check: usize, answer: usize) -> impl Iterator<Item = Given> {
    let answers = model.problem.checks.get(check).map_or(0, |it| it.answers.len());
    (0..answers).filter(move |it| *it != answer).map(move |answer| Given { check, answer })
}

/// Most combinations of further answers that are tried to see how settled a verdict is.
const MOST_COMBINATIONS: usize = 1024;

/// The chance that the best verdict would stay if the remaining checks were answered too ("same-decision
/// probability", Choi, Xue and Darwiche 2012). Where that is too many combinations, the checks that fit into
/// [`MOST_COMBINATIONS`] are counted, those that tell the two leading candidates apart best first. A check that
/// the gates do not allow to ask is left out.
pub fn settled(model: &Model<'_>, verdict: Verdict, answers: &Answers) -> f64 {
    let remaining = separators(model, answers);
    let mut combinations = 1;
    let fitting = remaining.into_iter().take_while(|check| {
        combinations *= model.problem.checks.get(*check).map_or(1, |it| it.answers.len().max(1));
        combinations <= MOST_COMBINATIONS
    });
    let fitting: Vec<usize> = fitting.collect();
    let (weights, standing) = (model.problem.weights(answers), model.gates.standing(answers));
    let total: f64 = weights.iter().sum();
    if total > 0.0 { same(model, verdict, &weights, standing, &fitting) / total } else { 1.0 }
}

fn same(model: &Model<'_>, verdict: Verdict, weights: &[f64], standing: Standing, remaining: &[usize]) -> f64 {
    let Some((check, rest)) = remaining.split_first() else {
        let stop = model.stop(weights, standing);
        return if stop.verdict == verdict { stop.total } else { 0.0 };
    };
    let count = model.problem.checks.get(*check).map_or(0, |it| it.answers.len());
    let after = |answer: usize| {
        let column = model.column(*check, answer).unwrap_or_default();
        let weights: Vec<f64> = weights.iter().zip(column).map(|(weight, chance)| weight * chance).collect();
        same(model, verdict, &weights, standing.and(model.gates.effect(*check, answer)), rest)
    };
    (0..count).map(after).sum()
}

/// Checks not asked yet that may be, those that tell the two leading candidates apart best first (by total
/// variation between their rows).
fn separators(model: &Model<'_>, answers: &Answers) -> Vec<usize> {
    let problem = model.problem;
    let ranked = ranking(model, &problem.chances(answers));
    let row = |rank: usize, check: usize| {
        let candidate = ranked.get(rank).and_then(|(at, _)| problem.candidates.get(*at));
        candidate.and_then(|it| it.rows.get(check)).cloned().unwrap_or_default()
    };
    let apart = |check: usize| row(0, check).iter().zip(row(1, check)).map(|(a, b)| (a - b).abs()).sum::<f64>();
    let may_drive = model.gates.may_road_test(model.gates.standing(answers));
    let open =
        problem.checks.iter().enumerate().filter(|(at, it)| {
            answers.get(*at).is_none() && (may_drive || it.place != super::problem::Place::RoadTest)
        });
    let mut open: Vec<(usize, f64)> = open.map(|(at, _)| (at, apart(at))).collect();
    open.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
    open.into_iter().map(|(at, _)| at).collect()
}

/// Chance below which an answer counts as unlikely under the leader.
const UNLIKELY: f64 = 0.05;

/// Answers that do not fit the leader.
pub fn misfits(model: &Model<'_>, answers: &Answers) -> Vec<Given> {
    let ranked = ranking(model, &model.problem.chances(answers));
    let leader = ranked.first().and_then(|(at, _)| model.problem.candidates.get(*at));
    let chance = |given: &Given| leader?.rows.get(given.check)?.get(given.answer).copied();
    let given = answers.given().map(|(check, answer)| Given { check, answer });
    given.filter(|it| chance(it).is_some_and(|chance| chance < UNLIKELY)).collect()
}

/// Answers on the shortest way to every step of a flow, so that reasons can be given for hand-written steps too.
pub fn first_ways(flow: &Flow) -> Vec<Option<Answers>> {
    let mut ways: Vec<Option<Answers>> = vec![None; flow.steps.len()];
    let mut queue: std::collections::VecDeque<(usize, Answers)> =
        flow.start.map(|it| (it, Answers::default())).into_iter().collect();
    while let Some((step, answers)) = queue.pop_front() {
        let Some(slot) = ways.get_mut(step).filter(|slot| slot.is_none()) else { continue };
        *slot = Some(answers.clone());
        if let Some(Act::Ask { check, next }) = flow.steps.get(step).map(|it| &it.act) {
            let known = answers.get(*check);
            let ahead = next.iter().enumerate().filter(|(answer, _)| known.is_none_or(|known| known == *answer));
            queue.extend(ahead.filter_map(|(answer, to)| Some(((*to)?, answers.with(*check, answer)))));
        }
    }
    ways
}
