//! `rename`: an entry's file and every reference to it.

use std::collections::BTreeMap;
use std::ops::Range;

use super::arguments::{Rename, Report};
use super::names::{entry_files, kind_named, no_id};
use super::proof::{linked, report_marks, verdict};
use super::run::{Status, Terminal};
use super::timings::Timings;
use crate::diagnostic::{Mark, MarkId, Span, TextIndex};
use crate::entry::{Form, Kind, Reference, is_id, nearest, references};
use crate::output::{Change, change};
use crate::source::{Folder, Memo, folder_of, read_folder};

pub(super) fn rename(rename: &Rename, terminal: &mut Terminal<'_>) -> Status {
    let (kind, old) = match entry_named(&rename.entry) {
        Ok(entry) => entry,
        Err(fault) => return terminal.could_not(&fault),
    };
    if !is_id(&rename.new) {
        return terminal.could_not(&no_id(&rename.new));
    }
    let (folder, marks) = match read_folder(&rename.kb) {
        Ok(read) => read,
        Err(fault) => return terminal.could_not(&fault.to_string()),
    };
    let (entries, _, marks) = linked(&folder, marks, None, &Timings::default(), &Memo::none());
    if verdict(&marks, false) == Status::Errors {
        report_marks(&folder, &marks, Some(Report::Short), terminal);
        terminal.say("baybook: the entries have errors; mend them before an entry is renamed");
        return Status::Errors;
    }
    match plan(&folder, &references(&entries), &marks, (kind, old, &rename.new)) {
        Ok(changes) => match change(&rename.kb, &changes) {
            Ok(()) => {
                terminal.say(&said(&changes));
                Status::Done
            }
            Err(fault) => terminal.could_not(&fault.to_string()),
        },
        Err(fault) => terminal.could_not(&fault),
    }
}

/// Kind and id of `checks/old-name` or `check/old-name`.
fn entry_named(written: &str) -> Result<(Kind, &str), String> {
    let Some((kind, id)) = written.split_once('/') else {
        return Err(format!("`{written}` names no entry: give its kind, a slash and its id, such as checks/old-name"));
    };
    Ok((kind_named(kind)?, id))
}

/// What has to change on disk.
fn plan(
    folder: &Folder,
    all: &[Reference],
    marks: &[Mark],
    (kind, old, new): (Kind, &str, &str),
) -> Result<Vec<Change>, String> {
    let path = path_of(folder, kind, old)?;
    if let Some(taken) = entry_files(folder, kind).find(|(id, _)| *id == new) {
        return Err(format!("there is a {} `{new}` already: {}", kind.word(), taken.1));
    }
    let changed = rewrite(folder, all, kind, old, new)?;
    let changes = folder.texts.iter().enumerate().filter_map(|(at, text)| {
        let after = changed.get(&at).cloned();
        let is_moved = text.path == path;
        (after.is_some() || is_moved).then(|| Change {
            path: text.path.clone(),
            new_path: if is_moved { renamed(&path, new) } else { text.path.clone() },
            before: text.text.clone(),
            after: after.unwrap_or_else(|| text.text.clone()),
        })
    });
    let changes: Vec<Change> = changes.collect();
    prove((folder, marks, all), &changes, (kind, old, new))?;
    Ok(changes)
}

fn path_of(folder: &Folder, kind: Kind, id: &str) -> Result<String, String> {
    let found = entry_files(folder, kind).find(|(known, _)| *known == id);
    found.map(|(_, path)| path.to_owned()).ok_or_else(|| {
        let near = nearest(id, entry_files(folder, kind).map(|(known, _)| known));
        let near = near.map(|near| format!("; did you mean `{near}`?")).unwrap_or_default();
        format!("no {} is called `{id}`{near}", kind.word())
    })
}

fn renamed(path: &str, new: &str) -> String {
    let folder = path.rsplit_once('/').map_or("", |(folder, _)| folder);
    format!("{folder}/{new}.md")
}

/// The texts that name the entry, by file, with the new id in every place.
fn rewrite(
    folder: &Folder,
    all: &[Reference],
    kind: Kind,
    old: &str,
    new: &str,
) -> Result<BTreeMap<usize, String>, String> {
    let mut changed: BTreeMap<usize, String> = BTreeMap::new();
    // From the last place to the first, so that the places before keep their offsets.
    for reference in all.iter().rev().filter(|reference| reference.kind == kind && reference.id == old) {
        let file = reference.span.file;
        let range = id_range(folder.text(file), reference).ok_or_else(|| unclear(folder, reference.span, old))?;
        let text = changed.entry(file.0 as usize).or_insert_with(|| folder.text(file).to_owned());
        text.replace_range(range, new);
    }
    Ok(changed)
}

/// Where the id itself stands inside the value that holds it.
fn id_range(text: &str, reference: &Reference) -> Option<Range<usize>> {
    let source = text.get(reference.span.range())?;
    let (before, after) = match reference.form {
        Form::Id => ("", ""),
        Form::Path => ("/", ""),
        Form::File => ("", ".md"),
        Form::Specification => ("spec:", "/"),
    };
    let wanted = format!("{before}{}{after}", reference.id);
    let is_word = |c: char| c.is_ascii_alphanumeric() || c == '-';
    let starts_word = |at: usize| !before.is_empty() || !source.get(..at).unwrap_or("").ends_with(is_word);
    let ends_word = |at: usize| !after.is_empty() || !source.get(at..).unwrap_or("").starts_with(is_word);
    let mut places = source.match_indices(&wanted).map(|(at, _)| at);
    let at = places.find(|at| starts_word(*at) && ends_word(at + wanted.len()))?;
    let start = reference.span.start as usize + at + before.len();
    Some(start..start + reference.id.len())
}

fn unclear(folder: &Folder, span: Span, old: &str) -> String {
    let place = TextIndex::new(folder.text(span.file)).place(span.start as usize);
    let path = folder.path(span.file);
    format!("{path}:{}:{}: `{old}` is written with escapes here; write it plainly first", place.line, place.column)
}

/// Reads the changed folder before it is written: it must name the same entries in the same files, and earn the same
/// sorts of marks as before.
fn prove(
    (folder, marks, before): (&Folder, &[Mark], &[Reference]),
    changes: &[Change],
    (kind, old, new): (Kind, &str, &str),
) -> Result<(), String> {
    let (after, of_reading) = with_changes(folder, changes);
    let (entries, _, earned) = linked(&after, of_reading, None, &Timings::default(), &Memo::none());
    let found = named(&after, &references(&entries), str::to_owned);
    let expected: Vec<Reference> = before
        .iter()
        .map(|reference| {
            let is_it = reference.kind == kind && reference.id == old;
            Reference { id: if is_it { new.to_owned() } else { reference.id.clone() }, ..reference.clone() }
        })
        .collect();
    let expected = named(folder, &expected, |path| change_of(changes, path).map_or(path, |it| &it.new_path).to_owned());
    if found == expected && sorts(&earned) == sorts(marks) {
        Ok(())
    } else {
        Err(format!("`{old}` cannot be renamed safely: some text names it in a way that is not understood"))
    }
}

fn with_changes(folder: &Folder, changes: &[Change]) -> (Folder, Vec<Mark>) {
    let texts = folder.texts.iter().filter(|text| text.readable).map(|text| match change_of(changes, &text.path) {
        Some(change) => (change.new_path.clone(), change.after.clone().into_bytes()),
        None => (text.path.clone(), text.text.clone().into_bytes()),
    });
    folder_of(texts.chain(folder.pictures.iter().map(|path| (path.clone(), Vec::new()))))
}

fn change_of<'c>(changes: &'c [Change], path: &str) -> Option<&'c Change> {
    changes.iter().find(|change| change.path == path)
}

fn sorts(marks: &[Mark]) -> Vec<MarkId> {
    let mut sorts: Vec<MarkId> = marks.iter().map(|mark| mark.id).collect();
    sorts.sort();
    sorts
}

/// A reference without its offset: file, kind, id and form.
type Named = (String, Kind, String, Form);

fn named(folder: &Folder, references: &[Reference], path: impl Fn(&str) -> String) -> Vec<Named> {
    let place = |reference: &Reference| path(folder.path(reference.span.file));
    let mut named: Vec<Named> = references
        .iter()
        .map(|reference| (place(reference), reference.kind, reference.id.clone(), reference.form))
        .collect();
    named.sort();
    named
}

fn said(changes: &[Change]) -> String {
    let moved = changes.iter().find(|change| change.path != change.new_path);
    let names = changes.iter().filter(|change| change.before != change.after).count();
    let moved = moved.map(|change| format!("{} is now {}", change.path, change.new_path)).unwrap_or_default();
    match names {
        0 => format!("{moved}; no file names it"),
        1 => format!("{moved}; changed in 1 file"),
        _ => format!("{moved}; changed in {names} files"),
    }
}
