//! The years of a box, as `fits` writes them: `2019`, `2018-2021`, `2019-`, `-2020`, and lists of these.

use serde::{Deserialize, Serialize};
use std::ops::Range;

/// A run of model years, both ends included. An open end goes as far as the line does.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub struct YearRange {
    /// First year, or open.
    pub first: Option<u16>,
    /// Last year, or open.
    pub last: Option<u16>,
}

/// What is wrong with the text of some years.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct YearsFault {
    /// What kind of fault.
    pub kind: YearsFaultKind,
    /// The text that is to blame; empty where something is missing.
    pub found: String,
    /// Where it stands, in bytes of the text given.
    pub range: Range<usize>,
}

/// The ways in which the text of some years can be wrong.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum YearsFaultKind {
    /// Nothing stands where a year or a range was expected.
    Missing,
    /// Not a year of four digits.
    NotAYear,
    /// The last year comes before the first.
    Backwards,
}

impl YearRange {
    /// Whether the year is in the run.
    pub fn contains(self, year: u16) -> bool {
        self.first.is_none_or(|first| first <= year) && self.last.is_none_or(|last| year <= last)
    }
}

/// Reads years: one range, or several with commas between them. Blanks around years and hyphens are allowed.
///
/// # Errors
/// The first fault, from the left.
pub fn parse_years(text: &str) -> Result<Vec<YearRange>, YearsFault> {
    let items = text.split(',').scan(0, |next, item| {
        let start = *next;
        *next += item.len() + 1;
        Some((start, item))
    });
    items.map(|(start, item)| parse_range(text, trim(start, item))).collect()
}

fn parse_range(text: &str, range: Range<usize>) -> Result<YearRange, YearsFault> {
    let item = text.get(range.clone()).unwrap_or("");
    let Some((before, after)) = item.split_once('-') else {
        let year = parse_year(text, range)?;
        return Ok(YearRange { first: Some(year), last: Some(year) });
    };
    let first = trim(range.start, before);
    let last = trim(range.start + before.len() + 1, after);
    if first.is_empty() && last.is_empty() {
        return Err(fault(YearsFaultKind::NotAYear, text, range));
    }
    let end = |range: Range<usize>| if range.is_empty() { Ok(None) } else { parse_year(text, range).map(Some) };
    let years = YearRange { first: end(first)?, last: end(last)? };
    match (years.first, years.last) {
        (Some(first), Some(last)) if last < first => Err(fault(YearsFaultKind::Backwards, text, range)),
        _ => Ok(years),
    }
}

fn parse_year(text: &str, range: Range<usize>) -> Result<u16, YearsFault> {
    let word = text.get(range.clone()).unwrap_or("");
    if word.is_empty() {
        return Err(fault(YearsFaultKind::Missing, text, range));
    }
    let digits = word.len() == 4 && word.bytes().all(|byte| byte.is_ascii_digit());
    let year = digits.then(|| word.parse().ok()).flatten();
    year.ok_or_else(|| fault(YearsFaultKind::NotAYear, text, range))
}

fn fault(kind: YearsFaultKind, text: &str, range: Range<usize>) -> YearsFault {
    YearsFault { kind, found: text.get(range.clone()).unwrap_or("").to_owned(), range }
}

/// The range of `part`, which starts at byte `start`, without the blanks around it.
fn trim(start: usize, part: &str) -> Range<usize> {
    let front = part.len() - part.trim_start().len();
    let kept = part.trim().len();
    start + front..start + front + kept
}
