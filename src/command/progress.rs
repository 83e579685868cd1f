//! A bar for work that takes long.

use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};

/// Work that is done sooner is not worth a bar.
const QUIET: Duration = Duration::from_millis(500);

/// A bar on standard error that shows itself only after [`QUIET`].
pub(super) struct Progress {
    bar: ProgressBar,
    started: Instant,
    is_wanted: bool,
    is_shown: AtomicBool,
}

impl Progress {
    /// A bar for `total` steps; it never shows itself where standard error is no terminal.
    pub(super) fn new(is_wanted: bool, what: &'static str, total: usize) -> Self {
        let bar = ProgressBar::with_draw_target(Some(total as u64), ProgressDrawTarget::hidden());
        let style = ProgressStyle::with_template("{bar:30} {pos} of {len} {msg}");
        let bar = bar.with_style(style.unwrap_or_else(|_| ProgressStyle::default_bar())).with_message(what);
        Self { bar, started: Instant::now(), is_wanted, is_shown: AtomicBool::new(false) }
    }

    /// One step more.
    pub(super) fn step(&self) {
        self.show();
        self.bar.inc(1);
    }

    fn show(&self) {
        if self.is_wanted && self.started.elapsed() > QUIET && !self.is_shown.swap(true, Ordering::Relaxed) {
            self.bar.set_draw_target(ProgressDrawTarget::stderr());
        }
    }
}

impl Drop for Progress {
    fn drop(&mut self) {
        self.bar.finish_and_clear();
    }
}
