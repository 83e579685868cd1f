//! Exact numbers: decimals as written, and the rational factors of units.
//!
//! A literal is multiplied by its unit's factor exactly and rounded once, so that one quantity written in two units
//! (`3 mm`, `0.3 cm`) is one value and a limit is met when it is met on paper.

use std::f64::consts::PI;

/// A fraction of integers in lowest terms; the lower one is above zero.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Ratio {
    /// Upper integer.
    pub num: i128,
    /// Lower integer, above zero.
    pub den: i128,
}

impl Ratio {
    /// One.
    pub const ONE: Self = Self { num: 1, den: 1 };

    /// `num / den` in lowest terms; `None` for a zero `den` or for integers beyond 127 bits.
    pub fn new(num: i128, den: i128) -> Option<Self> {
        if den == 1 {
            return Some(Self { num, den });
        }
        let divisor =
            i128::try_from(gcd(num.unsigned_abs(), den.unsigned_abs())).ok().filter(|divisor| *divisor != 0)?;
        let (num, den) = (num / divisor, den / divisor);
        match den.signum() {
            1 => Some(Self { num, den }),
            -1 => Some(Self { num: num.checked_neg()?, den: den.checked_neg()? }),
            _ => None,
        }
    }

    /// The product, unless it needs more than 127 bits.
    pub fn times(self, other: Self) -> Option<Self> {
        if self.den == 1 && other.den == 1 {
            return self.num.checked_mul(other.num).map(|num| Self { num, den: 1 });
        }
        let (left, right) = (Self::new(self.num, other.den)?, Self::new(other.num, self.den)?);
        Self::new(left.num.checked_mul(right.num)?, left.den.checked_mul(right.den)?)
    }

    /// The sum, unless it needs more than 127 bits.
    pub fn plus(self, other: Self) -> Option<Self> {
        let left = self.num.checked_mul(other.den)?;
        let right = other.num.checked_mul(self.den)?;
        Self::new(left.checked_add(right)?, self.den.checked_mul(other.den)?)
    }

    /// `1 / self`; `None` for zero.
    pub fn inverse(self) -> Option<Self> {
        Self::new(self.den, self.num)
    }

    /// The opposite; `None` only for the lowest integer.
    pub fn negative(self) -> Option<Self> {
        Some(Self { num: self.num.checked_neg()?, den: self.den })
    }

    /// An integer power, unless it needs more than 127 bits.
    pub fn power(self, exponent: i32) -> Option<Self> {
        let mut square = if exponent < 0 { self.inverse()? } else { self };
        let (mut product, mut rest) = (Self::ONE, exponent.unsigned_abs());
        while rest > 0 {
            if rest % 2 == 1 {
                product = product.times(square)?;
            }
            rest /= 2;
            // Never a square too many: every one that is made is a divisor of the result.
            if rest > 0 {
                square = square.times(square)?;
            }
        }
        Some(product)
    }

    /// The nearest double.
    pub fn to_f64(self) -> f64 {
        let magnitude = nearest(self.num.unsigned_abs(), self.den.unsigned_abs());
        if self.num < 0 { -magnitude } else { magnitude }
    }
}

fn gcd(mut a: u128, mut b: u128) -> u128 {
    while b != 0 {
        // The processor divides 64 bits by itself.
        if let (Ok(mut a), Ok(mut b)) = (u64::try_from(a), u64::try_from(b)) {
            while b != 0 {
                (a, b) = (b, a % b);
            }
            return u128::from(a);
        }
        (a, b) = (b, a % b);
    }
    a
}

/// `num / den` rounded to the nearest double, ties to even: 64 bits by long division, with the rest kept as a sticky bit.
fn nearest(num: u128, den: u128) -> f64 {
    if num == 0 {
        return 0.0;
    }
    // Both are doubles, and IEEE 754 rounds their quotient once.
    if num < 1 << 53 && den < 1 << 53 {
        return num as f64 / den as f64;
    }
    if den >= 1 << 126 {
        // Integers stay below 127 bits; this last bit would overflow the division and costs one more rounding.
        return num as f64 / den as f64;
    }
    let (mut quotient, mut rest, mut exponent) = (num / den, num % den, 0_i32);
    while quotient < 1 << 63 {
        rest <<= 1;
        quotient = (quotient << 1) | u128::from(rest >= den);
        rest -= if rest >= den { den } else { 0 };
        exponent -= 1;
    }
    let sticky = u128::from(rest != 0);
    // A quotient of 64 bits or more, with the sticky bit below it, rounds once when it becomes a double.
    ((quotient << 1) | sticky) as f64 * 2_f64.powi(exponent - 1)
}

/// A decimal number as written: `mantissa × 10^exponent`, where the exponent is the place of the last digit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Decimal {
    /// All digits, with the sign.
    pub mantissa: i128,
    /// Power of ten of the last digit.
    pub exponent: i32,
}

impl Decimal {
    /// Reads `12`, `12.4`, `.5`, `1.5e3`. At most 30 digits, exponent within ±300.
    pub fn parse(text: &str) -> Option<Self> {
        let (digits, power) = match text.split_once(['e', 'E']) {
            Some((digits, power)) => (digits, power.parse::<i32>().ok().filter(|power| power.abs() <= 300)?),
            None => (text, 0),
        };
        let (whole, fraction) = digits.split_once('.').unwrap_or((digits, ""));
        let all = format!("{whole}{fraction}");
        let proper = !all.is_empty() && all.len() <= 30 && all.bytes().all(|byte| byte.is_ascii_digit());
        let mantissa = all.parse::<i128>().ok().filter(|_| proper)?;
        Some(Self { mantissa, exponent: power - i32::try_from(fraction.len()).ok()? })
    }

    /// The opposite number, written with the same digits.
    #[must_use]
    pub fn negative(self) -> Self {
        Self { mantissa: -self.mantissa, ..self }
    }

    /// As a fraction, unless that needs more than 127 bits.
    pub fn ratio(self) -> Option<Ratio> {
        let power = 10_i128.checked_pow(self.exponent.unsigned_abs())?;
        if self.exponent < 0 {
            Ratio::new(self.mantissa, power)
        } else {
            Ratio::new(self.mantissa.checked_mul(power)?, 1)
        }
    }

    /// The nearest double.
    pub fn to_f64(self) -> f64 {
        format!("{}e{}", self.mantissa, self.exponent).parse().unwrap_or(f64::NAN)
    }

    /// Half a unit in the last digit that was written.
    pub fn half_last_digit(self) -> f64 {
        format!("5e{}", self.exponent - 1).parse().unwrap_or(f64::NAN)
    }

    /// Decimal places that were written; none for a number that ends at or before its units.
    pub fn places(self) -> usize {
        usize::try_from(-self.exponent).unwrap_or(0)
    }
}

/// What a value in some unit is multiplied by to come to base units: a fraction times a power of π.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Factor {
    exact: Option<Ratio>,
    pi: i32,
    double: f64,
}

impl Factor {
    /// No change.
    pub const ONE: Self = Self { exact: Some(Ratio::ONE), pi: 0, double: 1.0 };

    /// `ratio × π^pi`.
    pub fn new(ratio: Ratio, pi: i32) -> Self {
        Self { exact: Some(ratio), pi, double: ratio.to_f64() * PI.powi(pi) }
    }

    /// As a double, within two units in the last place.
    pub fn to_f64(self) -> f64 {
        self.double
    }

    /// The product.
    #[must_use]
    pub fn times(self, other: Self) -> Self {
        let exact = self.exact.zip(other.exact).and_then(|(a, b)| a.times(b));
        let pi = self.pi.saturating_add(other.pi);
        exact.map_or(Self { exact: None, pi: 0, double: self.double * other.double }, |ratio| Self::new(ratio, pi))
    }

    /// A rational power; exact when it is an integer one.
    #[must_use]
    pub fn power(self, exponent: Ratio) -> Self {
        if exponent == Ratio::ONE {
            return self;
        }
        let whole = i32::try_from(exponent.num).ok().filter(|_| exponent.den == 1);
        let exact = whole.and_then(|whole| Some((self.exact?.power(whole)?, self.pi.checked_mul(whole)?)));
        match exact {
            Some((ratio, pi)) => Self::new(ratio, pi),
            None => Self { exact: None, pi: 0, double: libm::pow(self.double, exponent.to_f64()) },
        }
    }

    /// `number × self`, rounded once where the product is a fraction.
    pub fn scale(self, number: Decimal) -> f64 {
        let exact = self.exact.filter(|_| self.pi == 0).and_then(|ratio| number.ratio()?.times(ratio));
        exact.map_or_else(|| number.to_f64() * self.double, Ratio::to_f64)
    }

    /// `(number + offset) × self`, rounded once.
    pub fn scale_from(self, number: Decimal, offset: Ratio) -> f64 {
        let exact = self.exact.filter(|_| self.pi == 0);
        let exact = exact.and_then(|ratio| number.ratio()?.plus(offset)?.times(ratio));
        exact.map_or_else(|| (number.to_f64() + offset.to_f64()) * self.double, Ratio::to_f64)
    }

    /// Two doubles to multiply by and to divide by, so that a typed number meets the value that proofreading used:
    /// integers below 2^53 where there are such, else the factor and 1.
    pub fn multiply_divide(self) -> (f64, f64) {
        const LIMIT: i128 = 1 << 53;
        match self.exact {
            Some(ratio) if self.pi == 0 && ratio.num < LIMIT && ratio.den < LIMIT => {
                (ratio.num as f64, ratio.den as f64)
            }
            _ => (self.double, 1.0),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(base: (i128, i128), exponent: i32, expected: Option<(i128, i128)>) {
        let power = Ratio { num: base.0, den: base.1 }.power(exponent);
        assert_eq!(power, expected.map(|(num, den)| Ratio { num, den }), "{base:?} to the {exponent}");
    }

    #[test]
    fn integer_powers_are_exact_or_none() {
        check((3, 2), 0, Some((1, 1)));
        check((3, 2), 5, Some((243, 32)));
        check((-3, 2), -3, Some((-8, 27)));
        check((0, 1), -1, None);
        check((0, 1), 2000, Some((0, 1)));
        check((-1, 1), 1001, Some((-1, 1)));
        check((-1, 1), i32::MIN, Some((1, 1)));
        check((2, 1), 126, Some((1 << 126, 1)));
        check((2, 1), 127, None);
        check((3, 1), 1_000_000, None);
    }
}
