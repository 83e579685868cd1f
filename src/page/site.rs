//! All files of a site.

use std::fmt;

use super::edition::{Edition, Form};
use super::search::{Index, search_files};
use super::theme::{Theme, ThemeFault};
use super::{
    addressed, booklet, calculators, data, entry_page, flow_data, flow_page, handout, listings, vehicle_pages,
};
use crate::calculation::Calculations;
use crate::decision::Decisions;
use crate::entry::Kind;
use crate::knowledge::Knowledge;

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
}

impl fmt::Display for PageFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Theme(fault) => fault.fmt(f),
            Self::Template { page, cause } => write!(f, "the theme cannot make the page `{page}`: {cause}"),
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

/// Makes every page, data file and asset.
///
/// # Errors
/// When the theme lacks a file, or a template fails.
pub fn pages(found: Findings<'_>, theme: &Theme, told: Told<'_>) -> Result<Vec<PageFile>, PageFault> {
    let languages = published_languages(found.knowledge, theme);
    let mut files = assets(theme);
    for language in &languages {
        files.extend(edition_files(found, theme, &languages, language, told)?);
    }
    told(Notice::Begin("data"));
    addressed::site_map(found.knowledge, &mut files);
    files.extend(calculators::scripts(found));
    files.extend(data::data_files(found.knowledge));
    told(Notice::Begin("search"));
    files.extend(search(found));
    told(Notice::Begin("flow data"));
    files.extend(flow_data::data_files(found));
    files.sort_by(|a, b| a.path.cmp(&b.path));
    Ok(files)
}

/// The pages of one language.
fn edition_files(
    found: Findings<'_>,
    theme: &Theme,
    languages: &[String],
    language: &str,
    told: Told<'_>,
) -> Result<Vec<PageFile>, PageFault> {
    let words = theme.words(language)?;
    let mut templates = theme.templates()?;
    templates.global_context().insert("w", &words);
    let edition = |form| Edition::new(found, languages, language, &words, &templates, form);
    let booklet = edition(Form::Booklet)?;
    let edition = edition(Form::Pages)?;
    told(Notice::Begin("entry pages"));
    let mut files = entry_page::entries(&edition, told)?;
    files.extend(handout::handouts(&edition)?);
    told(Notice::Begin("flow pages"));
    files.extend(flow_page::flows(&edition)?);
    files.extend(flow_data::scripts(&edition));
    told(Notice::Begin("booklet"));
    files.push(booklet::booklet(&edition, &booklet)?);
    told(Notice::Begin("listings"));
    files.extend(listings::listings(&edition, &theme.json("regions.json")?)?);
    files.extend(vehicle_pages::vehicles(&edition)?);
    if edition.prefix.is_empty() {
        addressed::feed_and_search(&edition, edition.has_search(), &mut files);
    }
    Ok(files)
}

fn search(found: Findings<'_>) -> Vec<PageFile> {
    let knowledge = found.knowledge;
    let has_flow = |id: &str| {
        let symptom = knowledge.find(Kind::Symptom, id).and_then(|entry| knowledge.typed(entry));
        symptom.and_then(|at| found.decisions.of(at)).is_some_and(|flow| !flow.variants.is_empty())
    };
    search_files(knowledge, &Index::new(knowledge), &has_flow)
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
