//! `publish`: proof everything, then write the site.

use std::collections::BTreeMap;
use std::path::Path;
use std::time::Duration;

use super::arguments::Publish;
use super::progress::Progress;
use super::proof::{Proofed, proofread_folder, report, report_marks, today, verdict};
use super::run::{Status, Terminal};
use super::timings::Timings;
use super::unchanged::{self, Record};
use crate::diagnostic::Mark;
use crate::output;
use crate::output::{Notice, Published, Site, SiteFile};
use crate::page::{self, Findings, PageFile, Theme, Told, offline_files, page_count, pages};
use crate::source::{read_folder, read_overlay, read_picture};

/// How long another publisher of the same folder is waited for.
const PATIENCE: Duration = Duration::from_secs(60);

/// The command.
pub(super) fn publish(publish: &Publish, terminal: &mut Terminal<'_>) -> Status {
    let timings = Timings::default();
    let status = steps(publish, &timings, terminal);
    if publish.timings {
        terminal.say(timings.lines().trim_end());
    }
    status.unwrap_or_else(|fault| terminal.could_not(&fault))
}

fn steps(publish: &Publish, timings: &Timings, terminal: &mut Terminal<'_>) -> Result<Status, String> {
    timings.begin("source");
    let theme = theme(&publish.theme)?;
    let kb = &publish.proof.kb;
    let (folder, marks) = read_folder(kb).map_err(|fault| fault.to_string())?;
    let today = publish.proof.today.unwrap_or_else(today);
    timings.begin("unchanged");
    let key = unchanged::key(kb, &folder, &marks, &theme);
    let record = key
        .as_ref()
        .and_then(|key| unchanged::recall(&publish.out, key, today, PATIENCE, &mut |notice| waiting(notice, terminal)));
    if let Some(record) = record {
        report_marks(&folder, &record.marks, publish.proof.report, terminal);
        return Ok(end(publish, &record.marks, terminal, |_| Ok(record.published()))?.0);
    }
    let proofed = proofread_folder(folder, marks, Some(today), timings);
    timings.begin("report");
    report(&proofed, publish.proof.report, terminal);
    let write = |terminal: &mut Terminal<'_>| write(publish, &proofed, &theme, timings, terminal);
    let (status, published) = end(publish, &proofed.marks, terminal, write)?;
    if let (Some(key), Some(published)) = (key, published) {
        let Proofed { knowledge, marks, .. } = proofed;
        Record::new(key, &published, marks, &knowledge, today).keep(&publish.out);
    }
    Ok(status)
}

/// Publishes with `write` unless the marks forbid it, and says what came of it.
fn end(
    publish: &Publish,
    marks: &[Mark],
    terminal: &mut Terminal<'_>,
    write: impl FnOnce(&mut Terminal<'_>) -> Result<Published, String>,
) -> Result<(Status, Option<Published>), String> {
    if verdict(marks, publish.proof.strict) == Status::Errors {
        terminal.say("Nothing was published: the entries have errors. The former site stands as it was.");
        return Ok((Status::Errors, None));
    }
    let published = write(terminal)?;
    terminal.say(&summary(&published, &publish.out));
    Ok((Status::Done, Some(published)))
}

fn waiting(notice: Notice, terminal: &mut Terminal<'_>) {
    if notice == Notice::Waiting {
        terminal.say("Another publisher is at work on this folder: waiting for it to finish.");
    }
}

/// The built-in theme, or a folder whose files stand in for its own.
pub(super) fn theme(name: &str) -> Result<Theme, String> {
    let overlay = if name == "workshop" { Ok(BTreeMap::new()) } else { read_overlay(Path::new(name)) };
    Ok(Theme::new(overlay?))
}

/// Every file of the site but those of the copy that a browser keeps.
pub(super) fn site_files(kb: &Path, proofed: &Proofed, theme: &Theme, told: Told<'_>) -> Result<Vec<PageFile>, String> {
    let found =
        Findings { knowledge: &proofed.knowledge, calculations: &proofed.calculations, decisions: &proofed.decisions };
    let mut files = pages(found, theme, told).map_err(|fault| fault.to_string())?;
    for path in &proofed.knowledge.pictures {
        files.push(PageFile { path: path.clone(), bytes: read_picture(kb, path)? });
    }
    Ok(files)
}

fn write(
    publish: &Publish,
    proofed: &Proofed,
    theme: &Theme,
    timings: &Timings,
    terminal: &mut Terminal<'_>,
) -> Result<Published, String> {
    let progress = Progress::new(terminal.progress, "pages", page_count(&proofed.knowledge, theme));
    let told = |notice| match notice {
        page::Notice::Page => progress.step(),
        page::Notice::Begin(part) => timings.begin(part),
    };
    let mut files = site_files(&publish.proof.kb, proofed, theme, &told)?;
    drop(progress);
    timings.begin("offline");
    let offline = offline_files(&proofed.knowledge, theme, &files);
    files.extend(offline.map_err(|fault| fault.to_string())?);
    timings.begin("output");
    let files = files.into_iter().map(|file| SiteFile { path: file.path, bytes: file.bytes });
    let site = Site::new(files).map_err(|fault| fault.to_string())?;
    let progress = Progress::new(terminal.progress, "files", site.files().len());
    let published = output::publish(&site, &publish.out, PATIENCE, &mut |notice| match notice {
        Notice::Waiting => waiting(notice, terminal),
        Notice::Ready { done, .. } => progress.reach(done),
        Notice::Settling => timings.begin("settling"),
    });
    published.map_err(|fault| fault.to_string())
}

fn summary(published: &Published, out: &Path) -> String {
    let (added, changed, removed) = (published.added.len(), published.changed.len(), published.removed.len());
    let total = published.unchanged + added + changed;
    format!("{total} files in {}: {added} new, {changed} changed, {removed} removed", out.display())
}
