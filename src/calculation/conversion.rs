//! Which quantities go together, and which convert into which unit.

use std::f64::consts::PI;

use super::dimension::{Dimension, Kind, Measure};
use super::formula::Arithmetic;
use super::unit::Unit;

/// What two quantities are together in a comparison, a choice or an extreme; `None` if they do not mix.
///
/// A plain quantity takes the other's kind: a product of force and length may be a torque or an energy. Readings mix
/// with readings of their own scale only.
pub(super) fn unify(one: Measure, other: Measure) -> Option<Measure> {
    let (one, other) = (one.settled(), other.settled());
    if one.dimension == other.dimension {
        return kinds(one.kind, other.kind).map(|kind| Measure { kind, ..one });
    }
    let bare = one.dimension.without_angle();
    if bare != other.dimension.without_angle() {
        return None;
    }
    if !bare.is_rate_or_angle() {
        return kinds(one.kind, other.kind).map(|kind| Measure { dimension: bare, kind });
    }
    // A rate of unknown kind (speed over radius) may be an angular speed; a frequency is none.
    let (angular, rate) = if one.dimension == bare { (other, one) } else { (one, other) };
    let fits = rate.dimension == bare && rate.kind == Kind::Plain && bare.time().num != 0;
    fits.then_some(angular)
}

fn kinds(one: Kind, other: Kind) -> Option<Kind> {
    let reading = |kind| matches!(kind, Kind::Point | Kind::Gauge | Kind::Absolute);
    match (one, other) {
        (one, other) if one == other => Some(one),
        (Kind::Plain, kind) | (kind, Kind::Plain) if !reading(kind) && kind != Kind::TorqueTurns => Some(kind),
        _ => None,
    }
}

/// What a sum or a difference is: a reading and a difference make a reading, two readings differ by a difference.
pub(super) fn combine(operator: Arithmetic, one: Measure, other: Measure) -> Option<Measure> {
    let (one, other) = (one.settled(), other.settled());
    let plain = |measure: Measure| measure.kind == Kind::Plain;
    let same = one.dimension == other.dimension;
    match (one.is_reading(), other.is_reading()) {
        (true, false) => (same && plain(other)).then_some(one),
        (false, true) => (same && plain(one) && operator == Arithmetic::Plus).then_some(other),
        (true, true) => (one == other && operator == Arithmetic::Minus).then(|| Measure::plain(one.dimension)),
        (false, false) => unify(one, other),
    }
}

/// What a base value is multiplied by when it is shown in a unit; `None` if it cannot be.
///
/// Beside what mixes, three conversions are allowed because they are asked for by name: a temperature reading in K (above
/// absolute zero), turns in an angle, cycles in an angular speed (1 rev = 2π rad), and back.
pub(super) fn conversion(from: Measure, unit: &Unit) -> Option<f64> {
    let to = unit.measure;
    if from.kind == Kind::Point && unit.text == "K" {
        return Some(1.0);
    }
    if unify(from, to).is_some() {
        return Some(1.0);
    }
    let turning = from.dimension.without_angle() == to.dimension.without_angle() && from.dimension.is_rate_or_angle();
    let steady = from.dimension.time().num == 0;
    let counted = |measure: Measure| measure.kind == Kind::Turns || (!steady && measure.kind == Kind::Cycles);
    let radians = |measure: Measure| measure.dimension.angle() == super::number::Ratio::ONE;
    match (turning, counted(from) && radians(to), radians(from) && counted(to)) {
        (true, true, _) => Some(2.0 * PI),
        (true, _, true) => Some(1.0 / (2.0 * PI)),
        _ => None,
    }
}

/// A word of help about two quantities that are often confused.
pub(super) fn hint(found: Measure, wanted: Measure) -> Option<&'static str> {
    let is = |exponents: [i8; 6]| {
        let dimension = Dimension::of(exponents);
        found.dimension == dimension || wanted.dimension == dimension
    };
    let same = found.dimension == wanted.dimension;
    let either = |kind: Kind| found.kind == kind || wanted.kind == kind;
    if same && either(Kind::TorqueTurns) {
        Some("1 rev = 2π rad: take the angular speed, `in rad/s`, or multiply by 2 * pi")
    } else if same && either(Kind::Point) {
        Some("degC and degF are readings; a difference is in K, delta_degC or delta_degF")
    } else if same && (either(Kind::Gauge) || either(Kind::Absolute)) {
        Some(
            "psig, barg, kPag count from the air's pressure, psia, bara, kPaa from vacuum; psi, bar, kPa are differences",
        )
    } else if same && either(Kind::Torque) {
        Some(
            "a torque is in N·m or lbf·ft, an energy in J, kJ or kWh; power over rad/s is a torque, over rpm or Hz the energy of a turn",
        )
    } else if is([0, 1, 0, 0, 0, 0]) && is([1, 1, -2, 0, 0, 0]) {
        Some("kg and lb are masses; N, kgf and lbf are forces: multiply a mass by g0")
    } else if found.dimension.is_number() || wanted.dimension.is_number() {
        Some(if is([0, 0, 0, 0, 0, 1]) {
            "an angle needs its unit: deg or rad"
        } else {
            "a number without a unit goes with numbers only"
        })
    } else if either(Kind::Cycles) {
        Some("rpm and Hz count turns, rad/s counts radians: convert with `in rad/s`")
    } else if is([0, 0, 0, 1, 0, 0]) && is([0, 0, 1, 1, 0, 0]) {
        Some("A is a current, Ah a charge: multiply by a time")
    } else {
        None
    }
}
