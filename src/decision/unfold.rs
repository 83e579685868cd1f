//! The graph of a flow as it can really be walked: only what the start leads to, without its loops, and split
//! where one path asks the same check twice, because the second time the answer is already known and passed over.
//! On this graph every path can happen, so that what holds along its edges holds exactly.

use super::flow::{Act, Flow};
use super::problem::Problem;
use std::collections::{BTreeMap, BTreeSet};

/// The graph; node 0 is the start, and edges only lead to later nodes.
#[derive(Clone, Debug, Default)]
pub struct Unfolded {
    /// Nodes in an order in which every edge leads onward.
    pub nodes: Vec<Node>,
    /// Steps on each loop of the flow, in the order walked.
    pub loops: Vec<Vec<usize>>,
    /// Checks asked twice whose answers are not kept apart.
    pub untracked: BTreeSet<usize>,
}

/// A step, arrived at with what is known of the checks that are asked twice.
#[derive(Clone, Debug, Default)]
pub struct Node {
    /// The step.
    pub step: usize,
    /// The answer that is already known to the check that the step asks.
    pub known: Option<usize>,
    /// Answer and the node after it.
    pub edges: Vec<(usize, usize)>,
}

/// Most checks asked twice whose answers are kept apart. Any more are treated as if they could be answered
/// differently the second time, so that a proof errs towards a remark.
const MOST_REPEATED: usize = 8;

/// Most nodes, should a flow not have more steps. Where they do not do, fewer checks are kept apart.
const MOST_PLACES: usize = 50_000;

/// Answers to checks that are asked twice on some path, in the order of the checks: few, and compared often.
type Known = Vec<(usize, usize)>;

fn answer_to(known: &Known, check: usize) -> Option<usize> {
    known.iter().find(|(asked, _)| *asked == check).map(|(_, answer)| *answer)
}

/// What is known with one answer more.
fn with(known: &Known, check: usize, answer: usize) -> Known {
    let mut after = known.clone();
    match after.binary_search_by_key(&check, |(asked, _)| *asked) {
        Ok(at) => after.get_mut(at).into_iter().for_each(|given| given.1 = answer),
        Err(at) => after.insert(at, (check, answer)),
    }
    after
}

/// A node before it has its number: rank of the step, and what is known on arrival.
type Place = (usize, Known);

/// Answer and place after it, for each answer.
type Ways = Vec<(usize, Place)>;

impl Unfolded {
    /// Unfolds what the start of a flow leads to.
    pub fn of(flow: &Flow, problem: &Problem) -> Self {
        let Some(start) = flow.start else { return Self::default() };
        let (order, loops, back) = depth_first(flow, start);
        let twice = asked_twice(flow, &order, |step| forward(flow, &back, step));
        let fewer =
            std::iter::successors(Some(twice.len().min(MOST_REPEATED)), |count| (*count > 0).then_some(count / 2));
        let unfolded = fewer.into_iter().find_map(|count| {
            let tracked: BTreeSet<usize> = twice.iter().take(count).copied().collect();
            let untracked = twice.difference(&tracked).copied().collect();
            Some((places(flow, problem, &order, &back, &tracked)?, untracked))
        });
        let (places, untracked) = unfolded.unwrap_or_default();
        let number: BTreeMap<&Place, usize> = places.keys().enumerate().map(|(at, place)| (place, at)).collect();
        let node = |(place, ways): (&Place, &Ways)| {
            let step = order.get(place.0).copied().unwrap_or_default();
            let known = asked(flow, problem, step).and_then(|check| answer_to(&place.1, check));
            let edges = ways.iter().filter_map(|(answer, to)| Some((*answer, *number.get(to)?))).collect();
            Node { step, known, edges }
        };
        Self { nodes: places.iter().map(node).collect(), loops, untracked }
    }

    /// One way from the start to a node whose edges satisfy `wanted`: the shortest one on which, if `hit` names
    /// edges, at least one of them lies. Answers are tried in order. None if there is no such way.
    pub fn path(
        &self,
        target: usize,
        wanted: impl Fn(usize, usize) -> bool,
        hit: Option<&dyn Fn(usize, usize) -> bool>,
    ) -> Option<Vec<(usize, usize)>> {
        let first = (0, hit.is_none());
        let mut from = From::from([(first, None)]);
        let mut queue = std::collections::VecDeque::from([first]);
        while let Some((node, done)) = queue.pop_front() {
            if node == target && done {
                return Some(trace(&from, (node, done)));
            }
            for (answer, to) in self.nodes.get(node).into_iter().flat_map(|it| &it.edges) {
                let next = (*to, done || hit.is_some_and(|hit| hit(node, *answer)));
                if wanted(node, *answer) && !from.contains_key(&next) {
                    from.insert(next, Some(((node, done), *answer)));
                    queue.push_back(next);
                }
            }
        }
        None
    }
}

/// Every place that can be arrived at, with the ways onward, unless they are too many. Ranks only grow along a way, so
/// that places taken in order are complete when their turn comes.
fn places(
    flow: &Flow,
    problem: &Problem,
    order: &[usize],
    back: &Back,
    tracked: &BTreeSet<usize>,
) -> Option<BTreeMap<Place, Ways>> {
    let rank: BTreeMap<usize, usize> = order.iter().enumerate().map(|(rank, step)| (*step, rank)).collect();
    let mut found = BTreeMap::new();
    let mut ahead = BTreeSet::from([(0, Known::new())]);
    while let Some((at, known)) = ahead.pop_first() {
        let Some(step) = order.get(at).copied() else { continue };
        let check = asked(flow, problem, step);
        let fixed = check.and_then(|check| answer_to(&known, check));
        let open = forward(flow, back, step).filter(|(answer, _)| fixed.is_none_or(|fixed| fixed == *answer));
        let way = |(answer, to): (usize, usize)| {
            let tracked = check.filter(|check| tracked.contains(check));
            let after = tracked.map_or_else(|| known.clone(), |check| with(&known, check, answer));
            (answer, (rank.get(&to).copied().unwrap_or(usize::MAX), after))
        };
        let ways: Ways = open.map(way).collect();
        ahead.extend(ways.iter().map(|(_, place)| place.clone()));
        found.insert((at, known), ways);
        if found.len() + ahead.len() > MOST_PLACES.max(order.len()) {
            return None;
        }
    }
    Some(found)
}

fn asked(flow: &Flow, problem: &Problem, step: usize) -> Option<usize> {
    let Act::Ask { check, .. } = &flow.steps.get(step)?.act else { return None };
    problem.checks.get(*check).map(|_| *check)
}

/// How a search came to a node (and whether it has met what it looks for): from where, with which answer.
type From = BTreeMap<(usize, bool), Option<((usize, bool), usize)>>;

fn trace(from: &From, end: (usize, bool)) -> Vec<(usize, usize)> {
    let mut path = Vec::new();
    let mut at = end;
    while let Some(Some((before, answer))) = from.get(&at) {
        path.push((before.0, *answer));
        at = *before;
    }
    path.reverse();
    path
}

fn edges(flow: &Flow, step: usize) -> Vec<(usize, usize)> {
    let Some(Act::Ask { next, .. }) = flow.steps.get(step).map(|it| &it.act) else { return Vec::new() };
    let known = |to: &usize| *to < flow.steps.len();
    next.iter().enumerate().filter_map(|(answer, to)| Some((answer, to.filter(known)?))).collect()
}

/// The edges of a step that do not close a loop.
fn forward(flow: &Flow, back: &Back, step: usize) -> impl Iterator<Item = (usize, usize)> {
    edges(flow, step).into_iter().filter(move |(_, to)| !back.contains(&(step, *to)))
}

/// Edges that close a loop, by the steps that they join.
type Back = BTreeSet<(usize, usize)>;

/// Steps in an order in which every edge but those that close a loop leads onward; the loops; those edges.
fn depth_first(flow: &Flow, start: usize) -> (Vec<usize>, Vec<Vec<usize>>, Back) {
    let mut done = Vec::new();
    let (mut seen, mut back, mut loops) = (BTreeSet::from([start]), Back::new(), Vec::new());
    let mut path: Vec<(usize, std::vec::IntoIter<(usize, usize)>)> = vec![(start, edges(flow, start).into_iter())];
    while let Some((step, ahead)) = path.last_mut() {
        let step = *step;
        let Some((_, to)) = ahead.next() else {
            done.push(step);
            path.pop();
            continue;
        };
        if let Some(from) = path.iter().position(|(on_path, _)| *on_path == to) {
            if back.insert((step, to)) {
                loops.push(path.iter().skip(from).map(|(step, _)| *step).collect());
            }
        } else if seen.insert(to) {
            path.push((to, edges(flow, to).into_iter()));
        }
    }
    done.reverse();
    (done, loops, back)
}

/// Checks that some path asks twice. `order` leads onward, so one pass is exact.
fn asked_twice<I: Iterator<Item = (usize, usize)>>(
    flow: &Flow,
    order: &[usize],
    forward: impl Fn(usize) -> I,
) -> BTreeSet<usize> {
    let mut before: BTreeMap<usize, BTreeSet<usize>> = BTreeMap::new();
    let mut twice = BTreeSet::new();
    for step in order {
        let mut asked = before.get(step).cloned().unwrap_or_default();
        if let Some(Act::Ask { check, .. }) = flow.steps.get(*step).map(|it| &it.act)
            && !asked.insert(*check)
        {
            twice.insert(*check);
        }
        for (_, to) in forward(*step) {
            before.entry(to).or_default().extend(asked.iter().copied());
        }
    }
    twice
}
