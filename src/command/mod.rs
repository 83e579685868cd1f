//! The command line: walks through the rooms in order and says what came of it.
//!
//! In: arguments. Out: results on standard output, talk on standard error, an exit status. Never: decides what is
//! right or wrong, reads or writes a file itself.

mod arguments;
mod draft;
mod marks;
mod preview;
mod progress;
mod proof;
mod publish;
mod rename;
mod run;
mod schema;

pub use run::{Status, Terminal, run};
