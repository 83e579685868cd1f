//! Interval evaluation: what a formula can come to while its inputs move, or why it may not exist.

use super::evaluate::interpolate;
use super::formula::{Arithmetic, Exponent, Fault, Node, Trouble};
use super::interval::Interval;
use super::syntax::{Comparison, Function};
use crate::diagnostic::Span;

/// What a truth can be.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Truths {
    /// It can be true.
    pub yes: bool,
    /// It can be false.
    pub no: bool,
}

impl Truths {
    /// One truth.
    pub(super) fn exactly(truth: bool) -> Self {
        Self { yes: truth, no: !truth }
    }
}

/// What a name can come to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Enclosure {
    /// A quantity.
    Number(Interval),
    /// A truth.
    Truth(Truths),
}

/// What names and specifications can stand for.
pub(super) struct Box<'a> {
    pub(super) values: &'a [Option<Enclosure>],
    pub(super) specifications: &'a [Option<Interval>],
    /// Names narrowed by the conditions around; later ones win.
    narrowed: Vec<(usize, Interval)>,
}

type Enclosed<T> = Result<T, Fault>;

fn missing() -> Fault {
    Fault::new(Trouble::Missing, Span::default())
}

impl<'a> Box<'a> {
    pub(super) fn new(values: &'a [Option<Enclosure>], specifications: &'a [Option<Interval>]) -> Self {
        Self { values, specifications, narrowed: Vec::new() }
    }

    pub(super) fn value(&mut self, node: &Node, truth: bool) -> Enclosed<Enclosure> {
        if truth { self.truth(node).map(Enclosure::Truth) } else { self.number(node).map(Enclosure::Number) }
    }

    /// An interval around a quantity.
    pub(super) fn number(&mut self, node: &Node) -> Enclosed<Interval> {
        match node {
            Node::Number(number) => Ok(Interval::exactly(*number)),
            Node::Interval(low, high) => Ok(Interval::new(*low, *high)),
            Node::Name(at) => self.name(*at).ok_or_else(missing),
            Node::Specification(at) => self.specifications.get(*at).copied().flatten().ok_or_else(missing),
            Node::Minus(operand) => Ok(self.number(operand)?.opposite()),
            Node::Arithmetic(operator, left, right, span) => self.arithmetic(*operator, left, right, *span),
            Node::Power(base, exponent, span) => self.power(base, exponent, *span),
            Node::Call(function, arguments, span) => self.call(*function, arguments, *span),
            Node::If(condition, yes, no) => self.choice(condition, yes, no),
            Node::Table(argument, points, span) => self.table(argument, points, *span),
            _ => Err(missing()),
        }
    }

    fn name(&self, at: usize) -> Option<Interval> {
        let narrowed = self.narrowed.iter().rev().find(|(name, _)| *name == at).map(|(_, interval)| *interval);
        narrowed.or(match self.values.get(at) {
            Some(Some(Enclosure::Number(interval))) => Some(*interval),
            _ => None,
        })
    }

    fn arithmetic(&mut self, operator: Arithmetic, left: &Node, right: &Node, span: Span) -> Enclosed<Interval> {
        let square = operator == Arithmetic::Times && left == right;
        let (left, right) = (self.number(left)?, self.number(right)?);
        let result = match operator {
            Arithmetic::Plus => Some(left.plus(right)),
            Arithmetic::Minus => Some(left.minus(right)),
            Arithmetic::Times if square => left.whole_power(2),
            Arithmetic::Times => Some(left.times(right)),
            Arithmetic::Over => left.over(right),
        };
        known(result, Trouble::DivisionByZero, span)
    }

    fn power(&mut self, base: &Node, exponent: &Exponent, span: Span) -> Enclosed<Interval> {
        let base = self.number(base)?;
        match exponent {
            Exponent::Whole(whole) => known(base.whole_power(*whole), Trouble::DivisionByZero, span),
            Exponent::Half => known(base.sqrt(), Trouble::RootOfNegative, span),
            Exponent::Real(exponent) => {
                let exponent = self.number(exponent)?;
                let trouble = if base.low < 0.0 { Trouble::PowerOfNegative } else { Trouble::DivisionByZero };
                known(base.real_power(exponent), trouble, span)
            }
        }
    }

    fn call(&mut self, function: Function, arguments: &[Node], span: Span) -> Enclosed<Interval> {
        let intervals = arguments.iter().map(|argument| self.number(argument)).collect::<Enclosed<Vec<_>>>()?;
        let x = intervals.first().copied().ok_or_else(missing)?;
        let rest = intervals.iter().copied();
        let (result, trouble) = match function {
            Function::Min => (Some(rest.fold(x, Interval::min)), Trouble::TooLarge),
            Function::Max => (Some(rest.fold(x, Interval::max)), Trouble::TooLarge),
            Function::Abs => (Some(x.abs()), Trouble::TooLarge),
            Function::Sqrt => (x.sqrt(), Trouble::RootOfNegative),
            Function::Exp => (Some(x.exp()), Trouble::TooLarge),
            Function::Ln => (x.logarithm(libm::log), Trouble::LogarithmOfNonPositive),
            Function::Log10 => (x.logarithm(libm::log10), Trouble::LogarithmOfNonPositive),
            Function::Sin => (Some(x.sin()), Trouble::TooLarge),
            Function::Cos => (Some(x.cos()), Trouble::TooLarge),
            Function::Tan => (x.tan(), Trouble::TangentOfRightAngle),
            Function::Asin => (x.asin(), Trouble::ArcOutside),
            Function::Acos => (x.acos(), Trouble::ArcOutside),
            Function::Atan => (Some(x.atan()), Trouble::TooLarge),
            Function::Round => (Some(x.step(f64::round)), Trouble::TooLarge),
            Function::Floor => (Some(x.step(f64::floor)), Trouble::TooLarge),
            Function::Ceil => (Some(x.step(f64::ceil)), Trouble::TooLarge),
        };
        known(result, trouble, span)
    }

    /// Both branches that can be taken, each with the names as narrow as its condition makes them.
    fn choice(&mut self, condition: &Node, yes: &Node, no: &Node) -> Enclosed<Interval> {
        let truths = self.truth(condition)?;
        let mut hull: Option<Interval> = None;
        for (truth, possible, branch) in [(true, truths.yes, yes), (false, truths.no, no)] {
            if possible {
                let value = self.under(condition, truth, |inside| inside.number(branch))?;
                hull = Some(hull.map_or(value, |hull| hull.hull(value)));
            }
        }
        hull.ok_or_else(missing)
    }

    fn table(&mut self, argument: &Node, points: &[(f64, f64)], span: Span) -> Enclosed<Interval> {
        let x = self.number(argument)?;
        let ends = interpolate(points, x.low).zip(interpolate(points, x.high));
        let (low, high) = ends.ok_or(Fault::new(Trouble::OutsideTable, span))?;
        let inner = points.iter().filter(|(at, _)| x.contains(*at)).map(|(_, y)| Interval::exactly(*y));
        // Interpolation rounds a few times in a row, between neighbours of the table's own size.
        let size = points.iter().fold(0.0, |size: f64, (_, y)| size.max(y.abs())) * 1e-15;
        let hull = inner.fold(Interval::new(low, high), Interval::hull);
        Ok(Interval { low: hull.low - size, high: hull.high + size })
    }

    /// What a truth can be.
    pub(super) fn truth(&mut self, node: &Node) -> Enclosed<Truths> {
        match node {
            Node::Truth(truth) => Ok(Truths::exactly(*truth)),
            Node::Name(at) => match self.values.get(*at) {
                Some(Some(Enclosure::Truth(truths))) => Ok(*truths),
                _ => Err(missing()),
            },
            Node::Not(operand) => self.truth(operand).map(|truths| Truths { yes: truths.no, no: truths.yes }),
            Node::Compare(comparison, left, right) => Ok(compare(*comparison, self.number(left)?, self.number(right)?)),
            Node::Same(equal, left, right) => {
                let (left, right) = (self.truth(left)?, self.truth(right)?);
                let same = Truths {
                    yes: (left.yes && right.yes) || (left.no && right.no),
                    no: (left.yes && right.no) || (left.no && right.yes),
                };
                Ok(if *equal { same } else { Truths { yes: same.no, no: same.yes } })
            }
            Node::And(left, right) => self.both(left, right, true),
            Node::Or(left, right) => self.both(left, right, false),
            Node::If(condition, yes, no) => self.truth_choice(condition, yes, no),
            _ => Err(missing()),
        }
    }

    /// `and` when `wanted` is true; `or` when it is false. The right side matters only if the left one is `wanted`.
    fn both(&mut self, left: &Node, right: &Node, wanted: bool) -> Enclosed<Truths> {
        let first = self.truth(left)?;
        let goes_on = if wanted { first.yes } else { first.no };
        if !goes_on {
            return Ok(first);
        }
        let second = self.under(left, wanted, |inside| inside.truth(right))?;
        Ok(if wanted {
            Truths { yes: second.yes, no: first.no || second.no }
        } else {
            Truths { yes: first.yes || second.yes, no: second.no }
        })
    }

    fn truth_choice(&mut self, condition: &Node, yes: &Node, no: &Node) -> Enclosed<Truths> {
        let truths = self.truth(condition)?;
        let mut hull = Truths { yes: false, no: false };
        for (truth, possible, branch) in [(true, truths.yes, yes), (false, truths.no, no)] {
            if possible {
                let value = self.under(condition, truth, |inside| inside.truth(branch))?;
                hull = Truths { yes: hull.yes || value.yes, no: hull.no || value.no };
            }
        }
        Ok(hull)
    }

    /// Evaluates with names narrowed to where `condition` is `truth`.
    fn under<T>(&mut self, condition: &Node, truth: bool, inside: impl FnOnce(&mut Self) -> T) -> T {
        let before = self.narrowed.len();
        self.narrow(condition, truth);
        let value = inside(self);
        self.narrowed.truncate(before);
        value
    }

    fn narrow(&mut self, condition: &Node, truth: bool) {
        match condition {
            Node::Not(operand) => self.narrow(operand, !truth),
            Node::And(left, right) if truth => {
                self.narrow(left, true);
                self.narrow(right, true);
            }
            Node::Or(left, right) if !truth => {
                self.narrow(left, false);
                self.narrow(right, false);
            }
            Node::Compare(comparison, left, right) => {
                let comparison = if truth { *comparison } else { negated(*comparison) };
                self.narrow_name(left, comparison, right);
                self.narrow_name(right, mirrored(comparison), left);
            }
            _ => {}
        }
    }

    fn narrow_name(&mut self, name: &Node, comparison: Comparison, other: &Node) {
        let Node::Name(at) = name else { return };
        let Some(own) = self.name(*at) else { return };
        let Ok(other) = self.number(other) else { return };
        let narrower = match comparison {
            Comparison::Less => Interval { high: own.high.min(other.high.next_down()), ..own },
            Comparison::LessOrEqual => Interval { high: own.high.min(other.high), ..own },
            Comparison::Greater => Interval { low: own.low.max(other.low.next_up()), ..own },
            Comparison::GreaterOrEqual => Interval { low: own.low.max(other.low), ..own },
            Comparison::Equal => own.meet(other).unwrap_or(own),
            Comparison::NotEqual => without(own, other),
        };
        if narrower.low <= narrower.high {
            self.narrowed.push((*at, narrower));
        }
    }
}

/// An end that is the one number left out moves one step in.
fn without(own: Interval, other: Interval) -> Interval {
    let out = |end: f64| other.low == other.high && end == other.low;
    let low = if out(own.low) { own.low.next_up() } else { own.low };
    let high = if out(own.high) { own.high.next_down() } else { own.high };
    Interval { low, high }
}

fn negated(comparison: Comparison) -> Comparison {
    match comparison {
        Comparison::Less => Comparison::GreaterOrEqual,
        Comparison::LessOrEqual => Comparison::Greater,
        Comparison::Greater => Comparison::LessOrEqual,
        Comparison::GreaterOrEqual => Comparison::Less,
        Comparison::Equal => Comparison::NotEqual,
        Comparison::NotEqual => Comparison::Equal,
    }
}

fn mirrored(comparison: Comparison) -> Comparison {
    match comparison {
        Comparison::Less => Comparison::Greater,
        Comparison::LessOrEqual => Comparison::GreaterOrEqual,
        Comparison::Greater => Comparison::Less,
        Comparison::GreaterOrEqual => Comparison::LessOrEqual,
        same => same,
    }
}

fn compare(comparison: Comparison, left: Interval, right: Interval) -> Truths {
    let single = left.low == left.high && right.low == right.high;
    match comparison {
        Comparison::Less => Truths { yes: left.low < right.high, no: left.high >= right.low },
        Comparison::LessOrEqual => Truths { yes: left.low <= right.high, no: left.high > right.low },
        Comparison::Greater => compare(Comparison::Less, right, left),
        Comparison::GreaterOrEqual => compare(Comparison::LessOrEqual, right, left),
        Comparison::Equal => Truths { yes: left.meet(right).is_some(), no: !(single && left.low == right.low) },
        Comparison::NotEqual => {
            let same = compare(Comparison::Equal, left, right);
            Truths { yes: same.no, no: same.yes }
        }
    }
}

/// An end may be infinite: whether a number that large occurs is for plain evaluation to find.
fn known(result: Option<Interval>, trouble: Trouble, span: Span) -> Enclosed<Interval> {
    let interval = result.ok_or(Fault::new(trouble, span))?;
    let number = !(interval.low.is_nan() || interval.high.is_nan());
    if number { Ok(interval) } else { Err(Fault::new(Trouble::TooLarge, span)) }
}
