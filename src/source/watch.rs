//! Notices that files were saved.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::mpsc::{Receiver, RecvTimeoutError, channel};
use std::time::{Duration, SystemTime};

use notify::{EventKind, RecommendedWatcher, RecursiveMode, Watcher};
use walkdir::WalkDir;

/// Shared drives and some containers tell of no change: the folders are looked at this often all the same.
const LOOK_EVERY: Duration = Duration::from_secs(1);

/// Programs save in several steps; the folders must look the same twice, this far apart.
const SETTLED: Duration = Duration::from_millis(8);

/// A folder that never settles is taken as it is after so many looks.
const LOOKS: usize = 12;

/// Size and time of change of every file, by path.
type Stamp = BTreeMap<PathBuf, (u64, Option<SystemTime>)>;

/// An eye on some folders. What the system tells only wakes it up; whether anything changed is seen from sizes and
/// times, so nothing is missed where the system is silent, and reading files wakes nobody for long.
pub struct Watch {
    roots: Vec<PathBuf>,
    seen: Stamp,
    woken: Receiver<()>,
    /// Tells of changes as long as it lives.
    _watcher: Option<RecommendedWatcher>,
}

impl Watch {
    /// Watches everything below these folders but for names that begin with a dot.
    pub fn new(roots: Vec<PathBuf>) -> Self {
        let (wake, woken) = channel();
        let told = move |event: notify::Result<notify::Event>| {
            if event.is_ok_and(|event| !matches!(event.kind, EventKind::Access(_))) {
                _ = wake.send(());
            }
        };
        let watcher = notify::recommended_watcher(told).ok().map(|mut watcher| {
            for root in &roots {
                _ = watcher.watch(root, RecursiveMode::Recursive);
            }
            watcher
        });
        let seen = stamp(&roots);
        Self { roots, seen, woken, _watcher: watcher }
    }

    /// Waits, at most for `patience`, until something changed since the last call, and until the change is over.
    pub fn has_changed(&mut self, patience: Duration) -> bool {
        match self.woken.recv_timeout(patience.min(LOOK_EVERY)) {
            Ok(()) => while self.woken.try_recv().is_ok() {},
            Err(RecvTimeoutError::Timeout) => {}
            // There is no watcher on this system.
            Err(RecvTimeoutError::Disconnected) => std::thread::sleep(patience.min(LOOK_EVERY)),
        }
        let mut now = stamp(&self.roots);
        if now == self.seen {
            return false;
        }
        for _ in 0..LOOKS {
            std::thread::sleep(SETTLED);
            let again = stamp(&self.roots);
            if again == now {
                break;
            }
            now = again;
        }
        self.seen = now;
        true
    }
}

fn stamp(roots: &[PathBuf]) -> Stamp {
    roots.iter().flat_map(|root| stamp_below(root)).collect()
}

fn stamp_below(root: &Path) -> impl Iterator<Item = (PathBuf, (u64, Option<SystemTime>))> {
    let visible =
        |step: &walkdir::DirEntry| step.depth() == 0 || !step.file_name().as_encoded_bytes().starts_with(b".");
    let steps = WalkDir::new(root).follow_links(true).into_iter().filter_entry(visible);
    steps.filter_map(|step| {
        let step = step.ok()?;
        let found = step.metadata().ok().filter(std::fs::Metadata::is_file)?;
        Some((step.into_path(), (found.len(), found.modified().ok())))
    })
}
