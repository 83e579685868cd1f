//! Texts of values and bands.

use baybook::calculation::{Band, End, band, quantity};
use baybook::diagnostic::{FileId, Span};

fn span(text: &str) -> Span {
    Span::new(FileId(0), 0..text.len())
}

#[test]
fn specification_values_are_read() {
    let cases = [
        ("3 mm", 0.003, 0.003),
        ("20 to 25 N·m", 20.0, 25.0),
        ("7 bar ± 0.5 bar", 650_000.0, 750_000.0),
        ("7 ± 0.5 bar", 650_000.0, 750_000.0),
        ("12.4 V", 12.4, 12.4),
        ("-40 degF", 233.15, 233.15),
        ("-5 to 5 mm", -0.005, 0.005),
        ("1/2 1/s", f64::NAN, f64::NAN),
    ];
    for (text, low, high) in cases {
        match quantity(text, span(text)) {
            Ok(value) => assert_eq!((value.low, value.high), (low, high), "{text}"),
            Err(mark) => assert!(low.is_nan(), "{text}: {mark:?}"),
        }
    }
}

#[test]
fn bands_are_read() {
    let end = |number: f64, included: bool| Some(End { number, included });
    let cases = [
        ("< 1.5", Some(Band { low: None, high: end(1.5, false) })),
        ("1.5 to < 3", Some(Band { low: end(1.5, true), high: end(3.0, false) })),
        (">= 3", Some(Band { low: end(3.0, true), high: None })),
        ("<= 2", Some(Band { low: None, high: end(2.0, true) })),
        ("> 4", Some(Band { low: end(4.0, false), high: None })),
        ("> 1 to 2", Some(Band { low: end(1.0, false), high: end(2.0, true) })),
        ("-2 to -1", Some(Band { low: end(-2.0, true), high: end(-1.0, true) })),
        ("5", Some(Band { low: end(5.0, true), high: end(5.0, true) })),
        ("3 to 2", None),
        ("> 2 to 2", None),
        ("about 3", None),
        ("< 3 mm", None),
        ("", None),
        ("1,5 to 3", None),
    ];
    for (text, expected) in cases {
        assert_eq!(band(text, span(text)).ok(), expected, "{text}");
    }
}
