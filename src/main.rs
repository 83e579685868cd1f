//! The command-line program; everything it does is in the library.

use std::io::{BufRead, IsTerminal, stderr, stdin, stdout};
use std::process::ExitCode;

use baybook::command::{Terminal, run};

#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

fn main() -> ExitCode {
    let may_colour = std::env::var_os("NO_COLOR").is_none_or(|value| value.is_empty());
    let mut answers = stdin().lock();
    let mut terminal = Terminal {
        colour: may_colour && stdout().is_terminal(),
        progress: stderr().is_terminal(),
        input: (stdin().is_terminal() && stdout().is_terminal()).then_some(&mut answers as &mut dyn BufRead),
        out: &mut stdout().lock(),
        err: &mut stderr().lock(),
    };
    ExitCode::from(run(std::env::args_os(), &mut terminal).code())
}
