//! BM25F: how much each term says about each document.
//!
//! S. Robertson and H. Zaragoza, "The Probabilistic Relevance Framework: BM25 and Beyond" (2009), section 3.6, with
//! the inverse document frequency `ln(1 + (N - n + 0.5) / (n + 0.5))`, which is never negative, and without the
//! factor `k1 + 1`, which changes no order.

use std::collections::BTreeMap;

/// Parameters of the ranking.
#[derive(Clone, Debug)]
pub struct Scoring {
    /// How soon more of the same word says nothing new; above 0.
    pub k1: f64,
    /// Weight and length normalisation of each field.
    pub fields: Vec<FieldScoring>,
}

/// Parameters of one field.
#[derive(Clone, Copy, Debug)]
pub struct FieldScoring {
    /// What a word in it counts, against 1 for a word of the body.
    pub weight: f64,
    /// How much a long field counts less: 0 (not) to 1 (in full).
    pub b: f64,
}

/// A word in a field of a document.
#[derive(Clone, Copy, Debug)]
pub struct Occurrence {
    /// Position of the field.
    pub field: usize,
    /// The term's number.
    pub term: u32,
    /// Whether it counts towards the field's length.
    pub counts: bool,
}

/// For each term, the documents that have it, ascending, and what it says about each. `documents` holds the words of
/// each document in any order; `terms` is how many terms there are.
pub fn weigh(documents: &[Vec<Occurrence>], terms: usize, scoring: &Scoring) -> Vec<Vec<(u32, f64)>> {
    let lengths: Vec<Vec<f64>> = documents.iter().map(|words| field_lengths(words, scoring.fields.len())).collect();
    let averages = averages(&lengths, scoring.fields.len());
    let mut weighed: Vec<Vec<(u32, f64)>> = vec![Vec::new(); terms];
    for ((at, words), lengths) in (0..).zip(documents).zip(&lengths) {
        let norms = norms(lengths, &averages, scoring);
        for (term, frequency) in frequencies(words, &norms) {
            if let Some(postings) = weighed.get_mut(term as usize) {
                postings.push((at, frequency / (scoring.k1 + frequency)));
            }
        }
    }
    for postings in &mut weighed {
        let rarity = rarity(documents.len(), postings.len());
        postings.iter_mut().for_each(|(_, weight)| *weight *= rarity);
    }
    weighed
}

/// The inverse document frequency of a term that `with` of `all` documents have.
fn rarity(all: usize, with: usize) -> f64 {
    let (all, with) = (all as f64, with as f64);
    (1.0 + (all - with + 0.5) / (with + 0.5)).ln()
}

fn field_lengths(words: &[Occurrence], fields: usize) -> Vec<f64> {
    let mut lengths = vec![0.0; fields];
    for word in words.iter().filter(|word| word.counts) {
        if let Some(length) = lengths.get_mut(word.field) {
            *length += 1.0;
        }
    }
    lengths
}

/// The average length of each field over the documents that have it.
fn averages(lengths: &[Vec<f64>], fields: usize) -> Vec<f64> {
    let average = |field: usize| {
        let lengths = lengths.iter().filter_map(|lengths| lengths.get(field)).filter(|length| **length > 0.0);
        let (sum, count) = lengths.fold((0.0, 0.0), |(sum, count), length| (sum + length, count + 1.0));
        if count > 0.0 { sum / count } else { 1.0 }
    };
    (0..fields).map(average).collect()
}

/// What one word counts in each field of a document.
fn norms(lengths: &[f64], averages: &[f64], scoring: &Scoring) -> Vec<f64> {
    let fields = scoring.fields.iter().zip(lengths).zip(averages);
    fields.map(|((field, length), average)| field.weight / (1.0 - field.b + field.b * length / average)).collect()
}

/// The weighted frequency of each term of a document, field by field in their order.
fn frequencies(words: &[Occurrence], norms: &[f64]) -> BTreeMap<u32, f64> {
    let mut counts: BTreeMap<(u32, usize), f64> = BTreeMap::new();
    for word in words {
        *counts.entry((word.term, word.field)).or_default() += 1.0;
    }
    let mut frequencies: BTreeMap<u32, f64> = BTreeMap::new();
    for ((term, field), count) in counts {
        *frequencies.entry(term).or_default() += count * norms.get(field).copied().unwrap_or(0.0);
    }
    frequencies
}
