//! The marker: the file that says that a folder was made here, and of what.
//!
//! Its first line names the format; every other line is one file of the site: digest of its content (XXH128, in
//! hexadecimal), size in bytes and path, in the order of paths. It depends on nothing but the site, so the same site has the same
//! marker, and a copy of a site can be checked against it.

use std::fmt::Write;
use std::io;
use std::path::Path;

use serde::{Deserialize, Serialize};

use super::OutputFault;
use super::site::ByPath;
use super::tree::length;
use crate::diagnostic::Digest;

/// Name of the marker in a published folder.
pub const MARKER_NAME: &str = ".made-by-baybook";

const FORMAT: &str = "baybook site, format 2";

/// The first line of markers whose digests are of another kind. Such a site may be replaced: each of its files counts as one
/// that differs.
const FORMER_FORMAT: &str = "baybook site, format 1";

/// Size and digest of a file.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub(super) struct Print {
    pub(super) size: u64,
    pub(super) digest: Digest,
}

impl Print {
    pub(super) fn of(bytes: &[u8]) -> Self {
        Self::of_parts(&[bytes])
    }

    /// The same of parts, one after the other.
    pub(super) fn of_parts(parts: &[&[u8]]) -> Self {
        Self { size: length(parts), digest: Digest::of_parts(parts) }
    }

    pub(super) fn is_of(&self, bytes: &[u8]) -> bool {
        self.size == bytes.len() as u64 && *self == Self::of(bytes)
    }
}

/// The files that a folder was made of.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Marker {
    /// In the order of their paths.
    pub(super) files: ByPath<Print>,
}

impl Marker {
    /// The marker of a folder, if it has one, and a name for its text: a name for exactly that site, byte for byte. A link or a
    /// folder of that name is none.
    pub(super) fn read(folder: &Path) -> Result<Option<(Self, Digest)>, OutputFault> {
        let path = folder.join(MARKER_NAME);
        match std::fs::symlink_metadata(&path) {
            Ok(found) if found.is_file() => {}
            Ok(_) => return Ok(None),
            Err(cause) if cause.kind() == io::ErrorKind::NotFound => return Ok(None),
            Err(cause) => return Err(OutputFault::refused("read", &path)(cause)),
        }
        let bytes = std::fs::read(&path).map_err(OutputFault::refused("read", &path))?;
        let parsed = std::str::from_utf8(&bytes).ok().and_then(Self::parse);
        parsed.map(|marker| Some((marker, Digest::of(&bytes)))).ok_or(OutputFault::UnknownMarker { marker: path })
    }

    pub(super) fn to_text(&self) -> String {
        let mut text = format!("{FORMAT}\n");
        for (path, print) in &self.files {
            // A text takes all that comes.
            _ = writeln!(text, "{} {} {path}", print.digest, print.size);
        }
        text
    }

    fn parse(text: &str) -> Option<Self> {
        let (digest, rest): (fn(&str) -> Option<Digest>, &str) = match text.strip_prefix(FORMER_FORMAT) {
            Some(rest) => (|written| (written.len() == 64).then(Digest::default), rest),
            None => (Digest::from_hex, text.strip_prefix(FORMAT)?),
        };
        let rest = rest.strip_prefix('\n')?;
        let files = rest.lines().map(|line| {
            let mut parts = line.splitn(3, ' ');
            let digest = digest(parts.next()?)?;
            let size = parts.next()?.parse().ok()?;
            Some((parts.next()?.to_owned(), Print { size, digest }))
        });
        Some(Self { files: files.collect::<Option<_>>()? })
    }
}
