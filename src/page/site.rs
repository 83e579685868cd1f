//! All files of a site.

use std::fmt;

use rayon::prelude::*;

use super::edition::{Edition, Form, Place, text_language_attribute};
use super::outlet::{Outlet, Parts};
use super::search::{Index, take_search_files};
use super::theme::{Theme, ThemeFault};
use super::{
    addressed, booklet, calculators, data, entry_page, flow_data, flow_page, handout, listings, vehicle_pages,
};
use crate::calculation::Calculations;
use crate::decision::Decisions;
use crate::entry::Kind;
use crate::knowledge::Knowledge;
use crate::source::Memo;

/// A file of the site.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PageFile {
    /// Path inside the site, parts joined by `/`.
    pub path: String,
    /// Its content.
    pub bytes: Vec<u8>,
}

/// Why pages could not be made. Entries cannot cause it: the theme can.
#[derive(Debug)]
pub enum PageFault {
    /// The theme is incomplete or broken.
    Theme(ThemeFault),
    /// A template failed on a page.
    Template {
        /// The page.
        page: String,
        /// What the template engine says.
        cause: String,
    },
    /// The place where files go wants no more of them, and knows why.
    NotTaken,
}

impl fmt::Display for PageFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Theme(fault) => fault.fmt(f),
            Self::Template { page, cause } => write!(f, "the theme cannot make the page `{page}`: {cause}"),
            Self::NotTaken => f.write_str("the site's files find no place"),
        }
    }
}

impl From<ThemeFault> for PageFault {
    fn from(fault: ThemeFault) -> Self {
        Self::Theme(fault)
    }
}

/// What the rooms before this one found out.
#[derive(Clone, Copy)]
pub struct Findings<'a> {
    /// The entries.
    pub knowledge: &'a Knowledge,
    /// Their calculations.
    pub calculations: &'a Calculations,
    /// The flows of symptoms.
    pub decisions: &'a Decisions,
    /// What earlier runs worked out.
    pub memo: &'a Memo,
}

/// What is told while pages are made.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Notice {
    /// The page of one more entry is made.
    Page,
    /// The work that now begins.
    Begin(&'static str),
}

/// Who is told; several cores tell at once.
pub type Told<'a> = &'a (dyn Fn(Notice) + Sync);

/// How pages are made.
#[derive(Clone, Copy)]
pub struct Making<'a> {
    /// Where files go.
    pub outlet: &'a dyn Outlet,
    /// Who is told.
    pub told: Told<'a>,
    /// One kind of file after the other, so that each can be timed; else side by side, which is quicker.
    pub in_turn: bool,
}

/// Makes every page, data file and asset but those that [`super::offline_files`] makes of them all.
///
/// # Errors
/// When the theme lacks a file, a template fails, or the outlet wants no more.
pub fn pages(found: Findings<'_>, theme: &Theme, making: Making<'_>) -> Result<(), PageFault> {
    let Making { outlet, in_turn, .. } = making;
    let languages = published_languages(found.knowledge, theme);
    take_all(outlet, assets(theme))?;
    let edition = |language: &String| edition_files(found, theme, &languages, language, making);
    if in_turn {
        languages.iter().try_for_each(edition)?;
        files_of_all(found, making)?;
    } else {
        let editions = || languages.par_iter().try_for_each(edition);
        let (editions, others) = rayon::join(editions, || files_of_all(found, making));
        editions.and(others)?;
    }
    take_all(outlet, addressed::site_map(found.knowledge, &outlet.taken()))
}

/// The files that all languages share.
fn files_of_all(found: Findings<'_>, Making { outlet, told, in_turn }: Making<'_>) -> Result<(), PageFault> {
    let data = || {
        told(Notice::Begin("data"));
        calculators::scripts(found, outlet)?;
        data::data_files(found.knowledge, outlet)
    };
    let others = || {
        told(Notice::Begin("search"));
        search(found, outlet)?;
        told(Notice::Begin("flow data"));
        flow_data::data_files(found, outlet)
    };
    let (data, others) = if in_turn { (data(), others()) } else { rayon::join(data, others) };
    data.and(others)
}

fn take_all(outlet: &dyn Outlet, files: Vec<PageFile>) -> Result<(), PageFault> {
    files.into_par_iter().try_for_each(|file| outlet.take(file, None))
}

/// The pages of one language.
fn edition_files(
    found: Findings<'_>,
    theme: &Theme,
    languages: &[String],
    language: &str,
    Making { outlet, told, .. }: Making<'_>,
) -> Result<(), PageFault> {
    let words = theme.words(language)?;
    let templates = theme.templates(&words, &text_language_attribute(languages, language))?;
    let parts = Parts::new(found.memo);
    let place = Place { languages, language, words: &words, templates: &templates, theme: theme.print(), outlet };
    let (booklet, edition) = rayon::join(
        || Edition::new(found, Place { outlet: &parts, ..place }, Form::Booklet),
        || Edition::new(found, place, Form::Pages),
    );
    told(Notice::Begin("entry pages"));
    entry_page::entries(&edition, told)?;
    handout::handouts(&edition)?;
    told(Notice::Begin("flow pages"));
    flow_page::flows(&edition)?;
    flow_data::scripts(&edition)?;
    told(Notice::Begin("booklet"));
    booklet::booklet(&edition, &booklet, &parts.files)?;
    told(Notice::Begin("listings"));
    listings::listings(&edition, &theme.json("regions.json")?)?;
    vehicle_pages::vehicles(&edition)?;
    if edition.prefix.is_empty() { take_all(outlet, addressed::feed_and_search(&edition)) } else { Ok(()) }
}

fn search(found: Findings<'_>, outlet: &dyn Outlet) -> Result<(), PageFault> {
    let knowledge = found.knowledge;
    let has_flow = |id: &str| {
        let symptom = knowledge.find(Kind::Symptom, id).and_then(|entry| knowledge.typed(entry));
        symptom.and_then(|at| found.decisions.of(at)).is_some_and(|flow| !flow.variants.is_empty())
    };
    take_search_files(knowledge, &Index::outlined(knowledge, None, found.memo), &has_flow, outlet)
}

/// How many pages of entries there will be.
pub fn page_count(knowledge: &Knowledge, theme: &Theme) -> usize {
    knowledge.entries().count() * published_languages(knowledge, theme).len()
}

/// The shop's first language always; others where the theme speaks them.
pub(super) fn published_languages(knowledge: &Knowledge, theme: &Theme) -> Vec<String> {
    let languages = knowledge.shop.languages.iter().enumerate();
    languages
        .filter(|(at, language)| *at == 0 || theme.speaks(language))
        .map(|(_, language)| language.clone())
        .collect()
}

fn assets(theme: &Theme) -> Vec<PageFile> {
    let file = |(path, bytes): (&str, &[u8])| PageFile { path: format!("assets/{path}"), bytes: bytes.to_vec() };
    theme.assets().map(file).collect()
}
