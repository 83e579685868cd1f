//! What earlier runs worked out: values by a name of all that they were made from.
//!
//! A room asks for a value with everything that decides it. If an earlier run of the same program made it from the
//! same, it is taken over; else it is made. So what is remembered can never differ from what would be made, and a
//! memo may be deleted at any time. Values that no run asks for any more are forgotten once all is written down again.

use std::collections::BTreeMap;
use std::ops::Range;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use serde::Serialize;
use serde::de::DeserializeOwned;

use crate::diagnostic::{Digest, said};

/// What stands before the values that are written down: the maker, and the key and length of each, ascending by keys.
type Written<'b> = (&'b str, Vec<(Digest, usize)>);

/// Values of earlier runs, and those of this one.
#[derive(Debug, Default)]
pub struct Memo {
    /// What some run wrote down whole.
    former: Arc<Former>,
    /// What was worked out since.
    since: Former,
    used: Mutex<BTreeMap<Digest, Used>>,
    is_wanted: bool,
}

/// What a run writes down for the next one.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Left {
    /// Everything that it used. Where that is not written, what was written down before goes on serving.
    Whole,
    /// What it used beyond that.
    Since,
}

/// Everything is written down again once what came since is more than one part in so many of it, or once so many times
/// as much stands there as is used: writing all of it for each edit would cost more than the edit.
const PARTS: usize = 4;

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
    /// It was written down whole.
    Former(Range<usize>),
    /// It was worked out since.
    Since(Range<usize>),
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

    /// What [`Self::leave`] wrote down for the program called `maker`; as much of it as is so.
    pub fn read(whole: Vec<u8>, since: Vec<u8>, maker: &str) -> Self {
        let [former, since] = [whole, since].map(|bytes| Former::read(bytes, maker).unwrap_or_default());
        Self { former: Arc::new(former), since, ..Self::empty() }
    }

    /// Hands over everything that this run used, in parts that follow each other, for the next one by the same program.
    pub fn leave(&self, maker: &str, mut write: impl FnMut(Left, &[&[u8]])) {
        let used = self.used();
        let values: Vec<(Digest, &Used)> = used.iter().map(|(key, value)| (*key, value)).collect();
        let is_former = |(_, value): &(Digest, &Used)| matches!(value, Used::Former(_));
        let later: Vec<(Digest, &Used)> = values.iter().copied().filter(|value| !is_former(value)).collect();
        let size = |values: &[(Digest, &Used)]| values.iter().map(|(_, it)| self.bytes_of(it).len()).sum::<usize>();
        let since = size(&later);
        let serving = size(&values) - since;
        let all: usize = self.former.places.iter().map(|(_, range)| range.len()).sum();
        let goes_on = all > 0 && since * PARTS <= all && all <= serving * PARTS;
        if !goes_on {
            self.write_down(Left::Whole, &values, maker, &mut write);
        }
        self.write_down(Left::Since, if goes_on { &later } else { &[] }, maker, &mut write);
    }

    /// A memo for the next run in the same process.
    #[must_use]
    pub fn next(&self) -> Self {
        let (mut whole, mut since) = (None, Vec::new());
        self.leave("", |left, parts| match left {
            Left::Whole => whole = Some(parts.concat()),
            Left::Since => since = parts.concat(),
        });
        let former = match whole {
            Some(whole) => Arc::new(Former::read(whole, "").unwrap_or_default()),
            None => Arc::clone(&self.former),
        };
        Self { former, since: Former::read(since, "").unwrap_or_default(), ..Self::empty() }
    }

    /// Values as [`Former::read`] reads them, ascending by keys.
    fn write_down(&self, left: Left, values: &[(Digest, &Used)], maker: &str, write: &mut impl FnMut(Left, &[&[u8]])) {
        let lengths: Vec<(Digest, usize)> = values.iter().map(|(key, it)| (*key, self.bytes_of(it).len())).collect();
        let head = said(&(maker, lengths), Vec::new()).unwrap_or_default();
        let bytes = values.iter().map(|(_, value)| self.bytes_of(value));
        let parts: Vec<&[u8]> = std::iter::once(head.as_slice()).chain(bytes).collect();
        write(left, &parts);
    }

    fn bytes_of<'m>(&'m self, value: &'m Used) -> &'m [u8] {
        match value {
            Used::Former(range) => self.former.bytes.get(range.clone()).unwrap_or_default(),
            Used::Since(range) => self.since.bytes.get(range.clone()).unwrap_or_default(),
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
        self.named(what, made_from, make).0
    }

    /// The same, with a name for all that decides it; without one where nothing is remembered.
    pub fn named<T: Serialize + DeserializeOwned>(
        &self,
        what: &str,
        made_from: &impl Serialize,
        make: impl FnOnce() -> T,
    ) -> (T, Option<Digest>) {
        let Some(key) = self.key(what, made_from) else { return (make(), None) };
        if let Some(value) = self.known(&key) {
            return (value, Some(key));
        }
        let value = make();
        self.put(key, &value);
        (value, Some(key))
    }

    /// The value of that kind that `made_from` decides, if it is remembered.
    pub fn recall<T: DeserializeOwned>(&self, what: &str, made_from: &impl Serialize) -> Option<T> {
        self.known(&self.key(what, made_from)?)
    }

    /// The value of a name that [`Self::named`] gave, if it is remembered.
    pub fn recall_named<T: DeserializeOwned>(&self, name: &Digest) -> Option<T> {
        self.known(name)
    }

    /// Remembers a value of that kind, which `made_from` decides.
    pub fn note(&self, what: &str, made_from: &impl Serialize, value: &impl Serialize) {
        if let Some(key) = self.key(what, made_from) {
            self.put(key, value);
        }
    }

    fn key(&self, what: &str, made_from: &impl Serialize) -> Option<Digest> {
        if self.is_wanted { Digest::of_said(|to| said(&(what, made_from), to)) } else { None }
    }

    fn known<T: DeserializeOwned>(&self, key: &Digest) -> Option<T> {
        let former = || self.former.place(key).cloned().map(Used::Former);
        let used = former().or_else(|| self.since.place(key).cloned().map(Used::Since))?;
        let value = postcard::from_bytes(self.bytes_of(&used)).ok()?;
        self.used().insert(*key, used);
        Some(value)
    }

    fn put(&self, key: Digest, value: &impl Serialize) {
        if let Some(bytes) = said(value, Vec::with_capacity(USUAL_VALUE)) {
            self.used().insert(key, Used::New(bytes.into()));
        }
    }

    /// What was noted stays true if a thread failed.
    fn used(&self) -> MutexGuard<'_, BTreeMap<Digest, Used>> {
        self.used.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// Room for most values, in bytes.
const USUAL_VALUE: usize = 8 * 1024;

#[cfg(test)]
mod tests {
    use super::*;

    /// What a memo writes down: all, and what came since.
    fn left(memo: &Memo) -> (Option<Vec<u8>>, Vec<u8>) {
        let (mut whole, mut since) = (None, Vec::new());
        memo.leave("one", |left, parts| match left {
            Left::Whole => whole = Some(parts.concat()),
            Left::Since => since = parts.concat(),
        });
        (whole, since)
    }

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
        memo = Memo::read(left(&memo).0.unwrap(), Vec::new(), "one");
        ask(&memo, "flow", "a", false);
        ask(&memo, "flow", "b", true);
        ask(&memo, "entry", "a", true);
        let written = left(&memo).0.unwrap();
        memo = memo.next();
        ask(&memo, "flow", "b", false);
        // Another program's memo is none.
        ask(&Memo::read(written.clone(), Vec::new(), "two"), "flow", "a", true);
        ask(&Memo::read(written.clone(), Vec::new(), "one"), "flow", "b", false);
        for length in 0..written.len() {
            ask(&Memo::read(written[..length].to_vec(), Vec::new(), "one"), "flow", "b", true);
        }
        ask(&Memo::none(), "flow", "a", true);
    }
    #[test]
    fn a_little_more_is_written_down_by_itself() {
        let of = |memo: &Memo, from: usize| memo.value("flow", &from, || vec![from; 8]);
        let memo = Memo::empty();
        (0..100).for_each(|from| _ = of(&memo, from));
        let whole = left(&memo).0.unwrap();
        let again = |since: Vec<u8>, range: std::ops::Range<usize>| {
            let memo = Memo::read(whole.clone(), since, "one");
            range.for_each(|from| assert_eq!(of(&memo, from), vec![from; 8]));
            left(&memo)
        };
        let (written, since) = again(Vec::new(), 0..105);
        assert!(written.is_none() && since.len() < whole.len() / 10);
        // What came since is known, and written down once more beside what comes now.
        let (written, more) = again(since.clone(), 0..110);
        assert!(written.is_none() && more.len() > since.len());
        // Too much has come, or too little of it is used any more.
        assert!(again(Vec::new(), 0..150).0.is_some());
        assert!(again(Vec::new(), 0..10).0.is_some_and(|again| again.len() < whole.len() / 5));
    }
}
