//! Specifications that a sheet reads, for every group of vehicles that they tell apart.

use std::collections::BTreeMap;

use super::conversion::unify;
use super::dimension::Type;
use super::faults::unknown_name;
use super::syntax::{Body, Expr, ExprNode, Statement};
use super::text::{Quantity, quantity};
use super::{ClaimTarget, ProseClaim};
use crate::diagnostic::{Mark, MarkId, Span, Spanned};

/// A specification by name.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct SpecificationName {
    /// Id of the system.
    pub system: String,
    /// Name within the system.
    pub name: String,
}

/// Whether a specification exists.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Lookup {
    /// It does.
    Known,
    /// There is no such system; the nearest one.
    NoSystem(Option<String>),
    /// The system has no such specification; the nearest one.
    NoName(Option<String>),
}

/// Vehicles that an entry fits and that no specification asked for tells apart.
#[derive(Clone, Debug, Default)]
pub struct VehicleGroup {
    /// The vehicles in words.
    pub vehicles: String,
    /// The value of each specification asked for, as written; `None` where it has none for these vehicles.
    pub values: Vec<Option<Spanned<String>>>,
}

/// Where specifications are looked up.
pub trait Specifications {
    /// Whether one exists.
    fn look_up(&self, name: &SpecificationName) -> Lookup;
    /// The groups of vehicles of the entry that these specifications tell apart, in a fixed order; at least one if the
    /// entry fits any vehicle. Nothing if there are more than `most`.
    fn groups(&self, names: &[SpecificationName], most: usize) -> Option<Vec<VehicleGroup>>;
}

/// Most groups of vehicles for which one entry is calculated, and most statements for all of them together; for so few
/// groups any entry is.
const MOST_GROUPS: usize = 500;
const MOST_STATEMENTS: usize = 100_000;
const FEW_GROUPS: usize = 8;

/// No system has any specification.
#[derive(Clone, Copy, Debug, Default)]
pub struct NoSpecifications;

impl Specifications for NoSpecifications {
    fn look_up(&self, _: &SpecificationName) -> Lookup {
        Lookup::NoSystem(None)
    }

    fn groups(&self, names: &[SpecificationName], _: usize) -> Option<Vec<VehicleGroup>> {
        Some(vec![VehicleGroup { vehicles: String::new(), values: vec![None; names.len()] }])
    }
}

/// A specification that a sheet reads or quotes.
#[derive(Clone, Debug, PartialEq)]
pub struct SheetSpecification {
    /// Which.
    pub name: SpecificationName,
    /// Its type, if its values could be read and agree in it.
    pub kind: Option<Type>,
}

/// Values for one group of vehicles.
pub(super) struct VehicleValues {
    pub(super) vehicles: String,
    pub(super) values: Vec<Option<Quantity>>,
}

/// Everything that a sheet wants to know about specifications.
pub(super) struct Wanted {
    pub(super) positions: BTreeMap<(String, String), usize>,
    pub(super) specifications: Vec<SheetSpecification>,
    pub(super) types: Vec<Option<Type>>,
    pub(super) groups: Vec<VehicleValues>,
}

impl Wanted {
    /// Looks up every specification that formulas read or prose quotes. Marks unknown ones and vehicles without a value;
    /// a value that cannot be read has its mark in its own entry.
    pub(super) fn collect(
        statements: &[Statement],
        claims: &[ProseClaim],
        source: &dyn Specifications,
        marks: &mut Vec<Mark>,
    ) -> Self {
        let mut known: BTreeMap<SpecificationName, Option<Span>> = BTreeMap::new();
        let named = named(statements, claims);
        let first = named.first().map(|(_, _, span, _)| *span);
        for (name, system_span, name_span, computed) in named {
            match source.look_up(&name) {
                Lookup::Known => {
                    let place = known.entry(name).or_insert(None);
                    *place = place.or(computed.then_some(name_span));
                }
                Lookup::NoSystem(nearest) => marks.push(unknown_name(system_span, &name.system, "system", nearest)),
                Lookup::NoName(nearest) => marks.push(unknown_name(name_span, &name.name, "specification", nearest)),
            }
        }
        let names: Vec<SpecificationName> = known.keys().cloned().collect();
        let most = (MOST_STATEMENTS / statements.len().max(1)).clamp(FEW_GROUPS, MOST_GROUPS);
        let groups = source.groups(&names, most);
        marks.extend(first.filter(|_| groups.is_none()).map(|span| too_many_groups(span, most)));
        let groups = groups.unwrap_or_default();
        mark_missing(&groups, &known, marks);
        let groups: Vec<VehicleValues> =
            if groups.is_empty() { vec![nobody(names.len())] } else { read_groups(groups) };
        let types: Vec<Option<Type>> = (0..names.len()).map(|at| common_type(&groups, at)).collect();
        let positions =
            names.iter().enumerate().map(|(at, name)| ((name.system.clone(), name.name.clone()), at)).collect();
        let specifications =
            names.into_iter().zip(&types).map(|(name, kind)| SheetSpecification { name, kind: *kind }).collect();
        Self { positions, specifications, types, groups }
    }
}

fn too_many_groups(span: Span, most: usize) -> Mark {
    let mark = Mark::new(MarkId::TooManyGroups, span).with("most", most.to_string());
    mark.with("what", "the specifications that this entry quotes")
}

fn nobody(count: usize) -> VehicleValues {
    VehicleValues { vehicles: String::new(), values: vec![None; count] }
}

fn read_groups(groups: Vec<VehicleGroup>) -> Vec<VehicleValues> {
    let single = groups.len() == 1;
    let read = |value: Option<Spanned<String>>| value.and_then(|value| quantity(&value.value, value.span).ok());
    groups
        .into_iter()
        .map(|group| VehicleValues {
            vehicles: if single { String::new() } else { group.vehicles },
            values: group.values.into_iter().map(read).collect(),
        })
        .collect()
}

/// The type of a specification in every group; `None` if none could be read or they differ.
fn common_type(groups: &[VehicleValues], at: usize) -> Option<Type> {
    let mut measures = groups.iter().filter_map(|group| group.values.get(at)?.as_ref()).map(|value| value.measure);
    let first = measures.next()?;
    measures.all(|other| unify(first, other).is_some()).then_some(Type::Quantity(first))
}

/// A specification that a formula reads and that some vehicles of the entry have no value for. Prose that quotes it says
/// nothing about those.
fn mark_missing(groups: &[VehicleGroup], known: &BTreeMap<SpecificationName, Option<Span>>, marks: &mut Vec<Mark>) {
    for (at, (name, span)) in known.iter().enumerate() {
        if let Some(span) = span
            && let Some(group) = groups.iter().find(|group| group.values.get(at).is_none_or(Option::is_none))
        {
            let mark = unknown_name(*span, &name.name, "specification", None);
            marks.push(mark.with("vehicle", group.vehicles.clone()));
        }
    }
}

/// A specification named, with the places of the system and of the name, and whether a formula reads it.
type Named = (SpecificationName, Span, Span, bool);

fn named(statements: &[Statement], claims: &[ProseClaim]) -> Vec<Named> {
    let mut found = Vec::new();
    for statement in statements {
        if let Body::Formula(expr, _) = &statement.body {
            collect(expr, &mut found);
        }
    }
    for claim in claims {
        if let ClaimTarget::Specification(name) = &claim.target {
            found.push((name.clone(), claim.span, claim.span, false));
        }
    }
    found
}

fn collect(expr: &Expr, found: &mut Vec<Named>) {
    if let ExprNode::Specification { system, name } = &expr.node {
        let own = SpecificationName { system: system.value.clone(), name: name.value.clone() };
        found.push((own, system.span, name.span, true));
    }
    expr.node.children().for_each(|child| collect(child, found));
}
