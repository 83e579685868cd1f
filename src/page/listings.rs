//! Pages that list: home, the kinds, words.

use std::collections::BTreeMap;

use rayon::prelude::*;
use serde::Serialize;
use serde_json::Value as Json;

use super::context::{DatedContext, LinkContext, PageContext, RefContext};
use super::edition::{Edition, value};
use super::highlight::escaped;
use super::leaves::{FormerLeaves, LeavesContext, MOST_JUMPS, Part, beginning, beginnings, leaf_path, leaves, links};
use super::ledgers::{by_due, by_modified, changes, review};
use super::link::Look;
use super::numbers::minutes_text;
use super::site::PageFault;
use crate::entry::Kind;
use crate::knowledge::{Characteristic, Check, Condition, EntryRef, Symptom, System};

/// How many rows the home page shows of changes and of review dates.
const HOME_ROWS: usize = 6;

/// How many systems the home page lists; all of them stand in the list of systems.
const HOME_SYSTEMS: usize = 28;

/// How many phrases of customers the home page proposes.
const HOME_PHRASES: usize = 6;

/// How a symptom can be noticed, in the order of the home page.
pub(super) const SENSES: [&str; 6] = ["hear", "feel", "see", "smell", "lamp", "performs"];

/// All listings. `regions` says which words in a system's id lead to which region of the drawing.
pub(super) fn listings(edition: &Edition<'_>, regions: &Json) -> Result<(), PageFault> {
    let lists: [&(dyn Fn() -> Result<(), PageFault> + Sync); 4] =
        [&|| home(edition, regions), &|| words(edition), &|| changes(edition), &|| review(edition)];
    let of_kinds = || Kind::ALL.par_iter().try_for_each(|kind| index(edition, *kind));
    let (kinds, others) = rayon::join(of_kinds, || lists.par_iter().try_for_each(|list| list()));
    kinds.and(others)
}

pub(super) fn page(edition: &Edition<'_>, kind: &'static str, path: &str) -> PageContext {
    PageContext { kind, title: edition.word(kind).to_owned(), path: path.to_owned(), ..PageContext::default() }
}

#[derive(Serialize)]
struct HomeContext {
    phrases: Vec<PhraseContext>,
    senses: Vec<SenseContext>,
    systems: Vec<CalloutContext>,
    has_more_systems: bool,
    systems_href: String,
    regions: BTreeMap<String, RegionContext>,
    changed: Vec<DatedContext>,
    due: Vec<DatedContext>,
}

#[derive(Serialize)]
struct PhraseContext {
    text: String,
    href: String,
}

#[derive(Serialize)]
struct SenseContext {
    sense: &'static str,
    count: usize,
}

#[derive(Serialize)]
struct CalloutContext {
    n: usize,
    region: String,
    #[serde(rename = "ref")]
    entry: RefContext,
}

#[derive(Clone, Serialize)]
struct RegionContext {
    n: usize,
    title: String,
    href: String,
}

fn home(edition: &Edition<'_>, regions: &Json) -> Result<(), PageFault> {
    if edition.stands_in_its_circumstances("index.html", None) {
        return Ok(());
    }
    let knowledge = edition.knowledge;
    let phrases = knowledge.symptoms.iter().filter_map(|(at, entry)| {
        let text = entry.detail.heard_as.first()?.clone();
        Some(PhraseContext { text, href: edition.link(at).href.clone() })
    });
    let with_sense = |sense: &str| {
        knowledge.symptoms.iter().filter(|(_, entry)| entry.detail.senses.iter().any(|known| known == sense)).count()
    };
    let (systems, regions) = callouts(edition, regions);
    let context = HomeContext {
        phrases: phrases.take(HOME_PHRASES).collect(),
        senses: SENSES.map(|sense| SenseContext { sense, count: with_sense(sense) }).into(),
        has_more_systems: systems.len() > HOME_SYSTEMS,
        systems: systems.into_iter().take(HOME_SYSTEMS).collect(),
        systems_href: format!("{}systems/index.html", edition.prefix),
        regions,
        changed: by_modified(edition, HOME_ROWS),
        due: by_due(edition, HOME_ROWS),
    };
    let page = PageContext {
        kind: "home",
        title: knowledge.shop.name.clone(),
        path: "index.html".to_owned(),
        description: edition.word("home_description").to_owned(),
        scripts: vec!["assets/review.js".to_owned()],
        ..PageContext::default()
    };
    edition.page("home.html", page, vec![("home", value(&context))])
}

/// Numbers systems by the region of the drawing that their id names; the list beside it says the same in words.
fn callouts(edition: &Edition<'_>, regions: &Json) -> (Vec<CalloutContext>, BTreeMap<String, RegionContext>) {
    let mut drawn = BTreeMap::new();
    let mut listed = Vec::new();
    let mut left: Vec<(crate::knowledge::Ref<System>, &str)> =
        edition.knowledge.systems.iter().map(|(at, entry)| (at, entry.head.id.as_str())).collect();
    for (region, words) in region_words(regions) {
        let Some(found) = left.iter().position(|(_, id)| words.iter().any(|word| names(id, word))) else { continue };
        let (system, _) = left.remove(found);
        let entry = edition.link(system).clone();
        let n = drawn.len() + 1;
        drawn.insert(region.to_owned(), RegionContext { n, title: entry.title.clone(), href: entry.href.clone() });
        listed.push(CalloutContext { n, region: region.to_owned(), entry });
    }
    let rest = left.into_iter().map(|(system, _)| CalloutContext {
        n: 0,
        region: String::new(),
        entry: edition.link(system).clone(),
    });
    listed.extend(rest);
    (listed, drawn)
}

fn region_words(regions: &Json) -> impl Iterator<Item = (&str, Vec<&str>)> {
    regions.as_array().into_iter().flatten().filter_map(|row| {
        let words = row.get("words")?.as_array()?.iter().filter_map(Json::as_str);
        Some((row.get("region")?.as_str()?, words.collect()))
    })
}

/// Whether a word stands in an id, as whole words of it.
fn names(id: &str, word: &str) -> bool {
    format!("-{id}-").contains(&format!("-{word}-"))
}

/// A leaf of the list of a kind.
#[derive(Serialize)]
struct IndexContext<'i> {
    kind: &'static str,
    jumps: Vec<JumpContext<'i>>,
    groups: Vec<GroupPart<'i>>,
    leaves: LeavesContext,
}

/// The way to a group.
#[derive(Serialize)]
struct JumpContext<'i> {
    id: &'i str,
    icon: &'static str,
    label_key: &'i str,
    title: &'i str,
    count: usize,
    /// Empty for a group of this leaf, else its leaf.
    href: String,
}

/// What a leaf shows of a group.
#[derive(Serialize)]
struct GroupPart<'i> {
    id: &'i str,
    icon: &'static str,
    label_key: &'i str,
    title: &'i str,
    /// Whether it began on a leaf before.
    continued: bool,
    items: &'i [IndexItem<'i>],
}

struct IndexGroup<'e> {
    id: String,
    icon: &'static str,
    label_key: String,
    title: String,
    items: Vec<IndexItem<'e>>,
}

#[derive(Clone, Serialize)]
struct IndexItem<'e> {
    #[serde(rename = "ref")]
    entry: LinkContext<'e>,
    title: &'e str,
    quotes: Vec<String>,
    text: String,
    lang: String,
    senses: Vec<String>,
    hazard: &'static str,
    #[serde(rename = "where")]
    place: &'static str,
    minutes_text: String,
    flow_href: String,
}

/// The list of a kind, in as many leaves as it needs.
fn index(edition: &Edition<'_>, kind: Kind) -> Result<(), PageFault> {
    let path = format!("{}/index.html", kind.folder());
    let former = FormerLeaves::of(edition, path.clone());
    if former.is_whole() {
        return Ok(());
    }
    let entries = edition.knowledge.entries().filter(|entry| entry.kind == kind);
    let mut items: Vec<(Vec<String>, IndexItem<'_>)> =
        entries.map(|entry| (group_keys(edition, entry), item(edition, entry))).collect();
    items.sort_by_cached_key(|(_, item)| item.title.to_lowercase());
    let groups = index_groups(edition, kind, &items);
    let sizes: Vec<usize> = groups.iter().map(|group| group.items.len()).collect();
    let cut = leaves(&sizes);
    let labels: Vec<String> = cut.iter().map(|leaf| label(&groups, leaf)).collect();
    let href = format!("{}{path}", edition.prefix);
    let begins = beginnings(&cut, groups.len());
    former.make_others(edition, &cut, |number, path, leaf| {
        let context = IndexContext {
            kind: kind.word(),
            jumps: jumps(&groups, &begins, number, &href),
            groups: leaf.iter().filter_map(|part| group_part(&groups, part)).collect(),
            leaves: links(&href, number, &labels),
        };
        let page = PageContext {
            kind: "kind-index",
            section: kind.word(),
            title: edition.word(kind.folder()).to_owned(),
            path,
            ..PageContext::default()
        };
        edition.page("kind-index.html", page, vec![("index", value(&context))])
    })
}

fn label(groups: &[IndexGroup<'_>], leaf: &[Part]) -> String {
    let first = leaf.first().and_then(|part| groups.get(part.group)?.items.get(part.rows.start));
    first.map(|item| beginning(item.title)).unwrap_or_default()
}

/// The ways to all groups; to those that begin on this leaf alone, where there are too many.
fn jumps<'i>(groups: &'i [IndexGroup<'_>], begins: &[usize], now: usize, href: &str) -> Vec<JumpContext<'i>> {
    let shown = groups.iter().zip(begins).filter(|(_, begins)| groups.len() <= MOST_JUMPS || **begins == now);
    let jump = |(group, begins): (&'i IndexGroup<'_>, &usize)| JumpContext {
        id: &group.id,
        icon: group.icon,
        label_key: &group.label_key,
        title: &group.title,
        count: group.items.len(),
        href: if *begins == now { String::new() } else { leaf_path(href, *begins) },
    };
    shown.map(jump).collect()
}

fn group_part<'i>(groups: &'i [IndexGroup<'i>], part: &Part) -> Option<GroupPart<'i>> {
    let group = groups.get(part.group)?;
    Some(GroupPart {
        id: &group.id,
        icon: group.icon,
        label_key: &group.label_key,
        title: &group.title,
        continued: part.rows.start > 0,
        items: group.items.get(part.rows.clone())?,
    })
}

/// Symptoms are grouped by sense, conditions by hazard, checks by place, the rest by system.
fn group_keys(edition: &Edition<'_>, entry: EntryRef) -> Vec<String> {
    let knowledge = edition.knowledge;
    if let Some(at) = knowledge.typed::<Symptom>(entry) {
        return knowledge.symptoms[at].detail.senses.clone();
    }
    if let Some(at) = knowledge.typed::<Condition>(entry) {
        return vec![knowledge.conditions[at].detail.hazard.word().to_owned()];
    }
    if let Some(at) = knowledge.typed::<Check>(entry) {
        return vec![knowledge.checks[at].detail.place.word().to_owned()];
    }
    let is_member = entry.kind == Kind::Characteristic;
    let systems = knowledge.head(entry).map(|head| head.systems.as_slice()).unwrap_or_default();
    let ids = systems.iter().map(|system| knowledge.systems[*system].head.id.clone());
    if is_member { ids.collect() } else { Vec::new() }
}

fn index_groups<'e>(edition: &Edition<'_>, kind: Kind, items: &[(Vec<String>, IndexItem<'e>)]) -> Vec<IndexGroup<'e>> {
    let keys: Vec<(String, &'static str, String, String)> = match kind {
        Kind::Symptom => SENSES.map(|sense| (sense.to_owned(), sense, format!("sense_{sense}"), String::new())).into(),
        Kind::Condition => ["do-not-drive", "drive-with-care", "none"]
            .map(|hazard| (hazard.to_owned(), hazard, format!("hazard_{hazard}"), String::new()))
            .into(),
        Kind::Check => ["counter", "walk-round", "road-test", "bay"]
            .map(|place| (place.to_owned(), "", format!("where_{place}"), String::new()))
            .into(),
        Kind::Characteristic => {
            let systems = edition.knowledge.systems.iter();
            systems
                .map(|(_, system)| (system.head.id.clone(), "", String::new(), system.head.title.value.clone()))
                .collect()
        }
        _ => Vec::new(),
    };
    let mut groups: Vec<IndexGroup<'e>> = keys
        .into_iter()
        .map(|(id, icon, label_key, title)| {
            let members = items.iter().filter(|(keys, _)| keys.contains(&id)).map(|(_, item)| item.clone());
            IndexGroup { items: members.collect(), id, icon, label_key, title }
        })
        .collect();
    groups.retain(|group| !group.items.is_empty());
    let rest: Vec<IndexItem<'e>> =
        items.iter().filter(|(keys, _)| keys.is_empty()).map(|(_, item)| item.clone()).collect();
    if !rest.is_empty() {
        let label_key = kind.folder().to_owned();
        groups.push(IndexGroup { id: "all".to_owned(), icon: "", label_key, title: String::new(), items: rest });
    }
    groups
}

fn item<'e>(edition: &'e Edition<'_>, entry: EntryRef) -> IndexItem<'e> {
    let knowledge = edition.knowledge;
    let mut item = IndexItem {
        entry: edition.shown(entry, Look::Plain),
        title: &edition.link(entry).title,
        quotes: Vec::new(),
        text: String::new(),
        lang: String::new(),
        senses: Vec::new(),
        hazard: "",
        place: "",
        minutes_text: String::new(),
        flow_href: String::new(),
    };
    if let Some(at) = knowledge.typed::<Symptom>(entry) {
        item.flow_href = super::entry_page::flow_href(edition, &knowledge.symptoms[at].head);
        let symptom = &knowledge.symptoms[at].detail;
        item.quotes = symptom.heard_as.iter().take(2).cloned().collect();
        item.senses.clone_from(&symptom.senses);
    } else if let Some(at) = knowledge.typed::<Condition>(entry) {
        item.hazard = knowledge.conditions[at].detail.hazard.word();
    } else if let Some(at) = knowledge.typed::<Check>(entry) {
        let check = &knowledge.checks[at].detail;
        item.text = edition.customer_text(&check.ask).to_owned();
        item.minutes_text = minutes_text(check.minutes, edition.words);
    } else if let Some(at) = knowledge.typed::<Characteristic>(entry) {
        let tell = &knowledge.characteristics[at].detail.tell;
        let own = tell.iter().find(|(language, _)| language == edition.language).or(tell.first());
        if let Some((language, telling)) = own {
            item.text = telling.brief.markdown.clone();
            item.lang = if language == edition.language { String::new() } else { language.clone() };
        }
    }
    item
}

/// A trade term.
#[derive(Serialize)]
pub(super) struct TermContext<'e> {
    id: String,
    term: String,
    means_html: String,
    heard_as: Vec<String>,
    see: Vec<LinkContext<'e>>,
}

fn words(edition: &Edition<'_>) -> Result<(), PageFault> {
    if edition.stands_in_its_circumstances("words.html", None) {
        return Ok(());
    }
    edition.page("words.html", page(edition, "words", "words.html"), vec![("words", value(&terms(edition)))])
}

/// The shop's trade terms, in order.
pub(super) fn terms<'e>(edition: &'e Edition<'_>) -> Vec<TermContext<'e>> {
    let terms = edition.knowledge.terms.iter().enumerate().map(|(at, term)| TermContext {
        id: format!("term-{}", at + 1),
        term: term.term.clone(),
        means_html: format!("<p>{}</p>", escaped(&term.means)),
        heard_as: term.heard_as.clone(),
        see: edition.links(term.see.iter().copied(), Look::AtRoot),
    });
    terms.collect()
}
