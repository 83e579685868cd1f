//! The years of `fits`.

use baybook::entry::{YearRange, YearsFaultKind, parse_years};

#[test]
fn years_are_read_as_written() {
    let check = |text: &str, expected: &[(Option<u16>, Option<u16>)]| {
        let expected: Vec<_> = expected.iter().map(|&(first, last)| YearRange { first, last }).collect();
        assert_eq!(parse_years(text), Ok(expected), "{text:?}");
    };
    check("2019", &[(Some(2019), Some(2019))]);
    check("2018-2021", &[(Some(2018), Some(2021))]);
    check("2018 - 2021", &[(Some(2018), Some(2021))]);
    check("2019-", &[(Some(2019), None)]);
    check("-2020", &[(None, Some(2020))]);
    check("2016, 2019-2021,2023-", &[(Some(2016), Some(2016)), (Some(2019), Some(2021)), (Some(2023), None)]);
    check("2019-2019", &[(Some(2019), Some(2019))]);
}

#[test]
fn faults_point_at_the_smallest_guilty_text() {
    use YearsFaultKind::{Backwards, Missing, NotAYear};
    let check = |text: &str, kind: YearsFaultKind, found: &str, start: usize| {
        let fault = parse_years(text).unwrap_err();
        let place = start..start + found.len();
        assert_eq!((fault.kind, fault.found.as_str(), fault.range), (kind, found, place), "{text:?}");
    };
    check("", Missing, "", 0);
    check("2019,", Missing, "", 5);
    check("2019,,2020", Missing, "", 5);
    check("  19 ", NotAYear, "19", 2);
    check("-", NotAYear, "-", 0);
    check("2018–2021", NotAYear, "2018–2021", 0);
    check("2018-21", NotAYear, "21", 5);
    check("2018-2019-2020", NotAYear, "2019-2020", 5);
    check("2016, 2021-2018", Backwards, "2021-2018", 6);
    check("2019, später", NotAYear, "später", 6);
    check("+2019", NotAYear, "+2019", 0);
    check("20190", NotAYear, "20190", 0);
    check("２０１９", NotAYear, "２０１９", 0);
}

proptest::proptest! {
    #[test]
    fn a_fault_always_lies_within_the_text(text in "[-0-9, –a]{0,14}") {
        if let Err(fault) = parse_years(&text) {
            proptest::prop_assert_eq!(text.get(fault.range), Some(fault.found.as_str()));
        }
    }
}
