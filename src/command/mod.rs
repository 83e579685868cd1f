//! The command line: walks through the rooms in order and says what came of it.
//!
//! In: arguments. Out: results on standard output, talk on standard error, an exit status. Never: decides what is
//! right or wrong, reads or writes a file itself.

mod arguments;
mod ask;
mod draft;
mod find;
mod marks;
mod names;
mod preview;
mod progress;
mod proof;
mod publish;
mod rename;
mod run;
mod schema;
mod timings;
mod unchanged;
mod vehicle;

pub use run::{Status, Terminal, run};
