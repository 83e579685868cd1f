//! Calculations: every number that an entry states is computed, in units, or equals the specification that it quotes.
//!
//! In: the calculation blocks of an entry, the specifications that they read, the claims that its prose makes. Out: what
//! each name comes to, for every group of vehicles, views and a script for the published page; a mark for every
//! statement that cannot be read, mixes dimensions, leaves its domain or states a value that is not so. Never:
//! evaluates what was not checked for dimensions, guesses a unit, extrapolates a table, reads or writes a file.
//!
//! The way of a sheet: [`lexer`] -> [`parser`] -> [`resolve`] (names, order) -> [`check`] (dimensions, kinds) ->
//! [`values`] (plain and interval values) -> [`proof`] (domains over the inputs' ranges) -> [`claims`].

mod check;
mod claims;
mod compute;
mod conversion;
mod cursor;
mod dimension;
mod enclose;
mod entries;
mod evaluate;
mod expression;
mod faults;
mod formula;
mod interval;
mod javascript;
mod lexer;
mod literal;
mod number;
mod other_units;
mod parser;
mod plot;
mod proof;
mod prose;
mod prose_units;
mod quantity;
mod resolve;
mod sheet;
mod sheet_view;
mod show;
mod specification;
mod syntax;
mod text;
mod typeset;
mod unit;
mod unit_choices;
mod unit_table;
mod values;
mod wording;

pub use dimension::{Dimension, Kind, Measure, Type};
pub use entries::{Calculations, calculate};
pub use evaluate::Value;
pub use interval::Interval;
pub use javascript::{has_script, javascript};
pub use other_units::{UnitSystem, in_system, in_systems, intervals_in_system};
pub use plot::{Plot, Subject};
pub use sheet::{CheckedStatement, Claim, Role};
pub use sheet_view::{BlockView, GivenView, SpecificationView, StepView, block_view, sheet_view};
pub use specification::{
    Lookup, NoSpecifications, SheetSpecification, SpecificationName, Specifications, VehicleGroup,
};
pub use text::{Quantity, quantity, unit};
pub use unit::Unit;
pub use values::Outcome;
pub use wording::Wording;

use std::collections::BTreeSet;

use crate::diagnostic::{Mark, MarkId, Span, Spanned};
use resolve::resolve;
use sheet::check_types;
use specification::Wanted;
use values::Program;

/// One calculation block: its lines, each contiguous in the file. Inside a quotation the lines are not contiguous.
pub use crate::entry::CalculationBlock as Block;

/// A claim that prose makes with a link.
#[derive(Clone, Debug)]
pub struct ProseClaim {
    /// What is quoted.
    pub target: ClaimTarget,
    /// The words of the link.
    pub words: Spanned<String>,
    /// Whether they stand in the file as they are; else a mark points at all of them.
    pub is_plain: bool,
    /// The destination of the link.
    pub span: Span,
}

/// What a claim in prose quotes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum ClaimTarget {
    /// `calc:NAME`.
    Result(String),
    /// `spec:system/name`.
    Specification(SpecificationName),
}

/// The checked calculations of one entry.
#[derive(Clone, Debug, Default)]
pub struct CheckedSheet {
    /// Its statements in text order.
    pub statements: Vec<CheckedStatement>,
    /// Positions of the statements that can be evaluated, each after all that it uses.
    pub order: Vec<usize>,
    /// Specifications that it reads.
    pub specifications: Vec<SheetSpecification>,
    /// What it comes to, for every group of vehicles that the specifications tell apart; at least one group.
    pub groups: Vec<GroupOutcome>,
}

/// What a sheet comes to for one group of vehicles.
#[derive(Clone, Debug, Default)]
pub struct GroupOutcome {
    /// The vehicles in words; empty if there is but one group.
    pub vehicles: String,
    /// Values of the specifications, in the order of [`CheckedSheet::specifications`].
    pub specifications: Vec<Option<Quantity>>,
    /// What each statement comes to, in text order.
    pub outcomes: Vec<Outcome>,
}

impl CheckedSheet {
    /// The statement of that name.
    pub fn position(&self, name: &str) -> Option<usize> {
        self.statements.iter().position(|statement| statement.name.value == name)
    }

    /// What a name comes to in the first group of vehicles.
    pub fn outcome(&self, name: &str) -> Option<Outcome> {
        self.groups.first()?.outcomes.get(self.position(name)?).copied()
    }

    /// A plain result in the unit in which it is shown.
    pub fn shown(&self, name: &str) -> Option<f64> {
        let statement = self.statements.get(self.position(name)?)?;
        match self.outcome(name)? {
            Outcome::Exact(Value::Number(number)) => Some(show::in_unit(number, statement.unit.as_ref())),
            _ => None,
        }
    }
}

/// Checks all calculations and claims of one entry. Marks come in no order of places.
pub fn check_sheet(
    blocks: &[Block],
    claims: &[ProseClaim],
    specifications: &dyn Specifications,
) -> (CheckedSheet, Vec<Mark>) {
    let parser::Parsed { statements, mentioned, mut marks } = parser::parse(blocks);
    let mut order = resolve(&statements);
    marks.append(&mut order.marks);
    let wanted = Wanted::collect(&statements, claims, specifications, &mut marks);
    let checked = check_types(&statements, &order, &wanted.positions, &wanted.types, &mut marks);
    let mut sheet = CheckedSheet {
        statements: checked,
        order: order.order,
        specifications: wanted.specifications,
        groups: Vec::new(),
    };
    let mut told = Told::new(sheet.statements.len(), claims.len());
    for group in wanted.groups {
        let outcome = evaluate_group(&sheet, group, &mut told, &mut marks);
        inspect_claims(&sheet, &outcome, claims, &mut told, &mut marks);
        sheet.groups.push(outcome);
    }
    unknown_results(&sheet, claims, &mentioned, &mut marks);
    unused_givens(&sheet, claims, &mentioned, &mut marks);
    (sheet, marks)
}

/// Which statements and claims have their mark already: the first group of vehicles that fails is named.
struct Told {
    statements: Vec<bool>,
    claims: Vec<bool>,
}

impl Told {
    fn new(statements: usize, claims: usize) -> Self {
        Self { statements: vec![false; statements], claims: vec![false; claims] }
    }
}

fn tell(told: &mut [bool], at: usize, mark: Option<Mark>, marks: &mut Vec<Mark>) {
    if let (Some(slot), Some(mark)) = (told.get_mut(at), mark) {
        if !*slot {
            marks.push(mark);
        }
        *slot = true;
    }
}

fn evaluate_group(sheet: &CheckedSheet, group: VehicleValues, told: &mut Told, marks: &mut Vec<Mark>) -> GroupOutcome {
    let intervals: Vec<_> =
        group.values.iter().map(|value| value.as_ref().map(|own| Interval::new(own.low, own.high))).collect();
    let program = Program { statements: &sheet.statements, order: &sheet.order, specifications: &intervals };
    let vehicle = Some(group.vehicles.as_str()).filter(|vehicles| !vehicles.is_empty());
    let (outcomes, faults) = program.outcomes();
    let mut failed: Vec<bool> = outcomes.iter().map(|outcome| *outcome == Outcome::Unknown).collect();
    // A fault over a written interval is searched for inputs that show it, like one over a range.
    let (wide, plain): (Vec<_>, Vec<_>) =
        faults.into_iter().partition(|(at, _)| !program.intervals_of(&program.chain(*at)).is_empty());
    for at in wide.iter().map(|(at, _)| *at) {
        if let Some(slot) = failed.get_mut(at) {
            *slot = false;
        }
    }
    let certain = plain.into_iter().map(|(at, fault)| (at, faults::domain(fault, "yes")));
    let open = wide.into_iter().map(|(at, fault)| (at, faults::domain(fault, "no")));
    for (at, mark) in certain.chain(proof::prove(&program, &failed)).chain(open) {
        tell(&mut told.statements, at, Some(mark.with_some("vehicle", vehicle)), marks);
    }
    for (at, (statement, outcome)) in sheet.statements.iter().zip(&outcomes).enumerate() {
        if let Role::Step(Some(claim)) = &statement.role {
            tell(&mut told.statements, at, claims::inspect(statement, claim, *outcome, vehicle), marks);
        }
    }
    GroupOutcome { vehicles: group.vehicles, specifications: group.values, outcomes }
}

use specification::VehicleValues;

fn inspect_claims(
    sheet: &CheckedSheet,
    group: &GroupOutcome,
    claims: &[ProseClaim],
    told: &mut Told,
    marks: &mut Vec<Mark>,
) {
    let vehicle = Some(group.vehicles.as_str()).filter(|vehicles| !vehicles.is_empty());
    for (at, claim) in claims.iter().enumerate() {
        let mark = match &claim.target {
            ClaimTarget::Result(name) => sheet.position(name).and_then(|position| {
                let (statement, outcome) = (sheet.statements.get(position)?, group.outcomes.get(position)?);
                claims::inspect_link(&claim.words, statement, *outcome, vehicle)
            }),
            ClaimTarget::Specification(name) => {
                let position = sheet.specifications.iter().position(|own| own.name == *name);
                let value = position.and_then(|position| group.specifications.get(position)?.as_ref());
                value.and_then(|value| claims::inspect_specification(&claim.words, &name.name, value, vehicle))
            }
        };
        let mark = mark.map(|mark| if claim.is_plain { mark } else { Mark { span: claim.words.span, ..mark } });
        tell(&mut told.claims, at, mark, marks);
    }
}

fn unknown_results(sheet: &CheckedSheet, claims: &[ProseClaim], mentioned: &BTreeSet<String>, marks: &mut Vec<Mark>) {
    for claim in claims {
        if let ClaimTarget::Result(name) = &claim.target
            && sheet.position(name).is_none()
            && !mentioned.contains(name)
        {
            let known = sheet.statements.iter().map(|statement| statement.name.value.as_str());
            let near = if marks.len() < check::SLIPS { crate::entry::nearest(name, known) } else { None };
            marks.push(faults::unknown_name(claim.span, name, "name", near));
        }
    }
}

/// An input that neither a formula nor the prose uses.
fn unused_givens(sheet: &CheckedSheet, claims: &[ProseClaim], mentioned: &BTreeSet<String>, marks: &mut Vec<Mark>) {
    let mut used = vec![false; sheet.statements.len()];
    let by_formulas = sheet.statements.iter().flat_map(|statement| statement.uses.iter().copied());
    let by_prose = claims.iter().filter_map(|claim| match &claim.target {
        ClaimTarget::Result(name) => sheet.position(name),
        ClaimTarget::Specification(_) => None,
    });
    for at in by_formulas.chain(by_prose) {
        if let Some(slot) = used.get_mut(at) {
            *slot = true;
        }
    }
    for (statement, used) in sheet.statements.iter().zip(used) {
        if !used && !mentioned.contains(&statement.name.value) && matches!(statement.role, Role::Given { .. }) {
            let name = statement.name.value.clone();
            marks.push(Mark::new(MarkId::UnusedGiven, statement.name.span).with("name", name));
        }
    }
}
