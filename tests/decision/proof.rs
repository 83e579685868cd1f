//! Proofs on flows against the enumeration of every path, on 2,000 random flows with and without holes.

use super::policy::{may_ask, paths};
use super::random::{Chance, Size, problem};
use baybook::decision::{
    Act, Answers, Cause, Flow, Given, Hazard, Method, Model, Problem, Verdict, WrittenFlow, WrittenStep, compile_by,
    prove, read_written, told,
};
use baybook::diagnostic::{FileId, Mark, MarkId, Span, Spanned};
use std::collections::{BTreeMap, BTreeSet};

const SIZE: Size = Size { checks: (2, 5), answers: (2, 3), candidates: (2, 7), max_questions: 4 };

fn name(step: usize) -> String {
    format!("step-{step}")
}

/// A place of its own for everything that is written.
fn spanned(text: impl Into<String>, at: &mut usize) -> Spanned<String> {
    *at += 10;
    Spanned::new(text.into(), Span::new(FileId(1), *at..*at + 5))
}

fn verdict_step(chance: &mut Chance, problem: &Problem, at: &mut usize) -> WrittenStep {
    let of = |normal: bool| {
        let wanted = problem.candidates.iter().filter(move |it| match it.cause {
            Cause::Characteristic => normal,
            Cause::Condition(_) => !normal,
            Cause::Other => false,
        });
        wanted.map(|it| it.id.clone()).collect::<Vec<_>>()
    };
    let (characteristics, conditions) = (of(true), of(false));
    let leads: Vec<Spanned<String>> =
        conditions.into_iter().filter(|_| chance.happens(70)).map(|id| spanned(id, at)).collect();
    match chance.between(0, 3) {
        0 => WrittenStep::BookIn { leads },
        1 => WrittenStep::DoNotDrive { leads },
        _ => WrittenStep::Explain { characteristic: spanned(chance.of(&characteristics), at) },
    }
}

/// A flow whose edges all lead to later steps; the last steps are verdicts. Checks may be asked twice on a path.
fn random_flow(chance: &mut Chance, problem: &Problem) -> WrittenFlow {
    let (asks, verdicts, mut at) = (chance.between(1, 8), chance.between(1, 5), 0);
    let mut steps = Vec::new();
    for step in 0..asks {
        let check = chance.of(&problem.checks);
        let answers = check.answers.iter().cloned().chain(["not-sure".into()]);
        let edges = answers.map(|answer| {
            let to = chance.between(step + 1, (step + 3).min(asks + verdicts - 1));
            (spanned(answer, &mut at), spanned(name(to), &mut at))
        });
        let edges = edges.collect();
        steps.push((spanned(name(step), &mut at), WrittenStep::Ask { check: spanned(check.id, &mut at), edges }));
    }
    for step in asks..asks + verdicts {
        let written = verdict_step(chance, problem, &mut at);
        steps.push((spanned(name(step), &mut at), written));
    }
    WrittenFlow { start: spanned(name(0), &mut at), steps }
}

/// A compiled flow written down again: it has no holes.
fn sound_flow(problem: &Problem) -> WrittenFlow {
    let compiled = compile_by(&Model::new(problem), Method::Exact).flow;
    let mut at = 0;
    let id = |candidate: &usize| problem.candidates[*candidate].id.clone();
    let step = |step: &Act, at: &mut usize| match step {
        Act::Ask { check, next } => {
            let it = &problem.checks[*check];
            let edge = |(answer, to): (usize, &Option<usize>)| (it.answer_id(answer).to_owned(), name(to.unwrap()));
            let edges: Vec<(String, String)> = next.iter().enumerate().map(edge).collect();
            let edges = edges.into_iter().map(|(answer, to)| (spanned(answer, at), spanned(to, at))).collect();
            WrittenStep::Ask { check: spanned(it.id.clone(), at), edges }
        }
        Act::Stop { verdict: Verdict::Explain(it), .. } => WrittenStep::Explain { characteristic: spanned(id(it), at) },
        Act::Stop { verdict, leads } => {
            let leads = leads.iter().map(|lead| spanned(id(lead), at)).collect();
            if *verdict == Verdict::BookIn { WrittenStep::BookIn { leads } } else { WrittenStep::DoNotDrive { leads } }
        }
        Act::Broken => unreachable!(),
    };
    let steps = compiled.steps.iter().enumerate().map(|(number, it)| {
        let written = step(&it.act, &mut at);
        (spanned(name(number), &mut at), written)
    });
    let steps = steps.collect();
    WrittenFlow { start: spanned(name(0), &mut at), steps }
}

/// Sends one answer somewhere else among the later verdicts.
fn plant(chance: &mut Chance, flow: &mut WrittenFlow) {
    let verdicts: Vec<String> = flow
        .steps
        .iter()
        .filter(|(_, step)| !matches!(step, WrittenStep::Ask { .. }))
        .map(|(name, _)| name.value.clone())
        .collect();
    let target = chance.of(&verdicts);
    let mut edges: Vec<&mut Spanned<String>> = flow
        .steps
        .iter_mut()
        .filter_map(|(_, step)| if let WrittenStep::Ask { edges, .. } = step { Some(edges) } else { None })
        .flatten()
        .map(|(_, to)| to)
        .collect();
    if !edges.is_empty() {
        let at = chance.between(0, edges.len() - 1);
        edges[at].value = target;
    }
}

type Found = BTreeSet<(&'static str, String, String)>;

fn given(answers: &Answers, wanted: &[Given]) -> bool {
    wanted.iter().any(|it| answers.get(it.check) == Some(it.answer))
}

fn other_leads(problem: &Problem, answers: &Answers) -> bool {
    let known = |check: usize, answer: usize| answer < problem.checks[check].answers.len();
    let weight = |it: &baybook::decision::Candidate| {
        let rows = answers.given().filter(|(check, answer)| known(*check, *answer));
        rows.fold(it.weight, |weight, (check, answer)| weight * it.rows[check][answer])
    };
    let weights: Vec<f64> = problem.candidates.iter().map(weight).collect();
    let (other, listed) = weights.split_last().unwrap();
    listed.iter().all(|it| it * (1.0 + 1e-9) < *other)
}

/// What breaks at the end of one path, clause by clause.
fn broken(problem: &Problem, answers: &Answers, verdict: Verdict, step: &str, found: &mut Found) {
    for it in &problem.candidates {
        let ignored = match it.cause.hazard() {
            Hazard::None => false,
            Hazard::DriveWithCare => matches!(verdict, Verdict::Explain(_)),
            Hazard::DoNotDrive => verdict != Verdict::DoNotDrive,
        };
        if ignored && given(answers, &it.alarm) {
            found.insert(("alarm-ignored", step.into(), it.id.clone()));
        }
        let open = it.cause.hazard() != Hazard::None && !given(answers, &it.ruled_out_by);
        if matches!(verdict, Verdict::Explain(_)) && open {
            found.insert(("explain-ungated", step.into(), it.id.clone()));
        }
    }
    let Verdict::Explain(explained) = verdict else { return };
    let it = &problem.candidates[explained];
    for needed in it.only_if.iter().filter(|needed| !given(answers, &needed.answers)) {
        found.insert(("explain-ungated", step.into(), format!("only-if {}", needed.check)));
    }
    if given(answers, &it.not_if) {
        found.insert(("explain-ungated", step.into(), "not-if".into()));
    }
    if other_leads(problem, answers) {
        found.insert(("explain-ungated", step.into(), "other-leads".into()));
    }
}

/// Everything that breaks on any path, and the paths told in full, by what breaks on them.
fn by_enumeration(problem: &Problem, flow: &Flow) -> (Found, BTreeSet<String>) {
    let (mut found, mut told_paths) = (Found::new(), BTreeSet::new());
    for (path, step) in ordered_paths(flow) {
        let answers: Answers = path.iter().copied().collect();
        let it = &flow.steps[step];
        match it.act {
            Act::Stop { verdict, .. } => broken(problem, &answers, verdict, &it.name, &mut found),
            Act::Ask { check, .. } if answers.get(check).is_none() && !may_ask(problem, &answers, check) => {
                let stops = problem.candidates.iter().filter(|it| it.cause.hazard() == Hazard::DoNotDrive);
                let open = stops.filter(|it| !given(&answers, &it.ruled_out_by));
                found.extend(open.map(|open| ("road-test-ungated", it.name.clone(), open.id.clone())));
            }
            _ => {}
        }
        told_paths.insert(format!("{}|{}", it.name, told(problem, path.iter().copied(), "").full));
    }
    (found, told_paths)
}

/// Every way to every step, with the questions in the order asked; a check that was answered is passed over.
fn ordered_paths(flow: &Flow) -> Vec<(Vec<(usize, usize)>, usize)> {
    let mut found = Vec::new();
    let mut ahead = vec![(Vec::new(), flow.start.unwrap())];
    while let Some((path, step)) = ahead.pop() {
        if let Act::Ask { check, next } = &flow.steps[step].act {
            let known = path.iter().find(|(asked, _)| asked == check).map(|(_, answer)| *answer);
            for (answer, to) in next.iter().enumerate().filter(|(answer, _)| known.is_none_or(|it| it == *answer)) {
                let mut longer: Vec<(usize, usize)> = path.clone();
                longer.extend(known.is_none().then_some((*check, answer)));
                ahead.extend(to.map(|to| (longer, to)));
            }
        }
        found.push((path, step));
    }
    found
}

fn by_proof(marks: &[Mark]) -> Found {
    let mut found = Found::new();
    for mark in marks {
        let fact = |name| mark.fact(name).unwrap_or_default().to_owned();
        let what = match (mark.id, mark.fact("gate")) {
            (MarkId::ExplainUngated, Some("only-if")) => vec![format!("only-if {}", fact("check"))],
            (MarkId::ExplainUngated, Some("hazard")) | (MarkId::RoadTestUngated | MarkId::AlarmIgnored, _) => {
                let also = fact("also");
                let also = also.split(", ").filter(|id| !id.is_empty()).map(str::to_owned);
                also.chain([fact("hazard")]).collect()
            }
            (MarkId::ExplainUngated, Some(gate)) => vec![gate.to_owned()],
            _ => Vec::new(),
        };
        found.extend(what.into_iter().map(|what| (mark.id.name(), fact("step"), what)));
    }
    found
}

fn check(seed: u64, problem: &Problem, written: &WrittenFlow) -> usize {
    let (flow, faults) = read_written(written, problem);
    assert!(faults.is_empty(), "{seed}: {faults:?}");
    let marks = prove(&Model::new(problem), &flow);
    let (wanted, paths) = by_enumeration(problem, &flow);
    assert_eq!(by_proof(&marks), wanted, "{seed}");
    let reached: BTreeSet<usize> = ordered_paths(&flow).into_iter().map(|(_, step)| step).collect();
    let lost: BTreeSet<&str> =
        marks.iter().filter(|it| it.id == MarkId::UnreachableStep).filter_map(|it| it.fact("step")).collect();
    let unreached =
        flow.steps.iter().enumerate().filter(|(at, _)| !reached.contains(at)).map(|(_, it)| it.name.as_str());
    let unreached: BTreeSet<&str> = unreached.collect();
    assert!(lost.is_subset(&unreached) && lost.is_empty() == unreached.is_empty(), "{seed}");
    for mark in marks.iter().filter(|mark| mark.fact("full_path").is_some()) {
        let full = mark.fact("full_path").unwrap();
        let path = full.rsplit_once(" → ").map_or("", |(path, _)| path);
        let told = paths.iter().any(|it| {
            it.strip_prefix(&format!("{}|", mark.fact("step").unwrap()))
                .is_some_and(|it| it.trim_end_matches(" → ") == path)
        });
        assert!(told, "{seed}: no such path: {full}");
    }
    wanted.len()
}

#[test]
fn proofs_find_what_enumeration_of_every_path_finds() {
    let (mut holes, mut sound) = (0, 0);
    for seed in 0..1000 {
        let problem = problem(seed, SIZE);
        let flow = random_flow(&mut Chance(seed + 77), &problem);
        let found = check(seed, &problem, &flow);
        (holes, sound) = (holes + usize::from(found > 0), sound + usize::from(found == 0));
    }
    for seed in 1000..2000 {
        let problem = problem(seed, SIZE);
        let chance = &mut Chance(seed + 77);
        let mut flow = sound_flow(&problem);
        let planted = chance.happens(60);
        if planted {
            plant(chance, &mut flow);
        }
        let found = check(seed, &problem, &flow);
        assert!(planted || found == 0, "{seed}: a compiled flow breaks a gate");
        (holes, sound) = (holes + usize::from(found > 0), sound + usize::from(found == 0));
    }
    assert!(holes > 500 && sound > 500, "{holes} with holes, {sound} without");
}

/// One structural hole in a sound flow, and the mark that it must earn.
#[test]
fn structural_holes_are_found_each_by_its_own_mark() {
    for seed in 0..300 {
        let problem = problem(seed, SIZE);
        let sound = sound_flow(&problem);
        let asks: Vec<usize> =
            (0..sound.steps.len()).filter(|at| matches!(sound.steps[*at].1, WrittenStep::Ask { .. })).collect();
        if asks.is_empty() {
            continue;
        }
        let chance = &mut Chance(seed);
        for wanted in
            [MarkId::MissingAnswer, MarkId::DeadEnd, MarkId::UnknownAnswer, MarkId::FlowLoop, MarkId::UnreachableStep]
        {
            let mut flow = sound.clone();
            let ask = chance.of(&asks);
            if wanted == MarkId::UnreachableStep {
                let at = &mut 9_000_000;
                flow.steps.push((spanned("spare", at), WrittenStep::BookIn { leads: Vec::new() }));
            } else if let WrittenStep::Ask { edges, .. } = &mut flow.steps[ask].1 {
                let edge = chance.between(0, edges.len() - 1);
                match wanted {
                    MarkId::MissingAnswer => drop(edges.remove(edge)),
                    MarkId::DeadEnd => edges[edge].1.value.push('x'),
                    MarkId::UnknownAnswer => edges[edge].0.value.push('x'),
                    _ => edges[edge].1.value = name(0),
                }
            }
            let (read, mut marks) = read_written(&flow, &problem);
            marks.extend(prove(&Model::new(&problem), &read));
            let count = marks.iter().filter(|mark| mark.id == wanted).count();
            assert_eq!(count, 1, "{seed}: {} in {marks:?}", wanted.name());
            let slip = matches!(wanted, MarkId::DeadEnd | MarkId::UnknownAnswer);
            let structural = [MarkId::MissingAnswer, MarkId::UnreachableStep, MarkId::FlowLoop];
            assert!(!slip || !marks.iter().any(|mark| structural.contains(&mark.id)), "{seed}: followers {marks:?}");
        }
    }
}

#[test]
fn paths_are_told_in_shop_words() {
    let mut problem = problem(1, SIZE);
    problem.checks[0].title = "hum on smooth road".into();
    problem.checks[1].title = "swerve changes it".into();
    let two = told(&problem, [(0, 1), (1, usize::MAX)].into_iter(), "explain 'block-tread hum'");
    assert_eq!(two.short, "hum on smooth road: no → swerve changes it: not sure → explain 'block-tread hum'");
    let many = told(&problem, (0..6).map(|at| (at % 2, 0)), "book in");
    assert_eq!(many.short, "hum on smooth road: yes → swerve changes it: yes → … → swerve changes it: yes → book in");
    assert_eq!(many.full.matches('→').count(), 6);
}

/// What a flow in which no check is asked twice has in common with its steps: every path is told apart.
#[test]
fn unfolding_keeps_every_path_and_adds_none() {
    for seed in 0..200 {
        let problem = problem(seed, SIZE);
        let (flow, _) = read_written(&random_flow(&mut Chance(seed + 5), &problem), &problem);
        let unfolded = baybook::decision::Unfolded::of(&flow, &problem);
        let mut ways: BTreeMap<usize, usize> = BTreeMap::from([(0, 1)]);
        let mut ends = 0;
        for (at, node) in unfolded.nodes.iter().enumerate() {
            let here = ways.get(&at).copied().unwrap_or(0);
            node.edges.iter().for_each(|(_, to)| *ways.entry(*to).or_default() += here);
            ends += if node.edges.is_empty() { here } else { 0 };
        }
        assert_eq!(ends, paths(&flow).len(), "{seed}");
    }
}
