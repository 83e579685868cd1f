//! Scores of a single field, without any expansion, are those of an outside library.

use baybook::page::search::{FieldScoring, Scoring, weigh};
use serde::Deserialize;
use std::collections::BTreeMap;

#[derive(Deserialize)]
struct Reference {
    cases: Vec<Case>,
}

#[derive(Deserialize)]
struct Case {
    k1: f64,
    b: f64,
    documents: Vec<Vec<String>>,
    queries: Vec<Vec<String>>,
    scores: Vec<Vec<f64>>,
}

#[test]
fn scores_are_those_of_the_reference() {
    let reference: Reference = serde_json::from_str(include_str!("../reference/bm25.json")).unwrap();
    let mut compared = 0;
    for case in &reference.cases {
        let mut terms: BTreeMap<&str, u32> = BTreeMap::new();
        let mut number = |word: &'static str| -> u32 {
            let next = terms.len() as u32;
            *terms.entry(word).or_insert(next)
        };
        let leak = |word: &String| -> &'static str { word.clone().leak() };
        let documents: Vec<Vec<u32>> =
            case.documents.iter().map(|words| words.iter().map(|word| number(leak(word))).collect()).collect();
        let scoring =
            Scoring { k1: case.k1, fields: vec![FieldScoring { weight: 1.0, b: case.b }], length_digits: None };
        let lengths = |words: &Vec<u32>, lengths: &mut [f64]| lengths[0] = words.len() as f64;
        let weighed = weigh(&documents, terms.len(), &scoring, lengths, |words, counts| {
            words.iter().for_each(|term| counts.add(*term, 0))
        });
        for (query, expected) in case.queries.iter().zip(&case.scores) {
            let mut scores = vec![0.0; documents.len()];
            for word in query {
                for (document, weight) in weighed.of(terms[word.as_str()] as usize) {
                    scores[document as usize] += weight;
                }
            }
            for (score, expected) in scores.iter().zip(expected) {
                assert!((score - expected).abs() < 1e-9, "{score} is not {expected}");
                compared += usize::from(*expected > 0.0);
            }
        }
    }
    assert!(compared > 1000, "only {compared} scores were compared");
}
