//! Regions as few boxes: for data files, and for the phrases.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::{Arc, PoisonError};

use serde::Serialize;

use super::diagram::{Diagram, Limits};
use super::universe::{arities, option_at, values_at, year_at};
use super::{Region, Universe};
use crate::entry::Line;

/// A box by names. Boxes of one region may overlap; together they are exactly the region.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub struct FitBox {
    /// Id of the line.
    pub line: String,
    /// Runs of years, first and last included, in ascending order; always given.
    pub years: Vec<(u16, u16)>,
    /// For each option that is limited, the ids of the values allowed, in the order written.
    pub options: BTreeMap<String, Vec<String>>,
}

/// Beyond so many ways through a diagram they are given as they are: nobody reads that many boxes, and looking for
/// fewer takes time that grows with their square.
const TOO_MANY_TO_IMPROVE: usize = 200;

impl Universe {
    /// The region as few boxes, line by line. The same region always gives the same boxes.
    pub fn boxes(&self, region: &Region) -> Arc<[FitBox]> {
        // What was put in stays true if a thread failed.
        let known = || self.boxes.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(boxes) = known().get(region) {
            return Arc::clone(boxes);
        }
        let lines = region.sets().filter_map(|(at, set)| Some((self.vehicles.lines.get(at)?, set)));
        let boxes = lines.flat_map(|(line, set)| cover(line, set).into_iter().map(|limits| named(line, &limits)));
        let boxes: Arc<[FitBox]> = boxes.collect();
        known().insert(region.clone(), Arc::clone(&boxes));
        boxes
    }
}

/// Few boxes whose union is the diagram: each way through it that is not covered yet is widened as far as the
/// diagram goes, then boxes that the others cover are dropped. Not always the fewest: finding those is hard.
pub(super) fn cover(line: &Line, diagram: &Diagram) -> Vec<Limits> {
    let arities = arities(line);
    let paths = diagram.paths();
    if paths.len() > TOO_MANY_TO_IMPROVE {
        return paths;
    }
    let mut covered = Diagram::constant(false);
    let mut boxes = Vec::new();
    for path in paths {
        if !covered.holds(&path) {
            let wide = widened(path, &arities, diagram);
            covered = covered.union(&Diagram::from_limits(&arities, &wide));
            boxes.push(wide);
        }
    }
    let mut boxes = without_spare(boxes, &arities);
    boxes.sort_by_cached_key(|limits| sort_key(limits, &arities));
    boxes
}

/// Lifts every limit that can be lifted, then adds every single value that can be added.
fn widened(mut limits: Limits, arities: &[usize], within: &Diagram) -> Limits {
    for level in 0..arities.len() {
        if let Some(limit) = limits.remove(&level)
            && !within.holds(&limits)
        {
            limits.insert(level, limit);
        }
    }
    for (level, &arity) in arities.iter().enumerate() {
        for value in 0..arity {
            let Some(allowed) = limits.get_mut(&level) else { break };
            if allowed.insert(value) && !within.holds(&limits) {
                limits.entry(level).and_modify(|allowed| _ = allowed.remove(&value));
            }
        }
    }
    limits
}

/// Drops boxes that the rest covers, from the last: those were made for what little was left over.
fn without_spare(boxes: Vec<Limits>, arities: &[usize]) -> Vec<Limits> {
    let sets: Vec<Diagram> = boxes.iter().map(|limits| Diagram::from_limits(arities, limits)).collect();
    let before: Vec<Diagram> = sets
        .iter()
        .scan(Diagram::constant(false), |sum, set| {
            let without = sum.clone();
            *sum = sum.union(set);
            Some(without)
        })
        .collect();
    let mut kept = Vec::new();
    let mut after = Diagram::constant(false);
    for ((limits, set), before) in boxes.into_iter().zip(&sets).zip(&before).rev() {
        if !before.union(&after).holds(&limits) {
            after = after.union(set);
            kept.push(limits);
        }
    }
    kept
}

/// Early years first, then the values written first.
fn sort_key(limits: &Limits, arities: &[usize]) -> Vec<BTreeSet<usize>> {
    let all = |arity: usize| (0..arity).collect();
    arities
        .iter()
        .enumerate()
        .map(|(level, &arity)| limits.get(&level).cloned().unwrap_or_else(|| all(arity)))
        .collect()
}

/// The runs of years of a box; the whole run of the line where years are not limited.
pub(super) fn year_runs(line: &Line, limits: &Limits) -> Vec<(u16, u16)> {
    let Some(years) = limits.get(&0) else { return vec![(line.first_year, line.last_year)] };
    let mut runs: Vec<(u16, u16)> = Vec::new();
    for year in years.iter().map(|&value| year_at(line, value)) {
        match runs.last_mut() {
            Some((_, last)) if last.checked_add(1) == Some(year) => *last = year,
            _ => runs.push((year, year)),
        }
    }
    runs
}

fn named(line: &Line, limits: &Limits) -> FitBox {
    let option = |(&level, allowed): (&usize, &BTreeSet<usize>)| {
        let option = option_at(line, level)?;
        let values = values_at(option, allowed).iter().map(|value| value.id.clone()).collect();
        Some((option.id.clone(), values))
    };
    FitBox {
        line: line.id.clone(),
        years: year_runs(line, limits),
        options: limits.iter().filter_map(option).collect(),
    }
}
