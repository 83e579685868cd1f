//! Units that a reader may choose for an input or a result.

use std::collections::BTreeSet;
use std::sync::LazyLock;

use super::cursor::Cursor;
use super::dimension::{Kind, Measure};
use super::lexer::tokens;
use super::unit::Unit;
use super::unit_table::SYMBOLS;
use crate::diagnostic::Span;

/// Products and quotients that the trade uses.
const PRODUCTS: &[&str] = &[
    "m/s",
    "km/h",
    "m/s^2",
    "ft/s^2",
    "N·m",
    "lbf·ft",
    "lbf·in",
    "rad/s",
    "deg/s",
    "mm^2",
    "cm^2",
    "m^2",
    "in^2",
    "cm^3",
    "m^3",
    "in^3",
    "L/min",
    "galUS/min",
    "L/km",
    "km/L",
    "mi/galUS",
    "mi/galUK",
    "N/mm",
    "lbf/in",
    "kg/m^3",
    "kg/L",
    "W·h",
    "ohm/km",
    "mohm/m",
];

/// Single symbols, then products. Read once: a page asks for every input.
static CATALOGUE: LazyLock<Vec<Unit>> = LazyLock::new(|| {
    let symbols = SYMBOLS.iter().map(|row| Unit::of(row, Span::default()));
    symbols.chain(PRODUCTS.iter().filter_map(|text| read(text))).collect()
});

/// Every choice for a measure: `first` before all, then single symbols, then products. At least one.
pub(super) fn choices(measure: Measure, first: Option<&Unit>) -> Vec<Unit> {
    let own = first.cloned().unwrap_or_else(|| Unit::base(measure, Span::default()));
    let alike = CATALOGUE.iter().filter(|unit| is_alike(unit.measure, measure) && unit.text != own.text);
    std::iter::once(own.clone()).chain(alike.cloned()).collect()
}

/// A product that may be either is shown as what it is more often: torque has its own units.
fn is_alike(unit: Measure, measure: Measure) -> bool {
    let number = measure.dimension.is_number();
    let fits = unit.kind == measure.kind || (measure.kind == Kind::Plain && unit.kind == Kind::Energy);
    !number && unit.dimension == measure.dimension && fits
}

fn read(text: &str) -> Option<Unit> {
    let names = BTreeSet::new();
    let tokens = tokens(text, Span::default());
    Cursor::new(&tokens, &names).unit().ok()
}
