//! Plain evaluation, in doubles. The generated script does the same operations in the same order.

use std::cell::RefCell;

use super::formula::{Arithmetic, Exponent, Fault, Node, Trouble};
use super::syntax::{Comparison, Function};
use crate::diagnostic::Span;

/// A computed value in base units.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Value {
    /// A quantity.
    Number(f64),
    /// A truth.
    Truth(bool),
}

/// What names and specifications stand for, at one point of the inputs.
#[derive(Default)]
pub(super) struct Scope<'a> {
    pub(super) values: &'a [Option<Value>],
    pub(super) specifications: &'a [Option<f64>],
    /// If given, every divisor that is met, by its place: a change of sign between two points shows a zero.
    pub(super) divisors: Option<&'a RefCell<Vec<(Span, f64)>>>,
}

type Evaluated<T> = Result<T, Fault>;

impl Scope<'_> {
    pub(super) fn value(&self, node: &Node, truth: bool) -> Evaluated<Value> {
        if truth { self.truth(node).map(Value::Truth) } else { self.number(node).map(Value::Number) }
    }

    /// The value of a quantity.
    pub(super) fn number(&self, node: &Node) -> Evaluated<f64> {
        match node {
            Node::Number(number) => Ok(*number),
            Node::Interval(low, high) => Ok(low + (high - low) / 2.0),
            Node::Name(at) => match self.values.get(*at) {
                Some(Some(Value::Number(number))) => Ok(*number),
                _ => Err(Fault::new(Trouble::Missing, Span::default())),
            },
            Node::Specification(at) => {
                self.specifications.get(*at).copied().flatten().ok_or(Fault::new(Trouble::Missing, Span::default()))
            }
            Node::Minus(operand) => Ok(-self.number(operand)?),
            Node::Arithmetic(operator, left, right, span) => self.arithmetic(*operator, left, right, *span),
            Node::Power(base, exponent, span) => self.power(base, exponent, *span),
            Node::Call(function, arguments, span) => self.call(*function, arguments, *span),
            Node::If(condition, yes, no) => self.number(if self.truth(condition)? { yes } else { no }),
            Node::Table(argument, points, span) => {
                interpolate(points, self.number(argument)?).ok_or(Fault::new(Trouble::OutsideTable, *span))
            }
            Node::Truth(_) | Node::Not(_) | Node::Compare(..) | Node::Same(..) | Node::And(..) | Node::Or(..) => {
                Err(Fault::new(Trouble::Missing, Span::default()))
            }
        }
    }

    /// The value of a truth. The right side of `and`, `or` is left alone when the left one decides.
    pub(super) fn truth(&self, node: &Node) -> Evaluated<bool> {
        match node {
            Node::Truth(truth) => Ok(*truth),
            Node::Name(at) => match self.values.get(*at) {
                Some(Some(Value::Truth(truth))) => Ok(*truth),
                _ => Err(Fault::new(Trouble::Missing, Span::default())),
            },
            Node::Not(operand) => Ok(!self.truth(operand)?),
            Node::Compare(comparison, left, right) => Ok(compare(*comparison, self.number(left)?, self.number(right)?)),
            Node::Same(equal, left, right) => Ok((self.truth(left)? == self.truth(right)?) == *equal),
            Node::And(left, right) => Ok(self.truth(left)? && self.truth(right)?),
            Node::Or(left, right) => Ok(self.truth(left)? || self.truth(right)?),
            Node::If(condition, yes, no) => self.truth(if self.truth(condition)? { yes } else { no }),
            _ => Err(Fault::new(Trouble::Missing, Span::default())),
        }
    }

    fn arithmetic(&self, operator: Arithmetic, left: &Node, right: &Node, span: Span) -> Evaluated<f64> {
        let (left, right) = (self.number(left)?, self.number(right)?);
        let result = match operator {
            Arithmetic::Plus => left + right,
            Arithmetic::Minus => left - right,
            Arithmetic::Times => left * right,
            Arithmetic::Over => left / self.divisor(right, span)?,
        };
        finite(result, span)
    }

    fn divisor(&self, divisor: f64, span: Span) -> Evaluated<f64> {
        if let Some(divisors) = self.divisors {
            divisors.borrow_mut().push((span, divisor));
        }
        if divisor == 0.0 { Err(Fault::new(Trouble::DivisionByZero, span)) } else { Ok(divisor) }
    }

    fn power(&self, base: &Node, exponent: &Exponent, span: Span) -> Evaluated<f64> {
        let base = self.number(base)?;
        let result = match exponent {
            Exponent::Whole(whole) if *whole < 0 => 1.0 / whole_power(self.divisor(base, span)?, whole.unsigned_abs()),
            Exponent::Whole(whole) => whole_power(base, whole.unsigned_abs()),
            Exponent::Half if base < 0.0 => return Err(Fault::new(Trouble::RootOfNegative, span)),
            Exponent::Half => base.sqrt(),
            Exponent::Real(exponent) => real_power(base, self.number(exponent)?, span)?,
        };
        finite(result, span)
    }

    fn call(&self, function: Function, arguments: &[Node], span: Span) -> Evaluated<f64> {
        let numbers = arguments.iter().map(|argument| self.number(argument)).collect::<Evaluated<Vec<f64>>>()?;
        let x = numbers.first().copied().ok_or(Fault::new(Trouble::Missing, span))?;
        let result = match function {
            Function::Min => numbers.iter().copied().fold(x, f64::min),
            Function::Max => numbers.iter().copied().fold(x, f64::max),
            Function::Tan => {
                libm::sin(x)
                    / self.divisor(libm::cos(x), span).map_err(|_| Fault::new(Trouble::TangentOfRightAngle, span))?
            }
            _ => one(function, x).map_err(|trouble| Fault::new(trouble, span))?,
        };
        finite(result, span)
    }
}

/// A function of one number.
fn one(function: Function, x: f64) -> Result<f64, Trouble> {
    match function {
        Function::Sqrt if x < 0.0 => Err(Trouble::RootOfNegative),
        Function::Ln | Function::Log10 if x <= 0.0 => Err(Trouble::LogarithmOfNonPositive),
        Function::Asin | Function::Acos if x.abs() > 1.0 => Err(Trouble::ArcOutside),
        Function::Abs => Ok(x.abs()),
        Function::Sqrt => Ok(x.sqrt()),
        Function::Exp => Ok(libm::exp(x)),
        Function::Ln => Ok(libm::log(x)),
        Function::Log10 => Ok(libm::log10(x)),
        Function::Sin => Ok(libm::sin(x)),
        Function::Cos => Ok(libm::cos(x)),
        Function::Tan => Ok(libm::tan(x)),
        Function::Asin => Ok(libm::asin(x)),
        Function::Acos => Ok(libm::acos(x)),
        Function::Atan => Ok(libm::atan(x)),
        Function::Round => Ok(x.round()),
        Function::Floor => Ok(x.floor()),
        Function::Ceil => Ok(x.ceil()),
        Function::Min | Function::Max => Ok(x),
    }
}

fn finite(number: f64, span: Span) -> Evaluated<f64> {
    if number.is_finite() { Ok(number) } else { Err(Fault::new(Trouble::TooLarge, span)) }
}

/// By repeated squaring, lowest bit first.
pub(super) fn whole_power(base: f64, exponent: u32) -> f64 {
    let (mut power, mut square, mut left) = (1.0, base, exponent);
    while left > 0 {
        if left % 2 == 1 {
            power *= square;
        }
        square *= square;
        left /= 2;
    }
    power
}

fn real_power(base: f64, exponent: f64, span: Span) -> Evaluated<f64> {
    if base < 0.0 && exponent.fract() != 0.0 {
        return Err(Fault::new(Trouble::PowerOfNegative, span));
    }
    if base == 0.0 && exponent < 0.0 {
        return Err(Fault::new(Trouble::DivisionByZero, span));
    }
    Ok(libm::pow(base, exponent))
}

pub(super) fn compare(comparison: Comparison, left: f64, right: f64) -> bool {
    match comparison {
        Comparison::Less => left < right,
        Comparison::LessOrEqual => left <= right,
        Comparison::Greater => left > right,
        Comparison::GreaterOrEqual => left >= right,
        Comparison::Equal => left == right,
        Comparison::NotEqual => left != right,
    }
}

/// Between the two points around `x`, along the line that joins them; `None` outside.
pub(super) fn interpolate(points: &[(f64, f64)], x: f64) -> Option<f64> {
    points.windows(2).find_map(|pair| {
        let [(x1, y1), (x2, y2)] = pair else { return None };
        let inside = *x1 <= x && x <= *x2;
        inside.then(|| if x == *x2 { *y2 } else { y1 + (y2 - y1) * ((x - x1) / (x2 - x1)) })
    })
}
