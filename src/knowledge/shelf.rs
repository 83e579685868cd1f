//! Typed positions of entries: what a resolved reference is.

use std::cmp::Ordering;
use std::fmt;
use std::hash::{Hash, Hasher};
use std::marker::PhantomData;
use std::ops::Index;

use super::Entry;
use crate::entry::Kind;

/// What ties a type of entry to its kind.
pub trait OfKind {
    /// The kind.
    const KIND: Kind;
}

/// A reference to an entry of one kind. Only linking makes one, so what it refers to exists.
pub struct Ref<D> {
    at: u32,
    kind: PhantomData<fn() -> D>,
}

impl<D> Ref<D> {
    pub(super) fn new(at: usize) -> Self {
        Self { at: u32::try_from(at).unwrap_or(u32::MAX), kind: PhantomData }
    }

    /// Its position among the entries of its kind, which are in the order of ids.
    pub fn position(self) -> usize {
        self.at as usize
    }
}

impl<D> Clone for Ref<D> {
    fn clone(&self) -> Self {
        *self
    }
}

impl<D> Copy for Ref<D> {}

impl<D> fmt::Debug for Ref<D> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Ref({})", self.at)
    }
}

impl<D> PartialEq for Ref<D> {
    fn eq(&self, other: &Self) -> bool {
        self.at == other.at
    }
}

impl<D> Eq for Ref<D> {}

impl<D> PartialOrd for Ref<D> {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl<D> Ord for Ref<D> {
    fn cmp(&self, other: &Self) -> Ordering {
        self.at.cmp(&other.at)
    }
}

impl<D> Hash for Ref<D> {
    fn hash<H: Hasher>(&self, state: &mut H) {
        self.at.hash(state);
    }
}

/// A reference to an entry of any kind.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct EntryRef {
    /// The kind.
    pub kind: Kind,
    at: u32,
}

impl EntryRef {
    pub(super) fn new(kind: Kind, at: usize) -> Self {
        Self { kind, at: u32::try_from(at).unwrap_or(u32::MAX) }
    }

    /// Its position among the entries of its kind, which are in the order of ids.
    pub fn position(self) -> usize {
        self.at as usize
    }
}

impl<D: OfKind> From<Ref<D>> for EntryRef {
    fn from(entry: Ref<D>) -> Self {
        Self { kind: D::KIND, at: entry.at }
    }
}

/// The entries of one kind, in the order of ids.
#[derive(Clone, Debug)]
pub struct Shelf<D>(Vec<Entry<D>>);

impl<D> Shelf<D> {
    pub(super) fn new(entries: Vec<Entry<D>>) -> Self {
        Self(entries)
    }

    /// The entries with the references to them.
    pub fn iter(&self) -> impl Iterator<Item = (Ref<D>, &Entry<D>)> {
        self.0.iter().enumerate().map(|(at, entry)| (Ref::new(at), entry))
    }

    /// How many there are.
    pub fn len(&self) -> usize {
        self.0.len()
    }

    /// Whether there are none.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    pub(super) fn at(&self, position: usize) -> Option<&Entry<D>> {
        self.0.get(position)
    }

    pub(super) fn at_mut(&mut self, position: usize) -> Option<&mut Entry<D>> {
        self.0.get_mut(position)
    }
}

impl<D> Index<Ref<D>> for Shelf<D> {
    type Output = Entry<D>;

    #[allow(clippy::indexing_slicing, reason = "linking makes references from positions on this very shelf")]
    fn index(&self, entry: Ref<D>) -> &Entry<D> {
        &self.0[entry.position()]
    }
}
