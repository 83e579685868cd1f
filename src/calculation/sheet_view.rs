//! What the page shows of a sheet: inputs and results, typeset, complete without any script.
//!
//! Field names are those of the theme's component.

use serde::Serialize;

use super::CheckedSheet;
use super::dimension::Type;
use super::evaluate::Value;
use super::formula::Node;
use super::interval::Interval;
use super::plot;
use super::sheet::{CheckedStatement, Claim, Role};
use super::show;
use super::typeset::{definition, expression_text, plain};
use super::unit::Unit;
use super::unit_choices::choices;
use super::values::Outcome;
use super::wording::Wording;

/// One block.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct BlockView {
    /// Position of the block in its entry: what the script looks for.
    pub id: String,
    /// Its inputs, in text order.
    pub givens: Vec<GivenView>,
    /// Its results, in text order.
    pub steps: Vec<StepView>,
    /// The plot of its last result over its first ranged input, an SVG element; empty if there is none.
    pub plot_svg: String,
    /// The plot in words.
    pub plot_caption: String,
    /// Specifications that its formulas read.
    pub specs: Vec<SpecificationView>,
}

/// An input.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct GivenView {
    /// Its name.
    pub name: String,
    /// The name with blanks.
    pub label: String,
    /// The number in its unit; the middle of an interval; `true` or `false`.
    pub value: String,
    /// As written, with the unit.
    pub text: String,
    /// Whether it is true or false.
    pub truth: bool,
    /// The ends of its range in its unit, as numbers; empty without a range.
    pub low: String,
    /// The upper end.
    pub high: String,
    /// The ends of its range with the unit; empty without a range.
    pub low_text: String,
    /// The upper end.
    pub high_text: String,
    /// Units that a reader may choose, its own first.
    pub units: Vec<String>,
    /// Its own unit; empty for a number.
    pub unit: String,
}

/// A result.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct StepView {
    /// Its name.
    pub name: String,
    /// The name with blanks.
    pub label: String,
    /// The formula as plain text.
    pub formula: String,
    /// The formula with its name, an element of MathML.
    pub math: String,
    /// The value with its unit; for several groups of vehicles, each with the vehicles.
    pub text: String,
    /// The value that the entry states, which was checked and holds; empty without a claim.
    pub claim_text: String,
}

/// A specification that a block reads.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SpecificationView {
    /// Id of the system.
    pub system: String,
    /// Its name.
    pub name: String,
    /// Its value as written; for several groups of vehicles, each with the vehicles.
    pub text: String,
}

/// The views of all blocks, in text order, in the words of a language.
pub fn sheet_view(sheet: &CheckedSheet, words: &Wording<'_>) -> Vec<BlockView> {
    (0..).map_while(|block| block_view(sheet, block, words)).collect()
}

/// The view of one block; `None` after the last that has a statement.
pub fn block_view(sheet: &CheckedSheet, block: usize, words: &Wording<'_>) -> Option<BlockView> {
    if sheet.statements.iter().all(|statement| statement.block < block) {
        return None;
    }
    let own = || sheet.statements.iter().enumerate().filter(|(_, statement)| statement.block == block);
    let plot = plot::plot(sheet, block, words);
    Some(BlockView {
        id: block.to_string(),
        givens: own().filter_map(|(at, statement)| given(sheet, at, statement)).collect(),
        steps: own().filter_map(|(at, statement)| step(sheet, at, statement, words)).collect(),
        plot_caption: plot.as_ref().map_or(String::new(), |plot| plot.words.clone()),
        plot_svg: plot.map_or(String::new(), |plot| plot.svg),
        specs: specifications_read(sheet, block).into_iter().filter_map(|at| specification(sheet, at)).collect(),
    })
}

fn specifications_read(sheet: &CheckedSheet, block: usize) -> std::collections::BTreeSet<usize> {
    let mut read = std::collections::BTreeSet::new();
    for statement in sheet.statements.iter().filter(|statement| statement.block == block) {
        if let Some(node) = &statement.node {
            node.walk(&mut |node| {
                if let Node::Specification(at) = node {
                    read.insert(*at);
                }
            });
        }
    }
    read
}

fn given(sheet: &CheckedSheet, at: usize, statement: &CheckedStatement) -> Option<GivenView> {
    let Role::Given { range, value: literal } = &statement.role else { return None };
    let unit = statement.unit.as_ref();
    let number = |base: f64| show::significant(show::in_unit(base, unit), 12);
    let value = match sheet.start_value(at)? {
        Value::Number(base) => number(base),
        Value::Truth(truth) => truth.to_string(),
    };
    let written = match statement.node {
        Some(Node::Interval(low, high)) => Some(Interval::new(low, high)),
        _ => None,
    };
    let range = range.or(written);
    let end = |pick: fn(Interval) -> f64| {
        range.map_or((String::new(), String::new()), |range| {
            let base = pick(range);
            (number(base), show::with_unit(&number(base), unit))
        })
    };
    let ((low, low_text), (high, high_text)) = (end(|range| range.low), end(|range| range.high));
    let units = match statement.kind {
        Some(Type::Quantity(measure)) => choices(measure, unit).into_iter().map(|unit| unit.text).collect(),
        _ => Vec::new(),
    };
    Some(GivenView {
        name: statement.name.value.clone(),
        label: label(statement),
        text: literal.as_ref().map_or_else(|| value.clone(), plain),
        truth: statement.kind == Some(Type::Truth),
        value,
        low,
        high,
        low_text,
        high_text,
        units,
        unit: unit.map_or(String::new(), |unit| unit.text.clone()),
    })
}

fn label(statement: &CheckedStatement) -> String {
    statement.name.value.replace('_', " ")
}

fn step(sheet: &CheckedSheet, at: usize, statement: &CheckedStatement, words: &Wording<'_>) -> Option<StepView> {
    let Role::Step(claim) = &statement.role else { return None };
    let expr = statement.expr.as_ref()?;
    let values = sheet.groups.iter().map(|group| {
        let outcome = group.outcomes.get(at).copied().unwrap_or(Outcome::Unknown);
        (group.vehicles.clone(), value_words(statement, outcome, words))
    });
    Some(StepView {
        name: statement.name.value.clone(),
        label: label(statement),
        formula: expression_text(expr),
        math: definition(&statement.name.value, statement.kind, expr),
        text: for_vehicles(values.collect()),
        claim_text: claim.as_ref().map_or(String::new(), |claim| claim_words(claim, statement.unit.as_ref(), words)),
    })
}

fn claim_words(claim: &Claim, unit: Option<&Unit>, words: &Wording<'_>) -> String {
    match claim {
        Claim::Truth(truth, _) => words.truth(*truth),
        Claim::Quantity { stated, places, .. } => {
            words.ends([stated.low, stated.high].map(|end| show::fixed_number(show::in_unit(end, unit), *places)), unit)
        }
    }
}

/// One value for all vehicles if they agree, else each with its vehicles.
fn for_vehicles(values: Vec<(String, String)>) -> String {
    let first = values.first().map(|(_, value)| value.clone()).unwrap_or_default();
    if values.iter().all(|(_, value)| *value == first) {
        return first;
    }
    values.iter().map(|(vehicles, value)| format!("{value} ({vehicles})")).collect::<Vec<_>>().join("; ")
}

/// The decimals that a result is shown with: as many as are stated, and all of a number that was written. `None` where
/// significant digits decide.
pub(super) fn shown_places(statement: &CheckedStatement) -> Option<usize> {
    match (&statement.role, &statement.node) {
        (Role::Step(Some(Claim::Quantity { places, .. })), _) => Some(*places),
        (Role::Step(_), Some(Node::Number(base))) => {
            show::decimals(show::in_unit(base * statement.factor, statement.unit.as_ref()))
        }
        _ => None,
    }
}

fn value_words(statement: &CheckedStatement, outcome: Outcome, words: &Wording<'_>) -> String {
    let unit = statement.unit.as_ref();
    match outcome {
        Outcome::Unknown => String::new(),
        Outcome::Unsure => words.either.to_owned(),
        Outcome::Exact(Value::Truth(truth)) => words.truth(truth),
        Outcome::Exact(Value::Number(number)) => {
            let number = show::in_unit(number, unit);
            let places = shown_places(statement);
            let text = places.map_or_else(|| show::significant(number, 4), |places| show::fixed_number(number, places));
            show::with_unit(&text, unit)
        }
        Outcome::Between(interval) => words.between(interval, unit),
    }
}

fn specification(sheet: &CheckedSheet, at: usize) -> Option<SpecificationView> {
    let own = sheet.specifications.get(at)?;
    let values = sheet.groups.iter().map(|group| {
        let text =
            group.specifications.get(at).and_then(Option::as_ref).map_or(String::new(), |value| value.text.clone());
        (group.vehicles.clone(), text)
    });
    Some(SpecificationView {
        system: own.name.system.clone(),
        name: own.name.name.clone(),
        text: for_vehicles(values.collect()),
    })
}
