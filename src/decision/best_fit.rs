//! Whether anything is explained although `other` fits better than every listed candidate.
//!
//! What the answers on a path say of this are ratios: how many times likelier than `other` each candidate is. An answer
//! multiplies them by factors that are the same whatever was answered before. So of two ways to one node, the one
//! with the lower ratios leads on to a fault wherever the other does, and only that one is followed (Pareto fronts of
//! labels: Martins, "On a multicriteria shortest path problem", 1984, recalled from memory). A way is not followed
//! either where some candidate cannot fall below `other` any more, whatever is answered. Both keep the answer exact
//! but for the last bits, and a clear lead is far more than those.

use super::flow::{Act, Flow};
use super::model::{Model, Verdict, other_leads};
use super::problem::Answers;
use super::unfold::Unfolded;
use std::collections::BTreeMap;

/// A path through the unfolded flow: node and answer.
pub(super) type Path = Vec<(usize, usize)>;

/// What stands against an explanation.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Doubt {
    /// On this path `other` leads.
    On(Path),
    /// There are too many ways to exclude it.
    Unproved,
}

/// Most numbers that are kept of the ways that are followed: 40 MB, and more than 200,000 ways among 20 candidates.
const MOST_NUMBERS: usize = 5_000_000;
/// Numbers that a way takes beside its ratios.
const BESIDE: usize = 4;
/// With how many of the lowest ways to a node each other one is compared.
const COMPARED: usize = 64;

/// What stands against the explanations of a flow, by step; nothing where it was proved that `other` never leads.
pub(super) fn doubts(model: &Model<'_>, flow: &Flow, unfolded: &Unfolded) -> BTreeMap<usize, Doubt> {
    let candidates = model.problem.candidates.len();
    let mut search = Search { model, flow, unfolded, least: Vec::new(), ways: Vec::new(), doubts: BTreeMap::new() };
    if unfolded.nodes.len().saturating_mul(candidates) > MOST_NUMBERS {
        search.give_up(0);
        return search.doubts;
    }
    search.least = search.least_to_come();
    search.follow(MOST_NUMBERS / (candidates + BESIDE));
    search.doubts
}

/// How many times likelier than `other` each candidate is, `other` itself last: always 1.
type Ratios = Vec<f64>;

/// Keeps ratios from becoming infinite, which times nothing is no number. A ratio that is too low errs towards a mark.
fn times(ratio: f64, factor: f64) -> f64 {
    (ratio * factor).min(f64::MAX)
}

struct Search<'a> {
    model: &'a Model<'a>,
    flow: &'a Flow,
    unfolded: &'a Unfolded,
    /// By node: the least by which the ratios can still be multiplied until something is explained; none if nothing is.
    least: Vec<Option<Ratios>>,
    /// Every way that was followed: the way that it continues, and node and answer that it adds.
    ways: Vec<(usize, (usize, usize))>,
    doubts: BTreeMap<usize, Doubt>,
}

/// A way that has arrived at a node: its position, and the ratios.
type Arrived = (usize, Ratios);

/// An answer that leads on.
struct Edge {
    answer: usize,
    to: usize,
    /// By what it multiplies the ratios.
    factors: Ratios,
    /// The least by which what follows does.
    least: Ratios,
}

impl Edge {
    /// The ratios after it; none if `other` cannot lead any more.
    fn after(&self, ratios: &Ratios) -> Option<Ratios> {
        let after: Ratios = ratios.iter().zip(&self.factors).map(|(ratio, factor)| times(*ratio, *factor)).collect();
        let (_, listed) = after.split_last()?;
        listed.iter().zip(&self.least).all(|(ratio, least)| ratio * least < 1.0).then_some(after)
    }
}

impl Search<'_> {
    /// Every edge leads to a later node, so that all ways to a node are known when its turn comes.
    fn follow(&mut self, most_ways: usize) {
        let nodes = self.unfolded.nodes.len();
        let mut arrived: Vec<Vec<Arrived>> = vec![Vec::new(); nodes];
        arrived.first_mut().into_iter().for_each(|first| first.push((0, self.at_start())));
        self.ways.push((0, (0, 0)));
        for at in 0..nodes {
            let here = arrived.get_mut(at).map(std::mem::take).unwrap_or_default();
            let onward = self.onward(at);
            for (way, ratios) in lowest(here) {
                if let Some(step) = self.explains(at) {
                    self.judge(step, way, &ratios);
                }
                for edge in &onward {
                    let Some(after) = edge.after(&ratios) else { continue };
                    if self.ways.len() >= most_ways {
                        return self.give_up(at);
                    }
                    if let Some(there) = arrived.get_mut(edge.to) {
                        there.push((self.ways.len(), after));
                    }
                    self.ways.push((way, (at, edge.answer)));
                }
            }
        }
    }

    fn at_start(&self) -> Ratios {
        let weights = self.model.problem.weights(&Answers::default());
        let other = weights.last().copied().unwrap_or(1.0);
        weights.iter().map(|weight| times(weight / other, 1.0)).collect()
    }

    /// The step of a node that explains.
    fn explains(&self, node: usize) -> Option<usize> {
        let step = self.unfolded.nodes.get(node)?.step;
        let explains = |act: &Act| matches!(act, Act::Stop { verdict: Verdict::Explain(_), .. });
        self.flow.steps.get(step).filter(|it| explains(&it.act)).map(|_| step)
    }

    /// The answers of a node that lead to where something is explained.
    fn onward(&self, node: usize) -> Vec<Edge> {
        let edges = self.unfolded.nodes.get(node).into_iter().flat_map(|it| &it.edges);
        let edge = |(answer, to): &(usize, usize)| {
            let least = self.least.get(*to)?.clone()?;
            Some(Edge { answer: *answer, to: *to, factors: self.factors(node, *answer), least })
        };
        edges.filter_map(edge).collect()
    }

    /// By what an answer multiplies the ratios. "Not sure" and what is known already change nothing. A check that may
    /// be asked again as if its answer were not known speaks for no candidate, since it would do so twice.
    fn factors(&self, node: usize, answer: usize) -> Ratios {
        let candidates = self.model.problem.candidates.len();
        let node = self.unfolded.nodes.get(node).filter(|it| it.known.is_none());
        let check = node.and_then(|it| match self.flow.steps.get(it.step).map(|step| &step.act) {
            Some(Act::Ask { check, .. }) => Some(*check),
            _ => None,
        });
        let column = check.and_then(|check| Some((check, self.model.column(check, answer)?)));
        let Some((check, column)) = column else { return vec![1.0; candidates] };
        let other = column.last().copied().unwrap_or(1.0);
        let most = if self.unfolded.untracked.contains(&check) { 1.0 } else { f64::MAX };
        column.iter().map(|chance| (chance / other).min(most)).collect()
    }

    fn least_to_come(&self) -> Vec<Option<Ratios>> {
        let candidates = self.model.problem.candidates.len();
        let mut least: Vec<Option<Ratios>> = vec![None; self.unfolded.nodes.len()];
        for (at, node) in self.unfolded.nodes.iter().enumerate().rev() {
            let mut lowest = self.explains(at).map(|_| vec![1.0; candidates]);
            for (answer, to) in &node.edges {
                let Some(Some(after)) = least.get(*to) else { continue };
                let through =
                    self.factors(at, *answer).into_iter().zip(after).map(|(factor, least)| times(*least, factor));
                let lower = |(known, new): (f64, f64)| known.min(new);
                lowest = Some(match lowest {
                    Some(known) => known.into_iter().zip(through).map(lower).collect(),
                    None => through.collect(),
                });
            }
            least.get_mut(at).into_iter().for_each(|slot| slot.clone_from(&lowest));
        }
        least
    }

    /// The ratios say that `other` leads; the weights, by which a walk decides, tell whether the path is one to be shown.
    fn judge(&mut self, step: usize, way: usize, ratios: &Ratios) {
        if !other_leads(ratios) || matches!(self.doubts.get(&step), Some(Doubt::On(_))) {
            return;
        }
        let path = self.path(way);
        let asked = path.iter().filter_map(|(node, answer)| {
            match &self.flow.steps.get(self.unfolded.nodes.get(*node)?.step)?.act {
                Act::Ask { check, .. } => Some((*check, *answer)),
                _ => None,
            }
        });
        let leads = other_leads(&self.model.problem.weights(&asked.collect()));
        self.doubts.insert(step, if leads { Doubt::On(path) } else { Doubt::Unproved });
    }

    fn path(&self, mut way: usize) -> Path {
        let mut path = Path::new();
        while let Some((before, step)) = self.ways.get(way).filter(|_| way > 0) {
            path.push(*step);
            way = *before;
        }
        path.reverse();
        path
    }

    /// Nothing is known of what is explained from this node on.
    fn give_up(&mut self, from: usize) {
        for step in (from..self.unfolded.nodes.len()).filter_map(|node| self.explains(node)).collect::<Vec<_>>() {
            self.doubts.entry(step).or_insert(Doubt::Unproved);
        }
    }
}

/// Of the ways to one node those that must be followed, the lowest first; of a great many, also some that need not be.
fn lowest(mut arrived: Vec<Arrived>) -> Vec<Arrived> {
    let sum = |(_, ratios): &Arrived| ratios.iter().sum::<f64>();
    arrived.sort_by(|a, b| sum(a).total_cmp(&sum(b)));
    let mut kept: Vec<Arrived> = Vec::new();
    for (way, ratios) in arrived {
        let is_below = |(_, lower): &Arrived| lower.iter().zip(&ratios).all(|(lower, ratio)| lower <= ratio);
        if !kept.iter().take(COMPARED).any(is_below) {
            kept.push((way, ratios));
        }
    }
    kept
}
