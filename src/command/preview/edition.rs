//! What is shown: the last good pages, and the marks of the entries as they are now.

use std::sync::Arc;
use std::time::Duration;

use serde_json::{Value as Json, json};

use crate::command::arguments::Preview;
use crate::command::proof::{Proofed, proofread, report_text, today, verdict};
use crate::command::publish::{site_files, theme};
use crate::command::run::Status;
use crate::command::timings::Timings;
use crate::diagnostic::report::{Counts, Form};
use crate::page::{InMemory, Making, Outlet, PageFile, Theme};
use crate::source::Memo;

/// The script that keeps a copy of a published site. A preview must not: its pages are old in a moment.
const COPY_SCRIPT: &str = "assets/offline.js";

/// One state of the preview.
pub(super) struct Shown {
    /// Goes up with every change of what is shown.
    pub(super) revision: u64,
    /// Goes up with every change of pages.
    pub(super) edition: u64,
    /// Files of the site by path; empty until the entries have been without errors once.
    pub(super) site: Arc<InMemory>,
    /// What was worked out.
    memo: Arc<Memo>,
    /// What the overlay is told.
    state: Json,
    /// The marks, one a line.
    short: String,
    counts: Counts,
}

/// What came of one walk through the rooms.
struct Made {
    report: Json,
    short: String,
    counts: Counts,
    /// The pages; none if the entries have errors, or an `Err` if the theme has.
    site: Result<Option<InMemory>, String>,
    memo: Memo,
}

impl Shown {
    /// The first state.
    ///
    /// # Errors
    /// When the folder of entries or the theme cannot be read.
    pub(super) fn first(asked: &Preview) -> Result<Self, String> {
        let made = make(asked, &InMemory::default(), Memo::empty())?;
        let nothing = Self {
            revision: 0,
            edition: 0,
            site: Arc::default(),
            memo: Arc::default(),
            state: Json::Null,
            short: String::new(),
            counts: made.counts,
        };
        made.site.as_ref().map_err(Clone::clone)?;
        Ok(nothing.with(asked, Ok(made)))
    }

    /// The state after something was saved; the same revision if it shows nothing else than this one.
    pub(super) fn after(&self, asked: &Preview) -> Self {
        self.with(asked, make(asked, &self.site, self.memo.next()))
    }

    fn with(&self, asked: &Preview, made: Result<Made, String>) -> Self {
        let (report, short, counts, site, memo) = match made {
            Ok(made) => (made.report, made.short, made.counts, made.site, Arc::new(made.memo)),
            Err(fault) => (Json::Null, String::new(), Counts::default(), Err(fault), Arc::clone(&self.memo)),
        };
        let (site, fault) = match site {
            Ok(site) => (site, None),
            Err(fault) => (None, Some(fault)),
        };
        let is_current = site.is_some();
        let site = site.filter(|site| !site.is_same(&self.site)).map_or_else(|| Arc::clone(&self.site), Arc::new);
        let edition = self.edition + u64::from(!Arc::ptr_eq(&site, &self.site));
        let state = json!({
            "edition": edition,
            "current": is_current,
            "fault": fault,
            "folder": asked.kb.to_string_lossy(),
            "report": report,
        });
        let revision = self.revision + u64::from(state != self.state);
        Self { revision, edition, site, memo, state, short, counts }
    }

    /// What the overlay is told: `{"revision", "edition", "current", "fault", "folder", "report"}`.
    pub(super) fn state(&self) -> String {
        let mut state = self.state.clone();
        if let Json::Object(state) = &mut state {
            state.insert("revision".to_owned(), Json::from(self.revision));
        }
        state.to_string()
    }

    /// What is said in the terminal.
    pub(super) fn summary(&self, took: Duration) -> String {
        let Counts { errors, warnings, advice } = self.counts;
        let pages = match (self.state.get("fault").and_then(Json::as_str), self.state.get("current")) {
            (Some(fault), _) => format!("{fault}; the last good pages stay"),
            (None, Some(Json::Bool(true))) => format!("{} files", self.site.count()),
            _ => "the last good pages stay".to_owned(),
        };
        format!("{}{pages}; errors {errors}, warnings {warnings}, advice {advice}; {} ms", self.short, took.as_millis())
    }
}

/// Walks through the rooms. Pages that are made from the same as in the `former` site stay.
fn make(asked: &Preview, former: &InMemory, memo: Memo) -> Result<Made, String> {
    let theme = theme(&asked.theme)?;
    let proofed = proofread(&asked.kb, Some(asked.today.unwrap_or_else(today)), &Timings::default(), &memo)?;
    let site = match verdict(&proofed.marks, false) {
        Status::Done => site(asked, &proofed, &theme, &memo, former).map(Some),
        _ => Ok(None),
    };
    Ok(Made {
        report: serde_json::from_str(&report_text(&proofed.folder, &proofed.marks, Form::Json)).unwrap_or_default(),
        short: report_text(&proofed.folder, &proofed.marks, Form::Short),
        counts: Counts::of(&proofed.marks),
        site,
        memo,
    })
}

fn site(asked: &Preview, proofed: &Proofed, theme: &Theme, memo: &Memo, former: &InMemory) -> Result<InMemory, String> {
    let site = InMemory::after(former);
    site_files(&asked.kb, proofed, theme, memo, Making { outlet: &site, told: &|_| {}, in_turn: false })?;
    let script = b"\"use strict\";\n// A preview keeps no copy.\n".to_vec();
    let script = PageFile { path: COPY_SCRIPT.to_owned(), bytes: script };
    site.take(script, None).map_err(|fault| fault.to_string())?;
    Ok(site)
}
