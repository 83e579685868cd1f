//! Claims in prose: the number, range and unit that the words of a link state.
//!
//! Prose writes `49 m`, `about 49 metres`, `20–25 N·m`, `between 20 and 25 °C`, `1,200 rpm`; it does not tell a gauge
//! reading from a difference, so its unit is read in the light of what it quotes.

use std::collections::BTreeSet;

use super::conversion::{conversion, hint};
use super::cursor::Cursor;
use super::dimension::{Dimension, Kind, Measure, Type};
use super::faults::{Checked, mismatch, syntax, unknown_unit};
use super::interval::Interval;
use super::lexer::tokens;
use super::number::Decimal;
use super::prose_units::{about, spoken_unit};
use super::unit::Unit;
use crate::diagnostic::{Span, Spanned};

/// What the words of a link state, in base units.
#[derive(Clone, Debug, PartialEq)]
#[allow(clippy::large_enum_variant, reason = "one at a time")]
pub(super) enum Stated {
    /// A quantity or an interval.
    Quantity {
        /// As stated.
        interval: Interval,
        /// What rounding allows.
        tolerance: f64,
        /// The number and unit.
        span: Span,
        /// Decimal places written.
        places: usize,
        /// The unit as understood.
        unit: Unit,
    },
    /// Yes or no.
    Truth(bool),
}

/// A number in prose and the bytes that it takes.
struct Number {
    decimal: Decimal,
    start: usize,
    end: usize,
}

/// Reads the words of a link that quotes a value of type `wanted`.
///
/// # Errors
/// A mark when there is no number, a decimal comma, an unknown or ambiguous unit, or a unit of another dimension.
pub(super) fn read(words: &Spanned<String>, wanted: Type) -> Checked<Stated> {
    let Type::Quantity(measure) = wanted else { return truth(words) };
    let text = words.value.as_str();
    let first = number_at(text, 0, words.span)?
        .ok_or_else(|| syntax(words.span, format!("`{text}`"), "a number with its unit"))?;
    let (first_unit, after_first) = unit_at(text, first.end, words.span, measure)?;
    let second = second_number(text, after_first, words.span)?;
    let (unit, end) = match &second {
        Some((_, second)) => match unit_at(text, second.end, words.span, measure)? {
            (None, _) => (first_unit.clone(), second.end),
            (unit, end) => (unit, end),
        },
        None => (first_unit.clone(), after_first),
    };
    let span = words.span.part(first.start..end.max(first.end));
    let unit = unit.unwrap_or_else(|| Unit::none(span));
    let factor = conversion_factor(measure, &unit, span)?;
    let first_base = first_unit.as_ref().unwrap_or(&unit).to_base(first.decimal) / factor;
    let loose = about(text.get(..first.start).unwrap_or(""));
    let tolerance = |number: &Number| tolerance(number.decimal, loose) * unit.factor() / factor;
    let (interval, slack) = match &second {
        None => (Interval::exactly(first_base), tolerance(&first)),
        Some((Joint::PlusMinus, half)) => {
            let width = unit.width_to_base(half.decimal) / factor;
            (Interval::new(first_base - width, first_base + width), tolerance(half).min(tolerance(&first)))
        }
        Some((Joint::To, high)) => {
            let high_base = unit.to_base(high.decimal) / factor;
            (Interval::new(first_base, high_base), tolerance(&first).min(tolerance(high)))
        }
    };
    let places = second.as_ref().map_or(0, |(_, number)| number.decimal.places()).max(first.decimal.places());
    Ok(Stated::Quantity { interval, tolerance: slack, span, places, unit })
}

fn truth(words: &Spanned<String>) -> Checked<Stated> {
    match words.value.trim().to_lowercase().as_str() {
        "true" | "yes" | "sí" | "si" => Ok(Stated::Truth(true)),
        "false" | "no" => Ok(Stated::Truth(false)),
        found => Err(syntax(words.span, format!("`{found}`"), "yes or no: the calculation gives a truth")),
    }
}

/// Half the last digit; after "about" the zeros at the end of a whole number do not count, up to 5 % of it.
fn tolerance(decimal: Decimal, loose: bool) -> f64 {
    let written = decimal.half_last_digit();
    if !loose || decimal.exponent < 0 {
        return written;
    }
    let mut rounded = decimal;
    while rounded.mantissa != 0 && rounded.mantissa % 10 == 0 {
        rounded = Decimal { mantissa: rounded.mantissa / 10, exponent: rounded.exponent + 1 };
    }
    written.max(rounded.half_last_digit().min(decimal.to_f64().abs() * 0.05))
}

fn conversion_factor(measure: Measure, unit: &Unit, span: Span) -> Checked<f64> {
    conversion(measure, unit).ok_or_else(|| {
        if unit.text == "F" && measure.dimension == Dimension::of([0, 0, 0, 0, 1, 0]) {
            return super::check::farad_mark(unit.span);
        }
        let place = if unit.text.is_empty() { span } else { unit.span };
        mismatch(place, Type::Quantity(unit.measure), measure.words()).with_some("hint", hint(unit.measure, measure))
    })
}

/// The first number at or after a place.
fn number_at(text: &str, from: usize, span: Span) -> Checked<Option<Number>> {
    let rest = text.get(from..).unwrap_or("");
    let Some(offset) = rest.find(|letter: char| letter.is_ascii_digit()) else { return Ok(None) };
    let digits = from + offset;
    let before = text.get(..digits).unwrap_or("");
    let point =
        before.ends_with('.') && !before.trim_end_matches('.').ends_with(|letter: char| letter.is_alphanumeric());
    let start = if point { digits - 1 } else { digits };
    let body = text.get(start..).unwrap_or("");
    let length = number_length(body);
    let written: String =
        body.get(..length).unwrap_or("").chars().filter(|letter| letter.is_ascii_digit() || *letter == '.').collect();
    let end = start + length;
    if text.get(end..).is_some_and(|after| {
        after.starts_with(',') && after.get(1..2).is_some_and(|next| next.bytes().all(|byte| byte.is_ascii_digit()))
    }) {
        let tail = text.get(end + 1..).unwrap_or("").bytes().take_while(u8::is_ascii_digit).count();
        return Err(syntax(span.part(start..end + 1 + tail), "a decimal comma", "a decimal point"));
    }
    let decimal = Decimal::parse(written.trim_end_matches('.'));
    let decimal = decimal.ok_or_else(|| syntax(span.part(start..end), "a number", "at most 30 digits"))?;
    let minus = text.get(..start).and_then(|before| before.strip_suffix(['-', '−', '–']));
    let negative = minus.filter(|before| {
        !before.trim_end().ends_with(|letter: char| letter.is_alphanumeric() || letter == '%' || letter == '°')
    });
    let (decimal, start) = negative.map_or((decimal, start), |before| (decimal.negative(), before.len()));
    Ok(Some(Number { decimal, start, end }))
}

/// Bytes of a number: digits, thousands in groups of three after `,` or a narrow or fixed blank, and a decimal point.
fn number_length(body: &str) -> usize {
    let digits = |at: usize| body.get(at..).unwrap_or("").bytes().take_while(u8::is_ascii_digit).count();
    let mut length = digits(0);
    if length <= 3 {
        while let Some(separator) = body.get(length..).and_then(|rest| rest.chars().next()) {
            let width = separator.len_utf8();
            if !matches!(separator, ',' | '\u{a0}' | '\u{202f}' | '\u{2009}') || digits(length + width) != 3 {
                break;
            }
            length += width + 3;
        }
    }
    let fraction = body.get(length..).filter(|rest| rest.starts_with('.')).map_or(0, |_| digits(length + 1));
    if fraction > 0 { length + 1 + fraction } else { length }
}

/// What stands between two numbers.
enum Joint {
    To,
    PlusMinus,
}

fn second_number(text: &str, from: usize, span: Span) -> Checked<Option<(Joint, Number)>> {
    let rest = text.get(from..).unwrap_or("");
    let trimmed = rest.trim_start();
    let joints = [
        ("to ", false),
        ("and ", false),
        ("a ", false),
        ("y ", false),
        ("±", true),
        ("+/-", true),
        ("–", false),
        ("-", false),
        ("—", false),
    ];
    let Some((joint, spread)) = joints.into_iter().find(|(joint, _)| trimmed.starts_with(joint)) else {
        return Ok(None);
    };
    let after = from + (rest.len() - trimmed.len()) + joint.len();
    let inner = text.get(after..).unwrap_or("");
    let mut start = after + inner.len() - inner.trim_start().len();
    let tail = text.get(start..).unwrap_or("");
    let sign = tail.starts_with(['-', '−']);
    start += if sign { tail.chars().next().map_or(0, char::len_utf8) } else { 0 };
    if !text.get(start..).is_some_and(|next| next.starts_with(|letter: char| letter.is_ascii_digit() || letter == '.'))
    {
        return Ok(None);
    }
    let number = number_at(text, start, span)?.map(|number| {
        // The dash between two numbers is no sign.
        let magnitude = if number.decimal.mantissa < 0 { number.decimal.negative() } else { number.decimal };
        Number { decimal: if sign { magnitude.negative() } else { magnitude }, ..number }
    });
    Ok(number.map(|number| (if spread { Joint::PlusMinus } else { Joint::To }, number)))
}

/// The unit after a number, as the quoted measure makes it, and where it ends.
fn unit_at(text: &str, from: usize, span: Span, wanted: Measure) -> Checked<(Option<Unit>, usize)> {
    let rest = text.get(from..).unwrap_or("");
    let start = from + rest.len() - rest.trim_start_matches([' ', '\u{a0}', '\u{202f}', '\u{2009}', '-']).len();
    let written = text.get(start..).unwrap_or("");
    if let Some((unit, length)) = spoken_unit(written, wanted) {
        let place = span.part(start..start + length);
        return Ok((Some(adapt(unit.at(place), wanted)), start + length));
    }
    let joint = ["to ", "and ", "a ", "y ", "±", "+/-", "–", "-", "—", ",", ";", "."]
        .iter()
        .any(|joint| written.starts_with(joint));
    if written.is_empty() || joint || rest.starts_with('-') {
        return Ok((None, from));
    }
    let names = BTreeSet::new();
    let tokens = tokens(written, span.part(start..text.len()));
    let mut cursor = Cursor::new(&tokens, &names);
    match cursor.unit() {
        Ok(unit) => {
            let end = start + (unit.span.end - span.part(start..text.len()).start) as usize;
            Ok((Some(adapt(unit, wanted)), end))
        }
        // "4 cylinders": a count names what it counts.
        Err(_) if wanted.dimension.is_number() => Ok((None, from)),
        Err(mark) => Err(first_word_mark(mark, written, span.part(start..text.len()))),
    }
}

fn first_word_mark(mark: crate::diagnostic::Mark, written: &str, span: Span) -> crate::diagnostic::Mark {
    if mark.id != crate::diagnostic::MarkId::CalcSyntax {
        return mark;
    }
    let word = written.split_whitespace().next().unwrap_or(written);
    unknown_unit(span.part(0..word.len()), word)
}

/// Prose says `bar` for a gauge reading and `°C` for a difference too.
fn adapt(unit: Unit, wanted: Measure) -> Unit {
    if unit.measure.dimension != wanted.dimension || unit.measure.kind == wanted.kind {
        return unit;
    }
    match (wanted.kind, unit.measure.kind) {
        (Kind::Plain, Kind::Point) => unit.as_difference(),
        (Kind::Gauge | Kind::Absolute, Kind::Plain) => unit.as_reading(wanted.kind),
        _ => unit,
    }
}
