//! Literals in base units: their ends, and how finely they were written.

use super::conversion::unify;
use super::dimension::{Kind, Measure, Type};
use super::faults::{Checked, bad_value, mismatch, out_of_domain, percent_of_temperature};
use super::formula::{Node, Trouble};
use super::syntax::{Amount, HalfWidth, Literal};
use super::unit::Unit;
use crate::diagnostic::Span;

/// A literal in base units.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Bounds {
    /// Lower end.
    pub low: f64,
    /// Upper end; the lower one for a single value.
    pub high: f64,
    /// Half a unit in the last digit written, in base units.
    pub half_digit: f64,
    /// Dimension and kind.
    pub measure: Measure,
    /// The whole literal.
    pub span: Span,
}

impl Bounds {
    /// As a node of a formula.
    pub(super) fn node(&self) -> Node {
        if self.low == self.high { Node::Number(self.low) } else { Node::Interval(self.low, self.high) }
    }
}

/// The ends of a literal.
///
/// # Errors
/// When its parts do not go together, stand in the wrong order, or lie below an absolute zero.
pub(super) fn bounds(literal: &Literal) -> Checked<Bounds> {
    match literal {
        Literal::Value(amount) => value(amount),
        Literal::Range(low, high) => existing(range(low, high)?),
        Literal::Spread(middle, half) => existing(spread(middle, half)?),
    }
}

/// A single value, as both of its ends.
///
/// # Errors
/// When it lies below an absolute zero, or is beyond all doubles.
pub(super) fn value(amount: &Amount) -> Checked<Bounds> {
    existing(single(amount))
}

/// Ends that a quantity can have.
fn existing(bounds: Bounds) -> Checked<Bounds> {
    let bottom = match bounds.measure.kind {
        Kind::Point => Some(Trouble::BelowAbsoluteZero),
        Kind::Absolute => Some(Trouble::BelowVacuum),
        _ => None,
    };
    match bottom.filter(|_| bounds.low < 0.0) {
        Some(trouble) => Err(out_of_domain(bounds.span, trouble.words())),
        None if !(bounds.low.is_finite() && bounds.high.is_finite()) => {
            Err(out_of_domain(bounds.span, Trouble::TooLarge.words()))
        }
        None => Ok(bounds),
    }
}

fn single(amount: &Amount) -> Bounds {
    let (base, half_digit) = (amount.base(), amount.half_last_digit());
    Bounds { low: base, high: base, half_digit, measure: amount.unit.measure, span: amount.span }
}

/// Two amounts of one measure, the lower one first.
///
/// # Errors
/// When they do not go together or stand in the wrong order.
pub(super) fn range(low: &Amount, high: &Amount) -> Checked<Bounds> {
    let (low_measure, high_measure) = (low.unit.measure, high.unit.measure);
    let Some(measure) = unify(low_measure, high_measure) else {
        return Err(mismatch(high.span, Type::Quantity(high_measure), low_measure.words()));
    };
    let (low_base, high_base) = (low.base(), high.base());
    if low_base > high_base {
        return Err(bad_value(low.span.to(high.span), "a range from high to low", "the lower end first"));
    }
    let half_digit = low.half_last_digit().min(high.half_last_digit());
    Ok(Bounds { low: low_base, high: high_base, half_digit, measure, span: low.span.to(high.span) })
}

fn spread(middle: &Amount, half: &HalfWidth) -> Checked<Bounds> {
    let (base, measure) = (middle.base(), middle.unit.measure);
    let width = tolerance(measure, base, half)?;
    let (digit, span) = match half {
        HalfWidth::Percent(_, span) => (middle.half_last_digit(), *span),
        HalfWidth::Amount(amount) => (amount.half_last_digit(), amount.span),
    };
    let half_digit = digit.min(middle.half_last_digit());
    let span = middle.span.to(span);
    Ok(Bounds { low: base - width, high: base + width, half_digit, measure, span })
}

/// The width to either side of `base`, a value of `measure`; both in base units.
///
/// Of a gauge reading a percentage is a share of what the gauge shows, as people mean it: psig, barg and kPag count from
/// the same zero, the air's pressure, so that it is one width in all of them. Each scale of temperature has a zero of its
/// own: 5 % of 20 degC and 5 % of the same 68 degF are two widths, and nobody means 5 % of 293 K.
///
/// # Errors
/// When it does not go with the measure, or is negative.
pub(super) fn tolerance(measure: Measure, base: f64, half: &HalfWidth) -> Checked<f64> {
    let (width, span) = match half {
        HalfWidth::Percent(_, span) if measure.kind == Kind::Point => return Err(percent_of_temperature(*span)),
        HalfWidth::Percent(number, span) => (base.abs() * number.to_f64() / 100.0, *span),
        HalfWidth::Amount(amount) => (half_width(measure, amount)?, amount.span),
    };
    if width < 0.0 { Err(bad_value(span, "a negative tolerance", "a width above zero")) } else { Ok(width) }
}

/// A width around a value of `measure`, in base units: `2 degC` beside `20 degC` is a width of 2 K.
///
/// # Errors
/// When its unit does not go with the measure.
pub(super) fn half_width(measure: Measure, amount: &Amount) -> Checked<f64> {
    let difference = if measure.is_reading() { Measure::plain(measure.dimension) } else { measure };
    let own = amount.unit.as_difference();
    if unify(difference, own.measure).is_none() {
        return Err(mismatch(amount.span, Type::Quantity(amount.unit.measure), difference.words()));
    }
    Ok(own.width_to_base(amount.number))
}

/// The units that a literal writes.
pub(super) fn units(literal: &Literal) -> Vec<&Unit> {
    match literal {
        Literal::Value(amount) => vec![&amount.unit],
        Literal::Range(low, high) => vec![&low.unit, &high.unit],
        Literal::Spread(middle, HalfWidth::Amount(half)) => vec![&middle.unit, &half.unit],
        Literal::Spread(middle, HalfWidth::Percent(..)) => vec![&middle.unit],
    }
}

/// The unit that the literal's value is shown in.
pub(super) fn shown_unit(literal: &Literal) -> &Unit {
    match literal {
        Literal::Value(amount) | Literal::Range(_, amount) | Literal::Spread(amount, _) => &amount.unit,
    }
}
