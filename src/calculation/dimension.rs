//! Dimensions, and the kinds that a plain dimension cannot tell apart.

use super::number::Ratio;

/// Exponents of length, mass, time, electric current, temperature and angle.
///
/// Angle is kept although the SI counts the radian as one: it separates rad/s from Hz. It vanishes beside other dimensions
/// (`omega * radius` is a speed).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Dimension {
    exponents: [Exponent; 6],
}

/// A small fraction in lowest terms: lower one above zero. Dimensions are copied often.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Exponent {
    num: i16,
    den: i16,
}

impl Exponent {
    fn new(ratio: Ratio) -> Option<Self> {
        let small = Self { num: i16::try_from(ratio.num).ok()?, den: i16::try_from(ratio.den).ok()? };
        (small.num.abs() < 1000 && small.den < 1000).then_some(small)
    }

    fn ratio(self) -> Ratio {
        Ratio { num: i128::from(self.num), den: i128::from(self.den) }
    }
}

const ZERO: Exponent = Exponent { num: 0, den: 1 };
const SYMBOLS: [&str; 6] = ["m", "kg", "s", "A", "K", "rad"];
const ANGLE: usize = 5;
const TIME: usize = 2;

impl Dimension {
    /// A pure number.
    pub const NONE: Self = Self { exponents: [ZERO; 6] };

    /// From whole exponents of metre, kilogram, second, ampere, kelvin and radian.
    pub fn of(exponents: [i8; 6]) -> Self {
        Self { exponents: exponents.map(|exponent| Exponent { num: i16::from(exponent), den: 1 }) }
    }

    /// Of a product; `None` when an exponent becomes absurd.
    pub fn times(self, other: Self) -> Option<Self> {
        self.combine(|at, exponent| exponent.plus(other.exponent(at)))
    }

    /// Of a quotient.
    pub fn over(self, other: Self) -> Option<Self> {
        self.times(other.power(Ratio { num: -1, den: 1 })?)
    }

    /// Of a power.
    pub fn power(self, exponent: Ratio) -> Option<Self> {
        self.combine(|_, own| own.times(exponent))
    }

    fn combine(self, change: impl Fn(usize, Ratio) -> Option<Ratio>) -> Option<Self> {
        let mut exponents = self.exponents;
        for (at, exponent) in exponents.iter_mut().enumerate() {
            *exponent = Exponent::new(change(at, exponent.ratio())?)?;
        }
        Some(Self { exponents })
    }

    fn exponent(&self, at: usize) -> Ratio {
        self.exponents.get(at).copied().unwrap_or(ZERO).ratio()
    }

    /// The exponent of the radian.
    pub fn angle(&self) -> Ratio {
        self.exponent(ANGLE)
    }

    /// The exponent of the second.
    pub fn time(&self) -> Ratio {
        self.exponent(TIME)
    }

    /// The same with no radian in it.
    #[must_use]
    pub fn without_angle(mut self) -> Self {
        if let Some(angle) = self.exponents.get_mut(ANGLE) {
            *angle = ZERO;
        }
        self
    }

    /// A pure number, with no radian either.
    pub fn is_number(&self) -> bool {
        *self == Self::NONE
    }

    /// Nothing but an angle.
    pub fn is_plane_angle(&self) -> bool {
        *self == Self::of([0, 0, 0, 0, 0, 1])
    }

    /// Of work, heat and torque.
    pub fn is_energy(&self) -> bool {
        *self == Self::of([2, 1, -2, 0, 0, 0])
    }

    /// Of energy in a time.
    pub fn is_power(&self) -> bool {
        *self == Self::of([2, 1, -3, 0, 0, 0])
    }

    /// Made of nothing but time and angle, where counting turns and counting radians differ.
    pub fn is_rate_or_angle(&self) -> bool {
        self.exponents.iter().enumerate().all(|(at, exponent)| at == ANGLE || at == TIME || *exponent == ZERO)
    }

    /// In base units, such as `m/s²`; `1` for a number.
    pub fn symbol(&self) -> String {
        let part = |wanted: i16| {
            let of_sign = self.exponents.iter().zip(SYMBOLS).filter(|(exponent, _)| exponent.num.signum() == wanted);
            of_sign.map(|(exponent, symbol)| power_symbol(symbol, *exponent)).collect::<Vec<_>>()
        };
        let (above, below) = (part(1).join("·"), part(-1));
        let above = if above.is_empty() { "1".to_owned() } else { above };
        if below.is_empty() { above } else { format!("{above}/{}", below.join("/")) }
    }
}

fn power_symbol(symbol: &str, exponent: Exponent) -> String {
    match (exponent.num.abs(), exponent.den) {
        (1, 1) => symbol.to_owned(),
        (2, 1) => format!("{symbol}²"),
        (3, 1) => format!("{symbol}³"),
        (num, 1) => format!("{symbol}^{num}"),
        (num, den) => format!("{symbol}^({num}/{den})"),
    }
}

/// What a value is beyond its dimension.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// Nothing special: also every difference of temperature or pressure, and products whose kind is not known yet.
    Plain,
    /// Force times lever arm.
    Torque,
    /// Work or heat.
    Energy,
    /// A point on a temperature scale.
    Point,
    /// A pressure reading above the air's.
    Gauge,
    /// A pressure reading above vacuum.
    Absolute,
    /// Turns or cycles in a time.
    Cycles,
    /// A count of turns.
    Turns,
    /// A torque times turns: short by 2π of an energy, or over a time of a power. A factor with π mends it.
    TorqueTurns,
}

/// Dimension and kind of a quantity.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Measure {
    /// Its dimension.
    pub dimension: Dimension,
    /// Its kind.
    pub kind: Kind,
}

impl Measure {
    /// A pure number.
    pub const NUMBER: Self = Self::plain(Dimension::NONE);

    /// Of no special kind.
    pub const fn plain(dimension: Dimension) -> Self {
        Self { dimension, kind: Kind::Plain }
    }

    /// A reading on a scale whose zero is a convention or that has a lower end.
    pub fn is_reading(self) -> bool {
        matches!(self.settled().kind, Kind::Point | Kind::Gauge | Kind::Absolute)
    }

    /// An absolute pressure inside a longer product (`p * T2 / T1`) is remembered, but is a reading only where the product
    /// is a pressure.
    #[must_use]
    pub fn settled(self) -> Self {
        let inside = self.kind == Kind::Absolute && self.dimension != Dimension::of([-1, 1, -2, 0, 0, 0]);
        if inside { Self::plain(self.dimension) } else { self }
    }

    /// Said in words, with the base unit: `a speed (m/s)`.
    pub fn words(self) -> String {
        match self.settled().kind {
            Kind::Torque => "a torque (N·m)".to_owned(),
            Kind::Energy => "an energy (J)".to_owned(),
            Kind::Point => "a temperature reading (degC, degF)".to_owned(),
            Kind::Gauge => "a gauge pressure reading (psig, barg, kPag)".to_owned(),
            Kind::Absolute => "an absolute pressure (psia, bara, kPaa)".to_owned(),
            Kind::Cycles => "a frequency or speed of turning (Hz, rpm)".to_owned(),
            Kind::Turns => "a number of turns (rev)".to_owned(),
            Kind::TorqueTurns => self.torque_words(),
            Kind::Plain => self.plain_words(),
        }
    }

    fn torque_words(self) -> String {
        if self.dimension.is_power() {
            "a torque times a frequency or speed of turning (N·m·rev/s)".to_owned()
        } else if self.dimension.is_energy() {
            "a torque times turns (N·m·rev)".to_owned()
        } else {
            format!("{} with a torque times turns in it", self.plain_words())
        }
    }

    fn plain_words(self) -> String {
        let known = NAMES.iter().find(|(exponents, _)| Dimension::of(*exponents) == self.dimension);
        known.map_or_else(|| format!("a quantity in {}", self.dimension.symbol()), |(_, words)| (*words).to_owned())
    }
}

const NAMES: &[([i8; 6], &str)] = &[
    ([0, 0, 0, 0, 0, 0], "a number without a unit"),
    ([1, 0, 0, 0, 0, 0], "a length (m)"),
    ([2, 0, 0, 0, 0, 0], "an area (m²)"),
    ([3, 0, 0, 0, 0, 0], "a volume (m³)"),
    ([0, 0, 1, 0, 0, 0], "a time (s)"),
    ([0, 1, 0, 0, 0, 0], "a mass (kg)"),
    ([1, 0, -1, 0, 0, 0], "a speed (m/s)"),
    ([1, 0, -2, 0, 0, 0], "an acceleration (m/s²)"),
    ([1, 1, -2, 0, 0, 0], "a force (N)"),
    ([-1, 1, -2, 0, 0, 0], "a pressure difference (Pa)"),
    ([2, 1, -2, 0, 0, 0], "a torque or an energy (N·m, J)"),
    ([2, 1, -3, 0, 0, 0], "a power (W)"),
    ([0, 0, 0, 1, 0, 0], "an electric current (A)"),
    ([0, 0, 1, 1, 0, 0], "an electric charge (A·s, Ah)"),
    ([2, 1, -3, -1, 0, 0], "a voltage (V)"),
    ([2, 1, -3, -2, 0, 0], "a resistance (ohm)"),
    ([-2, -1, 4, 2, 0, 0], "a capacitance (F)"),
    ([2, 1, -2, -2, 0, 0], "an inductance (H)"),
    ([0, 0, 0, 0, 1, 0], "a temperature difference (K)"),
    ([0, 0, 0, 0, 0, 1], "an angle (rad)"),
    ([0, 0, -1, 0, 0, 0], "a rate (1/s)"),
    ([0, 0, -1, 0, 0, 1], "an angular speed (rad/s)"),
    ([0, 0, -2, 0, 0, 1], "an angular acceleration (rad/s²)"),
    ([-3, 1, 0, 0, 0, 0], "a density (kg/m³)"),
    ([3, 0, -1, 0, 0, 0], "a volume flow (m³/s)"),
];

/// What an expression stands for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Type {
    /// True or false.
    Truth,
    /// A quantity.
    Quantity(Measure),
}

impl Type {
    /// A pure number.
    pub const NUMBER: Self = Self::Quantity(Measure::NUMBER);

    /// Said in words.
    pub fn words(self) -> String {
        match self {
            Self::Truth => "a yes-or-no value".to_owned(),
            Self::Quantity(measure) => measure.words(),
        }
    }
}
