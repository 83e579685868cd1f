//! What was meant where a reference has no id: often the title of the entry.

use std::borrow::Cow;
use std::collections::{BTreeMap, BTreeSet};

use super::inspect::short;
use super::kind::{Kind, is_id, nearest_id};
use super::nearest::nearest;
use super::{Entries, Head};
use crate::diagnostic::{Mark, MarkId};

/// Where a reference to an entry is no id, proposes the id of an entry that there is, and no other.
pub(super) fn propose(entries: &Entries, marks: &mut [Mark]) {
    let mut by_kind: BTreeMap<Kind, Known> = BTreeMap::new();
    for mark in marks.iter_mut().filter(|mark| mark.id == MarkId::BadId) {
        let Some(kind) = mark.fact("kind").and_then(Kind::by_word) else { continue };
        let known = by_kind.entry(kind).or_insert_with(|| Known::new(entries.heads(kind)));
        let written = mark.fact("nearest").map(str::to_owned);
        let meant = known.meant(&written.unwrap_or_else(|| form(mark.fact("found").unwrap_or(""))));
        mark.facts.retain(|(name, _)| name != "nearest");
        mark.facts.extend(meant.map(|id| (Cow::Borrowed("nearest"), id)));
    }
}

/// The entries of one kind by their ids and by their titles.
struct Known {
    ids: BTreeSet<String>,
    titles: BTreeMap<String, String>,
}

impl Known {
    fn new(heads: Vec<&Head>) -> Self {
        let id = |head: &&Head| nearest_id(&head.id).filter(|id| is_id(id));
        let titles = heads.iter().filter_map(|head| Some((form(&head.title.value), id(head)?)));
        Self { titles: titles.collect(), ids: heads.iter().filter_map(id).collect() }
    }

    fn meant(&self, written: &str) -> Option<String> {
        let exact = self.ids.get(written).or_else(|| self.titles.get(written));
        exact.cloned().or_else(|| nearest(written, self.ids.iter().map(String::as_str)))
    }
}

/// A title, or what was written for an id, as they are compared.
fn form(text: &str) -> String {
    nearest_id(text).unwrap_or_else(|| short(text).to_lowercase())
}
