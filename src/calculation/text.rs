//! Quantities in the front matter: specification values and the bands of a measurement.

use std::collections::BTreeSet;

use super::cursor::Cursor;
use super::dimension::Measure;
use super::faults::{Checked, bad_value};
use super::lexer::tokens;
use super::literal::{self, Bounds};
use super::sheet::places;
use super::syntax::Literal;
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

/// One end of a band.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct End {
    /// The number, in the unit of the measurement.
    pub number: f64,
    /// Whether the number itself belongs to the band.
    pub included: bool,
}

/// An interval of readings; an absent end is open to the end of the measurement's range.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Band {
    /// Lower end.
    pub low: Option<End>,
    /// Upper end.
    pub high: Option<End>,
}

/// Reads `< 1.5`, `1.5 to < 3`, `>= 3`, `<= 2`, `> 4`, `> 1 to 2`, `5`. Numbers only: the unit is the measurement's.
///
/// # Errors
/// A mark for text that is no such interval, or one that holds no number.
pub fn band(text: &str, span: Span) -> Checked<Band> {
    let names = BTreeSet::new();
    let tokens = tokens(text, span);
    let mut cursor = Cursor::new(&tokens, &names);
    if let Some(included) = upper(&mut cursor) {
        let high = Some(End { number: number(&mut cursor)?, included });
        return ended(&cursor, Band { low: None, high }, span);
    }
    let lower = match (cursor.take_sign(">="), cursor.take_sign(">")) {
        (_, Some(_)) => Some(false),
        (Some(_), None) => Some(true),
        (None, None) => None,
    };
    let low = End { number: number(&mut cursor)?, included: lower.unwrap_or(true) };
    if cursor.take_word("to").is_some() {
        let included = upper(&mut cursor).unwrap_or(true);
        let high = End { number: number(&mut cursor)?, included };
        return ended(&cursor, Band { low: Some(low), high: Some(high) }, span);
    }
    let high = if lower.is_some() { None } else { Some(low) };
    ended(&cursor, Band { low: Some(low), high }, span)
}

fn upper(cursor: &mut Cursor<'_>) -> Option<bool> {
    match (cursor.take_sign("<="), cursor.take_sign("<")) {
        (_, Some(_)) => Some(false),
        (Some(_), None) => Some(true),
        (None, None) => None,
    }
}

fn number(cursor: &mut Cursor<'_>) -> Checked<f64> {
    if !cursor.at_literal() {
        return Err(cursor.unexpected("a number"));
    }
    let amount = match cursor.literal_without_interval()? {
        Literal::Value(amount) | Literal::Range(amount, _) | Literal::Spread(amount, _) => amount,
    };
    if !amount.unit.text.is_empty() {
        return Err(super::faults::syntax(
            amount.unit.span,
            format!("`{}`", amount.unit.text),
            "a number: the unit is the measurement's",
        ));
    }
    Ok(amount.number.to_f64())
}

fn ended(cursor: &Cursor<'_>, band: Band, span: Span) -> Checked<Band> {
    if !cursor.at_end() {
        return Err(cursor.unexpected("the end of the band"));
    }
    match (band.low, band.high) {
        (Some(low), Some(high))
            if low.number > high.number || (low.number == high.number && !(low.included && high.included)) =>
        {
            Err(bad_value(span, "a band without any number", "the lower end first"))
        }
        _ => Ok(band),
    }
}
