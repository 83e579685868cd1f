//! How long each part of the work took, for `--timings`.

use std::sync::{Mutex, MutexGuard, PoisonError};
use std::time::{Duration, Instant};

/// Parts of the work in the order in which they first began. A part that begins again adds to what it took before.
#[derive(Default)]
pub(super) struct Timings(Mutex<Taken>);

#[derive(Default)]
struct Taken {
    parts: Vec<(&'static str, Duration)>,
    /// The part at work, and since when.
    open: Option<(&'static str, Instant)>,
}

impl Timings {
    /// The part `name` begins, and the one before it ends.
    pub(super) fn begin(&self, name: &'static str) {
        let mut taken = self.taken();
        taken.close();
        taken.open = Some((name, Instant::now()));
    }

    /// One line a part, and their sum.
    pub(super) fn lines(&self) -> String {
        let mut taken = self.taken();
        taken.close();
        let line = |name: &str, took: Duration| format!("timing {name:<12} {:9.1} ms\n", took.as_secs_f64() * 1000.0);
        let sum = taken.parts.iter().map(|(_, took)| *took).sum();
        let parts = taken.parts.iter().map(|(name, took)| line(name, *took));
        parts.chain([line("all", sum)]).collect()
    }

    /// What was taken down stays true if a thread that was measured failed.
    fn taken(&self) -> MutexGuard<'_, Taken> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl Taken {
    fn close(&mut self) {
        let Some((name, since)) = self.open.take() else { return };
        let took = since.elapsed();
        match self.parts.iter_mut().find(|(known, _)| *known == name) {
            Some((_, sum)) => *sum += took,
            None => self.parts.push((name, took)),
        }
    }
}
