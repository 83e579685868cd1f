//! What earlier runs worked out: values by a name of all that they were made from.
//!
//! A room asks for a value with everything that decides it. If an earlier run of the same program made it from the
//! same, it is taken over; else it is made. So what is remembered can never differ from what would be made, and a
//! memo may be deleted at any time. Values that a run did not ask for are forgotten.

use std::cell::Cell;
use std::collections::BTreeMap;
use std::ops::Range;
use std::sync::{Mutex, MutexGuard, PoisonError};

use serde::Serialize;
use serde::de::DeserializeOwned;

use crate::diagnostic::Digest;

/// What stands before the values that are written down: the maker, and the key and length of each, ascending by keys.
type Written<'b> = (&'b str, Vec<(Digest, usize)>);

/// Values of earlier runs, and those of this one.
#[derive(Debug, Default)]
pub struct Memo {
    former: Former,
    used: Mutex<BTreeMap<Digest, Used>>,
    is_wanted: bool,
}

/// Values of earlier runs, as they were written down: there are many, and most are never looked at as anything but bytes.
#[derive(Debug, Default)]
struct Former {
    bytes: Vec<u8>,
    /// Where each value stands, ascending by keys.
    places: Vec<(Digest, Range<usize>)>,
}

/// A value that this run used.
#[derive(Debug)]
enum Used {
    /// It stands among the former ones.
    Former(Range<usize>),
    New(Box<[u8]>),
}

impl Former {
    /// What stands in `bytes`, if `maker` wrote it.
    fn read(bytes: Vec<u8>, maker: &str) -> Option<Self> {
        let ((known, lengths), rest): (Written<'_>, _) = postcard::take_from_bytes(&bytes).ok()?;
        let mut from = bytes.len() - rest.len();
        let place = |(key, length): (Digest, usize)| {
            let range = from..from.checked_add(length)?;
            from = range.end;
            Some((key, range))
        };
        let places: Vec<(Digest, Range<usize>)> = lengths.into_iter().map(place).collect::<Option<_>>()?;
        let is_whole = from == bytes.len() && places.is_sorted_by(|a, b| a.0 < b.0);
        (known == maker && is_whole).then_some(Self { bytes, places })
    }

    fn place(&self, key: &Digest) -> Option<&Range<usize>> {
        let at = self.places.binary_search_by_key(key, |(known, _)| *known).ok()?;
        self.places.get(at).map(|(_, range)| range)
    }
}

impl Memo {
    /// Remembers nothing.
    pub fn none() -> Self {
        Self::default()
    }

    /// Remembers for the next run, and knows nothing yet.
    pub fn empty() -> Self {
        Self { is_wanted: true, ..Self::default() }
    }

    /// What [`Self::to_bytes`] wrote down for the program called `maker`; empty where that is not so.
    pub fn read(bytes: Vec<u8>, maker: &str) -> Self {
        Self { former: Former::read(bytes, maker).unwrap_or_default(), ..Self::empty() }
    }

    /// Everything that this run used, for the next one by the same program.
    pub fn to_bytes(&self, maker: &str) -> Vec<u8> {
        let used = self.used();
        let values: Vec<(Digest, &[u8])> = used.iter().map(|(key, value)| (*key, self.bytes_of(value))).collect();
        let lengths: Vec<(Digest, usize)> = values.iter().map(|(key, value)| (*key, value.len())).collect();
        let mut bytes = postcard::to_stdvec(&(maker, lengths)).unwrap_or_default();
        bytes.reserve_exact(values.iter().map(|(_, value)| value.len()).sum());
        values.iter().for_each(|(_, value)| bytes.extend_from_slice(value));
        bytes
    }

    /// A memo for the next run in the same process.
    #[must_use]
    pub fn next(&self) -> Self {
        Self::read(self.to_bytes(""), "")
    }

    fn bytes_of<'m>(&'m self, value: &'m Used) -> &'m [u8] {
        match value {
            Used::Former(range) => self.former.bytes.get(range.clone()).unwrap_or_default(),
            Used::New(bytes) => bytes,
        }
    }

    /// The value that `made_from` decides, remembered or made. `what` names the kind of value.
    pub fn value<T: Serialize + DeserializeOwned>(
        &self,
        what: &str,
        made_from: &impl Serialize,
        make: impl FnOnce() -> T,
    ) -> T {
        let Some(key) = self.key(what, made_from) else { return make() };
        if let Some(value) = self.known(&key) {
            return value;
        }
        let value = make();
        self.put(key, &value);
        value
    }

    /// The value of that kind that `made_from` decides, if it is remembered.
    pub fn recall<T: DeserializeOwned>(&self, what: &str, made_from: &impl Serialize) -> Option<T> {
        self.known(&self.key(what, made_from)?)
    }

    /// Remembers a value of that kind, which `made_from` decides.
    pub fn note(&self, what: &str, made_from: &impl Serialize, value: &impl Serialize) {
        if let Some(key) = self.key(what, made_from) {
            self.put(key, value);
        }
    }

    fn key(&self, what: &str, made_from: &impl Serialize) -> Option<Digest> {
        if self.is_wanted { written(&(what, made_from), Digest::of) } else { None }
    }

    fn known<T: DeserializeOwned>(&self, key: &Digest) -> Option<T> {
        let place = self.former.place(key)?;
        let value = postcard::from_bytes(self.former.bytes.get(place.clone())?).ok()?;
        self.used().insert(*key, Used::Former(place.clone()));
        Some(value)
    }

    fn put(&self, key: Digest, value: &impl Serialize) {
        if let Some(bytes) = written(value, |bytes| Box::from(bytes)) {
            self.used().insert(key, Used::New(bytes));
        }
    }

    /// What was noted stays true if a thread failed.
    fn used(&self) -> MutexGuard<'_, BTreeMap<Digest, Used>> {
        self.used.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// What is made of a value as it is written down; `None` if it cannot be.
fn written<R>(value: &impl Serialize, make: impl FnOnce(&[u8]) -> R) -> Option<R> {
    thread_local! {
        // Asking for memory again and again, a little more each time, is slow.
        static BUFFER: Cell<Vec<u8>> = const { Cell::new(Vec::new()) };
    }
    let mut buffer = BUFFER.take();
    buffer.clear();
    let bytes = postcard::to_extend(value, buffer).ok()?;
    let made = make(&bytes);
    BUFFER.set(bytes);
    Some(made)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_value_is_made_once_and_again_for_anything_else() {
        let mut memo = Memo::empty();
        let ask = |memo: &Memo, what: &str, from: &str, expect_made: bool| {
            let mut made = false;
            let value = memo.value(what, &from, || {
                made = true;
                format!("{what} of {from}")
            });
            assert_eq!((value, made), (format!("{what} of {from}"), expect_made));
        };
        ask(&memo, "flow", "a", true);
        memo = Memo::read(memo.to_bytes("one"), "one");
        ask(&memo, "flow", "a", false);
        ask(&memo, "flow", "b", true);
        ask(&memo, "entry", "a", true);
        let written = memo.to_bytes("one");
        memo = memo.next();
        ask(&memo, "flow", "b", false);
        // What was not asked for is forgotten, and another program's memo is none.
        memo = memo.next();
        ask(&memo, "flow", "a", true);
        ask(&Memo::read(written.clone(), "two"), "flow", "a", true);
        ask(&Memo::read(written.clone(), "one"), "flow", "b", false);
        for length in 0..written.len() {
            ask(&Memo::read(written[..length].to_vec(), "one"), "flow", "b", true);
        }
        ask(&Memo::none(), "flow", "a", true);
    }
}
