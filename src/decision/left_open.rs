//! What the ways to a step leave open.

use super::flow::{Act, Flow};
use super::problem::{Given, Hazard, Problem};

/// By step, the positions of the conditions with a hazard that some way to it does not rule out; the gravest first.
/// Ways that meet in one step may have ruled out different ones: what one of them leaves open is open there.
pub fn left_open(problem: &Problem, flow: &Flow) -> Vec<Vec<usize>> {
    let hazard = |at: usize| problem.candidates.get(at).map_or(Hazard::None, |it| it.cause.hazard());
    let count = problem.candidates.len();
    let mut open = vec![vec![false; count]; flow.steps.len()];
    let mut ahead: Vec<usize> = flow.start.into_iter().collect();
    if let Some(start) = flow.start.and_then(|start| open.get_mut(start)) {
        *start = (0..count).map(|at| hazard(at) != Hazard::None && problem.can_be_cause(at)).collect();
    }
    while let Some(at) = ahead.pop() {
        let Some((check, next)) = flow.steps.get(at).and_then(|step| asks(&step.act)) else { continue };
        let before = open.get(at).cloned().unwrap_or_default();
        for (answer, to) in next.iter().enumerate().filter_map(|(answer, to)| Some((answer, (*to)?))) {
            let given = Given { check, answer };
            let still =
                before.iter().zip(&problem.candidates).map(|(open, it)| *open && !it.ruled_out_by.contains(&given));
            let still: Vec<bool> = still.collect();
            if open.get_mut(to).is_some_and(|known| add(known, &still)) {
                ahead.push(to);
            }
        }
    }
    let listed = |open: Vec<bool>| {
        let mut listed: Vec<usize> = open.iter().enumerate().filter_map(|(at, open)| open.then_some(at)).collect();
        listed.sort_by_key(|at| std::cmp::Reverse(hazard(*at)));
        listed
    };
    open.into_iter().map(listed).collect()
}

/// By step, whether several ways lead to it: what is said there of chances is then an average over them.
pub fn shared(flow: &Flow) -> Vec<bool> {
    let next = |at: usize| {
        let asked = flow.steps.get(at).and_then(|step| asks(&step.act));
        asked.map(|(_, next)| next.iter().flatten().copied().collect::<Vec<_>>()).unwrap_or_default()
    };
    let mut reached = vec![false; flow.steps.len()];
    let mut shared = vec![false; flow.steps.len()];
    let mut ahead: Vec<usize> = flow.start.into_iter().collect();
    let mut after: Vec<usize> = Vec::new();
    while let Some(at) = ahead.pop() {
        if reached.get(at).copied().unwrap_or(true) {
            after.push(at);
            continue;
        }
        reached.get_mut(at).into_iter().for_each(|it| *it = true);
        ahead.extend(next(at));
    }
    // What lies after a step with several ways has them too.
    while let Some(at) = after.pop() {
        if let Some(it) = shared.get_mut(at).filter(|it| !**it) {
            *it = true;
            after.extend(next(at));
        }
    }
    shared
}

fn asks(act: &Act) -> Option<(usize, &[Option<usize>])> {
    match act {
        Act::Ask { check, next } => Some((*check, next)),
        Act::Stop { .. } | Act::Broken => None,
    }
}

/// Whether what is added was not all known.
fn add(known: &mut [bool], more: &[bool]) -> bool {
    let mut is_new = false;
    for (known, more) in known.iter_mut().zip(more) {
        is_new |= *more && !*known;
        *known |= *more;
    }
    is_new
}
