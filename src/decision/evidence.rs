//! From the words and numbers that writers give to rows that add up to 1.

/// The least that an answer left out of a row counts, before scaling: what nobody wrote down may still happen.
const LEAST_UNLISTED: f64 = 0.01;

/// The row of a check with `answers` answers, of which some are listed with a likelihood in [0, 1]. The others
/// share what is left equally, at least 0.01 each; then the row is scaled to add up to 1. Nothing listed, or
/// nothing but zeros, is uninformative: 1/n each.
pub fn row(answers: usize, listed: &[(usize, f64)]) -> Vec<f64> {
    let given = |answer: usize| listed.iter().find(|(at, _)| *at == answer).map(|(_, value)| *value);
    let known: Vec<Option<f64>> = (0..answers).map(given).collect();
    let unlisted = known.iter().filter(|value| value.is_none()).count();
    let used: f64 = known.iter().flatten().sum();
    let share = ((1.0 - used) / unlisted.max(1) as f64).max(LEAST_UNLISTED);
    let filled: Vec<f64> = known.iter().map(|value| value.unwrap_or(share)).collect();
    let sum: f64 = filled.iter().sum();
    let uniform = 1.0 / answers.max(1) as f64;
    filled.iter().map(|value| if unlisted == answers || sum <= 0.0 { uniform } else { value / sum }).collect()
}

/// How strongly an answer speaks for one candidate against another, in decibans (10 log10 of the ratio of
/// likelihoods; I. J. Good, "Probability and the Weighing of Evidence", 1950). Infinite where one is impossible,
/// 0 where both are.
pub fn decibans(for_it: f64, against: f64) -> f64 {
    if for_it <= 0.0 && against <= 0.0 { 0.0 } else { 10.0 * (for_it / against).log10() }
}
