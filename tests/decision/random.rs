//! Random problems and flows, the same on every run. The generator is splitmix64 (Steele, Lea, Flood: "Fast
//! splittable pseudorandom number generators", 2014; constants recalled from memory).

use baybook::decision::{BayCheck, Cause, Check, Draft, DraftCandidate, Hazard, Place, Problem, Stakes};
use std::collections::BTreeMap;

/// A source of chance.
pub(crate) struct Chance(pub(crate) u64);

impl Chance {
    pub(crate) fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// From `from` to `to`, both included.
    pub(crate) fn between(&mut self, from: usize, to: usize) -> usize {
        from + (self.next() % (to - from + 1) as u64) as usize
    }

    pub(crate) fn happens(&mut self, percent: u64) -> bool {
        self.next() % 100 < percent
    }

    pub(crate) fn of<T: Clone>(&mut self, choices: &[T]) -> T {
        choices[self.between(0, choices.len() - 1)].clone()
    }
}

/// How large random problems are.
#[derive(Clone, Copy)]
pub(crate) struct Size {
    pub(crate) checks: (usize, usize),
    pub(crate) answers: (usize, usize),
    pub(crate) candidates: (usize, usize),
    pub(crate) max_questions: usize,
}

/// Words as writers give them, and what they mean.
const WORDS: [f64; 6] = [0.98, 0.80, 0.65, 0.30, 0.10, 0.02];

fn answer_id(at: usize) -> String {
    ["yes", "no", "sometimes", "at-speed"].get(at).map_or_else(|| format!("answer-{at}"), ToString::to_string)
}

fn check(chance: &mut Chance, at: usize, answers: (usize, usize)) -> Check {
    let place = chance.of(&[Place::Counter, Place::Counter, Place::Counter, Place::WalkRound, Place::RoadTest]);
    Check {
        id: format!("check-{at:02}"),
        title: format!("check {at:02}"),
        place,
        minutes: chance.of(&[0.5, 1.0, 1.0, 2.0, 3.0, 5.0]) + if place == Place::RoadTest { 10.0 } else { 0.0 },
        unsure: chance.of(&[0.0, 0.05, 0.1, 0.1, 0.2]),
        answers: (0..chance.between(answers.0, answers.1)).map(answer_id).collect(),
    }
}

/// One answer of one check.
fn given(chance: &mut Chance, checks: &[Check], place: impl Fn(&Check) -> bool) -> Option<(String, String)> {
    let open: Vec<&Check> = checks.iter().filter(|it| place(it)).collect();
    (!open.is_empty()).then(|| {
        let check = chance.of(&open);
        (check.id.clone(), chance.of(&check.answers))
    })
}

fn evidence(chance: &mut Chance, checks: &[Check]) -> BTreeMap<String, BTreeMap<String, f64>> {
    let informed: Vec<&Check> = checks.iter().filter(|_| chance.happens(70)).collect();
    let row = |check: &Check, chance: &mut Chance| {
        let listed: Vec<String> = check.answers.iter().filter(|_| chance.happens(60)).cloned().collect();
        listed.into_iter().map(|id| (id, chance.of(&WORDS))).collect()
    };
    informed.into_iter().map(|check| (check.id.clone(), row(check, chance))).collect()
}

fn candidate(chance: &mut Chance, at: usize, cause: Cause, checks: &[Check]) -> DraftCandidate {
    let hazard = cause.hazard() != Hazard::None;
    let standing = |check: &Check| check.place != Place::RoadTest;
    let mut several = |percent: &[u64], wanted: bool| -> Vec<(String, String)> {
        let wanted = percent.iter().filter(|percent| wanted && chance.happens(**percent)).count();
        (0..wanted).filter_map(|_| given(chance, checks, standing)).collect()
    };
    let (ruled_out_by, alarm) = (several(&[95, 60], hazard), several(&[60], hazard));
    let normal = cause == Cause::Characteristic;
    let (only_if, not_if) = (several(&[30], normal), several(&[30], normal));
    DraftCandidate {
        cause,
        id: format!("{}-{at:02}", cause.kind()),
        title: format!("{} {at:02}", cause.kind()),
        prior: chance.of(&[1.0, 1.0, 2.0, 3.0, 10.0]),
        evidence: evidence(chance, checks),
        ruled_out_by,
        alarm,
        only_if: only_if.into_iter().map(|(check, answer)| (check, vec![answer])).collect(),
        not_if,
        confirm: vec![(format!("bay-{}", at % 3), "found".into())],
        unclear: false,
        span: Default::default(),
    }
}

/// A random problem. At least one characteristic; about a third of the conditions have a hazard.
pub(crate) fn problem(seed: u64, size: Size) -> Problem {
    let chance = &mut Chance(seed);
    let checks: Vec<Check> =
        (0..chance.between(size.checks.0, size.checks.1)).map(|at| check(chance, at, size.answers)).collect();
    let causes = [
        Cause::Characteristic,
        Cause::Characteristic,
        Cause::Condition(Hazard::None),
        Cause::Condition(Hazard::None),
        Cause::Condition(Hazard::DriveWithCare),
        Cause::Condition(Hazard::DoNotDrive),
    ];
    let count = chance.between(size.candidates.0, size.candidates.1);
    let candidates = (0..count).map(|at| {
        let cause = if at == 0 { Cause::Characteristic } else { chance.of(&causes) };
        candidate(chance, at, cause, &checks)
    });
    let candidates = candidates.collect();
    Draft {
        symptom: "a-symptom".into(),
        span: Default::default(),
        candidates,
        checks,
        bay_checks: (0..3).map(|at| BayCheck { id: format!("bay-{at}"), minutes: 5.0 + 10.0 * at as f64 }).collect(),
        stakes: Stakes::default(),
        max_questions: size.max_questions,
        other: 0.05,
        other_title: "none of these".into(),
    }
    .into_problem()
}
