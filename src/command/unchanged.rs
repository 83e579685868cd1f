//! The short way: where nothing changed since the site was published, it need not be made again.
//!
//! A record says what was published from what, and which marks that earned. It holds if entries, pictures, theme and
//! program are the same byte for byte, if the site stands untouched, and if no day has passed on which an entry
//! became overdue.

use std::path::Path;
use std::sync::OnceLock;
use std::time::Duration;

use jiff::civil::Date;
use rayon::prelude::*;
use serde::{Deserialize, Serialize};

use crate::diagnostic::{Digest, Mark};
use crate::knowledge::Knowledge;
use crate::output::{self, Kept, Notice, Published};
use crate::page::Theme;
use crate::source::{Folder, TextFile, program_bytes, read_picture};

/// What a former run published.
#[derive(Serialize, Deserialize)]
pub(super) struct Record {
    /// A name for all that it was made from.
    key: String,
    /// A name for the site that was made.
    site: String,
    /// How many files the site has.
    files: usize,
    /// The marks, in order.
    pub(super) marks: Vec<Mark>,
    /// The day against which review dates were held.
    from: Date,
    /// The last day on which they earn the same marks; without one, they always will.
    until: Option<Date>,
}

/// A name for everything that decides what is published: the texts, the marks of reading them, the pictures,
/// and their `maker`.
pub(super) fn key(kb: &Path, folder: &Folder, reading: &[Mark], maker: &str) -> String {
    let text = |text: &TextFile| format!("{} {} {}\n", text.path, text.readable, Digest::of(text.text.as_bytes()));
    let picture = |path: &String| {
        let bytes = read_picture(kb, path).map(|bytes| Digest::of(&bytes));
        format!("{path} {bytes:?}\n")
    };
    let files = folder.texts.par_iter().map(text).chain(folder.pictures.par_iter().map(picture));
    let files: String = files.collect();
    Digest::of(format!("{maker}\n{:?} {reading:?}\n{files}", folder.foreign_folders).as_bytes()).to_string()
}

/// A name for what makes pages of entries: the program and the theme. `None` if the program cannot tell what it is.
pub(super) fn maker(theme: &Theme) -> Option<String> {
    // The program does not change while it runs.
    static PROGRAM: OnceLock<Option<Digest>> = OnceLock::new();
    let program = (*PROGRAM.get_or_init(|| program_bytes().map(|bytes| Digest::of(&bytes))))?;
    Some(format!("{program} {}", theme.print()))
}

/// The record of the last run, if everything still is as it says.
pub(super) fn recall(
    out: &Path,
    key: &str,
    today: Date,
    patience: Duration,
    talk: &mut dyn FnMut(Notice),
) -> Option<Record> {
    let record: Record = serde_json::from_slice(&output::recall(out, Kept::Record)?).ok()?;
    let is_same_day = record.from <= today && record.until.is_none_or(|until| today <= until);
    (record.key == key && is_same_day && output::stands(out, &record.site, patience, talk)).then_some(record)
}

impl Record {
    /// What was just published.
    pub(super) fn new(
        key: String,
        published: &Published,
        marks: Vec<Mark>,
        knowledge: &Knowledge,
        today: Date,
    ) -> Self {
        let due = knowledge.entries().filter_map(|entry| knowledge.head(entry)?.due);
        Self {
            key,
            site: published.print.clone(),
            files: published.unchanged + published.added.len() + published.changed.len(),
            marks,
            from: today,
            until: due.filter(|day| *day >= today).min(),
        }
    }

    /// Leaves it for the next run. Without it, the next run makes everything again: no fault of this one.
    pub(super) fn keep(&self, out: &Path) {
        if let Ok(text) = serde_json::to_vec(self) {
            _ = output::keep(out, Kept::Record, &[&text]);
        }
    }

    /// What publishing it again would say.
    pub(super) fn published(&self) -> Published {
        Published { unchanged: self.files, print: self.site.clone(), ..Published::default() }
    }
}
