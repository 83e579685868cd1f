//! Interval arithmetic, rounded outwards: the result contains the true value for every pair of operands.
//!
//! Sums, products, quotients and square roots are correctly rounded by the machine, and the sign of what rounding left
//! over is known exactly (two-sum; fused multiply-add), so that an end moves one step only where it must: `sqrt(2 * x)`
//! stays defined at 0. Other functions err by less than one unit in the last place in `libm`, and are widened by [`SLACK`].
//! Reference: IEEE 1788-2015, the containment property (recalled from memory).

use std::f64::consts::{FRAC_PI_2, PI};

/// Steps outwards after a function of `libm`.
const SLACK: usize = 4;

/// All numbers between two ends, the ends included. An infinite end means that no double bounds the numbers there.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Interval {
    /// Lower end.
    pub low: f64,
    /// Upper end.
    pub high: f64,
}

impl Interval {
    /// From one end to the other, in whichever order.
    pub fn new(one: f64, other: f64) -> Self {
        Self { low: one.min(other), high: one.max(other) }
    }

    /// A single number.
    pub fn exactly(number: f64) -> Self {
        Self { low: number, high: number }
    }

    /// Whether both ends are finite.
    pub fn is_finite(self) -> bool {
        self.low.is_finite() && self.high.is_finite()
    }

    /// Whether a number lies inside.
    pub fn contains(self, number: f64) -> bool {
        self.low <= number && number <= self.high
    }

    /// Upper end minus lower end.
    pub fn width(self) -> f64 {
        self.high - self.low
    }

    /// A number about half way.
    pub fn middle(self) -> f64 {
        (self.low + (self.high - self.low) / 2.0).clamp(self.low, self.high)
    }

    /// The smallest interval around both.
    #[must_use]
    pub fn hull(self, other: Self) -> Self {
        Self { low: self.low.min(other.low), high: self.high.max(other.high) }
    }

    fn around(parts: &[Self]) -> Self {
        let start = Self { low: f64::INFINITY, high: f64::NEG_INFINITY };
        parts.iter().fold(start, |hull, part| hull.hull(*part))
    }

    /// One step outwards at both ends.
    fn outwards(self) -> Self {
        Self { low: self.low.next_down(), high: self.high.next_up() }
    }

    /// [`SLACK`] steps outwards.
    fn slack(self) -> Self {
        (0..SLACK).fold(self, |wider, _| wider.outwards())
    }

    /// The sum.
    #[must_use]
    pub fn plus(self, other: Self) -> Self {
        Self { low: sum(self.low, other.low).low, high: sum(self.high, other.high).high }
    }

    /// The difference.
    #[must_use]
    pub fn minus(self, other: Self) -> Self {
        self.plus(other.opposite())
    }

    /// The opposite.
    #[must_use]
    pub fn opposite(self) -> Self {
        Self { low: -self.high, high: -self.low }
    }

    /// The product.
    #[must_use]
    pub fn times(self, other: Self) -> Self {
        Self::around(&corners(self, other).map(|(a, b)| product(a, b)))
    }

    /// The quotient; `None` if the divisor may be zero.
    pub fn over(self, other: Self) -> Option<Self> {
        let quotients = corners(self, other).map(|(a, b)| quotient(a, b));
        (!other.contains(0.0)).then(|| Self::around(&quotients))
    }

    /// The absolute value.
    #[must_use]
    pub fn abs(self) -> Self {
        let (low, high) = (self.low.abs(), self.high.abs());
        Self { low: if self.contains(0.0) { 0.0 } else { low.min(high) }, high: low.max(high) }
    }

    /// The square root; `None` if the number may be negative.
    pub fn sqrt(self) -> Option<Self> {
        (self.low >= 0.0).then(|| Self { low: root(self.low).low, high: root(self.high).high })
    }

    /// A whole power; `None` if zero may be divided by.
    pub fn whole_power(self, exponent: i32) -> Option<Self> {
        if exponent < 0 {
            return Self::exactly(1.0).over(self.whole_power(exponent.checked_neg()?)?);
        }
        let even = exponent % 2 == 0;
        let base = if even { self.abs() } else { self };
        let ends = [base.low, base.high].map(|end| end_power(end, exponent));
        let [low, high] = ends;
        let power = Self { low: low.low, high: high.high };
        Some(if even { Self { low: power.low.max(0.0), ..power } } else { power })
    }

    /// A real power of numbers that are not negative; `None` where it may not exist.
    pub fn real_power(self, exponent: Self) -> Option<Self> {
        if exponent.low == exponent.high && exponent.low.fract() == 0.0 && exponent.low.abs() < 1e6 {
            return self.whole_power(exponent.low as i32);
        }
        if self.low < 0.0 || (self.low == 0.0 && exponent.low < 0.0) {
            return None;
        }
        let powers = corners(self, exponent).map(|(x, y)| Self::exactly(libm::pow(x, y)));
        let around = Self::around(&powers).slack();
        // 0^y jumps from 1 to 0 as y leaves 0.
        let low = if self.low == 0.0 { 0.0 } else { around.low.max(0.0) };
        Some(Self { low, ..around })
    }

    /// The exponential function.
    #[must_use]
    pub fn exp(self) -> Self {
        let power = Self { low: libm::exp(self.low), high: libm::exp(self.high) }.slack();
        Self { low: power.low.max(0.0), ..power }
    }

    /// A logarithm; `None` if the number may be zero or less.
    pub fn logarithm(self, function: fn(f64) -> f64) -> Option<Self> {
        (self.low > 0.0).then(|| Self { low: function(self.low), high: function(self.high) }.slack())
    }

    /// The sine of an angle in radians.
    #[must_use]
    pub fn sin(self) -> Self {
        let ends = Self::new(libm::sin(self.low), libm::sin(self.high)).slack();
        let high = if self.passes(FRAC_PI_2, 2.0 * PI) { 1.0 } else { ends.high.min(1.0) };
        let low = if self.passes(-FRAC_PI_2, 2.0 * PI) { -1.0 } else { ends.low.max(-1.0) };
        Self { low, high }
    }

    /// The cosine of an angle in radians.
    #[must_use]
    pub fn cos(self) -> Self {
        let ends = Self::new(libm::cos(self.low), libm::cos(self.high)).slack();
        let high = if self.passes(0.0, 2.0 * PI) { 1.0 } else { ends.high.min(1.0) };
        let low = if self.passes(PI, 2.0 * PI) { -1.0 } else { ends.low.max(-1.0) };
        Self { low, high }
    }

    /// The tangent of an angle in radians; `None` if it may be a right angle.
    pub fn tan(self) -> Option<Self> {
        let ends = Self { low: libm::tan(self.low), high: libm::tan(self.high) }.slack();
        (!self.passes(FRAC_PI_2, PI)).then_some(ends)
    }

    /// Whether `at + k × period` lies inside or within rounding of an end, for some whole k.
    fn passes(self, at: f64, period: f64) -> bool {
        let margin = 1e-12 * (1.0 + self.low.abs().max(self.high.abs()));
        let before = ((self.low - margin - at) / period).floor();
        let after = ((self.high + margin - at) / period).floor();
        before != after || !self.is_finite()
    }

    /// An arc sine; `None` if the number may be outside -1 to 1.
    pub fn asin(self) -> Option<Self> {
        self.within_one().then(|| Self { low: libm::asin(self.low), high: libm::asin(self.high) }.slack())
    }

    /// An arc cosine; `None` if the number may be outside -1 to 1.
    pub fn acos(self) -> Option<Self> {
        let arc = Self { low: libm::acos(self.high), high: libm::acos(self.low) };
        self.within_one().then(|| Self { low: arc.slack().low.max(0.0), ..arc.slack() })
    }

    fn within_one(self) -> bool {
        self.low >= -1.0 && self.high <= 1.0
    }

    /// An arc tangent.
    #[must_use]
    pub fn atan(self) -> Self {
        Self { low: libm::atan(self.low), high: libm::atan(self.high) }.slack()
    }

    /// A function that never falls and is exact: rounding.
    #[must_use]
    pub fn step(self, function: fn(f64) -> f64) -> Self {
        Self { low: function(self.low), high: function(self.high) }
    }

    /// The lower of two.
    #[must_use]
    pub fn min(self, other: Self) -> Self {
        Self { low: self.low.min(other.low), high: self.high.min(other.high) }
    }

    /// The higher of two.
    #[must_use]
    pub fn max(self, other: Self) -> Self {
        Self { low: self.low.max(other.low), high: self.high.max(other.high) }
    }

    /// What two have in common.
    pub fn meet(self, other: Self) -> Option<Self> {
        let both = Self { low: self.low.max(other.low), high: self.high.min(other.high) };
        (both.low <= both.high).then_some(both)
    }
}

/// A power of one number, by outward-rounded products.
fn end_power(end: f64, exponent: i32) -> Interval {
    let (mut power, mut square, mut left) = (Interval::exactly(1.0), Interval::exactly(end), exponent);
    while left > 0 {
        if left % 2 == 1 {
            power = power.times(square);
        }
        square = square.times(square);
        left /= 2;
    }
    power
}

fn corners(a: Interval, b: Interval) -> [(f64, f64); 4] {
    [(a.low, b.low), (a.low, b.high), (a.high, b.low), (a.high, b.high)]
}

/// Below this size the remainder of a product may itself have been rounded.
const TINY: f64 = 1e-280;

/// Around a rounded number, given the sign of what rounding took away. Beyond the largest double lies infinity at one
/// end only; a difference of infinities may be anything.
fn directed(rounded: f64, remainder: f64) -> Interval {
    if rounded.is_nan() {
        return Interval { low: f64::NEG_INFINITY, high: f64::INFINITY };
    }
    let low = if remainder < 0.0 { rounded.next_down() } else { rounded };
    let high = if remainder > 0.0 { rounded.next_up() } else { rounded };
    Interval { low: low.min(f64::MAX), high: high.max(f64::MIN) }
}

fn sum(a: f64, b: f64) -> Interval {
    let rounded = a + b;
    let of_b = rounded - a;
    directed(rounded, (a - (rounded - of_b)) + (b - of_b))
}

fn product(a: f64, b: f64) -> Interval {
    let rounded = a * b;
    if a == 0.0 || b == 0.0 {
        Interval::exactly(0.0)
    } else if rounded.abs() < TINY {
        Interval::exactly(rounded).outwards()
    } else {
        directed(rounded, a.mul_add(b, -rounded))
    }
}

fn quotient(a: f64, b: f64) -> Interval {
    let rounded = a / b;
    if a == 0.0 {
        Interval::exactly(0.0)
    } else if rounded.abs() < TINY || a.abs() < TINY {
        Interval::exactly(rounded).outwards()
    } else {
        directed(rounded, (-rounded).mul_add(b, a) * b.signum())
    }
}

fn root(x: f64) -> Interval {
    let rounded = x.sqrt();
    if x == 0.0 {
        Interval::exactly(0.0)
    } else if x < TINY {
        Interval { low: rounded.next_down().max(0.0), high: rounded.next_up() }
    } else {
        directed(rounded, (-rounded).mul_add(rounded, x))
    }
}
