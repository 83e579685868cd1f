//! Formulas in MathML, for every browser without a script.

use super::dimension::Type;
use super::show;
use super::syntax::{Amount, Comparison, Constant, Expr, ExprNode, HalfWidth, Infix, Literal, Prefix};
use super::unit::Unit;

/// Text for HTML.
pub(super) fn escaped(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;")
}

/// `<math>` of a formula with the name that it defines. It stands in a line of its own kind: fractions have their full size.
pub(super) fn definition(name: &str, kind: Option<Type>, expr: &Expr) -> String {
    let sign = if kind == Some(Type::Truth) { "⇔" } else { "=" };
    format!("<math displaystyle=\"true\">{}<mo>{sign}</mo>{}</math>", identifier(name), row(expr))
}

fn identifier(name: &str) -> String {
    format!("<mi>{}</mi>", escaped(&name.replace('_', "\u{a0}")))
}

/// How tightly an expression holds together.
fn rank(expr: &Expr) -> u8 {
    match &expr.node {
        ExprNode::Infix(operator, ..) => match operator {
            Infix::Or => 1,
            Infix::And => 2,
            Infix::Compare(_) => 4,
            Infix::Plus | Infix::Minus => 5,
            Infix::Times => 6,
            Infix::Over => 9,
            Infix::Power => 8,
        },
        ExprNode::Prefix(Prefix::Not, _) => 3,
        ExprNode::Prefix(Prefix::Minus, _) => 6,
        ExprNode::Literal(literal) => match literal.as_ref() {
            Literal::Value(amount) if amount.number.mantissa >= 0 => 9,
            _ => 5,
        },
        _ => 9,
    }
}

fn row(expr: &Expr) -> String {
    format!("<mrow>{}</mrow>", inner(expr))
}

/// In brackets if it holds less tightly than wanted.
fn bracketed(expr: &Expr, wanted: u8) -> String {
    if rank(expr) < wanted { format!("<mrow><mo>(</mo>{}<mo>)</mo></mrow>", inner(expr)) } else { row(expr) }
}

fn inner(expr: &Expr) -> String {
    match &expr.node {
        ExprNode::Literal(literal) => quantity(literal),
        ExprNode::Truth(truth) => format!("<mtext>{truth}</mtext>"),
        ExprNode::Name(name) => identifier(name),
        ExprNode::Constant(Constant::Pi) => "<mi>π</mi>".to_owned(),
        ExprNode::Constant(Constant::StandardGravity) => "<msub><mi>g</mi><mn>0</mn></msub>".to_owned(),
        ExprNode::Specification { name, .. } => format!("<mtext>{}</mtext>", escaped(&name.value.replace('-', " "))),
        ExprNode::Prefix(Prefix::Minus, operand) => format!("<mo>−</mo>{}", bracketed(operand, 7)),
        ExprNode::Prefix(Prefix::Not, operand) => format!("<mtext>not </mtext>{}", bracketed(operand, 4)),
        ExprNode::Infix(operator, _, left, right) => infix(*operator, left, right),
        ExprNode::Call(function, arguments) if function.name() == "sqrt" => {
            format!("<msqrt>{}</msqrt>", arguments.iter().map(row).collect::<String>())
        }
        ExprNode::Call(function, arguments) => {
            let arguments: Vec<String> = arguments.iter().map(row).collect();
            format!("<mi>{}</mi><mo>(</mo>{}<mo>)</mo>", function.name(), arguments.join("<mo>,</mo>"))
        }
        ExprNode::If(condition, yes, no) => format!(
            "<mo>{{</mo><mtable><mtr><mtd>{}</mtd><mtd><mtext>if </mtext>{}</mtd></mtr><mtr><mtd>{}</mtd><mtd><mtext>otherwise</mtext></mtd></mtr></mtable>",
            row(yes),
            row(condition),
            row(no)
        ),
        ExprNode::Table(argument, pairs) => table(argument, pairs),
    }
}

fn infix(operator: Infix, left: &Expr, right: &Expr) -> String {
    let between = |sign: &str, own: u8| format!("{}<mo>{sign}</mo>{}", bracketed(left, own), bracketed(right, own + 1));
    match operator {
        Infix::Over => format!("<mfrac>{}{}</mfrac>", row(left), row(right)),
        Infix::Power => format!("<msup>{}{}</msup>", power_base(left), row(right)),
        Infix::Plus => between("+", 5),
        Infix::Minus => between("−", 5),
        Infix::Times => between("·", 6),
        Infix::Compare(comparison) => between(sign(comparison), 5),
        Infix::And => format!("{}<mtext> and </mtext>{}", bracketed(left, 2), bracketed(right, 3)),
        Infix::Or => format!("{}<mtext> or </mtext>{}", bracketed(left, 1), bracketed(right, 2)),
    }
}

/// A fraction, a quantity with a unit or a power under a power needs brackets though it holds together otherwise.
fn power_base(expr: &Expr) -> String {
    let simple = match &expr.node {
        ExprNode::Infix(..) => false,
        ExprNode::Literal(literal) => match literal.as_ref() {
            Literal::Value(amount) => amount.unit.text.is_empty() && amount.number.mantissa >= 0,
            _ => false,
        },
        _ => rank(expr) == 9,
    };
    if simple { row(expr) } else { format!("<mrow><mo>(</mo>{}<mo>)</mo></mrow>", inner(expr)) }
}

fn sign(comparison: Comparison) -> &'static str {
    match comparison {
        Comparison::Less => "&lt;",
        Comparison::LessOrEqual => "≤",
        Comparison::Greater => "&gt;",
        Comparison::GreaterOrEqual => "≥",
        Comparison::Equal => "=",
        Comparison::NotEqual => "≠",
    }
}

fn table(argument: &Expr, pairs: &[(Amount, Amount)]) -> String {
    let cell = |own: &Amount| format!("<mtd>{}</mtd>", amount(own));
    let line = |cells: String| format!("<mtr>{cells}</mtr>");
    let xs = pairs.iter().map(|(x, _)| cell(x)).collect::<String>();
    let ys = pairs.iter().map(|(_, y)| cell(y)).collect::<String>();
    format!("<mtext>table of </mtext>{}<mo>:</mo><mtable>{}{}</mtable>", row(argument), line(xs), line(ys))
}

fn quantity(literal: &Literal) -> String {
    match literal {
        Literal::Value(own) => amount(own),
        Literal::Range(low, high) => format!("{}<mtext> to </mtext>{}", amount(low), amount(high)),
        Literal::Spread(middle, HalfWidth::Amount(half)) => format!("{}<mo>±</mo>{}", amount(middle), amount(half)),
        Literal::Spread(middle, HalfWidth::Percent(number, _)) => {
            format!("{}<mo>±</mo><mn>{}</mn><mtext>\u{a0}%</mtext>", amount(middle), number.to_f64())
        }
    }
}

fn amount(amount: &Amount) -> String {
    format!("<mn>{}</mn>{}", number(amount).replace('-', "−"), unit(&amount.unit))
}

fn unit(unit: &Unit) -> String {
    if unit.text.is_empty() { String::new() } else { format!("<mtext>\u{a0}{}</mtext>", escaped(&unit.text)) }
}

/// A literal as plain text, as it is best read: `20 to 25 N·m`.
pub(super) fn plain(literal: &Literal) -> String {
    match literal {
        Literal::Value(own) => full(own),
        Literal::Range(low, high) if low.unit.text == high.unit.text => format!("{} to {}", number(low), full(high)),
        Literal::Range(low, high) => format!("{} to {}", full(low), full(high)),
        Literal::Spread(middle, HalfWidth::Amount(half)) => format!("{} ± {}", full(middle), full(half)),
        Literal::Spread(middle, HalfWidth::Percent(percent, _)) => format!("{} ± {} %", full(middle), percent.to_f64()),
    }
}

fn full(amount: &Amount) -> String {
    show::with_unit(&number(amount), Some(&amount.unit))
}

fn number(amount: &Amount) -> String {
    show::fixed_number(amount.number.to_f64(), amount.number.places())
}

/// A formula in plain text, with spaces and brackets where they are needed.
pub(super) fn expression_text(expr: &Expr) -> String {
    let within = |operand: &Expr, wanted: u8| {
        let text = expression_text(operand);
        let holds = if matches!(operand.node, ExprNode::Infix(Infix::Over, ..)) { 6 } else { rank(operand) };
        if holds < wanted { format!("({text})") } else { text }
    };
    match &expr.node {
        ExprNode::Literal(literal) => plain(literal),
        ExprNode::Truth(truth) => truth.to_string(),
        ExprNode::Name(name) => name.replace('_', " "),
        ExprNode::Constant(Constant::Pi) => "π".to_owned(),
        ExprNode::Constant(Constant::StandardGravity) => "g₀".to_owned(),
        ExprNode::Specification { name, .. } => name.value.replace('-', " "),
        ExprNode::Prefix(Prefix::Minus, operand) => format!("−{}", within(operand, 7)),
        ExprNode::Prefix(Prefix::Not, operand) => format!("not {}", within(operand, 4)),
        ExprNode::Infix(operator, _, left, right) => {
            let (sign, own) = infix_text(*operator);
            // A power binds to the right, everything else to the left.
            let right_wants = if *operator == Infix::Power { 8 } else { own + 1 };
            format!("{}{sign}{}", within(left, own), within(right, right_wants))
        }
        ExprNode::Call(function, arguments) => {
            let arguments: Vec<String> = arguments.iter().map(expression_text).collect();
            format!("{}({})", function.name(), arguments.join(", "))
        }
        ExprNode::If(condition, yes, no) => {
            format!("{} if {}, else {}", within(yes, 4), expression_text(condition), within(no, 4))
        }
        ExprNode::Table(argument, pairs) => {
            let pairs: Vec<String> = pairs.iter().map(|(x, y)| format!("{}: {}", full(x), full(y))).collect();
            format!("table of {} ({})", expression_text(argument), pairs.join(", "))
        }
    }
}

fn infix_text(operator: Infix) -> (&'static str, u8) {
    match operator {
        Infix::Plus => (" + ", 5),
        Infix::Minus => (" − ", 5),
        Infix::Times => (" · ", 6),
        Infix::Over => (" / ", 6),
        Infix::Power => ("^", 9),
        Infix::And => (" and ", 2),
        Infix::Or => (" or ", 1),
        Infix::Compare(Comparison::Less) => (" < ", 5),
        Infix::Compare(Comparison::LessOrEqual) => (" ≤ ", 5),
        Infix::Compare(Comparison::Greater) => (" > ", 5),
        Infix::Compare(Comparison::GreaterOrEqual) => (" ≥ ", 5),
        Infix::Compare(Comparison::Equal) => (" = ", 5),
        Infix::Compare(Comparison::NotEqual) => (" ≠ ", 5),
    }
}
