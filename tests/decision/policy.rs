//! The exact policy against a search of every policy that shares nothing with it: gates and losses are read off
//! the contract's words again, and nothing is remembered between states.

use super::random::{Size, problem};
use baybook::decision::{
    Act, Answers, Candidate, Cause, Flow, Hazard, Method, Model, Place, Problem, Verdict, compile_by, evaluate,
    least_cost, method,
};

const TINY: Size = Size { checks: (1, 4), answers: (2, 3), candidates: (1, 6), max_questions: 3 };

fn given(answers: &Answers, wanted: &[baybook::decision::Given]) -> bool {
    wanted.iter().any(|it| answers.get(it.check) == Some(it.answer))
}

fn weights(problem: &Problem, answers: &Answers) -> Vec<f64> {
    let weight = |it: &Candidate| {
        let known = answers.given().filter(|(check, answer)| *answer < problem.checks[*check].answers.len());
        known.fold(it.weight, |weight, (check, answer)| weight * it.rows[check][answer])
    };
    problem.candidates.iter().map(weight).collect()
}

/// Whether a verdict may be given after these answers, clause by clause.
pub(crate) fn may(problem: &Problem, answers: &Answers, verdict: Verdict) -> bool {
    let hazard = |it: &&Candidate, at_least: Hazard| it.cause.hazard() >= at_least && it.cause.hazard() != Hazard::None;
    let alarmed = |at_least| problem.candidates.iter().any(|it| hazard(&it, at_least) && given(answers, &it.alarm));
    if alarmed(Hazard::DoNotDrive) {
        return verdict == Verdict::DoNotDrive;
    }
    let Verdict::Explain(candidate) = verdict else { return true };
    let mut hazards = problem.candidates.iter().filter(|it| hazard(it, Hazard::DriveWithCare));
    let it = &problem.candidates[candidate];
    let weights = weights(problem, answers);
    let (other, listed) = weights.split_last().unwrap();
    !alarmed(Hazard::DriveWithCare)
        && hazards.all(|it| given(answers, &it.ruled_out_by))
        && it.only_if.iter().all(|needed| given(answers, &needed.answers))
        && !given(answers, &it.not_if)
        && listed.iter().any(|weight| weight * (1.0 + 1e-9) >= *other)
}

/// Whether a check may be asked after these answers.
pub(crate) fn may_ask(problem: &Problem, answers: &Answers, check: usize) -> bool {
    let mut stops = problem.candidates.iter().filter(|it| it.cause.hazard() == Hazard::DoNotDrive);
    problem.checks[check].place != Place::RoadTest || stops.all(|it| given(answers, &it.ruled_out_by))
}

fn loss(problem: &Problem, verdict: Verdict, truth: usize) -> f64 {
    let (stakes, cause) = (&problem.stakes, problem.candidates[truth].cause);
    let normal = cause == Cause::Characteristic;
    let stop = cause == Cause::Condition(Hazard::DoNotDrive);
    match verdict {
        Verdict::Explain(it) if it == truth => 0.0,
        Verdict::Explain(_) if normal => stakes.wrong_explanation,
        Verdict::Explain(_) if stop => stakes.missed_stop,
        Verdict::Explain(_) if cause == Cause::Condition(Hazard::DriveWithCare) => stakes.missed_care,
        Verdict::Explain(_) => stakes.missed_fault,
        Verdict::BookIn if normal => stakes.needless_visit,
        Verdict::BookIn if stop => stakes.drove_in,
        Verdict::BookIn => 0.0,
        Verdict::DoNotDrive if stop => 0.0,
        Verdict::DoNotDrive if normal => stakes.needless_recovery + stakes.needless_visit,
        Verdict::DoNotDrive => stakes.needless_recovery,
    }
}

/// The least cost of every policy from here, by trying them all.
fn least(problem: &Problem, answers: &Answers, left: usize) -> f64 {
    let weights = weights(problem, answers);
    let total: f64 = weights.iter().sum();
    let explain = (0..problem.candidates.len()).filter(|it| problem.candidates[*it].cause == Cause::Characteristic);
    let verdicts = [Verdict::DoNotDrive, Verdict::BookIn].into_iter().chain(explain.map(Verdict::Explain));
    let of = |verdict| weights.iter().enumerate().map(|(at, weight)| weight * loss(problem, verdict, at)).sum::<f64>();
    let stop = verdicts.filter(|it| may(problem, answers, *it)).map(of).fold(f64::INFINITY, f64::min);
    let open = (0..problem.checks.len()).filter(|it| answers.get(*it).is_none() && may_ask(problem, answers, *it));
    let ask = |check: usize| {
        let it = &problem.checks[check];
        let after = |answer| least(problem, &answers.with(check, answer), left - 1);
        let answered: f64 = (0..it.answers.len()).map(after).sum();
        it.minutes * total + (1.0 - it.unsure) * answered + it.unsure * after(it.answers.len())
    };
    if left == 0 { stop } else { open.map(ask).fold(stop, f64::min) }
}

/// Every path of a flow, with the answers on it and the step it ends at.
pub(crate) fn paths(flow: &Flow) -> Vec<(Answers, usize)> {
    let mut found = Vec::new();
    let mut ahead = vec![(Answers::default(), flow.start.unwrap())];
    while let Some((answers, step)) = ahead.pop() {
        match &flow.steps[step].act {
            Act::Ask { check, next } => {
                let next = next.iter().enumerate().filter_map(|(answer, to)| to.map(|to| (answer, to)));
                let known = answers.get(*check);
                let open = next.filter(|(answer, _)| known.is_none_or(|known| known == *answer));
                ahead.extend(open.map(|(answer, to)| (answers.with(*check, answer), to)));
            }
            Act::Stop { .. } | Act::Broken => found.push((answers, step)),
        }
    }
    found
}

fn near(a: f64, b: f64) -> bool {
    (a - b).abs() <= 1e-9 * a.abs().max(b.abs()).max(1.0)
}

#[test]
fn exact_policy_costs_the_least_of_all_policies() {
    for seed in 0..200 {
        let problem = problem(seed, TINY);
        let model = Model::new(&problem);
        let total: f64 = problem.candidates.iter().map(|it| it.weight).sum();
        let wanted = least(&problem, &Answers::default(), problem.max_questions) / total;
        let (expected, _) = evaluate(&model, &compile_by(&model, Method::Exact).flow);
        assert!(near(least_cost(&model, problem.max_questions), wanted), "value of {seed}");
        assert!(near(expected.minutes + expected.loss, wanted), "flow of {seed}");
    }
}

#[test]
fn look_ahead_is_exact_where_three_checks_are_all() {
    for seed in 0..100 {
        let problem = problem(seed, TINY);
        let model = Model::new(&problem);
        assert_eq!(compile_by(&model, Method::LookAhead).flow, compile_by(&model, Method::Exact).flow, "{seed}");
    }
}

#[test]
fn compiled_flows_keep_every_gate_and_limit_on_every_path() {
    let size = Size { checks: (4, 8), answers: (2, 3), candidates: (3, 10), max_questions: 5 };
    for seed in 0..150 {
        let problem = problem(seed, size);
        let model = Model::new(&problem);
        for method in [Method::Exact, Method::LookAhead] {
            let flow = compile_by(&model, method).flow;
            for (answers, step) in paths(&flow) {
                assert!(answers.len() <= problem.max_questions);
                let Act::Stop { verdict, .. } = flow.steps[step].act else { panic!("a path without a verdict") };
                assert!(may(&problem, &answers, verdict), "{seed}: {verdict:?} after {answers:?}");
            }
            keeps_road_test_gate(&problem, &flow, flow.start.unwrap(), &Answers::default());
        }
    }
}

fn keeps_road_test_gate(problem: &Problem, flow: &Flow, step: usize, answers: &Answers) {
    if let Act::Ask { check, next } = &flow.steps[step].act {
        assert!(may_ask(problem, answers, *check));
        for (answer, to) in next.iter().enumerate() {
            keeps_road_test_gate(problem, flow, to.unwrap(), &answers.with(*check, answer));
        }
    }
}

#[test]
fn costs_of_a_flow_are_those_of_its_paths() {
    let size = Size { checks: (3, 6), answers: (2, 3), candidates: (2, 8), max_questions: 5 };
    for seed in 0..50 {
        let problem = problem(seed, size);
        let model = Model::new(&problem);
        let flow = compile_by(&model, Method::Exact).flow;
        let (expected, arrivals) = evaluate(&model, &flow);
        let prior: f64 = problem.candidates.iter().map(|it| it.weight).sum();
        let (mut minutes, mut lost, mut reach) = (0.0, 0.0, vec![0.0; flow.steps.len()]);
        for (answers, step) in paths(&flow) {
            let sure = |check: usize, answer: usize| {
                let it = &problem.checks[check];
                if answer == it.answers.len() { it.unsure } else { 1.0 - it.unsure }
            };
            let share: f64 = answers.given().map(|(check, answer)| sure(check, answer)).product();
            let weights: Vec<f64> = weights(&problem, &answers).iter().map(|it| it * share / prior).collect();
            let Act::Stop { verdict, .. } = flow.steps[step].act else { unreachable!() };
            reach[step] += weights.iter().sum::<f64>();
            minutes +=
                weights.iter().sum::<f64>() * answers.given().map(|(it, _)| problem.checks[it].minutes).sum::<f64>();
            lost += weights.iter().enumerate().map(|(at, weight)| weight * loss(&problem, verdict, at)).sum::<f64>();
        }
        assert!(near(minutes, expected.minutes) && near(lost, expected.loss), "{seed}");
        let arrived =
            arrivals.iter().zip(&flow.steps).zip(&reach).filter(|((_, it), _)| !matches!(it.act, Act::Ask { .. }));
        assert!(arrived.into_iter().all(|((arrival, _), reach)| near(arrival.reach, *reach)), "{seed}");
    }
}

#[test]
fn equal_entries_give_equal_flows_and_large_problems_look_ahead() {
    let size = Size { checks: (14, 14), answers: (3, 3), candidates: (8, 8), max_questions: 4 };
    let (one, same) = (problem(7, size), problem(7, size));
    assert_eq!(
        compile_by(&Model::new(&one), Method::LookAhead).flow,
        compile_by(&Model::new(&same), Method::LookAhead).flow
    );
    let methods = [(12, 2, 6), (8, 3, 6), (14, 3, 6), (20, 2, 3)].map(|(checks, answers, max_questions)| {
        let size = Size { checks: (checks, checks), answers: (answers, answers), candidates: (12, 12), max_questions };
        method(&Model::new(&problem(3, size)))
    });
    assert_eq!(methods, [Method::Exact, Method::Exact, Method::LookAhead, Method::Exact]);
}
