//! Flows as data: for other programs, and for the script that walks them on the page.

use std::collections::BTreeMap;

use rayon::prelude::*;
use serde::Serialize;
use serde_json::{Map, Value as Json, json};

use super::edition::{Edition, script};
use super::outlet::{Outlet, take_unless_it_stands};
use super::site::{Findings, PageFault};
use crate::decision::{SymptomFlow, Variant, candidate_key, flow_data, script_data};
use crate::diagnostic::Digest;
use crate::entry::Kind;
use crate::knowledge::{Check, Ref};

/// Interface words that the script says.
const WORDS: [&str; 64] = [
    "answers_apart",
    "back",
    "bay_plan",
    "chance",
    "check",
    "confirms",
    "copied",
    "copy",
    "customers_words",
    "drive_ask",
    "drive_ask_means",
    "drive_care",
    "drive_care_means",
    "drive_freely",
    "drive_freely_means",
    "drive_until",
    "drive_until_means",
    "forced_note",
    "found_by_then",
    "gate_open",
    "gate_shut",
    "gates_open",
    "group",
    "hazard_do-not-drive",
    "hazard_drive-with-care",
    "leads",
    "leads_other",
    "minutes",
    "not_for_vehicle",
    "not_named",
    "not_sure",
    "other_cause",
    "reason_alarm",
    "reason_fits",
    "reason_not_shown",
    "reason_other",
    "reason_stop",
    "settled",
    "start_again",
    "take_back",
    "time",
    "times_against",
    "times_for",
    "vehicle",
    "verdict",
    "verdict_book-in",
    "verdict_book-in_means",
    "verdict_do-not-drive",
    "verdict_do-not-drive_means",
    "verdict_explain",
    "verdict_explain_means",
    "volunteered",
    "weighed",
    "where_counter",
    "where_road-test",
    "where_walk-round",
    "which_depends",
    "why_rules_out",
    "why_saves",
    "why_this",
    "why_verdict",
    "would_change",
    "write_up",
    "your_answers",
];

/// Makes `data/flows/<symptom>.json` for every symptom that has a flow.
pub(super) fn data_files(found: Findings<'_>, outlet: &dyn Outlet) -> Result<(), PageFault> {
    let boxes = |variant: &Variant| found.knowledge.universe.boxes(&variant.region);
    let file = |flow: &SymptomFlow| {
        let path = format!("data/flows/{}.json", flow.symptom);
        let boxes_of_all = || flow.variants.iter().map(boxes).collect::<Vec<_>>();
        let decided_by = prints(flow).map(|prints| (&flow.symptom, prints, boxes_of_all()));
        take_unless_it_stands(outlet, path, decided_by, || {
            let data = flow_data(flow, |variant| json!(boxes(variant)));
            (serde_json::to_string(&data).unwrap_or_default() + "\n").into_bytes()
        })
    };
    let flows: Vec<&SymptomFlow> = with_flow(found.decisions).collect();
    flows.into_par_iter().try_for_each(file)
}

/// Makes the script files of an edition's flow pages.
pub(super) fn scripts(edition: &Edition<'_>) -> Result<(), PageFault> {
    let file = |flow: &SymptomFlow| {
        let path = format!("{}data/flows/{}.js", edition.prefix, flow.symptom);
        let names = Names::of(edition, flow);
        let decided_by = prints(flow).map(|prints| (edition.theme, edition.language, &flow.symptom, prints, &names));
        take_unless_it_stands(edition.outlet, path, decided_by, || {
            script("baybookFlow", &page_data(edition, flow, &names))
        })
    };
    let flows: Vec<&SymptomFlow> = with_flow(edition.decisions).collect();
    flows.into_par_iter().try_for_each(file)
}

fn with_flow(decisions: &crate::decision::Decisions) -> impl Iterator<Item = &SymptomFlow> {
    decisions.symptoms.iter().filter(|flow| !flow.variants.is_empty())
}

/// Names for all that decides the flow, but for the vehicles and whoever wrote it.
fn prints(flow: &SymptomFlow) -> Option<(bool, Vec<Digest>)> {
    let prints = flow.variants.iter().map(|variant| variant.made_from).collect::<Option<_>>()?;
    Some((flow.hand_written, prints))
}

fn page_data(edition: &Edition<'_>, flow: &SymptomFlow, names: &Names<'_>) -> Json {
    let variants = flow.variants.iter().enumerate();
    let variants = variants.map(|(at, variant)| script_data(variant, &format!("v{}", at + 1), flow.hand_written));
    let words = WORDS.iter().map(|key| ((*key).to_owned(), Json::from(edition.word(key))));
    json!({
        "symptom": flow.symptom,
        "words": words.collect::<Map<_, _>>(),
        "checks": names.checks,
        "bay": names.bay,
        "candidates": candidates(edition, flow),
        "variants": variants.collect::<Vec<_>>(),
    })
}

/// What the checks of a flow are called in an edition.
#[derive(Serialize)]
struct Names<'e> {
    checks: BTreeMap<&'e str, CheckNames<'e>>,
    bay: BTreeMap<&'e str, &'e str>,
}

#[derive(Serialize)]
struct CheckNames<'e> {
    ask: &'e str,
    title: &'e str,
    answers: Vec<String>,
}

impl<'e> Names<'e> {
    fn of(edition: &'e Edition<'_>, flow: &'e SymptomFlow) -> Self {
        let asked = flow.variants.iter().flat_map(|variant| &variant.problem.checks);
        let checks = asked.filter_map(|check| Some((check.id.as_str(), CheckNames::of(edition, &check.id)?))).collect();
        Self { checks, bay: bay_checks(edition, flow) }
    }
}

impl<'e> CheckNames<'e> {
    fn of(edition: &'e Edition<'_>, id: &str) -> Option<Self> {
        let at: Ref<Check> = edition.knowledge.typed(edition.knowledge.find(Kind::Check, id)?)?;
        let entry = &edition.knowledge.checks[at];
        let unit = entry.detail.measures.as_ref().map(|measures| measures.unit.value.as_str());
        let answers = entry.detail.answers.iter().map(|answer| edition.answer_text(answer, unit)).collect();
        let ask = edition.customer_text(&entry.detail.ask);
        let title = entry.head.title.value.as_str();
        Some(Self { ask: if ask.is_empty() { title } else { ask }, title, answers })
    }
}

fn bay_checks<'e>(edition: &'e Edition<'_>, flow: &'e SymptomFlow) -> BTreeMap<&'e str, &'e str> {
    let checks = flow.variants.iter().flat_map(|variant| &variant.problem.bay_checks);
    let title = |id: &str| Some(edition.link(edition.knowledge.find(Kind::Check, id)?).title.as_str());
    checks.filter_map(|check| Some((check.id.as_str(), title(&check.id)?))).collect()
}

fn candidates(edition: &Edition<'_>, flow: &SymptomFlow) -> BTreeMap<String, String> {
    let all = flow.variants.iter().flat_map(|variant| &variant.problem.candidates);
    let other = ("other".to_owned(), edition.word("other_cause").to_owned());
    let named = all.filter(|candidate| candidate_key(candidate) != "other");
    named.map(|candidate| (candidate_key(candidate), candidate.title.clone())).chain([other]).collect()
}
