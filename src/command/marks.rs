use super::arguments::Marks;
use super::run::{Status, Terminal};

pub(super) fn marks(_: &Marks, terminal: &mut Terminal<'_>) -> Status {
    terminal.could_not("")
}
