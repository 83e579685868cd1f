//! Published least costs of identification: which one of several causes is it, at one minute a question.

use super::posteriors::plain;
use baybook::decision::{Cause, Method, Model, Problem, Stakes, compile_by, evaluate, least_cost};

/// A problem in which only the right explanation ends without a loss that nobody would take.
fn identification(weights: &[f64], splits: &[Vec<bool>], most: usize) -> Problem {
    let row = |split: &Vec<bool>, at: usize| if split[at] { vec![1.0, 0.0] } else { vec![0.0, 1.0] };
    let by_check: Vec<Vec<Vec<f64>>> =
        splits.iter().map(|split| (0..weights.len()).map(|at| row(split, at)).collect()).collect();
    let mut problem = plain(weights, &by_check);
    problem.candidates.iter_mut().for_each(|it| it.cause = Cause::Characteristic);
    // `other` never happens.
    let mut other = problem.candidates[0].clone();
    (other.cause, other.id, other.weight) = (Cause::Other, "other".into(), 0.0);
    other.rows = splits.iter().map(|_| vec![0.5, 0.5]).collect();
    problem.candidates.push(other);
    let unthinkable = 1e6;
    problem.stakes = Stakes {
        needless_visit: unthinkable,
        wrong_explanation: unthinkable,
        needless_recovery: unthinkable,
        ..Stakes::default()
    };
    problem.max_questions = most;
    problem
}

fn check(problem: &Problem, wanted: f64) {
    let model = Model::new(problem);
    assert!((least_cost(&model, problem.max_questions) - wanted).abs() < 1e-9);
    let (expected, _) = evaluate(&model, &compile_by(&model, Method::Exact).flow);
    assert!((expected.minutes - wanted).abs() < 1e-9 && expected.loss.abs() < 1e-9, "{expected:?}");
}

/// Huffman's code for the frequencies 45 13 12 16 9 5 needs 2.24 bits a letter (Cormen and others, "Introduction to
/// Algorithms", the chapter on greedy algorithms; recalled from memory). Where every split of the causes can be
/// asked for one minute, the least expected cost is that of the best code.
#[test]
fn asks_as_few_questions_as_the_best_code_has_bits() {
    let weights = [0.45, 0.13, 0.12, 0.16, 0.09, 0.05];
    let splits: Vec<Vec<bool>> = (1..32_u32).map(|mask| (0..6).map(|at| (mask >> at) & 1 == 1).collect()).collect();
    check(&identification(&weights, &splits, 4), 2.24);
}

/// Pattipati and Alexandridis, "Application of heuristic search and information theory to sequential fault
/// diagnosis", 1990: six states of a system, five tests of unit cost; 2.18 tests on average (inputs and answer both
/// recalled from memory; they agree).
#[test]
fn reproduces_a_published_test_sequence() {
    let weights = [0.70, 0.01, 0.02, 0.10, 0.05, 0.12];
    let rows = ["00000", "01001", "00110", "10011", "11000", "11110"];
    let splits: Vec<Vec<bool>> =
        (0..5).map(|test| rows.iter().map(|row| row.as_bytes()[test] == b'1').collect()).collect();
    check(&identification(&weights, &splits, 5), 2.18);
}

/// Equal causes and every split: eight causes need three questions, whatever the order.
#[test]
fn halves_equal_causes() {
    let splits: Vec<Vec<bool>> = (0..3).map(|bit| (0..8).map(|at| (at >> bit) & 1 == 1).collect()).collect();
    check(&identification(&[1.0; 8], &splits, 3), 3.0);
}
