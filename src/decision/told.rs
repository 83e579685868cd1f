//! Paths in shop words.

use super::explain::why;
use super::model::Model;
use super::policy::moves_after;
use super::problem::{Answers, Problem};

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

/// Why a check is asked next, in a sentence or two.
pub fn why_words(model: &Model<'_>, answers: &Answers, check: usize) -> String {
    let reasons = why(model, answers, check, &moves_after(model, answers));
    let title = |check: usize| model.problem.checks.get(check).map_or("", |it| it.title.as_str());
    let mut said = Vec::new();
    let rules_out: Vec<String> = reasons.rules_out.iter().map(|it| candidate_title(model.problem, *it)).collect();
    if !rules_out.is_empty() {
        said.push(format!("It can rule out {}.", rules_out.join(" and ")));
    }
    if let Some((minutes, other)) = reasons.saved.filter(|(minutes, _)| *minutes >= 0.05) {
        said.push(format!("Asking “{}” first would cost {minutes:.1} minutes more on average.", title(other)));
    }
    if said.is_empty() {
        let saved = reasons.saved_against_stopping.max(0.0);
        let words = if saved >= 0.05 {
            format!("It saves {saved:.1} minutes on average against deciding now.")
        } else {
            "It is next in the flow.".to_owned()
        };
        said.push(words);
    }
    said.join(" ")
}

fn candidate_title(problem: &Problem, candidate: usize) -> String {
    problem.candidates.get(candidate).map_or_else(String::new, |it| format!("“{}”", it.title))
}
