//! What the statements of a sheet come to, for one group of vehicles.

use super::dimension::{Kind, Type};
use super::enclose::{Box as Enclosing, Enclosure, Truths};
use super::evaluate::{Scope, Value};
use super::formula::{Fault, Node, Trouble};
use super::interval::Interval;
use super::sheet::{CheckedStatement, Role};

/// What a statement comes to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Outcome {
    /// Nothing is known, for a reason that was marked.
    Unknown,
    /// One value.
    Exact(Value),
    /// Any value of an interval.
    Between(Interval),
    /// A truth that depends on where in an interval an input lies.
    Unsure,
}

/// An input that can move, with its ends.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Moving {
    pub(super) input: Input,
    pub(super) range: Interval,
}

/// What can move.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Input {
    /// A given, by position.
    Given(usize),
    /// A specification, by position.
    Specification(usize),
}

/// A sheet ready to be evaluated for a group of vehicles.
pub(super) struct Program<'a> {
    pub(super) statements: &'a [CheckedStatement],
    pub(super) order: &'a [usize],
    pub(super) specifications: &'a [Option<Interval>],
}

/// All values at one point of the inputs, with room to change them.
#[derive(Clone)]
pub(super) struct PointState {
    pub(super) values: Vec<Option<Value>>,
    pub(super) specifications: Vec<Option<f64>>,
}

/// All enclosures over one box of the inputs, with room to change them.
#[derive(Clone)]
pub(super) struct BoxState {
    pub(super) values: Vec<Option<Enclosure>>,
    pub(super) specifications: Vec<Option<Interval>>,
}

impl Program<'_> {
    /// The value of a statement, with its factor and the absolute zero of its scale.
    pub(super) fn value(&self, at: usize, scope: &Scope<'_>) -> Result<Value, Fault> {
        let (statement, node) = self.node(at)?;
        match scope.value(node, statement.kind == Some(Type::Truth))? {
            Value::Number(number) => {
                let number = number * statement.factor;
                bottom(statement)
                    .filter(|_| number < 0.0)
                    .map_or(Ok(Value::Number(number)), |trouble| Err(fault(statement, trouble)))
            }
            truth => Ok(truth),
        }
    }

    /// What a statement can come to.
    pub(super) fn enclosure(&self, at: usize, state: &BoxState) -> Result<Enclosure, Fault> {
        let (statement, node) = self.node(at)?;
        let mut around = Enclosing::new(&state.values, &state.specifications);
        match around.value(node, statement.kind == Some(Type::Truth))? {
            Enclosure::Number(interval) => {
                let turned = statement.factor != 1.0;
                let interval = if turned { interval.times(Interval::exactly(statement.factor)) } else { interval };
                let below = bottom(statement).filter(|_| interval.low < 0.0);
                below.map_or(Ok(Enclosure::Number(interval)), |trouble| Err(fault(statement, trouble)))
            }
            truth => Ok(truth),
        }
    }

    fn node(&self, at: usize) -> Result<(&CheckedStatement, &Node), Fault> {
        let statement = self.statements.get(at);
        let found = statement.and_then(|statement| Some((statement, statement.node.as_ref()?)));
        found.ok_or(Fault::new(Trouble::Missing, crate::diagnostic::Span::default()))
    }

    /// The ends of the interval that a given was written as; `None` for a single value.
    pub(super) fn written_interval(&self, at: usize) -> Option<Interval> {
        match self.statements.get(at)?.node.as_ref()? {
            Node::Interval(low, high) if self.is_given(at) => Some(Interval::new(*low, *high)),
            _ => None,
        }
    }

    /// Whether a statement is an input.
    pub(super) fn is_given(&self, at: usize) -> bool {
        self.statements.get(at).is_some_and(|statement| matches!(statement.role, Role::Given { .. }))
    }

    /// The statement and all that it uses, in the order of evaluation.
    pub(super) fn chain(&self, at: usize) -> Vec<usize> {
        let mut needed = std::collections::BTreeSet::from([at]);
        let mut open = vec![at];
        while let Some(next) = open.pop() {
            for used in self.statements.get(next).into_iter().flat_map(|statement| &statement.uses) {
                if needed.insert(*used) {
                    open.push(*used);
                }
            }
        }
        if needed.len() * 8 > self.order.len() {
            return self.order.iter().copied().filter(|at| needed.contains(at)).collect();
        }
        self.sorted(needed)
    }

    /// A few statements in the order of evaluation, without a walk through the whole sheet.
    fn sorted(&self, needed: std::collections::BTreeSet<usize>) -> Vec<usize> {
        let mut done = Vec::with_capacity(needed.len());
        let mut left = needed;
        while !left.is_empty() {
            let ready: Vec<usize> = left
                .iter()
                .copied()
                .filter(|at| {
                    self.statements.get(*at).is_none_or(|own| own.uses.iter().all(|used| !left.contains(used)))
                })
                .collect();
            if ready.is_empty() {
                return done;
            }
            ready.iter().for_each(|at| {
                left.remove(at);
            });
            done.extend(ready);
        }
        done
    }

    /// Specifications that statements of a chain read.
    pub(super) fn specifications_of(&self, chain: &[usize]) -> std::collections::BTreeSet<usize> {
        let mut found = std::collections::BTreeSet::new();
        for node in chain.iter().filter_map(|at| self.statements.get(*at)?.node.as_ref()) {
            node.walk(&mut |node| {
                if let Node::Specification(at) = node {
                    found.insert(*at);
                }
            });
        }
        found
    }

    /// The inputs of a chain that were written as intervals.
    pub(super) fn intervals_of(&self, chain: &[usize]) -> Vec<Moving> {
        let givens = chain.iter().filter_map(|at| Some((Input::Given(*at), self.written_interval(*at)?)));
        let specifications = self.specifications_of(chain).into_iter().filter_map(|at| {
            let range = self.specifications.get(at).copied().flatten().filter(|range| range.low < range.high)?;
            Some((Input::Specification(at), range))
        });
        givens.chain(specifications).map(|(input, range)| Moving { input, range }).collect()
    }

    /// Every input of a chain that can move: within the range of the page, or within the interval that was written.
    pub(super) fn moving_of(&self, chain: &[usize]) -> Vec<Moving> {
        let range = |at: usize| match &self.statements.get(at)?.role {
            Role::Given { range: Some(range), .. } => Some(*range),
            _ => None,
        };
        let mut moving = self.intervals_of(chain);
        for at in chain.iter().copied() {
            if let Some(range) = range(at) {
                moving.retain(|known| known.input != Input::Given(at));
                moving.push(Moving { input: Input::Given(at), range });
            }
        }
        moving
    }

    /// A state of nothing but the specifications, intervals by their middles.
    pub(super) fn point_state(&self) -> PointState {
        let specifications = self.specifications.iter().map(|value| value.map(Interval::middle)).collect();
        PointState { values: vec![None; self.statements.len()], specifications }
    }

    /// A state of nothing but the specifications.
    pub(super) fn box_state(&self) -> BoxState {
        BoxState { values: vec![None; self.statements.len()], specifications: self.specifications.to_vec() }
    }

    /// Evaluates a chain at a point.
    pub(super) fn run_point(
        &self,
        chain: &[usize],
        state: &mut PointState,
        inputs: &[(Input, f64)],
        divisors: Option<&std::cell::RefCell<Vec<(crate::diagnostic::Span, f64)>>>,
    ) -> Result<(), (usize, Fault)> {
        for (input, number) in inputs {
            match input {
                Input::Given(at) => set(&mut state.values, *at, Some(Value::Number(*number))),
                Input::Specification(at) => set(&mut state.specifications, *at, Some(*number)),
            }
        }
        for at in chain.iter().copied() {
            if inputs.iter().any(|(input, _)| *input == Input::Given(at)) {
                continue;
            }
            let scope = Scope { values: &state.values, specifications: &state.specifications, divisors };
            let value = self.value(at, &scope).map_err(|fault| (at, fault))?;
            set(&mut state.values, at, Some(value));
        }
        Ok(())
    }

    /// Evaluates a chain over a box.
    pub(super) fn run_box(
        &self,
        chain: &[usize],
        state: &mut BoxState,
        inputs: &[(Input, Interval)],
    ) -> Result<(), (usize, Fault)> {
        for (input, range) in inputs {
            match input {
                Input::Given(at) => set(&mut state.values, *at, Some(Enclosure::Number(*range))),
                Input::Specification(at) => set(&mut state.specifications, *at, Some(*range)),
            }
        }
        for at in chain.iter().copied() {
            if inputs.iter().any(|(input, _)| *input == Input::Given(at)) {
                continue;
            }
            let value = self.enclosure(at, state).map_err(|fault| (at, fault))?;
            set(&mut state.values, at, Some(value));
        }
        Ok(())
    }

    /// What every statement comes to with the givens as written; faults by statement.
    pub(super) fn outcomes(&self) -> (Vec<Outcome>, Vec<(usize, Fault)>) {
        let mut running = Running {
            points: self.point_state(),
            boxes: self.box_state(),
            spread: vec![false; self.statements.len()],
            work: MAX_REFINEMENT,
        };
        let mut outcomes = vec![Outcome::Unknown; self.statements.len()];
        let mut faults = Vec::new();
        for at in self.order.iter().copied() {
            match self.outcome(at, &mut running) {
                Ok(outcome) => set(&mut outcomes, at, outcome),
                Err(fault) if fault.trouble == Trouble::Missing => {}
                Err(fault) => faults.push((at, fault)),
            }
        }
        (outcomes, faults)
    }

    fn outcome(&self, at: usize, running: &mut Running) -> Result<Outcome, Fault> {
        let own = self.written_interval(at).is_some() || self.reads_interval(at);
        let wide = own || self.uses(at).iter().any(|used| running.spread.get(*used) == Some(&true));
        set(&mut running.spread, at, wide);
        if wide {
            return self.spread_outcome(at, running);
        }
        let points = &running.points;
        let scope = Scope { values: &points.values, specifications: &points.specifications, divisors: None };
        let value = self.value(at, &scope)?;
        set(&mut running.points.values, at, Some(value));
        set(&mut running.boxes.values, at, Some(exactly(value)));
        Ok(Outcome::Exact(value))
    }

    fn uses(&self, at: usize) -> &[usize] {
        self.statements.get(at).map_or(&[], |statement| &statement.uses)
    }

    /// Whether a formula itself writes or reads an interval.
    fn reads_interval(&self, at: usize) -> bool {
        let mut found = false;
        if let Some(node) = self.statements.get(at).and_then(|statement| statement.node.as_ref()) {
            node.walk(&mut |node| {
                found |= match node {
                    Node::Interval(..) => true,
                    Node::Specification(at) => {
                        self.specifications.get(*at).copied().flatten().is_some_and(|range| range.low < range.high)
                    }
                    _ => false,
                };
            });
        }
        found
    }

    /// The enclosure over the intervals written, narrowed by cutting them into pieces: a quantity that is used twice widens a
    /// plain enclosure. The work on all pieces of a sheet is bounded; beyond it the plain enclosure stands.
    fn spread_outcome(&self, at: usize, running: &mut Running) -> Result<Outcome, Fault> {
        let whole = self.enclosure(at, &running.boxes);
        let missing = matches!(whole, Err(fault) if fault.trouble == Trouble::Missing);
        let refined = if running.work > 0 { self.refined(at, &mut running.work) } else { whole };
        let enclosure = match (whole, refined) {
            (_, Ok(refined)) => refined,
            (Ok(whole), Err(_)) => whole,
            (Err(fault), Err(_)) if missing => return Err(fault),
            (Err(_), Err(fault)) => return Err(fault),
        };
        set(&mut running.boxes.values, at, Some(enclosure));
        Ok(settled(enclosure))
    }

    /// The hull of a statement over all pieces of the intervals that it depends on.
    fn refined(&self, at: usize, work: &mut usize) -> Result<Enclosure, Fault> {
        let chain = self.chain(at);
        let inputs = self.intervals_of(&chain);
        let pieces = pieces(inputs.len());
        let count = inputs.iter().fold(1_usize, |count, _| count.saturating_mul(pieces));
        *work = work.saturating_sub(count.saturating_mul(chain.len()));
        let mut state = self.box_state();
        let mut hull: Option<Enclosure> = None;
        for piece in 0..count {
            self.run_box(&chain, &mut state, &part(&inputs, pieces, piece)).map_err(|(guilty, fault)| {
                // What another statement's fault brings about is not this one's.
                if guilty == at { fault } else { Fault::new(Trouble::Missing, fault.span) }
            })?;
            let own = state.values.get(at).copied().flatten();
            hull = own.map(|own| hull.map_or(own, |hull| join(hull, own))).or(hull);
        }
        hull.ok_or(Fault::new(Trouble::Missing, crate::diagnostic::Span::default()))
    }
}

/// Statements that may be evaluated to narrow the enclosures of one sheet.
const MAX_REFINEMENT: usize = 2_000_000;

/// Values so far.
struct Running {
    points: PointState,
    boxes: BoxState,
    /// Which statements depend on an interval that was written.
    spread: Vec<bool>,
    work: usize,
}

fn exactly(value: Value) -> Enclosure {
    match value {
        Value::Number(number) => Enclosure::Number(Interval::exactly(number)),
        Value::Truth(truth) => Enclosure::Truth(Truths::exactly(truth)),
    }
}

fn fault(statement: &CheckedStatement, trouble: Trouble) -> Fault {
    Fault::new(trouble, statement.expr.as_ref().map_or(statement.span, |expr| expr.span))
}

fn bottom(statement: &CheckedStatement) -> Option<Trouble> {
    match statement.kind {
        Some(Type::Quantity(measure)) if measure.kind == Kind::Point => Some(Trouble::BelowAbsoluteZero),
        Some(Type::Quantity(measure)) if measure.settled().kind == Kind::Absolute => Some(Trouble::BelowVacuum),
        _ => None,
    }
}

fn set<T>(list: &mut [T], at: usize, value: T) {
    if let Some(slot) = list.get_mut(at) {
        *slot = value;
    }
}

fn join(one: Enclosure, other: Enclosure) -> Enclosure {
    match (one, other) {
        (Enclosure::Number(one), Enclosure::Number(other)) => Enclosure::Number(one.hull(other)),
        (Enclosure::Truth(one), Enclosure::Truth(other)) => {
            Enclosure::Truth(Truths { yes: one.yes || other.yes, no: one.no || other.no })
        }
        (one, _) => one,
    }
}

fn settled(enclosure: Enclosure) -> Outcome {
    match enclosure {
        Enclosure::Number(interval) => Outcome::Between(interval),
        Enclosure::Truth(Truths { yes: true, no: true }) => Outcome::Unsure,
        Enclosure::Truth(truths) => Outcome::Exact(Value::Truth(truths.yes)),
    }
}

/// Pieces of each input, so that all together stay below 260.
fn pieces(inputs: usize) -> usize {
    match inputs {
        0 | 1 => 64,
        2 => 16,
        3 => 6,
        4 => 4,
        5..=8 => 2,
        _ => 1,
    }
}

/// One of the pieces, counted through all inputs.
fn part(inputs: &[Moving], pieces: usize, mut piece: usize) -> Vec<(Input, Interval)> {
    let cut = |moving: &Moving| {
        let at = piece % pieces;
        piece /= pieces;
        let end = |step: usize| {
            let share = step as f64 / pieces as f64;
            if step == pieces { moving.range.high } else { moving.range.low + moving.range.width() * share }
        };
        (moving.input, Interval::new(end(at), end(at + 1)))
    };
    inputs.iter().map(cut).collect()
}
