//! From a hand-written flow to the graph that everything else works on.

use super::faults;
use super::flow::{Act, Flow, Step, WrittenFlow, WrittenStep};
use super::model::Verdict;
use super::problem::{Cause, Check, Problem};
use crate::diagnostic::{Mark, Spanned};
use crate::entry::{NOT_SURE, nearest};

/// Reads a hand-written flow for one group of vehicles. References must have been resolved before; one that is
/// unknown here does not fit these vehicles: a characteristic then becomes `book-in`, a lead is left out, and a
/// check is passed over as if it were answered "not sure".
pub fn read_written(written: &WrittenFlow, problem: &Problem) -> (Flow, Vec<Mark>) {
    let mut marks = Vec::new();
    let reader = Reader { written, problem };
    let start = reader.target(&written.start, "start", None, &mut marks);
    let steps = written.steps.iter().map(|(name, step)| Step {
        name: name.value.clone(),
        span: name.span,
        act: reader.act(name, step, &mut marks),
    });
    let steps = steps.collect();
    (Flow { start, steps }, marks)
}

struct Reader<'a> {
    written: &'a WrittenFlow,
    problem: &'a Problem,
}

impl Reader<'_> {
    fn act(&self, name: &Spanned<String>, step: &WrittenStep, marks: &mut Vec<Mark>) -> Act {
        match step {
            WrittenStep::Ask { check, edges } => self.ask(name, check, edges, marks),
            WrittenStep::BookIn { leads } => Act::Stop { verdict: Verdict::BookIn, leads: self.leads(leads) },
            WrittenStep::DoNotDrive { leads } => Act::Stop { verdict: Verdict::DoNotDrive, leads: self.leads(leads) },
            WrittenStep::Explain { characteristic } => {
                let candidate = self.problem.candidate(Cause::Characteristic.kind(), &characteristic.value);
                let verdict = candidate.map_or(Verdict::BookIn, Verdict::Explain);
                Act::Stop { verdict, leads: Vec::new() }
            }
        }
    }

    fn leads(&self, leads: &[Spanned<String>]) -> Vec<usize> {
        leads.iter().filter_map(|lead| self.problem.candidate("condition", &lead.value)).collect()
    }

    fn ask(&self, name: &Spanned<String>, check: &Spanned<String>, edges: &Edges, marks: &mut Vec<Mark>) -> Act {
        let Some(position) = self.problem.check(&check.value) else {
            return self.passed_over(name, edges, marks);
        };
        let Some(known) = self.problem.checks.get(position) else { return Act::Broken };
        let mut next = vec![None; known.answers.len() + 1];
        let mut meant = vec![false; known.answers.len() + 1];
        for (answer, to) in edges {
            let to = self.target(to, &name.value, Some(&answer.value), marks);
            let Some(at) = self.meant(answer, known, edges, marks) else { continue };
            next.get_mut(at).into_iter().for_each(|slot| *slot = to);
            meant.get_mut(at).into_iter().for_each(|slot| *slot = true);
        }
        let missing = meant.iter().enumerate().filter(|(_, meant)| !**meant).map(|(at, _)| known.answer_id(at));
        let missing: Vec<&str> = missing.collect();
        if !missing.is_empty() {
            marks.push(faults::missing_answer(name, &check.value, &missing));
        }
        Act::Ask { check: position, next }
    }

    /// The answer that an edge is for. One that the check does not have is taken for the nearest that no other edge
    /// is for, so that one slip is not told again as a missing answer and a lost step.
    fn meant(&self, answer: &Spanned<String>, check: &Check, edges: &Edges, marks: &mut Vec<Mark>) -> Option<usize> {
        let known = check.answer(&answer.value);
        if known.is_none() {
            marks.push(faults::unknown_answer(answer, check));
        }
        let free = |id: &&str| !edges.iter().any(|(other, _)| other.value == **id);
        let names = check.answers.iter().map(String::as_str).chain([NOT_SURE]);
        known.or_else(|| check.answer(&nearest(&answer.value, names.filter(free))?))
    }

    /// A check that these vehicles do not have leads on as "not sure" does; `target` sees to that. Here only the
    /// names are looked at.
    fn passed_over(&self, name: &Spanned<String>, edges: &Edges, marks: &mut Vec<Mark>) -> Act {
        for (answer, to) in edges {
            self.target(to, &name.value, Some(&answer.value), marks);
        }
        Act::Broken
    }

    /// The step that an edge leads to, steps that ask what these vehicles do not have passed over. A name that no
    /// step has is taken for the nearest one, so that one slip is not told again as a lost step.
    fn target(&self, to: &Spanned<String>, from: &str, answer: Option<&str>, marks: &mut Vec<Mark>) -> Option<usize> {
        let named = |name: &str| self.written.steps.iter().position(|(step, _)| step.value == name);
        let names = || self.written.steps.iter().map(|(step, _)| step.value.as_str());
        let exact = named(&to.value);
        if exact.is_none() {
            marks.push(faults::leads_nowhere(to, from, answer, nearest(&to.value, names())));
        }
        let mut at = exact.or_else(|| named(&nearest(&to.value, names())?))?;
        for _ in 0..self.written.steps.len() {
            match self.written.steps.get(at) {
                Some((_, WrittenStep::Ask { check, edges })) if self.problem.check(&check.value).is_none() => {
                    let (_, onward) = edges.iter().find(|(answer, _)| answer.value == NOT_SURE)?;
                    at = named(&onward.value)?;
                }
                _ => return Some(at),
            }
        }
        None
    }
}

/// Answers and the steps after them.
type Edges = [(Spanned<String>, Spanned<String>)];
