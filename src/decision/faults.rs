//! The faults of flows as data. Their words stand in the catalogue; this table is what they are made of.
//!
//! | mark | facts | headline proposal |
//! |---|---|---|
//! | `explain-ungated` | `step`, `characteristic` (title), `gate` (`hazard`, `only-if`, `not-if`, `other-leads`, `other-leads-unproved`), `hazard` (id; the first one open), `also` (further hazards open on the same path, ids joined by `, `; absent if none), `check` and `answer` (of `only-if`: what is required; of `not-if`: what was answered), `path`, `full_path` | hazard: "{path}, with {hazard} never ruled out"; only-if: "{path}, without {check}: {answer}"; not-if: "{path}, although {check} was answered {answer}"; other-leads: "{path}, although none of the listed causes fits best"; other-leads-unproved, where the path is only how it ends: "{path}: so many ways lead there that it cannot be excluded …" |
//! | `road-test-ungated` | `step`, `check` (id), `hazard` (id), `also`, `path`, `full_path` | "{path}: a drive, with {hazard} not yet ruled out" |
//! | `alarm-ignored` | `step`, `verdict`, `expected`, `hazard` (id), `check`, `answer` (the alarm), `path`, `full_path` | "{path}, although {check}: {answer} is an alarm of {hazard}" |
//! | `dead-end` | `step` (`start` for the flow's start), `answer` (absent for the start), `found` (the step named), `nearest` | "{step}: {answer} leads to '{found}', which is no step of this flow" |
//! | `flow-loop` | `step`, `path` (names of steps joined by ` → `, the first one again at the end) | "this flow goes round in a circle: {path}" |
//! | `missing-answer` | `step`, `check`, `missing` (ids joined by `, `) | "{step}: nothing says what follows when {check} is answered {missing}" |
//! | `unknown-answer` | `check`, `found`, `expected` (ids joined by `, `), `nearest` | "{check} has no answer '{found}'" |
//! | `unreachable-step` | `step` | "no sequence of answers leads to {step}" |
//! | `unreachable-candidate` | `symptom`, `kind`, `candidate` (id), `title` | "no verdict of {symptom}'s flow is right if it is {candidate}" |
//! | `same-evidence` | `symptom`, `candidate`, `other` (ids), related: the other one | "no check tells {candidate} from {other}" |
//! | `hazard-never-ruled-out` | `symptom`, `hazard` (id) | "no counter check can rule out {hazard}, so nothing is ever explained for {symptom}" |
//! | `no-candidates` | `symptom` | "nothing accounts for {symptom}" |
//! | `band-gap` | `check`, `from`, `to` (ends of the gap; equal for a single point), `gap` (written as an interval), `unit` | "no answer covers {gap}" |
//! | `band-overlap` | `check`, `first`, `second` (answers), `shared` (written as an interval), `unit`; related: the first band | "{first} and {second} both cover {shared}" |
//! | `bad-value` | `found`, `expected` | a bay check in a counter flow; an explanation of what does not account for the symptom; a band that cannot be read or has no value in it |
//!
//! Examples, wrong then right, for one flow with `worn-wheel-bearing` (do-not-drive, `ruled_out_by: {bearing-rock:
//! none-felt}`, `alarm: {bearing-rock: loose}`):
//!
//! | mark | wrong | right |
//! |---|---|---|
//! | `explain-ungated` | `first: {check: hum-on-smooth-road, no: explain-tread, …}` | `first: {check: hum-on-smooth-road, no: rock, …}` with `rock: {check: bearing-rock, none-felt: explain-tread, …}` |
//! | `road-test-ungated` | `start: drive` with `drive: {check: noise-on-a-drive, …}` | `start: rock` with `rock: {check: bearing-rock, none-felt: drive, loose: stop, not-sure: book}` |
//! | `alarm-ignored` | `rock: {check: bearing-rock, loose: book, …}` | `rock: {check: bearing-rock, loose: stop, …}` |
//! | `dead-end` | `no: explain-tred` | `no: explain-tread` |
//! | `flow-loop` | `swerve: {check: swerve-changes-it, not-sure: first, …}` | `swerve: {check: swerve-changes-it, not-sure: book, …}` |
//! | `missing-answer` | `first: {check: hum-on-smooth-road, yes: swerve, no: rock}` | `first: {check: hum-on-smooth-road, yes: swerve, no: rock, not-sure: swerve}` |
//! | `unknown-answer` | `ruled_out_by: {bearing-rock: nothing}` | `ruled_out_by: {bearing-rock: none-felt}` |
//! | `unreachable-step` | a step `book` that no answer names | an answer that leads to it, or no such step |
//! | `unreachable-candidate` | a condition that no `leads` names | `book: {verdict: book-in, leads: [worn-wheel-bearing, loose-shield]}` |
//! | `same-evidence` | two conditions with the same `evidence` and no `confirm` | one check with different likelihoods, or different `confirm` |
//! | `hazard-never-ruled-out` | `ruled_out_by: {wheel-off-inspection: sound}` (a bay check) | `ruled_out_by: {bearing-rock: none-felt}` (walk-round) |
//! | `no-candidates` | a symptom that no `accounts_for` names | `accounts_for: [{symptom: speed-hum, prior: 3}]` in a condition |
//! | `band-gap` | `bands: {thin: < 3, worn: "> 3 to < 5", good: ">= 5"}` | `bands: {thin: < 3, worn: "3 to < 5", good: ">= 5"}` |
//! | `band-overlap` | `bands: {thin: <= 3, good: ">= 3"}` | `bands: {thin: < 3, good: ">= 3"}` |

use super::problem::{Check, Problem};
use crate::diagnostic::{Mark, MarkId, Span, Spanned};
use crate::entry::nearest;

/// An answer that the check does not have.
pub(super) fn unknown_answer(found: &Spanned<String>, check: &Check) -> Mark {
    let answers = check.answers.iter().map(String::as_str);
    Mark::new(MarkId::UnknownAnswer, found.span)
        .with("check", &check.id)
        .with("found", &found.value)
        .with("expected", check.answers.join(", "))
        .with_some("nearest", nearest(&found.value, answers))
}

pub(super) fn missing_answer(step: &Spanned<String>, check: &str, missing: &[&str]) -> Mark {
    Mark::new(MarkId::MissingAnswer, step.span)
        .with("step", &step.value)
        .with("check", check)
        .with("missing", missing.join(", "))
}

pub(super) fn leads_nowhere(to: &Spanned<String>, from: &str, answer: Option<&str>, nearest: Option<String>) -> Mark {
    Mark::new(MarkId::DeadEnd, to.span)
        .with("step", from)
        .with_some("answer", answer)
        .with("found", &to.value)
        .with_some("nearest", nearest)
}

pub(super) fn asks_bay_check(check: &str, span: Span) -> Mark {
    Mark::new(MarkId::BadValue, span)
        .with("found", check)
        .with("expected", "a check whose `where` is `counter`, `walk-round` or `road-test`")
}

pub(super) fn explains_a_stranger(characteristic: &str, symptom: &str, span: Span) -> Mark {
    Mark::new(MarkId::BadValue, span)
        .with("found", characteristic)
        .with("expected", format!("a characteristic that accounts for `{symptom}`"))
}

pub(super) fn no_candidates(problem: &Problem) -> Mark {
    Mark::new(MarkId::NoCandidates, problem.span).with("symptom", &problem.symptom)
}

pub(super) fn flow_loop(span: Span, names: &[&str]) -> Mark {
    let first = names.first().copied().unwrap_or_default();
    let path: Vec<&str> = names.iter().copied().chain([first]).collect();
    Mark::new(MarkId::FlowLoop, span).with("step", first).with("path", path.join(" → "))
}
