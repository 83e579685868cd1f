//! `proof`: everything that can be said about the entries without writing a site.

use std::path::Path;

use jiff::civil::Date;
use rayon::prelude::*;

use super::arguments::{Proof, Report};
use super::run::{Status, Terminal};
use super::timings::Timings;
use crate::calculation::{Calculations, calculate};
use crate::decision::{Decisions, decide_with};
use crate::diagnostic::report::{Form, ReportFile};
use crate::diagnostic::{self, Mark, Severity, catalogue};
use crate::entry::{Entries, read_entries_with};
use crate::knowledge::{Knowledge, link_with};
use crate::source::{Folder, Memo, read_folder};

/// What proofreading made of a folder.
pub(super) struct Proofed {
    pub(super) folder: Folder,
    pub(super) knowledge: Knowledge,
    /// What the calculations come to.
    pub(super) calculations: Calculations,
    /// The flow of every symptom.
    pub(super) decisions: Decisions,
    /// Marks in file and line order.
    pub(super) marks: Vec<Mark>,
}

/// Walks through the rooms that proof.
pub(super) fn proofread(kb: &Path, today: Option<Date>, timings: &Timings, memo: &Memo) -> Result<Proofed, String> {
    timings.begin("source");
    let (folder, marks) = read_folder(kb).map_err(|fault| fault.to_string())?;
    Ok(proofread_folder(folder, marks, today, timings, memo))
}

/// Proofs a folder that was read; `marks` are those of reading it.
pub(super) fn proofread_folder(
    folder: Folder,
    marks: Vec<Mark>,
    today: Option<Date>,
    timings: &Timings,
    memo: &Memo,
) -> Proofed {
    let (entries, knowledge, mut marks) = linked(&folder, marks, today, timings, memo);
    put_away(entries);
    timings.begin("calculation");
    let (calculations, of_calculations) = calculate(&knowledge);
    timings.begin("decision");
    let (decisions, of_flows) = decide_with(&knowledge, memo);
    marks.extend(of_calculations);
    marks.extend(of_flows);
    in_order(&mut marks);
    Proofed { folder, knowledge, calculations, decisions, marks }
}

/// Lets go of something large that nobody needs any more. Giving back the memory of so many small texts takes a while, so
/// it is left to a core that has nothing better to do.
pub(super) fn put_away(large: impl Send + 'static) {
    rayon::spawn(move || drop(large));
}

/// The first rooms alone: everything that can be said about references, without a calculation or a flow.
pub(super) fn linked(
    folder: &Folder,
    mut marks: Vec<Mark>,
    today: Option<Date>,
    timings: &Timings,
    memo: &Memo,
) -> (Entries, Knowledge, Vec<Mark>) {
    timings.begin("entry");
    let (entries, of_entries) = read_entries_with(folder, memo);
    timings.begin("knowledge");
    let (knowledge, of_links) = link_with(&entries, folder, today, memo);
    marks.extend(of_entries);
    marks.extend(of_links);
    in_order(&mut marks);
    (entries, knowledge, marks)
}

fn in_order(marks: &mut Vec<Mark>) {
    marks.sort_by_key(|mark| (mark.span, mark.id));
    // Several links through one definition share its fault.
    marks.dedup();
}

/// The command.
pub(super) fn proof(proof: &Proof, terminal: &mut Terminal<'_>) -> Status {
    let proofed =
        match proofread(&proof.kb, Some(proof.today.unwrap_or_else(today)), &Timings::default(), &Memo::none()) {
            Ok(proofed) => proofed,
            Err(fault) => return terminal.could_not(&fault),
        };
    report(&proofed, proof.report, terminal);
    verdict(&proofed.marks, proof.strict)
}

/// More marks than this are reported one a line, unless a form is asked for.
const MANY: usize = 30;

/// Prints the marks.
pub(super) fn report(proofed: &Proofed, asked: Option<Report>, terminal: &mut Terminal<'_>) {
    report_marks(&proofed.folder, &proofed.marks, asked, terminal);
}

/// Prints some marks of a folder.
pub(super) fn report_marks(folder: &Folder, marks: &[Mark], asked: Option<Report>, terminal: &mut Terminal<'_>) {
    let form = match asked {
        Some(Report::Short) => Form::Short,
        Some(Report::Json) => Form::Json,
        Some(Report::Sarif) => Form::Sarif,
        None if marks.len() > MANY => Form::Short,
        None | Some(Report::Text) => Form::Text { colour: terminal.colour },
    };
    terminal.result(&report_text(folder, marks, form));
}

/// The marks in one of the forms.
pub(super) fn report_text(folder: &Folder, marks: &[Mark], form: Form) -> String {
    let worded: Vec<_> = marks.par_iter().map(|mark| (mark, catalogue::words(mark))).collect();
    let file = |id| ReportFile { path: folder.path(id), text: folder.text(id) };
    diagnostic::report::report(&worded, &file, form)
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

/// The computer's day, in its own time zone; in UTC where it does not tell. Only marks look at it; nothing that is published does.
#[allow(clippy::disallowed_methods, reason = "the one place that asks for the day")]
pub(super) fn today() -> Date {
    let seconds = std::time::SystemTime::now().duration_since(std::time::UNIX_EPOCH).map_or(0, |time| time.as_secs());
    let timestamp = jiff::Timestamp::from_second(i64::try_from(seconds).unwrap_or(0)).unwrap_or_default();
    timestamp.to_zoned(jiff::tz::TimeZone::system()).date()
}
