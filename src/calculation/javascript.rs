//! The script of a sheet: plain functions in base units, generated from the checked tree. No evaluator is shipped.
//!
//! The text is classic JavaScript for a script file. It adds one object to `window.baybookCalc`:
//!
//! ```text
//! { givens: [{at, name, block, unit, value, from, to}], specifications: [{label, unit, values: [[low, high], …]}],
//!   vehicles: [words], steps: [{at, name, block, unit, places, written: [[low, high], …]}], plots: [{block, given, step, from, to}],
//!   units: [[{symbol, multiply, divide, offset}]], count, compute(values, specifications) }
//! ```
//!
//! `written` holds what a result comes to with the inputs as they are written, from end to end, for each group of vehicles;
//! `null` where that is no number. `unit` of a row is a position in `units`, a list of choices whose first is the one that the entry uses; -1 for truths.
//! `base = (number + offset) * multiply / divide`. `compute` takes an array of as many places as there are statements,
//! with the givens filled in, and returns one with every result; a value that does not exist is `undefined`.
//!
//! Both places do the same operations in the same order; whole powers are products in both. `exp`, `ln`, `log10`, the
//! trigonometric functions and real powers come from the browser's `Math` there and from `libm` here; each errs by less
//! than a unit in the last place, so that results differ by a few parts in 10^16 before later cancellation.

use super::CheckedSheet;
use super::dimension::{Kind, Measure, Type};
use super::evaluate::Value;
use super::formula::{Arithmetic, Exponent, Node};
use super::plot;
use super::sheet::{CheckedStatement, Role};
use super::sheet_view::shown_places;
use super::syntax::{Comparison, Function};
use super::unit::Unit;
use super::unit_choices::choices;
use super::values::Outcome;

/// What generated formulas call. A fault leaves a step undefined, and all that need it.
const HELPERS: &str = r#"  function fault() { throw new RangeError("no value"); }
  function need(value) { return value === undefined ? fault() : value; }
  function finite(number) { return isFinite(number) ? number : fault(); }
  function over(a, b) { return b === 0 ? fault() : a / b; }
  function root(x) { return x < 0 ? fault() : Math.sqrt(x); }
  function above(x) { return x <= 0 ? fault() : x; }
  function unit(x) { return x > 1 || x < -1 ? fault() : x; }
  function tan(x) { return over(Math.sin(x), Math.cos(x)); }
  function scale(x) { return x < 0 ? fault() : x; }
  function round(x) { var whole = Math.trunc(x); return Math.abs(x - whole) >= 0.5 ? whole + Math.sign(x) : whole; }
  function real(x, y) { return (x < 0 && y % 1 !== 0) || (x === 0 && y < 0) ? fault() : Math.pow(x, y); }
  function power(x, n) {
    var result = 1, square = x, left = n;
    while (left > 0) { if (left % 2 === 1) { result *= square; } square *= square; left = Math.floor(left / 2); }
    return result;
  }
  function table(x, xs, ys) {
    for (var i = 0; i + 1 < xs.length; i += 1) {
      if (xs[i] <= x && x <= xs[i + 1]) {
        return x === xs[i + 1] ? ys[i + 1] : ys[i] + (ys[i + 1] - ys[i]) * ((x - xs[i]) / (xs[i + 1] - xs[i]));
      }
    }
    return fault();
  }
  function step(formula) {
    try { var value = formula(); return typeof value === "number" && !isFinite(value) ? undefined : value; } catch (error) { return undefined; }
  }
"#;

/// The script of one sheet; `key` names the entry, such as `systems/service-brakes`. Empty if nothing can be computed.
pub fn javascript(key: &str, sheet: &CheckedSheet) -> String {
    let positions: Vec<usize> = computable(sheet).collect();
    if positions.is_empty() {
        return String::new();
    }
    let mut units = Units::default();
    let givens = rows(sheet, |at, statement| given_row(sheet, at, statement, &mut units));
    let steps = rows(sheet, |at, statement| step_row(sheet, at, statement, &mut units));
    let specifications = specification_rows(sheet, &mut units);
    let vehicles: Vec<String> = sheet.groups.iter().map(|group| quoted(&group.vehicles)).collect();
    let formulas: Vec<String> = positions.iter().filter_map(|at| formula(sheet, *at)).collect();
    let fields = [
        ("givens", list(&givens)),
        ("specifications", list(&specifications)),
        ("vehicles", format!("[{}]", vehicles.join(", "))),
        ("steps", list(&steps)),
        ("plots", list(&plot_rows(sheet))),
        ("units", list(&units.rows())),
        ("count", sheet.statements.len().to_string()),
    ];
    let fields: String = fields.iter().map(|(name, value)| format!("    {name}: {value},\n")).collect();
    format!(
        "(function () {{\n  \"use strict\";\n{HELPERS}  var all = window.baybookCalc = window.baybookCalc || {{}};\n  all[{}] = {{\n{fields}    \
         compute: function (values, specifications) {{\n      var v = values.slice(), s = specifications;\n{}      return v;\n    }}\n  }};\n}}());\n",
        quoted(key),
        formulas.concat()
    )
}

/// Whether the sheet has a script: whether anything of it can be computed.
pub fn has_script(sheet: &CheckedSheet) -> bool {
    computable(sheet).next().is_some()
}

fn computable(sheet: &CheckedSheet) -> impl Iterator<Item = usize> {
    sheet.order.iter().copied().filter(|at| sheet.is_computable(*at))
}

fn rows(sheet: &CheckedSheet, mut row: impl FnMut(usize, &CheckedStatement) -> Option<String>) -> Vec<String> {
    let statements = sheet.statements.iter().enumerate().filter(|(at, _)| sheet.is_computable(*at));
    statements.filter_map(|(at, statement)| row(at, statement)).collect()
}

fn list(rows: &[String]) -> String {
    if rows.is_empty() { "[]".to_owned() } else { format!("[\n      {}\n    ]", rows.join(",\n      ")) }
}

fn given_row(sheet: &CheckedSheet, at: usize, statement: &CheckedStatement, units: &mut Units) -> Option<String> {
    let Role::Given { range, .. } = &statement.role else { return None };
    let value = match sheet.start_value(at)? {
        Value::Number(value) => number(value),
        Value::Truth(truth) => truth.to_string(),
    };
    let written = match statement.node {
        Some(Node::Interval(low, high)) => Some((low, high)),
        _ => None,
    };
    let ends = range.map(|range| (range.low, range.high)).or(written);
    let ends = ends.map_or("from: null, to: null".to_owned(), |(low, high)| {
        format!("from: {}, to: {}", number(low), number(high))
    });
    Some(format!("{}, value: {value}, {ends} }}", head(at, statement, units)))
}

fn step_row(sheet: &CheckedSheet, at: usize, statement: &CheckedStatement, units: &mut Units) -> Option<String> {
    if !matches!(statement.role, Role::Step(_)) {
        return None;
    }
    let places = shown_places(statement).map_or("null".to_owned(), |places| places.to_string());
    let written = sheet.groups.iter().map(|group| match group.outcomes.get(at) {
        Some(Outcome::Exact(Value::Number(own))) => ends(*own, *own),
        Some(Outcome::Between(own)) => ends(own.low, own.high),
        _ => "null".to_owned(),
    });
    let written: Vec<String> = written.collect();
    Some(format!("{}, places: {places}, written: [{}] }}", head(at, statement, units), written.join(", ")))
}

fn ends(low: f64, high: f64) -> String {
    format!("[{}, {}]", number(low), number(high))
}

fn head(at: usize, statement: &CheckedStatement, units: &mut Units) -> String {
    let unit = match statement.kind {
        Some(Type::Quantity(measure)) => units.position(measure, statement.unit.as_ref()).to_string(),
        _ => "-1".to_owned(),
    };
    format!("{{ at: {at}, name: {}, block: {}, unit: {unit}", quoted(&statement.name.value), statement.block)
}

fn specification_rows(sheet: &CheckedSheet, units: &mut Units) -> Vec<String> {
    let row = |(at, own): (usize, &super::SheetSpecification)| {
        let written = |group: &super::GroupOutcome| group.specifications.get(at).cloned().flatten();
        let values =
            sheet.groups.iter().map(|group| written(group).map_or("null".to_owned(), |own| ends(own.low, own.high)));
        let values: Vec<String> = values.collect();
        let unit = sheet.groups.iter().find_map(written).map(|own| own.unit);
        let unit = match own.kind {
            Some(Type::Quantity(measure)) => units.position(measure, unit.as_ref()).to_string(),
            _ => "-1".to_owned(),
        };
        let label = format!("{}/{}", own.name.system, own.name.name);
        format!("{{ label: {}, unit: {unit}, values: [{}] }}", quoted(&label), values.join(", "))
    };
    sheet.specifications.iter().enumerate().map(row).collect()
}

fn plot_rows(sheet: &CheckedSheet) -> Vec<String> {
    let blocks = sheet.statements.iter().map(|statement| statement.block + 1).max().unwrap_or(0);
    let subjects = (0..blocks).filter_map(|block| plot::subject(sheet, block));
    subjects
        .map(|subject| {
            let (from, to) = (number(subject.range.low), number(subject.range.high));
            format!(
                "{{ block: {}, given: {}, step: {}, from: {from}, to: {to} }}",
                subject.block, subject.given, subject.step
            )
        })
        .collect()
}

/// Lists of unit choices, each once.
#[derive(Default)]
struct Units {
    lists: Vec<Vec<Unit>>,
}

impl Units {
    fn position(&mut self, measure: Measure, unit: Option<&Unit>) -> usize {
        let list = choices(measure, unit);
        let same = |known: &Vec<Unit>| known.iter().map(|unit| &unit.text).eq(list.iter().map(|unit| &unit.text));
        self.lists.iter().position(same).unwrap_or_else(|| {
            self.lists.push(list);
            self.lists.len() - 1
        })
    }

    fn rows(&self) -> Vec<String> {
        let unit = |unit: &Unit| {
            let (multiply, divide) = unit.multiply_divide();
            let offset = number(unit.offset());
            let (multiply, divide) = (number(multiply), number(divide));
            format!("{{ symbol: {}, multiply: {multiply}, divide: {divide}, offset: {offset} }}", quoted(&unit.text))
        };
        self.lists.iter().map(|list| format!("[{}]", list.iter().map(unit).collect::<Vec<_>>().join(", "))).collect()
    }
}

/// `v[3] = step(…);`
fn formula(sheet: &CheckedSheet, at: usize) -> Option<String> {
    let statement = sheet.statements.get(at).filter(|statement| matches!(statement.role, Role::Step(_)))?;
    let mut text = expression(statement.node.as_ref()?);
    if statement.factor != 1.0 {
        text = format!("{text} * {}", number(statement.factor));
    }
    let reading = matches!(statement.kind, Some(Type::Quantity(measure)) if matches!(measure.settled().kind, Kind::Point | Kind::Absolute));
    let text = if reading { format!("scale({text})") } else { text };
    Some(format!("      v[{at}] = step(function () {{ return {text}; }});\n"))
}

fn expression(node: &Node) -> String {
    let of = |node: &Node| expression(node);
    match node {
        Node::Number(value) => number(*value),
        Node::Interval(low, high) => number(low + (high - low) / 2.0),
        Node::Truth(truth) => truth.to_string(),
        Node::Name(at) => format!("need(v[{at}])"),
        Node::Specification(at) => format!("need(s[{at}])"),
        Node::Minus(operand) => format!("(-{})", of(operand)),
        Node::Not(operand) => format!("!{}", of(operand)),
        Node::Arithmetic(operator, left, right, _) => arithmetic(*operator, &of(left), &of(right)),
        Node::Power(base, exponent, _) => power(&of(base), exponent),
        Node::Compare(comparison, left, right) => format!("({} {} {})", of(left), sign(*comparison), of(right)),
        Node::Same(equal, left, right) => {
            format!("({} {} {})", of(left), if *equal { "===" } else { "!==" }, of(right))
        }
        Node::And(left, right) => format!("({} && {})", of(left), of(right)),
        Node::Or(left, right) => format!("({} || {})", of(left), of(right)),
        Node::If(condition, yes, no) => format!("({} ? {} : {})", of(condition), of(yes), of(no)),
        Node::Call(function, arguments, _) => call(*function, &arguments.iter().map(of).collect::<Vec<_>>().join(", ")),
        Node::Table(argument, points, _) => {
            let column = |pick: fn(&(f64, f64)) -> f64| {
                points.iter().map(|point| number(pick(point))).collect::<Vec<_>>().join(", ")
            };
            format!("table({}, [{}], [{}])", of(argument), column(|point| point.0), column(|point| point.1))
        }
    }
}

fn arithmetic(operator: Arithmetic, left: &str, right: &str) -> String {
    match operator {
        Arithmetic::Plus => format!("finite({left} + {right})"),
        Arithmetic::Minus => format!("finite({left} - {right})"),
        Arithmetic::Times => format!("finite({left} * {right})"),
        Arithmetic::Over => format!("finite(over({left}, {right}))"),
    }
}

fn power(base: &str, exponent: &Exponent) -> String {
    match exponent {
        Exponent::Whole(whole) if *whole < 0 => format!("finite(over(1, power({base}, {})))", whole.unsigned_abs()),
        Exponent::Whole(whole) => format!("finite(power({base}, {whole}))"),
        Exponent::Half => format!("root({base})"),
        Exponent::Real(exponent) => format!("finite(real({base}, {}))", expression(exponent)),
    }
}

fn sign(comparison: Comparison) -> &'static str {
    match comparison {
        Comparison::Less => "<",
        Comparison::LessOrEqual => "<=",
        Comparison::Greater => ">",
        Comparison::GreaterOrEqual => ">=",
        Comparison::Equal => "===",
        Comparison::NotEqual => "!==",
    }
}

fn call(function: Function, arguments: &str) -> String {
    match function {
        Function::Min => format!("Math.min({arguments})"),
        Function::Max => format!("Math.max({arguments})"),
        Function::Abs => format!("Math.abs({arguments})"),
        Function::Sqrt => format!("root({arguments})"),
        Function::Exp => format!("finite(Math.exp({arguments}))"),
        Function::Ln => format!("Math.log(above({arguments}))"),
        Function::Log10 => format!("Math.log10(above({arguments}))"),
        Function::Sin => format!("Math.sin({arguments})"),
        Function::Cos => format!("Math.cos({arguments})"),
        Function::Tan => format!("finite(tan({arguments}))"),
        Function::Asin => format!("Math.asin(unit({arguments}))"),
        Function::Acos => format!("Math.acos(unit({arguments}))"),
        Function::Atan => format!("Math.atan({arguments})"),
        Function::Round => format!("round({arguments})"),
        Function::Floor => format!("Math.floor({arguments})"),
        Function::Ceil => format!("Math.ceil({arguments})"),
    }
}

/// The shortest text that reads back as the same double, in both languages.
fn number(value: f64) -> String {
    if value < 0.0 { format!("({value:?})") } else { format!("{value:?}") }
}

/// A string literal that is safe inside a script element, too.
fn quoted(text: &str) -> String {
    let mut quoted = String::from("\"");
    for letter in text.chars() {
        match letter {
            '"' | '\\' => quoted.extend(['\\', letter]),
            '<' | '>' | '&' | '\u{2028}' | '\u{2029}' => quoted.push_str(&format!("\\u{:04x}", u32::from(letter))),
            letter if letter < ' ' => quoted.push_str(&format!("\\u{:04x}", u32::from(letter))),
            letter => quoted.push(letter),
        }
    }
    quoted.push('"');
    quoted
}
