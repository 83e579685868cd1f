//! Quantities in the front matter: specification values, and the unit of a measurement.

use std::collections::BTreeSet;

use super::cursor::Cursor;
use super::dimension::Measure;
use super::faults::Checked;
use super::lexer::tokens;
use super::literal::{self, Bounds};
use super::sheet::places;
use super::unit::Unit;
use crate::diagnostic::Span;

/// A quantity, or an interval of one, as a text of its own states it.
#[derive(Clone, Debug, PartialEq)]
pub struct Quantity {
    /// Lower end, in base units.
    pub low: f64,
    /// Upper end, in base units; the lower one for a single value.
    pub high: f64,
    /// Half a unit in the last digit written, in base units.
    pub half_digit: f64,
    /// Decimal places written.
    pub places: usize,
    /// Dimension and kind.
    pub measure: Measure,
    /// The unit as written.
    pub unit: Unit,
    /// As written.
    pub text: String,
    /// Where.
    pub span: Span,
}

/// Reads `3 mm`, `20 to 25 N·m`, `7 bar ± 0.5 bar`, `7 ± 0.5 bar`, `-40 degF`.
///
/// `span` is the place of the text, which must stand in its file as it is for marks inside it to be exact.
///
/// # Errors
/// A mark for text that is no quantity, for a unit that is none or several, for ends that do not go together.
pub fn quantity(text: &str, span: Span) -> Checked<Quantity> {
    let names = BTreeSet::new();
    let tokens = tokens(text, span);
    let mut cursor = Cursor::new(&tokens, &names);
    if tokens.is_empty() {
        return Err(super::faults::syntax(span, "nothing", "a value with its unit"));
    }
    let literal = cursor.literal()?;
    if !cursor.at_end() {
        return Err(cursor.unexpected("the end of the value"));
    }
    let Bounds { low, high, half_digit, measure, .. } = literal::bounds(&literal)?;
    let unit = literal::shown_unit(&literal).clone();
    Ok(Quantity { low, high, half_digit, places: places(&literal), measure, unit, text: text.trim().to_owned(), span })
}

/// Reads a unit alone, such as that of a measurement.
///
/// # Errors
/// A mark for a symbol that is none or several.
pub fn unit(text: &str, span: Span) -> Checked<Unit> {
    let names = BTreeSet::new();
    let tokens = tokens(text, span);
    let mut cursor = Cursor::new(&tokens, &names);
    if tokens.is_empty() {
        return Err(super::faults::syntax(span, "nothing", "a unit"));
    }
    let unit = cursor.unit()?;
    if cursor.at_end() { Ok(unit) } else { Err(cursor.unexpected("the end of the unit")) }
}
