//! Flows as data: `data/flows/<symptom>.json`, the answer of `ask`, and what the page script needs beside them.

use super::bay_plan::BayPlan;
use super::decide::{StepFacts, SymptomFlow, Variant};
use super::explain::Change;
use super::flow::{Act, Step};
use super::gates::Floor;
use super::model::{Model, Verdict};
use super::problem::{Answers, Candidate, Cause, Given, Problem};
use super::told::question;
use super::walk::{OpenGate, Outcome, Walk, walk};
use serde_json::{Map, Value, json};

/// A number as data files show it: at most six decimals, so that it reads well and the last bits do not show.
fn rounded(value: f64) -> Value {
    json!((value * 1e6).round() / 1e6)
}

fn id_of(problem: &Problem, candidate: usize) -> &str {
    problem.candidates.get(candidate).map_or("", |it| it.id.as_str())
}

/// The key of a candidate among the chances: `conditions/worn-pads`, `other`.
pub fn candidate_key(candidate: &Candidate) -> String {
    match candidate.cause {
        Cause::Characteristic => format!("characteristics/{}", candidate.id),
        Cause::Condition(_) => format!("conditions/{}", candidate.id),
        Cause::Other => "other".to_owned(),
    }
}

/// The content of `data/flows/<symptom>.json`. `fits` gives the boxes of each variant.
pub fn flow_data(flow: &SymptomFlow, fits: impl Fn(&Variant) -> Value) -> Value {
    let variant = |it: &Variant| {
        let steps = it.flow.steps.iter().zip(&it.facts).enumerate();
        json!({
            "fits": fits(it),
            "start": it.flow.start,
            "expected": {
                "minutes": rounded(it.expected.minutes),
                "loss": rounded(it.expected.loss),
                "optimum": it.expected.optimum.map(rounded),
            },
            "steps": steps.map(|(at, (step, facts))| step_data(&it.problem, at, step, facts)).collect::<Vec<_>>(),
        })
    };
    json!({
        "symptom": flow.symptom,
        "method": flow.method().word(),
        "variants": flow.variants.iter().map(variant).collect::<Vec<_>>(),
    })
}

fn step_data(problem: &Problem, at: usize, step: &Step, facts: &StepFacts) -> Value {
    let ids = |leads: &[usize]| leads.iter().map(|lead| id_of(problem, *lead)).collect::<Vec<_>>();
    let mut data = Map::new();
    data.insert("step".into(), json!(at));
    match &step.act {
        Act::Ask { check, next } => {
            let Some(check) = problem.checks.get(*check) else { return Value::Object(data) };
            let answers = next.iter().enumerate();
            let answers = answers.map(|(answer, to)| (check.answer_id(answer).to_owned(), json!(to)));
            data.insert("check".into(), json!(check.id));
            data.insert("answers".into(), Value::Object(answers.collect()));
        }
        Act::Stop { verdict, leads } => {
            data.insert("verdict".into(), json!(verdict.word()));
            match verdict {
                Verdict::Explain(it) => data.insert("characteristic".into(), json!(id_of(problem, *it))),
                _ => data.insert("leads".into(), json!(ids(leads))),
            };
            if *verdict == Verdict::BookIn {
                data.insert("bay_plan".into(), bay_plan_data(problem, &facts.bay_plan));
            }
            data.insert("chances".into(), chances_data(problem, &facts.arrival.chances));
        }
        Act::Broken => {}
    }
    Value::Object(data)
}

fn bay_plan_data(problem: &Problem, plan: &BayPlan) -> Value {
    let row = |step: &super::bay_plan::BayStep| {
        json!({
            "check": problem.bay_checks.get(step.check).map(|it| it.id.as_str()),
            "confirms": id_of(problem, step.confirms),
            "chance": rounded(step.chance),
            "minutes": rounded(step.minutes),
        })
    };
    plan.steps.iter().map(row).collect()
}

fn chances_data(problem: &Problem, chances: &[f64]) -> Value {
    let causes = problem.candidates.iter().zip(chances).filter(|(it, _)| it.can_be_cause());
    let mut rows: Vec<(String, Value)> = causes.map(|(it, chance)| (candidate_key(it), rounded(*chance))).collect();
    rows.sort_by(|a, b| a.0.cmp(&b.0));
    Value::Object(rows.into_iter().collect())
}

/// The answer of `ask` as JSON, without `symptom` and `vehicle`, which the caller knows.
pub fn ask_data(variant: &Variant, hand_written: bool, answers: &Answers) -> Map<String, Value> {
    let model = Model::new(&variant.problem);
    let walked = walk(&model, &variant.flow, hand_written, answers);
    let problem = &variant.problem;
    let candidates = walked.chances.iter().filter_map(|(at, chance)| {
        let it = problem.candidates.get(*at)?;
        Some(json!({"kind": it.cause.kind(), "id": it.id, "chance": rounded(*chance)}))
    });
    let next = walked.next.and_then(|(_, check)| {
        let why = super::told::why_words(&model, answers, check);
        Some(json!({"check": problem.checks.get(check)?.id, "why": why}))
    });
    let mut data = Map::new();
    data.insert("candidates".into(), candidates.collect());
    data.insert("next".into(), json!(next));
    data.insert("verdict".into(), json!(walked.verdict.as_ref().map(|it| outcome_data(problem, it))));
    data.insert("open_gates".into(), gates_data(problem, &walked));
    data
}

fn outcome_data(problem: &Problem, outcome: &Outcome) -> Value {
    let entry = if let Verdict::Explain(it) = outcome.verdict { Some(id_of(problem, it)) } else { None };
    json!({
        "verdict": outcome.verdict.word(),
        "entry": entry,
        "leads": outcome.leads.iter().map(|lead| id_of(problem, *lead)).collect::<Vec<_>>(),
        "bay_plan": bay_plan_data(problem, &outcome.bay_plan),
    })
}

fn gates_data(problem: &Problem, walked: &Walk) -> Value {
    walked.open_gates.iter().map(|gate| gate_data(problem, gate)).collect()
}

/// An open gate: what is missing, of which entry, and the answers that would show it.
fn gate_data(problem: &Problem, gate: &OpenGate) -> Value {
    let of = |at: usize| problem.candidates.get(at);
    match gate {
        OpenGate::RuleOut(it) => {
            let by = of(*it).map_or_else(Vec::new, |it| it.ruled_out_by.clone());
            json!({"gate": "rule-out", "entry": id_of(problem, *it), "answers": answers_data(problem, &by)})
        }
        OpenGate::OnlyIf(it, number) => {
            let needed = of(*it).and_then(|it| it.only_if.get(*number));
            let by = needed.map_or_else(Vec::new, |needed| needed.answers.clone());
            json!({"gate": "only-if", "entry": id_of(problem, *it), "answers": answers_data(problem, &by)})
        }
        OpenGate::NotIf(it) => {
            let by = of(*it).map_or_else(Vec::new, |it| it.not_if.clone());
            json!({"gate": "not-if", "entry": id_of(problem, *it), "answers": answers_data(problem, &by)})
        }
        OpenGate::Alarm(floor) => {
            let least = if *floor == Floor::DoNotDrive { "do-not-drive" } else { "book-in" };
            json!({"gate": "alarm", "least": least})
        }
        OpenGate::OtherLeads => json!({"gate": "other-leads"}),
    }
}

/// Answers by check: `{"bearing-rock": ["none-felt"]}`.
fn answers_data(problem: &Problem, given: &[Given]) -> Value {
    let mut by_check = Map::new();
    for given in given {
        let Some(check) = problem.checks.get(given.check) else { continue };
        let answers = by_check.entry(check.id.clone()).or_insert_with(|| json!([]));
        if let Some(list) = answers.as_array_mut() {
            list.push(json!(check.answer_id(given.answer)));
        }
    }
    Value::Object(by_check)
}

/// What the page script needs of a variant beside its pages: the tables that chances are worked out from, the gates,
/// the flow, and the reasons of its steps. Positions are those in these lists; "not sure" is the answer after the
/// last. Numbers that the script multiplies are given in full. `id` names the variant's section of the page.
pub fn script_data(variant: &Variant, id: &str, hand_written: bool) -> Value {
    let problem = &variant.problem;
    let steps = variant.flow.steps.iter().zip(&variant.facts);
    json!({
        "id": id,
        "hand": hand_written,
        "candidates": problem.candidates.iter().map(candidate_script).collect::<Vec<_>>(),
        "checks": problem.checks.iter().map(|it| json!({
            "id": it.id,
            "answers": it.answers,
            "drives": it.place == super::problem::Place::RoadTest,
        })).collect::<Vec<_>>(),
        "bay": problem.bay_checks.iter().map(|it| json!({"id": it.id, "minutes": it.minutes})).collect::<Vec<_>>(),
        "start": variant.flow.start,
        "steps": steps.map(|(step, facts)| step_script(problem, step, facts)).collect::<Vec<_>>(),
    })
}

fn pairs(given: &[Given]) -> Value {
    given.iter().map(|it| json!([it.check, it.answer])).collect()
}

fn candidate_script(it: &Candidate) -> Value {
    json!({
        "key": candidate_key(it),
        "id": it.id,
        "kind": it.cause.kind(),
        "hazard": it.cause.hazard().word(),
        "weight": it.weight,
        "rows": it.rows,
        "out": pairs(&it.ruled_out_by),
        "alarm": pairs(&it.alarm),
        "only": it.only_if.iter().map(|needed| pairs(&needed.answers)).collect::<Vec<_>>(),
        "not": pairs(&it.not_if),
        "confirm": it.confirm.iter().map(|confirm| json!([confirm.check, confirm.answer])).collect::<Vec<_>>(),
    })
}

fn step_script(problem: &Problem, step: &Step, facts: &StepFacts) -> Value {
    match &step.act {
        Act::Ask { check, next } => {
            let why = facts.why.as_ref();
            json!({
                "check": check,
                "next": next,
                "saved": why.and_then(|why| why.saved).map(|(minutes, other)| json!([rounded(minutes), other])),
                "rules": why.map_or_else(Vec::new, |why| why.rules_out.clone()),
                "alarms": why.map_or_else(Vec::new, |why| why.alarms.clone()),
            })
        }
        Act::Stop { verdict, leads } => json!({
            "verdict": verdict.word(),
            "entry": if let Verdict::Explain(it) = verdict { Some(*it) } else { None },
            "leads": leads,
            "settled": facts.settled.map(rounded),
            "changes": facts.changes.iter().map(|change| change_script(problem, change)).collect::<Vec<_>>(),
        }),
        Act::Broken => json!({}),
    }
}

fn change_script(problem: &Problem, change: &Change) -> Value {
    let told: Vec<String> = change.answers.iter().map(|it| question(problem, it.check, it.answer)).collect();
    json!({"answers": pairs(&change.answers), "verdict": change.verdict.word(), "told": told.join(", ")})
}
