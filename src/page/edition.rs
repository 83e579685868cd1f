//! The site in one language.

use std::collections::BTreeMap;
use std::sync::{Mutex, OnceLock, PoisonError};

use jiff::civil::Date;
use serde::Serialize;
use serde_json::Value as Json;
use tera::Tera;

use super::addressed::{FEED, SEARCH_DESCRIPTION, has_feed};
use super::context::{AnsweredContext, CautionContext, KindContext, RefContext, SiteContext};
use super::dates::{DateText, date_text};
use super::frame::Frames;
use super::highlight::escaped;
use super::link::{Link, Look};
use super::numbers::{minutes_text, with_signs};
use super::outlet::{Outlet, Piece};
use super::site::{Findings, PageFault};
use crate::calculation::Calculations;
use crate::decision::Decisions;
use crate::entry::Kind;
use crate::knowledge::fit::Region;
use crate::knowledge::{Answer, AnswersOf, CustomerText, EntryRef, Knowledge};
use crate::source::Memo;

/// Where entries stand.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Form {
    /// Each on a page of its own.
    Pages,
    /// All of them on one page, the booklet: links between entries stay on it.
    Booklet,
}

/// One language's pages: the words, the way to them, and links to all entries, made once.
pub(super) struct Edition<'a> {
    pub(super) form: Form,
    pub(super) outlet: &'a dyn Outlet,
    pub(super) theme: &'a str,
    pub(super) knowledge: &'a Knowledge,
    pub(super) calculations: &'a Calculations,
    pub(super) decisions: &'a Decisions,
    pub(super) memo: &'a Memo,
    pub(super) language: &'a str,
    /// Languages that the site has pages in; the first stands at the root.
    pub(super) languages: &'a [String],
    pub(super) words: &'a BTreeMap<String, String>,
    /// Before the paths of this edition: empty for the first language, `es/` for another.
    pub(super) prefix: String,
    pub(super) templates: &'a Tera,
    pub(super) links: BTreeMap<Kind, Vec<OnceLock<Link>>>,
    /// What links are told of the site: on pages at the edition's root, and one folder below.
    pub(super) link_sites: OnceLock<[tera::Value; 2]>,
    /// What went wrong while something was written that pages share.
    fault: Mutex<Option<PageFault>>,
    /// Stands for an entry that is not there; there is none.
    pub(super) nobody: RefContext,
    kinds: Vec<KindContext>,
    pub(super) frames: Frames,
    dates: Mutex<BTreeMap<Date, DateText>>,
}

/// What an edition is made with.
#[derive(Clone, Copy)]
pub(super) struct Place<'a> {
    /// Languages that the site has pages in.
    pub(super) languages: &'a [String],
    /// The edition's own.
    pub(super) language: &'a str,
    pub(super) words: &'a BTreeMap<String, String>,
    pub(super) templates: &'a Tera,
    /// A name for the whole theme.
    pub(super) theme: &'a str,
    /// Where its pages go.
    pub(super) outlet: &'a dyn Outlet,
}

/// Where a text stands.
#[derive(Serialize)]
pub(super) struct Placed {
    /// The entry that it belongs to.
    #[serde(skip)]
    pub(super) owner: EntryRef,
    /// The page, from the site's root.
    pub(super) path: String,
    /// Stands before the anchors of its headings: texts of one page must not share them.
    pub(super) anchor_prefix: String,
    /// Levels that are added to its headings.
    pub(super) heading_shift: u8,
    /// The position of its first calculation block in the owner's sheet; `None` shows blocks as written.
    pub(super) first_block: Option<usize>,
}

impl<'a> Edition<'a> {
    pub(super) fn new(found: Findings<'a>, place: Place<'a>, form: Form) -> Self {
        let Findings { knowledge, calculations, decisions, memo } = found;
        let Place { languages, language, words, templates, theme, outlet } = place;
        let is_first = languages.first().is_some_and(|first| first == language);
        let prefix = if is_first { String::new() } else { format!("{language}/") };
        let mut edition = Self {
            form,
            outlet,
            theme,
            knowledge,
            calculations,
            decisions,
            memo,
            language,
            languages,
            words,
            prefix,
            templates,
            links: BTreeMap::new(),
            link_sites: OnceLock::new(),
            fault: Mutex::default(),
            nobody: RefContext::default(),
            kinds: Vec::new(),
            frames: Frames::default(),
            dates: Mutex::default(),
        };
        edition.make_room_for_links();
        edition.kinds = edition.make_kinds();
        edition
    }

    /// Notes a fault that ends the work: whatever page is made next tells it.
    pub(super) fn note_fault(&self, fault: PageFault) {
        self.fault.lock().unwrap_or_else(PoisonError::into_inner).get_or_insert(fault);
    }

    /// The first fault that was noted since it was asked for last.
    pub(super) fn take_fault(&self) -> Option<PageFault> {
        self.fault.lock().unwrap_or_else(PoisonError::into_inner).take()
    }

    fn make_kinds(&self) -> Vec<KindContext> {
        let of_kind = |kind: Kind| KindContext {
            kind: kind.word(),
            label_key: kind.folder(),
            count: self.knowledge.count(kind),
            href: format!("{}{}/index.html", self.prefix, kind.folder()),
        };
        let vehicles = KindContext {
            kind: "vehicle",
            label_key: "vehicles",
            count: self.knowledge.universe.vehicles().lines.len(),
            href: format!("{}vehicles/index.html", self.prefix),
        };
        Kind::ALL.into_iter().map(of_kind).chain([vehicles]).collect()
    }

    /// An interface word.
    pub(super) fn word<'w>(&'w self, key: &'w str) -> &'w str {
        self.words.get(key).map_or(key, String::as_str)
    }

    /// The vehicles in words; empty for every vehicle.
    pub(super) fn fits(&self, region: &Region) -> String {
        if region.is_everything() { String::new() } else { self.knowledge.universe.phrase(region) }
    }

    /// The vehicles for scripts: `line years option=value,value;…`; empty for every vehicle.
    pub(super) fn boxes(&self, region: &Region) -> String {
        if region.is_everything() { String::new() } else { boxes(self.knowledge, region) }
    }

    pub(super) fn date(&self, date: Date) -> DateText {
        // Many entries share a day. What was put in stays true if a thread failed.
        let mut dates = self.dates.lock().unwrap_or_else(PoisonError::into_inner);
        dates.entry(date).or_insert_with(|| date_text(date, self.words)).clone()
    }

    /// The text of a customer text in this edition's language, else in the shop's first.
    pub(super) fn customer_text<'t>(&self, texts: &'t CustomerText) -> &'t str {
        let own = texts.iter().find(|(language, _)| language == self.language);
        own.or(texts.first()).map_or("", |(_, text)| text)
    }

    /// An answer's wording; for a band, its reading.
    pub(super) fn answer_text(&self, answer: &Answer, unit: Option<&str>) -> String {
        match &answer.band {
            Some(band) => format!("{} {}", with_signs(&band.value), unit.unwrap_or("")).trim().to_owned(),
            None => self.customer_text(&answer.words).to_owned(),
        }
    }

    /// Checks with the answers that count.
    pub(super) fn answered(&self, rows: &[AnswersOf]) -> Vec<AnsweredContext<'_>> {
        let row = |row: &AnswersOf| {
            let check = &self.knowledge.checks[row.check].detail;
            let unit = check.measures.as_ref().map(|measures| measures.unit.value.as_str());
            let answers = row.answers.iter().filter_map(|at| check.answers.get(*at));
            AnsweredContext {
                entry: self.shown(row.check, Look::Marked),
                answers: answers.map(|answer| self.answer_text(answer, unit)).collect(),
                minutes_text: minutes_text(check.minutes, self.words),
            }
        };
        rows.iter().map(row).collect()
    }

    /// Caution panels, the gravest first.
    pub(super) fn cautions<'c>(&self, classes: impl IntoIterator<Item = &'c String>) -> Vec<CautionContext> {
        let mut classes: Vec<&String> = classes.into_iter().collect();
        classes.sort_unstable();
        classes.dedup();
        let mut cautions: Vec<CautionContext> = classes.into_iter().filter_map(|class| self.caution(class)).collect();
        let rank = |signal: &str| ["danger", "warning", "caution", "notice"].iter().position(|known| *known == signal);
        cautions.sort_by_key(|caution| (rank(&caution.signal), caution.class.clone()));
        cautions
    }

    fn caution(&self, class: &str) -> Option<CautionContext> {
        let known = self.knowledge.hazard_classes.get(class)?;
        let label = self.words.get(&format!("class_{class}")).cloned().unwrap_or_else(|| class.replace('-', " "));
        let usual = || self.words.get(&format!("caution_{class}")).cloned().unwrap_or_default();
        // The shop words its own cautions in its first language.
        let lang = known.text.as_ref().map_or("", |_| self.text_language());
        let text = known.text.clone().unwrap_or_else(usual);
        let text_html = format!("<p>{}</p>", escaped(&text));
        let (lang, signal) = (lang.to_owned(), known.signal.clone());
        Some(CautionContext { class: class.to_owned(), label, lang, signal, text_html })
    }

    /// The name of a calculation block, of which a page may hold one alone.
    pub(super) fn calculation_name(&self, owner: EntryRef, block: usize) -> String {
        match self.form {
            Form::Pages => block.to_string(),
            Form::Booklet => format!("{}-{block}", self.link(owner).href.trim_start_matches('#')),
        }
    }

    /// The address of an anchor in an entry.
    pub(super) fn place_in(&self, href: &str, anchor: &str) -> String {
        let between = if self.form == Form::Pages { "#" } else { "--" };
        format!("{href}{between}{anchor}")
    }

    /// Where the booklet stands, from the site's root.
    pub(super) fn booklet_path(&self) -> String {
        format!("{}booklet.html", self.prefix)
    }

    /// The language of the entries where it is not this edition's; else empty.
    fn text_language(&self) -> &str {
        text_language(self.languages, self.language)
    }

    pub(super) fn site_context<'s>(&'s self, root: &'s str) -> SiteContext<'s> {
        SiteContext {
            name: &self.knowledge.shop.name,
            lang: self.language,
            languages: self.languages,
            root,
            local_rules: &self.knowledge.shop.local_rules,
            feed_href: if has_feed(self) { FEED } else { "" },
            search_href: if self.knowledge.shop.address.is_some() { SEARCH_DESCRIPTION } else { "" },
            home_href: format!("{}index.html", self.prefix),
            vehicles_href: format!("{}vehicles/index.html", self.prefix),
            symptoms_href: format!("{}symptoms/index.html", self.prefix),
            words_href: format!("{}words.html", self.prefix),
            changes_href: format!("{}changes.html", self.prefix),
            review_href: format!("{}review.html", self.prefix),
            booklet_href: self.booklet_path(),
            kinds: self.kinds.clone(),
        }
    }
}

/// The language of the entries, the first of all, where it is not that of the pages; else empty.
fn text_language<'l>(languages: &'l [String], pages: &str) -> &'l str {
    let first = languages.first().map_or("", String::as_str);
    if first == pages { "" } else { first }
}

/// The attribute of a text of an entry that says its language, where that is not the page's; else empty.
pub(super) fn text_language_attribute(languages: &[String], pages: &str) -> String {
    match text_language(languages, pages) {
        "" => String::new(),
        language => format!(" lang=\"{}\"", escaped(language)),
    }
}

/// A language's own name.
pub(super) fn language_name(words: &BTreeMap<String, String>, language: &str) -> String {
    words.get(&format!("language_{language}")).cloned().unwrap_or_else(|| language.to_owned())
}

/// The way from a page back to the site's root.
pub(super) fn root_of(path: &str) -> String {
    "../".repeat(path.matches('/').count())
}

/// Something for a template.
pub(super) fn value<T: serde::Serialize>(value: &T) -> Piece<'_> {
    Piece::new(value)
}

/// The name of an entry in the booklet, by the path of its page: `symptoms-hum`.
pub(super) fn key_of(path: &str) -> String {
    path.trim_end_matches(".html").replace('/', "-")
}

/// JSON that may stand in a script file.
pub(super) fn script(name: &str, value: &Json) -> Vec<u8> {
    format!("\"use strict\";\nwindow.{name} = {value};\n").into_bytes()
}

/// The vehicles for scripts.
pub(super) fn boxes(knowledge: &Knowledge, region: &Region) -> String {
    let boxes = knowledge.universe.boxes(region);
    let boxes = boxes.iter().map(|fit| {
        let years: Vec<String> = fit
            .years
            .iter()
            .map(|(first, last)| if first == last { first.to_string() } else { format!("{first}-{last}") })
            .collect();
        let line = knowledge.universe.vehicles().lines.iter().find(|line| line.id == fit.line);
        let whole = line.is_some_and(|line| fit.years == [(line.first_year, line.last_year)]);
        let years = if whole { "*".to_owned() } else { years.join(",") };
        let options = fit.options.iter().map(|(option, values)| format!(" {option}={}", values.join(",")));
        format!("{} {years}{}", fit.line, options.collect::<String>())
    });
    boxes.collect::<Vec<_>>().join(";")
}
