use super::arguments::Rename;
use super::run::{Status, Terminal};

pub(super) fn rename(_: &Rename, terminal: &mut Terminal<'_>) -> Status {
    terminal.could_not("")
}
