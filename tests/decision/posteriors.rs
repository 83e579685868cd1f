//! Posteriors against brute force, against pgmpy (tests/reference/posteriors.py says how), and against published
//! examples.

use super::random::{Size, problem};
use baybook::decision::{Answers, Candidate, Cause, Check, Hazard, Place, Problem, Stakes, decibans, row};
use serde_json::Value;

/// A problem of plain conditions without `other`: the last candidate stands in its place.
pub(crate) fn plain(weights: &[f64], rows: &[Vec<Vec<f64>>]) -> Problem {
    let check = |at: usize| Check {
        id: format!("check-{at:02}"),
        title: format!("check {at:02}"),
        place: Place::Counter,
        minutes: 1.0,
        unsure: 0.0,
        answers: (0..rows[at][0].len()).map(|answer| format!("answer-{answer}")).collect(),
    };
    let candidate = |(at, weight): (usize, &f64)| Candidate {
        cause: Cause::Condition(Hazard::None),
        id: format!("condition-{at:02}"),
        title: String::new(),
        weight: *weight,
        rows: rows.iter().map(|check| check[at].clone()).collect(),
        ruled_out_by: Vec::new(),
        alarm: Vec::new(),
        only_if: Vec::new(),
        not_if: Vec::new(),
        confirm: Vec::new(),
        unclear: false,
        span: Default::default(),
    };
    Problem {
        symptom: "a-symptom".into(),
        span: Default::default(),
        candidates: weights.iter().enumerate().map(candidate).collect(),
        checks: (0..rows.len()).map(check).collect(),
        bay_checks: Vec::new(),
        stakes: Stakes::default(),
        max_questions: 6,
    }
}

/// Rows by check from rows by candidate of a single check.
fn one_check(weights: &[f64], by_candidate: &[&[f64]]) -> Problem {
    plain(weights, &[by_candidate.iter().map(|row| row.to_vec()).collect()])
}

fn check_near(got: &[f64], wanted: &[f64], within: f64, what: &str) {
    assert_eq!(got.len(), wanted.len(), "{what}");
    let far = got.iter().zip(wanted).any(|(got, wanted)| (got - wanted).abs() > within);
    assert!(!far, "{what}: {got:?}, not {wanted:?}");
}

fn numbers(value: &Value) -> Vec<f64> {
    value.as_array().unwrap().iter().map(|it| it.as_f64().unwrap()).collect()
}

fn rows(value: &Value) -> Vec<Vec<f64>> {
    value.as_array().unwrap().iter().map(numbers).collect()
}

fn answers(value: &Value) -> Answers {
    let pair = |it: &Value| (it[0].as_u64().unwrap() as usize, it[1].as_u64().unwrap() as usize);
    value.as_array().unwrap().iter().map(pair).collect()
}

fn reference() -> Value {
    serde_json::from_str(include_str!("../reference/posteriors.json")).unwrap()
}

#[test]
fn agrees_with_variable_elimination_on_500_random_tables() {
    let reference = reference();
    let tables = reference["tables"].as_array().unwrap();
    assert_eq!(tables.len(), 500);
    for (at, table) in tables.iter().enumerate() {
        let by_check: Vec<Vec<Vec<f64>>> = table["rows"].as_array().unwrap().iter().map(rows).collect();
        let problem = plain(&numbers(&table["weights"]), &by_check);
        let got = problem.chances(&answers(&table["given"]));
        check_near(&got, &numbers(&table["posterior"]), 1e-12, &format!("table {at}"));
    }
}

#[test]
fn agrees_with_the_network_child() {
    let reference = reference();
    let child = &reference["child"];
    let checks = child["checks"].as_array().unwrap();
    let by_check: Vec<Vec<Vec<f64>>> = checks.iter().map(|check| rows(&check["rows"])).collect();
    let problem = plain(&numbers(&child["prior"]), &by_check);
    assert_eq!((problem.candidates.len(), problem.checks.len()), (6, 7));
    for (at, check) in checks.iter().enumerate() {
        for (answer, wanted) in rows(&check["after_one"]).iter().enumerate() {
            let got = problem.chances(&[(at, answer)].into_iter().collect());
            check_near(&got, wanted, 1e-9, &format!("{} {answer}", check["report"]));
        }
    }
    for several in child["several"].as_array().unwrap() {
        let got = problem.chances(&answers(&several["given"]));
        check_near(&got, &numbers(&several["posterior"]), 1e-12, "several reports");
    }
    // The x-ray report "oligaemic", as worked out on the whole network beforehand.
    let xray = checks.iter().position(|it| it["report"] == "XrayReport").unwrap();
    let states = checks[xray]["answers"].as_array().unwrap();
    let oligaemic = states.iter().position(|it| it == "Oligaemic").unwrap();
    let got = problem.chances(&[(xray, oligaemic)].into_iter().collect());
    check_near(&got, &[0.05089, 0.107563, 0.44403, 0.362829, 0.017766, 0.016922], 1e-6, "oligaemic");
}

/// The joint distribution written out: every candidate with every combination of answers.
#[test]
fn agrees_with_brute_force_enumeration() {
    let size = Size { checks: (1, 4), answers: (2, 3), candidates: (2, 6), max_questions: 4 };
    for seed in 0..200 {
        let problem = problem(seed, size);
        let prior: f64 = problem.candidates.iter().map(|it| it.weight).sum();
        let given: Answers =
            (0..problem.checks.len()).filter(|it| (seed >> it) & 1 == 1).map(|it| (it, seed as usize % 2)).collect();
        let mut joint = vec![0.0; problem.candidates.len()];
        let combinations: usize = problem.checks.iter().map(|it| it.answers.len()).product();
        for combination in 0..combinations {
            let mut rest = combination;
            let digits: Vec<usize> = problem
                .checks
                .iter()
                .map(|it| {
                    let digit = rest % it.answers.len();
                    rest /= it.answers.len();
                    digit
                })
                .collect();
            if given.given().all(|(check, answer)| digits[check] == answer) {
                for (sum, it) in joint.iter_mut().zip(&problem.candidates) {
                    *sum += it.weight / prior
                        * digits.iter().zip(&it.rows).map(|(answer, row)| row[*answer]).product::<f64>();
                }
            }
        }
        let total: f64 = joint.iter().sum();
        let wanted: Vec<f64> = joint.iter().map(|it| it / total).collect();
        check_near(&problem.chances(&given), &wanted, 1e-9, &format!("{seed}"));
    }
}

#[test]
fn reproduces_published_examples_of_bayes_rule() {
    let after = |problem: &Problem, answers: &[(usize, usize)]| problem.chances(&answers.iter().copied().collect());
    // Gigerenzer and Hoffrage, "How to improve Bayesian reasoning without instruction", 1995: mammography, 7.8 %
    // (numbers recalled from memory).
    let screening = one_check(&[0.01, 0.99], &[&[0.8, 0.2], &[0.096, 0.904]]);
    check_near(&after(&screening, &[(0, 0)])[..1], &[0.078], 0.0005, "mammography");
    // The same with a prior of 8 in 1000, 90 % and 7 %: 7 in 77, about 9 % (answer recalled from memory).
    let second = one_check(&[0.008, 0.992], &[&[0.9, 0.1], &[0.07, 0.93]]);
    check_near(&after(&second, &[(0, 0)])[..1], &[0.09], 0.005, "7 in 77");
    // A lecture text on Bayes' theorem: priors .97 .02 .01, likelihoods .1 .9 .2, answer .829 .154 .017.
    let lecture = one_check(&[0.97, 0.02, 0.01], &[&[0.1, 0.9], &[0.9, 0.1], &[0.2, 0.8]]);
    check_near(&after(&lecture, &[(0, 0)]), &[0.829, 0.154, 0.017], 0.0005, "lecture");
    // Guyatt and others, "Laboratory diagnosis of iron-deficiency anemia", 1992: likelihood ratios of ferritin;
    // posteriors from even odds, computed from them.
    for (ratio, posterior, db) in [
        (51.85, 0.9811, 17.15),
        (8.83, 0.8983, 9.46),
        (2.54, 0.7175, 4.05),
        (1.83, 0.6466, 2.62),
        (0.54, 0.3506, -2.68),
        (0.08, 0.0741, -10.97),
    ] {
        let unlikely = 0.01;
        let ferritin =
            one_check(&[1.0, 1.0], &[&[ratio * unlikely, 1.0 - ratio * unlikely], &[unlikely, 1.0 - unlikely]]);
        check_near(&after(&ferritin, &[(0, 0)])[..1], &[posterior], 0.00005, "ferritin");
        assert!((decibans(ratio * unlikely, unlikely) - db).abs() < 0.005, "decibans of {ratio}");
    }
}

/// Breiman and others, "Classification and Regression Trees", 1984, pp. 43-49: ten digits on seven lamps, each wrong
/// in one case of ten; no method guesses more than 74 % right (figure as the open data set's text gives it).
#[test]
fn reproduces_the_accuracy_on_led_digits() {
    let lit: [&str; 10] =
        ["1110111", "0010010", "1011101", "1011011", "0111010", "1101011", "1101111", "1010010", "1111111", "1111011"];
    let row = |digit: &str, lamp: usize| {
        let on = if digit.as_bytes()[lamp] == b'1' { 0.9 } else { 0.1 };
        vec![on, 1.0 - on]
    };
    let by_check: Vec<Vec<Vec<f64>>> = (0..7).map(|lamp| lit.iter().map(|digit| row(digit, lamp)).collect()).collect();
    let problem = plain(&[0.1; 10], &by_check);
    let right: f64 = (0..128_usize)
        .map(|shown| {
            let answers: Answers = (0..7).map(|lamp| (lamp, (shown >> lamp) & 1)).collect();
            problem.weights(&answers).into_iter().fold(0.0, f64::max)
        })
        .sum();
    assert!((right - 0.74).abs() < 0.0005, "{right}");
    assert!((right - 0.740_022_5).abs() < 5e-8, "{right}");
}

#[test]
fn rows_follow_the_rules_of_evidence() {
    type Case<'a> = (usize, &'a [(usize, f64)], &'a [f64]);
    let cases: [Case<'_>; 7] = [
        (2, &[], &[0.5, 0.5]),
        (2, &[(0, 0.8)], &[0.8, 0.2]),
        (3, &[(0, 0.8)], &[0.8, 0.1, 0.1]),
        (2, &[(0, 0.8), (1, 0.1)], &[0.8 / 0.9, 0.1 / 0.9]),
        (3, &[(0, 0.98), (1, 0.98)], &[0.98 / 1.97, 0.98 / 1.97, 0.01 / 1.97]),
        (3, &[(2, 1.0)], &[0.01 / 1.02, 0.01 / 1.02, 1.0 / 1.02]),
        (2, &[(0, 0.0), (1, 0.0)], &[0.5, 0.5]),
    ];
    for (answers, listed, wanted) in cases {
        check_near(&row(answers, listed), wanted, 1e-15, &format!("{answers} {listed:?}"));
    }
}

proptest::proptest! {
    #[test]
    fn rows_add_up_to_one_and_nothing_unlisted_is_impossible(values in proptest::collection::vec(proptest::option::of(0.0..=1.0_f64), 1..8)) {
        let listed: Vec<(usize, f64)> = values.iter().enumerate().filter_map(|(at, value)| Some((at, (*value)?))).collect();
        let made = row(values.len(), &listed);
        proptest::prop_assert!((made.iter().sum::<f64>() - 1.0).abs() < 1e-12);
        for (value, made) in values.iter().zip(&made) {
            proptest::prop_assert!(value.is_some() || *made > 0.0);
        }
    }
}
