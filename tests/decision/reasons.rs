//! Walks with answers in any order, and the reasons that are given.

use super::policy::{may, paths};
use super::random::{Chance, Size, problem};
use baybook::decision::{
    Act, Answers, Floor, Flow, Hazard, Method, Model, Place, Problem, Verdict, balance, changes, compile_by, decibans,
    left_open, settled, verdict_after, walk, why,
};

const SIZE: Size = Size { checks: (3, 6), answers: (2, 3), candidates: (3, 8), max_questions: 4 };

fn each(mut act: impl FnMut(u64, &Problem, &Model<'_>, &Flow)) {
    for seed in 0..120 {
        let problem = problem(seed, SIZE);
        let model = Model::new(&problem);
        let flow = compile_by(&model, Method::Exact).flow;
        act(seed, &problem, &model, &flow);
    }
}

fn some_answers(chance: &mut Chance, problem: &Problem) -> Answers {
    let asked: Vec<usize> = (0..problem.checks.len()).filter(|_| chance.happens(60)).collect();
    asked.into_iter().map(|at| (at, chance.between(0, problem.checks[at].answers.len()))).collect()
}

#[test]
fn a_walk_along_the_flow_ends_at_its_step() {
    each(|seed, _, model, flow| {
        for (answers, step) in paths(flow) {
            let walked = walk(model, flow, false, &answers);
            let outcome = walked.verdict.unwrap();
            let Act::Stop { verdict, leads } = &flow.steps[step].act else { panic!() };
            assert_eq!((outcome.step, outcome.verdict), (Some(step), *verdict), "{seed}");
            // A step is shared by ways with the same first lead; the others are those of this way.
            assert_eq!(outcome.leads.first(), leads.first(), "{seed}");
            assert!(walked.next.is_none());
        }
    });
}

/// What is volunteered beside the flow never buys a milder verdict: whatever the answers, the verdict is one that
/// the gates allow, and nobody is sent on a drive after an alarm that forbids driving.
#[test]
fn no_answers_in_any_order_break_a_gate() {
    let mut verdicts = [0; 4];
    each(|seed, problem, model, flow| {
        let chance = &mut Chance(seed + 1);
        for _ in 0..40 {
            let answers = some_answers(chance, problem);
            let walked = walk(model, flow, false, &answers);
            let floor = model.gates.standing(&answers).floor;
            if let Some(outcome) = &walked.verdict {
                assert!(may(problem, &answers, outcome.verdict), "{seed}: {:?}", outcome.verdict);
                assert!(floor != Floor::DoNotDrive || outcome.verdict == Verdict::DoNotDrive);
            } else {
                assert!(walked.next.is_some() && floor != Floor::DoNotDrive, "{seed}: neither question nor verdict");
            }
            if let Some((_, check)) = walked.next {
                assert!(answers.get(check).is_none());
                assert!(floor != Floor::DoNotDrive || problem.checks[check].place != Place::RoadTest);
            }
            assert!(walked.chances.is_sorted_by(|a, b| a.1 >= b.1));
            assert!((walked.chances.iter().map(|it| it.1).sum::<f64>() - 1.0).abs() < 1e-9);
            assert_eq!(verdict_after(model, flow, &answers), walked.verdict.as_ref().map(|it| it.verdict));
            let kind = walked.verdict.map_or(3, |it| match it.verdict {
                Verdict::DoNotDrive => 0,
                Verdict::BookIn => 1,
                Verdict::Explain(_) => 2,
            });
            verdicts[kind] += 1;
        }
    });
    assert!(verdicts.iter().all(|count| *count > 20), "{verdicts:?}");
}

#[test]
fn weighings_add_up_to_the_odds() {
    each(|seed, problem, model, _| {
        let answers = some_answers(&mut Chance(seed), problem);
        let (leader, runner_up, weighed) = balance(model, &answers).unwrap();
        let weights = problem.weights(&answers);
        let wanted = decibans(weights[leader], weights[runner_up]);
        let sum: f64 = weighed.iter().map(|it| it.decibans).sum();
        assert!((sum - wanted).abs() < 1e-6 && wanted >= 0.0, "{seed}: {sum}, not {wanted}");
    });
}

#[test]
fn changes_are_the_smallest_that_change_the_verdict() {
    let mut told = 0;
    each(|seed, problem, model, flow| {
        for (answers, _) in paths(flow).into_iter().take(5) {
            let verdict = |answers: &Answers| {
                verdict_after(model, flow, answers).unwrap_or_else(|| model.stop_after(answers).verdict)
            };
            let now = verdict(&answers);
            let found = changes(model, flow, &answers);
            told += found.len();
            let size = found.first().map_or(0, |it| it.answers.len());
            for change in &found {
                let other = change.answers.iter().fold(answers.clone(), |all, it| all.with(it.check, it.answer));
                assert!(
                    change.answers.len() == size && verdict(&other) == change.verdict && change.verdict != now,
                    "{seed}"
                );
            }
            let single = answers.given().any(|(check, given)| {
                let others = (0..problem.checks[check].answers.len()).filter(move |it| *it != given);
                others.into_iter().any(|it| verdict(&answers.with(check, it)) != now)
            });
            assert_eq!(single, size == 1, "{seed}");
        }
    });
    assert!(told > 200);
}

/// Every combination of what is left, weighed.
fn same_decision(problem: &Problem, model: &Model<'_>, verdict: Verdict, answers: &Answers, open: &[usize]) -> f64 {
    let Some((check, rest)) = open.split_first() else {
        let total: f64 = problem.weights(answers).iter().sum();
        return if model.stop_after(answers).verdict == verdict { total } else { 0.0 };
    };
    let every = 0..problem.checks[*check].answers.len();
    every.map(|it| same_decision(problem, model, verdict, &answers.with(*check, it), rest)).sum()
}

/// What a verdict says of driving holds on every way to it, not on the shortest alone.
#[test]
fn a_step_leaves_open_what_some_path_to_it_leaves_open() {
    each(|seed, problem, _, flow| {
        let open = left_open(problem, flow);
        for (step, known) in open.iter().enumerate().filter(|(at, _)| matches!(flow.steps[*at].act, Act::Stop { .. })) {
            let here: Vec<Answers> =
                paths(flow).into_iter().filter(|(_, end)| *end == step).map(|(way, _)| way).collect();
            let is_open = |at: usize| {
                let it = &problem.candidates[at];
                let ruled_out = |way: &Answers| it.ruled_out_by.iter().any(|by| way.get(by.check) == Some(by.answer));
                it.cause.hazard() != Hazard::None && here.iter().any(|way| !ruled_out(way))
            };
            let wanted: Vec<usize> = (0..problem.candidates.len()).filter(|at| is_open(*at)).collect();
            let mut found = known.clone();
            assert!(found.is_sorted_by_key(|at| std::cmp::Reverse(problem.candidates[*at].cause.hazard())), "{seed}");
            found.sort_unstable();
            assert_eq!(found, wanted, "{seed}: step {step}");
        }
    });
}

#[test]
fn how_settled_a_verdict_is_agrees_with_enumeration() {
    each(|seed, problem, model, flow| {
        for (answers, step) in paths(flow).into_iter().take(5) {
            let Act::Stop { verdict, .. } = flow.steps[step].act else { panic!() };
            let drives = model.gates.may_road_test(model.gates.standing(&answers));
            let open: Vec<usize> = (0..problem.checks.len())
                .filter(|it| answers.get(*it).is_none() && (drives || problem.checks[*it].place != Place::RoadTest))
                .collect();
            let total: f64 = problem.weights(&answers).iter().sum();
            let wanted = same_decision(problem, model, verdict, &answers, &open) / total;
            assert!((settled(model, verdict, &answers) - wanted).abs() < 1e-9, "{seed}");
        }
    });
}

#[test]
fn the_question_asked_saves_minutes_against_every_other() {
    each(|seed, problem, model, _| {
        let compiled = compile_by(model, Method::Exact);
        for (step, ground) in compiled.flow.steps.iter().zip(&compiled.grounds) {
            let Act::Ask { check, .. } = step.act else { continue };
            let why = why(model, &ground.answers, check, &ground.moves);
            assert!(why.saved.is_none_or(|(minutes, other)| minutes >= -1e-9 && other != check), "{seed}");
            assert!(why.saved_against_stopping > 0.0, "{seed}");
            for hazard in why.rules_out {
                assert!(problem.candidates[hazard].ruled_out_by.iter().any(|it| it.check == check));
            }
        }
    });
}
