//! `publish`: proof everything, then write the site.

use std::collections::BTreeMap;
use std::path::Path;
use std::time::Duration;

use super::arguments::Publish;
use super::progress::Progress;
use super::proof::{Proofed, proofread_folder, put_away, report, report_marks, today, verdict};
use super::run::{Status, Terminal};
use super::timings::Timings;
use super::unchanged::{self, Record};
use crate::diagnostic::{MadeFrom, Mark};
use crate::output::{self, Kept, Notice, Published, Staging, Stopped};
use crate::page::{
    self, FilePrint, Findings, Making, Origin, Outlet, PageFault, PageFile, Theme, offline_files, page_count, pages,
};
use crate::source::{Left, Memo, Reader, read_folder, read_overlay, read_picture};

/// How long another publisher of the same folder is waited for. One of a very large site takes minutes.
const PATIENCE: Duration = Duration::from_secs(600);

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
    let (read, maker) = rayon::join(|| read_folder(kb), || unchanged::maker(&theme));
    let (folder, marks) = read.map_err(|fault| fault.to_string())?;
    let today = publish.proof.today.unwrap_or_else(today);
    timings.begin("unchanged");
    let key = maker.as_ref().map(|maker| unchanged::key(kb, &folder, &marks, maker));
    let record = key
        .as_ref()
        .and_then(|key| unchanged::recall(&publish.out, key, today, PATIENCE, &mut |notice| waiting(notice, terminal)));
    if let Some(record) = record {
        report_marks(&folder, &record.marks, publish.proof.report, terminal);
        return Ok(end(publish, &record.marks, terminal, |_| Ok(record.published()))?.0);
    }
    timings.begin("memo");
    let memo = memo(&publish.out, maker.as_deref());
    let mut proofed = proofread_folder(folder, marks, Some(today), timings, &memo);
    timings.begin("report");
    report(&proofed, publish.proof.report, terminal);
    let write =
        |terminal: &mut Terminal<'_>| write(publish, &proofed, &theme, maker.as_deref(), &memo, timings, terminal);
    let (status, published) = end(publish, &proofed.marks, terminal, write)?;
    timings.begin("memo");
    if let (Some(key), Some(published)) = (key, published) {
        Record::new(key, &published, std::mem::take(&mut proofed.marks), &proofed.knowledge, today).keep(&publish.out);
    }
    put_away(proofed);
    Ok(status)
}

/// What the last run left; nothing is remembered by a program that cannot tell what it is.
fn memo(out: &Path, maker: Option<&str>) -> Memo {
    let Some(maker) = maker else { return Memo::none() };
    let whole = output::open(out, Kept::Memo).map(|read| Box::new(read) as Reader);
    Memo::read(whole, output::recall(out, Kept::Since).unwrap_or_default(), maker)
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

/// Makes every file of the site but those of the copy that a browser keeps.
pub(super) fn site_files(
    kb: &Path,
    proofed: &Proofed,
    theme: &Theme,
    memo: &Memo,
    making: Making<'_>,
) -> Result<(), String> {
    let found = Findings {
        knowledge: &proofed.knowledge,
        calculations: &proofed.calculations,
        decisions: &proofed.decisions,
        memo,
    };
    let words = |fault: PageFault| fault.to_string();
    pages(found, theme, making).map_err(words)?;
    for path in &proofed.knowledge.pictures {
        let picture = PageFile { path: path.clone(), bytes: read_picture(kb, path)? };
        making.outlet.take(picture, None).map_err(words)?;
    }
    Ok(())
}

/// Pages go to the disk while others are made.
struct OnDisk(Staging);

impl Outlet for OnDisk {
    fn stands_in(&self, path: &str, circumstances: &Origin) -> bool {
        self.0.stands_in(path, circumstances)
    }

    fn stands(&self, path: &str, made_from: &MadeFrom) -> bool {
        self.0.stands(path, made_from)
    }

    fn take(&self, file: PageFile, made_from: Option<MadeFrom>) -> Result<(), PageFault> {
        self.0.take(&file.path, &[&file.bytes], made_from).map_err(|_: Stopped| PageFault::NotTaken)
    }

    fn take_parts(&self, path: &str, parts: &[Vec<u8>]) -> Result<(), PageFault> {
        let parts: Vec<&[u8]> = parts.iter().map(Vec::as_slice).collect();
        self.0.take(path, &parts, None).map_err(|_: Stopped| PageFault::NotTaken)
    }

    fn taken(&self) -> Vec<FilePrint> {
        let print = |(path, size, digest)| FilePrint { path, size, digest };
        self.0.prints().into_iter().map(print).collect()
    }
}

fn write(
    publish: &Publish,
    proofed: &Proofed,
    theme: &Theme,
    maker: Option<&str>,
    memo: &Memo,
    timings: &Timings,
    terminal: &mut Terminal<'_>,
) -> Result<Published, String> {
    let staging =
        Staging::open(&publish.out, maker.unwrap_or_default(), PATIENCE, &mut |notice| waiting(notice, terminal));
    let outlet = OnDisk(staging.map_err(|fault| fault.to_string())?);
    let progress = Progress::new(terminal.progress, "pages", page_count(&proofed.knowledge, theme));
    let told = |notice| match notice {
        page::Notice::Page => progress.step(),
        page::Notice::Begin(part) => timings.begin(part),
    };
    let making = Making { outlet: &outlet, told: &told, in_turn: publish.timings };
    let made = site_files(&publish.proof.kb, proofed, theme, memo, making).and_then(|()| {
        timings.begin("offline");
        let files = offline_files(&proofed.knowledge, theme, outlet.taken()).map_err(|fault| fault.to_string())?;
        let mut files = files.into_iter();
        files.try_for_each(|file| outlet.take(file, None)).map_err(|fault| fault.to_string())
    });
    drop(progress);
    timings.begin("output");
    let OnDisk(staging) = outlet;
    // A fault of the disk stopped the pages: it is the one to tell.
    if let (Err(fault), false) = (&made, staging.is_stopped()) {
        return Err(fault.clone());
    }
    let mut told = |notice| match notice {
        Notice::Settling => timings.begin("settling"),
        Notice::Waiting | Notice::Begun => {}
    };
    let published = staging.finish(&mut told).map_err(|fault| fault.to_string())?;
    timings.begin("memo");
    if let Some(maker) = maker {
        memo.leave(maker, |left, parts| {
            let kept = if left == Left::Whole { Kept::Memo } else { Kept::Since };
            // Without it the next run does everything again, which is no fault of this one.
            _ = output::keep(&publish.out, kept, parts);
        });
    }
    Ok(published)
}

fn summary(published: &Published, out: &Path) -> String {
    let (added, changed, removed) = (published.added.len(), published.changed.len(), published.removed.len());
    let total = published.unchanged + added + changed;
    format!("{total} files in {}: {added} new, {changed} changed, {removed} removed", out.display())
}
