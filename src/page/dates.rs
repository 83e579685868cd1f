//! Dates as readers of a language write them.

use std::collections::BTreeMap;

use jiff::civil::Date;
use serde::Serialize;

/// A date for machines and for people.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub(super) struct DateText {
    pub(super) iso: String,
    pub(super) text: String,
}

/// The date in the language of `words`, which give the months and the pattern.
pub(super) fn date_text(date: Date, words: &BTreeMap<String, String>) -> DateText {
    let month = words.get(&format!("month_{}", date.month())).cloned().unwrap_or_else(|| date.month().to_string());
    let pattern = words.get("date_pattern").map_or("{day} {month} {year}", String::as_str);
    let text = pattern
        .replace("{day}", &date.day().to_string())
        .replace("{month}", &month)
        .replace("{year}", &date.year().to_string());
    DateText { iso: date.to_string(), text }
}
