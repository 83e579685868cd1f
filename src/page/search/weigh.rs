//! BM25F: how much each term says about each document.
//!
//! S. Robertson and H. Zaragoza, "The Probabilistic Relevance Framework: BM25 and Beyond" (2009), section 3.6, with
//! the inverse document frequency `ln(1 + (N - n + 0.5) / (n + 0.5))`, which is never negative, and without the
//! factor `k1 + 1`, which changes no order.

use std::sync::{Mutex, PoisonError};

use rayon::prelude::*;

use super::shares::in_shares;

/// Parameters of the ranking.
#[derive(Clone, Debug)]
pub struct Scoring {
    /// How soon more of the same word says nothing new; above 0.
    pub k1: f64,
    /// Weight and length normalisation of each field; at most eight.
    pub fields: Vec<FieldScoring>,
    /// How many binary digits of lengths and of their averages count, the first not told; all if `None`. With few, an edit seldom
    /// changes what other words say about its document, and next to never what is said about other documents; a length
    /// is then off by one part in `2 << digits` at most.
    pub length_digits: Option<u32>,
}

/// Parameters of one field.
#[derive(Clone, Copy, Debug)]
pub struct FieldScoring {
    /// What a word in it counts, against 1 for a word of the body.
    pub weight: f64,
    /// How much a long field counts less: 0 (not) to 1 (in full).
    pub b: f64,
}

impl Scoring {
    /// A length, 0 or more, with as many digits as count.
    fn rounded(&self, length: f64) -> f64 {
        let Some(digits) = self.length_digits else { return length };
        let last = 1 << (f64::MANTISSA_DIGITS - 1).saturating_sub(digits);
        f64::from_bits((length.to_bits() + last / 2) & !(last - 1))
    }
}

/// What each term says about the documents that have it.
#[derive(Clone, Debug, Default)]
pub struct Weighed {
    /// How many documents have each term.
    counts: Vec<usize>,
    /// How many documents there are.
    all: usize,
    /// Postings of runs of documents, in the order of the documents.
    runs: Vec<Run>,
}

/// The postings of some documents, by terms.
#[derive(Clone, Debug)]
struct Run {
    /// Where the postings of each term begin, and where the last ones end.
    starts: Vec<u32>,
    /// The document of each posting.
    documents: Vec<u32>,
    /// What its term says about it, before the term's rarity counts.
    weights: Vec<f64>,
    /// A name for the postings of each term.
    prints: Vec<u64>,
}

/// A name for what had the one name before, and has more now. A difference in either always makes another name; of several
/// differences one would have to undo the other, which none does by chance. A multiplication is all that a posting may cost.
fn mixed(print: u64, more: u64) -> u64 {
    // An odd number, so that nothing is lost: the golden ratio in binary.
    (print.rotate_left(23) ^ more).wrapping_mul(0x9e37_79b9_7f4a_7c15)
}

impl Weighed {
    /// The documents that have a term, ascending, and what it says about each.
    pub fn of(&self, term: usize) -> Vec<(u32, f64)> {
        let count = self.count(term);
        let (rarity, mut postings) = (rarity(self.all, count), Vec::with_capacity(count));
        for run in &self.runs {
            let (documents, weights) = run.of(term);
            postings.extend(documents.iter().zip(weights).map(|(document, weight)| (*document, weight * rarity)));
        }
        postings
    }

    /// A name for what [`Self::of`] gives for a term, if there are as many documents. Where another number of cores works, it is
    /// another one.
    pub(super) fn print(&self, term: usize) -> u64 {
        self.runs.iter().filter_map(|run| run.prints.get(term)).fold(0, |print, own| mixed(print, *own))
    }

    /// How many documents have a term.
    pub fn count(&self, term: usize) -> usize {
        self.counts.get(term).copied().unwrap_or(0)
    }
}

impl Run {
    /// Sorts by term what was found for each document in turn. Terms are below `terms`.
    fn new(found: &[(u32, u32, f64)], terms: usize) -> Self {
        let mut starts = vec![0_u32; terms + 1];
        for (term, ..) in found {
            if let Some(start) = starts.get_mut(*term as usize + 1) {
                *start += 1;
            }
        }
        let mut sum = 0;
        for start in &mut starts {
            sum += *start;
            *start = sum;
        }
        let (mut documents, mut weights) = (vec![0; found.len()], vec![0.0; found.len()]);
        // Where the next posting of each term stands, and the name of those before it.
        let mut ends: Vec<(u32, u64)> = starts.iter().map(|start| (*start, 0)).collect();
        for (term, document, weight) in found {
            let Some((end, print)) = ends.get_mut(*term as usize) else { continue };
            if let Some(posting) = documents.get_mut(*end as usize).zip(weights.get_mut(*end as usize)) {
                (*posting.0, *posting.1) = (*document, *weight);
            }
            *end += 1;
            *print = mixed(mixed(*print, u64::from(*document)), weight.to_bits());
        }
        let prints = ends.into_iter().map(|(_, print)| print).collect();
        Self { starts, documents, weights, prints }
    }

    fn of(&self, term: usize) -> (&[u32], &[f64]) {
        let range = self.starts.get(term).zip(self.starts.get(term + 1));
        let range = range.map_or(0..0, |(start, end)| *start as usize..*end as usize);
        let postings = self.documents.get(range.clone()).zip(self.weights.get(range));
        postings.unwrap_or_default()
    }
}

/// What was found, document by document: a term, the document, what the term says about it.
type Found = Vec<(u32, u32, f64)>;

/// Runs of documents for each processor: of a small one, what is sorted stays near the processor.
const RUNS: usize = 8;

/// Fewest documents of a run: each knows where every term begins.
const LEAST: usize = 512;

/// Weighs every term for every document. `lengths` adds to the length of each field of a document, which is 0 before,
/// and `words` counts its words, in any order; `terms` is how many terms there are.
pub fn weigh<D: Sync>(
    documents: &[D],
    terms: usize,
    scoring: &Scoring,
    lengths: impl Fn(&D, &mut [f64]) + Sync,
    words: impl Fn(&D, &mut Counts) + Sync,
) -> Weighed {
    debug_assert!(scoring.fields.len() <= FIELDS);
    let lengths = in_shares(documents, |_, run| {
        let of_fields = |document| {
            let mut own = vec![0.0; scoring.fields.len()];
            lengths(document, &mut own);
            own.iter_mut().for_each(|length| *length = scoring.rounded(*length));
            own
        };
        run.iter().map(of_fields).collect::<Vec<_>>()
    });
    let lengths: Vec<Vec<f64>> = lengths.into_iter().flatten().collect();
    let averages = averages(&lengths, scoring);
    // New memory for each run would cost as much as filling it.
    let spare: Mutex<Vec<Found>> = Mutex::default();
    let spare = || spare.lock().unwrap_or_else(PoisonError::into_inner);
    let size = documents.len().div_ceil(rayon::current_num_threads() * RUNS).max(LEAST);
    let weigh_run = |(at, run): (usize, &[D])| {
        let first = at * size;
        let (mut found, mut counts) = (spare().pop().unwrap_or_default(), Counts::new(terms));
        for ((at, document), lengths) in (first..).zip(run).zip(lengths.iter().skip(first)) {
            words(document, &mut counts);
            let norms = norms(lengths, &averages, scoring);
            let at = u32::try_from(at).unwrap_or(u32::MAX);
            counts.hand_over(&norms, |term, frequency| found.push((term, at, frequency / (scoring.k1 + frequency))));
        }
        let run = Run::new(&found, terms);
        found.clear();
        spare().push(found);
        run
    };
    let runs: Vec<Run> = documents.par_chunks(size).enumerate().map(weigh_run).collect();
    let count = |term: usize| runs.iter().map(|run| run.of(term).0.len()).sum();
    Weighed { counts: (0..terms).map(count).collect(), all: documents.len(), runs }
}

/// The inverse document frequency of a term that `with` of `all` documents have.
fn rarity(all: usize, with: usize) -> f64 {
    let (all, with) = (all as f64, with as f64);
    (1.0 + (all - with + 0.5) / (with + 0.5)).ln()
}

/// The average length of each field over the documents that have it.
fn averages(lengths: &[Vec<f64>], scoring: &Scoring) -> Vec<f64> {
    let average = |field: usize| {
        let lengths = lengths.iter().filter_map(|lengths| lengths.get(field)).filter(|length| **length > 0.0);
        let (sum, count) = lengths.fold((0.0, 0.0), |(sum, count), length| (sum + length, count + 1.0));
        if count > 0.0 { scoring.rounded(sum / count) } else { 1.0 }
    };
    (0..scoring.fields.len()).map(average).collect()
}

/// What one word counts in each field of a document.
fn norms(lengths: &[f64], averages: &[f64], scoring: &Scoring) -> [f64; FIELDS] {
    let mut norms = [0.0; FIELDS];
    let fields = scoring.fields.iter().zip(lengths).zip(averages);
    for (norm, ((field, length), average)) in norms.iter_mut().zip(fields) {
        *norm = field.weight / (1.0 - field.b + field.b * length / average);
    }
    norms
}

/// How many fields there may be.
const FIELDS: usize = 8;

/// How often each term of a document stands in each of its fields.
#[derive(Debug)]
pub struct Counts {
    /// Where each term's counts stand, if the document has it.
    places: Vec<u32>,
    /// The terms in the order in which they were met, each with one bit for each field that has it and a count for each.
    met: Vec<(u32, u32, [u32; FIELDS])>,
}

impl Counts {
    fn new(terms: usize) -> Self {
        Self { places: vec![u32::MAX; terms], met: Vec::new() }
    }

    /// Hands over the weighted frequency of each term, and counts from the start; fields are added in their order.
    fn hand_over(&mut self, norms: &[f64; FIELDS], mut take: impl FnMut(u32, f64)) {
        for (term, mut fields, counts) in self.met.drain(..) {
            let mut frequency = 0.0;
            while fields > 0 {
                let field = fields.trailing_zeros() as usize % FIELDS;
                let part = counts.get(field).zip(norms.get(field));
                frequency += part.map_or(0.0, |(count, norm)| f64::from(*count) * norm);
                fields &= fields - 1;
            }
            take(term, frequency);
            if let Some(place) = self.places.get_mut(term as usize) {
                *place = u32::MAX;
            }
        }
    }

    /// Counts a word: a term in the field at that position.
    pub fn add(&mut self, term: u32, field: u8) {
        let Some(place) = self.places.get_mut(term as usize) else { return };
        if *place == u32::MAX {
            *place = self.met.len() as u32;
            self.met.push((term, 0, [0; FIELDS]));
        }
        let Some((_, fields, counts)) = self.met.get_mut(*place as usize) else { return };
        if let Some(count) = counts.get_mut(usize::from(field)) {
            *fields |= 1 << field;
            *count += 1;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn scoring(length_digits: Option<u32>) -> Scoring {
        Scoring { k1: 1.2, fields: vec![FieldScoring { weight: 1.0, b: 0.75 }], length_digits }
    }

    #[test]
    fn so_many_digits_of_a_length_count() {
        let rounded = |digits, lengths: [f64; 5]| lengths.map(|length| scoring(digits).rounded(length));
        assert_eq!(rounded(Some(4), [0.0, 1.0, 250.3, 252.0, 253.0]), [0.0, 1.0, 248.0, 256.0, 256.0]);
        assert_eq!(rounded(Some(0), [0.0, 1.0, 250.3, 191.0, 192.0]), [0.0, 1.0, 256.0, 128.0, 256.0]);
        assert_eq!(rounded(Some(52), [0.0, 1.0, 250.3, 252.0, 253.0]), [0.0, 1.0, 250.3, 252.0, 253.0]);
        assert_eq!(rounded(None, [0.0, 1.0, 250.3, 252.0, 253.0]), [0.0, 1.0, 250.3, 252.0, 253.0]);
    }

    #[test]
    fn a_word_more_changes_what_others_say_only_if_lengths_are_exact() {
        let weights = |length: usize, length_digits| {
            let documents: Vec<Vec<u32>> =
                (0..50_u32).map(|at| vec![at % 7; if at == 7 { length } else { 30 }]).collect();
            let lengths = |words: &Vec<u32>, lengths: &mut [f64]| lengths.fill(words.len() as f64);
            // A term's own count does not matter here, only the length of the document.
            let count =
                |words: &Vec<u32>, counts: &mut Counts| words.iter().take(30).for_each(|term| counts.add(*term, 0));
            let weighed = weigh(&documents, 7, &scoring(length_digits), lengths, count);
            (0..7).map(|term| weighed.of(term)).collect::<Vec<_>>()
        };
        assert_eq!(weights(44, Some(3)), weights(45, Some(3)));
        assert_ne!(weights(44, None), weights(45, None));
        assert_ne!(weights(44, Some(3)), weights(60, Some(3)));
    }
}
