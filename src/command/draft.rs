use super::arguments::Draft;
use super::run::{Status, Terminal};

pub(super) fn draft(_: &Draft, terminal: &mut Terminal<'_>) -> Status {
    terminal.could_not("")
}
