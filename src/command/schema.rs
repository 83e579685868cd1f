//! `schema`: the front matter's JSON Schema, for editors.

use super::run::{Status, Terminal};

pub(super) fn schema(terminal: &mut Terminal<'_>) -> Status {
    terminal.result(&format!("{:#}\n", crate::entry::schema()));
    Status::Done
}
