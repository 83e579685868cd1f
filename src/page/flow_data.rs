//! Flows as data: for other programs, and for the script that walks them on the page.

use std::collections::BTreeMap;

use rayon::prelude::*;
use serde_json::{Map, Value as Json, json};

use super::edition::{Edition, script};
use super::site::{Findings, PageFile};
use crate::decision::{SymptomFlow, candidate_key, flow_data, script_data};
use crate::entry::Kind;
use crate::knowledge::{Check, Ref};

/// Interface words that the script says.
const WORDS: [&str; 58] = [
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
    "hazard_do-not-drive",
    "hazard_drive-with-care",
    "leads",
    "leads_other",
    "minutes",
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
    "why_rules_out",
    "why_saves",
    "why_this",
    "why_verdict",
    "would_change",
    "write_up",
    "your_answers",
];

/// `data/flows/<symptom>.json` for every symptom that has a flow.
pub(super) fn data_files(found: Findings<'_>) -> Vec<PageFile> {
    let file = |flow: &SymptomFlow| {
        let data = flow_data(flow, |variant| json!(found.knowledge.universe.boxes(&variant.region)));
        let text = serde_json::to_string(&data).unwrap_or_default() + "\n";
        PageFile { path: format!("data/flows/{}.json", flow.symptom), bytes: text.into_bytes() }
    };
    let flows: Vec<&SymptomFlow> = with_flow(found.decisions).collect();
    flows.into_par_iter().map(file).collect()
}

/// The script files of an edition's flow pages.
pub(super) fn scripts(edition: &Edition<'_>) -> Vec<PageFile> {
    let file = |flow: &SymptomFlow| PageFile {
        path: format!("{}data/flows/{}.js", edition.prefix, flow.symptom),
        bytes: script("baybookFlow", &page_data(edition, flow)),
    };
    let flows: Vec<&SymptomFlow> = with_flow(edition.decisions).collect();
    flows.into_par_iter().map(file).collect()
}

fn with_flow(decisions: &crate::decision::Decisions) -> impl Iterator<Item = &SymptomFlow> {
    decisions.symptoms.iter().filter(|flow| !flow.variants.is_empty())
}

fn page_data(edition: &Edition<'_>, flow: &SymptomFlow) -> Json {
    let variants = flow.variants.iter().enumerate();
    let variants = variants.map(|(at, variant)| script_data(variant, &format!("v{}", at + 1), flow.hand_written));
    let words = WORDS.iter().map(|key| ((*key).to_owned(), Json::from(edition.word(key))));
    json!({
        "symptom": flow.symptom,
        "words": words.collect::<Map<_, _>>(),
        "checks": checks(edition, flow),
        "bay": bay_checks(edition, flow),
        "candidates": candidates(edition, flow),
        "variants": variants.collect::<Vec<_>>(),
    })
}

fn checks(edition: &Edition<'_>, flow: &SymptomFlow) -> BTreeMap<String, Json> {
    let asked = flow.variants.iter().flat_map(|variant| &variant.problem.checks);
    let text = |id: &String| {
        let at: Ref<Check> = edition.knowledge.typed(edition.knowledge.find(Kind::Check, id)?)?;
        let entry = &edition.knowledge.checks[at];
        let unit = entry.detail.measures.as_ref().map(|measures| measures.unit.value.as_str());
        let answers: Vec<String> =
            entry.detail.answers.iter().map(|answer| edition.answer_text(answer, unit)).collect();
        let ask = edition.customer_text(&entry.detail.ask);
        let ask = if ask.is_empty() { entry.head.title.value.as_str() } else { ask };
        Some(json!({"ask": ask, "title": entry.head.title.value, "answers": answers}))
    };
    asked.filter_map(|check| Some((check.id.clone(), text(&check.id)?))).collect()
}

fn bay_checks(edition: &Edition<'_>, flow: &SymptomFlow) -> BTreeMap<String, String> {
    let checks = flow.variants.iter().flat_map(|variant| &variant.problem.bay_checks);
    let title = |id: &str| edition.knowledge.find(Kind::Check, id).map(|entry| edition.link(entry).title.clone());
    checks.filter_map(|check| Some((check.id.clone(), title(&check.id)?))).collect()
}

fn candidates(edition: &Edition<'_>, flow: &SymptomFlow) -> BTreeMap<String, String> {
    let all = flow.variants.iter().flat_map(|variant| &variant.problem.candidates);
    let other = ("other".to_owned(), edition.word("other_cause").to_owned());
    let named = all.filter(|candidate| candidate_key(candidate) != "other");
    named.map(|candidate| (candidate_key(candidate), candidate.title.clone())).chain([other]).collect()
}
