//! Units as written: symbols with powers, and the way from a number to base units and back.

use super::dimension::{Dimension, Kind, Measure};
use super::number::{Decimal, Factor, Ratio};
use super::unit_table::Symbol;
use crate::diagnostic::Span;

/// One symbol of a unit, with its power.
#[derive(Clone, Copy, Debug)]
pub struct Part {
    /// The row of the table.
    pub symbol: &'static Symbol,
    /// The power that it stands to.
    pub power: Ratio,
    /// Where the symbol stands.
    pub span: Span,
}

/// A unit: `base value = (number + offset) × factor`.
#[derive(Clone, Debug, PartialEq)]
pub struct Unit {
    /// In the notation of the manual, such as `N·m` or `m/s²`; empty for a bare number.
    pub text: String,
    /// Dimension and kind.
    pub measure: Measure,
    factor: Factor,
    offset: Ratio,
    /// Where it is written.
    pub span: Span,
}

/// Why symbols do not make a unit.
#[derive(Clone, Debug, PartialEq)]
pub enum UnitFault {
    /// A reading (`degC`, `psig`) inside a product or a quotient, with what is meant instead.
    Reading(Span, &'static str, &'static str),
    /// A mass times a length, where a torque is likely to be meant.
    MassTimesLength(String),
    /// Exponents beyond sense.
    TooLarge,
}

impl Unit {
    /// A bare number's.
    pub fn none(span: Span) -> Self {
        let offset = Ratio { num: 0, den: 1 };
        Self { text: String::new(), measure: Measure::NUMBER, factor: Factor::ONE, offset, span }
    }

    /// From a row of the table alone.
    pub fn of(symbol: &Symbol, span: Span) -> Self {
        Self {
            text: symbol.symbol.to_owned(),
            measure: symbol.measure(),
            factor: symbol.factor(),
            offset: symbol.offset(),
            span,
        }
    }

    /// The base unit of a measure: a symbol with factor 1 if there is one, else a product.
    pub fn base(measure: Measure, span: Span) -> Self {
        let table = super::unit_table::SYMBOLS.iter();
        let coherent = |row: &&Symbol| row.measure() == measure && row.factor() == Factor::ONE;
        let reading = |row: &&Symbol| row.measure() == measure && measure.is_reading();
        let known = table.clone().find(coherent).or_else(|| table.clone().find(reading));
        let text = match measure.kind {
            Kind::Torque => "N·m".to_owned(),
            Kind::TorqueTurns if measure.dimension.is_energy() => "N·m·rev".to_owned(),
            Kind::TorqueTurns if measure.dimension.is_power() => "N·m·rev/s".to_owned(),
            _ if measure.dimension.is_number() => String::new(),
            _ => measure.dimension.symbol(),
        };
        known
            .filter(|_| !measure.dimension.is_number())
            .map_or_else(|| Self { text, measure, ..Self::none(span) }, |row| Self::of(row, span))
    }

    /// From symbols with powers.
    ///
    /// # Errors
    /// When a reading is part of a product, or when mass times length is written for a torque.
    pub fn compose(parts: &[Part], span: Span) -> Result<Self, UnitFault> {
        if let [only] = parts
            && only.power == Ratio::ONE
        {
            return Ok(Self::of(only.symbol, span));
        }
        if let Some(part) = parts.iter().find(|part| part.symbol.measure().is_reading()) {
            return Err(UnitFault::Reading(part.span, part.symbol.symbol, difference_for(part.symbol.symbol)));
        }
        if let Some(choice) = mass_times_length(parts) {
            return Err(UnitFault::MassTimesLength(choice));
        }
        let dimension = product_dimension(parts).ok_or(UnitFault::TooLarge)?;
        let factor =
            parts.iter().fold(Factor::ONE, |product, part| product.times(part.symbol.factor().power(part.power)));
        let measure = Measure { dimension, kind: kind_of_product(parts, dimension) };
        Ok(Self { text: text_of(parts), measure, factor, offset: Ratio { num: 0, den: 1 }, span })
    }

    /// The same unit at another place.
    #[must_use]
    pub fn at(self, span: Span) -> Self {
        Self { span, ..self }
    }

    /// The base value of a number in this unit, rounded once where the factor is a fraction.
    pub fn to_base(&self, number: Decimal) -> f64 {
        if self.is_scale() { self.factor.scale_from(number, self.offset) } else { self.factor.scale(number) }
    }

    /// The base value of a width or a tolerance in this unit: no offset.
    pub fn width_to_base(&self, number: Decimal) -> f64 {
        self.factor.scale(number)
    }

    /// The number in this unit of a base value.
    pub fn from_base(&self, base: f64) -> f64 {
        let (multiply, divide) = self.factor.multiply_divide();
        base * divide / multiply - self.offset()
    }

    /// The base value of a double in this unit, as the published page computes it.
    pub fn double_to_base(&self, number: f64) -> f64 {
        let (multiply, divide) = self.factor.multiply_divide();
        (number + self.offset()) * multiply / divide
    }

    /// How far the scale's zero lies below the written one, in this unit.
    pub fn offset(&self) -> f64 {
        if self.is_scale() { self.offset.to_f64() } else { 0.0 }
    }

    /// The factor as two doubles, to multiply by and to divide by.
    pub fn multiply_divide(&self) -> (f64, f64) {
        self.factor.multiply_divide()
    }

    /// The factor as one double.
    pub fn factor(&self) -> f64 {
        self.factor.to_f64()
    }

    /// A temperature scale.
    fn is_scale(&self) -> bool {
        self.measure.kind == Kind::Point
    }

    /// The same unit, taken as a difference on its scale.
    #[must_use]
    pub fn as_difference(&self) -> Self {
        let measure = if self.measure.is_reading() { Measure::plain(self.measure.dimension) } else { self.measure };
        Self { text: difference_text(&self.text), measure, offset: Ratio { num: 0, den: 1 }, ..self.clone() }
    }

    /// The same unit, taken as a reading of `kind`: for prose, which writes `bar` and `°C` for both.
    #[must_use]
    pub fn as_reading(&self, kind: Kind) -> Self {
        let text = super::unit_table::SYMBOLS.iter().find(|row| row.kind == kind && row.factor() == self.factor);
        text.map_or_else(|| self.clone(), |row| Self { span: self.span, ..Self::of(row, self.span) })
    }
}

fn difference_text(text: &str) -> String {
    match text {
        "degC" | "degF" => format!("delta_{text}"),
        reading => {
            reading.strip_suffix(['g', 'a']).filter(|_| is_pressure_reading(reading)).unwrap_or(reading).to_owned()
        }
    }
}

fn is_pressure_reading(text: &str) -> bool {
    matches!(text, "psig" | "barg" | "kPag" | "psia" | "bara" | "kPaa")
}

fn difference_for(symbol: &str) -> &'static str {
    match symbol {
        "degC" => "K or delta_degC",
        "degF" => "delta_degF",
        "psig" | "psia" => "psi",
        "barg" | "bara" => "bar",
        _ => "kPa",
    }
}

fn product_dimension(parts: &[Part]) -> Option<Dimension> {
    parts
        .iter()
        .try_fold(Dimension::NONE, |product, part| product.times(part.symbol.measure().dimension.power(part.power)?))
}

/// `lb·ft` and its like: two symbols, a customary mass and a length.
fn mass_times_length(parts: &[Part]) -> Option<String> {
    let [one, other] = parts else { return None };
    let (mass, length) = if is_length(other) { (one, other) } else { (other, one) };
    let customary = matches!(mass.symbol.symbol, "lb" | "oz") && is_length(length);
    let plain = one.power == Ratio::ONE && other.power == Ratio::ONE;
    (customary && plain)
        .then(|| format!("{}f·{} (a torque) or J (an energy)", mass.symbol.symbol, length.symbol.symbol))
}

fn is_length(part: &Part) -> bool {
    part.symbol.measure().dimension == Dimension::of([1, 0, 0, 0, 0, 0])
}

fn is_turning(part: &Part) -> bool {
    matches!(part.symbol.kind, Kind::Cycles | Kind::Turns)
}

fn is_force(part: &Part) -> bool {
    part.symbol.measure().dimension == Dimension::of([1, 1, -2, 0, 0, 0])
}

/// Force times length as written is a torque, and with turns beside it no energy; any other product of that dimension is
/// an energy; a written rate counts cycles.
fn kind_of_product(parts: &[Part], dimension: Dimension) -> Kind {
    let has = |is: fn(&Part) -> bool| parts.iter().any(|part| part.power == Ratio::ONE && is(part));
    let lever = has(is_force) && has(is_length);
    if lever && parts.len() == 2 {
        Kind::Torque
    } else if lever && has(is_turning) && (dimension.is_energy() || dimension.is_power()) {
        Kind::TorqueTurns
    } else if dimension.is_energy() {
        Kind::Energy
    } else if dimension == Dimension::of([0, 0, -1, 0, 0, 0]) {
        Kind::Cycles
    } else {
        Kind::Plain
    }
}

fn text_of(parts: &[Part]) -> String {
    let mut text = String::new();
    for part in parts {
        let below = part.power.num < 0;
        let joint = if text.is_empty() {
            if below { "1/" } else { "" }
        } else if below {
            "/"
        } else {
            "·"
        };
        text.push_str(joint);
        text.push_str(part.symbol.symbol);
        text.push_str(&power_text(part.power));
    }
    text
}

fn power_text(power: Ratio) -> String {
    match (power.num.abs(), power.den) {
        (1, 1) => String::new(),
        (2, 1) => "²".to_owned(),
        (3, 1) => "³".to_owned(),
        (num, 1) => format!("^{num}"),
        (num, den) => format!("^{}", Ratio { num, den }.to_f64()),
    }
}
