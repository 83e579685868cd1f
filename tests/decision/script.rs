//! The page script and Rust agree: on every flow of the demonstration and on random ones, for 1,000 random sequences
//! of answers each.
#![allow(clippy::disallowed_methods)]

use super::random::{Chance, Size, problem};
use baybook::decision::{
    Answers, Method, Model, StepFacts, Variant, Verdict, Walk, compile_by, decide, evaluate, script_data, walk,
};
use serde_json::{Value, json};
use std::path::Path;
use std::process::Command;

fn random_variant(seed: u64) -> Variant {
    let size = Size { checks: (3, 7), answers: (2, 3), candidates: (3, 9), max_questions: 5 };
    let problem = problem(seed, size);
    let model = Model::new(&problem);
    let flow = compile_by(&model, Method::Exact).flow;
    let (expected, _) = evaluate(&model, &flow);
    let facts = vec![StepFacts::default(); flow.steps.len()];
    let region = baybook::knowledge::fit::Universe::new(&Default::default()).everything();
    Variant { region, flow, method: Method::Exact, expected, facts, problem, made_from: None }
}

fn demonstration() -> Vec<(Variant, bool)> {
    let (folder, _) = baybook::source::read_folder(Path::new("kb")).unwrap();
    let (entries, _) = baybook::entry::read_entries(&folder);
    let (knowledge, _) = baybook::knowledge::link(&entries, &folder, None);
    let (decisions, marks) = decide(&knowledge);
    assert!(marks.is_empty(), "{marks:?}");
    let flows = decisions.symptoms.into_iter();
    flows.flat_map(|flow| flow.variants.into_iter().map(move |variant| (variant, flow.hand_written))).collect()
}

/// Some answers, "not sure" among them, in any order.
fn sequence(chance: &mut Chance, variant: &Variant) -> Vec<(usize, usize)> {
    let share = chance.between(0, 100) as u64;
    let asked = (0..variant.problem.checks.len()).filter(|_| chance.happens(share)).collect::<Vec<_>>();
    asked.into_iter().map(|at| (at, chance.between(0, variant.problem.checks[at].answers.len()))).collect()
}

fn summary(walked: &Walk, chances: &[f64]) -> Value {
    let outcome = walked.verdict.as_ref();
    let entry = |verdict: Verdict| if let Verdict::Explain(it) = verdict { Some(it) } else { None };
    json!({
        "ranking": walked.chances.iter().map(|(at, _)| at).collect::<Vec<_>>(),
        // JavaScript writes a whole number without a point.
        "chances": chances.iter().map(|chance| if *chance == 0.0 { json!(0) } else { json!(chance) }).collect::<Vec<_>>(),
        "ask": walked.next.map(|(step, _)| step),
        "verdict": outcome.map(|it| json!([it.verdict.word(), entry(it.verdict), it.step])),
        "leads": outcome.map_or_else(Vec::new, |it| it.leads.clone()),
        "plan": outcome.map_or_else(Vec::new, |it| it.bay_plan.steps.iter().map(|it| [it.check, it.confirms]).collect()),
    })
}

fn check(variants: &[(Variant, bool)], rounds: usize, name: &str) {
    let chance = &mut Chance(9);
    let (mut data, mut wanted) = (Vec::new(), Vec::new());
    for (variant, by_hand) in variants {
        let model = Model::new(&variant.problem);
        let sequences: Vec<Vec<(usize, usize)>> = (0..rounds).map(|_| sequence(chance, variant)).collect();
        for sequence in &sequences {
            let answers: Answers = sequence.iter().copied().collect();
            let walked = walk(&model, &variant.flow, *by_hand, &answers);
            wanted.push(summary(&walked, &variant.problem.chances(&answers)));
        }
        data.push(json!({"variant": script_data(variant, "v1", *by_hand), "sequences": sequences}));
    }
    let file = Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("agree-{name}.json"));
    std::fs::write(&file, serde_json::to_string(&data).unwrap()).unwrap();
    let run =
        Command::new("node").args(["tests/decision/agree.js", "themes/workshop/flow-engine.js"]).arg(&file).output();
    let run = run.expect("this test needs node");
    assert!(run.status.success(), "{}", String::from_utf8_lossy(&run.stderr));
    let got: Vec<Vec<Value>> = serde_json::from_slice(&run.stdout).unwrap();
    let got: Vec<Value> = got.into_iter().flatten().collect();
    assert_eq!(got.len(), wanted.len());
    for (at, (got, wanted)) in got.iter().zip(&wanted).enumerate() {
        assert_eq!(got, wanted, "{name}, sequence {at}");
    }
}

#[test]
fn script_and_publisher_agree_on_the_demonstration() {
    let variants = demonstration();
    let rounds = 1000_usize.div_ceil(variants.len());
    assert!(variants.len() > 20 && variants.iter().any(|(_, by_hand)| *by_hand));
    check(&variants, rounds, "demonstration");
}

#[test]
fn script_and_publisher_agree_on_random_flows() {
    let variants: Vec<(Variant, bool)> = (0..40).map(|seed| (random_variant(seed), seed % 4 == 0)).collect();
    check(&variants, 25, "random");
}
