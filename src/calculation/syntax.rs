//! The tree of a sheet as written: every node with its place.

use super::number::Decimal;
use super::unit::Unit;
use crate::diagnostic::{Span, Spanned};

/// An expression and where it stands.
#[derive(Clone, Debug, PartialEq)]
pub struct Expr {
    /// What it is.
    pub node: ExprNode,
    /// Where.
    pub span: Span,
    /// Levels below it; bounded by the parser, so that walks may recurse.
    pub height: u16,
}

/// What an expression is.
#[derive(Clone, Debug, PartialEq)]
pub enum ExprNode {
    /// A quantity, or an interval of one.
    Literal(Box<Literal>),
    /// `true`, `false`.
    Truth(bool),
    /// An input or another statement's result.
    Name(String),
    /// `pi`, `g0`.
    Constant(Constant),
    /// `spec(system, name)`.
    Specification {
        /// Id of the system.
        system: Spanned<String>,
        /// Name of the specification.
        name: Spanned<String>,
    },
    /// A sign or a negation.
    Prefix(Prefix, Box<Expr>),
    /// Two operands.
    Infix(Infix, Span, Box<Expr>, Box<Expr>),
    /// A function of one or more arguments.
    Call(Function, Vec<Expr>),
    /// `if(c, a, b)`.
    If(Box<Expr>, Box<Expr>, Box<Expr>),
    /// `table(x; x1: y1, …)`.
    Table(Box<Expr>, Vec<(Amount, Amount)>),
}

/// A named number.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Constant {
    /// Circumference over diameter.
    Pi,
    /// Standard gravity, 9.806 65 m/s².
    StandardGravity,
}

/// Before one operand.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Prefix {
    /// `-`.
    Minus,
    /// `not`.
    Not,
}

/// Between two operands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Infix {
    /// `+`.
    Plus,
    /// `-`.
    Minus,
    /// `*`.
    Times,
    /// `/`.
    Over,
    /// `^`.
    Power,
    /// A comparison.
    Compare(Comparison),
    /// `and`.
    And,
    /// `or`.
    Or,
}

/// A comparison.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Comparison {
    /// `<`.
    Less,
    /// `<=`.
    LessOrEqual,
    /// `>`.
    Greater,
    /// `>=`.
    GreaterOrEqual,
    /// `==`.
    Equal,
    /// `!=`.
    NotEqual,
}

macro_rules! functions {
    ($($variant:ident $name:literal;)*) => {
        /// A function by name.
        #[derive(Clone, Copy, Debug, PartialEq, Eq)]
        pub enum Function {
            $(#[doc = concat!("`", $name, "`.")] $variant,)*
        }

        impl Function {
            /// All of them.
            pub const ALL: &'static [Self] = &[$(Self::$variant,)*];

            /// Its name.
            pub fn name(self) -> &'static str {
                match self { $(Self::$variant => $name,)* }
            }
        }
    };
}

functions! {
    Min "min";
    Max "max";
    Abs "abs";
    Sqrt "sqrt";
    Exp "exp";
    Ln "ln";
    Log10 "log10";
    Sin "sin";
    Cos "cos";
    Tan "tan";
    Asin "asin";
    Acos "acos";
    Atan "atan";
    Round "round";
    Floor "floor";
    Ceil "ceil";
}

/// Words that cannot be names.
pub(super) const RESERVED: &[&str] = &[
    "given", "from", "to", "gives", "within", "in", "and", "or", "not", "true", "false", "if", "spec", "table", "pi",
    "g0",
];

/// Whether a word is taken by the language.
pub(super) fn is_reserved(word: &str) -> bool {
    RESERVED.contains(&word) || Function::ALL.iter().any(|function| function.name() == word)
}

/// A number with its unit, as written.
#[derive(Clone, Debug, PartialEq)]
pub struct Amount {
    /// The number, with its sign.
    pub number: Decimal,
    /// The unit.
    pub unit: Unit,
    /// Number and unit.
    pub span: Span,
}

impl Amount {
    /// In base units.
    pub fn base(&self) -> f64 {
        self.unit.to_base(self.number)
    }

    /// Half a unit in the last digit written, in base units.
    pub fn half_last_digit(&self) -> f64 {
        self.number.half_last_digit() * self.unit.factor()
    }
}

/// A quantity as written: one value, or an interval of values.
#[derive(Clone, Debug, PartialEq)]
pub enum Literal {
    /// `49.2 m`.
    Value(Amount),
    /// `20 to 25 N·m`.
    Range(Amount, Amount),
    /// `7 bar ± 0.5 bar`: the middle, and the half width as a difference.
    Spread(Amount, HalfWidth),
}

/// Half the width of an interval.
#[derive(Clone, Debug, PartialEq)]
pub enum HalfWidth {
    /// In a unit.
    Amount(Amount),
    /// In percent of the middle: the number, and where it stands.
    Percent(Decimal, Span),
}

/// A statement of a sheet.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Statement {
    /// What it defines.
    pub name: Spanned<String>,
    /// How.
    pub body: Body,
    /// The whole statement.
    pub span: Span,
    /// Position of its block in the entry.
    pub block: usize,
}

/// What a name stands for.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Body {
    /// An input: value and range.
    Given(Stated, Option<(Amount, Amount)>),
    /// A formula.
    Formula(Expr, Tail),
    /// Text that could not be read, and was marked: uses of the name say nothing more.
    Broken,
}

/// A value as stated.
#[derive(Clone, Debug, PartialEq)]
#[allow(clippy::large_enum_variant, reason = "one a statement, of which an entry has a few dozen")]
pub(super) enum Stated {
    /// A quantity.
    Quantity(Literal),
    /// `true` or `false`, and where.
    Truth(bool, Span),
}

/// What follows a formula.
#[derive(Clone, Debug, PartialEq)]
#[allow(clippy::large_enum_variant, reason = "one a statement, of which an entry has a few dozen")]
pub(super) enum Tail {
    /// Nothing.
    None,
    /// `in UNIT`.
    In(Unit),
    /// `gives VALUE [within TOLERANCE]`.
    Gives(Stated, Option<HalfWidth>),
}
