//! The sheet with other inputs: what the page's script does, done here for plots and for comparison.

use super::CheckedSheet;
use super::dimension::Type;
use super::enclose::Enclosure;
use super::evaluate::{Scope, Value};
use super::formula::Node;
use super::interval::Interval;
use super::values::Program;

impl CheckedSheet {
    /// Every statement's value with some givens set to other values in base units; an interval counts with its middle.
    /// `None` where a value does not exist.
    pub fn compute(&self, group: usize, givens: &[(usize, f64)]) -> Vec<Option<Value>> {
        self.compute_only(&self.order, group, givens)
    }

    /// The same of some statements alone, in an order in which what each uses comes before it; the others have no value.
    pub(super) fn compute_only(&self, only: &[usize], group: usize, givens: &[(usize, f64)]) -> Vec<Option<Value>> {
        let specifications = self.specification_intervals(group);
        let program = Program { statements: &self.statements, order: &self.order, specifications: &specifications };
        let mut state = program.point_state();
        for at in only.iter().copied() {
            let set = givens.iter().find(|(given, _)| *given == at).map(|(_, number)| Value::Number(*number));
            let scope = Scope { values: &state.values, specifications: &state.specifications, divisors: None };
            let value = set.or_else(|| program.value(at, &scope).ok());
            if let Some(slot) = state.values.get_mut(at) {
                *slot = value;
            }
        }
        state.values
    }

    /// Whether every result, at the values written, is known to better than a relative width whatever the last places of
    /// the functions used: false where nearly equal numbers are subtracted or a step stands at its edge.
    pub fn is_well_conditioned(&self, width: f64) -> bool {
        let specifications = self.specification_intervals(0);
        let program = Program { statements: &self.statements, order: &self.order, specifications: &specifications };
        let mut state = program.box_state();
        self.order.iter().copied().all(|at| {
            let enclosure = program.enclosure(at, &state).ok();
            if let Some(slot) = state.values.get_mut(at) {
                *slot = enclosure;
            }
            match enclosure {
                Some(Enclosure::Number(own)) => own.is_finite() && own.width() <= width * own.middle().abs(),
                Some(Enclosure::Truth(truths)) => truths.yes != truths.no,
                None => program.value(at, &Scope::default()).is_err(),
            }
        })
    }

    /// The specifications of a group of vehicles, from end to end.
    pub(super) fn specification_intervals(&self, group: usize) -> Vec<Option<Interval>> {
        let values = self.groups.get(group).map_or(&[][..], |group| &group.specifications);
        values.iter().map(|value| value.as_ref().map(|own| Interval::new(own.low, own.high))).collect()
    }

    /// Whether a statement has a type and a tree: nothing else can be shown or computed on the page.
    pub(super) fn is_computable(&self, at: usize) -> bool {
        self.statements.get(at).is_some_and(|statement| statement.kind.is_some() && statement.node.is_some())
    }

    /// The value that a given has on the page before anybody changes it: the middle of an interval.
    pub(super) fn start_value(&self, at: usize) -> Option<Value> {
        match self.statements.get(at)?.node.as_ref()? {
            Node::Number(number) => Some(Value::Number(*number)),
            Node::Interval(low, high) => Some(Value::Number(low + (high - low) / 2.0)),
            Node::Truth(truth) => Some(Value::Truth(*truth)),
            _ => None,
        }
    }

    /// Whether a statement is a quantity.
    pub(super) fn is_quantity(&self, at: usize) -> bool {
        self.statements.get(at).is_some_and(|statement| matches!(statement.kind, Some(Type::Quantity(_))))
    }
}
