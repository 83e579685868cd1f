//! What the page shows of a sheet: rows of inputs and results, typeset, complete without any script.

use super::CheckedSheet;
use super::evaluate::Value;
use super::plot::{self, Plot};
use super::sheet::{CheckedStatement, Claim, Role};
use super::show;
use super::typeset::{definition, plain};
use super::values::Outcome;

/// One block.
#[derive(Clone, Debug, PartialEq)]
pub struct BlockView {
    /// Its inputs and results, in text order.
    pub rows: Vec<RowView>,
    /// Values of specifications that its formulas read.
    pub specifications: Vec<SpecificationView>,
    /// The plot of its last result.
    pub plot: Option<Plot>,
}

/// An input or a result.
#[derive(Clone, Debug, PartialEq)]
pub struct RowView {
    /// Position of the statement in the sheet: the `at` of the script's rows.
    pub at: usize,
    /// `given` or `step`.
    pub kind: &'static str,
    /// Its name.
    pub name: String,
    /// The name with blanks, as a label.
    pub label: String,
    /// The formula in MathML; empty for an input.
    pub formula: String,
    /// The value in words, with its unit: one for each group of vehicles, with the vehicles (empty if all are alike).
    pub values: Vec<(String, String)>,
    /// The range of an input, in words; empty if it has none.
    pub range: String,
    /// Whether a stated value was checked and holds.
    pub checked: bool,
}

/// A specification that a block reads.
#[derive(Clone, Debug, PartialEq)]
pub struct SpecificationView {
    /// Position in the sheet.
    pub at: usize,
    /// Id of the system.
    pub system: String,
    /// Its name.
    pub name: String,
    /// Its value as written, for each group of vehicles.
    pub values: Vec<(String, String)>,
}

/// The views of all blocks, in text order.
pub fn sheet_view(sheet: &CheckedSheet) -> Vec<BlockView> {
    let blocks = sheet.statements.iter().map(|statement| statement.block + 1).max().unwrap_or(0);
    (0..blocks).map(|block| block_view(sheet, block)).collect()
}

fn block_view(sheet: &CheckedSheet, block: usize) -> BlockView {
    let own = || sheet.statements.iter().enumerate().filter(|(_, statement)| statement.block == block);
    let mut read = std::collections::BTreeSet::new();
    for node in own().filter_map(|(_, statement)| statement.node.as_ref()) {
        node.walk(&mut |node| {
            if let super::formula::Node::Specification(at) = node {
                read.insert(*at);
            }
        });
    }
    BlockView {
        rows: own().map(|(at, statement)| row(sheet, at, statement)).collect(),
        specifications: read.into_iter().filter_map(|at| specification(sheet, at)).collect(),
        plot: plot::plot(sheet, block),
    }
}

fn row(sheet: &CheckedSheet, at: usize, statement: &CheckedStatement) -> RowView {
    let name = statement.name.value.clone();
    let formula = statement.expr.as_ref().map_or(String::new(), |expr| definition(&name, statement.kind, expr));
    let (kind, range, checked) = match &statement.role {
        Role::Given { range, .. } => {
            let range = range.map_or(String::new(), |range| show::between(range, statement.unit.as_ref()));
            ("given", range, false)
        }
        Role::Step(claim) => ("step", String::new(), claim.is_some()),
    };
    let values = sheet.groups.iter().map(|group| {
        let outcome = group.outcomes.get(at).copied().unwrap_or(Outcome::Unknown);
        (group.vehicles.clone(), value_words(statement, outcome))
    });
    RowView { at, kind, label: name.replace('_', " "), name, formula, values: alike(values.collect()), range, checked }
}

/// One value for all vehicles, if they agree.
fn alike(values: Vec<(String, String)>) -> Vec<(String, String)> {
    match values.first().cloned() {
        Some((_, first)) if values.iter().all(|(_, value)| *value == first) => vec![(String::new(), first)],
        _ => values,
    }
}

fn value_words(statement: &CheckedStatement, outcome: Outcome) -> String {
    let unit = statement.unit.as_ref();
    match (&statement.role, outcome) {
        (Role::Given { value: Some(literal), .. }, _) => plain(literal),
        (_, Outcome::Unknown) => String::new(),
        (_, Outcome::Unsure) => "depends".to_owned(),
        (_, Outcome::Exact(Value::Truth(truth))) => if truth { "yes" } else { "no" }.to_owned(),
        (Role::Step(Some(Claim::Quantity { places, .. })), Outcome::Exact(Value::Number(number))) => {
            show::with_unit(&show::fixed_number(show::in_unit(number, unit), *places), unit)
        }
        (_, Outcome::Exact(Value::Number(number))) => {
            show::with_unit(&show::significant(show::in_unit(number, unit), 4), unit)
        }
        (_, Outcome::Between(interval)) => show::between(interval, unit),
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
        at,
        system: own.name.system.clone(),
        name: own.name.name.clone(),
        values: alike(values.collect()),
    })
}
