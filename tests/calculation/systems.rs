//! Values in the other system of units. Factors in the remarks: NIST SP 811 (2008), appendix B.8 and B.9, recalled from
//! memory: 1 in = 25.4 mm, 1 lbf·ft = 1.355 818 N·m, 1 psi = 6.894 757 kPa, 1 lb = 0.453 592 37 kg, 1 lbf = 4.448 222 N,
//! 1 mi = 1.609 344 km, 1 gal = 3.785 412 L, 1 hp = 745.699 9 W, 1 inH2O = 249.088 9 Pa, 1 inHg = 3.386 389 kPa,
//! t/°F = 1.8 t/°C + 32, 1 mi/gal = 0.425 143 7 km/L.

use baybook::calculation::{UnitSystem, in_system, in_systems, intervals_in_system, quantity};
use baybook::diagnostic::Span;
use proptest::prelude::*;

const TO_US: &[(&str, &str)] = &[
    ("3 mm", "0.118 in"),
    ("0.05 mm", "0.00197 in"),
    ("25.4 mm", "1.000 in"),
    ("1000 mm", "39.37 in"),
    ("0.3 to 0.4 mm", "0.0118 to 0.0157 in"),
    ("2 m", "6.56 ft"),
    ("15000 km", "9320.6 mi"),
    ("20 to 25 N·m", "14.8 to 18.4 lbf·ft"),
    ("110 to 130 N·m", "81.1 to 95.9 lbf·ft"),
    ("8 N·m", "70.8 lbf·in"),
    ("120 N·m ± 5 %", "88.5 lbf·ft ± 5 %"),
    ("7 bar ± 0.5 bar", "101.5 ± 7.3 psi"),
    ("7 ± 0.5 bar", "101.5 ± 7.3 psi"),
    ("2.3 barg", "33.4 psig"),
    ("2.3 barg ± 5 %", "33.4 psig ± 5 %"),
    ("101 kPaa", "14.6 psia"),
    ("25 mbar", "10.0 inH2O"),
    ("600 mbar", "17.72 inHg"),
    ("1250 kg", "2756 lb"),
    ("5 kN", "1124 lbf"),
    ("90 degC", "194 degF"),
    ("-40 degC", "-40 degF"),
    ("20 ± 2 degC", "68.0 ± 3.6 degF"),
    ("85 to 95 degC", "185 to 203 degF"),
    ("15 K", "27.0 delta_degF"),
    ("100 km/h", "62.1 mph"),
    ("4.5 L", "4.76 qtUS"),
    ("50 L", "13.2 galUS"),
    ("250 mL", "8.45 fl_ozUS"),
    ("500 cm^3", "30.51 in³"),
    ("6 L/min", "1.59 galUS/min"),
    ("30 N/mm", "171 lbf/in"),
    ("9.8 m/s^2", "32.2 ft/s²"),
    ("15 km/L", "35.3 mi/galUS"),
    ("0.08 L/km", "29.4 mi/galUS"),
    ("0.06 to 0.08 L/km", "29.4 to 39.2 mi/galUS"),
    ("100 kW", "134 hp"),
];

const TO_METRIC: &[(&str, &str)] = &[
    ("0.118 in", "3.00 mm"),
    ("1/8 in", ""),
    ("74 lbf·ft", "100 N·m"),
    ("32 psig", "2.21 barg"),
    ("-40 degF", "-40 degC"),
    ("68 ± 9 degF", "20.0 ± 5.0 degC"),
    ("55 mph", "88.5 km/h"),
    ("13 galUS", "49.2 L"),
    ("28 mi/galUS", "11.9 km/L"),
    ("150 hp", "111.9 kW"),
    ("2000 lb", "907.2 kg"),
];

/// The same in every system, or no quantity: a percentage of a temperature would be another width on each scale.
const SHARED: &[&str] =
    &["12.4 V", "3000 rpm", "45 deg", "20 %", "4", "30 min", "60 Ah", "about 3", "5 mm 6", "0.5 ohm", "20 degC ± 5 %"];

#[test]
fn published_factors_are_met() {
    let told = |system: UnitSystem, rows: &[(&str, &str)]| {
        let wrong = rows.iter().filter_map(|(written, expected)| {
            let found = in_system(written, system).unwrap_or_default();
            (found != *expected).then(|| format!("{written}: {found}, expected {expected}"))
        });
        wrong.collect::<Vec<_>>()
    };
    let wrong = [told(UnitSystem::Us, TO_US), told(UnitSystem::Metric, TO_METRIC)].concat();
    assert!(wrong.is_empty(), "{wrong:#?}");
}

#[test]
fn what_both_systems_share_is_shown_once() {
    for written in SHARED {
        for system in [UnitSystem::Metric, UnitSystem::Us] {
            assert_eq!(in_system(written, system), None, "{written}");
        }
    }
    assert_eq!(in_system("3 mm", UnitSystem::Metric), None);
}

#[test]
fn the_shops_first_system_stands_first() {
    let both = [UnitSystem::Metric, UnitSystem::Us];
    let shown = |first: &str, second: &str| (first.to_owned(), Some(second.to_owned()));
    assert_eq!(in_systems("3 mm", &both), shown("3 mm", "0.118 in"));
    assert_eq!(in_systems("74 lbf·ft", &both), shown("100 N·m", "74 lbf·ft"));
    assert_eq!(in_systems("3 mm", &[UnitSystem::Us, UnitSystem::Metric]), shown("0.118 in", "3 mm"));
    assert_eq!(in_systems("12 V", &both), ("12 V".to_owned(), None));
    assert_eq!(in_systems("3 mm", &[UnitSystem::Us]), ("3 mm".to_owned(), None));
}

#[test]
fn bands_keep_the_ends_that_they_share() {
    let check = |texts: &[&str], unit: &str, system, expected: &[&str]| {
        assert_eq!(intervals_in_system(texts, unit, system).unwrap(), expected, "{texts:?} {unit}");
    };
    check(
        &["0", "12", "< 1.5", "1.5 to < 3", ">= 3"],
        "mm",
        UnitSystem::Us,
        &["0 in", "0.472 in", "< 0.059 in", "0.059 to < 0.118 in", ">= 0.118 in"],
    );
    check(&["-40", "< -10", "-10 to 20"], "degC", UnitSystem::Us, &["-40 degF", "< 14 degF", "14 to 68 degF"]);
    assert_eq!(intervals_in_system(&["< 1.5"], "V", UnitSystem::Us), None);
    assert_eq!(intervals_in_system(&["< 1.5"], "mm", UnitSystem::Metric), None);
}

proptest! {
    /// What is shown reads back as what was written, within its own digits.
    #[test]
    fn converted_values_read_back(number in 1..9999_u32, places in 0..3_u32, at in 0..TO_US.len(), width in 0..50_u32) {
        let unit = TO_US[at].0.trim_start_matches(|c: char| !c.is_alphabetic() || c == 't').trim_start_matches("o ");
        let unit = unit.rsplit(' ').next().unwrap();
        prop_assume!(!matches!(unit, "%" | "L/km"));
        let decimal = |units: u32| format!("{:.*}", places as usize, f64::from(units) / f64::from(10_u32.pow(places)));
        let texts = [
            format!("{} {unit}", decimal(number)),
            format!("{} to {} {unit}", decimal(number), decimal(number + width)),
            format!("{} ± {} {unit}", decimal(number + width), decimal(width)),
        ];
        for text in texts {
            let written = quantity(&text, Span::default()).unwrap();
            let shown = in_system(&text, UnitSystem::Us).unwrap();
            let read = quantity(&shown, Span::default()).unwrap();
            let slack = 2.0 * read.half_digit + 1e-9 * written.high.abs();
            prop_assert!((read.low - written.low).abs() <= slack, "{text}: {shown}");
            prop_assert!((read.high - written.high).abs() <= slack, "{text}: {shown}");
        }
    }
}
