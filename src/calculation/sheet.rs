//! All calculation blocks of one entry, checked: what every name is, what it comes to, and which claims hold.

use std::collections::BTreeMap;

use super::check::{Checker, farad_mark, farad_span};
use super::conversion::{conversion, hint, unify};
use super::dimension::{Measure, Type};
use super::faults::{Checked, bad_value, mismatch};
use super::formula::Node;
use super::interval::Interval;
use super::literal::{self, Bounds};
use super::resolve::Order;
use super::syntax::{Amount, Body, Expr, HalfWidth, Literal, Stated, Statement, Tail};
use super::unit::Unit;
use crate::diagnostic::{Mark, Span, Spanned};

/// A statement of which everything is known; parts that had a fault are absent.
#[derive(Clone, Debug)]
pub struct CheckedStatement {
    /// Its name.
    pub name: Spanned<String>,
    /// The whole statement.
    pub span: Span,
    /// Position of its block.
    pub block: usize,
    /// The formula as written; `None` for an input.
    pub expr: Option<Expr>,
    /// Input or result.
    pub role: Role,
    /// Its type.
    pub kind: Option<Type>,
    /// The checked tree.
    pub node: Option<Node>,
    /// What the tree's value is multiplied by: 1, or 2π between turns and radians.
    pub factor: f64,
    /// The unit in which it is shown.
    pub unit: Option<Unit>,
    /// Positions of the statements that it uses.
    pub uses: Vec<usize>,
}

/// Whether a person sets it or the sheet computes it.
#[derive(Clone, Debug, PartialEq)]
#[allow(clippy::large_enum_variant, reason = "one a statement, of which an entry has a few dozen")]
pub enum Role {
    /// An input.
    Given {
        /// Its range in base units, if it has one.
        range: Option<Interval>,
        /// Its value as written.
        value: Option<Literal>,
    },
    /// A result.
    Step(Option<Claim>),
}

/// A stated value.
#[derive(Clone, Debug, PartialEq)]
pub enum Claim {
    /// A quantity: the computed one must lie within.
    Quantity {
        /// What was stated, in base units.
        stated: Interval,
        /// How far beyond it is still right, in base units.
        tolerance: f64,
        /// Decimal places written.
        places: usize,
        /// Where.
        span: Span,
    },
    /// A truth.
    Truth(bool, Span),
}

/// Checks the types of all statements.
pub(super) fn check_types(
    statements: &[Statement],
    order: &Order,
    specifications: &BTreeMap<(String, String), usize>,
    specification_types: &[Option<Type>],
    marks: &mut Vec<Mark>,
) -> Vec<CheckedStatement> {
    let mut checked: Vec<CheckedStatement> =
        statements.iter().zip(&order.uses).map(|(own, uses)| blank(own, uses)).collect();
    let mut types: Vec<Option<Type>> = vec![None; statements.len()];
    let bare: Vec<bool> = statements.iter().map(is_bare).collect();
    for at in &order.order {
        let Some((statement, slot)) = statements.get(*at).zip(checked.get_mut(*at)) else { continue };
        let mut checker = Checker {
            names: &order.names,
            types: &types,
            specifications,
            specification_types,
            bare: &bare,
            marks: Vec::new(),
            earlier_marks: marks.len(),
        };
        match &statement.body {
            Body::Given(value, range) => given(value, range.as_ref(), slot, &mut checker.marks),
            Body::Formula(expr, tail) => formula(expr, tail, slot, &mut checker),
            Body::Broken => {}
        }
        marks.append(&mut checker.marks);
        if let Some(own) = types.get_mut(*at) {
            *own = slot.kind;
        }
    }
    default_units(&mut checked);
    checked
}

fn blank(statement: &Statement, uses: &[usize]) -> CheckedStatement {
    let given = matches!(statement.body, Body::Given(..));
    CheckedStatement {
        name: statement.name.clone(),
        span: statement.span,
        block: statement.block,
        expr: None,
        role: if given { Role::Given { range: None, value: None } } else { Role::Step(None) },
        kind: None,
        node: None,
        factor: 1.0,
        unit: None,
        uses: uses.to_vec(),
    }
}

fn is_bare(statement: &Statement) -> bool {
    matches!(&statement.body, Body::Given(Stated::Quantity(literal), _) if literal::shown_unit(literal).text.is_empty())
}

fn given(value: &Stated, range: Option<&(Amount, Amount)>, slot: &mut CheckedStatement, marks: &mut Vec<Mark>) {
    match value {
        Stated::Truth(truth, span) => {
            slot.kind = Some(Type::Truth);
            slot.node = Some(Node::Truth(*truth));
            marks.extend(range.map(|_| bad_value(*span, "a range of true or false", "no range")));
        }
        Stated::Quantity(literal) => match literal::bounds(literal) {
            Err(mark) => marks.push(mark),
            Ok(bounds) => {
                slot.kind = Some(Type::Quantity(bounds.measure));
                slot.node = Some(bounds.node());
                slot.unit = Some(literal::shown_unit(literal).clone());
                let range = range.map(|(low, high)| checked_range(low, high, &bounds));
                let range = range.transpose().unwrap_or_else(|mark| {
                    // Of a value and a range that do not go together nobody knows which is right.
                    if mark.id == crate::diagnostic::MarkId::DimensionMismatch {
                        slot.kind = None;
                    }
                    marks.push(mark);
                    None
                });
                slot.role = Role::Given { range, value: Some(literal.clone()) };
            }
        },
    }
}

fn checked_range(low: &Amount, high: &Amount, value: &Bounds) -> Checked<Interval> {
    let ends = literal::bounds(&Literal::Range(low.clone(), high.clone()))
        .map_err(|mark| odd_lower_end(low, high, value).unwrap_or(mark))?;
    if unify(value.measure, ends.measure).is_none() {
        // The two ends are alike, so it is the value that is not.
        let mark = mismatch(value.span, Type::Quantity(value.measure), ends.measure.words());
        return Err(mark.with_some("hint", hint(value.measure, ends.measure)).see(ends.span, "the range"));
    }
    let range = Interval::new(ends.low, ends.high);
    if !(range.contains(value.low) && range.contains(value.high)) {
        let mark = bad_value(value.span, "a value outside its own range", "a value from the lower to the upper end");
        return Err(mark.see(ends.span, "the range"));
    }
    Ok(range)
}

/// The mark for a lower end that goes neither with the upper one nor with the value, which go with each other.
fn odd_lower_end(low: &Amount, high: &Amount, value: &Bounds) -> Option<Mark> {
    let (own, other) = (low.unit.measure, high.unit.measure);
    let is_odd = unify(own, other).is_none() && unify(value.measure, other).is_some();
    let mark = || mismatch(low.span, Type::Quantity(own), other.words()).with_some("hint", hint(own, other));
    is_odd.then(|| mark().see(high.span, "the upper end"))
}

fn formula(expr: &Expr, tail: &Tail, slot: &mut CheckedStatement, checker: &mut Checker<'_>) {
    slot.expr = Some(expr.clone());
    let Some((own, node)) = checker.check(expr) else { return };
    slot.kind = Some(own);
    slot.node = Some(node);
    match (tail, own) {
        (Tail::None, _) => {}
        (Tail::In(unit), Type::Quantity(measure)) => match converted(expr, measure, unit, unit.span) {
            Ok(factor) => show_in(slot, unit, factor),
            Err(mark) => checker.marks.push(mark),
        },
        (Tail::In(unit), Type::Truth) => {
            checker.marks.push(mismatch(unit.span, Type::Quantity(unit.measure), own.words()))
        }
        (Tail::Gives(Stated::Truth(truth, span), None), Type::Truth) => {
            slot.role = Role::Step(Some(Claim::Truth(*truth, *span)))
        }
        (Tail::Gives(Stated::Truth(_, span), _), _) => checker.marks.push(mismatch(*span, Type::Truth, own.words())),
        (Tail::Gives(Stated::Quantity(stated), within), _) => match claim(expr, own, stated, within.as_ref()) {
            Ok((claim, factor)) => {
                show_in(slot, literal::shown_unit(stated), factor);
                slot.role = Role::Step(Some(claim));
            }
            Err(mark) => checker.marks.push(mark),
        },
    }
}

fn show_in(slot: &mut CheckedStatement, unit: &Unit, factor: f64) {
    slot.factor = factor;
    slot.kind = Some(Type::Quantity(unit.measure));
    slot.unit = Some(unit.clone());
}

/// The factor to a unit.
fn converted(expr: &Expr, measure: Measure, unit: &Unit, span: Span) -> Checked<f64> {
    conversion(measure, unit).ok_or_else(|| {
        let degrees = super::dimension::Dimension::of([0, 0, 0, 0, 1, 0]);
        let written = if unit.text == "F" && measure.dimension == degrees { Some(unit.span) } else { None };
        let written = written.or_else(|| farad_span(expr).filter(|_| unit.measure.dimension == degrees));
        written.map_or_else(
            || {
                mismatch(span, Type::Quantity(unit.measure), measure.words())
                    .with_some("hint", hint(unit.measure, measure))
            },
            farad_mark,
        )
    })
}

fn claim(expr: &Expr, own: Type, stated: &Literal, within: Option<&HalfWidth>) -> Checked<(Claim, f64)> {
    let unit = literal::shown_unit(stated);
    let span = unit.span;
    let Type::Quantity(measure) = own else { return Err(mismatch(span, Type::Quantity(unit.measure), own.words())) };
    let factor = converted(expr, measure, unit, span)?;
    let bounds = literal::bounds(stated)?;
    let tolerance = match within {
        None => bounds.half_digit,
        Some(half) => literal::tolerance(bounds.measure, bounds.low.abs().max(bounds.high.abs()), half)?,
    };
    let stated_interval = Interval::new(bounds.low, bounds.high);
    Ok((Claim::Quantity { stated: stated_interval, tolerance, places: places(stated), span: bounds.span }, factor))
}

/// The most decimal places that a literal writes.
pub(super) fn places(literal: &Literal) -> usize {
    match literal {
        Literal::Value(amount) => amount.number.places(),
        Literal::Range(low, high) => low.number.places().max(high.number.places()),
        Literal::Spread(middle, HalfWidth::Amount(half)) => middle.number.places().max(half.number.places()),
        Literal::Spread(middle, HalfWidth::Percent(..)) => middle.number.places(),
    }
}

/// A result without a unit of its own is shown as the sheet shows others of its measure, else in base units.
fn default_units(checked: &mut [CheckedStatement]) {
    let known: Vec<Unit> = checked.iter().filter_map(|statement| statement.unit.clone()).collect();
    for statement in checked.iter_mut().filter(|statement| statement.unit.is_none()) {
        if let Some(Type::Quantity(measure)) = statement.kind {
            let like = known.iter().find(|unit| unit.measure == measure).cloned();
            statement.unit = Some(like.unwrap_or_else(|| Unit::base(measure, statement.name.span)));
        }
    }
}
