//! Invariants: intervals contain dense samples, units convert there and back, nothing panics on any text.

use baybook::calculation::{Outcome, Value, quantity, unit};
use baybook::diagnostic::{FileId, Span};
use proptest::prelude::*;

use super::{sheet, with_claims};

/// Formulas of one interval input `x`, defined on 0.5 to 4.
const FORMULAS: &[&str] = &[
    "x * x - 3 * x",
    "x^3 - 2 * x",
    "x^2",
    "(x - 2)^2",
    "1 / x - x",
    "x / (1 + x^2)",
    "sqrt(x) - x / 3",
    "exp(-x) * x",
    "ln(x) * log10(x + 1)",
    "sin(x * 1 rad) * 2 + cos(3 * x * 1 rad)",
    "tan(x * 0.3 rad)",
    "atan(x) / 1 rad - asin(x / 5) / 1 rad + acos(x / 5) / 1 rad",
    "abs(x - 2) + min(x, 2) * max(x, 1.5)",
    "if(x > 2, x - 2, 2 - x)",
    "if(x < 1 or x > 3, 1 / x, x * x)",
    "table(x; 0: 1, 1: 5, 2: -2, 5: 4)",
    "x^1.7 - x^0.3",
    "2^x - x^x",
    "round(x) - floor(x / 2) + ceil(x * 1.5)",
];

fn bounds(outcome: Outcome) -> (f64, f64) {
    match outcome {
        Outcome::Between(interval) => (interval.low, interval.high),
        Outcome::Exact(Value::Number(number)) => (number, number),
        other => panic!("{other:?}"),
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(150))]

    #[test]
    fn an_interval_contains_what_samples_come_to(low in 0.5_f64..4.0, width in 0.0_f64..3.0, at in 0..FORMULAS.len()) {
        let high = (low + width).min(4.0);
        let text = format!("given x = {low} to {high} from 0.5 to 4\ny = {}", FORMULAS[at]);
        let (checked, marks) = sheet(&text);
        prop_assert!(marks.is_empty(), "{text} {marks:?}");
        let (least, most) = bounds(checked.outcome("y").unwrap());
        let mut seen = (f64::INFINITY, f64::NEG_INFINITY);
        for step in 0..=200 {
            let x = (low + (high - low) * f64::from(step) / 200.0).min(high);
            let Some(Some(Value::Number(y))) = checked.compute(0, &[(0, x)]).get(1).copied() else { panic!("{text} at {x}") };
            prop_assert!(least <= y && y <= most, "{text}: {y} at {x} outside {least} to {most}");
            seen = (seen.0.min(y), seen.1.max(y));
        }
        // And it is not much wider: cut into 64 pieces, an enclosure is close.
        let steps = ["round", "floor", "if("].iter().any(|name| FORMULAS[at].contains(name));
        prop_assert!(steps || most - least <= (seen.1 - seen.0) * 1.5 + 0.25, "{text}: {least} to {most} around {seen:?}");
    }

    #[test]
    fn units_convert_there_and_back(number in -1e6_f64..1e6, at in 0..UNITS.len()) {
        let unit = unit(UNITS[at], Span::default()).unwrap();
        let back = unit.from_base(unit.double_to_base(number));
        let size = number.abs().max(unit.offset());
        prop_assert!((back - number).abs() <= 4e-15 * size, "{number} {} came back as {back}", UNITS[at]);
    }

    #[test]
    fn no_text_panics(text in "\\PC{0,60}") {
        let _ = sheet(&text);
        let _ = quantity(&text, Span::new(FileId(0), 0..text.len()));
    }

    #[test]
    fn no_line_of_tokens_panics(words in proptest::collection::vec(0..TOKENS.len(), 0..24)) {
        let text: Vec<&str> = words.into_iter().map(|at| TOKENS[at]).collect();
        let _ = sheet(&text.join(" "));
        let _ = sheet(&text.concat());
        let _ = sheet(&format!("x = {}\ngiven y = 2 m from 1 m to 5 m", text.join(" ")));
    }

    #[test]
    fn no_words_of_a_link_panic(words in "\\PC{0,30}", number in "[0-9,.±–-]{0,8}") {
        let sheet = "x = 3 m\nt = 20 degC\np = 2 barg\nok = 1 > 0\nn = 2";
        for name in ["x", "t", "p", "ok", "n"] {
            let _ = with_claims(sheet, &[(&format!("calc:{name}"), &format!("{number}{words}"))]);
            let _ = with_claims(sheet, &[(&format!("calc:{name}"), &format!("{words} {number} to {words}"))]);
        }
    }
}

const UNITS: &[&str] = &[
    "m",
    "in",
    "mi",
    "µm",
    "h",
    "lb",
    "oz",
    "lbf",
    "psi",
    "inHg",
    "kWh",
    "hp",
    "galUS",
    "fl_ozUK",
    "mph",
    "kn",
    "km/h",
    "N·m",
    "lbf·ft",
    "rpm",
    "deg",
    "degC",
    "degF",
    "delta_degF",
    "%",
    "ppm",
    "mi/galUK",
    "W/(m·K)",
    "rpm/(N·m)^0.5",
];

const TOKENS: &[&str] = &[
    "given",
    "x",
    "y",
    "=",
    "1",
    "2.5",
    "m",
    "km/h",
    "s",
    "degC",
    "psi",
    "%",
    "+",
    "-",
    "*",
    "/",
    "^",
    "(",
    ")",
    ",",
    ";",
    ":",
    "<",
    ">=",
    "==",
    "and",
    "or",
    "not",
    "if(",
    "min(",
    "sqrt(",
    "table(",
    "spec(",
    "gives",
    "within",
    "in",
    "from",
    "to",
    "±",
    "pi",
    "g0",
    "true",
    "²",
    "·",
    "\n",
    "#",
    "1e308",
    "0",
    "spec(service-brakes, front-pad-minimum)",
];

#[test]
fn deep_and_long_texts_are_refused_without_harm() {
    let deep = format!("x = {}1{}", "(".repeat(5_000), ")".repeat(5_000));
    let minus = format!("x = {}1", "-".repeat(5_000));
    let towers = format!("x = 2{}", "^2".repeat(5_000));
    let long = format!("x = 1{}", " + 1".repeat(20_000));
    let not = format!("x = {}true", "not ".repeat(5_000));
    for text in [deep, minus, towers, long, not] {
        let (_, marks) = sheet(&text);
        assert_eq!(marks.len(), 1, "{}", &text[..30]);
    }
    let chain: Vec<String> = (1..4_000).map(|at| format!("a{at} = a{} + 1", at - 1)).collect();
    let (checked, marks) = sheet(&format!("{}\na0 = 1", chain.join("\n")));
    assert!(marks.is_empty());
    assert_eq!(checked.shown("a3999"), Some(4_000.0));
}

/// Texts made to cost time: long chains over intervals and ranges, and many statements that cannot be proved. The search is
/// given up and says so; without its bound this test would not end.
#[test]
fn work_is_bounded() {
    let chain = |first: &str| {
        let lines: Vec<String> =
            (1..1_500).map(|at| format!("a{at} = a{} * 1.0001 - a{} / 7", at - 1, at - 1)).collect();
        format!("{first}\n{}", lines.join("\n"))
    };
    let unproved: Vec<String> =
        (0..300).map(|at| format!("y{at} = 1 / (a1400 * b - b * a1400 + a * 0 + 0.0001)")).collect();
    let ranged = format!(
        "{}\ngiven a = 1 from 0 to 1\ngiven b = 1 from 0 to 1\n{}",
        chain("given a0 = 1 from 0.5 to 2"),
        unproved.join("\n")
    );
    assert!(sheet(&chain("given a0 = 1 to 2")).1.is_empty());
    let (_, marks) = sheet(&ranged);
    let given_up = marks.iter().filter(|mark| mark.fact("certain") == Some("no")).count();
    assert!(given_up > 200, "{given_up} of {}", marks.len());
}

#[test]
fn quantities_that_are_equal_on_paper_are_equal() {
    for (one, other) in [
        ("3 mm", "0.3 cm"),
        ("1 in", "25.4 mm"),
        ("0.1 m", "10 cm"),
        ("68 degF", "20 degC"),
        ("7 bar", "0.7 MPa"),
        ("1 mi", "5280 ft"),
        ("1 h", "3600 s"),
        ("8 oz", "0.5 lb"),
        ("1 galUS", "231 in^3"),
    ] {
        let (_, marks) = sheet(&format!("same = {one} == {other} gives true\nmet = {one} >= {other} gives true"));
        assert!(marks.is_empty(), "{one} {other} {marks:?}");
    }
}
