//! From arguments to an exit status.

use std::ffi::OsString;
use std::io::{BufRead, Write};

use clap::Parser;

use super::arguments::{Arguments, Command};
use super::{ask, draft, find, marks, preview, proof, publish, rename, schema};

/// How a command ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Status {
    /// Done; there may be advice and warnings.
    Done,
    /// The entries have errors.
    Errors,
    /// It could not run.
    CouldNotRun,
}

impl Status {
    /// The exit status of the process.
    pub fn code(self) -> u8 {
        match self {
            Self::Done => 0,
            Self::Errors => 1,
            Self::CouldNotRun => 2,
        }
    }
}

/// Where results and talk go.
pub struct Terminal<'a> {
    /// Results.
    pub out: &'a mut dyn Write,
    /// Talk and progress.
    pub err: &'a mut dyn Write,
    /// Where a person's answers come from; `None` where nobody is there to answer.
    pub input: Option<&'a mut dyn BufRead>,
    /// Whether results may be coloured.
    pub colour: bool,
    /// Whether progress may be drawn.
    pub progress: bool,
}

impl Terminal<'_> {
    /// Prints a result. A closed pipe ends the output, not the program.
    pub(super) fn result(&mut self, text: &str) {
        _ = self.out.write_all(text.as_bytes());
        _ = self.out.flush();
    }

    /// Says something to the person.
    pub(super) fn say(&mut self, text: &str) {
        _ = writeln!(self.err, "{text}");
    }

    /// Says why a command could not run.
    pub(super) fn could_not(&mut self, why: &str) -> Status {
        self.say(&format!("baybook: {why}"));
        Status::CouldNotRun
    }
}

/// Runs the program. `arguments` begins with the program's name.
pub fn run(arguments: impl IntoIterator<Item = OsString>, terminal: &mut Terminal<'_>) -> Status {
    let arguments = match Arguments::try_parse_from(arguments) {
        Ok(arguments) => arguments,
        Err(fault) if fault.use_stderr() => {
            terminal.say(fault.to_string().trim_end());
            return Status::CouldNotRun;
        }
        Err(asked) => {
            terminal.result(&asked.to_string());
            return Status::Done;
        }
    };
    match arguments.command {
        None => publish::publish(&arguments.publish, terminal),
        Some(Command::Publish(asked)) => publish::publish(&asked, terminal),
        Some(Command::Proof(proof)) => proof::proof(&proof, terminal),
        Some(Command::Preview(asked)) => preview::preview(&asked, terminal),
        Some(Command::Find(find)) => find::find(&find, terminal),
        Some(Command::Ask(asked)) => ask::ask(&asked, terminal),
        Some(Command::Draft(draft)) => draft::draft(&draft, terminal),
        Some(Command::Rename(rename)) => rename::rename(&rename, terminal),
        Some(Command::Marks(marks)) => marks::marks(&marks, terminal),
        Some(Command::Schema) => schema::schema(terminal),
    }
}
