//! What looking ahead three checks costs against the exact policy, and what the exact one costs in time.
//! Run with `cargo run --release --example lookahead`.
#![allow(clippy::indexing_slicing, clippy::print_stdout, clippy::disallowed_methods, dead_code)]

#[path = "../decision/random.rs"]
mod random;

use baybook::decision::{Method, Model, compile_by, evaluate, least_cost, optimum};
use random::{Size, problem};

fn main() {
    let only_times = std::env::args().nth(1).is_some_and(|it| it == "times");
    let size = |checks, answers, max_questions| Size { checks, answers, candidates: (6, 14), max_questions };
    if !only_times {
        ratios("8 to 9 checks of 2 or 3 answers", size((8, 9), (2, 3), 6));
        ratios("10 checks of 2 answers", size((10, 10), (2, 2), 6));
    }
    times("12 checks of 2 answers", size((12, 12), (2, 2), 6), true);
    times("8 checks of 3 answers", size((8, 8), (3, 3), 6), true);
    times("10 checks of 2 answers", size((10, 10), (2, 2), 6), true);
    times("10 checks of 3 answers", size((10, 10), (3, 3), 6), true);
    times("14 checks of 3 answers", size((14, 14), (3, 3), 6), false);
    times("20 checks of 2 answers", size((20, 20), (2, 2), 6), false);
    times("24 checks of 3 answers", size((24, 24), (3, 3), 6), false);
}

/// Cost of the look-ahead flow over the cost of the exact one, on 200 random problems.
fn ratios(name: &str, size: Size) {
    let mut ratios: Vec<f64> = (0..200).map(|seed| ratio(seed, size)).collect();
    ratios.sort_by(f64::total_cmp);
    let mean = ratios.iter().sum::<f64>() / ratios.len() as f64;
    let at = |share: f64| ratios[((ratios.len() - 1) as f64 * share) as usize];
    println!(
        "look-ahead / exact, {name}: mean {mean:.4}, median {:.4}, 90 % {:.4}, 99 % {:.4}, worst {:.4}",
        at(0.5),
        at(0.9),
        at(0.99),
        at(1.0)
    );
}

fn ratio(seed: u64, size: Size) -> f64 {
    let problem = problem(seed, size);
    let model = Model::new(&problem);
    let cost = |method: Method| {
        let (expected, _) = evaluate(&model, &compile_by(&model, method).flow);
        expected.minutes + expected.loss
    };
    let (near, exact) = (cost(Method::LookAhead), cost(Method::Exact));
    if exact > 0.0 { near / exact } else { 1.0 }
}

/// Seconds of compiling and of the optimum without the limit, steps, and what the limit costs, on 20 problems.
fn times(name: &str, size: Size, exact: bool) {
    let (mut compiling, mut unlimited, mut steps, mut limit) = (Vec::new(), Vec::new(), Vec::new(), Vec::new());
    for seed in 1000..1020 {
        let problem = problem(seed, size);
        let model = Model::new(&problem);
        let begun = seconds();
        let compiled = compile_by(&model, if exact { Method::Exact } else { Method::LookAhead });
        compiling.push(seconds() - begun);
        steps.push(compiled.flow.steps.len() as f64);
        let begun = seconds();
        if let Some(least) = exact.then(|| optimum(&model, 2e7)).flatten() {
            unlimited.push(seconds() - begun);
            limit.push(least_cost(&model, size.max_questions) / least);
        }
    }
    let spread = |mut values: Vec<f64>| {
        values.sort_by(f64::total_cmp);
        values.first().map_or_else(String::new, |_| {
            format!("median {:.3}, worst {:.3}", values[values.len() / 2], values[values.len() - 1])
        })
    };
    println!(
        "{name}: seconds {}; steps {}; seconds without limit {}; cost of the limit {}",
        spread(compiling),
        spread(steps),
        spread(unlimited),
        spread(limit)
    );
}

/// Seconds that this program has spent on a processor (Linux), which other programs do not disturb.
fn seconds() -> f64 {
    let spent = std::fs::read_to_string("/proc/self/schedstat").unwrap_or_default();
    spent.split_whitespace().next().and_then(|ns| ns.parse::<f64>().ok()).unwrap_or(0.0) / 1e9
}
