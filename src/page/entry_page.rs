//! The page of an entry, by its kind.

use rayon::prelude::*;
use std::collections::{BTreeMap, BTreeSet};

use serde::Serialize;

use super::calculators::{has_calculators, script_path};
use super::context::{
    AnsweredContext, CautionContext, EntryContext, LinkContext, PageContext, RefContext, SourceContext, TocContext,
};
use super::edition::{Edition, Placed, language_name, value};
use super::evidence::{EvidenceContext, checks_of, evidence};
use super::html::Html;
use super::link::Look;
use super::numbers::{minutes_text, number_text};
use super::outlet::Piece;
use super::site::{Notice, PageFault, Told};
use super::work_pages::{check, system};
use crate::decision::Act;
use crate::diagnostic::Digest;
use crate::entry::{Hazard, Kind, Place};
use crate::knowledge::{AccountsFor, AnswersOf, Characteristic, Check, Condition, EntryRef, Head, Ref, Symptom, Text};

/// The pages of all entries, in their order. `told` hears of each.
pub(super) fn entries(edition: &Edition<'_>, told: Told<'_>) -> Result<(), PageFault> {
    let all: Vec<EntryRef> = edition.knowledge.entries().collect();
    all.par_iter().try_for_each(|entry| {
        let made = page_of(edition, *entry);
        told(Notice::Page);
        made.unwrap_or(Ok(()))
    })
}

/// The page of one entry.
fn page_of(edition: &Edition<'_>, entry: EntryRef) -> Option<Result<(), PageFault>> {
    let knowledge = edition.knowledge;
    let head = knowledge.head(entry)?;
    if edition.stands_in_its_circumstances(&path(head), Some(text_print(head))) {
        return Some(Ok(()));
    }
    Some(match entry.kind {
        Kind::Symptom => symptom(edition, head, &knowledge.symptoms[knowledge.typed(entry)?].detail),
        Kind::Condition => condition(edition, head, &knowledge.conditions[knowledge.typed(entry)?].detail),
        Kind::Characteristic => {
            characteristic(edition, head, &knowledge.characteristics[knowledge.typed(entry)?].detail)
        }
        Kind::Check => {
            let at = knowledge.typed(entry)?;
            check(edition, head, at, &knowledge.checks[at].detail)
        }
        Kind::System => {
            let at = knowledge.typed(entry)?;
            system(edition, head, at, &knowledge.systems[at].detail)
        }
        Kind::Guide => {
            edition.page("guide.html", page(edition, head), vec![entry_value(edition, head, Vec::new(), Vec::new())])
        }
    })
}

pub(super) fn page(edition: &Edition<'_>, head: &Head) -> PageContext {
    let mut scripts = vec!["assets/review.js".to_owned()];
    let has_calc = has_calculators(edition, head.entry);
    if has_calc {
        scripts.extend([script_path(edition.knowledge, head.entry), "assets/calc.js".to_owned()]);
    }
    PageContext {
        kind: head.kind.word(),
        section: head.kind.word(),
        title: head.title.value.clone(),
        path: path(head),
        description: head.body.opening.clone(),
        scripts,
        has_calc,
        text: Some(text_print(head)),
        has_code: has_fence(&head.body.markdown, '`') || has_fence(&head.body.markdown, '~'),
        ..PageContext::default()
    }
}

/// A name for an entry's text.
pub(super) fn text_print(head: &Head) -> Digest {
    Digest::of(head.body.markdown.as_bytes())
}

/// Whether three such signs stand side by side. Looking for one and then at its neighbours is much quicker than looking for three.
fn has_fence(markdown: &str, sign: char) -> bool {
    let neighbours = |at: usize| markdown.get(at..).unwrap_or_default().chars().take(3);
    markdown.match_indices(sign).any(|(at, _)| neighbours(at).filter(|other| *other == sign).count() == 3)
}

/// The path of an entry's page from the root of its edition.
pub(super) fn path(head: &Head) -> String {
    [head.kind.folder(), "/", &head.id, ".html"].concat()
}

/// An entry's path without its ending, such as `symptoms/hum`.
pub(super) fn name(head: &Head) -> String {
    [head.kind.folder(), "/", &head.id].concat()
}

/// What every entry's page shows; `shown` are the entries that the parts of its kind name already.
pub(super) fn entry_value<'e>(
    edition: &'e Edition<'_>,
    head: &'e Head,
    hazards: Vec<&String>,
    shown: Vec<EntryRef>,
) -> (&'static str, Piece<'e>) {
    ("entry", Piece::new(entry_context(edition, head, edition.cautions(hazards), shown)))
}

/// Of the entries that one leads to, and of those that lead to it, what the page does not say anyway: each once.
fn ways(head: &Head, shown: Vec<EntryRef>) -> (Vec<EntryRef>, Vec<EntryRef>) {
    let mut said: BTreeSet<EntryRef> = shown.into_iter().collect();
    said.extend(head.systems.iter().map(|system| EntryRef::from(*system)));
    said.extend(head.replaces.iter().chain(&head.replaced_by));
    let mut new = |entries: &[EntryRef]| entries.iter().copied().filter(|entry| said.insert(*entry)).collect();
    (new(&head.leads_to), new(&head.led_from))
}

fn entry_context<'e>(
    edition: &'e Edition<'_>,
    head: &'e Head,
    cautions: Vec<CautionContext>,
    shown: Vec<EntryRef>,
) -> EntryContext<'e> {
    let own = edition.link(head.entry);
    let (out, into) = ways(head, shown);
    let source = |source: &crate::entry::Source| SourceContext {
        name: source.name.clone(),
        locator: source.locator.clone().unwrap_or_default(),
        url: source.url.clone().unwrap_or_default(),
    };
    let headings = head.body.headings.iter().filter(|heading| heading.level <= 2);
    let toc: Vec<TocContext> =
        headings.map(|heading| TocContext { id: heading.anchor.clone(), title: heading.words.clone() }).collect();
    EntryContext {
        kind: head.kind.word(),
        id: head.id.clone(),
        title: head.title.value.clone(),
        fits: own.fits.clone(),
        boxes: own.boxes.clone(),
        systems: edition.links(head.systems.iter().map(|system| EntryRef::from(*system)), Look::Plain),
        codes: head.codes.clone(),
        basis: head.basis.clone().unwrap_or_default(),
        author: head.author.clone().unwrap_or_default(),
        created: head.created.map(|date| edition.date(date)),
        modified: head.modified.map(|date| edition.date(date)),
        review_by: head.due.map(|date| edition.date(date)),
        sources: head.sources.iter().map(source).collect(),
        replaces: edition.links(head.replaces.iter().copied(), Look::Plain),
        replaced_by: edition.links(head.replaced_by.iter().copied(), Look::Marked),
        links_wide: out.len() + into.len() > BESIDE_TEXT || head.body.markdown.trim().is_empty(),
        links_out: edition.links(out, Look::Marked),
        links_in: edition.links(into, Look::Marked),
        cautions,
        body_html: body(edition, head),
        toc: if toc.len() > 2 { toc } else { Vec::new() },
    }
}

/// As many links stand beside the text; more stand below it in columns.
const BESIDE_TEXT: usize = 6;

fn body<'e>(edition: &'e Edition<'_>, head: &'e Head) -> Html<'e> {
    let on = placed(head, &own_path(edition, head), "");
    Html::of(edition, Some(&head.body), Placed { heading_shift: shift(&head.body), first_block: Some(0), ..on })
}

/// The path of an entry's page from the site's root.
pub(super) fn own_path(edition: &Edition<'_>, head: &Head) -> String {
    format!("{}{}", edition.prefix, path(head))
}

/// A text of an entry on a page, with its headings below those of the page's parts.
pub(super) fn placed(head: &Head, path: &str, anchor_prefix: &str) -> Placed {
    let (path, anchor_prefix) = (path.to_owned(), anchor_prefix.to_owned());
    Placed { owner: head.entry, path, anchor_prefix, heading_shift: 2, first_block: None }
}

/// The page's title is the only heading of the first level; a text that begins with one moves down.
fn shift(text: &Text) -> u8 {
    u8::from(text.headings.iter().any(|heading| heading.level == 1))
}

/// A text of the front matter.
fn part<'e>(edition: &'e Edition<'_>, head: &Head, text: Option<&'e Text>, name: &str) -> Html<'e> {
    Html::of(edition, text, placed(head, &own_path(edition, head), &format!("{name}-")))
}

#[derive(Serialize)]
struct SymptomContext<'e> {
    heard_as: Vec<String>,
    senses: Vec<String>,
    flow_href: String,
    flow_text: String,
    ask_first: Vec<AskContext<'e>>,
    normal_if: Vec<NormalContext<'e>>,
    fault_if: Vec<FaultContext>,
    evidence: Option<EvidenceContext<'e>>,
}

#[derive(Serialize)]
struct AskContext<'e> {
    #[serde(rename = "ref")]
    entry: LinkContext<'e>,
    ask: String,
    #[serde(rename = "where")]
    place: &'static str,
    minutes_text: String,
}

#[derive(Serialize)]
struct NormalContext<'e> {
    #[serde(rename = "ref")]
    entry: RefContext,
    brief_html: Html<'e>,
    lang: String,
}

#[derive(Serialize)]
struct FaultContext {
    #[serde(rename = "ref")]
    entry: RefContext,
    hazard: &'static str,
}

fn symptom(edition: &Edition<'_>, head: &Head, symptom: &Symptom) -> Result<(), PageFault> {
    let knowledge = edition.knowledge;
    let checks = as_asked(edition, head, checks_of(knowledge, symptom));
    let hazards = checks.iter().flat_map(|check| &knowledge.checks[*check].detail.hazards).collect();
    let candidates = symptom.candidates.iter().map(|(entry, _)| *entry);
    let shown = checks.iter().map(|check| EntryRef::from(*check)).chain(candidates).collect();
    let own_path = own_path(edition, head);
    let context = SymptomContext {
        heard_as: symptom.heard_as.clone(),
        senses: symptom.senses.clone(),
        flow_href: flow_href(edition, head),
        flow_text: String::new(),
        ask_first: checks.iter().filter_map(|check| ask(edition, *check)).collect(),
        normal_if: symptom
            .candidates
            .iter()
            .filter_map(|(entry, row)| normal(edition, *entry, *row, &own_path))
            .collect(),
        fault_if: faults(edition, symptom),
        evidence: evidence(edition, symptom),
    };
    edition.page(
        "symptom.html",
        page(edition, head),
        vec![entry_value(edition, head, hazards, shown), ("symptom", value(&context))],
    )
}

/// The checks in the order in which the symptom's flows come to them; those that none asks stand last, as they stood.
fn as_asked(edition: &Edition<'_>, head: &Head, mut checks: Vec<Ref<Check>>) -> Vec<Ref<Check>> {
    let flow = edition.knowledge.typed(head.entry).and_then(|at| edition.decisions.of(at));
    let mut before: BTreeMap<&str, usize> = BTreeMap::new();
    for variant in flow.iter().flat_map(|flow| &flow.variants) {
        for (step, facts) in variant.flow.steps.iter().zip(&variant.facts) {
            let (Act::Ask { check, .. }, Some(way)) = (&step.act, &facts.answers) else { continue };
            let Some(check) = variant.problem.checks.get(*check) else { continue };
            let least = before.entry(&check.id).or_insert(usize::MAX);
            *least = way.len().min(*least);
        }
    }
    let questions = |check: &Ref<Check>| before.get(edition.knowledge.checks[*check].head.id.as_str()).copied();
    checks.sort_by_key(|check| questions(check).unwrap_or(usize::MAX));
    checks
}

/// The page of a symptom's flow, from the site's root; empty without a flow.
pub(super) fn flow_href(edition: &Edition<'_>, head: &Head) -> String {
    let flow = edition.knowledge.typed(head.entry).and_then(|at| edition.decisions.of(at));
    let has_flow = flow.is_some_and(|flow| !flow.variants.is_empty());
    if has_flow { format!("{}flows/{}.html", edition.prefix, head.id) } else { String::new() }
}

/// Questions for the counter, on foot and on the road; the bay's come later.
fn ask<'e>(edition: &'e Edition<'_>, check: Ref<Check>) -> Option<AskContext<'e>> {
    let detail = &edition.knowledge.checks[check].detail;
    (detail.place != Place::Bay).then(|| AskContext {
        entry: edition.shown(check, Look::Plain),
        ask: edition.customer_text(&detail.ask).to_owned(),
        place: detail.place.word(),
        minutes_text: minutes_text(detail.minutes, edition.words),
    })
}

fn normal<'e>(edition: &'e Edition<'_>, entry: EntryRef, row: usize, path: &str) -> Option<NormalContext<'e>> {
    let at = edition.knowledge.typed::<Characteristic>(entry)?;
    let characteristic = &edition.knowledge.characteristics[at].detail;
    let tell = &characteristic.tell;
    let (language, telling) = tell.iter().find(|(language, _)| language == edition.language).or(tell.first())?;
    let lang = if language == edition.language { String::new() } else { language.clone() };
    let entry = narrowed(edition, entry, characteristic.accounts_for.get(row));
    let head = &edition.knowledge.characteristics[at].head;
    let brief_html = Html::of(edition, Some(&telling.brief), placed(head, path, ""));
    Some(NormalContext { entry, brief_html, lang })
}

fn faults(edition: &Edition<'_>, symptom: &Symptom) -> Vec<FaultContext> {
    let conditions = symptom.candidates.iter().filter_map(|(entry, row)| {
        let condition = &edition.knowledge.conditions[edition.knowledge.typed::<Condition>(*entry)?].detail;
        Some((condition.hazard, narrowed(edition, *entry, condition.accounts_for.get(*row))))
    });
    let mut conditions: Vec<(Hazard, RefContext)> = conditions.collect();
    conditions.sort_by_key(|(hazard, _)| std::cmp::Reverse(*hazard));
    conditions.into_iter().map(|(hazard, entry)| FaultContext { entry, hazard: hazard.word() }).collect()
}

/// The link to a candidate, with the vehicles for which it is one.
fn narrowed(edition: &Edition<'_>, entry: EntryRef, row: Option<&AccountsFor>) -> RefContext {
    let link = edition.link(entry).clone();
    match row {
        Some(row) => RefContext { fits: edition.fits(&row.region), boxes: edition.boxes(&row.region), ..link },
        None => link,
    }
}

#[derive(Serialize)]
struct ConditionContext<'e> {
    hazard: &'static str,
    accounts_for: Vec<RefContext>,
    confirm: Vec<AnsweredContext<'e>>,
    remedy_html: Html<'e>,
    ruled_out_by: Vec<AnsweredContext<'e>>,
    alarm: Vec<AnsweredContext<'e>>,
}

fn condition(edition: &Edition<'_>, head: &Head, condition: &Condition) -> Result<(), PageFault> {
    let rows = condition.confirm.iter().chain(&condition.ruled_out_by).chain(&condition.alarm);
    let shown = shown(rows.clone(), &condition.accounts_for);
    let hazards = rows.flat_map(|row| &edition.knowledge.checks[row.check].detail.hazards).collect();
    let context = ConditionContext {
        hazard: condition.hazard.word(),
        accounts_for: accounts_for(edition, &condition.accounts_for),
        confirm: edition.answered(&condition.confirm),
        remedy_html: part(edition, head, condition.remedy.as_ref(), "remedy"),
        ruled_out_by: edition.answered(&condition.ruled_out_by),
        alarm: edition.answered(&condition.alarm),
    };
    edition.page(
        "condition.html",
        page(edition, head),
        vec![entry_value(edition, head, hazards, shown), ("condition", value(&context))],
    )
}

/// The checks and the symptoms that the page of a cause names.
fn shown<'r>(checks: impl Iterator<Item = &'r AnswersOf>, symptoms: &[AccountsFor]) -> Vec<EntryRef> {
    let symptoms = symptoms.iter().map(|row| EntryRef::from(row.symptom));
    checks.map(|row| EntryRef::from(row.check)).chain(symptoms).collect()
}

fn accounts_for(edition: &Edition<'_>, rows: &[AccountsFor]) -> Vec<RefContext> {
    let row = |row: &AccountsFor| {
        let prior = number_text(row.prior, 2, edition.words);
        let note = format!("{} {prior}", edition.word("prior"));
        RefContext { note, ..narrowed(edition, row.symptom.into(), Some(row)) }
    };
    rows.iter().map(row).collect()
}

#[derive(Serialize)]
struct CharacteristicContext<'e> {
    tells: Vec<TellContext<'e>>,
    because_html: Html<'e>,
    show_html: Html<'e>,
    leave_alone_html: Html<'e>,
    only_if: Vec<AnsweredContext<'e>>,
    not_if: Vec<AnsweredContext<'e>>,
    accounts_for: Vec<RefContext>,
    handouts: Vec<HandoutLink>,
}

#[derive(Serialize)]
struct TellContext<'e> {
    lang: String,
    name: String,
    label_brief: String,
    label_plain: String,
    label_full: String,
    brief_html: Html<'e>,
    plain_html: Html<'e>,
    full_html: Html<'e>,
}

#[derive(Serialize)]
struct HandoutLink {
    lang: String,
    name: String,
    href: String,
}

fn characteristic(edition: &Edition<'_>, head: &Head, detail: &Characteristic) -> Result<(), PageFault> {
    let mut tells: Vec<TellContext<'_>> =
        detail.tell.iter().map(|(language, _)| tell(edition, head, detail, language)).collect();
    tells.sort_by_key(|tell| tell.lang != edition.language);
    let context = CharacteristicContext {
        handouts: tells
            .iter()
            .map(|tell| HandoutLink {
                lang: tell.lang.clone(),
                name: tell.name.clone(),
                href: handout_path(head, &tell.lang),
            })
            .collect(),
        tells,
        because_html: part(edition, head, detail.because.as_ref(), "because"),
        show_html: part(edition, head, detail.show.as_ref(), "show"),
        leave_alone_html: part(edition, head, detail.leave_alone.as_ref(), "leave-alone"),
        only_if: edition.answered(&detail.only_if),
        not_if: edition.answered(&detail.not_if),
        accounts_for: accounts_for(edition, &detail.accounts_for),
    };
    let rows = detail.only_if.iter().chain(&detail.not_if);
    let shown = shown(rows.clone(), &detail.accounts_for);
    let hazards = rows.flat_map(|row| &edition.knowledge.checks[row.check].detail.hazards).collect();
    edition.page(
        "characteristic.html",
        page(edition, head),
        vec![entry_value(edition, head, hazards, shown), ("characteristic", value(&context))],
    )
}

fn tell<'e>(edition: &'e Edition<'_>, head: &Head, detail: &'e Characteristic, language: &str) -> TellContext<'e> {
    let path = own_path(edition, head);
    let telling = detail.tell.iter().find(|(known, _)| known == language).map(|(_, telling)| telling);
    let html = |text: Option<&'e Text>, depth: &str| {
        Html::of(edition, text, placed(head, &path, &format!("{language}-{depth}-")))
    };
    TellContext {
        lang: language.to_owned(),
        name: language_name(edition.words, language),
        label_brief: edition.word("depth_brief").to_owned(),
        label_plain: edition.word("depth_plain").to_owned(),
        label_full: edition.word("depth_full").to_owned(),
        brief_html: html(telling.map(|telling| &telling.brief), "brief"),
        plain_html: html(telling.map(|telling| &telling.plain), "plain"),
        full_html: html(telling.map(|telling| &telling.full), "full"),
    }
}

pub(super) fn handout_path(head: &Head, language: &str) -> String {
    format!("handouts/{}.{language}.html", head.id)
}
