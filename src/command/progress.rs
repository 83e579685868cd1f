//! A bar for work that takes long.

use std::time::{Duration, Instant};

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};

/// Work that is done sooner is not worth a bar.
const QUIET: Duration = Duration::from_millis(500);

/// A bar on standard error that shows itself only after [`QUIET`].
pub(super) struct Progress {
    bar: ProgressBar,
    started: Instant,
    is_wanted: bool,
    is_shown: bool,
}

impl Progress {
    /// A bar for `total` steps; it never shows itself where standard error is no terminal.
    pub(super) fn new(is_wanted: bool, what: &'static str, total: usize) -> Self {
        let bar = ProgressBar::with_draw_target(Some(total as u64), ProgressDrawTarget::hidden());
        let style = ProgressStyle::with_template("{bar:30} {pos} of {len} {msg}");
        let bar = bar.with_style(style.unwrap_or_else(|_| ProgressStyle::default_bar())).with_message(what);
        Self { bar, started: Instant::now(), is_wanted, is_shown: false }
    }

    /// One step more.
    pub(super) fn step(&mut self) {
        self.reach(self.bar.position() as usize + 1);
    }

    /// So many steps in all.
    pub(super) fn reach(&mut self, done: usize) {
        if self.is_wanted && !self.is_shown && self.started.elapsed() > QUIET {
            self.bar.set_draw_target(ProgressDrawTarget::stderr());
            self.is_shown = true;
        }
        self.bar.set_position(done as u64);
    }
}

impl Drop for Progress {
    fn drop(&mut self) {
        self.bar.finish_and_clear();
    }
}
