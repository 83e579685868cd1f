//! Short names for bytes: the same name, the same bytes.

use std::cell::Cell;
use std::fmt;

use serde::{Deserialize, Serialize};
use twox_hash::xxhash3_128;

/// A name for some bytes: XXH3 with 128 bits and no seed, as the xxHash specification writes it. Two texts that differ by
/// accident never share one. It is no seal: who writes entries could make two texts that do, on purpose, and spare a page of
/// his own a change.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub struct Digest(u128);

impl Digest {
    /// The name of `bytes`.
    pub fn of(bytes: &[u8]) -> Self {
        Self(xxhash3_128::Hasher::oneshot(bytes))
    }

    /// The name of what `say` adds to an empty buffer, such as [`said`] does; `None` if it cannot be said. Each thread keeps a
    /// buffer: much is said again and again, and asking for memory a little more each time is slow.
    pub fn of_said(say: impl FnOnce(Vec<u8>) -> Option<Vec<u8>>) -> Option<Self> {
        thread_local! {
            static BUFFER: Cell<Vec<u8>> = const { Cell::new(Vec::new()) };
        }
        let mut said = say(BUFFER.take())?;
        let digest = Self::of(&said);
        if said.capacity() <= MOST_KEPT {
            said.clear();
            BUFFER.set(said);
        }
        Some(digest)
    }

    /// The name of what parts are one after the other.
    pub fn of_parts(parts: &[&[u8]]) -> Self {
        if let [whole] = parts {
            // At once is quicker.
            return Self::of(whole);
        }
        let mut hasher = xxhash3_128::Hasher::new();
        parts.iter().for_each(|part| hasher.write(part));
        Self(hasher.finish_128())
    }

    /// The name of what is written of something, which need not stand in memory.
    pub fn of_written(written: fmt::Arguments<'_>) -> Self {
        let mut hashed = Hashed(xxhash3_128::Hasher::new());
        // A digest takes all that comes.
        _ = fmt::Write::write_fmt(&mut hashed, written);
        Self(hashed.0.finish_128())
    }

    /// The name that [`fmt::Display`] wrote: 32 hexadecimal digits.
    pub fn from_hex(text: &str) -> Option<Self> {
        let is_whole = text.len() == 32 && text.bytes().all(|byte| byte.is_ascii_hexdigit());
        u128::from_str_radix(text, 16).ok().filter(|_| is_whole).map(Self)
    }
}

/// What a file was made from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct MadeFrom {
    /// A name for all that decides its bytes, and nothing else.
    pub origin: Digest,
    /// A name for more than that, but known much sooner: while it stays the same, so do the bytes.
    pub circumstances: Option<Digest>,
}

impl From<Digest> for MadeFrom {
    fn from(origin: Digest) -> Self {
        Self { origin, circumstances: None }
    }
}

/// Adds to `to` all that a value says, so that two values of one type that differ say something else; `None` if that cannot
/// be said. The bytes are those of the crate postcard, which can read them again.
pub fn said(value: &(impl Serialize + ?Sized), to: Vec<u8>) -> Option<Vec<u8>> {
    postcard::serialize_with_flavor(value, Bytes(to)).ok()
}

/// Takes what is said. The crate's own takers copy texts byte by byte.
struct Bytes(Vec<u8>);

impl postcard::ser_flavors::Flavor for Bytes {
    type Output = Vec<u8>;

    fn try_push(&mut self, byte: u8) -> postcard::Result<()> {
        self.0.push(byte);
        Ok(())
    }

    fn try_extend(&mut self, bytes: &[u8]) -> postcard::Result<()> {
        self.0.extend_from_slice(bytes);
        Ok(())
    }

    fn finalize(self) -> postcard::Result<Vec<u8>> {
        Ok(self.0)
    }
}

/// A buffer of more bytes is not kept.
const MOST_KEPT: usize = 1024 * 1024;

struct Hashed(xxhash3_128::Hasher);

impl fmt::Write for Hashed {
    fn write_str(&mut self, text: &str) -> fmt::Result {
        self.0.write(text.as_bytes());
        Ok(())
    }
}

impl fmt::Display for Digest {
    /// As 32 hexadecimal digits. Lists of files have thousands of them, and the standard library writes such long numbers slowly.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let mut digits = [0; 32];
        for (pair, byte) in digits.chunks_exact_mut(2).zip(self.0.to_be_bytes()) {
            pair.copy_from_slice(&[hexadecimal(byte >> 4), hexadecimal(byte & 15)]);
        }
        f.write_str(std::str::from_utf8(&digits).map_err(|_| fmt::Error)?)
    }
}

fn hexadecimal(value: u8) -> u8 {
    if value < 10 { b'0' + value } else { b'a' + value - 10 }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_digest_is_written_and_read() {
        for text in ["", "a", "The quick brown fox"] {
            let digest = Digest::of(text.as_bytes());
            assert_eq!(Digest::from_hex(&digest.to_string()), Some(digest));
            assert_eq!(digest.to_string(), format!("{:032x}", digest.0));
            assert_eq!(Digest::of_written(format_args!("{text}")), digest);
            // The buffer of the one before is empty.
            let say = |mut to: Vec<u8>| {
                to.extend_from_slice(text.as_bytes());
                Some(to)
            };
            assert_eq!(Digest::of_said(say), Some(digest));
            let (begin, rest) = text.as_bytes().split_at(text.len() / 2);
            assert_eq!(Digest::of_parts(&[begin, rest]), digest);
        }
        // Of nothing at all; from the reference implementation's own tests (xxHash 0.8), recalled from memory.
        assert_eq!(Digest::of(b"").to_string(), "99aa06d3014798d86001c324468d497f");
        for text in ["", "1", "+9aa06d3014798d86001c324468d497f", "99aa06d3014798d86001c324468d497fa"] {
            assert_eq!(Digest::from_hex(text), None);
        }
    }
}
