//! Bay plans and bands: orders against every permutation and published examples, intervals against single values.

use super::random::Chance;
use baybook::decision::{
    Band, BayCheck, Candidate, Cause, Confirm, Decimal, Hazard, Problem, bay_plan, check_bands, parse_band,
};
use baybook::diagnostic::{FileId, MarkId, Span, Spanned};

fn problem(chances: &[f64], minutes: &[f64]) -> Problem {
    let mut problem = super::posteriors::plain(chances, &[]);
    let confirm = |at: usize, it: Candidate| Candidate {
        cause: Cause::Condition(Hazard::None),
        confirm: vec![Confirm { check: at, answer: "found".into() }],
        ..it
    };
    problem.candidates = problem.candidates.into_iter().enumerate().map(|(at, it)| confirm(at, it)).collect();
    let bay = |(at, minutes): (usize, &f64)| BayCheck { id: format!("bay-{at}"), minutes: *minutes };
    problem.bay_checks = minutes.iter().enumerate().map(bay).collect();
    problem
}

fn order(chances: &[f64], minutes: &[f64]) -> (Vec<usize>, f64) {
    let problem = problem(chances, minutes);
    let leads: Vec<usize> = (0..chances.len()).collect();
    let plan = bay_plan(&problem, &leads, chances);
    (plan.steps.iter().map(|step| step.check).collect(), plan.minutes)
}

/// Expected minutes of an order: each check is paid for unless the cause was found before.
fn cost(order: &[usize], chances: &[f64], minutes: &[f64]) -> f64 {
    let mut left = 1.0;
    let pay = |at: &usize| {
        let cost = minutes[*at] * left;
        left -= chances[*at];
        cost
    };
    order.iter().map(pay).sum()
}

fn permutations(items: Vec<usize>) -> Vec<Vec<usize>> {
    if items.is_empty() {
        return vec![Vec::new()];
    }
    let first = |at: usize| {
        let mut rest = items.clone();
        let chosen = rest.remove(at);
        permutations(rest).into_iter().map(move |mut tail| {
            tail.insert(0, chosen);
            tail
        })
    };
    (0..items.len()).flat_map(first).collect()
}

#[test]
fn no_order_of_bay_checks_is_quicker() {
    let chance = &mut Chance(5);
    for round in 0..300 {
        let count = chance.between(1, 6);
        let raw: Vec<f64> = (0..count).map(|_| chance.between(1, 20) as f64).collect();
        let total: f64 = raw.iter().sum::<f64>() * if chance.happens(50) { 1.0 } else { 1.3 };
        let chances: Vec<f64> = raw.iter().map(|it| it / total).collect();
        let minutes: Vec<f64> = (0..count).map(|_| chance.between(1, 30) as f64).collect();
        let (planned, expected) = order(&chances, &minutes);
        let least = permutations((0..count).collect())
            .iter()
            .map(|it| cost(it, &chances, &minutes))
            .fold(f64::INFINITY, f64::min);
        assert!((expected - cost(&planned, &chances, &minutes)).abs() < 1e-9, "{round}");
        assert!((expected - least).abs() < 1e-9, "{round}: {expected}, not {least}");
    }
}

/// The rule of weight to time (Smith, "Various optimizers for single-stage production", 1956): times 6 2 8 3 9 and
/// weights 1 2 4 1 3 give the order B C D E A with 151 in all, as a public repository of examples prints it. As a
/// fault search with chances 1/11, 2/11 and so on, each check is paid for until the cause is found.
#[test]
fn reproduces_the_rule_of_chance_to_time() {
    let (times, weights) = ([6.0, 2.0, 8.0, 3.0, 9.0], [1.0, 2.0, 4.0, 1.0, 3.0]);
    let chances: Vec<f64> = weights.iter().map(|it| it / 11.0).collect();
    let (planned, expected) = order(&chances, &times);
    assert_eq!(planned, [1, 2, 3, 4, 0]);
    assert!((expected - 151.0 / 11.0).abs() < 1e-12, "{expected}");
}

/// Two causes, checks of different cost: the one with the greater ratio of chance to cost first, whatever the repair
/// costs (Ross, "Introduction to Probability Models", exercise; Kadane and Simon 1977; both recalled from memory).
#[test]
fn checks_the_better_ratio_first() {
    assert_eq!(order(&[0.6, 0.4], &[30.0, 10.0]).0, [1, 0]);
    assert_eq!(order(&[0.6, 0.4], &[10.0, 10.0]).0, [0, 1]);
    assert_eq!(order(&[0.5, 0.5], &[10.0, 10.0]).0, [0, 1], "equal ratios by id");
}

#[test]
fn one_check_can_confirm_several_leads_and_is_paid_for_once() {
    let mut problem = problem(&[0.5, 0.3, 0.2], &[10.0, 30.0]);
    problem.candidates[2].confirm = vec![Confirm { check: 0, answer: "other-found".into() }];
    let plan = bay_plan(&problem, &[0, 1, 2], &[0.5, 0.3, 0.2]);
    let told: Vec<(usize, usize, f64)> = plan.steps.iter().map(|it| (it.check, it.confirms, it.minutes)).collect();
    assert_eq!(told, [(0, 0, 10.0), (0, 2, 0.0), (1, 1, 30.0)]);
    assert!((plan.minutes - (10.0 + 0.3 * 30.0)).abs() < 1e-12);
    assert!((plan.steps[2].cumulative - 1.0).abs() < 1e-12);
}

fn band(answer: &str, text: &str) -> Band {
    let place = Span::new(FileId(0), 0..1);
    parse_band(&Spanned::new(answer.into(), place), &Spanned::new(text.into(), place)).unwrap()
}

fn bands(texts: &[&str]) -> Vec<(MarkId, String)> {
    let named = ["a", "b", "c", "d"];
    let bands: Vec<Band> = texts.iter().zip(named).map(|(text, name)| band(name, text)).collect();
    let range = (Decimal::parse("0").unwrap(), Decimal::parse("12.0").unwrap());
    let marks = check_bands("pad", "mm", range, &bands, Span::default());
    let fact =
        |mark: &baybook::diagnostic::Mark| mark.fact("gap").or(mark.fact("shared")).unwrap_or_default().to_owned();
    marks.iter().map(|mark| (mark.id, fact(mark))).collect()
}

#[test]
fn bands_partition_their_range() {
    let (gap, overlap) = (MarkId::BandGap, MarkId::BandOverlap);
    type Case<'a> = (&'a [&'a str], Vec<(MarkId, &'a str)>);
    let cases: [Case<'_>; 10] = [
        (&["< 1.5", "1.5 to < 3", ">= 3"], vec![]),
        (&["<= 1.50", "> 1.5"], vec![]),
        (&["< 1.5", "> 1.5"], vec![(gap, "1.5")]),
        (&["<= 1.5", ">= 1.5"], vec![(overlap, "1.5")]),
        (&["< 1.5", "2 to < 3", ">= 3"], vec![(gap, "1.5 to < 2")]),
        (&["<= 1.5", "2 to < 3", ">= 3"], vec![(gap, "> 1.5 to < 2")]),
        (&["< 3", "2 to < 4", ">= 4"], vec![(overlap, "2 to < 3")]),
        (&["1 to < 3", "3 to 11.5"], vec![(gap, "0 to < 1"), (gap, "> 11.5 to 12.0")]),
        (&[], vec![(gap, "0 to 12.0")]),
        (&["0 to 12", "3 to 4"], vec![(overlap, "3 to 4")]),
    ];
    for (texts, wanted) in cases {
        let wanted: Vec<(MarkId, String)> = wanted.into_iter().map(|(id, text)| (id, text.to_owned())).collect();
        assert_eq!(bands(texts), wanted, "{texts:?}");
    }
}

/// Ferritin in Guyatt and others 1992 (see the posteriors): "<= 15" and "15 to 24" overlap at 15 as printed.
#[test]
fn finds_the_overlap_in_a_published_partition() {
    assert_eq!(bands(&["<= 1.5", "1.5 to 2.4", "> 2.4 to 12"]), [(MarkId::BandOverlap, "1.5".to_owned())]);
}

#[test]
fn decimals_of_many_digits_are_told_apart() {
    let read = |text: &str| Decimal::parse(text).unwrap();
    let (small, large) = ("0.00000000000000000000000000001", "100000000000000000000000000000");
    assert!(read("-0.5") < read("-0.25") && read("-1.5") < read("-1") && read("-1.50") == read("-1.5"));
    assert!(read(large) < read("100000000000000000000000000001"));
    assert!(read(small) < read("0.0000000000000000000000000001") && read(small) > read("0"));
    assert!(read(small) < read(large) && read("-1") < read(small));
}

#[test]
fn a_band_without_values_or_sense_is_a_bad_value() {
    assert_eq!(bands(&["< 5", "5 to < 5", ">= 5"]).first().map(|it| it.0), Some(MarkId::BadValue));
    let place = Span::default();
    for text in ["", "about 3", "1,5 to 3", "< ", "3 to", "1e3"] {
        let read = parse_band(&Spanned::new("a".into(), place), &Spanned::new(text.into(), place));
        assert!(read.is_err(), "{text}");
    }
}

proptest::proptest! {
    /// Bands by random cuts, each value asked in turn: a mark if and only if some value has no band or two.
    #[test]
    fn marks_agree_with_asking_every_value(ends in proptest::collection::vec((0..9_u8, proptest::bool::ANY, 0..9_u8, proptest::bool::ANY), 0..4)) {
        let text = |(from, above, to, below): &(u8, bool, u8, bool)| {
            format!("{}{from} to {}{to}", if *above { "> " } else { "" }, if *below { "< " } else { "" })
        };
        let holds = |(from, above, to, below): &(u8, bool, u8, bool), half: u8| {
            let (from, to) = (2 * from, 2 * to);
            (half > from || (half == from && !above)) && (half < to || (half == to && !below))
        };
        let texts: Vec<String> = ends.iter().map(text).collect();
        let found = bands(&texts.iter().map(String::as_str).collect::<Vec<_>>());
        let counts: Vec<usize> = (0..=24).map(|half| ends.iter().filter(|it| holds(it, half)).count()).collect();
        proptest::prop_assert_eq!(found.iter().any(|it| it.0 == MarkId::BandGap), counts.contains(&0));
        proptest::prop_assert_eq!(found.iter().any(|it| it.0 == MarkId::BandOverlap), counts.iter().any(|it| *it > 1));
    }
}
