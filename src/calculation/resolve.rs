//! Names: what a statement needs, the order of evaluation, and loops.
//!
//! A statement may use any name of its entry, earlier or later; text order is for readers.

use std::collections::{BTreeMap, BTreeSet};

use super::syntax::{Body, Expr, ExprNode, Statement};
use crate::diagnostic::{Mark, MarkId};

/// Who needs whom.
pub(super) struct Order {
    /// Positions by name.
    pub(super) names: BTreeMap<String, usize>,
    /// What each statement uses directly, ascending.
    pub(super) uses: Vec<Vec<usize>>,
    /// Every statement that is in no loop and needs none, after all that it uses.
    pub(super) order: Vec<usize>,
    pub(super) marks: Vec<Mark>,
}

/// Finds the order; every loop gets one mark.
pub(super) fn resolve(statements: &[Statement]) -> Order {
    let names: BTreeMap<String, usize> =
        statements.iter().enumerate().map(|(at, statement)| (statement.name.value.clone(), at)).collect();
    let uses: Vec<Vec<usize>> = statements.iter().map(|statement| used(statement, &names)).collect();
    let (order, mut left) = peel(&uses);
    let mut marks = Vec::new();
    while let Some(start) = left.iter().next().copied() {
        let circle = walk(start, &uses, &left);
        if let Some(mark) = loop_mark(&circle, statements) {
            marks.push(mark);
        }
        circle.iter().for_each(|at| {
            left.remove(at);
        });
        drop_settled(&uses, &mut left);
    }
    Order { names, uses, order, marks }
}

fn used(statement: &Statement, names: &BTreeMap<String, usize>) -> Vec<usize> {
    let mut found = BTreeSet::new();
    if let Body::Formula(expr, _) = &statement.body {
        collect(expr, names, &mut found);
    }
    found.into_iter().collect()
}

fn collect(expr: &Expr, names: &BTreeMap<String, usize>, found: &mut BTreeSet<usize>) {
    if let ExprNode::Name(name) = &expr.node {
        found.extend(names.get(name));
    }
    expr.node.children().for_each(|child| collect(child, names, found));
}

/// Statements in an order that satisfies their needs, and those that no order satisfies.
fn peel(uses: &[Vec<usize>]) -> (Vec<usize>, BTreeSet<usize>) {
    let mut users: Vec<Vec<usize>> = vec![Vec::new(); uses.len()];
    for (at, needs) in uses.iter().enumerate() {
        for need in needs {
            if let Some(list) = users.get_mut(*need) {
                list.push(at);
            }
        }
    }
    let mut open: Vec<usize> = uses.iter().map(Vec::len).collect();
    let mut ready: BTreeSet<usize> =
        open.iter().enumerate().filter(|(_, count)| **count == 0).map(|(at, _)| at).collect();
    let mut order = Vec::new();
    while let Some(at) = ready.pop_first() {
        order.push(at);
        for user in users.get(at).into_iter().flatten() {
            if let Some(count) = open.get_mut(*user) {
                *count -= 1;
                if *count == 0 {
                    ready.insert(*user);
                }
            }
        }
    }
    let done: BTreeSet<usize> = order.iter().copied().collect();
    let left = (0..uses.len()).filter(|at| !done.contains(at)).collect();
    (order, left)
}

/// Follows needs inside `left` until one comes twice: the circle, from its first statement in text order.
fn walk(start: usize, uses: &[Vec<usize>], left: &BTreeSet<usize>) -> Vec<usize> {
    let (mut path, mut at) = (vec![start], start);
    while let Some(next) = uses.get(at).and_then(|needs| needs.iter().find(|need| left.contains(need))) {
        if let Some(entry) = path.iter().position(|seen| seen == next) {
            let mut circle = path.split_off(entry);
            let first = circle.iter().enumerate().min_by_key(|(_, at)| **at).map_or(0, |(position, _)| position);
            circle.rotate_left(first);
            return circle;
        }
        path.push(*next);
        at = *next;
    }
    path
}

/// Takes out what waited only for statements that are gone.
fn drop_settled(uses: &[Vec<usize>], left: &mut BTreeSet<usize>) {
    loop {
        let settled: Vec<usize> = left
            .iter()
            .copied()
            .filter(|at| uses.get(*at).is_none_or(|needs| needs.iter().all(|need| !left.contains(need))))
            .collect();
        if settled.is_empty() {
            return;
        }
        settled.iter().for_each(|at| {
            left.remove(at);
        });
    }
}

fn loop_mark(circle: &[usize], statements: &[Statement]) -> Option<Mark> {
    let named: Vec<&Statement> = circle.iter().filter_map(|at| statements.get(*at)).collect();
    let first = named.first()?;
    let path: Vec<&str> = named.iter().chain([first]).map(|statement| statement.name.value.as_str()).collect();
    let mark = Mark::new(MarkId::CalcLoop, first.name.span).with("path", path.join(" -> "));
    Some(named.iter().skip(1).fold(mark, |mark, other| mark.see(other.name.span, "part of the loop")))
}
