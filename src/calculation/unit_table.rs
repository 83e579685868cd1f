//! The unit symbols, their exact factors, and the symbols that are refused because they mean several things.
//!
//! Factors: NIST SP 811 (2008), appendix B.8, and the SI Brochure, 9th edition, recalled from memory and compared in
//! the tests with published rows and with a reference library. Exact by definition: inch 0.0254 m, pound
//! 0.453 592 37 kg, standard gravity 9.806 65 m/s², US gallon 231 in³, imperial gallon 4.546 09 L, knot 1852 m/h,
//! conventional millimetre of water 9.806 65 Pa and of mercury 133.322 387 415 Pa, horsepower 550 ft·lbf/s, metric
//! horsepower 75 kgf·m/s.

use super::dimension::{Dimension, Kind, Measure};
use super::number::{Factor, Ratio};

/// A unit symbol: `base value = (number + offset) × factor`.
#[derive(Clone, Copy, Debug)]
pub struct Symbol {
    /// As written.
    pub symbol: &'static str,
    num: i128,
    den: i128,
    pi: i32,
    exponents: [i8; 6],
    /// What it says beyond its dimension.
    pub kind: Kind,
    offset: (i128, i128),
}

impl Symbol {
    /// Factor to base units.
    pub fn factor(&self) -> Factor {
        Factor::new(Ratio { num: self.num, den: self.den }, self.pi)
    }

    /// Zero of the scale below the written zero, in this unit; not 0 for temperature scales only.
    pub fn offset(&self) -> Ratio {
        Ratio { num: self.offset.0, den: self.offset.1 }
    }

    /// Dimension and kind.
    pub fn measure(&self) -> Measure {
        Measure { dimension: Dimension::of(self.exponents), kind: self.kind }
    }
}

const LENGTH: [i8; 6] = [1, 0, 0, 0, 0, 0];
const MASS: [i8; 6] = [0, 1, 0, 0, 0, 0];
const TIME: [i8; 6] = [0, 0, 1, 0, 0, 0];
const CURRENT: [i8; 6] = [0, 0, 0, 1, 0, 0];
const TEMPERATURE: [i8; 6] = [0, 0, 0, 0, 1, 0];
const ANGLE: [i8; 6] = [0, 0, 0, 0, 0, 1];
const NUMBER: [i8; 6] = [0, 0, 0, 0, 0, 0];
const FORCE: [i8; 6] = [1, 1, -2, 0, 0, 0];
const PRESSURE: [i8; 6] = [-1, 1, -2, 0, 0, 0];
const ENERGY: [i8; 6] = [2, 1, -2, 0, 0, 0];
const POWER: [i8; 6] = [2, 1, -3, 0, 0, 0];
const VOLUME: [i8; 6] = [3, 0, 0, 0, 0, 0];
const SPEED: [i8; 6] = [1, 0, -1, 0, 0, 0];
const RATE: [i8; 6] = [0, 0, -1, 0, 0, 0];
const VOLTAGE: [i8; 6] = [2, 1, -3, -1, 0, 0];
const RESISTANCE: [i8; 6] = [2, 1, -3, -2, 0, 0];
const CHARGE: [i8; 6] = [0, 0, 1, 1, 0, 0];
const CAPACITANCE: [i8; 6] = [-2, -1, 4, 2, 0, 0];
const INDUCTANCE: [i8; 6] = [2, 1, -2, -2, 0, 0];

const fn row(symbol: &'static str, num: i128, den: i128, exponents: [i8; 6]) -> Symbol {
    of_kind(symbol, num, den, exponents, Kind::Plain)
}

const fn of_kind(symbol: &'static str, num: i128, den: i128, exponents: [i8; 6], kind: Kind) -> Symbol {
    let (num, den) = lowest(num, den);
    Symbol { symbol, num, den, pi: 0, exponents, kind, offset: (0, 1) }
}

const fn point(symbol: &'static str, num: i128, den: i128, offset: (i128, i128)) -> Symbol {
    Symbol { symbol, num, den, pi: 0, exponents: TEMPERATURE, kind: Kind::Point, offset }
}

const fn turned(symbol: &'static str, num: i128, den: i128) -> Symbol {
    Symbol { symbol, num, den, pi: 1, exponents: ANGLE, kind: Kind::Plain, offset: (0, 1) }
}

const fn lowest(num: i128, den: i128) -> (i128, i128) {
    let (mut a, mut b) = (num, den);
    while b != 0 {
        (a, b) = (b, a % b);
    }
    (num / a, den / a)
}

/// Pound-force over square inch: 4.448 221 615 260 5 N / 0.000 645 16 m².
const PSI: (i128, i128) = (44_482_216_152_605, 6_451_600_000);

/// Every symbol, in the order in which the manual lists them.
pub(super) const SYMBOLS: &[Symbol] = &[
    row("m", 1, 1, LENGTH),
    row("mm", 1, 1000, LENGTH),
    row("cm", 1, 100, LENGTH),
    row("µm", 1, 1_000_000, LENGTH),
    row("km", 1000, 1, LENGTH),
    row("in", 254, 10_000, LENGTH),
    row("ft", 3048, 10_000, LENGTH),
    row("yd", 9144, 10_000, LENGTH),
    row("mi", 1_609_344, 1000, LENGTH),
    row("s", 1, 1, TIME),
    row("ms", 1, 1000, TIME),
    row("µs", 1, 1_000_000, TIME),
    row("min", 60, 1, TIME),
    row("h", 3600, 1, TIME),
    row("d", 86_400, 1, TIME),
    row("kg", 1, 1, MASS),
    row("g", 1, 1000, MASS),
    row("mg", 1, 1_000_000, MASS),
    row("t", 1000, 1, MASS),
    row("lb", 45_359_237, 100_000_000, MASS),
    row("oz", 45_359_237, 1_600_000_000, MASS),
    row("N", 1, 1, FORCE),
    row("kN", 1000, 1, FORCE),
    row("lbf", 44_482_216_152_605, 10_000_000_000_000, FORCE),
    row("ozf", 44_482_216_152_605, 160_000_000_000_000, FORCE),
    row("kgf", 980_665, 100_000, FORCE),
    row("Pa", 1, 1, PRESSURE),
    row("hPa", 100, 1, PRESSURE),
    row("kPa", 1000, 1, PRESSURE),
    row("MPa", 1_000_000, 1, PRESSURE),
    row("bar", 100_000, 1, PRESSURE),
    row("mbar", 100, 1, PRESSURE),
    row("psi", PSI.0, PSI.1, PRESSURE),
    row("inHg", 3_386_388_640_341, 1_000_000_000, PRESSURE),
    row("inH2O", 24_908_891, 100_000, PRESSURE),
    of_kind("psig", PSI.0, PSI.1, PRESSURE, Kind::Gauge),
    of_kind("barg", 100_000, 1, PRESSURE, Kind::Gauge),
    of_kind("kPag", 1000, 1, PRESSURE, Kind::Gauge),
    of_kind("psia", PSI.0, PSI.1, PRESSURE, Kind::Absolute),
    of_kind("bara", 100_000, 1, PRESSURE, Kind::Absolute),
    of_kind("kPaa", 1000, 1, PRESSURE, Kind::Absolute),
    of_kind("J", 1, 1, ENERGY, Kind::Energy),
    of_kind("kJ", 1000, 1, ENERGY, Kind::Energy),
    of_kind("MJ", 1_000_000, 1, ENERGY, Kind::Energy),
    of_kind("Wh", 3600, 1, ENERGY, Kind::Energy),
    of_kind("kWh", 3_600_000, 1, ENERGY, Kind::Energy),
    row("W", 1, 1, POWER),
    row("mW", 1, 1000, POWER),
    row("kW", 1000, 1, POWER),
    row("hp", 74_569_987_158_227_022, 100_000_000_000_000, POWER),
    row("hp_metric", 73_549_875, 100_000, POWER),
    row("L", 1, 1000, VOLUME),
    row("mL", 1, 1_000_000, VOLUME),
    row("galUS", 3_785_411_784, 1_000_000_000_000, VOLUME),
    row("galUK", 454_609, 100_000_000, VOLUME),
    row("qtUS", 946_352_946, 1_000_000_000_000, VOLUME),
    row("fl_ozUS", 3_785_411_784, 128_000_000_000_000, VOLUME),
    row("fl_ozUK", 454_609, 16_000_000_000, VOLUME),
    row("mph", 44_704, 100_000, SPEED),
    row("kn", 1852, 3600, SPEED),
    row("A", 1, 1, CURRENT),
    row("mA", 1, 1000, CURRENT),
    row("V", 1, 1, VOLTAGE),
    row("mV", 1, 1000, VOLTAGE),
    row("kV", 1000, 1, VOLTAGE),
    row("ohm", 1, 1, RESISTANCE),
    row("mohm", 1, 1000, RESISTANCE),
    row("kohm", 1000, 1, RESISTANCE),
    row("Mohm", 1_000_000, 1, RESISTANCE),
    row("F", 1, 1, CAPACITANCE),
    row("µF", 1, 1_000_000, CAPACITANCE),
    row("H", 1, 1, INDUCTANCE),
    row("mH", 1, 1000, INDUCTANCE),
    row("Ah", 3600, 1, CHARGE),
    of_kind("Hz", 1, 1, RATE, Kind::Cycles),
    of_kind("kHz", 1000, 1, RATE, Kind::Cycles),
    of_kind("MHz", 1_000_000, 1, RATE, Kind::Cycles),
    of_kind("rpm", 1, 60, RATE, Kind::Cycles),
    of_kind("rev", 1, 1, NUMBER, Kind::Turns),
    row("rad", 1, 1, ANGLE),
    turned("deg", 1, 180),
    turned("arcmin", 1, 10_800),
    row("K", 1, 1, TEMPERATURE),
    point("degC", 1, 1, (27_315, 100)),
    point("degF", 5, 9, (45_967, 100)),
    row("delta_degC", 1, 1, TEMPERATURE),
    row("delta_degF", 5, 9, TEMPERATURE),
    row("%", 1, 100, NUMBER),
    row("ppm", 1, 1_000_000, NUMBER),
    row("g0", 980_665, 100_000, [1, 0, -2, 0, 0, 0]),
];

/// Other spellings of the same symbols.
const SPELLINGS: &[(&str, &str)] =
    &[("μm", "µm"), ("μs", "µs"), ("μF", "µF"), ("Ω", "ohm"), ("kΩ", "kohm"), ("mΩ", "mohm"), ("MΩ", "Mohm")];

/// The symbol of that name.
pub(super) fn symbol(name: &str) -> Option<&'static Symbol> {
    let spelling = SPELLINGS.iter().find(|(spelling, _)| *spelling == name).map_or(name, |(_, symbol)| symbol);
    SYMBOLS.iter().find(|row| row.symbol == spelling)
}

/// Symbols that mean several things, or that belong to another quantity than the trade means, with what may be meant.
const AMBIGUOUS: &[(&str, &str)] = &[
    ("gal", "galUS (3.785 L) or galUK (4.546 L)"),
    ("gallon", "galUS (3.785 L) or galUK (4.546 L)"),
    ("Gal", "galUS (3.785 L) or galUK (4.546 L)"),
    ("mpg", "mi/galUS or mi/galUK"),
    ("gpm", "galUS/min or galUK/min"),
    ("qt", "qtUS (0.946 L), or L"),
    ("pt", "fl_ozUS, fl_ozUK or L"),
    ("floz", "fl_ozUS (29.57 mL) or fl_ozUK (28.41 mL)"),
    ("fl_oz", "fl_ozUS (29.57 mL) or fl_ozUK (28.41 mL)"),
    ("ton", "t (1000 kg) or kg"),
    ("C", "degC (a reading), delta_degC (a difference) or Ah (a charge)"),
    ("°C", "degC (a reading) or delta_degC (a difference)"),
    ("ºC", "degC (a reading) or delta_degC (a difference)"),
    ("°F", "degF (a reading) or delta_degF (a difference)"),
    ("ºF", "degF (a reading) or delta_degF (a difference)"),
    ("°", "deg (an angle), degC or degF"),
    ("degree", "deg (an angle), degC or degF"),
    ("degrees", "deg (an angle), degC or degF"),
    ("Nm", "N·m (a torque) or J (an energy)"),
    ("kgm", "N·m, or kgf·m"),
    ("lbft", "lbf·ft (a torque) or J (an energy)"),
    ("lb_ft", "lbf·ft (a torque) or J (an energy)"),
    ("ftlb", "lbf·ft (a torque) or J (an energy)"),
    ("ft_lb", "lbf·ft (a torque) or J (an energy)"),
    ("ftlbs", "lbf·ft (a torque) or J (an energy)"),
    ("lbin", "lbf·in"),
    ("inlb", "lbf·in"),
    ("lbs", "lb (a mass) or lbf (a force)"),
    ("pound", "lb (a mass) or lbf (a force)"),
    ("pounds", "lb (a mass) or lbf (a force)"),
    ("kg_f", "kgf"),
    ("kp", "kgf"),
    ("PS", "hp_metric (735.5 W) or hp (745.7 W)"),
    ("HP", "hp_metric (735.5 W) or hp (745.7 W)"),
    ("bhp", "hp (745.7 W) or hp_metric (735.5 W)"),
    ("cv", "hp_metric"),
    ("CV", "hp_metric"),
    ("cc", "cm^3 or mL"),
    ("l", "L"),
    ("ml", "mL"),
    ("kph", "km/h"),
    ("kmh", "km/h"),
    ("mps", "m/s"),
    ("fps", "ft/s"),
    ("sec", "s"),
    ("secs", "s"),
    ("second", "s"),
    ("seconds", "s"),
    ("hr", "h"),
    ("hrs", "h"),
    ("mins", "min"),
    ("u", "µm, µs or µF"),
    ("um", "µm"),
    ("us", "µs"),
    ("uF", "µF"),
    ("inch", "in"),
    ("inches", "in"),
    ("feet", "ft"),
    ("foot", "ft"),
    ("mile", "mi"),
    ("miles", "mi"),
    ("volt", "V"),
    ("volts", "V"),
    ("amp", "A"),
    ("amps", "A"),
    ("mAh", "mA·h or Ah"),
    ("percent", "%"),
    ("mmHg", "kPa, mbar or inHg"),
    ("atm", "kPa or kPaa"),
    ("kgcm2", "kgf/cm^2"),
    ("r", "rev"),
    ("cpm", "rpm"),
];

/// What may be meant by a symbol that is refused.
pub(super) fn choices(name: &str) -> Option<&'static str> {
    AMBIGUOUS.iter().find(|(symbol, _)| *symbol == name).map(|(_, choices)| *choices)
}

/// Names of units as people write them out, in the singular, with the symbol of each.
const NAMES: &[(&str, &str)] = &[
    ("metre", "m"),
    ("meter", "m"),
    ("millimetre", "mm"),
    ("millimeter", "mm"),
    ("centimetre", "cm"),
    ("centimeter", "cm"),
    ("micrometre", "µm"),
    ("micrometer", "µm"),
    ("kilometre", "km"),
    ("kilometer", "km"),
    ("yard", "yd"),
    ("millisecond", "ms"),
    ("minute", "min"),
    ("hour", "h"),
    ("day", "d"),
    ("kilogram", "kg"),
    ("gram", "g"),
    ("milligram", "mg"),
    ("tonne", "t"),
    ("ounce", "oz"),
    ("newton", "N"),
    ("kilonewton", "kN"),
    ("newton-metre", "N·m"),
    ("pascal", "Pa"),
    ("kilopascal", "kPa"),
    ("megapascal", "MPa"),
    ("millibar", "mbar"),
    ("joule", "J"),
    ("watt", "W"),
    ("kilowatt", "kW"),
    ("horsepower", "hp"),
    ("litre", "L"),
    ("liter", "L"),
    ("millilitre", "mL"),
    ("milliliter", "mL"),
    ("knot", "kn"),
    ("ampere", "A"),
    ("milliampere", "mA"),
    ("milliamp", "mA"),
    ("millivolt", "mV"),
    ("kilovolt", "kV"),
    ("milliohm", "mohm"),
    ("kiloohm", "kohm"),
    ("farad", "F"),
    ("henry", "H"),
    ("hertz", "Hz"),
    ("kilohertz", "kHz"),
    ("radian", "rad"),
    ("kelvin", "K"),
    ("celsius", "degC"),
    ("fahrenheit", "degF"),
];

/// The symbol that looks most like `name`, or whose name does.
pub(super) fn nearest(name: &str) -> Option<String> {
    let folded = SYMBOLS.iter().find(|row| row.symbol.eq_ignore_ascii_case(name)).map(|row| row.symbol.to_owned());
    let near = || crate::entry::nearest(name, SYMBOLS.iter().map(|row| row.symbol));
    folded.or_else(|| named(name)).or_else(near)
}

/// The symbol of a unit that is written out, in the plural and with a slip too.
fn named(name: &str) -> Option<String> {
    let lower = name.to_lowercase();
    let singular = lower.strip_suffix('s').filter(|rest| rest.len() > 2).unwrap_or(&lower);
    let symbol = |written: &str| NAMES.iter().find(|(known, _)| *known == written).map(|(_, symbol)| *symbol);
    let exact = symbol(&lower).or_else(|| symbol(singular));
    let near = || symbol(&crate::entry::nearest(singular, NAMES.iter().map(|(known, _)| *known))?);
    exact.or_else(|| near().filter(|_| singular.len() > 3)).map(str::to_owned)
}
