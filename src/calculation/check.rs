//! Types: every formula is checked for dimensions and kinds before anything is evaluated.

use std::collections::BTreeMap;

use super::conversion::{combine, hint, unify};
use super::dimension::{Dimension, Kind, Measure, Type};
use super::expression::rational;
use super::faults::{mismatch, refused_unit, syntax, unknown_name};
use super::formula::{Arithmetic, Exponent, Node};
use super::literal;
use super::number::Ratio;
use super::syntax::{Amount, Comparison, Constant, Expr, ExprNode, Function, Infix, Literal, Prefix};
use crate::diagnostic::{Mark, Span};

/// Beyond this a power is computed by logarithms.
const LARGEST_WHOLE_POWER: i32 = 64;

/// After so many marks an unknown name is no slip of the fingers, and no nearest name is looked for.
pub(super) const SLIPS: usize = 100;

/// What is known when a formula is checked.
pub(super) struct Checker<'a> {
    /// Positions of the names.
    pub(super) names: &'a BTreeMap<String, usize>,
    /// Types of the names by position; `None` where a fault was marked already.
    pub(super) types: &'a [Option<Type>],
    /// Positions of the specifications.
    pub(super) specifications: &'a BTreeMap<(String, String), usize>,
    /// Their types.
    pub(super) specification_types: &'a [Option<Type>],
    /// Names that came from a bare number: these are no angles.
    pub(super) bare: &'a [bool],
    pub(super) marks: Vec<Mark>,
    /// How many marks the sheet had before.
    pub(super) earlier_marks: usize,
}

/// A checked node with its type; `None` where a fault was marked, here or before.
type Typed<T = Type> = Option<(T, Node)>;

impl Checker<'_> {
    pub(super) fn check(&mut self, expr: &Expr) -> Typed {
        match &expr.node {
            ExprNode::Literal(literal) => self.literal(literal),
            ExprNode::Truth(truth) => Some((Type::Truth, Node::Truth(*truth))),
            ExprNode::Name(name) => self.name(name, expr.span),
            ExprNode::Constant(Constant::Pi) => Some((Type::NUMBER, Node::Number(std::f64::consts::PI))),
            ExprNode::Constant(Constant::StandardGravity) => {
                Some((plain(Dimension::of([1, 0, -2, 0, 0, 0])), Node::Number(9.80665)))
            }
            ExprNode::Specification { system, name } => {
                let at = *self.specifications.get(&(system.value.clone(), name.value.clone()))?;
                let own = (*self.specification_types.get(at)?)?;
                Some((own, Node::Specification(at)))
            }
            ExprNode::Prefix(Prefix::Minus, operand) => self.minus(operand),
            ExprNode::Prefix(Prefix::Not, operand) => Some((Type::Truth, Node::Not(Box::new(self.truth(operand)?)))),
            ExprNode::Infix(operator, _, left, right) => self.infix(*operator, left, right),
            ExprNode::Call(function, arguments) => self.call(*function, arguments),
            ExprNode::If(condition, yes, no) => self.choice(condition, yes, no),
            ExprNode::Table(argument, pairs) => self.table(argument, pairs),
        }
    }

    fn literal(&mut self, literal: &Literal) -> Typed {
        let bounds = self.keep(literal::bounds(literal))?;
        Some((Type::Quantity(bounds.measure), bounds.node()))
    }

    fn keep<T>(&mut self, result: Result<T, Mark>) -> Option<T> {
        result.map_err(|mark| self.marks.push(mark)).ok()
    }

    fn refuse<T>(&mut self, mark: Mark) -> Option<T> {
        self.marks.push(mark);
        None
    }

    fn name(&mut self, name: &str, span: Span) -> Typed {
        let Some(&at) = self.names.get(name) else {
            let known = self.names.keys().map(String::as_str);
            let near =
                if self.earlier_marks + self.marks.len() < SLIPS { crate::entry::nearest(name, known) } else { None };
            return self.refuse(unknown_name(span, name, "name", near));
        };
        Some(((*self.types.get(at)?)?, Node::Name(at)))
    }

    fn quantity(&mut self, expr: &Expr) -> Typed<Measure> {
        match self.check(expr)? {
            (Type::Quantity(measure), node) => Some((measure, node)),
            (found, _) => self.refuse(mismatch(expr.span, found, "a quantity")),
        }
    }

    fn truth(&mut self, expr: &Expr) -> Option<Node> {
        match self.check(expr)? {
            (Type::Truth, node) => Some(node),
            (found, _) => self.refuse(mismatch(expr.span, found, "a comparison, or a value that is true or false")),
        }
    }

    /// A pure number, turns included.
    fn number(&mut self, expr: &Expr) -> Option<Node> {
        let (measure, node) = self.quantity(expr)?;
        if measure.dimension.is_number() {
            return Some(node);
        }
        let found = Type::Quantity(measure);
        self.refuse(
            mismatch(expr.span, found, "a number without a unit").with("hint", "divide by a value in that unit"),
        )
    }

    fn minus(&mut self, operand: &Expr) -> Typed {
        let (measure, node) = self.quantity(operand)?;
        if measure.is_reading() {
            let mark = mismatch(operand.span, Type::Quantity(measure), "a difference");
            return self.refuse(mark.with_some("hint", hint(measure, Measure::plain(measure.dimension))));
        }
        Some((Type::Quantity(measure), Node::Minus(Box::new(node))))
    }

    fn infix(&mut self, operator: Infix, left: &Expr, right: &Expr) -> Typed {
        match operator {
            Infix::Plus | Infix::Minus => self.sum(operator, left, right),
            Infix::Times | Infix::Over => self.product(operator, left, right),
            Infix::Power => self.power(left, right),
            Infix::Compare(comparison) => self.comparison(comparison, left, right),
            Infix::And | Infix::Or => {
                let (left, right) = (self.truth(left), self.truth(right));
                let (left, right) = (Box::new(left?), Box::new(right?));
                Some((Type::Truth, if operator == Infix::And { Node::And(left, right) } else { Node::Or(left, right) }))
            }
        }
    }

    fn sum(&mut self, operator: Infix, left: &Expr, right: &Expr) -> Typed {
        let sides = (self.quantity(left), self.quantity(right));
        let ((one, left_node), (other, right_node)) = (sides.0?, sides.1?);
        let operator = if operator == Infix::Plus { Arithmetic::Plus } else { Arithmetic::Minus };
        let Some(measure) = combine(operator, one, other) else {
            if one == other {
                let difference = Measure::plain(one.dimension);
                let mark = mismatch(right.span, Type::Quantity(other), difference.words());
                return self.refuse(mark.with_some("hint", hint(other, difference)));
            }
            return self.mixed((left, one), (right, other));
        };
        Some((Type::Quantity(measure), arithmetic(operator, left_node, right_node, right.span)))
    }

    /// The mark for two operands that do not go together; farads may have been meant as degrees.
    fn mixed<T>(&mut self, left: (&Expr, Measure), right: (&Expr, Measure)) -> Option<T> {
        let mark = farad_for_degree(left, right).unwrap_or_else(|| {
            let mark = mismatch(right.0.span, Type::Quantity(right.1), left.1.words());
            mark.with_some("hint", hint(right.1, left.1)).see(left.0.span, Type::Quantity(left.1).words())
        });
        self.refuse(mark)
    }

    fn product(&mut self, operator: Infix, left: &Expr, right: &Expr) -> Typed {
        let sides = (self.quantity(left), self.quantity(right));
        let ((one, left_node), (other, right_node)) = (sides.0?, sides.1?);
        for (side, measure) in [(left, one), (right, other)] {
            if matches!(measure.kind, Kind::Point | Kind::Gauge) {
                return self.scaled_reading(side, measure);
            }
        }
        let operator = if operator == Infix::Times { Arithmetic::Times } else { Arithmetic::Over };
        let turn = mentions_pi(left) || mentions_pi(right);
        let Some(measure) = product_measure(operator, one, other, turn) else {
            return self.refuse(syntax(left.span.to(right.span), "a power beyond sense", "a smaller power"));
        };
        Some((Type::Quantity(measure), arithmetic(operator, left_node, right_node, right.span)))
    }

    /// A reading counts from a conventional zero: twice 20 degC is not 40 degC.
    fn scaled_reading<T>(&mut self, expr: &Expr, measure: Measure) -> Option<T> {
        let (expected, hint) = match measure.kind {
            Kind::Gauge => (
                "a pressure difference or an absolute pressure",
                "a gauge reading counts from the air's pressure: `p - 0 barg` is a difference, and that plus an absolute pressure is absolute",
            ),
            _ => (
                "a temperature difference or a temperature in K",
                "a scale's zero is no zero of heat: make the reading absolute first, `t_abs = t in K`",
            ),
        };
        self.refuse(mismatch(expr.span, Type::Quantity(measure), expected).with("hint", hint))
    }

    fn power(&mut self, base: &Expr, exponent: &Expr) -> Typed {
        let sides = (self.quantity(base), self.number(exponent));
        let ((measure, base_node), exponent_node) = (sides.0?, sides.1?);
        if matches!(measure.kind, Kind::Point | Kind::Gauge) {
            return self.scaled_reading(base, measure);
        }
        let constant = rational(exponent);
        if measure.dimension.is_number() {
            let exponent = constant.and_then(simple_exponent).unwrap_or(Exponent::Real(Box::new(exponent_node)));
            return Some((Type::NUMBER, Node::Power(Box::new(base_node), exponent, base.span)));
        }
        let Some(constant) = constant else {
            let mark = syntax(exponent.span, "an exponent that is computed", "a constant: the base has a unit");
            return self.refuse(Mark { id: crate::diagnostic::MarkId::DimensionMismatch, ..mark });
        };
        let Some(dimension) = measure.dimension.power(constant) else {
            return self.refuse(syntax(exponent.span, "a power beyond sense", "a smaller power"));
        };
        let exponent = simple_exponent(constant).unwrap_or(Exponent::Real(Box::new(exponent_node)));
        Some((plain(dimension), Node::Power(Box::new(base_node), exponent, base.span)))
    }

    fn comparison(&mut self, comparison: Comparison, left: &Expr, right: &Expr) -> Typed {
        let sides = (self.check(left), self.check(right));
        let ((one, left_node), (other, right_node)) = (sides.0?, sides.1?);
        let (left_node, right_node) = (Box::new(left_node), Box::new(right_node));
        match (one, other) {
            (Type::Quantity(one), Type::Quantity(other)) => {
                if unify(one, other).is_none() {
                    return self.mixed((left, one), (right, other));
                }
                Some((Type::Truth, Node::Compare(comparison, left_node, right_node)))
            }
            (Type::Truth, Type::Truth) if matches!(comparison, Comparison::Equal | Comparison::NotEqual) => {
                Some((Type::Truth, Node::Same(comparison == Comparison::Equal, left_node, right_node)))
            }
            _ => self.refuse(mismatch(right.span, other, one.words())),
        }
    }

    fn choice(&mut self, condition: &Expr, yes: &Expr, no: &Expr) -> Typed {
        let condition = self.truth(condition);
        let branches = (self.check(yes), self.check(no));
        let ((one, yes_node), (other, no_node)) = (branches.0?, branches.1?);
        let own = match (one, other) {
            (Type::Truth, Type::Truth) => Type::Truth,
            (Type::Quantity(one), Type::Quantity(other)) => match unify(one, other) {
                Some(measure) => Type::Quantity(measure),
                None => return self.mixed((yes, one), (no, other)),
            },
            _ => return self.refuse(mismatch(no.span, other, one.words())),
        };
        Some((own, Node::If(Box::new(condition?), Box::new(yes_node), Box::new(no_node))))
    }

    fn call(&mut self, function: Function, arguments: &[Expr]) -> Typed {
        let first = arguments.first()?;
        match function {
            Function::Min | Function::Max => self.extreme(function, arguments),
            Function::Abs => self.absolute(first),
            Function::Sqrt => self.root(first),
            Function::Sin | Function::Cos | Function::Tan => self.of_angle(function, first),
            Function::Exp | Function::Ln | Function::Log10 | Function::Round | Function::Floor | Function::Ceil => {
                Some((Type::NUMBER, Node::Call(function, vec![self.number(first)?], first.span)))
            }
            Function::Asin | Function::Acos | Function::Atan => {
                let node = self.number(first)?;
                Some((plain(Dimension::of([0, 0, 0, 0, 0, 1])), Node::Call(function, vec![node], first.span)))
            }
        }
    }

    fn extreme(&mut self, function: Function, arguments: &[Expr]) -> Typed {
        let checked: Vec<_> = arguments.iter().map(|argument| self.quantity(argument)).collect();
        let checked = checked.into_iter().collect::<Option<Vec<_>>>()?;
        let first = arguments.first()?;
        let mut measure = checked.first()?.0;
        for (argument, (own, _)) in arguments.iter().zip(&checked).skip(1) {
            match unify(measure, *own) {
                Some(both) => measure = both,
                None => return self.mixed((first, measure), (argument, *own)),
            }
        }
        let nodes = checked.into_iter().map(|(_, node)| node).collect();
        Some((Type::Quantity(measure), Node::Call(function, nodes, first.span)))
    }

    fn absolute(&mut self, argument: &Expr) -> Typed {
        let (measure, node) = self.quantity(argument)?;
        if matches!(measure.kind, Kind::Point | Kind::Gauge) {
            return self.scaled_reading(argument, measure);
        }
        Some((Type::Quantity(measure), Node::Call(Function::Abs, vec![node], argument.span)))
    }

    fn root(&mut self, argument: &Expr) -> Typed {
        let (measure, node) = self.quantity(argument)?;
        if matches!(measure.kind, Kind::Point | Kind::Gauge) {
            return self.scaled_reading(argument, measure);
        }
        let dimension = measure.dimension.power(Ratio { num: 1, den: 2 })?;
        Some((plain(dimension), Node::Call(Function::Sqrt, vec![node], argument.span)))
    }

    /// An angle, or a number that a formula made (a ratio, a multiple of π). A number that a person wrote is no angle:
    /// 30 may be meant in degrees.
    fn of_angle(&mut self, function: Function, argument: &Expr) -> Typed {
        let (measure, node) = self.quantity(argument)?;
        let angle = measure.dimension.is_plane_angle();
        let ratio = measure == Measure::NUMBER && !self.is_bare(argument);
        if angle || ratio {
            return Some((Type::NUMBER, Node::Call(function, vec![node], argument.span)));
        }
        self.refuse(
            mismatch(argument.span, Type::Quantity(measure), "an angle").with("hint", "write the unit: deg or rad"),
        )
    }

    fn is_bare(&self, expr: &Expr) -> bool {
        match &expr.node {
            ExprNode::Literal(literal) => match literal.as_ref() {
                Literal::Value(amount) => amount.number.mantissa != 0,
                _ => true,
            },
            ExprNode::Name(name) => self.names.get(name).and_then(|at| self.bare.get(*at)).copied().unwrap_or(false),
            ExprNode::Prefix(_, operand) => self.is_bare(operand),
            _ => false,
        }
    }

    fn table(&mut self, argument: &Expr, pairs: &[(Amount, Amount)]) -> Typed {
        let checked = self.quantity(argument);
        let points = self.points(pairs)?;
        let (measure, node) = checked?;
        let (mut points_in, values): (Vec<_>, Vec<_>) = points.into_iter().unzip();
        let x = points_in.first()?.measure;
        if unify(measure, x).is_none() {
            let mark = mismatch(argument.span, Type::Quantity(measure), x.words());
            return self.refuse(mark.with_some("hint", hint(measure, x)));
        }
        let y = values.first()?.measure;
        let numbers = points_in.drain(..).zip(&values).map(|(x, y)| (x.low, y.low)).collect();
        Some((Type::Quantity(y), Node::Table(Box::new(node), numbers, argument.span)))
    }

    /// The points of a table: of one type each, ascending.
    fn points(&mut self, pairs: &[(Amount, Amount)]) -> Option<Vec<(literal::Bounds, literal::Bounds)>> {
        let mut points: Vec<(literal::Bounds, literal::Bounds)> = Vec::new();
        for (x, y) in pairs {
            let point = (self.keep(literal::value(x))?, self.keep(literal::value(y))?);
            if let (Some(first), Some(last)) = (points.first(), points.last()) {
                for (own, wanted) in [(&point.0, &first.0), (&point.1, &first.1)] {
                    if unify(wanted.measure, own.measure).is_none() {
                        return self.refuse(mismatch(own.span, Type::Quantity(own.measure), wanted.measure.words()));
                    }
                }
                if point.0.low <= last.0.low {
                    let found = "a point that is not above the one before";
                    return self.refuse(super::faults::bad_value(point.0.span, found, "ascending points"));
                }
            }
            points.push(point);
        }
        Some(points)
    }
}

fn plain(dimension: Dimension) -> Type {
    Type::Quantity(Measure::plain(dimension))
}

fn arithmetic(operator: Arithmetic, left: Node, right: Node, span: Span) -> Node {
    Node::Arithmetic(operator, Box::new(left), Box::new(right), span)
}

fn simple_exponent(exponent: Ratio) -> Option<Exponent> {
    match (i32::try_from(exponent.num).ok()?, exponent.den) {
        (1, 2) => Some(Exponent::Half),
        (whole, 1) if whole.abs() <= LARGEST_WHOLE_POWER => Some(Exponent::Whole(whole)),
        _ => None,
    }
}

/// Whether a turn's 2π may stand in a formula: then the writer converts between turns and radians.
fn mentions_pi(expr: &Expr) -> bool {
    matches!(expr.node, ExprNode::Constant(Constant::Pi)) || expr.node.children().any(mentions_pi)
}

/// What a product or a quotient is. A pure factor keeps the kind; torque over an angle is energy, and over an angle in a
/// time power; turns in a time are cycles. A factor with π turns cycles into a plain rate, and an angular speed divided by
/// one too.
fn product_measure(operator: Arithmetic, one: Measure, other: Measure, pi: bool) -> Option<Measure> {
    let times = operator == Arithmetic::Times;
    let dimension = if times { one.dimension.times(other.dimension)? } else { one.dimension.over(other.dimension)? };
    let time = |measure: Measure| measure.dimension == Dimension::of([0, 0, 1, 0, 0, 0]);
    let counts = |measure: Measure| matches!(measure.kind, Kind::Cycles | Kind::Turns);
    let rate = dimension.is_rate_or_angle() && dimension.time().num < 0;
    if pi && dimension.is_rate_or_angle() {
        let angular = !times && rate && other.dimension.is_number();
        return Some(Measure::plain(if angular { dimension.without_angle() } else { dimension }));
    }
    if let Some(turning) = turning(operator, one, other, dimension, pi) {
        return Some(turning);
    }
    let absolute = [one, other].map(|measure| measure.kind == Kind::Absolute);
    let kind = if absolute.contains(&true) {
        // The quotient of two absolute pressures is a ratio; one below the line makes no reading.
        if absolute == [true, false] || (times && absolute == [false, true]) { Kind::Absolute } else { Kind::Plain }
    } else if other == Measure::NUMBER {
        one.kind
    } else if times && one == Measure::NUMBER {
        other.kind
    } else if (counts(one) && time(other)) || (times && time(one) && counts(other)) {
        if dimension.is_number() {
            Kind::Turns
        } else if rate {
            Kind::Cycles
        } else {
            Kind::Plain
        }
    } else {
        Kind::Plain
    };
    Some(Measure { dimension, kind })
}

/// Torque and turning. Torque times radians is energy, times radians in a time power; times turns it is neither, and stays
/// so in longer products until a factor with π comes, or until the torque or the turns are divided away. Power over turns
/// in a time is the energy of a turn; that over 2π is a torque.
fn turning(operator: Arithmetic, one: Measure, other: Measure, dimension: Dimension, pi: bool) -> Option<Measure> {
    use Kind::{Cycles, Energy, Plain, Torque, TorqueTurns, Turns};
    let times = operator == Arithmetic::Times;
    let bare = dimension.without_angle();
    let (energy, power) = (bare.is_energy(), bare.is_power());
    let radians = times && dimension.angle() == Ratio::ONE;
    let kind = match (one.kind, other.kind) {
        (TorqueTurns, _) | (_, TorqueTurns) if pi => Plain,
        (Energy, Plain) if pi && other.dimension.is_number() => Plain,
        (Torque, Cycles | Turns) | (Cycles | Turns, Torque) if times && !pi => TorqueTurns,
        (TorqueTurns, Torque) if !times && dimension.is_number() => Turns,
        (TorqueTurns, Torque) if !times && dimension.is_rate_or_angle() => Cycles,
        (TorqueTurns, Cycles | Turns) if !times => {
            if energy {
                Torque
            } else {
                Plain
            }
        }
        (TorqueTurns, Torque | TorqueTurns) => Plain,
        (TorqueTurns, _) | (_, TorqueTurns) => TorqueTurns,
        (Plain, Cycles) if !times && !pi && energy => Energy,
        (Torque, Plain) | (Plain, Torque) if radians && energy => Energy,
        (Torque, Plain) | (Plain, Torque) if radians && power => Plain,
        _ => return None,
    };
    let dimension = if radians && (energy || power) { bare } else { dimension };
    Some(Measure { dimension, kind })
}

/// `70 F` beside a temperature.
pub(super) fn farad_for_degree(left: (&Expr, Measure), right: (&Expr, Measure)) -> Option<Mark> {
    let temperature = |measure: Measure| measure.dimension == Dimension::of([0, 0, 0, 0, 1, 0]);
    let farad = |measure: Measure| measure.dimension == Dimension::of([-2, -1, 4, 2, 0, 0]);
    let mixed = (temperature(left.1) && farad(right.1)) || (farad(left.1) && temperature(right.1));
    let span = farad_span(left.0).or_else(|| farad_span(right.0)).filter(|_| mixed)?;
    Some(farad_mark(span))
}

/// The mark for farads that stand where a temperature does.
pub(super) fn farad_mark(span: Span) -> Mark {
    refused_unit(span, "F", "degF (a reading), delta_degF (a difference), or F for farads only")
}

/// Where an expression writes farads.
pub(super) fn farad_span(expr: &Expr) -> Option<Span> {
    match &expr.node {
        ExprNode::Literal(literal) => {
            literal::units(literal).into_iter().find(|unit| unit.text == "F").map(|unit| unit.span)
        }
        node => node.children().find_map(farad_span),
    }
}
