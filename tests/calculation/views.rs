//! What the page is given: rows, formulas, plots, scripts.

use baybook::calculation::{Wording, javascript, sheet_view};

use super::sheet;

const SHEET: &str = "given speed = 100 km/h from 10 km/h to 200 km/h\n\
     given grip = 0.8 from 0.05 to 1.2\n\
     given wet = false\n\
     given torque = 20 to 25 N·m\n\
     braking = speed^2 / (2 * grip * g0) gives 49.2 m\n\
     longer = if(wet, braking * 1.5, braking) in ft\n\
     pad_ok = 2.7 mm >= spec(service-brakes, front-pad-minimum)\n\
     force = torque / 0.5 m gives 40 to 50 N\n\
     half = -(speed - 3 m/s) / 2 - (1 m/s - 2 m/s)";

#[test]
fn rows_hold_the_worked_example() {
    let (checked, marks) = sheet(SHEET);
    assert!(marks.is_empty(), "{marks:#?}");
    let view = sheet_view(&checked, &Wording::ENGLISH).remove(0);
    let givens: Vec<_> = view
        .givens
        .iter()
        .map(|row| {
            (row.label.as_str(), row.value.as_str(), row.low_text.as_str(), row.high.as_str(), row.unit.as_str())
        })
        .collect();
    let expected = [
        ("speed", "100", "10 km/h", "200", "km/h"),
        ("grip", "0.8", "0.05", "1.2", ""),
        ("wet", "false", "", "", ""),
        ("torque", "22.5", "20 N·m", "25", "N·m"),
    ];
    assert_eq!(givens, expected);
    assert_eq!(view.givens[3].text, "20 to 25 N·m");
    assert!(view.givens[0].units.starts_with(&["km/h".to_owned()]) && view.givens[0].units.contains(&"mph".to_owned()));
    let steps: Vec<_> = view
        .steps
        .iter()
        .map(|row| (row.label.as_str(), row.formula.as_str(), row.text.as_str(), row.claim_text.as_str()))
        .collect();
    let expected = [
        ("braking", "speed^2 / (2 · grip · g₀)", "49.2 m", "49.2 m"),
        ("longer", "braking · 1.5 if wet, else braking", "161.3 ft", ""),
        ("pad ok", "2.7 mm ≥ front pad minimum", "yes (the Fell); no (the Tarn)", ""),
        ("force", "torque / 0.5 m", "40 to 50 N", "40 to 50 N"),
        ("half", "−(speed − 3 m/s) / 2 − (1 m/s − 2 m/s)", "-41 km/h", ""),
    ];
    assert_eq!(steps, expected);
    assert_eq!(view.specs[0].text, "2.5 mm (the Fell); 3 mm (the Tarn)");
}

#[test]
fn formulas_are_typeset() {
    let (checked, _) = sheet("given a = 2\nx = sqrt(a)^2 / (a + 1) * -a");
    let math = &sheet_view(&checked, &Wording::ENGLISH)[0].steps[0].math;
    assert!(
        math.starts_with("<math displaystyle=\"true\"><mi>x</mi><mo>=</mo>") && math.ends_with("</math>"),
        "{math}"
    );
    assert!(math.contains("<mfrac>") && math.contains("<msqrt>") && math.contains("<msup>"), "{math}");
    for tag in ["mrow", "mfrac", "msqrt", "msup", "mi", "mn", "mo"] {
        let (open, close) = (format!("<{tag}>"), format!("</{tag}>"));
        assert_eq!(math.matches(&open).count(), math.matches(&close).count(), "{tag} in {math}");
    }
}

#[test]
fn a_plot_is_drawn_without_inline_style() {
    let (checked, _) = sheet("given x = 2 from 0 to 4\ny = if(x > 3, 1, x^2) gives 4");
    let view = sheet_view(&checked, &Wording::ENGLISH).remove(0);
    assert!(view.plot_svg.starts_with("<svg ") && view.plot_svg.ends_with("</svg>"));
    assert!(!view.plot_svg.contains("style"), "{}", view.plot_svg);
    assert!(view.plot_svg.contains("<circle class=\"at\" cx=\"224\""), "{}", view.plot_svg);
    assert_eq!(view.plot_caption, "y for x from 0 to 4: between 0 and 9");
    let points = view.plot_svg.split("points=\"").nth(1).unwrap().split('"').next().unwrap();
    assert_eq!(points.split(' ').count(), 61);
}

/// What a result is computed from by several ways, one of them over a statement that others use too.
#[test]
fn a_plot_computes_all_that_its_result_needs_and_no_more() {
    let drawn = |text: &str| sheet_view(&sheet(text).0, &Wording::ENGLISH).remove(0).plot_svg;
    let by_steps = drawn("given x = 2 from 1 to 4\nk = 3\na = k * x\nb = a + 2 * x\nspare = k + 1\ny = a + b");
    assert!(by_steps.contains("<polyline"), "{by_steps}");
    assert_eq!(by_steps, drawn("given x = 2 from 1 to 4\ny = 8 * x"));
}

#[test]
fn a_block_without_a_ranged_input_has_no_plot() {
    let (checked, _) = sheet("given x = 2\ny = x^2 gives 4");
    assert_eq!(sheet_view(&checked, &Wording::ENGLISH)[0].plot_svg, "");
}

#[test]
fn a_script_cannot_leave_its_element() {
    let (checked, _) = sheet("x = 3 m");
    let script = javascript("guides/</script><script>\u{2028}\"", &checked);
    assert!(!script.contains("</script>") && !script.contains('\u{2028}'), "{script}");
    assert!(!script.contains("eval") && !script.contains("new Function"));
    assert_eq!(javascript("guides/x", &sheet("# nothing").0), "");
}
