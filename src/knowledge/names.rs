//! Which ids there are, and what a name refers to.

use std::collections::BTreeMap;

use super::shelf::EntryRef;
use crate::diagnostic::{Mark, MarkId, Span, Spanned};
use crate::entry::{Entries, Entry, Kind, is_id, misnamed_for, nearest};

/// The ids of every kind, with their positions.
pub(super) struct Names {
    by_kind: BTreeMap<Kind, BTreeMap<String, usize>>,
}

impl Names {
    pub(super) fn new(entries: &Entries) -> Self {
        let rows = [
            (Kind::Symptom, ids(&entries.symptoms)),
            (Kind::Condition, ids(&entries.conditions)),
            (Kind::Characteristic, ids(&entries.characteristics)),
            (Kind::Check, ids(&entries.checks)),
            (Kind::System, ids(&entries.systems)),
            (Kind::Guide, ids(&entries.guides)),
        ];
        Self { by_kind: rows.into_iter().collect() }
    }

    pub(super) fn position(&self, kind: Kind, id: &str) -> Option<usize> {
        self.by_kind.get(&kind)?.get(id).copied()
    }

    /// What a bare id of a known kind refers to, or the mark for it. Ids that have no right form have their mark.
    pub(super) fn of_kind(&self, kind: Kind, name: &Spanned<String>) -> Result<EntryRef, Option<Mark>> {
        if let Some(at) = self.position(kind, &name.value) {
            return Ok(EntryRef::new(kind, at));
        }
        if !is_id(&name.value) {
            return Err(None);
        }
        let other = Kind::ALL.into_iter().find(|other| self.position(*other, &name.value).is_some());
        Err(Some(match other {
            Some(other) => Mark::new(MarkId::WrongKind, name.span)
                .with("found", name.value.clone())
                .with("kind", other.word())
                .with("expected", kind.word()),
            None => self.dangling(kind, &name.value, name.span),
        }))
    }

    /// What a link's path refers to, or the mark for it.
    pub(super) fn of_link(&self, kind: Kind, id: &str, span: Span) -> Result<EntryRef, Mark> {
        let at = self.position(kind, id);
        at.map(|at| EntryRef::new(kind, at)).ok_or_else(|| {
            let other = Kind::ALL.into_iter().find(|other| self.position(*other, id).is_some());
            match other {
                Some(other) => Mark::new(MarkId::DanglingReference, span)
                    .with("found", id)
                    .with("what", kind.word())
                    .with("nearest", format!("{}/{id}.md", other.folder())),
                None => self.dangling(kind, id, span),
            }
        })
    }

    fn dangling(&self, kind: Kind, id: &str, span: Span) -> Mark {
        let names = self.by_kind.get(&kind).into_iter().flat_map(BTreeMap::keys).map(String::as_str);
        let names = names.filter(|name| is_id(name));
        let mark = Mark::new(MarkId::DanglingReference, span).with("found", id).with("what", kind.word());
        mark.with_some("nearest", nearest(id, names))
    }
}

/// The ids with their positions. An entry whose file is misnamed is found by its right name too: the file has its mark.
fn ids<D>(entries: &[Entry<D>]) -> BTreeMap<String, usize> {
    let mut ids: BTreeMap<String, usize> =
        entries.iter().enumerate().map(|(at, entry)| (entry.head.id.clone(), at)).collect();
    for (at, entry) in entries.iter().enumerate() {
        if let Some(meant) = misnamed_for(&entry.head.id) {
            ids.entry(meant).or_insert(at);
        }
    }
    ids
}
