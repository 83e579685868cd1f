//! The four reports of marks: text for a person, one line a mark, JSON and SARIF for programs.
//!
//! In: marks in the order to report them, their words, and the files that they lie in. Out: one string. Never:
//! looks for words, sorts, prints, or colours unless asked.

mod json;
mod located;
mod sarif;
mod short;
mod text;

use super::catalogue::Words;
use super::{FileId, Mark, Severity};

/// A file as reports name and quote it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct ReportFile<'a> {
    /// Path inside the folder of entries, parts joined by `/`.
    pub path: &'a str,
    /// What it says, after a byte-order mark; empty if it could not be read.
    pub text: &'a str,
}

/// What a report looks like.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Form {
    /// For a person: headline, the line with the guilty text underlined, how to mend it, other places, a sum.
    Text {
        /// Whether to colour it with the escape sequences of ECMA-48.
        colour: bool,
    },
    /// `path:line:column: severity mark: headline`, one line a mark.
    Short,
    /// One JSON object.
    Json,
    /// SARIF 2.1.0, an OASIS standard.
    Sarif,
}

/// How many marks there are of each weight.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Counts {
    /// Errors.
    pub errors: usize,
    /// Warnings.
    pub warnings: usize,
    /// Pieces of advice.
    pub advice: usize,
}

impl Counts {
    /// Counts marks.
    pub fn of<'a>(marks: impl IntoIterator<Item = &'a Mark>) -> Self {
        let mut counts = Self::default();
        for mark in marks {
            match mark.id.severity() {
                Severity::Error => counts.errors += 1,
                Severity::Warning => counts.warnings += 1,
                Severity::Advice => counts.advice += 1,
            }
        }
        counts
    }
}

/// Reports `marks`, each with its words, in the order given. `file` gives the path and text of a file.
pub fn report<'a>(marks: &'a [(&'a Mark, Words)], file: &dyn Fn(FileId) -> ReportFile<'a>, form: Form) -> String {
    let located = located::locate(marks, file);
    let counts = Counts::of(marks.iter().map(|(mark, _)| *mark));
    match form {
        Form::Text { colour } => text::write(&located, counts, colour),
        Form::Short => short::write(&located),
        Form::Json => json::write(&located, counts),
        Form::Sarif => sarif::write(&located),
    }
}

/// Text that keeps to its line and cannot steer a terminal or turn the direction of reading: every character that
/// could is shown as U+FFFD, line ends and tabs as a blank.
fn harmless(text: &str) -> String {
    text.chars().map(|c| if matches!(c, '\n' | '\r' | '\t') { ' ' } else { harmless_char(c) }).collect()
}

fn harmless_char(c: char) -> char {
    let steers = c.is_control() || matches!(c, '\u{2028}' | '\u{2029}');
    let turns = matches!(c, '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' | '\u{61c}');
    if steers || turns { '\u{fffd}' } else { c }
}
