//! The four reports of marks.

#![allow(clippy::disallowed_methods, reason = "the published schema is read from its file")]

mod programs;
mod text;

use baybook::diagnostic::catalogue::Words;
use baybook::diagnostic::report::{Form, ReportFile, report};
use baybook::diagnostic::{FileId, Mark, MarkId, Span};

pub(crate) const TEXT: Form = Form::Text { colour: false };

/// Texts of files, and marks on them.
pub(crate) struct Case<'a> {
    files: Vec<(&'a str, &'a str)>,
    marks: Vec<(Mark, Words)>,
}

impl<'a> Case<'a> {
    pub(crate) fn new(files: &[(&'a str, &'a str)]) -> Self {
        Self { files: files.to_vec(), marks: Vec::new() }
    }

    /// The `nth` time that `guilty` stands in a file; the text must be there.
    fn span(&self, file: usize, guilty: &str) -> Span {
        let start = self.files[file].1.find(guilty).unwrap();
        Span::new(FileId(u32::try_from(file).unwrap()), start..start + guilty.len())
    }

    /// Adds a mark on the first `guilty` of a file.
    pub(crate) fn mark(mut self, id: MarkId, file: usize, guilty: &str, headline: &str, help: Option<&str>) -> Self {
        let words = Words { headline: headline.into(), help: help.map(str::to_owned) };
        self.marks.push((Mark::new(id, self.span(file, guilty)), words));
        self
    }

    /// Adds a second place to the last mark.
    pub(crate) fn see(mut self, file: usize, guilty: &str, message: &str) -> Self {
        let span = self.span(file, guilty);
        let (mark, words) = self.marks.pop().unwrap();
        self.marks.push((mark.see(span, message), words));
        self
    }

    pub(crate) fn report(&self, form: Form) -> String {
        let marks: Vec<(&Mark, Words)> = self.marks.iter().map(|(mark, words)| (mark, words.clone())).collect();
        let file = |id: FileId| {
            let (path, text) = self.files[id.0 as usize];
            ReportFile { path, text }
        };
        report(&marks, &file, form)
    }
}

/// One mark on one line, for tests of a single look.
pub(crate) fn one<'a>(text: &'a str, guilty: &str) -> Case<'a> {
    Case::new(&[("a.md", text)]).mark(MarkId::BadValue, 0, guilty, "Wrong", None)
}

/// Marks of each severity, with and without help and second places, on awkward characters and paths.
pub(crate) fn many() -> Case<'static> {
    Case::new(&[
        ("symptoms/hum.md", "---\ntitle: Hum\nheard_as: [größer, 音]\n---\nA *hum*,\nthen a roar.\n"),
        ("conditions/worn wheel #1.md", "---\r\ntitle: Worn\r\n---\r\n"),
        ("checks/empty.md", ""),
    ])
    .mark(MarkId::UnknownField, 0, "heard_as", "There is no field `heard_as`", Some("Write \"heard\" instead"))
    .see(1, "title", "such a field")
    .see(0, "音", "and here")
    .mark(MarkId::OrphanEntry, 0, "*hum*,\nthen", "Nothing leads here", None)
    .mark(MarkId::MissingSource, 1, "Worn", "No source", Some("Name one"))
    .mark(MarkId::UnreadableFile, 2, "", "Cannot be read", None)
}
