//! Marks with their places as people count them.

use std::collections::BTreeMap;

use super::ReportFile;
use crate::diagnostic::catalogue::Words;
use crate::diagnostic::{FileId, Mark, Place, Span, TextIndex};

/// A mark, its words and its places.
pub(super) struct Located<'a> {
    pub(super) mark: &'a Mark,
    pub(super) words: &'a Words,
    pub(super) site: Site<'a>,
    pub(super) related: Vec<(Site<'a>, &'a str)>,
}

/// A place in a file, with what its line says there.
pub(super) struct Site<'a> {
    pub(super) path: &'a str,
    pub(super) start: Place,
    /// The place after the last character.
    pub(super) end: Place,
    /// What the line says before it, or the last of that.
    pub(super) before: &'a str,
    /// What the line says from there on, or the first of that.
    pub(super) from: &'a str,
}

/// Bytes of a line on either side of a place that reports look at: more than they show.
const REACH: usize = 512;

/// Finds the places of all marks. Every text is gone through once, however many marks lie in it.
pub(super) fn locate<'a>(marks: &'a [(&'a Mark, Words)], file: &dyn Fn(FileId) -> ReportFile<'a>) -> Vec<Located<'a>> {
    let mut known = BTreeMap::new();
    let mut site = |span: Span| {
        let (path, index) = known.entry(span.file).or_insert_with(|| {
            let ReportFile { path, text } = file(span.file);
            (path, TextIndex::new(text))
        });
        let [start, end] = [span.start, span.end].map(|offset| index.place(offset as usize));
        let (before, from) = index.around(span.start as usize, REACH);
        Site { path, start, end, before, from }
    };
    let locate = |(mark, words): &'a (&'a Mark, Words)| Located {
        mark,
        words,
        site: site(mark.span),
        related: mark.related.iter().map(|related| (site(related.span), related.message.as_str())).collect(),
    };
    marks.iter().map(locate).collect()
}
