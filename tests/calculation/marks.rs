//! Marks of the language: which, and at which text.

use super::{sheet, told};

/// What is wrong with the marks of one text.
fn difference(text: &str, expected: &[&str]) -> Option<String> {
    let (_, marks) = sheet(text);
    let told = told(&marks, text, "");
    (told != expected)
        .then(|| format!("{text}\n  expected {expected:?}\n  told     {told:?}\n  facts    {:?}\n", facts(&marks)))
}

fn facts(marks: &[baybook::diagnostic::Mark]) -> Vec<&Vec<(std::borrow::Cow<'static, str>, String)>> {
    marks.iter().map(|mark| &mark.facts).collect()
}

fn report(differences: impl Iterator<Item = Option<String>>) {
    let wrong: Vec<String> = differences.flatten().collect();
    assert!(wrong.is_empty(), "{} wrong:\n{}", wrong.len(), wrong.join("\n"));
}

/// A statement with a fault, and the marks at their texts.
const CASES: &[(&str, &[&str])] = &[
    // Syntax.
    ("x = (1 + 2", &["calc-syntax@("]),
    ("x = 1 + ", &["calc-syntax@"]),
    ("x = 1,5 * 2", &["calc-syntax@1,5"]),
    ("given x = 1,5 m", &["calc-syntax@1,5"]),
    ("x = 2 3", &["calc-syntax@3"]),
    ("x = 1.2.3", &["calc-syntax@1.2.3"]),
    ("x = 5.", &["calc-syntax@5."]),
    ("x = 1 = 2", &["calc-syntax@="]),
    ("x = 2 ** 3", &["calc-syntax@**"]),
    ("x = 1 < 2 < 3", &["calc-syntax@<"]),
    ("if = 3", &["calc-syntax@if"]),
    ("given = 3", &["calc-syntax@="]),
    ("speed is 100 km/h", &["calc-syntax@is"]),
    ("x = $4", &["calc-syntax@$"]),
    ("x = if(1 > 0, 2)", &["calc-syntax@if(1 > 0, 2)"]),
    ("x = sqrt(1, 2)", &["calc-syntax@sqrt(1, 2)"]),
    ("x = table(1; 0: 1)", &["calc-syntax@table(1; 0: 1)"]),
    ("x = 1\nx = 2", &["calc-syntax@x"]),
    ("x = 3 m + )", &["calc-syntax@)"]),
    ("x = (1 +\ny = 2 m gives 2 m", &["calc-syntax@"]),
    ("x = (1 + 2\ny = 2 m gives 2 m", &["calc-syntax@("]),
    // Several faults in one block, each once.
    ("x = 1 +\ny = 2 gal\nz = 3 m + 4 s", &["calc-syntax@", "unknown-unit@gal", "dimension-mismatch@4 s"]),
    // Names.
    ("given speed = 3 m/s\nx = sped * 2 s + speed * 1 s", &["unknown-name@sped"]),
    ("x = squirt(4)", &["unknown-name@squirt"]),
    ("x = spec(service-brake, front-pad-minimum)", &["unknown-name@service-brake"]),
    ("x = spec(service-brakes, front-pad-min)", &["unknown-name@front-pad-min"]),
    ("a = b + 1\nb = c + 1\nc = a + 1", &["calc-loop@a"]),
    ("a = a + 1", &["calc-loop@a"]),
    ("a = b\nb = a\nc = a + 1\nd = 2 gives 3", &["calc-loop@a", "stated-value-differs@3"]),
    // A fault costs no followers.
    ("a = 3 gal\nb = a + 1 m\nc = b * 2 gives 5 m", &["unknown-unit@gal"]),
    ("given a = = 3\nb = a + 1 m", &["calc-syntax@="]),
    ("given a = 3 m\nb = a + ", &["calc-syntax@"]),
    // Units.
    ("given x = 5 gal\ny = 2 * x", &["unknown-unit@gal"]),
    ("x = 100 lb·ft in N·m", &["unknown-unit@lb·ft"]),
    ("x = 100 lb*ft in N*m", &["unknown-unit@lb*ft"]),
    ("x = 100 ft-lb in N·m", &["unknown-unit@ft-lb"]),
    ("x = 100 Nm", &["unknown-unit@Nm"]),
    ("x = 20 C", &["unknown-unit@C"]),
    ("x = 20 °C", &["unknown-unit@°C"]),
    ("x = 70 F in degF", &["unknown-unit@F"]),
    ("x = 20 degC gives 68 F", &["unknown-unit@F"]),
    ("x = 1 Gal in L", &["unknown-unit@Gal"]),
    ("x = 5 KM", &["unknown-unit@KM"]),
    ("x = 5 km/hr", &["unknown-unit@hr"]),
    ("x = 3 mV/degC", &["unknown-unit@degC"]),
    ("x = 3 L/psig", &["unknown-unit@psig"]),
    ("x = 3 dBm + 12 V", &["unknown-unit@dBm"]),
    // Dimensions.
    ("x = 32 psi + 60 mi/h", &["dimension-mismatch@60 mi/h"]),
    ("x = 60 A·h + 3 A", &["dimension-mismatch@3 A"]),
    ("x = 30 % + 2 psi", &["dimension-mismatch@2 psi"]),
    ("x = 2^(3 s)", &["dimension-mismatch@(3 s)"]),
    ("x = sin(30 psi)", &["dimension-mismatch@30 psi"]),
    ("x = sin(30)", &["dimension-mismatch@30"]),
    ("x = 5 psi + 3", &["dimension-mismatch@3"]),
    ("given V = 100 km/h\nS = 0.1*V + 0.0060*V^2", &["dimension-mismatch@0.0060*V^2"]),
    (
        "given v1 = 80 km/h\ngiven v2 = 10 km/h\ngiven dt = 3 s\na = (v1^2 - v2^2)/(2*dt) gives 81.7 m/s^2",
        &["dimension-mismatch@m/s^2"],
    ),
    ("x = 3 m in s", &["dimension-mismatch@s"]),
    ("x = 3 kg in N", &["dimension-mismatch@N"]),
    ("x = 1 m < 2 s", &["dimension-mismatch@2 s"]),
    ("x = if(1 m, 2, 3)", &["dimension-mismatch@1 m"]),
    ("x = not 3", &["dimension-mismatch@3"]),
    ("x = (1 > 0) + 2", &["dimension-mismatch@(1 > 0)"]),
    ("x = exp(3 m)", &["dimension-mismatch@3 m"]),
    ("x = round(3.2 m)", &["dimension-mismatch@3.2 m"]),
    ("x = min(1 m, 2 s)", &["dimension-mismatch@2 s"]),
    ("given n = 2\nx = (3 m)^n", &["dimension-mismatch@n"]),
    ("x = table(1 s; 0 m: 1, 1 m: 2)", &["dimension-mismatch@1 s"]),
    ("x = table(1; 0: 1 m, 1: 2 s)", &["dimension-mismatch@2 s"]),
    ("x = 1 > 2 gives 5", &["dimension-mismatch@5"]),
    ("x = 3 gives true", &["dimension-mismatch@true"]),
    ("given x = 3 m from 0 s to 5 s\ny = x * 2", &["dimension-mismatch@3 m"]),
    ("given x = 1.2 s from 0.5 m to 2 m\ny = x * 2", &["dimension-mismatch@1.2 s"]),
    ("given x = 1.2 m from 0.5 s to 2 m\ny = x * 2", &["dimension-mismatch@0.5 s"]),
    ("given x = 1.2 m from 0.5 m to 2 s\ny = x * 2", &["dimension-mismatch@2 s"]),
    // Kinds that a dimension does not tell.
    ("x = 100 N·m + 5 J", &["dimension-mismatch@5 J"]),
    ("x = 100 N·m in kJ", &["dimension-mismatch@kJ"]),
    ("x = 20 degC + 5 degC", &["dimension-mismatch@5 degC"]),
    ("x = 5 degC < 40 delta_degF", &["dimension-mismatch@40 delta_degF"]),
    ("x = 4 delta_degC in degF", &["dimension-mismatch@degF"]),
    ("x = 2 * 20 degC", &["dimension-mismatch@20 degC"]),
    ("x = 5 K - 20 degC", &["dimension-mismatch@20 degC"]),
    ("x = 2 barg + 1 bara", &["dimension-mismatch@1 bara"]),
    ("x = 2 barg in bara", &["dimension-mismatch@bara"]),
    ("x = 2 barg > 1 bar", &["dimension-mismatch@1 bar"]),
    ("x = 2 barg + 1 barg", &["dimension-mismatch@1 barg"]),
    ("x = 3000 rpm + 314 rad/s", &["dimension-mismatch@314 rad/s"]),
    // Torque times turns is no power and no work: 1 rev is 2π rad.
    ("P = 100 N·m * 3000 rpm in kW", &["dimension-mismatch@kW"]),
    ("P = 50 Hz * 100 N·m gives 5 kW", &["dimension-mismatch@kW"]),
    ("given T = 74 lbf·ft\ngiven n = 3000 rpm\nraw = T * n\nP = raw * 0.9 in hp", &["dimension-mismatch@hp"]),
    ("W = 100 N·m * 10 rev in J", &["dimension-mismatch@J"]),
    ("W = 100 N·m * 3000 rpm * 1 min in kJ", &["dimension-mismatch@kJ"]),
    ("x = 100 N·m * 3000 rpm > 5 kW", &["dimension-mismatch@5 kW"]),
    ("x = 100 N·m * 3000 rpm + 5 kW", &["dimension-mismatch@5 kW"]),
    ("share = 100 N·m * 3000 rpm / (40 kW) in %", &["dimension-mismatch@%"]),
    ("x = 300 N·m·rpm in W", &["dimension-mismatch@W"]),
    ("T = 50 kW / (3000 rpm) in N·m", &["dimension-mismatch@N·m"]),
    // A percentage of a temperature would be another width on each scale.
    ("x = 20 degC ± 5%", &["dimension-mismatch@5%"]),
    ("given a = 20 degC ± 5 %\nrise = a - 0 degC gives 19 K to 21 K", &["dimension-mismatch@5 %"]),
    ("x = 20 degC gives 68 degF within 5%", &["dimension-mismatch@5%"]),
    ("x = 90 deg + 0.5", &["dimension-mismatch@0.5"]),
    ("x = 5 % in deg", &["dimension-mismatch@deg"]),
    // Loose ends of statements.
    ("given x = 5 m from 1 m to 2 m\ny = x", &["bad-value@5 m"]),
    ("given x = 2 m from 3 m to 1 m\ny = x", &["bad-value@3 m to 1 m"]),
    ("x = 25 to 20 mm", &["bad-value@25 to 20 mm"]),
    ("x = table(1; 2: 1, 1: 2)", &["bad-value@1"]),
    ("given x = 3 m", &["unused-given@x"]),
    ("given x = -300 degC\ny = x", &["out-of-domain@-300 degC"]),
    ("given x = -1 bara\ny = x", &["out-of-domain@-1 bara"]),
    // Claims.
    ("d = 3 m * 2 gives 7 m", &["stated-value-differs@7 m"]),
    ("d = 3 m * 2 gives 6.1 m", &["stated-value-differs@6.1 m"]),
    ("d = 10 m / 3 gives 3.34 m", &["stated-value-differs@3.34 m"]),
    ("ok = 3 m > 4 m gives true", &["stated-value-differs@true"]),
    ("d = 100 m gives 97 m within 2%", &["stated-value-differs@97 m"]),
    ("x = 2 barg ± 5% gives 1.95 to 2.10 barg", &["stated-value-differs@1.95 to 2.10 barg"]),
    ("d = 100 m gives 99 m within -2 m", &["bad-value@-2 m"]),
    ("ok = 2.8 mm >= spec(service-brakes, front-pad-minimum) gives true", &["stated-value-differs@true"]),
    ("t = 20 to 25 N·m / 0.5 gives 42 to 50 N·m", &["stated-value-differs@42 to 50 N·m"]),
    // Domains.
    ("x = 1 / 0", &["out-of-domain@0"]),
    ("x = sqrt(0 - 1)", &["out-of-domain@0 - 1"]),
    ("x = ln(0)", &["out-of-domain@0"]),
    ("x = asin(1.5)", &["out-of-domain@1.5"]),
    ("x = table(3; 0: 1, 2: 5)", &["out-of-domain@3"]),
    ("x = (0 - 8)^(1/3)", &["out-of-domain@(0 - 8)"]),
    ("x = exp(1000)", &["out-of-domain@1000"]),
    ("x = 10 degC - 300 K", &["out-of-domain@10 degC - 300 K"]),
];

#[test]
fn marks_stand_at_their_texts() {
    report(CASES.iter().map(|(text, expected)| difference(text, expected)));
}

/// Right statements: no mark at all.
const CLEAN: &[&str] = &[
    "x = -2^2 gives -4",
    "x = 2^3^2 gives 512",
    "x = 2^-1 gives 0.5",
    "x = -40 degF gives -40 degC",
    "x = 20 degC - -273.15 degC gives 293.15 K",
    "x = 20 degC in K",
    "x = 68 degF - 41 degF gives 15 K",
    "x = 20 degC + 9 delta_degF gives 25.0 degC",
    "x = 2.3 barg + 0.2 bar gives 2.5 barg",
    "x = 101.325 kPaa + (2.3 barg - 0 barg) gives 331.325 kPaa",
    "x = 3000 rpm gives 314.16 rad/s",
    "x = 3000 rpm gives 50 Hz",
    "x = 314.16 rad/s gives 3000 rpm within 0.1 rpm",
    "given n = 3000 rpm\nw = 2 * pi * n gives 314.16 rad/s",
    "v = 10 rad/s * 0.3 m gives 3.0 m/s",
    "w = 3 m/s / 0.3 m gives 10 rad/s",
    "f = 27 m/s / (pi * 0.6 m) gives 14.3 Hz",
    "P = 100 N·m * 3000 rpm * 2 * pi gives 31.4 kW",
    "P = 100 N·m * (3000 rpm * 2 * pi) gives 31.4 kW",
    "P = 2 * pi * 100 N·m * 3000 rpm gives 31.4 kW",
    "raw = 100 N·m * 3000 rpm\nP = 2 * pi * raw gives 31.4 kW",
    "P = 100 N·m * 314.159 rad/s gives 31.4 kW",
    "P = 314.159 rad/s * 100 N·m",
    "W = 100 N·m * 10 rev * 2 * pi gives 6.28 kJ",
    "W = 100 N·m * 62.83 rad gives 6.283 kJ",
    "T = 31.4 kW / (2 * pi * 3000 rpm) gives 100 N·m",
    "T = 31.4 kW / 3000 rpm / (2 * pi) gives 100 N·m",
    "T = 31.4 kW / (314.159 rad/s) gives 100 N·m",
    "given n = 3000 rpm\nw = n in rad/s\nT = 31.4 kW / w gives 100 N·m",
    "turn = 50 kW / (3000 rpm) gives 1 kJ",
    "P = 1 kJ * 50 Hz gives 50 kW",
    "n2 = 100 N·m * 3000 rpm / (200 N·m) gives 1500 rpm",
    "T2 = 100 N·m * 3000 rpm / (1500 rpm) gives 200 N·m",
    "n2 = 100 N·m * 3 rev / (200 N·m) gives 1.5 rev",
    "same = 100 N·m * 3000 rpm == 200 N·m * 1500 rpm gives true",
    "grip = 5 N·m / (0.3 m) * 0.3 m * 20 Hz",
    "given n = 3000 rpm\nw = n in rad/s\nP = 100 N·m * w gives 31.4 kW",
    "T = 50 N * 0.3 m gives 15.0 N·m",
    "E = 50 N * 0.3 m gives 15.0 J",
    "x = 2 rev gives 720 deg",
    "x = 10 N·m * 2 rad gives 20 J",
    "a = cos(0) gives 1",
    "a = sin(pi/6) gives 0.500",
    "x = 1 in in mm",
    "x = 0.5 in %",
    "x = 25.4 mm gives 1.0 in",
    "x = 2 kg * 9.81 m/s^2 gives 19.6 N",
    "given m = 2 kg\nx = 3 N * m",
    "given t = 2 s\nx = 100 km/h * t gives 56 m",
    "x = (1 +\n  2) gives 3",
    "x = min(1,5) gives 1",
    "# a remark\nx = 1 # another",
    "a = b + 1 gives 3\nb = 2",
    "x = 7 bar ± 0.5 bar gives 6.5 to 7.5 bar",
    "x = 7 ± 0.5 bar gives 6 to 8 bar",
    "x = 12 V ± 5 % gives 11.4 to 12.6 V",
    "x = 20 ± 2 degC gives 18 to 22 degC",
    "x = 20 degC ± 2 K gives 18 to 22 degC",
    // Of a gauge reading: the same width in every unit that counts from the air's pressure.
    "x = 2 barg ± 5% gives 1.9 to 2.1 barg",
    "x = 200 kPag ± 5% gives 1.9 to 2.1 barg",
    "x = 2 barg gives 2.1 barg within 5%",
    "x = 2 bara ± 5% gives 1.9 to 2.1 bara",
    "given x = 3 from 1 to 5\ny = 1 / x gives 0.33",
    "given x = 3 from 0 to 5\ny = if(x > 0, 1 / x, 0) gives 0.33",
    "given x = 3 from 0 to 5\ny = if(x == 0, 0, 1 / x) gives 0.33",
    "given x = 3 from 0 to 5\nok = x > 0 and 1 / x > 0.2 gives true",
    "given x = 3 from 0 to 5\ny = sqrt(2 * x) gives 2.4",
    "given x = 3 from 0 to 5\ny = 1 / (x^2 - 6 * x + 9.01) gives 100",
    "given x = 3 m from 0 m to 5 m\ny = acos(x / 5 m) in deg",
    "given a = 2 from 0 to 4\ngiven b = 3 from 0 to 4\ny = sqrt(a^2 + b^2 - a * b) gives 2.6",
    "pad = 3 mm\nok = pad >= spec(service-brakes, front-pad-minimum) gives true",
    "ok = 0.3 cm >= 3 mm gives true",
    "T = spec(wheels, bolt-torque) gives 110 to 130 N·m",
    "T = spec(wheels, bolt-torque) gives 81.1 to 95.9 lbf·ft",
    "x = 5 W/(m*K) * 2 m * 3 K gives 30 W",
    "x = 2 1/s gives 2 Hz",
    "t = 90 min gives 1.5 h",
    "q = 6 L/min * 2 min gives 12 L",
    "q = 6 m/min(2, 3) gives 3 m",
    "x = abs(0 m - 3 m) gives 3 m",
    "soc = table(12.45 V; 11.9 V: 0 %, 12.2 V: 50 %, 12.7 V: 100 %) gives 75 %",
    "given wet = true\nmu = if(wet, 0.5, 0.8) gives 0.5",
    "d = 100 m gives 99 m within 2%",
    "d = 98.6 m gives 100 m within 1.5 m",
    "x = 3 m·s^-2 gives 3 m/s²",
    "given speed = 100 km/h from 10 km/h to 200 km/h\ngiven grip = 0.8 from 0.05 to 1.2\ngiven reaction = 1.5 s\n\
     braking = speed^2 / (2 * grip * g0)        gives 49.2 m\n\
     total   = speed * reaction + braking       gives 91 m within 1 m",
];

#[test]
fn right_statements_have_no_mark() {
    report(CLEAN.iter().map(|text| difference(text, &[])));
}

/// Formulas that leave their domain inside the ranges of their inputs, and the inputs that are named.
#[test]
fn ranges_name_inputs_that_break_a_formula() {
    let cases = [
        ("given x = 1 from 0 to 2\ny = 1 / x", "x", "x = 0"),
        ("given x = 1 from -2 to 2\ny = 1 / (x - 1.5)", "(x - 1.5)", "x = 1.5"),
        ("given x = 1 from -2 to 2\ny = 1 / (3 * x - 1)", "(3 * x - 1)", "x = 0.333333"),
        ("given x = 1 from 0 to 9\ny = 1 / (x - 3)^2", "(x - 3)^2", "x = 3"),
        ("given x = 5 from 0 to 10\ny = sqrt(x - 2)", "x - 2", "x = 0"),
        ("given x = 5 from 0 to 10\na = x - 2\ny = sqrt(a)", "a", "x = 0"),
        ("given v = 50 km/h from 0 km/h to 100 km/h\ny = 1 m / v", "v", "v = 0 km/h"),
        ("given t = 20 degC from -400 degF to 100 degC\ny = t - 100 K", "t - 100 K", "t = -240 degC"),
        ("given x = 5 from 0 to 10\ny = table(x; 0: 1, 8: 2)", "x", "x = 10"),
        ("given x = 0.5 from 0 to 2\ny = asin(x)", "x", "x = 2"),
        ("given a = 2 from 1 to 3\ngiven b = 1 from 0 to 2.5\ny = 1 / (a - b)", "(a - b)", "a = 1, b = 1"),
        ("given x = 1 rad from 0 rad to 3 rad\ny = tan(x)", "x", "x = 1.5708 rad"),
        ("given x = 10 from 0 to 1000\ny = exp(x)", "x", "x = 1000"),
    ];
    report(cases.into_iter().map(|(text, place, inputs)| {
        let (_, marks) = sheet(text);
        let told: Vec<_> = marks
            .iter()
            .map(|mark| (mark.id.name(), super::pointed(mark, text, ""), mark.fact("inputs"), mark.fact("certain")))
            .collect();
        let expected = [("out-of-domain", place, Some(inputs), Some("yes"))];
        (told != expected).then(|| format!("{text}\n  expected {expected:?}\n  told     {told:?}"))
    }));
}

#[test]
fn the_vehicle_that_fails_is_named() {
    let (_, marks) = sheet("ok = 2.8 mm >= spec(service-brakes, front-pad-minimum) gives true");
    assert_eq!(marks[0].fact("vehicle"), Some("the Tarn"), "{marks:#?}");
}

#[test]
fn facts_say_what_is_right() {
    let (_, marks) = sheet("d = 10 m / 3 gives 3.34 m");
    let facts: Vec<_> = ["name", "stated", "computed", "rounded"].iter().map(|fact| marks[0].fact(fact)).collect();
    assert_eq!(facts, [Some("d"), Some("3.34 m"), Some("3.33333 m"), Some("3.33 m")]);
    let (_, marks) = sheet("x = 5 gal");
    assert_eq!(marks[0].fact("choices"), Some("galUS (3.785 L) or galUK (4.546 L)"));
    let (_, marks) = sheet("x = y\ny = x");
    assert_eq!(marks[0].fact("path"), Some("x -> y -> x"));
}
