//! From linked entries to problems and hand-written flows.

use super::faults;
use super::flow::{WrittenFlow, WrittenStep};
use super::problem::{BayCheck, Cause, Check, Draft, DraftCandidate, Place, Problem};
use crate::diagnostic::{Mark, MarkId, Spanned};
use crate::entry::Hazard;
use crate::knowledge::fit::Region;
use crate::knowledge::{AccountsFor, AnswersOf, Condition, Entry, EntryRef, Flow, Head, Knowledge, Ref, Step, Symptom};
use std::collections::{BTreeMap, BTreeSet};

/// A check of the knowledge room.
type KnownCheck = Ref<crate::knowledge::Check>;

/// A group of vehicles for which a symptom has the same candidates and checks.
#[derive(Clone, Debug)]
pub(super) struct Group {
    /// The vehicles.
    pub(super) region: Region,
    /// Candidates, each with the position in its `accounts_for`.
    pub(super) candidates: Vec<(EntryRef, usize)>,
    /// Checks that may be asked of these vehicles, bay checks among them.
    pub(super) checks: BTreeSet<KnownCheck>,
}

/// More groups of vehicles than this, each with a flow of its own, nobody would find the own vehicle in.
const MOST_GROUPS: usize = 256;

/// Splits a symptom's vehicles into groups; a mark if they are too many.
pub(super) fn groups(knowledge: &Knowledge, symptom: &Entry<Symptom>) -> Result<Vec<Group>, Mark> {
    let candidates = &symptom.detail.candidates;
    let mut checks = BTreeSet::new();
    for (entry, at) in candidates {
        checks.extend(checks_of(knowledge, *entry, *at));
    }
    checks.extend(symptom.detail.flow.iter().flat_map(|flow| &flow.steps).filter_map(|(_, step)| match step {
        Step::Ask { check, .. } => Some(*check),
        _ => None,
    }));
    let checks: Vec<KnownCheck> = checks.into_iter().collect();
    let region_of = |(entry, at): &(EntryRef, usize)| match knowledge.accounts_for(*entry).get(*at) {
        Some(row) => row.region.clone(),
        None => knowledge.universe.nothing(),
    };
    let mut regions = vec![symptom.head.region.clone()];
    regions.extend(candidates.iter().map(region_of));
    let own = |check: &KnownCheck| knowledge.checks[*check].head.region.intersection(&symptom.head.region);
    regions.extend(checks.iter().map(own));
    // One more for the vehicles that the symptom does not fit.
    let Some(atoms) = knowledge.universe.split(&regions, MOST_GROUPS + 1) else {
        let mark = Mark::new(MarkId::TooManyGroups, symptom.head.title.span).with("most", MOST_GROUPS.to_string());
        return Err(mark.with("what", "the causes and the questions of this symptom"));
    };
    let atoms = atoms.into_iter().filter(|(_, members)| members.first() == Some(&0));
    let group = |(region, members): (Region, Vec<usize>)| {
        let is_member = |at: usize| members.binary_search(&at).is_ok();
        let of_candidates = candidates.iter().enumerate().filter(|(at, _)| is_member(1 + at));
        let of_checks = checks.iter().enumerate().filter(|(at, _)| is_member(1 + candidates.len() + at));
        let candidates = of_candidates.map(|(_, candidate)| *candidate).collect();
        Group { region, candidates, checks: of_checks.map(|(_, check)| *check).collect() }
    };
    Ok(atoms.map(group).collect())
}

/// Answers that open or shut gates for a candidate: `ruled_out_by`, `alarm`, `only_if`, `not_if`, `confirm`.
fn gates(knowledge: &Knowledge, entry: EntryRef) -> [&[AnswersOf]; 5] {
    if let Some(condition) = knowledge.typed(entry) {
        let it = &knowledge.conditions[condition].detail;
        [&it.ruled_out_by, &it.alarm, &[], &[], &it.confirm]
    } else if let Some(characteristic) = knowledge.typed(entry) {
        let it = &knowledge.characteristics[characteristic].detail;
        [&[], &[], &it.only_if, &it.not_if, &[]]
    } else {
        [&[], &[], &[], &[], &[]]
    }
}

fn checks_of(knowledge: &Knowledge, entry: EntryRef, at: usize) -> Vec<KnownCheck> {
    let evidence = knowledge.accounts_for(entry).get(at).into_iter().flat_map(|row| &row.evidence).map(|it| it.check);
    let gated = gates(knowledge, entry).into_iter().flatten().map(|it| it.check);
    evidence.chain(gated).collect()
}

/// The conditions with a hazard of which some answer is an alarm, by check.
pub(super) type Alarming = BTreeMap<KnownCheck, Vec<Ref<Condition>>>;

/// Every alarm of the shop.
pub(super) fn alarming(knowledge: &Knowledge) -> Alarming {
    let mut alarming = Alarming::new();
    for (at, condition) in knowledge.conditions.iter().filter(|(_, it)| it.detail.hazard != Hazard::None) {
        for alarm in &condition.detail.alarm {
            alarming.entry(alarm.check).or_default().push(at);
        }
    }
    alarming
}

/// The problem of a symptom for one group.
pub(super) fn problem(knowledge: &Knowledge, symptom: &Entry<Symptom>, group: &Group, alarming: &Alarming) -> Problem {
    let shop = &knowledge.shop;
    let candidates = group.candidates.iter().filter_map(|(entry, at)| candidate(knowledge, *entry, *at));
    let candidates = candidates.chain(beside(knowledge, group, alarming).map(|at| alarm_alone(knowledge, at)));
    let candidates = candidates.collect();
    let (bay, open): (Vec<KnownCheck>, Vec<KnownCheck>) =
        group.checks.iter().partition(|check| knowledge.checks[**check].detail.place == Place::Bay);
    let answered = |check: &&KnownCheck| !knowledge.checks[**check].detail.answers.is_empty();
    let bay = bay.iter().map(|check| &knowledge.checks[*check]);
    Draft {
        symptom: symptom.head.id.clone(),
        span: symptom.head.title.span,
        candidates,
        checks: open.iter().filter(answered).map(|check| asked(&knowledge.checks[*check])).collect(),
        bay_checks: bay.map(|it| BayCheck { id: it.head.id.clone(), minutes: it.detail.minutes }).collect(),
        stakes: shop.stakes,
        max_questions: shop.max_questions,
        other: shop.other,
        other_title: "none of those listed".to_owned(),
    }
    .into_problem()
}

fn asked(check: &Entry<crate::knowledge::Check>) -> Check {
    Check {
        id: check.head.id.clone(),
        title: check.head.title.value.clone(),
        place: check.detail.place,
        minutes: check.detail.minutes,
        unsure: check.detail.unsure,
        answers: check.detail.answers.iter().map(|answer| answer.id.value.clone()).collect(),
    }
}

fn candidate(knowledge: &Knowledge, entry: EntryRef, at: usize) -> Option<DraftCandidate> {
    let head = knowledge.head(entry)?;
    let row = knowledge.accounts_for(entry).get(at)?;
    let cause = match knowledge.typed::<crate::knowledge::Condition>(entry) {
        Some(condition) => Cause::Condition(knowledge.conditions[condition].detail.hazard),
        None => Cause::Characteristic,
    };
    let [ruled_out_by, alarm, only_if, not_if, confirm] = gates(knowledge, entry);
    Some(DraftCandidate {
        cause,
        id: head.id.clone(),
        title: head.title.value.clone(),
        prior: row.prior,
        evidence: evidence(knowledge, row),
        ruled_out_by: each(knowledge, ruled_out_by),
        alarm: each(knowledge, alarm),
        only_if: only_if.iter().map(|it| together(knowledge, it)).collect(),
        not_if: each(knowledge, not_if),
        confirm: each(knowledge, confirm),
        unclear: unclear(head, [ruled_out_by, only_if]),
        span: row.span,
    })
}

/// Conditions that do not account for the symptom, but of which a check of the group may give an alarm.
fn beside<'k>(
    knowledge: &'k Knowledge,
    group: &Group,
    alarming: &Alarming,
) -> impl Iterator<Item = Ref<Condition>> + use<'k> {
    let listed: BTreeSet<EntryRef> = group.candidates.iter().map(|(entry, _)| *entry).collect();
    let fits = |at: &Ref<Condition>| {
        let region = &knowledge.conditions[*at].head.region;
        // A shop that lists no vehicles has one group, of none.
        group.region.is_empty() || region.meets(&group.region)
    };
    let found = group.checks.iter().filter_map(|check| alarming.get(check)).flatten().copied();
    let found: BTreeSet<Ref<Condition>> =
        found.filter(|at| !listed.contains(&EntryRef::from(*at))).filter(fits).collect();
    found.into_iter()
}

/// A condition that cannot be the cause, with its alarms.
fn alarm_alone(knowledge: &Knowledge, at: Ref<Condition>) -> DraftCandidate {
    let Entry { head, detail } = &knowledge.conditions[at];
    DraftCandidate {
        cause: Cause::Condition(detail.hazard),
        id: head.id.clone(),
        title: head.title.value.clone(),
        prior: 0.0,
        evidence: BTreeMap::new(),
        ruled_out_by: Vec::new(),
        alarm: each(knowledge, &detail.alarm),
        only_if: Vec::new(),
        not_if: Vec::new(),
        confirm: Vec::new(),
        unclear: false,
        span: head.title.span,
    }
}

/// Whether something about the gates has a mark already: a field that could not be read, or answers none of which
/// is known.
fn unclear(head: &Head, gates: [&[AnswersOf]; 2]) -> bool {
    let unread = ["ruled_out_by", "only_if", "hazard"].iter().any(|field| head.faulty.touches(field));
    unread || gates.into_iter().flatten().any(|it| it.answers.is_empty())
}

fn evidence(knowledge: &Knowledge, row: &AccountsFor) -> BTreeMap<String, BTreeMap<String, f64>> {
    let of_check = |evidence: &crate::knowledge::Evidence| {
        let check = &knowledge.checks[evidence.check];
        let answers = evidence.answers.iter().filter_map(|(at, likelihood)| {
            Some((check.detail.answers.get(*at)?.id.value.clone(), knowledge.chance(likelihood)?))
        });
        (check.head.id.clone(), answers.collect())
    };
    row.evidence.iter().map(of_check).collect()
}

fn together(knowledge: &Knowledge, gate: &AnswersOf) -> (String, Vec<String>) {
    let check = &knowledge.checks[gate.check];
    let answers = gate.answers.iter().filter_map(|at| check.detail.answers.get(*at));
    (check.head.id.clone(), answers.map(|answer| answer.id.value.clone()).collect())
}

fn each(knowledge: &Knowledge, gates: &[AnswersOf]) -> Vec<(String, String)> {
    let pairs = gates.iter().map(|gate| together(knowledge, gate));
    pairs.flat_map(|(check, answers)| answers.into_iter().map(move |answer| (check.clone(), answer))).collect()
}

/// A hand-written flow, by ids.
pub(super) fn written(knowledge: &Knowledge, flow: &Flow) -> WrittenFlow {
    let leads = |leads: &[Ref<crate::knowledge::Condition>], span| {
        let ids = leads.iter().map(|lead| knowledge.conditions[*lead].head.id.clone());
        ids.map(|id| Spanned::new(id, span)).collect()
    };
    let step = |step: &Step| match step {
        Step::Ask { check, span, edges } => {
            let check = Spanned::new(knowledge.checks[*check].head.id.clone(), *span);
            WrittenStep::Ask { check, edges: edges.clone() }
        }
        Step::Explain { characteristic, span } => {
            let id = knowledge.characteristics[*characteristic].head.id.clone();
            WrittenStep::Explain { characteristic: Spanned::new(id, *span) }
        }
        Step::BookIn { leads: wanted, span } => WrittenStep::BookIn { leads: leads(wanted, *span) },
        Step::DoNotDrive { leads: wanted, span } => WrittenStep::DoNotDrive { leads: leads(wanted, *span) },
    };
    let steps = flow.steps.iter().map(|(name, it)| (name.clone(), step(it))).collect();
    WrittenFlow { start: flow.start.clone(), steps }
}

/// Faults of a hand-written flow that have nothing to do with any one group of vehicles: it asks a bay check, or
/// explains what does not account for the symptom.
pub(super) fn misplaced(knowledge: &Knowledge, symptom: &Entry<Symptom>, flow: &Flow) -> Vec<Mark> {
    let explained = |characteristic: &EntryRef| symptom.detail.candidates.iter().any(|(it, _)| it == characteristic);
    let fault = |(_, step): &(Spanned<String>, Step)| match step {
        Step::Ask { check, span, .. } if knowledge.checks[*check].detail.place == Place::Bay => {
            Some(faults::asks_bay_check(&knowledge.checks[*check].head.id, *span))
        }
        Step::Explain { characteristic, span } if !explained(&EntryRef::from(*characteristic)) => {
            let id = &knowledge.characteristics[*characteristic].head.id;
            Some(faults::explains_a_stranger(id, &symptom.head.id, *span))
        }
        _ => None,
    };
    flow.steps.iter().filter_map(fault).collect()
}
