//! What earlier runs worked out: values by a name of all that they were made from.
//!
//! A room asks for a value with everything that decides it. If an earlier run of the same program made it from the
//! same, it is taken over; else it is made. So what is remembered can never differ from what would be made, and a
//! memo may be deleted at any time. Values that no run asks for any more are forgotten once all is written down again.

use std::borrow::Cow;
use std::cell::RefCell;
use std::collections::BTreeMap;
use std::ops::Range;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use rayon::prelude::*;
use serde::Serialize;
use serde::de::DeserializeOwned;

use crate::diagnostic::{Digest, said};

/// Reads what some run wrote down, bit by bit: most of it only when somebody asks for it, and on several cores. Puts the bytes
/// of the range in place of those in the buffer, and says whether there are such and they could be read; makes no room for
/// bytes that are not there.
pub type Reader = Box<dyn Fn(Range<u64>, &mut Vec<u8>) -> bool + Send + Sync>;

/// Of what stands in memory.
fn reader(bytes: Vec<u8>) -> Reader {
    Box::new(move |range, to| {
        let place = usize::try_from(range.start).ok().zip(usize::try_from(range.end).ok());
        let found = place.and_then(|(start, end)| bytes.get(start..end));
        to.clear();
        to.extend_from_slice(found.unwrap_or_default());
        found.is_some()
    })
}

/// What stands before the values that are written down: the maker, and of each its key, its length and a digest of it,
/// ascending by keys.
type Head<'b> = (&'b str, Vec<(Digest, u64, Digest)>);

/// Before that stand its length, the lowest byte first, and its digest, as hexadecimal digits.
const BEFORE_HEAD: u64 = 8 + 32;

/// Values of earlier runs, and those of this one.
#[derive(Default)]
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
const PARTS: u64 = 4;

/// Values of earlier runs, where they were written down: there are many, and most are never looked at.
#[derive(Default)]
struct Former {
    reader: Option<Reader>,
    /// Where each value stands, ascending by keys.
    places: Vec<Place>,
}

/// Where a value stands, and its digest: what is written down may be damaged anywhere.
#[derive(Clone, Debug)]
struct Place {
    key: Digest,
    range: Range<u64>,
    digest: Digest,
}

/// A value that this run used.
#[derive(Debug)]
enum Used {
    /// It was written down whole.
    Former(Place),
    /// It was worked out since.
    Since(Place),
    New(Box<[u8]>),
}

impl Used {
    fn size(&self) -> u64 {
        match self {
            Self::Former(Place { range, .. }) | Self::Since(Place { range, .. }) => range.end - range.start,
            Self::New(bytes) => bytes.len() as u64,
        }
    }
}

impl Former {
    /// What stands there, if `maker` wrote it.
    fn read(reader: Reader, maker: &str) -> Option<Self> {
        let mut bytes = Vec::new();
        let before = reader(0..BEFORE_HEAD, &mut bytes).then_some(&bytes)?;
        let (length, digest) = before.split_at_checked(8)?;
        let (length, digest) = (u64::from_le_bytes(length.try_into().ok()?), digest.to_owned());
        let mut from = BEFORE_HEAD.checked_add(length)?;
        let is_whole = reader(BEFORE_HEAD..from, &mut bytes) && Digest::of(&bytes).to_string().as_bytes() == digest;
        let (known, values): Head<'_> = postcard::from_bytes(&bytes).ok().filter(|_| is_whole)?;
        let place = |(key, length, digest): (Digest, u64, Digest)| {
            let range = from..from.checked_add(length)?;
            from = range.end;
            Some(Place { key, range, digest })
        };
        let places: Vec<Place> = values.into_iter().map(place).collect::<Option<_>>()?;
        let is_sorted = places.is_sorted_by(|a, b| a.key < b.key);
        (known == maker && is_sorted).then_some(Self { reader: Some(reader), places })
    }

    fn place(&self, key: &Digest) -> Option<&Place> {
        let at = self.places.binary_search_by_key(key, |place| place.key).ok()?;
        self.places.get(at)
    }

    /// Puts the value that stands there into `to`; whether it is what was written down.
    fn value(&self, place: &Place, to: &mut Vec<u8>) -> bool {
        let read = |reader: &Reader| reader(place.range.clone(), to) && Digest::of(to) == place.digest;
        self.reader.as_ref().is_some_and(read)
    }

    fn known<T: DeserializeOwned>(&self, place: &Place) -> Option<T> {
        thread_local! {
            // New memory for each value would cost as much as reading it.
            static READ: RefCell<Vec<u8>> = const { RefCell::new(Vec::new()) };
        }
        let value = |bytes: &mut Vec<u8>| self.value(place, bytes).then(|| postcard::from_bytes(bytes).ok()).flatten();
        READ.with_borrow_mut(value)
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
    pub fn read(whole: Option<Reader>, since: Vec<u8>, maker: &str) -> Self {
        let read = |reader| Former::read(reader, maker).unwrap_or_default();
        Self { former: Arc::new(whole.map(read).unwrap_or_default()), since: read(reader(since)), ..Self::empty() }
    }

    /// Hands over everything that this run used, in parts that follow each other, for the next one by the same program.
    pub fn leave(&self, maker: &str, mut write: impl FnMut(Left, &[&[u8]])) {
        // Several cores write it down, and one that waits for the others may be asked for a value meanwhile.
        let used = std::mem::take(&mut *self.used());
        let values: Vec<(Digest, &Used)> = used.iter().map(|(key, value)| (*key, value)).collect();
        let is_former = |(_, value): &(Digest, &Used)| matches!(value, Used::Former(_));
        let later: Vec<(Digest, &Used)> = values.iter().copied().filter(|value| !is_former(value)).collect();
        let size = |values: &[(Digest, &Used)]| values.iter().map(|(_, used)| used.size()).sum::<u64>();
        let since = size(&later);
        let serving = size(&values) - since;
        let all: u64 = self.former.places.iter().map(|place| place.range.end - place.range.start).sum();
        let goes_on = all > 0 && since * PARTS <= all && all <= serving * PARTS;
        if !goes_on {
            self.write_down(Left::Whole, &values, maker, &mut write);
        }
        self.write_down(Left::Since, if goes_on { &later } else { &[] }, maker, &mut write);
        self.used().extend(used);
    }

    /// A memo for the next run in the same process.
    #[must_use]
    pub fn next(&self) -> Self {
        let (mut whole, mut since) = (None, Vec::new());
        self.leave("", |left, parts| match left {
            Left::Whole => whole = Some(parts.concat()),
            Left::Since => since = parts.concat(),
        });
        let read = |written| Former::read(reader(written), "").unwrap_or_default();
        let former = whole.map_or_else(|| Arc::clone(&self.former), |whole| Arc::new(read(whole)));
        Self { former, since: read(since), ..Self::empty() }
    }

    /// Values as [`Former::read`] reads them, ascending by keys.
    fn write_down(&self, left: Left, values: &[(Digest, &Used)], maker: &str, write: &mut impl FnMut(Left, &[&[u8]])) {
        let whole = values.par_iter().filter_map(|(key, used)| {
            let bytes = self.bytes_of(used)?;
            Some(((*key, bytes.len() as u64, Digest::of(&bytes)), bytes))
        });
        let (lengths, bytes): (Vec<_>, Vec<Cow<'_, [u8]>>) = whole.unzip();
        let head = said(&(maker, lengths), Vec::new()).unwrap_or_default();
        let before = [(head.len() as u64).to_le_bytes().as_slice(), Digest::of(&head).to_string().as_bytes()].concat();
        let bytes = bytes.iter().map(|bytes| bytes.as_ref());
        let parts: Vec<&[u8]> = [before.as_slice(), head.as_slice()].into_iter().chain(bytes).collect();
        write(left, &parts);
    }

    /// The bytes of a value, if they are what was written down.
    fn bytes_of<'m>(&self, used: &'m Used) -> Option<Cow<'m, [u8]>> {
        let mut bytes = Vec::new();
        let is_whole = match used {
            Used::Former(place) => self.former.value(place, &mut bytes),
            Used::Since(place) => self.since.value(place, &mut bytes),
            Used::New(bytes) => return Some(Cow::Borrowed(bytes)),
        };
        is_whole.then_some(Cow::Owned(bytes))
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
        let former =
            self.former.place(key).and_then(|place| Some((self.former.known(place)?, Used::Former(place.clone()))));
        let since =
            || self.since.place(key).and_then(|place| Some((self.since.known(place)?, Used::Since(place.clone()))));
        let (value, used) = former.or_else(since)?;
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

    fn read(whole: Vec<u8>, since: Vec<u8>, maker: &str) -> Memo {
        Memo::read(Some(reader(whole)), since, maker)
    }

    #[test]
    fn damage_is_noticed_wherever_it_is() {
        let memo = Memo::empty();
        let values = |memo: &Memo, made: &mut usize| {
            let mut value = |from: u64| {
                memo.value("value", &from, || {
                    *made += 1;
                    from << 32 | from
                })
            };
            [7, 8, 9].map(&mut value)
        };
        let right = values(&memo, &mut 0);
        let whole = left(&memo).0.unwrap();
        let cut = (0..whole.len()).map(|length| whole[..length].to_vec());
        let turned = (0..whole.len() * 8).map(|bit| {
            let mut turned = whole.clone();
            turned[bit / 8] ^= 1 << (bit % 8);
            turned
        });
        for damaged in cut.chain(turned) {
            let (memo, mut made) = (read(damaged, Vec::new(), "one"), 0);
            assert_eq!(values(&memo, &mut made), right);
            assert!(made > 0, "the damage was not noticed");
            // What was made again stands by itself, and is found there.
            let (again, since) = left(&memo);
            let memo = read(again.unwrap_or_else(|| whole.clone()), since, "one");
            made = 0;
            assert_eq!((values(&memo, &mut made), made), (right, 0));
        }
    }

    #[test]
    fn a_damaged_value_is_made_again_once() {
        let memo = Memo::empty();
        let ask = |memo: &Memo| {
            let mut made = Vec::new();
            for from in 0..100_u64 {
                let value = memo.value("value", &from, || {
                    made.push(from);
                    from << 32
                });
                assert_eq!(value, from << 32);
            }
            made.len()
        };
        assert_eq!(ask(&memo), 100);
        let mut whole = left(&memo).0.unwrap();
        *whole.last_mut().unwrap() ^= 1;
        let memo = read(whole.clone(), Vec::new(), "one");
        assert_eq!(ask(&memo), 1);
        let (again, since) = left(&memo);
        assert_eq!(again, None);
        // The damage is still there, and what was made again stands elsewhere.
        assert_eq!(ask(&read(whole, since, "one")), 0);
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
        memo = read(left(&memo).0.unwrap(), Vec::new(), "one");
        ask(&memo, "flow", "a", false);
        ask(&memo, "flow", "b", true);
        ask(&memo, "entry", "a", true);
        let written = left(&memo).0.unwrap();
        memo = memo.next();
        ask(&memo, "flow", "b", false);
        // Another program's memo is none.
        ask(&read(written.clone(), Vec::new(), "two"), "flow", "a", true);
        ask(&read(written, Vec::new(), "one"), "flow", "b", false);
        ask(&Memo::none(), "flow", "a", true);
    }
    #[test]
    fn a_little_more_is_written_down_by_itself() {
        let of = |memo: &Memo, from: usize| memo.value("flow", &from, || vec![from; 8]);
        let memo = Memo::empty();
        (0..100).for_each(|from| _ = of(&memo, from));
        let whole = left(&memo).0.unwrap();
        let again = |since: Vec<u8>, range: std::ops::Range<usize>| {
            let memo = read(whole.clone(), since, "one");
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
