//! What earlier runs worked out: values by a name of all that they were made from.
//!
//! A room asks for a value with everything that decides it. If an earlier run of the same program made it from the
//! same, it is taken over; else it is made. So what is remembered can never differ from what would be made, and a
//! memo may be deleted at any time. Values that a run did not ask for are forgotten.

use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use serde::Serialize;
use serde::de::DeserializeOwned;

use super::Digest;

type Key = Digest;

/// What is written down: the maker, and the values by their keys.
type Written<'b> = (&'b str, Vec<(Key, &'b [u8])>);

/// Values of earlier runs, and those of this one.
#[derive(Debug, Default)]
pub struct Memo {
    former: BTreeMap<Key, Arc<[u8]>>,
    used: Mutex<BTreeMap<Key, Arc<[u8]>>>,
    is_wanted: bool,
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
    pub fn read(bytes: &[u8], maker: &str) -> Self {
        let written: Option<Written<'_>> = postcard::from_bytes(bytes).ok();
        let values = written.filter(|(known, _)| *known == maker).map(|(_, values)| values).unwrap_or_default();
        Self { former: values.into_iter().map(|(key, value)| (key, value.into())).collect(), ..Self::empty() }
    }

    /// Everything that this run used, for the next one by the same program.
    pub fn to_bytes(&self, maker: &str) -> Vec<u8> {
        let used = self.used();
        let values: Vec<(&Key, &[u8])> = used.iter().map(|(key, value)| (key, &**value)).collect();
        postcard::to_stdvec(&(maker, values)).unwrap_or_default()
    }

    /// A memo for the next run in the same process.
    #[must_use]
    pub fn next(&self) -> Self {
        Self { former: self.used().clone(), ..Self::empty() }
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

    fn key(&self, what: &str, made_from: &impl Serialize) -> Option<Key> {
        let bytes = if self.is_wanted { postcard::to_stdvec(&(what, made_from)).ok() } else { None };
        bytes.map(|bytes| Digest::of(&bytes))
    }

    fn known<T: DeserializeOwned>(&self, key: &Key) -> Option<T> {
        let bytes = self.former.get(key)?;
        let value = postcard::from_bytes(bytes).ok()?;
        self.used().insert(*key, Arc::clone(bytes));
        Some(value)
    }

    fn put(&self, key: Key, value: &impl Serialize) {
        if let Ok(bytes) = postcard::to_stdvec(value) {
            self.used().insert(key, bytes.into());
        }
    }

    /// What was noted stays true if a thread failed.
    fn used(&self) -> MutexGuard<'_, BTreeMap<Key, Arc<[u8]>>> {
        self.used.lock().unwrap_or_else(PoisonError::into_inner)
    }
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
        memo = Memo::read(&memo.to_bytes("one"), "one");
        ask(&memo, "flow", "a", false);
        ask(&memo, "flow", "b", true);
        ask(&memo, "entry", "a", true);
        let written = memo.to_bytes("one");
        memo = memo.next();
        ask(&memo, "flow", "b", false);
        // What was not asked for is forgotten, and another program's memo is none.
        memo = memo.next();
        ask(&memo, "flow", "a", true);
        ask(&Memo::read(&written, "two"), "flow", "a", true);
        ask(&Memo::read(&written[..written.len() / 2], "one"), "flow", "b", true);
        ask(&Memo::none(), "flow", "a", true);
    }
}
