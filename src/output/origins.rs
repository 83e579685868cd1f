//! What the files of a published site were made from: a cache in the working folder, beside the site and never in it.
//!
//! Each file has an origin: a digest of all that decides its bytes. The next run need not make a file again whose
//! origin is the same. A cache that another maker left, or that belongs to another site than the one that stands, is as
//! good as none: its first two lines name maker and site.

use std::fmt::Write;
use std::path::Path;

use super::record::{Kept, keep, recall};
use super::site::ByPath;
use crate::diagnostic::{Digest, MadeFrom};

/// A name for all that decides the bytes of a file.
pub type Origin = Digest;

/// What files were made from, by path.
#[derive(Default)]
pub(super) struct Origins {
    maker: String,
    by_path: ByPath<MadeFrom>,
}

impl Origins {
    /// None yet, for files that `maker` makes; without a name nothing is known of it, and nothing is kept.
    pub(super) fn of(maker: &str) -> Self {
        Self { maker: maker.to_owned(), by_path: ByPath::default() }
    }

    /// What the last run left for `out`, if the same maker made the site, and of which site.
    pub(super) fn read(out: &Path, maker: &str) -> Option<(Digest, Self)> {
        let bytes = if maker.is_empty() { None } else { recall(out, Kept::Origins) }?;
        let (site, by_path) = parse(std::str::from_utf8(&bytes).ok()?, maker)?;
        Some((site, Self { maker: maker.to_owned(), by_path }))
    }

    pub(super) fn get(&self, path: &str) -> Option<&MadeFrom> {
        self.by_path.get(path)
    }

    pub(super) fn set(&mut self, path: &str, made_from: MadeFrom) {
        self.by_path.insert(path.to_owned(), made_from);
    }

    /// Leaves them for the next run. Without them the next run makes everything again, which is no fault of this one.
    pub(super) fn keep(&self, out: &Path, site: &Digest) {
        if !self.by_path.is_empty() && !self.maker.is_empty() {
            _ = keep(out, Kept::Origins, &[self.to_text(site).as_bytes()]);
        }
    }

    fn to_text(&self, site: &Digest) -> String {
        let mut text = format!("{}\n{site}\n", self.maker);
        for (path, MadeFrom { origin, circumstances }) in &self.by_path {
            // A text takes all that comes.
            _ = match circumstances {
                Some(circumstances) => writeln!(text, "{origin} {circumstances} {path}"),
                None => writeln!(text, "{origin} - {path}"),
            };
        }
        text
    }
}

fn parse(text: &str, maker: &str) -> Option<(Digest, ByPath<MadeFrom>)> {
    let (site, rest) = text.strip_prefix(maker)?.strip_prefix('\n')?.split_once('\n')?;
    let line = |line: &str| {
        let (origin, rest) = line.split_once(' ')?;
        let (circumstances, path) = rest.split_once(' ')?;
        let circumstances = if circumstances == "-" { None } else { Some(Digest::from_hex(circumstances)?) };
        Some((path.to_owned(), MadeFrom { origin: Digest::from_hex(origin)?, circumstances }))
    };
    Some((Digest::from_hex(site)?, rest.lines().map(line).collect::<Option<_>>()?))
}
