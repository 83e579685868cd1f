//! The words that views need in the language of their page.

use super::interval::Interval;
use super::show;
use super::unit::Unit;

/// Words of one language.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Wording<'a> {
    /// For what is true.
    pub yes: &'a str,
    /// For what is not.
    pub no: &'a str,
    /// For what may be either within the inputs' intervals.
    pub either: &'a str,
    /// Between the ends of an interval.
    pub to: &'a str,
    /// What a plot shows: `{result}`, `{input}`, `{from}`, `{to}`, `{low}`, `{high}`.
    pub plot: &'a str,
}

impl Wording<'static> {
    /// English.
    pub const ENGLISH: Self = Self {
        yes: "yes",
        no: "no",
        either: "yes or no",
        to: "to",
        plot: "{result} for {input} from {from} to {to}: between {low} and {high}",
    };
}

impl Wording<'_> {
    pub(super) fn truth(&self, truth: bool) -> String {
        if truth { self.yes } else { self.no }.to_owned()
    }

    /// Both ends and the unit once; a single number where they are the same.
    pub(super) fn ends(&self, ends: [String; 2], unit: Option<&Unit>) -> String {
        let [low, high] = ends;
        show::with_unit(&if low == high { low } else { format!("{low} {} {high}", self.to) }, unit)
    }

    /// An interval with at most six significant digits.
    pub(super) fn between(&self, interval: Interval, unit: Option<&Unit>) -> String {
        let ends = [interval.low, interval.high].map(|end| show::significant(show::in_unit(end, unit), 6));
        self.ends(ends, unit)
    }
}
