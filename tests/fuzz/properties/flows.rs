//! Decision flows: the front matter lines of a symptom, its flow among them.

use baybook::decision::{
    Act, Answers, Cause, Flow, Given, Hazard, Place, Problem, SymptomFlow, Verdict, decide, flow_data,
};
use baybook::diagnostic::{Mark, Severity};

use serde_json::Value as Json;

use super::folder::linked;

const DRIVE: &str = "---
title: Listen on the road
where: road-test
ask: Does it hum in the bend?
minutes: 5
hazards: [road-test]
basis: demo
systems: [wheels]
answers: {louder: Louder, same: The same}
---
";
const LOOK: &str = "---
title: Look at the tyre
where: walk-round
ask: Is the tread even?
minutes: 2
hazards: none
basis: demo
systems: [wheels]
answers: {even: Even, feathered: Feathered, bald: Bald}
---
";
const CARE: &str = "---
title: Bald tyre
hazard: drive-with-care
basis: demo
systems: [wheels]
accounts_for:
  - {symptom: hum, prior: 0.5, evidence: {look: {bald: usually}, drive: {louder: rarely}}}
ruled_out_by: {look: [even, feathered]}
alarm: {look: bald}
remedy: Fit a tyre.
---
";
/// What the base folder says of the hum, and that the tread shows it: where it does not, none of the causes may fit.
const TREAD: &str = "---
title: Hum of block tread
systems: [wheels]
basis: demo
accounts_for:
  - symptom: hum
    prior: 3
    evidence:
      bends-change-it: {yes: rarely, no: usually}
      bearing-rock: {loose: never, firm: always}
      look: {even: never, feathered: always, bald: never}
tell:
  brief: The tyres sing on the road.
  plain: The tyres sing on the road. That is how they are made.
  full: The tyres sing on the road. That is how they are made. It does no harm.
because: The blocks of the tread strike the road one after the other.
---
";

/// Where no error is marked, every path of the flow, walked one by one, ends in a verdict that the rules allow.
pub fn flows(data: &[u8]) {
    let Ok(text) = std::str::from_utf8(data) else { return };
    let symptom = format!(
        "---\ntitle: Hum at speed\nheard_as: [it drones]\nsenses: [hear]\nsystems: [wheels]\nbasis: demo\n{text}\n---\n"
    );
    let read = linked(&[
        ("symptoms/hum.md", symptom.as_bytes()),
        ("checks/drive.md", DRIVE.as_bytes()),
        ("checks/look.md", LOOK.as_bytes()),
        ("conditions/bald-tyre.md", CARE.as_bytes()),
        ("characteristics/tread-hum.md", TREAD.as_bytes()),
    ]);
    let (decisions, marks) = decide(&read.knowledge);
    read.check(&marks);
    let (again, same_marks) = decide(&read.knowledge);
    assert_eq!(marks, same_marks);
    let is_error = |mark: &&Mark| mark.id.severity() == Severity::Error;
    let is_sound = read.marks.iter().chain(&marks).find(is_error).is_none();
    for (own, other) in decisions.symptoms.iter().zip(&again.symptoms) {
        assert_eq!(flow_data(own, |_| Json::Null), flow_data(other, |_| Json::Null));
        if is_sound {
            check(own);
        }
    }
}

fn check(symptom: &SymptomFlow) {
    for variant in &symptom.variants {
        let start = variant.flow.start.expect("a flow without a mark has a start");
        walk(&variant.problem, &variant.flow, start, &mut Vec::new(), 0);
    }
}

fn walk(problem: &Problem, flow: &Flow, at: usize, path: &mut Vec<(usize, usize)>, steps: usize) {
    assert!(steps <= flow.steps.len() * (problem.checks.len() + 1), "the flow runs in a circle: {path:?}");
    let answers: Answers = path.iter().copied().collect();
    match &flow.steps[at].act {
        Act::Broken => panic!("{path:?} leads to a step that cannot be followed"),
        Act::Stop { verdict, .. } => assert!(allowed(problem, &answers, *verdict), "{verdict:?} after {path:?}"),
        Act::Ask { check, next } => {
            let known = answers.get(*check);
            let drives = problem.checks[*check].place == Place::RoadTest;
            assert!(known.is_some() || !drives || may_drive(problem, &answers), "a road test after {path:?}");
            for (answer, to) in next.iter().enumerate().filter(|(answer, _)| known.is_none_or(|own| own == *answer)) {
                let to = to.unwrap_or_else(|| panic!("answer {answer} leads nowhere after {path:?}"));
                path.extend(known.is_none().then_some((*check, answer)));
                walk(problem, flow, to, path, steps + 1);
                if known.is_none() {
                    path.pop();
                }
            }
        }
    }
}

fn given(answers: &Answers, wanted: &[Given]) -> bool {
    wanted.iter().any(|own| answers.get(own.check) == Some(own.answer))
}

fn may_drive(problem: &Problem, answers: &Answers) -> bool {
    let mut stops = problem.candidates.iter().filter(|own| own.cause.hazard() == Hazard::DoNotDrive);
    stops.all(|own| given(answers, &own.ruled_out_by))
}

/// The gates of a verdict, straight from their definition.
fn allowed(problem: &Problem, answers: &Answers, verdict: Verdict) -> bool {
    let explained = match verdict {
        Verdict::Explain(at) => Some(&problem.candidates[at]),
        Verdict::BookIn | Verdict::DoNotDrive => None,
    };
    let hazards = problem.candidates.iter().filter(|own| own.cause.hazard() != Hazard::None);
    let quiet = |own: &&baybook::decision::Candidate| {
        let strict =
            if own.cause.hazard() == Hazard::DoNotDrive { verdict != Verdict::DoNotDrive } else { explained.is_some() };
        !(strict && given(answers, &own.alarm)) && (explained.is_none() || given(answers, &own.ruled_out_by))
    };
    hazards.clone().all(|own| quiet(&own))
        && explained.is_none_or(|own| {
            own.cause == Cause::Characteristic
                && own.only_if.iter().all(|needed| given(answers, &needed.answers))
                && !given(answers, &own.not_if)
                && a_listed_one_fits_best(problem, answers)
        })
}

/// Whether none of the listed causes falls clearly behind the one that nobody listed, which comes last.
fn a_listed_one_fits_best(problem: &Problem, answers: &Answers) -> bool {
    let sure = |(check, answer): &(usize, usize)| *answer < problem.checks[*check].answers.len();
    let weight = |own: &baybook::decision::Candidate| {
        let chances = answers.given().filter(sure).map(|(check, answer)| own.rows[check][answer]);
        own.weight * chances.product::<f64>()
    };
    let (other, listed) = problem.candidates.split_last().expect("there is always one that nobody listed");
    listed.iter().any(|own| weight(own) * (1.0 + 1e-9) >= weight(other))
}
