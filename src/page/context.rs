//! What templates are given. Names here are the names in the templates.

use serde::Serialize;

use super::dates::DateText;
use super::html::Html;
use super::link::Written;
use crate::diagnostic::Digest;

/// The same for every page of an edition, but for `root`.
#[derive(Clone, Serialize)]
pub(super) struct SiteContext<'a> {
    pub(super) name: &'a str,
    /// The language of the page.
    pub(super) lang: &'a str,
    pub(super) languages: &'a [String],
    /// The way from the page to the site's root.
    pub(super) root: &'a str,
    pub(super) local_rules: &'a str,
    /// The feed of changes; empty if there is none.
    pub(super) feed_href: &'static str,
    /// The description of the search for browsers; empty if there is none.
    pub(super) search_href: &'static str,
    pub(super) home_href: String,
    pub(super) vehicles_href: String,
    pub(super) symptoms_href: String,
    pub(super) words_href: String,
    pub(super) changes_href: String,
    pub(super) review_href: String,
    pub(super) booklet_href: String,
    pub(super) kinds: Vec<KindContext>,
}

/// A section of the site.
#[derive(Clone, Serialize)]
pub(super) struct KindContext {
    pub(super) kind: &'static str,
    pub(super) label_key: &'static str,
    pub(super) count: usize,
    pub(super) href: String,
}

/// One page.
#[derive(Clone, Default, Serialize)]
pub(super) struct PageContext {
    pub(super) kind: &'static str,
    pub(super) section: &'static str,
    pub(super) title: String,
    pub(super) path: String,
    pub(super) description: String,
    pub(super) alternates: Vec<Alternate>,
    pub(super) scripts: Vec<String>,
    pub(super) has_code: bool,
    pub(super) has_calc: bool,
    /// A name for the text of the entry whose page it is.
    #[serde(skip)]
    pub(super) text: Option<Digest>,
}

/// The same page in another language.
#[derive(Clone, Serialize)]
pub(super) struct Alternate {
    pub(super) lang: String,
    pub(super) name: String,
    pub(super) href: String,
}

/// A link to an entry.
#[derive(Clone, Debug, Default, Serialize)]
pub(super) struct RefContext {
    pub(super) kind: &'static str,
    pub(super) id: String,
    pub(super) title: String,
    /// In the booklet, where paper cannot follow links; else empty.
    pub(super) number: String,
    /// From the site's root.
    pub(super) href: String,
    /// The vehicles in words; empty for every vehicle.
    pub(super) fits: String,
    /// The vehicles for scripts; empty for every vehicle.
    pub(super) boxes: String,
    pub(super) note: String,
}

/// A link for a template to show: nearly all are written by the theme's `link.html`, once for each entry.
#[derive(Clone, Serialize)]
#[serde(untagged)]
pub(super) enum LinkContext<'e> {
    Written(Written<'e>),
    Told(RefContext),
}

/// What every entry's page shows.
#[derive(Serialize)]
pub(super) struct EntryContext<'e> {
    pub(super) kind: &'static str,
    pub(super) id: String,
    pub(super) title: String,
    pub(super) fits: String,
    pub(super) boxes: String,
    pub(super) systems: Vec<LinkContext<'e>>,
    pub(super) codes: Vec<String>,
    pub(super) basis: String,
    pub(super) author: String,
    pub(super) created: Option<DateText>,
    pub(super) modified: Option<DateText>,
    pub(super) review_by: Option<DateText>,
    pub(super) sources: Vec<SourceContext>,
    pub(super) replaces: Vec<LinkContext<'e>>,
    pub(super) replaced_by: Vec<LinkContext<'e>>,
    pub(super) links_out: Vec<LinkContext<'e>>,
    pub(super) links_in: Vec<LinkContext<'e>>,
    /// Whether these are too many to stand beside the text.
    pub(super) links_wide: bool,
    pub(super) cautions: Vec<CautionContext>,
    pub(super) body_html: Html<'e>,
    pub(super) toc: Vec<TocContext>,
}

#[derive(Clone, Serialize)]
pub(super) struct SourceContext {
    pub(super) name: String,
    pub(super) locator: String,
    pub(super) url: String,
}

#[derive(Clone, Serialize)]
pub(super) struct TocContext {
    pub(super) id: String,
    pub(super) title: String,
}

/// A caution panel.
#[derive(Clone, Serialize)]
pub(super) struct CautionContext {
    pub(super) class: String,
    pub(super) label: String,
    /// The language of the text where it is not the page's; else empty.
    pub(super) lang: String,
    pub(super) signal: String,
    pub(super) text_html: String,
}

/// A check with the answers that count.
#[derive(Serialize)]
pub(super) struct AnsweredContext<'e> {
    #[serde(rename = "ref")]
    pub(super) entry: LinkContext<'e>,
    pub(super) answers: Vec<String>,
    pub(super) minutes_text: String,
}

/// References under one heading.
#[derive(Serialize)]
pub(super) struct GroupContext<'e> {
    pub(super) kind: &'static str,
    pub(super) label_key: &'static str,
    pub(super) refs: Vec<LinkContext<'e>>,
}

/// An entry and a day.
#[derive(Clone, Serialize)]
pub(super) struct DatedContext {
    #[serde(rename = "ref")]
    pub(super) entry: RefContext,
    pub(super) date: DateText,
}
