//! Which entries replace which, and references to entries that were replaced.

use std::collections::BTreeMap;

use super::{EntryRef, Knowledge, Made};
use crate::diagnostic::{Mark, MarkId, Span};

/// Fills in `replaced_by`, and marks loops and references to what was replaced.
pub(super) fn settle(knowledge: &mut Knowledge, references: &[Made], marks: &mut Vec<Mark>) {
    let steps = references.iter().filter(|made| made.reference.replaces);
    let steps = steps.filter_map(|made| Some((made.by?, made.reference.entry, made.reference.span)));
    let steps: Vec<(EntryRef, EntryRef, Span)> = steps.collect();
    let mut newer: BTreeMap<EntryRef, Vec<EntryRef>> = BTreeMap::new();
    for (by, old, _) in &steps {
        newer.entry(*old).or_default().push(*by);
    }
    mark_loops(knowledge, &steps, &newer, marks);
    for (old, by) in &newer {
        if let Some(head) = knowledge.head_mut(*old) {
            head.replaced_by.clone_from(by);
        }
    }
    for made in references.iter().filter(|made| !made.reference.replaces) {
        marks.extend(superseded(knowledge, made, &newer));
    }
}

/// One mark for each loop, at the step of the entry that comes first.
fn mark_loops(
    knowledge: &Knowledge,
    steps: &[(EntryRef, EntryRef, Span)],
    newer: &BTreeMap<EntryRef, Vec<EntryRef>>,
    marks: &mut Vec<Mark>,
) {
    let id = |entry: &EntryRef| knowledge.head(*entry).map(|head| head.id.clone()).unwrap_or_default();
    for (by, old, span) in steps {
        let Some(path) = path(*by, *old, newer) else { continue };
        if path.iter().all(|entry| by <= entry) {
            let names: Vec<String> = std::iter::once(by).chain(path.iter().rev()).map(id).collect();
            marks.push(Mark::new(MarkId::ReplacementLoop, *span).with("found", names.join(" replaces ")));
        }
    }
}

/// The way from `from` to `to` along "is replaced by", with both ends. A repeated entry is never visited twice.
fn path(from: EntryRef, to: EntryRef, newer: &BTreeMap<EntryRef, Vec<EntryRef>>) -> Option<Vec<EntryRef>> {
    let mut open = vec![vec![from]];
    let mut seen = std::collections::BTreeSet::from([from]);
    while let Some(path) = open.pop() {
        let last = *path.last()?;
        if last == to {
            return Some(path);
        }
        for next in newer.get(&last).into_iter().flatten().filter(|next| seen.insert(**next)) {
            open.push(path.iter().copied().chain([*next]).collect());
        }
    }
    None
}

/// A reference to an entry that was replaced, unless the two belong to the same history.
fn superseded(knowledge: &Knowledge, made: &Made, newer: &BTreeMap<EntryRef, Vec<EntryRef>>) -> Option<Mark> {
    let old = made.reference.entry;
    let by = made.by;
    let direct = newer.get(&old)?;
    let is_history = by.is_some_and(|by| path(old, by, newer).is_some() || newer.contains_key(&by));
    if is_history {
        return None;
    }
    let mut last = *direct.first()?;
    let mut seen = std::collections::BTreeSet::from([old]);
    while let Some(next) = newer.get(&last).and_then(|next| next.first()).filter(|_| seen.insert(last)) {
        last = *next;
    }
    // In a circle nothing is the newest; the circle has its own mark.
    if last == old || seen.contains(&last) {
        return None;
    }
    let id = knowledge.head(old)?.id.clone();
    let replacement = knowledge.head(last)?.id.clone();
    let mark = Mark::new(MarkId::SupersededReference, made.reference.span).with("found", id);
    Some(mark.with("nearest", replacement))
}
