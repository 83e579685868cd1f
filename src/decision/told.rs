//! Paths in shop words.

use super::problem::Problem;

/// A path, shortened for a headline and in full.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Told {
    /// At most its first two and its last question.
    pub short: String,
    /// Every question.
    pub full: String,
}

/// Most questions told in the short form.
const SHORT: usize = 4;

/// Tells a path: "hum on smooth road: no → swerve changes it: not sure → explain 'block-tread hum'".
pub fn told(problem: &Problem, path: impl Iterator<Item = (usize, usize)>, ends: &str) -> Told {
    let mut parts: Vec<String> = path.map(|(check, answer)| question(problem, check, answer)).collect();
    parts.push(ends.to_owned());
    let full = parts.join(" → ");
    if parts.len() > SHORT + 1 {
        let last = parts.split_off(parts.len() - 2);
        parts.truncate(2);
        parts.push("…".to_owned());
        parts.extend(last);
    }
    Told { short: parts.join(" → "), full }
}

/// One question and its answer: "hum on smooth road: no".
pub fn question(problem: &Problem, check: usize, answer: usize) -> String {
    let Some(check) = problem.checks.get(check) else { return String::new() };
    format!("{}: {}", check.title, check.answer_id(answer).replace('-', " "))
}
