//! Folders of entries with some files made up, and what must hold for every mark that they earn.

use std::collections::BTreeMap;

use baybook::diagnostic::catalogue::{self, BASE, EXAMPLE_DAY};
use baybook::diagnostic::report::{Form, ReportFile, report};
use baybook::diagnostic::{Mark, Span};
use baybook::entry::{Entries, read_entries, references};
use baybook::knowledge::{Knowledge, link};
use baybook::source::{Folder, folder_of};

/// A folder that was read and linked.
pub(super) struct Linked {
    pub(super) folder: Folder,
    pub(super) entries: Entries,
    pub(super) knowledge: Knowledge,
    pub(super) marks: Vec<Mark>,
}

/// The base folder of the examples with these files instead of, or beside, its own.
pub(super) fn linked(files: &[(&str, &[u8])]) -> Linked {
    let base = BASE.iter().filter_map(|file| Some((file.path.to_owned(), file.text?.as_bytes().to_vec())));
    let mut all: BTreeMap<String, Vec<u8>> = base.collect();
    all.extend(files.iter().map(|(path, bytes)| ((*path).to_owned(), bytes.to_vec())));
    let (folder, mut marks) = folder_of(all);
    let (entries, of_entries) = read_entries(&folder);
    let (knowledge, of_links) = link(&entries, &folder, EXAMPLE_DAY.parse().ok());
    marks.extend(of_entries.into_iter().chain(of_links));
    Linked { folder, entries, knowledge, marks }
}

impl Linked {
    /// Every mark and every reference lies inside its file, at the bounds of characters, and every report can be made.
    pub(super) fn check(&self, more: &[Mark]) {
        let marks: Vec<&Mark> = self.marks.iter().chain(more).collect();
        for mark in &marks {
            self.inside(mark.span);
            mark.related.iter().for_each(|related| self.inside(related.span));
        }
        references(&self.entries).iter().for_each(|reference| self.inside(reference.span));
        let worded: Vec<_> = marks.iter().map(|mark| (*mark, catalogue::words(mark))).collect();
        for (mark, words) in &worded {
            assert!(!words.headline.is_empty() && !words.headline.contains(['\n', '\r']), "{mark:?}: {words:?}");
        }
        let file = |id| ReportFile { path: self.folder.path(id), text: self.folder.text(id) };
        let short = report(&worded, &file, Form::Short);
        assert_eq!(short.lines().count(), worded.len(), "one line a mark: {short:?}");
        report(&worded, &file, Form::Text { colour: false });
    }

    fn inside(&self, span: Span) {
        let text = self.folder.text(span.file);
        assert!(text.get(span.range()).is_some(), "{span:?} is no part of {text:?}");
        assert!(!self.folder.path(span.file).is_empty(), "{span:?} lies in no file");
    }

    /// Names of the marks with their places as line and column, in an order of their own. What is no YAML has no place: how
    /// far a reader looks ahead for the end of a key (1024 characters; YAML 1.2.2, 7.4.2) decides what it meets first.
    pub(super) fn places(&self) -> Vec<String> {
        let worded: Vec<_> = self.marks.iter().map(|mark| (mark, catalogue::words(mark))).collect();
        let file = |id| ReportFile { path: self.folder.path(id), text: self.folder.text(id) };
        let head = |line: &str| match line.split_once(": ") {
            Some((_, words)) if words.starts_with("error bad-front-matter") => "error bad-front-matter".to_owned(),
            _ => line.splitn(3, ": ").take(2).collect::<Vec<_>>().join(": "),
        };
        let mut places: Vec<String> = report(&worded, &file, Form::Short).lines().map(head).collect();
        places.sort();
        places
    }
}
