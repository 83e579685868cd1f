//! Whether the bands of a measurement partition its range: every value has one answer.

use crate::diagnostic::{Mark, MarkId, Span, Spanned};
use std::cmp::Ordering;
use std::fmt;

/// An exact decimal: `digits` times ten to the power of minus `places`.
#[derive(Clone, Copy, Debug)]
pub struct Decimal {
    digits: i128,
    places: u32,
}

impl Decimal {
    /// Reads an ordinary decimal such as `-12.50`; none if it is not one or has more than 30 digits.
    pub fn parse(text: &str) -> Option<Self> {
        let (sign, text) = text.strip_prefix('-').map_or((1, text), |rest| (-1, rest));
        let (whole, part) = text.split_once('.').unwrap_or((text, ""));
        let all = format!("{whole}{part}");
        let plain = !all.is_empty() && all.len() <= 30 && all.bytes().all(|byte| byte.is_ascii_digit());
        let digits: i128 = plain.then(|| all.parse().ok())??;
        Some(Self { digits: sign * digits, places: u32::try_from(part.len()).ok()? })
    }

    /// The whole number below it, and the rest in units of that place: both stay below 10^30.
    fn parts(self, places: u32) -> (i128, i128) {
        let power = |places: u32| 10_i128.saturating_pow(places);
        let (whole, rest) = (self.digits.div_euclid(power(self.places)), self.digits.rem_euclid(power(self.places)));
        (whole, rest * power(places.saturating_sub(self.places)))
    }
}

impl Ord for Decimal {
    fn cmp(&self, other: &Self) -> Ordering {
        let places = self.places.max(other.places);
        self.parts(places).cmp(&other.parts(places))
    }
}

impl PartialOrd for Decimal {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl PartialEq for Decimal {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other) == Ordering::Equal
    }
}

impl Eq for Decimal {}

impl fmt::Display for Decimal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let sign = if self.digits < 0 { "-" } else { "" };
        let places = self.places as usize;
        let digits = format!("{:0>width$}", self.digits.unsigned_abs(), width = places + 1);
        let (whole, part) = digits.split_at(digits.len() - places);
        if places == 0 { write!(f, "{sign}{whole}") } else { write!(f, "{sign}{whole}.{part}") }
    }
}

/// One end of a band.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct End {
    /// Where.
    pub at: Decimal,
    /// Whether the value itself belongs to the band.
    pub closed: bool,
}

/// The values that one answer stands for; an absent end is open to that side.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Band {
    /// Id of the answer.
    pub answer: Spanned<String>,
    /// Where the interval is written.
    pub span: Span,
    /// Lower end.
    pub from: Option<End>,
    /// Upper end.
    pub to: Option<End>,
}

/// Reads a band as written: `< 1.5`, `1.5 to < 3`, `> 3 to 5`, `>= 3`, or one value alone.
///
/// # Errors
/// A `bad-value` mark for anything else.
pub fn parse_band(answer: &Spanned<String>, text: &Spanned<String>) -> Result<Band, Mark> {
    let (from, to) = ends(&text.value).ok_or_else(|| {
        Mark::new(MarkId::BadValue, text.span)
            .with("found", &text.value)
            .with("expected", "an interval such as `< 1.5`, `1.5 to < 3` or `>= 3`")
    })?;
    Ok(Band { answer: answer.clone(), span: text.span, from, to })
}

fn ends(text: &str) -> Option<(Option<End>, Option<End>)> {
    let end = |text: &str, signs: [(&str, bool); 3]| {
        let text = text.trim();
        let signed = signs.iter().find_map(|(sign, closed)| Some((text.strip_prefix(sign)?, *closed)));
        let (number, closed) = signed.unwrap_or((text, true));
        Some(End { at: Decimal::parse(number.trim())?, closed })
    };
    const ABOVE: [(&str, bool); 3] = [(">=", true), ("≥", true), (">", false)];
    const BELOW: [(&str, bool); 3] = [("<=", true), ("≤", true), ("<", false)];
    let text = text.trim();
    if let Some((from, to)) = text.split_once(" to ") {
        return Some((Some(end(from, ABOVE)?), Some(end(to, BELOW)?)));
    }
    match text.chars().next()? {
        '<' | '≤' => Some((None, Some(end(text, BELOW)?))),
        '>' | '≥' => Some((Some(end(text, ABOVE)?), None)),
        _ => end(text, ABOVE).map(|only| (Some(only), Some(only))),
    }
}

/// A place between values: just before a value, or just after it. Intervals of these are half-open, so that open
/// and closed ends need no cases of their own.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Cut {
    at: Decimal,
    after: bool,
}

/// Finds values in the closed range that no band covers (`band-gap`), that two bands cover (`band-overlap`), and
/// bands that cover none (`bad-value`). `span` is where the bands are written as a whole.
pub fn check_bands(check: &str, unit: &str, range: (Decimal, Decimal), bands: &[Band], span: Span) -> Vec<Mark> {
    let (low, high) = (Cut { at: range.0, after: false }, Cut { at: range.1, after: true });
    let mut marks = Vec::new();
    let mut placed: Vec<(Cut, Cut, &Band)> = Vec::new();
    for band in bands {
        let from = band.from.map_or(low, |end| Cut { at: end.at, after: !end.closed }).max(low);
        let to = band.to.map_or(high, |end| Cut { at: end.at, after: end.closed }).min(high);
        if from < to {
            placed.push((from, to, band));
        } else {
            marks.push(empty(band, range));
        }
    }
    placed.sort_by_key(|(from, to, _)| (*from, *to));
    let facts = |mark: Mark| mark.with("check", check).with("unit", unit);
    let mut covered = (low, None);
    for (from, to, band) in &placed {
        if *from > covered.0 {
            marks.push(facts(gap(band.span, covered.0, *from)));
        }
        if let (Some(before), true) = (covered.1, *from < covered.0) {
            marks.push(facts(overlap(before, band, *from, covered.0.min(*to))));
        }
        if *to > covered.0 {
            covered = (*to, Some(*band));
        }
    }
    if covered.0 < high {
        marks.push(facts(gap(covered.1.map_or(span, |band| band.span), covered.0, high)));
    }
    marks
}

fn empty(band: &Band, range: (Decimal, Decimal)) -> Mark {
    Mark::new(MarkId::BadValue, band.span)
        .with("found", &band.answer.value)
        .with("expected", format!("some values from {} to {}", range.0, range.1))
}

fn gap(span: Span, from: Cut, to: Cut) -> Mark {
    Mark::new(MarkId::BandGap, span)
        .with("from", from.at.to_string())
        .with("to", to.at.to_string())
        .with("gap", interval(from, to))
}

fn overlap(first: &Band, second: &Band, from: Cut, to: Cut) -> Mark {
    Mark::new(MarkId::BandOverlap, second.span)
        .with("first", &first.answer.value)
        .with("second", &second.answer.value)
        .with("shared", interval(from, to))
        .see(first.span, format!("{} covers it too", first.answer.value))
}

/// An interval as writers write it: `1.5 to < 3`, `> 1.5 to 3`, or `3` alone.
fn interval(from: Cut, to: Cut) -> String {
    if from.at == to.at {
        return from.at.to_string();
    }
    let (above, below) = (if from.after { "> " } else { "" }, if to.after { "" } else { "< " });
    format!("{above}{} to {below}{}", from.at, to.at)
}
