//! BM25F: how much each term says about each document.
//!
//! S. Robertson and H. Zaragoza, "The Probabilistic Relevance Framework: BM25 and Beyond" (2009), section 3.6, with
//! the inverse document frequency `ln(1 + (N - n + 0.5) / (n + 0.5))`, which is never negative, and without the
//! factor `k1 + 1`, which changes no order.

use super::shares::in_shares;

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
    /// The term's number.
    pub term: u32,
    /// Position of the field.
    pub field: u8,
    /// Whether it counts towards the field's length.
    pub counts: bool,
}

/// What each term says about the documents that have it.
#[derive(Clone, Debug, Default)]
pub struct Weighed {
    /// Where the postings of each term begin, and where the last ones end.
    starts: Vec<usize>,
    postings: Vec<(u32, f64)>,
}

impl Weighed {
    /// The documents that have a term, ascending, and what it says about each.
    pub fn of(&self, term: usize) -> &[(u32, f64)] {
        let range = self.starts.get(term).zip(self.starts.get(term + 1));
        range.and_then(|(start, end)| self.postings.get(*start..*end)).unwrap_or_default()
    }
}

/// Weighs every term for every document. `words` adds the words of a document to a list, in any order; `terms` is how
/// many terms there are.
pub fn weigh<D: Sync>(
    documents: &[D],
    terms: usize,
    scoring: &Scoring,
    words: impl Fn(&D, &mut Vec<Occurrence>) + Sync,
) -> Weighed {
    let lengths = in_shares(documents, |_, run| {
        let mut own = Vec::new();
        let lengths = run.iter().map(|document| {
            own.clear();
            words(document, &mut own);
            field_lengths(&own, scoring.fields.len())
        });
        lengths.collect::<Vec<_>>()
    });
    let lengths: Vec<Vec<f64>> = lengths.into_iter().flatten().collect();
    let averages = averages(&lengths, scoring.fields.len());
    let shares = in_shares(documents, |first, run| {
        let (mut own, mut found) = (Vec::new(), Vec::new());
        for ((at, document), lengths) in (first..).zip(run).zip(lengths.iter().skip(first)) {
            own.clear();
            words(document, &mut own);
            let norms = norms(lengths, &averages, scoring);
            let at = u32::try_from(at).unwrap_or(u32::MAX);
            each_frequency(&own, &norms, |term, frequency| {
                found.push((term, at, frequency / (scoring.k1 + frequency)))
            });
        }
        found
    });
    by_term(shares, terms, documents.len())
}

/// Sorts what was found for each document in turn by terms; what a term says is the more the rarer it is.
fn by_term(shares: Vec<Vec<(u32, u32, f64)>>, terms: usize, documents: usize) -> Weighed {
    let mut counts = vec![0_usize; terms];
    for (term, ..) in shares.iter().flatten() {
        if let Some(count) = counts.get_mut(*term as usize) {
            *count += 1;
        }
    }
    let mut starts = vec![0];
    starts.extend(counts.iter().scan(0, |sum, count| {
        *sum += count;
        Some(*sum)
    }));
    let rarities: Vec<f64> = counts.iter().map(|count| rarity(documents, *count)).collect();
    let mut postings = vec![(0, 0.0); starts.last().copied().unwrap_or(0)];
    let mut ends = starts.clone();
    for (term, document, weight) in shares.into_iter().flatten() {
        let Some((end, rarity)) = ends.get_mut(term as usize).zip(rarities.get(term as usize)) else { continue };
        if let Some(posting) = postings.get_mut(*end) {
            *posting = (document, weight * rarity);
        }
        *end += 1;
    }
    Weighed { starts, postings }
}

/// The inverse document frequency of a term that `with` of `all` documents have.
fn rarity(all: usize, with: usize) -> f64 {
    let (all, with) = (all as f64, with as f64);
    (1.0 + (all - with + 0.5) / (with + 0.5)).ln()
}

fn field_lengths(words: &[Occurrence], fields: usize) -> Vec<f64> {
    let mut lengths = vec![0.0; fields];
    for word in words.iter().filter(|word| word.counts) {
        if let Some(length) = lengths.get_mut(usize::from(word.field)) {
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

/// Hands over the weighted frequency of each term of a document, ascending by term; fields are added in their order.
fn each_frequency(words: &[Occurrence], norms: &[f64], mut take: impl FnMut(u32, f64)) {
    // A term and its field as one number, which is quicker to sort.
    let mut pairs: Vec<u64> = words.iter().map(|word| u64::from(word.term) << 8 | u64::from(word.field)).collect();
    pairs.sort_unstable();
    for of_term in pairs.chunk_by(|a, b| a >> 8 == b >> 8) {
        let part = |run: &[u64]| {
            let norm = run.first().and_then(|pair| norms.get((pair & 0xff) as usize));
            run.len() as f64 * norm.copied().unwrap_or(0.0)
        };
        let frequency = of_term.chunk_by(|a, b| a == b).map(part).reduce(|sum, part| sum + part);
        if let Some(pair) = of_term.first() {
            take((pair >> 8) as u32, frequency.unwrap_or(0.0));
        }
    }
}
