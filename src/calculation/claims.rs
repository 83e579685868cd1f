//! Claims against what was computed.

use super::dimension::Type;
use super::evaluate::Value;
use super::interval::Interval;
use super::prose::{self, Stated};
use super::sheet::{CheckedStatement, Claim};
use super::show;
use super::text::Quantity;
use super::unit::Unit;
use super::values::Outcome;
use crate::diagnostic::{Mark, MarkId, Span, Spanned};

/// Rounding of the arithmetic itself, relative: far below any digit that a person writes.
const ROUNDING: f64 = 1e-12;

/// Whether an interval holds another, within a tolerance.
fn holds(stated: Interval, tolerance: f64, computed: Interval) -> bool {
    let size =
        [stated.low, stated.high, computed.low, computed.high].iter().fold(0.0, |size: f64, end| size.max(end.abs()));
    let slack = tolerance + size * ROUNDING;
    stated.low - slack <= computed.low && computed.high <= stated.high + slack
}

fn interval(outcome: Outcome) -> Option<Interval> {
    match outcome {
        Outcome::Exact(Value::Number(number)) => Some(Interval::exactly(number)),
        Outcome::Between(interval) => Some(interval),
        _ => None,
    }
}

/// The claim of a statement, for one group of vehicles: a mark if it does not hold.
pub(super) fn inspect(
    statement: &CheckedStatement,
    claim: &Claim,
    outcome: Outcome,
    vehicle: Option<&str>,
) -> Option<Mark> {
    let unit = statement.unit.as_ref();
    let name = statement.name.value.as_str();
    match (claim, outcome) {
        (_, Outcome::Unknown) => None,
        (Claim::Truth(stated, span), Outcome::Exact(Value::Truth(computed))) => {
            (*stated != computed).then(|| differs(*span, name, &stated.to_string(), &computed.to_string(), vehicle))
        }
        (Claim::Truth(stated, span), _) => {
            Some(differs(*span, name, &stated.to_string(), "sometimes true and sometimes false", vehicle))
        }
        (Claim::Quantity { stated, tolerance, places, span }, outcome) => {
            let computed = interval(outcome)?;
            (!holds(*stated, *tolerance, computed)).then(|| {
                let mark =
                    differs(*span, name, &show_interval(*stated, unit, *places), &exactly(computed, unit), vehicle);
                mark.with("rounded", show_interval(computed, unit, *places))
            })
        }
    }
}

fn differs(span: Span, name: &str, stated: &str, computed: &str, vehicle: Option<&str>) -> Mark {
    let mark = Mark::new(MarkId::StatedValueDiffers, span).with("name", name).with("stated", stated);
    mark.with("computed", computed).with_some("vehicle", vehicle)
}

fn show_interval(interval: Interval, unit: Option<&Unit>, places: usize) -> String {
    let (low, high) = (show::in_unit(interval.low, unit), show::in_unit(interval.high, unit));
    let (low, high) = (show::fixed_number(low, places), show::fixed_number(high, places));
    let number = if low == high { low } else { format!("{low} to {high}") };
    show::with_unit(&number, unit)
}

fn exactly(interval: Interval, unit: Option<&Unit>) -> String {
    let middle = interval.middle();
    let single = interval.width() <= middle.abs() * ROUNDING;
    if single { show::short(middle, unit) } else { show::between(interval, unit) }
}

/// A claim in prose about a statement's result, for one group of vehicles.
pub(super) fn inspect_link(
    words: &Spanned<String>,
    statement: &CheckedStatement,
    outcome: Outcome,
    vehicle: Option<&str>,
) -> Option<Mark> {
    let wanted = statement.kind.filter(|_| outcome != Outcome::Unknown)?;
    let stated = match prose::read(words, wanted) {
        Ok(stated) => stated,
        Err(mark) => return Some(mark),
    };
    let name = statement.name.value.as_str();
    match stated {
        Stated::Truth(stated) => match outcome {
            Outcome::Exact(Value::Truth(computed)) if computed == stated => None,
            Outcome::Exact(Value::Truth(computed)) => {
                Some(differs(words.span, name, &stated.to_string(), &computed.to_string(), vehicle))
            }
            _ => Some(differs(words.span, name, &stated.to_string(), "sometimes true and sometimes false", vehicle)),
        },
        Stated::Quantity { interval: stated, tolerance, span, places, unit } => {
            let computed = interval(outcome)?;
            (!holds(stated, tolerance, computed)).then(|| {
                let text = part_of(words, span);
                let turned = turned(statement.kind, &unit);
                let shown = Interval::new(computed.low * turned, computed.high * turned);
                let mark = differs(span, name, text, &exactly(shown, Some(&unit)), vehicle);
                mark.with("rounded", show_interval(shown, Some(&unit), places))
            })
        }
    }
}

/// 2π where a frequency is quoted in rad/s.
fn turned(from: Option<Type>, unit: &Unit) -> f64 {
    match from {
        Some(Type::Quantity(measure)) => super::conversion::conversion(measure, unit).unwrap_or(1.0),
        _ => 1.0,
    }
}

fn part_of(words: &Spanned<String>, span: Span) -> &str {
    let start = span.start.saturating_sub(words.span.start) as usize;
    let end = span.end.saturating_sub(words.span.start) as usize;
    words.value.get(start..end).unwrap_or(&words.value)
}

/// A specification quoted in prose: equal within the digits written. An interval must be quoted with both ends.
pub(super) fn inspect_specification(
    words: &Spanned<String>,
    name: &str,
    specified: &Quantity,
    vehicle: Option<&str>,
) -> Option<Mark> {
    let stated = match prose::read(words, Type::Quantity(specified.measure)) {
        Ok(stated) => stated,
        Err(mark) => return Some(mark),
    };
    let Stated::Quantity { interval: stated, tolerance, span, .. } = stated else { return None };
    let value = Interval::new(specified.low, specified.high);
    let same = |a: f64, b: f64| (a - b).abs() <= tolerance + a.abs().max(b.abs()) * ROUNDING;
    let equal = same(stated.low, value.low) && same(stated.high, value.high);
    (!equal).then(|| {
        let mark = Mark::new(MarkId::SpecDiffers, span).with("name", name).with("stated", part_of(words, span));
        let mark = mark.with("specified", specified.text.clone()).with_some("vehicle", vehicle);
        mark.see(specified.span, "the specification")
    })
}
