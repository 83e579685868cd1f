//! The sheet that a customer takes home: one page, in one language.

use rayon::prelude::*;
use serde::Serialize;

use super::context::{Alternate, PageContext, RefContext};
use super::dates::DateText;
use super::edition::{Edition, language_name, value};
use super::entry_page::{handout_path, placed};
use super::html::Html;
use super::qr::qr_svg;
use super::site::PageFault;
use crate::knowledge::{Characteristic, Head, Telling};

#[derive(Serialize)]
struct HandoutContext<'e> {
    title: String,
    brief_html: Html<'e>,
    plain_html: Html<'e>,
    full_html: Html<'e>,
    fits: String,
    modified: Option<DateText>,
    address: String,
    qr_svg: String,
    back: RefContext,
}

/// The hand-outs in the edition's language, one for each characteristic that is told in it. A language that the site
/// has no edition in gets its hand-outs with the first edition's words.
pub(super) fn handouts(edition: &Edition<'_>) -> Result<(), PageFault> {
    let all: Vec<_> = edition.knowledge.characteristics.iter().collect();
    all.par_iter().try_for_each(|(at, entry)| {
        let mut told = entry.detail.tell.iter().filter(|(language, _)| is_ours(edition, language));
        told.try_for_each(|(language, telling)| {
            handout(edition, &entry.head, &entry.detail, edition.link(*at).clone(), language, telling)
        })
    })
}

fn is_ours(edition: &Edition<'_>, language: &str) -> bool {
    let is_first = edition.prefix.is_empty();
    language == edition.language || (is_first && !edition.languages.iter().any(|known| known == language))
}

fn handout(
    edition: &Edition<'_>,
    head: &Head,
    detail: &Characteristic,
    back: RefContext,
    language: &str,
    telling: &Telling,
) -> Result<(), PageFault> {
    let path = handout_path(head, language);
    // The address of the sheet itself, not of the page that it was made for: that one holds notes for the workshop.
    let address = edition.knowledge.shop.address.as_ref().map(|address| format!("{address}{path}")).unwrap_or_default();
    let qr_svg = if address.is_empty() { String::new() } else { qr_svg(&address, edition.word("qr_code")) };
    let context = HandoutContext {
        title: head.title.value.clone(),
        brief_html: Html::of(edition, Some(&telling.brief), placed(head, &path, "brief-")),
        plain_html: Html::of(edition, Some(&telling.plain), placed(head, &path, "plain-")),
        full_html: Html::of(edition, Some(&telling.full), placed(head, &path, "full-")),
        fits: edition.fits(&head.region),
        modified: head.modified.map(|date| edition.date(date)),
        address,
        qr_svg,
        back,
    };
    let page = PageContext {
        kind: "handout",
        section: "characteristic",
        title: head.title.value.clone(),
        alternates: alternates(edition, head, detail, language),
        path,
        ..PageContext::default()
    };
    edition.of_site("handout.html", page, vec![("handout", value(&context))])
}

fn alternates(edition: &Edition<'_>, head: &Head, detail: &Characteristic, own: &str) -> Vec<Alternate> {
    let others = detail.tell.iter().filter(|(language, _)| language != own);
    others
        .map(|(language, _)| Alternate {
            lang: language.clone(),
            name: language_name(edition.words, language),
            href: handout_path(head, language).replace("handouts/", ""),
        })
        .collect()
}
