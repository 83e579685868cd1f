//! `draft`: a new entry with its fields explained.

use super::arguments::Draft;
use super::names::{entry_files, kind_named, no_id};
use super::proof::today;
use super::run::{Status, Terminal};
use crate::entry::{is_id, read_entries};
use crate::output::create;
use crate::source::read_folder;

pub(super) fn draft(draft: &Draft, terminal: &mut Terminal<'_>) -> Status {
    match write(draft) {
        Ok(path) => {
            terminal.result(&format!("{path}\n"));
            Status::Done
        }
        Err(fault) => terminal.could_not(&fault),
    }
}

/// Writes the entry and returns its path.
fn write(draft: &Draft) -> Result<String, String> {
    let kind = kind_named(&draft.kind)?;
    if !is_id(&draft.id) {
        return Err(no_id(&draft.id));
    }
    let (folder, _) = read_folder(&draft.kb).map_err(|fault| fault.to_string())?;
    if let Some((_, path)) = entry_files(&folder, kind).find(|(id, _)| *id == draft.id) {
        return Err(format!("there is a {} `{}` already: {path}", kind.word(), draft.id));
    }
    let (entries, _) = read_entries(&folder);
    let day = draft.today.unwrap_or_else(today);
    let path = format!("{}/{}.md", kind.folder(), draft.id);
    create(&draft.kb, &path, &crate::entry::draft(kind, day, &entries.shop.languages))
        .map_err(|fault| fault.to_string())?;
    Ok(draft.kb.join(path).display().to_string())
}
