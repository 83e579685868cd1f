//! Tables of evidence: how likely each answer is under each candidate.

use std::collections::BTreeMap;

use serde::Serialize;

use super::context::{LinkContext, RefContext};
use super::edition::Edition;
use super::link::Look;
use super::numbers::number_text;
use crate::decision::row;
use crate::entry::Likelihood;
use crate::knowledge::{AccountsFor, Check, Condition, EntryRef, Evidence, Knowledge, Ref, Symptom};

/// One symptom's table.
#[derive(Serialize)]
pub(super) struct EvidenceContext<'e> {
    columns: Vec<ColumnContext>,
    groups: Vec<RowsContext<'e>>,
    scale: Vec<ScaleContext>,
}

#[derive(Serialize)]
struct ColumnContext {
    #[serde(rename = "ref")]
    entry: Option<RefContext>,
    hazard: &'static str,
    prior_text: String,
}

#[derive(Serialize)]
struct RowsContext<'e> {
    #[serde(rename = "ref")]
    entry: LinkContext<'e>,
    rows: Vec<RowContext>,
}

#[derive(Serialize)]
struct RowContext {
    answer: String,
    cells: Vec<CellContext>,
}

#[derive(Serialize)]
struct CellContext {
    word: String,
    text: String,
    level: usize,
    given: bool,
}

#[derive(Serialize)]
struct ScaleContext {
    word: &'static str,
    text: String,
    level: usize,
}

/// A symptom that a check helps with.
#[derive(Serialize)]
pub(super) struct SeparatesContext<'e> {
    #[serde(rename = "ref")]
    entry: LinkContext<'e>,
    title: &'e str,
    evidence: EvidenceContext<'e>,
}

/// A candidate and its row for one symptom.
struct Candidate<'a> {
    entry: EntryRef,
    hazard: &'static str,
    row: &'a AccountsFor,
}

/// The checks for which some candidate of the symptom has evidence, the strongest separators first.
pub(super) fn checks_of(knowledge: &Knowledge, symptom: &Symptom) -> Vec<Ref<Check>> {
    let candidates = candidates(knowledge, symptom);
    let named = candidates.iter().flat_map(|candidate| &candidate.row.evidence).map(|evidence| evidence.check);
    let mut checks: Vec<Ref<Check>> = named.collect();
    checks.sort_unstable();
    checks.dedup();
    let mut ranked: Vec<(f64, Ref<Check>)> =
        checks.into_iter().map(|check| (separation(knowledge, &candidates, check), check)).collect();
    ranked.sort_by(|(a, x), (b, y)| b.total_cmp(a).then(x.cmp(y)));
    ranked.into_iter().map(|(_, check)| check).collect()
}

/// How far apart a check pulls the candidates: the largest total variation between two of their rows, 0 to 1.
fn separation(knowledge: &Knowledge, candidates: &[Candidate<'_>], check: Ref<Check>) -> f64 {
    let rows: Vec<Vec<f64>> = candidates.iter().map(|candidate| likelihoods(knowledge, candidate, check)).collect();
    let distance = |a: &[f64], b: &[f64]| a.iter().zip(b).map(|(x, y)| (x - y).abs()).sum::<f64>() / 2.0;
    let pairs = rows.iter().enumerate().flat_map(|(at, a)| rows.iter().skip(at + 1).map(move |b| distance(a, b)));
    pairs.fold(0.0, f64::max)
}

fn candidates<'a>(knowledge: &'a Knowledge, symptom: &'a Symptom) -> Vec<Candidate<'a>> {
    let candidate = |(entry, row): &(EntryRef, usize)| {
        let condition = knowledge.typed::<Condition>(*entry).map(|at| &knowledge.conditions[at].detail);
        let hazard = condition.map_or("", |condition| condition.hazard.word());
        Some(Candidate { entry: *entry, hazard, row: knowledge.accounts_for(*entry).get(*row)? })
    };
    let mut found: Vec<Candidate<'_>> = symptom.candidates.iter().filter_map(candidate).collect();
    found.sort_by_key(|candidate| (!candidate.hazard.is_empty(), candidate.entry));
    found
}

fn evidence_of<'a>(candidate: &Candidate<'a>, check: Ref<Check>) -> Option<&'a Evidence> {
    candidate.row.evidence.iter().find(|evidence| evidence.check == check)
}

/// The likelihood of each answer of a check under a candidate, as the flows use it.
fn likelihoods(knowledge: &Knowledge, candidate: &Candidate<'_>, check: Ref<Check>) -> Vec<f64> {
    let answers = knowledge.checks[check].detail.answers.len();
    let listed = evidence_of(candidate, check).map(|evidence| &evidence.answers);
    let listed = listed.into_iter().flatten();
    let listed: Vec<(usize, f64)> =
        listed.filter_map(|(at, likelihood)| Some((*at, knowledge.chance(likelihood)?))).collect();
    row(answers, &listed)
}

/// The whole table of a symptom; `None` where nothing is known of any check.
pub(super) fn evidence<'e>(edition: &'e Edition<'_>, symptom: &Symptom) -> Option<EvidenceContext<'e>> {
    let checks = checks_of(edition.knowledge, symptom);
    (!checks.is_empty()).then(|| table(edition, symptom, &checks))
}

fn table<'e>(edition: &'e Edition<'_>, symptom: &Symptom, checks: &[Ref<Check>]) -> EvidenceContext<'e> {
    let knowledge = edition.knowledge;
    let candidates = candidates(knowledge, symptom);
    let mut columns: Vec<ColumnContext> = candidates.iter().map(|candidate| column(edition, candidate)).collect();
    let sum: f64 = candidates.iter().map(|candidate| candidate.row.prior).sum();
    let prior_text = number_text(sum * knowledge.shop.other, 2, edition.words);
    columns.push(ColumnContext { entry: None, hazard: "none", prior_text });
    let groups = checks.iter().map(|check| group(edition, &candidates, *check)).collect();
    let scale = knowledge.shop.likelihoods.iter().map(|(word, number)| ScaleContext {
        word,
        text: number_text(*number, 2, edition.words),
        level: level(*number),
    });
    EvidenceContext { columns, groups, scale: scale.collect() }
}

fn column(edition: &Edition<'_>, candidate: &Candidate<'_>) -> ColumnContext {
    let entry = edition.link(candidate.entry).clone();
    let prior_text = number_text(candidate.row.prior, 2, edition.words);
    ColumnContext { entry: Some(entry), hazard: candidate.hazard, prior_text }
}

fn group<'e>(edition: &'e Edition<'_>, candidates: &[Candidate<'_>], check: Ref<Check>) -> RowsContext<'e> {
    let knowledge = edition.knowledge;
    let detail = &knowledge.checks[check].detail;
    let unit = detail.measures.as_ref().map(|measures| measures.unit.value.as_str());
    let numbers: Vec<Vec<f64>> = candidates.iter().map(|candidate| likelihoods(knowledge, candidate, check)).collect();
    let even = 1.0 / detail.answers.len().max(1) as f64;
    let rows = detail.answers.iter().enumerate().map(|(at, answer)| {
        let cell = |(candidate, row): (&Candidate<'_>, &Vec<f64>)| {
            let written = evidence_of(candidate, check).and_then(|evidence| written(evidence, at));
            cell(edition, row.get(at).copied().unwrap_or(even), written)
        };
        let mut cells: Vec<CellContext> = candidates.iter().zip(&numbers).map(cell).collect();
        cells.push(self::cell(edition, even, None));
        RowContext { answer: edition.answer_text(answer, unit), cells }
    });
    RowsContext { entry: edition.shown(check, Look::Marked), rows: rows.collect() }
}

fn written(evidence: &Evidence, answer: usize) -> Option<&Likelihood> {
    evidence.answers.iter().find(|(at, _)| *at == answer).map(|(_, likelihood)| likelihood)
}

fn cell(edition: &Edition<'_>, number: f64, written: Option<&Likelihood>) -> CellContext {
    let word = match written {
        Some(Likelihood::Word(word)) => word.clone(),
        _ => String::new(),
    };
    CellContext { word, text: number_text(number, 2, edition.words), level: level(number), given: written.is_some() }
}

/// The shade of a cell: 1 for hardly ever, 6 for nearly always.
fn level(number: f64) -> usize {
    let steps = [0.05, 0.2, 0.45, 0.7, 0.9];
    1 + steps.iter().filter(|step| number >= **step).count()
}

/// The symptoms for which a check has evidence, each with the rows of that check alone.
pub(super) fn separates<'e>(edition: &'e Edition<'_>, check: Ref<Check>) -> Vec<SeparatesContext<'e>> {
    let symptoms = symptoms_of(edition.knowledge, check);
    let row = |at: &Ref<Symptom>| SeparatesContext {
        entry: edition.shown(*at, Look::Marked),
        title: &edition.link(*at).title,
        evidence: table(edition, &edition.knowledge.symptoms[*at].detail, &[check]),
    };
    symptoms.iter().map(row).collect()
}

/// The entries that the tables of [`separates`] name: the symptoms and their candidates.
pub(super) fn shown_beside(knowledge: &Knowledge, check: Ref<Check>) -> Vec<EntryRef> {
    let symptoms = symptoms_of(knowledge, check);
    let candidates = |at: &Ref<Symptom>| knowledge.symptoms[*at].detail.candidates.iter().map(|(entry, _)| *entry);
    symptoms.iter().flat_map(|at| candidates(at).chain([EntryRef::from(*at)])).collect()
}

fn symptoms_of(knowledge: &Knowledge, check: Ref<Check>) -> Vec<Ref<Symptom>> {
    let mut symptoms = BTreeMap::new();
    for entry in knowledge.head(check.into()).into_iter().flat_map(|head| &head.led_from) {
        for row in knowledge.accounts_for(*entry) {
            if row.evidence.iter().any(|evidence| evidence.check == check) {
                symptoms.insert(row.symptom, ());
            }
        }
    }
    symptoms.into_keys().collect()
}
