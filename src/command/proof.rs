//! `proof`: everything that can be said about the entries without writing a site.

use std::path::Path;

use jiff::civil::Date;

use super::arguments::{Proof, Report};
use super::run::{Status, Terminal};
use crate::diagnostic::{Mark, Severity, TextIndex, catalogue};
use crate::entry::read_entries;
use crate::knowledge::{Knowledge, link};
use crate::source::{Folder, read_folder};

/// What proofreading made of a folder.
pub(super) struct Proofed {
    pub(super) folder: Folder,
    pub(super) knowledge: Knowledge,
    /// Marks in file and line order.
    pub(super) marks: Vec<Mark>,
}

/// Walks through the rooms that proof.
pub(super) fn proofread(kb: &Path, today: Option<Date>) -> Result<Proofed, String> {
    let (folder, marks) = read_folder(kb).map_err(|fault| fault.to_string())?;
    Ok(proofread_folder(folder, marks, today))
}

/// Proofs a folder that was read; `marks` are those of reading it.
pub(super) fn proofread_folder(folder: Folder, mut marks: Vec<Mark>, today: Option<Date>) -> Proofed {
    let (entries, of_entries) = read_entries(&folder);
    let (knowledge, of_links) = link(&entries, &folder, today);
    marks.extend(of_entries);
    marks.extend(of_links);
    marks.sort_by_key(|mark| (mark.span, mark.id));
    // Several links through one definition share its fault.
    marks.dedup();
    Proofed { folder, knowledge, marks }
}

/// The command.
pub(super) fn proof(proof: &Proof, terminal: &mut Terminal<'_>) -> Status {
    let proofed = match proofread(&proof.kb, Some(proof.today.unwrap_or_else(today))) {
        Ok(proofed) => proofed,
        Err(fault) => return terminal.could_not(&fault),
    };
    report(&proofed, proof.report, terminal);
    verdict(&proofed.marks, proof.strict)
}

/// Prints the marks.
pub(super) fn report(proofed: &Proofed, _: Option<Report>, terminal: &mut Terminal<'_>) {
    terminal.result(&short(proofed));
}

fn short(proofed: &Proofed) -> String {
    let mut out = String::new();
    for mark in &proofed.marks {
        let place = TextIndex::new(proofed.folder.text(mark.span.file)).place(mark.span.start as usize);
        let words = catalogue::words(mark);
        out += &format!(
            "{}:{}:{}: {} {}: {}\n",
            proofed.folder.path(mark.span.file),
            place.line,
            place.column,
            mark.id.severity().word(),
            mark.id.name(),
            words.headline
        );
    }
    out
}

/// Whether the entries may be published.
pub(super) fn verdict(marks: &[Mark], strict: bool) -> Status {
    let counts = |mark: &Mark| match mark.id.severity() {
        Severity::Error => true,
        Severity::Warning => strict,
        Severity::Advice => false,
    };
    if marks.iter().any(counts) { Status::Errors } else { Status::Done }
}

/// The computer's day. Only marks look at it; nothing that is published does.
#[allow(clippy::disallowed_methods, reason = "the one place that asks for the day")]
pub(super) fn today() -> Date {
    let seconds = std::time::SystemTime::now().duration_since(std::time::UNIX_EPOCH).map_or(0, |time| time.as_secs());
    let timestamp = jiff::Timestamp::from_second(i64::try_from(seconds).unwrap_or(0)).unwrap_or_default();
    timestamp.to_zoned(jiff::tz::TimeZone::UTC).date()
}
