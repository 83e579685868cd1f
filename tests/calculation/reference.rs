//! Values against outside sources: published rows and worked examples, and a unit library.

use std::fs;

use serde_json::Value as Json;

use super::sheet;

#[allow(clippy::disallowed_methods, reason = "test data")]
fn read(path: &str) -> Json {
    let path = format!("{}/tests/{path}", env!("CARGO_MANIFEST_DIR"));
    serde_json::from_str(&fs::read_to_string(path).unwrap()).unwrap()
}

/// The result `x` in the unit in which it is shown.
fn result(program: &str) -> Result<f64, String> {
    let (checked, marks) = sheet(program);
    match marks.iter().find(|mark| mark.id.name() != "unused-given") {
        Some(mark) => Err(format!("{mark:?}")),
        None => checked.shown("x").ok_or_else(|| "no value".to_owned()),
    }
}

#[test]
fn published_values_are_met() {
    let data = read("data/check-values-calculation.json");
    let rows = data["values"].as_array().unwrap();
    let mut wrong = Vec::new();
    for row in rows {
        let program = row["program"].as_str().unwrap();
        let expected = row["expected"].as_f64().unwrap();
        let relative = row["rel_tol"].as_f64().map_or(0.0, |tolerance| tolerance * expected.abs());
        let tolerance = row["abs_tol"].as_f64().unwrap_or(0.0).max(relative) + expected.abs() * 1e-12;
        match result(program) {
            Ok(value) if (value - expected).abs() <= tolerance => {}
            other => wrong.push(format!("{}: {other:?}, expected {expected} ± {tolerance}\n{program}", row["id"])),
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    assert!(rows.len() >= 80);
}

#[test]
fn published_mistakes_are_refused() {
    let data = read("data/check-values-calculation.json");
    let mut wrong = Vec::new();
    for row in data["refusals"].as_array().unwrap() {
        let (_, marks) = sheet(row["program"].as_str().unwrap());
        let told: Vec<&str> = marks.iter().map(|mark| mark.id.name()).filter(|name| *name != "unused-given").collect();
        if told != [row["mark"].as_str().unwrap()] {
            wrong.push(format!("{}: {told:?}", row["id"]));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// Mistakes of kinds that were seen in print, each as an entry would make it, with the mark that refuses it.
#[test]
fn mistakes_seen_in_print_are_refused() {
    let cases = [
        // A rise of 2 to 6 °C, printed as 36 to 43 °F: a difference converted like a reading.
        ("given rise = 2 to 6 delta_degC\nrise_f = rise gives 36 to 43 degF", "dimension-mismatch"),
        ("given rise = 2 to 6 delta_degC\nrise_f = rise gives 36 to 43 delta_degF", "stated-value-differs"),
        // Tyre pressure after warming, with the gauge reading scaled as if it were absolute.
        (
            "given p = 2.3 barg\ngiven t1 = 10 degC\ngiven t2 = 40 degC\nT1 = t1 in K\nT2 = t2 in K\nhot = p * T2 / T1 gives 2.54 barg",
            "dimension-mismatch",
        ),
        (
            "given p = 2.3 barg\ngiven t1 = 10 degC\ngiven t2 = 40 degC\nair = 101.325 kPaa\nT1 = t1 in K\nT2 = t2 in K\n\
             hot = 0 barg + ((air + (p - 0 barg)) * T2 / T1 - air) gives 2.54 barg",
            "stated-value-differs",
        ),
        // A thinking distance misprinted: UK Highway Code rule 126 gives 15 m at 50 mph (recalled from memory).
        ("given v = 50 mph\nthinking = v / 1 mph * 1 ft gives 18 m", "stated-value-differs"),
        // A ratio of scale readings: 40 °C is not twice as hot as 20 °C.
        ("x = 40 degC / 20 degC gives 2", "dimension-mismatch"),
        // Ten times too small, as a battery page prints its slope.
        ("slope = (1.265 - 1.258) / ((100 degF - 77 degF) / 10 delta_degF) gives 0.0003", "stated-value-differs"),
    ];
    let told = |text: &str| sheet(text).1.iter().map(|mark| mark.id.name()).collect::<Vec<_>>();
    let wrong: Vec<String> = cases
        .iter()
        .filter(|(text, mark)| !told(text).contains(mark))
        .map(|(text, mark)| format!("{text}\n  expected {mark}, told {:?}", told(text)))
        .collect();
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    // The right versions pass.
    let right = [
        "rise = 2 to 6 delta_degC gives 3.6 to 10.8 delta_degF",
        "given v = 50 mph\nthinking = v / 1 mph * 1 ft gives 15 m",
        "given p = 2.3 barg\ngiven t1 = 10 degC\ngiven t2 = 40 degC\nair = 101.325 kPaa\nT1 = t1 in K\nT2 = t2 in K\n\
         hot = 0 barg + ((air + (p - 0 barg)) * T2 / T1 - air) gives 2.65 barg",
    ];
    for text in right {
        assert!(sheet(text).1.is_empty(), "{text}\n{:?}", sheet(text).1);
    }
}

#[test]
fn a_unit_library_agrees() {
    let data = read("reference/pint_cases.json");
    let cases = data["cases"].as_array().unwrap();
    let mut wrong = Vec::new();
    for case in cases {
        let program = case["program"].as_str().unwrap();
        let expected = case["expected"].as_f64().unwrap();
        match result(program) {
            Ok(value) if (value - expected).abs() <= 1e-13 * expected.abs() => {}
            // Near 0 °F or 0 °C the offset cancels nearly all digits.
            Ok(value) if program.contains("deg") && (value - expected).abs() <= 1e-13 * 273.15 => {}
            other => wrong.push(format!("{program}: {other:?}, expected {expected}")),
        }
    }
    assert!(wrong.is_empty(), "{} of {}:\n{}", wrong.len(), cases.len(), wrong[..wrong.len().min(40)].join("\n"));
    assert!(cases.len() >= 2_000);
}
