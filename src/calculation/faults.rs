//! The marks of this room, as data.
//!
//! | mark | facts (`?` = not always) | wrong | right | headline |
//! |---|---|---|---|---|
//! | `calc-syntax` | `found`, `expected` | `x = (1 + 2` | `x = 1 + 2` | found {found}, expected {expected} |
//! | `unknown-name` | `found`, `what` (name, function, system, specification), `nearest`?, `vehicle`? | `d = sped * 2 s` | `d = speed * 2 s` | no {what} {found} here; the nearest is {nearest} |
//! | `unknown-unit` | `found`, `choices`?, `nearest`? | `given fuel = 5 gal` | `given fuel = 5 galUS` | {found} is not a unit here: write {choices} |
//! | `dimension-mismatch` | `found`, `expected`, `hint`? | `x = 5 psi + 3` | `x = 5 psi + 3 psi` | {found} where {expected} is needed |
//! | `calc-loop` | `path` | `a = b` + `b = a` | `a = 2 * b` + `given b = 1` | worked out from itself: {path} |
//! | `stated-value-differs` | `name`, `stated`, `computed`, `rounded`, `vehicle`? | `d = 3 m * 2 gives 7 m` | `d = 3 m * 2 gives 6 m` | {name} is {computed}, not {stated} |
//! | `spec-differs` | `name`, `stated`, `specified`, `vehicle`? | `[4 mm](spec:brakes/pad)` | `[3 mm](spec:brakes/pad)` | {name} is {specified}, not {stated} |
//! | `out-of-domain` | `what`, `inputs`?, `certain` (yes, or no: not excluded), `vehicle`? | `given x = 1 from 0 to 2` + `y = 1 / x` | `given x = 1 from 0.5 to 2` + `y = 1 / x` | {what} when {inputs} |
//! | `unused-given` | `name` | `given x = 1 m` alone | a formula that uses it | the input {name} is not used |
//! | `bad-value` | `found`, `expected` | `given x = 5 m from 1 m to 2 m` | `given x = 1.5 m from 1 m to 2 m` | {found}: expected {expected} |

use super::dimension::Type;
use crate::diagnostic::{Mark, MarkId, Span};

/// A mark or several, boxed by nobody: marks are rare.
pub(super) type Checked<T> = Result<T, Mark>;

/// Text that is no statement.
pub(super) fn syntax(span: Span, found: impl Into<String>, expected: impl Into<String>) -> Mark {
    Mark::new(MarkId::CalcSyntax, span).with("found", found).with("expected", expected)
}

/// A name that stands for nothing.
pub(super) fn unknown_name(span: Span, found: &str, what: &str, nearest: Option<String>) -> Mark {
    Mark::new(MarkId::UnknownName, span).with("found", found).with("what", what).with_some("nearest", nearest)
}

/// A symbol that is no unit, or more than one.
pub(super) fn unknown_unit(span: Span, found: &str) -> Mark {
    let choices = super::unit_table::choices(found);
    let nearest = if choices.is_some() { None } else { super::unit_table::nearest(found) };
    Mark::new(MarkId::UnknownUnit, span)
        .with("found", found)
        .with_some("choices", choices)
        .with_some("nearest", nearest)
}

/// A unit that is refused although its symbols are known.
pub(super) fn refused_unit(span: Span, found: impl Into<String>, choices: impl Into<String>) -> Mark {
    Mark::new(MarkId::UnknownUnit, span).with("found", found).with("choices", choices)
}

/// A quantity of another dimension or kind than is needed.
pub(super) fn mismatch(span: Span, found: Type, expected: impl Into<String>) -> Mark {
    Mark::new(MarkId::DimensionMismatch, span).with("found", found.words()).with("expected", expected)
}

/// A tolerance in percent of a temperature reading.
pub(super) fn percent_of_temperature(span: Span) -> Mark {
    Mark::new(MarkId::DimensionMismatch, span)
        .with("found", "a percentage of a temperature reading")
        .with("expected", "a temperature difference (K, delta_degC, delta_degF)")
        .with("hint", "a scale's zero is no zero of heat")
}

/// A value that contradicts itself.
pub(super) fn bad_value(span: Span, found: impl Into<String>, expected: impl Into<String>) -> Mark {
    Mark::new(MarkId::BadValue, span).with("found", found).with("expected", expected)
}

/// A value that does not exist.
pub(super) fn out_of_domain(span: Span, what: impl Into<String>) -> Mark {
    Mark::new(MarkId::OutOfDomain, span).with("what", what).with("certain", "yes")
}

/// A fault of evaluation.
pub(super) fn domain(fault: super::formula::Fault, certain: &'static str) -> Mark {
    Mark::new(MarkId::OutOfDomain, fault.span).with("what", fault.trouble.words()).with("certain", certain)
}
