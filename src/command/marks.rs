//! `marks`: what a mark means, with a wrong and a right example.

use std::fmt::Write;

use super::arguments::Marks;
use super::proof::proofread_folder;
use super::run::{Status, Terminal};
use super::timings::Timings;
use crate::diagnostic::catalogue::{self, BASE, EXAMPLE_DAY, ExampleFile, Row};
use crate::diagnostic::{Mark, MarkId, TextIndex};
use crate::entry::nearest;
use crate::source::{Folder, Memo, folder_of};

pub(super) fn marks(marks: &Marks, terminal: &mut Terminal<'_>) -> Status {
    let Some(name) = &marks.mark else {
        terminal.result(&table());
        return Status::Done;
    };
    match catalogue::rows().find(|row| row.id.name() == name) {
        Some(row) => {
            terminal.result(&page(row));
            Status::Done
        }
        None => {
            let near = nearest(name, MarkId::ALL.iter().map(|id| id.name()));
            let near =
                near.map_or_else(|| "`baybook marks` lists them".to_owned(), |near| format!("did you mean `{near}`?"));
            terminal.could_not(&format!("no mark is called `{name}`; {near}"))
        }
    }
}

/// One line a mark, in the order of the rooms that make them.
fn table() -> String {
    let rows: Vec<&Row> = MarkId::ALL.iter().filter_map(|id| catalogue::rows().find(|row| row.id == *id)).collect();
    let width = rows.iter().map(|row| row.id.name().len()).max().unwrap_or(0);
    let mut text = String::new();
    for row in rows {
        _ = writeln!(text, "{:width$}  {:7}  {}", row.id.name(), row.id.severity().word(), row.about);
    }
    text
}

fn page(row: &Row) -> String {
    let mut text = format!("{} ({})\n\n{}\n", row.id.name(), row.id.severity().word(), row.about);
    text += "\nWrong:\n";
    row.wrong.iter().for_each(|file| write_file(&mut text, file));
    _ = writeln!(text, "\nWhat is said:\n\n{}", said(row));
    text += "\nRight:\n";
    row.right.iter().for_each(|file| write_file(&mut text, file));
    text
}

fn write_file(text: &mut String, file: &ExampleFile) {
    _ = writeln!(text, "\n  {}", file.path);
    match file.text {
        Some(lines) => lines.lines().for_each(|line| _ = writeln!(text, "  {}", format!("| {line}").trim_end())),
        None => *text += "  (is not there)\n",
    }
}

/// What proofreading says of the wrong example.
fn said(row: &Row) -> String {
    let (folder, marks) = example(row.wrong);
    let proofed = proofread_folder(folder, marks, EXAMPLE_DAY.parse().ok(), &Timings::default(), &Memo::none());
    let lines: Vec<String> = proofed.marks.iter().map(|mark| line(&proofed.folder, mark)).collect();
    lines.join("\n")
}

fn line(folder: &Folder, mark: &Mark) -> String {
    let place = TextIndex::new(folder.text(mark.span.file)).place(mark.span.start as usize);
    let words = catalogue::words(mark);
    let help = words.help.map(|help| format!("\n  {help}")).unwrap_or_default();
    format!("  {}:{}:{}: {}{help}", folder.path(mark.span.file), place.line, place.column, words.headline)
}

/// The folder of the examples with some files changed.
fn example(files: &[ExampleFile]) -> (Folder, Vec<Mark>) {
    let is_changed = |base: &&ExampleFile| files.iter().all(|file| file.path != base.path);
    let there = BASE.iter().filter(is_changed).chain(files).filter_map(|file| Some((file.path, file.text?)));
    folder_of(there.map(|(path, text)| (path.to_owned(), text.as_bytes().to_vec())))
}
