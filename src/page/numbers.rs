//! Numbers as readers of a language write them.

use std::borrow::Cow;
use std::collections::BTreeMap;

/// A number with at most `digits` after the decimal mark, without zeros at its end.
pub(super) fn number_text(number: f64, digits: usize, words: &BTreeMap<String, String>) -> String {
    let mut text = quick_text(number, digits).unwrap_or_else(|| format!("{number:.digits$}"));
    if text.contains('.') {
        text.truncate(text.trim_end_matches('0').trim_end_matches('.').len());
    }
    if !text.contains('.') {
        return text;
    }
    match words.get("decimal_mark") {
        Some(mark) => text.replace('.', mark),
        None => text,
    }
}

/// The number with `digits` after the point, where no doubt is how it rounds: a number of moderate size that lies clearly on one
/// side of the middle between two texts. Pages are full of such numbers, and writing any other takes much longer.
fn quick_text(number: f64, digits: usize) -> Option<String> {
    let tens = *[1_u32, 10, 100, 1000].get(digits)?;
    let scaled = number * f64::from(tens);
    let whole = scaled as u32;
    let rest = scaled - f64::from(whole);
    let is_plain = number.is_sign_positive() && scaled < 1e9 && (rest - 0.5).abs() > 1e-6;
    let whole = whole.saturating_add(u32::from(rest > 0.5));
    is_plain.then(|| {
        let mut text = (whole / tens).to_string();
        let mut place = tens;
        while place > 1 {
            text.push_str(if place == tens { "." } else { "" });
            place /= 10;
            text.push(char::from(b'0' + (whole / place % 10) as u8));
        }
        text
    })
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
    fn quick_texts_are_those_of_the_standard_library() {
        let mut quick = 0;
        for step in 0..200_000_u32 {
            // Every number of three digits after the point, and whatever lies beside it.
            for number in [f64::from(step) / 1000.0, f64::from(step).sqrt(), f64::from(step) / 7.0, -f64::from(step)] {
                for digits in 0..5 {
                    let text = quick_text(number, digits);
                    assert!(
                        text.as_ref().is_none_or(|text| *text == format!("{number:.digits$}")),
                        "{number}: {text:?}"
                    );
                    quick += usize::from(text.is_some());
                }
            }
        }
        assert!(quick > 1_000_000, "{quick}");
        for number in [0.5, 2.5, 0.125, f64::NAN, f64::INFINITY, 4e9, 1e300] {
            for digits in 0..4 {
                let text = quick_text(number, digits);
                assert!(text.is_none_or(|text| text == format!("{number:.digits$}")), "{number}");
            }
        }
    }

    #[test]
    fn limits_have_the_signs_that_readers_know() {
        assert_eq!(with_signs(">= 2.5 mm, <= 3"), "≥ 2.5 mm, ≤ 3");
        assert_eq!(with_signs("10 to < 12"), "10 to < 12");
    }
}
