//! Where files stand among each other is no part of what a flow is worked out from.
//!
//! A place names its file by the position among all files, and that changes with every file that comes or goes before
//! it. So what is worked out, and remembered, names files by the order in which the question itself first names them;
//! the real ones are put back afterwards.

use super::flow::{Flow, WrittenFlow, WrittenStep};
use super::problem::Problem;
use crate::diagnostic::{FileId, Mark, Span, Spanned};

/// The files of a question, in the order in which it first names them.
#[derive(Debug, Default)]
pub(super) struct Files(Vec<FileId>);

impl Files {
    /// Takes the files out of a question.
    pub(super) fn taken_from(problem: &mut Problem, by_hand: Option<&mut WrittenFlow>) -> Self {
        let mut files = Self::default();
        of_problem(problem).for_each(|span| files.take(span));
        of_written(by_hand).into_iter().for_each(|span| files.take(span));
        files
    }

    fn take(&mut self, span: &mut Span) {
        let known = self.0.iter().position(|file| *file == span.file);
        let at = known.unwrap_or_else(|| {
            self.0.push(span.file);
            self.0.len() - 1
        });
        span.file = FileId(u32::try_from(at).unwrap_or(u32::MAX));
    }

    /// Puts the files back into the problem, and into what was worked out.
    pub(super) fn put_back(&self, problem: &mut Problem, flow: &mut Flow, marks: &mut [Mark]) {
        let steps = flow.steps.iter_mut().map(|step| &mut step.span);
        let marks = marks.iter_mut().flat_map(|mark| {
            std::iter::once(&mut mark.span).chain(mark.related.iter_mut().map(|related| &mut related.span))
        });
        for span in of_problem(problem).chain(steps).chain(marks) {
            let file = usize::try_from(span.file.0).ok().and_then(|at| self.0.get(at));
            span.file = file.copied().unwrap_or(span.file);
        }
    }
}

fn of_problem(problem: &mut Problem) -> impl Iterator<Item = &mut Span> {
    let candidates = problem.candidates.iter_mut().map(|candidate| &mut candidate.span);
    std::iter::once(&mut problem.span).chain(candidates)
}

fn of_written(by_hand: Option<&mut WrittenFlow>) -> Vec<&mut Span> {
    let mut spans = Vec::new();
    if let Some(flow) = by_hand {
        spans.push(&mut flow.start.span);
        for (name, step) in &mut flow.steps {
            spans.push(&mut name.span);
            spans.extend(of_step(step));
        }
    }
    spans
}

fn of_step(step: &mut WrittenStep) -> Vec<&mut Span> {
    fn span(spanned: &mut Spanned<String>) -> &mut Span {
        &mut spanned.span
    }
    match step {
        WrittenStep::Ask { check, edges } => {
            let edges = edges.iter_mut().flat_map(|(answer, to)| [span(answer), span(to)]);
            std::iter::once(span(check)).chain(edges).collect()
        }
        WrittenStep::Explain { characteristic } => vec![span(characteristic)],
        WrittenStep::BookIn { leads } | WrittenStep::DoNotDrive { leads } => leads.iter_mut().map(span).collect(),
    }
}
