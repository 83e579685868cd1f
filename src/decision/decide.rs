//! Every symptom of a shop: its groups of vehicles, their flows, and what is proved about them.

use super::bands::{Band, Decimal, check_bands, parse_band};
use super::bay_plan::{BayPlan, bay_plan};
use super::explain::{Change, Why, changes, first_ways, settled, why};
use super::flow::{Act, Arrival, Expected, Flow, WrittenFlow, evaluate};
use super::model::{Model, Verdict};
use super::places::Files;
use super::policy::{Method, compile, moves_after, optimum, placed, states_to_spare};
use super::problem::{Answers, Problem};
use super::proof::{prove, prove_problem};
use super::shop::{Group, alarming, groups, misplaced, problem, written};
use super::table::Moves;
use super::walk::{OpenGate, open_gates};
use super::written::read_written;
use crate::diagnostic::{Digest, Mark, MarkId};
use crate::knowledge::fit::Region;
use crate::knowledge::{Entry, Knowledge, Ref, Symptom};
use crate::source::Memo;
use rayon::prelude::*;
use serde::{Deserialize, Serialize};
use std::collections::BTreeSet;

/// The flows of a shop.
#[derive(Clone, Debug, Default)]
pub struct Decisions {
    /// One for each symptom, in their order.
    pub symptoms: Vec<SymptomFlow>,
}

impl Decisions {
    /// The flow of a symptom.
    pub fn of(&self, symptom: Ref<Symptom>) -> Option<&SymptomFlow> {
        self.symptoms.get(symptom.position())
    }
}

/// The flow of a symptom.
#[derive(Clone, Debug)]
pub struct SymptomFlow {
    /// Id of the symptom.
    pub symptom: String,
    /// Whether a person wrote it.
    pub hand_written: bool,
    /// One for each group of vehicles with the same candidates; none if nothing accounts for the symptom.
    pub variants: Vec<Variant>,
}

impl SymptomFlow {
    /// How it was found: exactly only if every variant was. A hand-written flow is valued exactly.
    pub fn method(&self) -> Method {
        let exact = self.variants.iter().all(|variant| variant.method == Method::Exact);
        if exact { Method::Exact } else { Method::LookAhead }
    }
}

/// The flow for one group of vehicles.
#[derive(Clone, Debug)]
pub struct Variant {
    /// The vehicles.
    pub region: Region,
    /// What it answers.
    pub problem: Problem,
    /// Its steps.
    pub flow: Flow,
    /// How it was found.
    pub method: Method,
    /// What it costs.
    pub expected: Expected,
    /// By step, what belongs to it.
    pub facts: Vec<StepFacts>,
    /// A name for all that decides it but the vehicles; none where nothing is remembered.
    pub made_from: Option<Digest>,
}

/// What belongs to a step.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
pub struct StepFacts {
    /// How it is arrived at.
    pub arrival: Arrival,
    /// Answers on the shortest way to it; none if no way leads to it. What follows is true after these.
    pub answers: Option<Answers>,
    /// Why it asks what it asks, if it asks.
    pub why: Option<Why>,
    /// What still forbids to explain.
    pub open_gates: Vec<OpenGate>,
    /// The smallest changes of the answers that would change its verdict.
    pub changes: Vec<Change>,
    /// The chance that its verdict would stay if everything else were answered too.
    pub settled: Option<f64>,
    /// Bay plan of a `book-in`.
    pub bay_plan: BayPlan,
}

/// What is worked out for a group of vehicles: as a flow it may take seconds, so it is remembered.
#[derive(Serialize, Deserialize)]
struct Worked {
    flow: Flow,
    method: Method,
    expected: Expected,
    facts: Vec<StepFacts>,
    marks: Vec<Mark>,
}

/// Compiles or reads every flow, proves it, and says what belongs to its steps.
pub fn decide(knowledge: &Knowledge) -> (Decisions, Vec<Mark>) {
    decide_with(knowledge, &Memo::none())
}

/// The same; flows that an earlier run worked out from the same are taken from its memo.
pub fn decide_with(knowledge: &Knowledge, memo: &Memo) -> (Decisions, Vec<Mark>) {
    let mut marks = Vec::new();
    let mut work: Vec<(usize, &Entry<Symptom>, Group)> = Vec::new();
    for (at, entry) in knowledge.symptoms.iter() {
        match groups(knowledge, entry) {
            Ok(groups) => work.extend(groups.into_iter().map(|group| (at.position(), entry, group))),
            Err(mark) => marks.push(mark),
        }
    }
    let (most_states, alarming) = (states_to_spare(work.len()), alarming(knowledge));
    // One at a time: a large flow takes as long as many small ones.
    let by_one = work.par_iter().with_max_len(1);
    let of_group = |(_, symptom, group): &(usize, &Entry<Symptom>, Group)| {
        decide_group(knowledge, memo, symptom, group, problem(knowledge, symptom, group, &alarming), most_states)
    };
    let done: Vec<_> = by_one.map(of_group).collect();
    let mut decisions = Decisions::default();
    let mut done = work.iter().zip(done).peekable();
    for (at, entry) in knowledge.symptoms.iter() {
        let mut variants = Vec::new();
        let mut by_group = Vec::new();
        while let Some((_, (variant, found))) = done.next_if(|((symptom, ..), _)| *symptom == at.position()) {
            variants.push(variant);
            by_group.push(found);
        }
        marks.extend(of_symptom(knowledge, entry, &variants, &by_group));
        let hand_written = entry.detail.flow.is_some();
        variants.retain(|variant| variant.problem.has_candidates());
        decisions.symptoms.push(SymptomFlow { symptom: entry.head.id.clone(), hand_written, variants });
    }
    marks.extend(bands(knowledge));
    (decisions, marks)
}

fn decide_group(
    knowledge: &Knowledge,
    memo: &Memo,
    symptom: &Entry<Symptom>,
    group: &Group,
    mut problem: Problem,
    most_states: f64,
) -> (Variant, Vec<Mark>) {
    let mut by_hand = symptom.detail.flow.as_ref().map(|by_hand| written(knowledge, by_hand));
    let files = Files::taken_from(&mut problem, by_hand.as_mut());
    let decided_by = (&problem, &by_hand, most_states);
    let (worked, made_from) = memo.named("flow", &decided_by, || work_out(&problem, by_hand.as_ref(), most_states));
    let Worked { mut flow, method, expected, facts, mut marks } = worked;
    files.put_back(&mut problem, &mut flow, &mut marks);
    let region = group.region.clone();
    (Variant { region, flow, method, expected, facts, problem, made_from }, marks)
}

fn work_out(problem: &Problem, by_hand: Option<&WrittenFlow>, most_states: f64) -> Worked {
    let model = Model::new(problem);
    let mut marks = prove_problem(problem);
    let (flow, method, moves) = match by_hand {
        Some(by_hand) => {
            let (flow, faults) = read_written(by_hand, problem);
            marks.extend(faults);
            (flow, Method::Exact, Vec::new())
        }
        None => {
            let compiled = placed(compile(&model), problem);
            let moves = compiled.grounds.into_iter().map(|ground| Some(ground.moves)).collect();
            (compiled.flow, compiled.method, moves)
        }
    };
    if problem.has_candidates() {
        marks.extend(prove(&model, &flow));
    }
    let (mut expected, arrivals) = evaluate(&model, &flow);
    expected.optimum = optimum(&model, most_states);
    let facts = facts(&model, &flow, arrivals, moves);
    Worked { flow, method, expected, facts, marks }
}

fn facts(model: &Model<'_>, flow: &Flow, arrivals: Vec<Arrival>, moves: Vec<Option<Moves>>) -> Vec<StepFacts> {
    let moves = moves.into_iter().chain(std::iter::repeat(None));
    let steps = flow.steps.iter().zip(first_ways(flow)).zip(arrivals).zip(moves);
    steps
        .map(|(((step, answers), arrival), moves)| step_facts(model, flow, &step.act, answers, arrival, moves))
        .collect()
}

fn step_facts(
    model: &Model<'_>,
    flow: &Flow,
    act: &Act,
    answers: Option<Answers>,
    arrival: Arrival,
    moves: Option<Moves>,
) -> StepFacts {
    let Some(way) = &answers else { return StepFacts { arrival, ..StepFacts::default() } };
    let mut facts = StepFacts { open_gates: open_gates(model, way), ..StepFacts::default() };
    match act {
        Act::Ask { check, .. } => {
            let moves = moves.unwrap_or_else(|| moves_after(model, way));
            facts.why = Some(why(model, way, *check, &moves));
        }
        Act::Stop { verdict, leads } => {
            facts.changes = changes(model, flow, way);
            facts.settled = Some(settled(model, *verdict, way));
            if *verdict == Verdict::BookIn {
                facts.bay_plan = bay_plan(model.problem, leads, &arrival.chances);
            }
        }
        Act::Broken => {}
    }
    StepFacts { arrival, answers, ..facts }
}

/// The marks of a symptom, from those of its groups: each once, and what must be so for every vehicle only if it
/// is.
fn of_symptom(
    knowledge: &Knowledge,
    symptom: &Entry<Symptom>,
    variants: &[Variant],
    by_group: &[Vec<Mark>],
) -> Vec<Mark> {
    if symptom.head.faulty.touches("flow") {
        return Vec::new();
    }
    let mut marks: Vec<Mark> = Vec::new();
    for mark in by_group.iter().flatten() {
        let same = |other: &Mark| other.id == mark.id && other.span == mark.span && key(other) == key(mark);
        let count = by_group.iter().filter(|group| group.iter().any(same)).count();
        let concerned = match mark.id {
            MarkId::UnreachableStep | MarkId::NoCandidates => variants.len(),
            MarkId::UnreachableCandidate => variants.iter().filter(|variant| has_candidate(variant, mark)).count(),
            _ => 1,
        };
        if count >= concerned && !marks.iter().any(same) {
            marks.push(mark.clone());
        }
    }
    let strangers = symptom.detail.flow.iter().flat_map(|flow| misplaced(knowledge, symptom, flow));
    let strangers: Vec<Mark> = strangers.collect();
    if knowledge_in_doubt(knowledge) {
        marks.retain(|mark| mark.id != MarkId::NoCandidates);
    }
    leave_out_followers(&mut marks);
    if checks_in_doubt(knowledge) {
        marks.retain(|mark| mark.id != MarkId::UnreachableCandidate);
    }
    marks.extend(strangers);
    marks
}

/// Of a flow that breaks a gate nothing follows about what it never reaches; and what one path breaks twice at one
/// explanation, one wrong turn broke.
fn leave_out_followers(marks: &mut Vec<Mark>) {
    let breaks_a_gate =
        |mark: &Mark| matches!(mark.id, MarkId::ExplainUngated | MarkId::RoadTestUngated | MarkId::AlarmIgnored);
    if marks.iter().any(breaks_a_gate) {
        marks.retain(|mark| mark.id != MarkId::UnreachableCandidate);
    }
    let mut told = BTreeSet::new();
    let path = |mark: &Mark| (mark.span, mark.fact("full_path").unwrap_or_default().to_owned());
    marks.retain(|mark| mark.id != MarkId::ExplainUngated || told.insert(path(mark)));
}

/// Whether some check could not be read, so that nothing follows from what flows do without it.
fn checks_in_doubt(knowledge: &Knowledge) -> bool {
    let is_faulty = |faulty: &crate::entry::Faulty| faulty.whole || !faulty.fields.is_empty();
    knowledge.checks.iter().any(|(_, entry)| is_faulty(&entry.head.faulty))
        || knowledge.conditions.iter().any(|(_, entry)| is_faulty(&entry.head.faulty))
}

fn has_candidate(variant: &Variant, mark: &Mark) -> bool {
    let (kind, id) = (mark.fact("kind").unwrap_or_default(), mark.fact("candidate").unwrap_or_default());
    variant.problem.candidate(kind, id).is_some()
}

/// What makes two marks at one place the same, whatever path they tell.
fn key(mark: &Mark) -> Vec<&str> {
    ["step", "gate", "hazard", "check", "found", "candidate", "other"]
        .iter()
        .map(|fact| mark.fact(fact).unwrap_or_default())
        .collect()
}

/// Whether some `accounts_for` could not be read, so that nothing follows from its absence.
fn knowledge_in_doubt(knowledge: &Knowledge) -> bool {
    let conditions = knowledge.conditions.iter().map(|(_, entry)| &entry.head);
    let characteristics = knowledge.characteristics.iter().map(|(_, entry)| &entry.head);
    conditions.chain(characteristics).any(|head| head.faulty.touches("accounts_for"))
}

/// Bands of every measurement.
fn bands(knowledge: &Knowledge) -> Vec<Mark> {
    let mut marks = Vec::new();
    for (_, check) in knowledge.checks.iter() {
        let Some(measures) = &check.detail.measures else { continue };
        let faulty = ["bands", "measures"].iter().any(|field| check.head.faulty.touches(field));
        let range = (Decimal::parse(&measures.from.value), Decimal::parse(&measures.to.value));
        let (Some(from), Some(to), false) = (range.0, range.1, faulty) else { continue };
        let written = check.detail.answers.iter().filter_map(|answer| Some((answer, answer.band.as_ref()?)));
        let read: Vec<Result<Band, Mark>> = written.map(|(answer, band)| parse_band(&answer.id, band)).collect();
        let whole = read.iter().flatten().map(|band| band.span).reduce(crate::diagnostic::Span::to);
        let (unread, bands) = (read.iter().filter_map(|it| it.as_ref().err().cloned()), read.iter().flatten().cloned());
        let (unread, bands): (Vec<Mark>, Vec<Band>) = (unread.collect(), bands.collect());
        let span = whole.unwrap_or(measures.from.span);
        if unread.is_empty() {
            marks.extend(check_bands(&check.head.id, &measures.unit.value, (from, to), &bands, span));
        }
        marks.extend(unread);
    }
    let mut seen = BTreeSet::new();
    marks.retain(|mark| seen.insert((mark.span, mark.id)));
    marks
}
