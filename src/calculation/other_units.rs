//! Values in the other system of units, for pages that show both: metric and US customary.
//!
//! Factors are those of the unit table. Which unit a trade takes for what (oil in quarts, fuel in gallons, small torques in
//! pound-force inches) is common practice, no source. Digits: at least as fine as written, and three significant ones (NIST
//! SP 811, B.7: a converted value keeps the accuracy that the written one implies; recalled from memory).

use std::collections::BTreeSet;

use super::cursor::Cursor;
use super::dimension::{Dimension, Kind};
use super::lexer::{Token, TokenKind, tokens};
use super::literal::{self, Bounds};
use super::number::Decimal;
use super::show::{fixed_number, with_unit};
use super::syntax::{Amount, HalfWidth, Literal};
use super::text::unit;
use super::unit::Unit;
use crate::diagnostic::{FileId, Span};

/// A system of units.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum UnitSystem {
    /// The SI and the units used with it.
    Metric,
    /// US customary units.
    Us,
}

impl UnitSystem {
    /// By the word of the settings.
    pub fn by_word(word: &str) -> Option<Self> {
        match word {
            "metric" => Some(Self::Metric),
            "us" => Some(Self::Us),
            _ => None,
        }
    }
}

/// A unit, what stands for it in the other system, and the value in base units below which it does.
type Row = (&'static str, &'static str, f64);

const ANY: f64 = f64::INFINITY;

/// Whole units first, then symbols, which also stand for themselves inside products.
const TO_US: &[Row] = &[
    ("km/h", "mph", ANY),
    ("N·m", "lbf·in", 12.0),
    ("N·m", "lbf·ft", ANY),
    ("L/km", "mi/galUS", ANY),
    ("cm³", "in³", ANY),
    ("mm", "in", ANY),
    ("cm", "in", ANY),
    ("µm", "in", ANY),
    ("m", "ft", ANY),
    ("km", "mi", ANY),
    ("kg", "lb", ANY),
    ("g", "oz", ANY),
    ("t", "lb", ANY),
    ("N", "lbf", ANY),
    ("kN", "lbf", ANY),
    ("kgf", "lbf", ANY),
    ("Pa", "inH2O", ANY),
    ("hPa", "inH2O", 1e4),
    ("hPa", "inHg", ANY),
    ("mbar", "inH2O", 1e4),
    ("mbar", "inHg", ANY),
    ("kPa", "psi", ANY),
    ("MPa", "psi", ANY),
    ("bar", "psi", ANY),
    ("kPag", "psig", ANY),
    ("barg", "psig", ANY),
    ("kPaa", "psia", ANY),
    ("bara", "psia", ANY),
    ("degC", "degF", ANY),
    ("delta_degC", "delta_degF", ANY),
    ("K", "delta_degF", ANY),
    ("mL", "fl_ozUS", ANY),
    ("L", "qtUS", 0.02),
    ("L", "galUS", ANY),
    ("kW", "hp", ANY),
    ("hp_metric", "hp", ANY),
];

const TO_METRIC: &[Row] = &[
    ("mph", "km/h", ANY),
    ("lbf·ft", "N·m", ANY),
    ("lbf·in", "N·m", ANY),
    ("in³", "cm³", ANY),
    ("in", "mm", ANY),
    ("ft", "m", ANY),
    ("yd", "m", ANY),
    ("mi", "km", ANY),
    ("lb", "kg", ANY),
    ("oz", "g", ANY),
    ("lbf", "N", ANY),
    ("ozf", "N", ANY),
    ("inH2O", "mbar", ANY),
    ("inHg", "kPa", ANY),
    ("psi", "bar", ANY),
    ("psig", "barg", ANY),
    ("psia", "bara", ANY),
    ("degF", "degC", ANY),
    ("delta_degF", "delta_degC", ANY),
    ("fl_ozUS", "mL", ANY),
    ("qtUS", "L", ANY),
    ("galUS", "L", ANY),
    ("hp", "kW", ANY),
];

/// A value as a page shows it: in the first of the systems, and in the second where that has another unit for it. What is
/// no quantity, or has the same unit everywhere, stands as written.
pub fn in_systems(text: &str, systems: &[UnitSystem]) -> (String, Option<String>) {
    let written = text.trim().to_owned();
    let [first, second, ..] = systems else { return (written, None) };
    match (in_system(text, *first), in_system(text, *second)) {
        (Some(converted), _) => (converted, Some(written)),
        (None, other) => (written, other),
    }
}

/// A value in the unit that a system has for it; `None` if it is written in one of that system's already, or in one that
/// both use.
pub fn in_system(text: &str, system: UnitSystem) -> Option<String> {
    let literal = read(text)?;
    let bounds = literal::bounds(&literal).ok()?;
    let other = counterpart(&literal::shown_unit(&literal).text, bounds.high.abs(), system)?;
    if other.measure.dimension != bounds.measure.dimension {
        return inverted(&bounds, &other);
    }
    let convert = |amount: &Amount| other.from_base(amount.base());
    Some(match &literal {
        Literal::Value(own) => {
            let number = convert(own);
            with_unit(&fixed_number(number, places(&other, bounds.half_digit, &[number], ANY)), Some(&other))
        }
        Literal::Range(low, high) => {
            let ends = [convert(low), convert(high)];
            let places = places(&other, bounds.half_digit, &ends, ends[1] - ends[0]);
            with_unit(&ends.map(|end| fixed_number(end, places)).join(" to "), Some(&other))
        }
        Literal::Spread(middle, HalfWidth::Amount(half)) => {
            let width = other.as_difference().from_base(literal::half_width(bounds.measure, half).ok()?);
            let places = places(&other, bounds.half_digit, &[convert(middle)], width);
            with_unit(&[convert(middle), width].map(|end| fixed_number(end, places)).join(" ± "), Some(&other))
        }
        Literal::Spread(middle, HalfWidth::Percent(percent, _)) => {
            let number = convert(middle);
            let number = fixed_number(number, places(&other, bounds.half_digit, &[number], ANY));
            format!("{} ± {} %", with_unit(&number, Some(&other)), percent.to_f64())
        }
    })
}

/// Intervals of readings such as `< 1.5` and `1.5 to 3`, all in one unit, in that of a system: with the same digits in
/// each, so that an end which two share stays one.
pub fn intervals_in_system(texts: &[&str], written: &str, system: UnitSystem) -> Option<Vec<String>> {
    let own = unit(written, Span::default()).ok()?;
    let all: Vec<Vec<Token>> = texts.iter().map(|text| tokens(text, whole(text))).collect();
    let decimals: Vec<Decimal> = all.iter().flat_map(|tokens| numbers(tokens)).map(|(_, number)| number).collect();
    let most = decimals.iter().map(|number| own.to_base(*number).abs()).fold(0.0, f64::max);
    let other =
        counterpart(&own.text, most, system).filter(|other| other.measure.dimension == own.measure.dimension)?;
    let mut converted: Vec<f64> = decimals.iter().map(|number| other.from_base(own.to_base(*number))).collect();
    converted.sort_by(f64::total_cmp);
    let steps = converted.windows(2).filter_map(|pair| Some(pair.last()? - pair.first()?));
    let closest = steps.filter(|step| *step > 0.0).fold(ANY, f64::min);
    let finest = decimals.iter().map(|number| own.width_to_base(half_digit(*number))).fold(ANY, f64::min);
    let places = places(&other, finest, &converted, closest);
    let replaced = texts.iter().zip(&all).map(|(text, tokens)| {
        let mut shown = String::new();
        let mut end = 0;
        for (range, number) in numbers(tokens) {
            shown.push_str(text.get(end..range.start)?);
            shown.push_str(&fixed_number(other.from_base(own.to_base(number)), places));
            end = range.end;
        }
        shown.push_str(text.get(end..)?);
        Some(with_unit(shown.trim(), Some(&other)))
    });
    replaced.collect()
}

/// The numbers of a text with their signs, each with its place.
fn numbers(tokens: &[Token]) -> Vec<(std::ops::Range<usize>, Decimal)> {
    let signed = |at: usize| at.checked_sub(1).and_then(|at| tokens.get(at)).filter(|before| before.is_sign("-"));
    let found = tokens.iter().enumerate().filter_map(|(at, token)| match &token.kind {
        TokenKind::Number(number) => Some(match signed(at) {
            Some(sign) => (sign.span.to(token.span).range(), number.negative()),
            None => (token.span.range(), *number),
        }),
        _ => None,
    });
    found.collect()
}

fn half_digit(number: Decimal) -> Decimal {
    Decimal { mantissa: 5, exponent: number.exponent.saturating_sub(1) }
}

/// A place for a text that stands by itself.
fn whole(text: &str) -> Span {
    Span::new(FileId(0), 0..text.len())
}

fn read(text: &str) -> Option<Literal> {
    let names = BTreeSet::new();
    let tokens = tokens(text, whole(text));
    let mut cursor = Cursor::new(&tokens, &names);
    let literal = cursor.literal().ok()?;
    cursor.at_end().then_some(literal)
}

/// The unit that a system has for a value of this size in another one's.
fn counterpart(text: &str, size: f64, system: UnitSystem) -> Option<Unit> {
    let rows = match system {
        UnitSystem::Metric => TO_METRIC,
        UnitSystem::Us => TO_US,
    };
    let whole = rows.iter().find(|(own, _, below)| *own == text && size < *below).map(|(_, other, _)| *other);
    let other = whole.map_or_else(|| product(text, rows), |other| Some(other.to_owned()))?;
    unit(&other, Span::default()).ok()
}

/// A product or a quotient, symbol by symbol; `None` if every symbol is the same in both systems.
fn product(text: &str, rows: &[Row]) -> Option<String> {
    let mut other = String::new();
    let mut changed = false;
    for part in text.split_inclusive(['·', '/']) {
        let symbol = part.trim_end_matches(['·', '/']);
        let bare = symbol.find(['²', '³', '^']).map_or(symbol, |at| symbol.get(..at).unwrap_or(symbol));
        let found = rows.iter().find(|(own, _, below)| *own == bare && *below == ANY);
        changed |= found.is_some();
        other.push_str(found.map_or(bare, |(_, other, _)| other));
        other.push_str(part.get(bare.len()..)?);
    }
    changed.then_some(other)
}

/// Fuel for a distance as distance for a fuel.
fn inverted(bounds: &Bounds, other: &Unit) -> Option<String> {
    let inverse = other.measure.dimension.times(bounds.measure.dimension) == Some(Dimension::NONE);
    if !inverse || bounds.low <= 0.0 {
        return None;
    }
    let ends = [bounds.high, bounds.low].map(|end| other.from_base(1.0 / end));
    let half_digit = bounds.half_digit / (bounds.high * bounds.high);
    let places = places(other, half_digit, &ends, if bounds.low < bounds.high { ends[1] - ends[0] } else { ANY });
    let [low, high] = ends.map(|end| fixed_number(end, places));
    Some(with_unit(&if bounds.low < bounds.high { format!("{low} to {high}") } else { low }, Some(other)))
}

/// Decimal places in a unit: as fine as half a digit of what was written (in base units), three digits of the largest
/// number and two of the width. A temperature reading has no significant digits: its zero is a convention.
fn places(other: &Unit, half_digit: f64, numbers: &[f64], width: f64) -> usize {
    let finest = 2.0 * half_digit / other.factor();
    let most = numbers.iter().fold(0.0_f64, |most, number| most.max(number.abs()));
    let digits = |number: f64, digits: i32| {
        let known = number > 0.0 && number.is_finite();
        if known { digits - 1 - number.log10().floor() as i32 } else { 0 }
    };
    let own = if other.measure.kind == Kind::Point {
        (-(2.0 * finest).log10()).ceil() as i32
    } else {
        ((-finest.log10() - 1e-9).ceil() as i32).max(digits(most, 3))
    };
    usize::try_from(own.max(digits(width, 2)).min(MOST_PLACES)).unwrap_or(0)
}

const MOST_PLACES: i32 = 6;
