//! The checked tree: names resolved, literals in base units, every place that can fail with its span.

use super::syntax::{Comparison, Function};
use crate::diagnostic::Span;

/// A checked expression in base units.
#[derive(Clone, Debug, PartialEq)]
pub enum Node {
    /// A number.
    Number(f64),
    /// Any number between two.
    Interval(f64, f64),
    /// True or false.
    Truth(bool),
    /// Another statement of the sheet, by position.
    Name(usize),
    /// A specification that the sheet reads, by position.
    Specification(usize),
    /// The opposite.
    Minus(Box<Node>),
    /// Not.
    Not(Box<Node>),
    /// Sum, difference, product, quotient. The place is that of the right operand: a divisor is to blame.
    Arithmetic(Arithmetic, Box<Node>, Box<Node>, Span),
    /// A power; the place is that of the base.
    Power(Box<Node>, Exponent, Span),
    /// A comparison.
    Compare(Comparison, Box<Node>, Box<Node>),
    /// Equality of two truths; `false` for inequality.
    Same(bool, Box<Node>, Box<Node>),
    /// Both.
    And(Box<Node>, Box<Node>),
    /// Either.
    Or(Box<Node>, Box<Node>),
    /// A function; the place is that of its first argument.
    Call(Function, Vec<Node>, Span),
    /// A choice.
    If(Box<Node>, Box<Node>, Box<Node>),
    /// Linear interpolation between ascending points; the place is that of the argument.
    Table(Box<Node>, Vec<(f64, f64)>, Span),
}

/// The four operations.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Arithmetic {
    /// Sum.
    Plus,
    /// Difference.
    Minus,
    /// Product.
    Times,
    /// Quotient.
    Over,
}

/// What a power is raised to. Whole powers are products, so that they are the same everywhere to the last bit.
#[derive(Clone, Debug, PartialEq)]
pub enum Exponent {
    /// A whole number.
    Whole(i32),
    /// One half: a square root.
    Half,
    /// Anything else.
    Real(Box<Node>),
}

impl Node {
    /// The nodes right below.
    pub fn children(&self) -> Vec<&Self> {
        match self {
            Self::Minus(operand) | Self::Not(operand) | Self::Table(operand, ..) => vec![operand],
            Self::Power(base, Exponent::Real(exponent), _) => vec![base, exponent],
            Self::Power(base, ..) => vec![base],
            Self::Arithmetic(_, left, right, _) | Self::Compare(_, left, right) | Self::Same(_, left, right) => {
                vec![left, right]
            }
            Self::And(left, right) | Self::Or(left, right) => vec![left, right],
            Self::If(condition, yes, no) => vec![condition, yes, no],
            Self::Call(_, arguments, _) => arguments.iter().collect(),
            Self::Number(_) | Self::Interval(..) | Self::Truth(_) | Self::Name(_) | Self::Specification(_) => {
                Vec::new()
            }
        }
    }

    /// Calls `see` with this node and all below it.
    pub fn walk(&self, see: &mut impl FnMut(&Self)) {
        see(self);
        for child in self.children() {
            child.walk(see);
        }
    }
}

/// Why a value does not exist.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Trouble {
    /// A divisor is zero.
    DivisionByZero,
    /// The square root of a negative number.
    RootOfNegative,
    /// The logarithm of zero or less.
    LogarithmOfNonPositive,
    /// An arc sine or arc cosine outside -1 to 1.
    ArcOutside,
    /// A negative number to a power that is not whole.
    PowerOfNegative,
    /// An argument outside a table: never extrapolated.
    OutsideTable,
    /// A tangent at a right angle.
    TangentOfRightAngle,
    /// Beyond what a double can hold.
    TooLarge,
    /// A temperature below absolute zero.
    BelowAbsoluteZero,
    /// An absolute pressure below zero.
    BelowVacuum,
    /// A part has no value, for a reason that was marked where it arose.
    Missing,
}

impl Trouble {
    /// In words that follow "this is" or "this can be".
    pub(super) fn words(self) -> &'static str {
        match self {
            Self::DivisionByZero => "a division by zero",
            Self::RootOfNegative => "the square root of a negative number",
            Self::LogarithmOfNonPositive => "the logarithm of zero or of a negative number",
            Self::ArcOutside => "the arc sine or arc cosine of a number outside -1 to 1",
            Self::PowerOfNegative => "a negative number to a power that is not whole",
            Self::OutsideTable => "a value outside the table",
            Self::TangentOfRightAngle => "the tangent of a right angle",
            Self::TooLarge => "a number too large to compute",
            Self::BelowAbsoluteZero => "a temperature below absolute zero",
            Self::BelowVacuum => "an absolute pressure below vacuum",
            Self::Missing => "a value that could not be computed",
        }
    }
}

/// A value that does not exist, and whose fault it is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Fault {
    /// Why.
    pub trouble: Trouble,
    /// The guilty part of the formula.
    pub span: Span,
}

impl Fault {
    /// A fault at a place.
    pub(super) fn new(trouble: Trouble, span: Span) -> Self {
        Self { trouble, span }
    }
}
