//! Claims in prose: the words of a link against what is computed or specified.

use super::{told, with_claims};

const SHEET: &str = "braking = (100 km/h)^2 / (2 * 0.8 * g0) gives 49.2 m\n\
     rise = 2 to 6 delta_degC\n\
     oven = 2 to 6 degC\n\
     p = 2.3 barg\n\
     n = 3000 rpm\n\
     T = 120 N·m\n\
     ok = 3 mm > 2 mm\n\
     share = 25 %\n\
     count = 4\n\
     cold = -40 degC\n\
     far = 1200 m\n\
     turn = 30 deg\n\
     v = 27.8 m/s";

fn difference(destination: &str, words: &str, expected: &[&str]) -> Option<String> {
    let (_, marks) = with_claims(SHEET, &[(destination, words)]);
    let told = told(&marks, SHEET, words);
    (told != expected).then(|| format!("[{words}]({destination}): expected {expected:?}, told {told:?} {marks:?}"))
}

fn report(differences: impl Iterator<Item = Option<String>>) {
    let wrong: Vec<String> = differences.flatten().collect();
    assert!(wrong.is_empty(), "{} wrong:\n{}", wrong.len(), wrong.join("\n"));
}

#[test]
fn right_claims_pass() {
    let cases = [
        ("calc:braking", "49 m"),
        ("calc:braking", "49.2 m"),
        ("calc:braking", "about 49 metres"),
        ("calc:braking", "about 50 m"),
        ("calc:braking", "161 ft"),
        ("calc:braking", "45 to 50 m"),
        ("calc:braking", "between 45 and 50 m"),
        ("calc:braking", "45–50 m"),
        ("calc:braking", "49 m on a dry road"),
        ("calc:rise", "2 to 6 °C"),
        ("calc:rise", "3.6 to 10.8 °F"),
        ("calc:rise", "2–6 K"),
        ("calc:oven", "36 to 43 °F"),
        ("calc:p", "2.3 bar"),
        ("calc:p", "33.4 psi"),
        ("calc:p", "33.4 psig"),
        ("calc:n", "3,000 rpm"),
        ("calc:n", "50 Hz"),
        ("calc:n", "314 rad/s"),
        ("calc:n", "3000 revolutions per minute"),
        ("calc:T", "120 Nm"),
        ("calc:T", "120 newton metres"),
        ("calc:T", "88.5 lbf·ft"),
        ("calc:ok", "yes"),
        ("calc:share", "25 %"),
        ("calc:share", "25%"),
        ("calc:share", "a share of 0.25"),
        ("calc:share", "25 per cent"),
        ("calc:count", "4 cylinders"),
        ("calc:cold", "-40 °C"),
        ("calc:cold", "−40 °F"),
        ("calc:far", "1,200 m"),
        ("calc:far", "1\u{202f}200 m"),
        ("calc:far", "1.2 km"),
        ("calc:turn", "30°"),
        ("calc:turn", "30 degrees"),
        ("calc:v", "100 km/h"),
        ("calc:v", "62 miles per hour"),
        ("calc:v", "100 kilómetros por hora"),
        ("spec:service-brakes/disc-minimum", "22 mm"),
        ("spec:service-brakes/disc-minimum", "2.2 cm"),
        ("spec:service-brakes/disc-minimum", "0.87 in"),
        ("spec:wheels/bolt-torque", "110 to 130 N·m"),
        ("spec:wheels/bolt-torque", "120 ± 10 N·m"),
        ("spec:wheels/bolt-torque", "81 to 96 lbf·ft"),
        ("spec:wheels/pressure", "2.3 bar"),
    ];
    report(cases.into_iter().map(|(destination, words)| difference(destination, words, &[])));
}

#[test]
fn wrong_claims_are_found() {
    let cases: &[(&str, &str, &[&str])] = &[
        ("calc:braking", "50 m", &["stated-value-differs@50 m"]),
        ("calc:braking", "about 60 m", &["stated-value-differs@60 m"]),
        ("calc:braking", "50 to 60 m on ice", &["stated-value-differs@50 to 60 m"]),
        ("calc:braking", "49", &["dimension-mismatch@49"]),
        ("calc:braking", "49 s", &["dimension-mismatch@s"]),
        ("calc:braking", "49,2 m", &["calc-syntax@49,2"]),
        ("calc:braking", "a long way", &["calc-syntax@a long way"]),
        ("calc:braking", "49 furlongs", &["unknown-unit@furlongs"]),
        ("calc:rise", "36 to 43 °F", &["stated-value-differs@36 to 43 °F"]),
        ("calc:cold", "-40 F", &["unknown-unit@F"]),
        ("calc:cold", "40 °C", &["stated-value-differs@40 °C"]),
        ("calc:T", "120 J", &["dimension-mismatch@J"]),
        ("calc:T", "88 lb·ft", &["unknown-unit@lb·ft"]),
        ("calc:T", "88 ft-lb", &["unknown-unit@ft-lb"]),
        ("calc:ok", "no", &["stated-value-differs@no"]),
        ("calc:brake", "49 m", &["unknown-name@"]),
        ("spec:service-brakes/disc-minimum", "21 mm", &["spec-differs@21 mm"]),
        ("spec:service-brakes/front-pad-minimum", "3.0 mm", &["spec-differs@3.0 mm"]),
        ("spec:wheels/bolt-torque", "120 N·m", &["spec-differs@120 N·m"]),
        ("spec:wheels/bolts", "120 N·m", &["unknown-name@"]),
    ];
    report(cases.iter().map(|(destination, words, expected)| difference(destination, words, expected)));
}

#[test]
fn a_quoted_specification_names_the_vehicle_for_which_it_is_not_so() {
    let (_, marks) = with_claims(SHEET, &[("spec:service-brakes/front-pad-minimum", "3 mm")]);
    // 2.5 mm is 3 mm within half a millimetre: one digit was written, and that allows it.
    assert_eq!(marks.len(), 0, "{marks:#?}");
    let (_, marks) = with_claims(SHEET, &[("spec:service-brakes/front-pad-minimum", "3.0 mm")]);
    assert_eq!(marks[0].fact("vehicle"), Some("the Fell"));
    assert_eq!(marks[0].fact("specified"), Some("2.5 mm"));
}
