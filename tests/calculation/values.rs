//! Texts of values.

use baybook::calculation::quantity;
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
