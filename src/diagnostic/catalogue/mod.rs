//! The words of every mark: one row a mark, each with a wrong and a right example.

mod base;
mod rows_calculation;
mod rows_decision;
mod rows_editorial;
mod rows_flow;
mod rows_reference;
mod rows_source;
mod rows_vehicle;
mod template;

pub use base::{BASE, EXAMPLE_DAY};

use super::{Mark, MarkId};

/// The words of one mark.
#[derive(Debug)]
pub struct Row {
    /// The mark.
    pub id: MarkId,
    /// One line that does alone. `{fact}` stands for a fact of the mark; a part in `[…]` is left out when a fact in it
    /// is not known.
    pub headline: &'static str,
    /// How to mend it, in the same form; empty if the headline says it.
    pub help: &'static str,
    /// What the mark is for.
    pub about: &'static str,
    /// Files that earn the mark once in the folder [`BASE`], and no other mark.
    pub wrong: &'static [ExampleFile],
    /// The same files mended; they earn no mark.
    pub right: &'static [ExampleFile],
}

/// A file of an example.
#[derive(Debug)]
pub struct ExampleFile {
    /// Its path inside the folder of entries.
    pub path: &'static str,
    /// What it says; `None` if it is not there.
    pub text: Option<&'static str>,
}

/// What a mark says, in words.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Words {
    /// One line.
    pub headline: String,
    /// How to mend it, if there is more to say.
    pub help: Option<String>,
}

/// The words of a mark.
pub fn words(mark: &Mark) -> Words {
    let row = row(mark.id);
    let help = template::fill(row.help, mark);
    Words { headline: template::fill(row.headline, mark), help: (!help.is_empty()).then_some(help) }
}

/// The row of a mark.
pub fn row(id: MarkId) -> &'static Row {
    let row = rows().find(|row| row.id == id);
    row.unwrap_or(&rows_source::UNREADABLE_FILE)
}

/// All rows.
pub fn rows() -> impl Iterator<Item = &'static Row> {
    let tables = [
        rows_source::ROWS,
        rows_reference::ROWS,
        rows_vehicle::ROWS,
        rows_calculation::ROWS,
        rows_decision::ROWS,
        rows_flow::ROWS,
        rows_editorial::ROWS,
    ];
    std::iter::once(&rows_source::UNREADABLE_FILE).chain(tables.into_iter().flatten())
}
