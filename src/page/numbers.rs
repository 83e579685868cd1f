//! Numbers as readers of a language write them.

use std::borrow::Cow;
use std::collections::BTreeMap;

/// A number with at most `digits` after the decimal mark, without zeros at its end.
pub(super) fn number_text(number: f64, digits: usize, words: &BTreeMap<String, String>) -> String {
    let text = format!("{number:.digits$}");
    let text = if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text };
    match words.get("decimal_mark").map(String::as_str) {
        Some(mark) => text.replace('.', mark),
        None => text,
    }
}

/// Minutes of work.
pub(super) fn minutes_text(minutes: f64, words: &BTreeMap<String, String>) -> String {
    format!("{}\u{a0}min", number_text(minutes, 1, words))
}

/// A text in which limits have the signs that readers know (ISO 80000-2) in place of those that a keyboard has.
pub(super) fn with_signs(text: &str) -> Cow<'_, str> {
    if text.contains(">=") || text.contains("<=") {
        return text.replace(">=", "≥").replace("<=", "≤").into();
    }
    text.into()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_lose_empty_digits_and_take_the_languages_mark() {
        let spanish = BTreeMap::from([("decimal_mark".to_owned(), ",".to_owned())]);
        assert_eq!(number_text(2.50, 2, &BTreeMap::new()), "2.5");
        assert_eq!(number_text(20.0, 1, &BTreeMap::new()), "20");
        assert_eq!(number_text(0.05, 2, &spanish), "0,05");
    }
    #[test]
    fn limits_have_the_signs_that_readers_know() {
        assert_eq!(with_signs(">= 2.5 mm, <= 3"), "≥ 2.5 mm, ≤ 3");
        assert_eq!(with_signs("10 to < 12"), "10 to < 12");
    }
}
