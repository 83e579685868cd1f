//! Units as prose says them.

use std::collections::BTreeSet;

use super::cursor::Cursor;
use super::dimension::{Kind, Measure};
use super::lexer::tokens;
use super::unit::Unit;
use crate::diagnostic::Span;

/// Words before a number that make it a round one.
const ABOUT: &[&str] = &[
    "about",
    "around",
    "roughly",
    "approximately",
    "some",
    "nearly",
    "almost",
    "circa",
    "ca.",
    "~",
    "≈",
    "unos",
    "unas",
    "alrededor",
    "aproximadamente",
    "casi",
];

/// Whether the words before a number make it a round one.
pub(super) fn about(before: &str) -> bool {
    let lower = before.to_lowercase();
    let mut words = lower.split_whitespace().rev().filter(|word| !matches!(*word, "a" | "an" | "the" | "de"));
    words.next().is_some_and(|word| ABOUT.contains(&word) || word.ends_with(['~', '≈']))
}

/// Spoken units with their symbols; longer ones before their beginnings. English and Spanish.
const SPOKEN: &[(&str, &str)] = &[
    ("newton metres", "N·m"),
    ("newton metre", "N·m"),
    ("newton-metres", "N·m"),
    ("newton meters", "N·m"),
    ("newton-meters", "N·m"),
    ("newtons metro", "N·m"),
    ("pound-feet", "lbf·ft"),
    ("pound feet", "lbf·ft"),
    ("pounds per square inch", "psi"),
    ("revolutions per minute", "rpm"),
    ("revoluciones por minuto", "rpm"),
    ("turns per minute", "rpm"),
    ("revolutions", "rev"),
    ("turns", "rev"),
    ("vueltas", "rev"),
    ("square millimetres", "mm^2"),
    ("square metres", "m^2"),
    ("cubic centimetres", "cm^3"),
    ("cubic metres", "m^3"),
    ("kilometres", "km"),
    ("kilometers", "km"),
    ("kilometre", "km"),
    ("kilómetros", "km"),
    ("millimetres", "mm"),
    ("millimeters", "mm"),
    ("millimetre", "mm"),
    ("milímetros", "mm"),
    ("centimetres", "cm"),
    ("centimeters", "cm"),
    ("centímetros", "cm"),
    ("metres", "m"),
    ("meters", "m"),
    ("metre", "m"),
    ("metros", "m"),
    ("miles", "mi"),
    ("mile", "mi"),
    ("millas", "mi"),
    ("inches", "in"),
    ("inch", "in"),
    ("pulgadas", "in"),
    ("feet", "ft"),
    ("foot", "ft"),
    ("pies", "ft"),
    ("yards", "yd"),
    ("milliseconds", "ms"),
    ("seconds", "s"),
    ("second", "s"),
    ("segundos", "s"),
    ("segundo", "s"),
    ("minutes", "min"),
    ("minute", "min"),
    ("minutos", "min"),
    ("minuto", "min"),
    ("hours", "h"),
    ("hour", "h"),
    ("horas", "h"),
    ("hora", "h"),
    ("days", "d"),
    ("day", "d"),
    ("días", "d"),
    ("milliamps", "mA"),
    ("amp-hours", "Ah"),
    ("amp hours", "Ah"),
    ("ampere-hours", "Ah"),
    ("amperes", "A"),
    ("amps", "A"),
    ("amp", "A"),
    ("amperios", "A"),
    ("millivolts", "mV"),
    ("milivoltios", "mV"),
    ("volts", "V"),
    ("volt", "V"),
    ("voltios", "V"),
    ("ohms", "ohm"),
    ("ohmios", "ohm"),
    ("kilowatt-hours", "kWh"),
    ("kilowatt hours", "kWh"),
    ("kilowatts", "kW"),
    ("kilovatios", "kW"),
    ("watts", "W"),
    ("vatios", "W"),
    ("joules", "J"),
    ("kilonewtons", "kN"),
    ("newtons", "N"),
    ("kilopascals", "kPa"),
    ("bars", "bar"),
    ("bares", "bar"),
    ("hertz", "Hz"),
    ("kilohertz", "kHz"),
    ("kilograms", "kg"),
    ("kilogrammes", "kg"),
    ("kilogramos", "kg"),
    ("kilos", "kg"),
    ("grams", "g"),
    ("gramos", "g"),
    ("tonnes", "t"),
    ("toneladas", "t"),
    ("litres", "L"),
    ("liters", "L"),
    ("litre", "L"),
    ("litros", "L"),
    ("millilitres", "mL"),
    ("milliliters", "mL"),
    ("degrees celsius", "degC"),
    ("degrees c", "degC"),
    ("degrees fahrenheit", "degF"),
    ("degrees f", "degF"),
    ("grados celsius", "degC"),
    ("kelvins", "K"),
    ("kelvin", "K"),
    ("per cent", "%"),
    ("percent", "%"),
    ("por ciento", "%"),
    ("radians", "rad"),
    ("°c", "degC"),
    ("ºc", "degC"),
    ("° c", "degC"),
    ("°f", "degF"),
    ("ºf", "degF"),
    ("nm", "N·m"),
    ("kph", "km/h"),
];

/// What joins the two halves of a quotient.
const PER: &[&str] = &[" per ", " a ", " an ", " por ", "/"];

/// A unit at the start of a text, and its length in bytes; `None` if none of the spoken ones stands there.
pub(super) fn spoken_unit(text: &str, wanted: Measure) -> Option<(Unit, usize)> {
    if let Some(length) = degrees_of_angle(text, wanted) {
        return symbol_unit("deg").map(|unit| (unit, length));
    }
    let (symbol, length) = spoken(text)?;
    let rest = text.get(length..).unwrap_or("");
    let below = PER.iter().find_map(|per| {
        let after = rest.strip_prefix(per)?;
        let (below, below_length) = spoken(after)?;
        Some((below, length + per.len() + below_length))
    });
    match below {
        Some((below, total)) => Some((symbol_unit(&format!("{symbol}/{below}"))?, total)),
        None => Some((symbol_unit(symbol)?, length)),
    }
}

/// `30 degrees` and `30°`, where an angle is quoted.
fn degrees_of_angle(text: &str, wanted: Measure) -> Option<usize> {
    let angle = wanted.dimension.is_plane_angle() || wanted.kind == Kind::Turns;
    let word = ["degrees", "degree", "grados", "°"].into_iter().find(|word| text.starts_with(word))?;
    let next = text.get(word.len()..).and_then(|rest| rest.chars().next());
    (angle && next.is_none_or(|letter| !letter.is_alphanumeric())).then_some(word.len())
}

fn spoken(text: &str) -> Option<(&'static str, usize)> {
    SPOKEN.iter().find_map(|(words, symbol)| {
        let head = text.get(..words.len())?;
        let ends = text.get(words.len()..)?.chars().next().is_none_or(|next| !next.is_alphanumeric());
        (ends && head.to_lowercase() == *words).then_some((*symbol, words.len()))
    })
}

fn symbol_unit(symbol: &str) -> Option<Unit> {
    let names = BTreeSet::new();
    let tokens = tokens(symbol, Span::default());
    Cursor::new(&tokens, &names).unit().ok()
}
