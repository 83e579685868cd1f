//! Proofs on a flow as published, compiled and hand-written alike.
//!
//! On the unfolded flow every path can happen and every edge leads onward, so one pass that keeps the worst standing
//! at each node (met of what was shown, joined of what alarmed) decides the gates exactly: a gate is broken at a
//! step if and only if some path breaks it (Kildall, "A unified approach to global program optimization", 1973;
//! Kam and Ullman 1977: for distributive functions the fixed point is the meet over all paths). A search then finds
//! one such path to tell.

use super::best_fit::{Doubt, Path, doubts};
use super::faults;
use super::flow::{Act, Flow};
use super::gates::{Floor, Standing};
use super::model::{Model, Verdict};
use super::problem::{Answers, Candidate, Cause, Given, Hazard, Place, Problem};
use super::told::{Told, told};
use super::unfold::Unfolded;
use crate::diagnostic::{Mark, MarkId, Span};
use std::collections::{BTreeMap, BTreeSet};

/// Proves everything about a flow that does not depend on how it was written.
pub fn prove(model: &Model<'_>, flow: &Flow) -> Vec<Mark> {
    let unfolded = Unfolded::of(flow, model.problem);
    let (worst, doubts) = (worst(model, flow, &unfolded), doubts(model, flow, &unfolded));
    let proof = Proof { model, flow, worst, doubts, unfolded };
    let mut marks = proof.loops();
    marks.extend(proof.unreachable_steps());
    for (number, step) in flow.steps.iter().enumerate() {
        match &step.act {
            Act::Ask { check, .. } => marks.extend(proof.road_test(number, *check)),
            Act::Stop { verdict, .. } => {
                marks.extend(proof.alarms(number, *verdict));
                if let Verdict::Explain(candidate) = verdict {
                    marks.extend(proof.explanation(number, *candidate));
                }
            }
            Act::Broken => {}
        }
    }
    marks.extend(proof.unreachable_candidates());
    marks
}

/// Proves what depends on the candidates and checks alone.
pub fn prove_problem(problem: &Problem) -> Vec<Mark> {
    if !problem.has_candidates() {
        return vec![faults::no_candidates(problem)];
    }
    let never = never_ruled_out(problem).into_iter().filter_map(|at| problem.candidates.get(at));
    let never = never.filter(|hazard| !hazard.unclear).map(|hazard| {
        Mark::new(MarkId::HazardNeverRuledOut, hazard.span).with("symptom", &problem.symptom).with("hazard", &hazard.id)
    });
    never.chain(same_evidence(problem)).collect()
}

/// Hazards that no counter flow can rule out. A do-not-drive condition cannot be ruled out on a drive, which would
/// need it to be ruled out before; and nothing is ruled out on a drive that can never be allowed.
pub fn never_ruled_out(problem: &Problem) -> Vec<usize> {
    let place = |given: &Given| problem.checks.get(given.check).map(|check| check.place);
    let standing = |at: usize| {
        let hazard = problem.candidates.get(at);
        hazard
            .is_some_and(|it| it.ruled_out_by.iter().any(|given| place(given).is_some_and(|it| it != Place::RoadTest)))
    };
    let anyhow = |at: usize| problem.candidates.get(at).is_some_and(|it| !it.ruled_out_by.is_empty());
    let stop = |at: usize| problem.candidates.get(at).is_some_and(|it| it.cause.hazard() == Hazard::DoNotDrive);
    problem.hazards().filter(|at| if stop(*at) { !standing(*at) } else { !anyhow(*at) }).collect()
}

/// Candidates with the same rows for every check, which no bay check confirms differently. One mark for each that
/// is not the first of its like.
fn same_evidence(problem: &Problem) -> Vec<Mark> {
    let listed: Vec<_> = problem.candidates.iter().filter(|it| it.cause != Cause::Other && it.can_be_cause()).collect();
    let mut marks = Vec::new();
    for (at, candidate) in listed.iter().enumerate() {
        let same = |other: &&&Candidate| {
            other.rows == candidate.rows && (other.confirm == candidate.confirm || other.cause == Cause::Characteristic)
        };
        if let Some(first) = listed.iter().take(at).find(same) {
            let mark = Mark::new(MarkId::SameEvidence, candidate.span)
                .with("symptom", &problem.symptom)
                .with("candidate", &candidate.id)
                .with("other", &first.id);
            marks.push(mark.see(first.span, format!("{} has the same evidence", first.id)));
        }
    }
    marks
}

struct Proof<'a> {
    model: &'a Model<'a>,
    flow: &'a Flow,
    unfolded: Unfolded,
    /// By node: the worst standing of all paths to it.
    worst: Vec<Standing>,
    /// By step: whether `other` can lead where it explains.
    doubts: BTreeMap<usize, Doubt>,
}

fn worst(model: &Model<'_>, flow: &Flow, unfolded: &Unfolded) -> Vec<Standing> {
    let mut worst: Vec<Option<Standing>> = vec![None; unfolded.nodes.len()];
    worst.first_mut().into_iter().for_each(|first| *first = Some(Standing::default()));
    for (at, node) in unfolded.nodes.iter().enumerate() {
        let here = worst.get(at).copied().flatten().unwrap_or_default();
        let Some(Act::Ask { check, .. }) = flow.steps.get(node.step).map(|step| &step.act) else { continue };
        for (answer, to) in &node.edges {
            let arriving = here.and(model.gates.effect(*check, *answer));
            let slot = worst.get_mut(*to);
            slot.into_iter().for_each(|slot| *slot = Some(slot.map_or(arriving, |known| known.or_worse(arriving))));
        }
    }
    worst.into_iter().map(Option::unwrap_or_default).collect()
}

impl Proof<'_> {
    fn loops(&self) -> Vec<Mark> {
        let step = |at: &usize| self.flow.steps.get(*at);
        let mark = |around: &Vec<usize>| {
            let names: Vec<&str> = around.iter().filter_map(step).map(|it| it.name.as_str()).collect();
            let last = around.last().and_then(step).map_or(self.model.problem.span, |it| it.span);
            faults::flow_loop(last, &names)
        };
        self.unfolded.loops.iter().map(mark).collect()
    }

    /// Steps that no answers lead to. One that another lost step leads to is lost with it and not told again.
    fn unreachable_steps(&self) -> Vec<Mark> {
        let reached: BTreeSet<usize> = self.unfolded.nodes.iter().map(|node| node.step).collect();
        let lost = |at: &usize| !reached.contains(at) && self.flow.start.is_some();
        let mut left: BTreeSet<usize> = (0..self.flow.steps.len()).filter(lost).collect();
        let mut marks = Vec::new();
        while let Some(at) = self.first_lost(&left) {
            self.leave_out(at, &mut left);
            if let Some(step) = self.flow.steps.get(at).filter(|step| step.act != Act::Broken) {
                marks.push(Mark::new(MarkId::UnreachableStep, step.span).with("step", &step.name));
            }
        }
        marks
    }

    /// A lost step that no other lost step leads to; where they lead to each other, the first.
    fn first_lost(&self, left: &BTreeSet<usize>) -> Option<usize> {
        let led_to: BTreeSet<usize> = left.iter().flat_map(|at| self.onward(*at)).collect();
        left.iter().find(|at| !led_to.contains(at)).or(left.first()).copied()
    }

    fn leave_out(&self, at: usize, left: &mut BTreeSet<usize>) {
        if left.remove(&at) {
            self.onward(at).for_each(|to| self.leave_out(to, left));
        }
    }

    fn onward(&self, step: usize) -> impl Iterator<Item = usize> {
        let next = match self.flow.steps.get(step).map(|it| &it.act) {
            Some(Act::Ask { next, .. }) => next.as_slice(),
            _ => &[],
        };
        next.iter().flatten().copied().filter(move |to| *to != step)
    }

    fn nodes_of(&self, step: usize) -> impl Iterator<Item = usize> {
        self.unfolded.nodes.iter().enumerate().filter(move |(_, node)| node.step == step).map(|(at, _)| at)
    }

    fn worst_at(&self, node: usize) -> Standing {
        self.worst.get(node).copied().unwrap_or_default()
    }

    fn asked(&self, node: usize) -> Option<usize> {
        let step = self.unfolded.nodes.get(node)?.step;
        let Act::Ask { check, .. } = &self.flow.steps.get(step)?.act else { return None };
        Some(*check)
    }

    fn effect(&self, node: usize, answer: usize) -> Standing {
        self.asked(node).map_or_else(Standing::default, |check| self.model.gates.effect(check, answer))
    }

    fn answers(&self, path: &Path) -> Answers {
        path.iter().filter_map(|(node, answer)| Some((self.asked(*node)?, *answer))).collect()
    }

    /// A path to a node on which no answer has `bit` among what `shown` picks out.
    fn path_without(&self, node: usize, bit: u128, shown: fn(Standing) -> u128) -> Option<Path> {
        self.unfolded.path(node, |from, answer| shown(self.effect(from, answer)) & bit == 0, None)
    }

    /// A path to a node on which some answer is as `hit` says.
    fn path_with(&self, node: usize, hit: &dyn Fn(usize, usize) -> bool) -> Option<Path> {
        self.unfolded.path(node, |_, _| true, Some(hit))
    }

    fn mark(&self, id: MarkId, step: usize, path: &Path, ends: &str) -> Mark {
        let (name, span) = self.flow.steps.get(step).map_or(("", Span::default()), |it| (it.name.as_str(), it.span));
        let asked = path.iter().filter(|(node, _)| self.unfolded.nodes.get(*node).is_some_and(|it| it.known.is_none()));
        let asked = asked.filter_map(|(node, answer)| Some((self.asked(*node)?, *answer)));
        let Told { short, full } = told(self.model.problem, asked, ends);
        Mark::new(id, span).with("step", name).with("path", short).with("full_path", full)
    }

    fn title(&self, candidate: usize) -> String {
        let title = self.model.problem.candidates.get(candidate).map_or("", |it| it.title.as_str());
        format!("explain '{title}'")
    }

    fn ids(&self, candidates: impl Iterator<Item = usize>) -> Vec<&str> {
        candidates.filter_map(|at| self.model.problem.candidates.get(at)).map(|it| it.id.as_str()).collect()
    }

    /// Marks for hazards that some path to a step leaves open. Each mark tells one path and every hazard that is
    /// open on it; further marks follow only for hazards that none of those paths leaves open.
    fn open_hazards(&self, step: usize, stops_only: bool, mark: impl Fn(&Path) -> Mark) -> Vec<Mark> {
        let mut covered = BTreeSet::new();
        let mut marks = Vec::new();
        let passed_over = |node: &usize| self.unfolded.nodes.get(*node).is_some_and(|it| it.known.is_some());
        for node in self.nodes_of(step).filter(|node| !passed_over(node)) {
            for hazard in self.model.gates.not_ruled_out(self.worst_at(node), stops_only) {
                if covered.contains(&hazard) {
                    continue;
                }
                let bit = self.model.gates.hazard_bit(hazard);
                let Some(path) = self.path_without(node, bit, |shown| shown.ruled_out) else { continue };
                let standing = self.model.gates.standing(&self.answers(&path));
                let open: Vec<usize> = self.model.gates.not_ruled_out(standing, stops_only).collect();
                let also = self.ids(open.iter().copied().filter(|it| *it != hazard)).join(", ");
                let mark = mark(&path).with("hazard", self.ids([hazard].into_iter()).join(""));
                marks.push(mark.with_some("also", (!also.is_empty()).then_some(also)));
                covered.extend(open);
            }
        }
        marks
    }

    fn road_test(&self, step: usize, check: usize) -> Vec<Mark> {
        let Some(asked) = self.model.problem.checks.get(check).filter(|it| it.place == Place::RoadTest) else {
            return Vec::new();
        };
        let ends = format!("road test '{}'", asked.title);
        let mark = |path: &Path| self.mark(MarkId::RoadTestUngated, step, path, &ends).with("check", &asked.id);
        self.open_hazards(step, true, mark)
    }

    fn explanation(&self, step: usize, candidate: usize) -> Vec<Mark> {
        let ends = self.title(candidate);
        let title = self.model.problem.candidates.get(candidate).map_or("", |it| it.title.as_str());
        let mark = |path: &Path, gate: &str| {
            self.mark(MarkId::ExplainUngated, step, path, &ends).with("characteristic", title).with("gate", gate)
        };
        let mut marks = self.open_hazards(step, false, |path| mark(path, "hazard"));
        marks.extend(self.own_conditions(step, candidate, &mark));
        marks.extend(self.doubts.get(&step).map(|doubt| match doubt {
            Doubt::On(path) => mark(path, "other-leads"),
            Doubt::Unproved => mark(&Path::new(), "other-leads-unproved"),
        }));
        marks
    }

    /// Marks for `only_if` and `not_if` of a characteristic.
    fn own_conditions(&self, step: usize, candidate: usize, mark: &dyn Fn(&Path, &str) -> Mark) -> Vec<Mark> {
        let gates = &self.model.gates;
        let mut marks = Vec::new();
        let Some(it) = self.model.problem.candidates.get(candidate) else { return marks };
        for (number, requirement) in it.only_if.iter().enumerate() {
            let bit = gates.requirement_bit(candidate, number);
            let open = |node: &usize| gates.not_met(self.worst_at(*node), candidate).any(|it| it == number);
            let path = self.nodes_of(step).filter(open).find_map(|node| self.path_without(node, bit, |it| it.met));
            let wanted = |given: &Given| Some(self.model.problem.checks.get(given.check)?.answer_id(given.answer));
            let answer = requirement.answers.iter().filter_map(wanted).collect::<Vec<_>>().join(" or ");
            let told = |path: Path| mark(&path, "only-if").with("check", &requirement.check).with("answer", answer);
            marks.extend(path.map(told));
        }
        let bit = gates.barred_bit(candidate);
        let hit = |node: usize, answer: usize| self.effect(node, answer).barred & bit != 0;
        let barred = self.nodes_of(step).filter(|node| self.worst_at(*node).barred & bit != 0);
        if let Some(path) = barred.into_iter().find_map(|node| self.path_with(node, &hit)) {
            let spoke = path.iter().find(|(node, answer)| hit(*node, *answer)).copied().unwrap_or_default();
            marks.push(self.with_answer(mark(&path, "not-if"), spoke));
        }
        marks
    }

    fn with_answer(&self, mark: Mark, (node, answer): (usize, usize)) -> Mark {
        match self.asked(node).and_then(|check| self.model.problem.checks.get(check)) {
            Some(check) => mark.with("check", &check.id).with("answer", check.answer_id(answer)),
            None => mark,
        }
    }

    /// Marks for alarms after which a verdict is too mild, one for each hazard whose alarm is ignored.
    fn alarms(&self, step: usize, verdict: Verdict) -> Vec<Mark> {
        let ignored = |node: &usize| !verdict.allowed_by(self.worst_at(*node).floor);
        let nodes: Vec<usize> = self.nodes_of(step).filter(ignored).collect();
        let ends = match verdict {
            Verdict::Explain(candidate) => self.title(candidate),
            Verdict::BookIn => "book in".to_owned(),
            Verdict::DoNotDrive => "do not drive".to_owned(),
        };
        let mut marks = Vec::new();
        for hazard in self.model.problem.alarming() {
            let Some(it) = self.model.problem.candidates.get(hazard) else { continue };
            let stop = it.cause.hazard() == Hazard::DoNotDrive;
            let (floor, expected) =
                if stop { (Floor::DoNotDrive, "do-not-drive") } else { (Floor::BookIn, "book-in or do-not-drive") };
            let alarm = |node: usize, answer: usize| {
                self.asked(node).is_some_and(|check| it.alarm.contains(&Given { check, answer }))
            };
            if verdict.allowed_by(floor) {
                continue;
            }
            if let Some(path) = nodes.iter().find_map(|node| self.path_with(*node, &alarm)) {
                let given = path.iter().find(|(node, answer)| alarm(*node, *answer)).copied().unwrap_or_default();
                let mark = self.mark(MarkId::AlarmIgnored, step, &path, &ends).with("verdict", verdict.word());
                marks.push(self.with_answer(mark.with("expected", expected).with("hazard", &it.id), given));
            }
        }
        marks
    }

    /// Candidates for which no verdict that can be arrived at is right. Where a hazard can never be ruled out,
    /// which has its own mark, nothing can be explained and nothing is said about characteristics; nor is it about
    /// candidates that no check tells apart.
    fn unreachable_candidates(&self) -> Vec<Mark> {
        let mut right = BTreeSet::new();
        for node in &self.unfolded.nodes {
            if let Some(Act::Stop { verdict, leads }) = self.flow.steps.get(node.step).map(|step| &step.act) {
                right.extend(leads.iter().copied());
                right.extend(if let Verdict::Explain(candidate) = verdict { Some(*candidate) } else { None });
            }
        }
        let problem = self.model.problem;
        let explains = never_ruled_out(problem).is_empty();
        let spoken_of = |cause: Cause| cause != Cause::Other && (explains || cause != Cause::Characteristic);
        let lost = problem.candidates.iter().enumerate();
        let lost = lost.filter(|(_, it)| it.can_be_cause());
        let lost = lost.filter(|(at, it)| spoken_of(it.cause) && !it.unclear && !right.contains(at));
        let alone = |it: &Candidate| problem.candidates.iter().filter(|other| other.rows == it.rows).count() == 1;
        let lost = lost.filter(|(_, it)| alone(it));
        lost.map(|(_, it)| {
            Mark::new(MarkId::UnreachableCandidate, it.span)
                .with("symptom", &problem.symptom)
                .with("kind", it.cause.kind())
                .with("candidate", &it.id)
                .with("title", &it.title)
        })
        .collect()
    }
}
