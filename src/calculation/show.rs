//! Numbers for people: in a unit, with as many digits as help.

use super::interval::Interval;
use super::unit::Unit;

/// At most six significant digits, without trailing zeros, and the unit.
pub(super) fn short(base: f64, unit: Option<&Unit>) -> String {
    with_unit(&significant(in_unit(base, unit), 6), unit)
}

/// Three significant digits and the unit: for labels of a drawing.
pub(super) fn rough(base: f64, unit: Option<&Unit>) -> String {
    with_unit(&significant(in_unit(base, unit), 3), unit)
}

/// Both ends with at most six significant digits, and the unit once.
pub(super) fn between(interval: Interval, unit: Option<&Unit>) -> String {
    let ends = [interval.low, interval.high].map(|end| significant(in_unit(end, unit), 6));
    with_unit(&ends.join(" to "), unit)
}

/// The number in its unit.
pub(super) fn in_unit(base: f64, unit: Option<&Unit>) -> f64 {
    unit.map_or(base, |unit| unit.from_base(base))
}

/// A blank stands between number and unit, also before % (SI Brochure, 9th edition, 5.4.3 and 5.4.7; recalled from memory).
pub(super) fn with_unit(number: &str, unit: Option<&Unit>) -> String {
    match unit.map(|unit| unit.text.as_str()).filter(|text| !text.is_empty()) {
        Some(text) => format!("{number} {text}"),
        None => number.to_owned(),
    }
}

/// Fixed decimals; never `-0`. Nothing is nothing in any unit: it has no decimals.
pub(super) fn fixed_number(number: f64, places: usize) -> String {
    if number == 0.0 {
        return "0".to_owned();
    }
    let text = format!("{number:.places$}");
    let zero = text.bytes().all(|byte| matches!(byte, b'-' | b'0' | b'.'));
    if zero { text.trim_start_matches('-').to_owned() } else { text }
}

/// How many decimals a number has that somebody wrote; none where powers of ten are.
pub(super) fn decimals(number: f64) -> Option<usize> {
    let text = significant(number, 12);
    let decimals = text.split_once('.').map_or(0, |(_, decimals)| decimals.len());
    if text.contains('e') { None } else { Some(decimals) }
}

/// Up to `digits` significant digits, no trailing zeros; powers of ten only beyond a thousand million or below a millionth.
pub(super) fn significant(number: f64, digits: usize) -> String {
    if number == 0.0 || !number.is_finite() {
        return if number == 0.0 { "0".to_owned() } else { number.to_string() };
    }
    let scientific = format!("{:.*e}", digits.saturating_sub(1), number);
    let (mantissa, exponent) = scientific.split_once('e').unwrap_or((&scientific, "0"));
    let exponent: i32 = exponent.parse().unwrap_or(0);
    if !(-6..9).contains(&exponent) {
        return format!("{}e{exponent}", trim(mantissa));
    }
    let last = i32::try_from(digits).unwrap_or(6) - 1 - exponent;
    let rounded: f64 = scientific.parse().unwrap_or(number);
    trim(&format!("{rounded:.*}", usize::try_from(last).unwrap_or(0))).to_owned()
}

fn trim(number: &str) -> &str {
    if number.contains('.') { number.trim_end_matches('0').trim_end_matches('.') } else { number }
}
