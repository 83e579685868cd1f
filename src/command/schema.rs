use super::run::{Status, Terminal};

pub(super) fn schema(terminal: &mut Terminal<'_>) -> Status {
    terminal.could_not("")
}
