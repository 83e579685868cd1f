//! Output: the site on disk, all of it or nothing.
//!
//! In: files, one by one, and the folder to publish to. Out: what changed, or one [`OutputFault`]; then the
//! former site stands as it was. Never: writes outside the folder and the working folder beside it, replaces a
//! folder that it did not make, decides what a page says.
//!
//! The working folder `.<name>.baybook` stands beside the published one, on the same file system, and stays between
//! runs. It holds `lock`, which one publisher at a time holds, what runs leave for the next one ([`Kept`]), and `next`,
//! where the new site is put together while its files are made, so that they never stand in memory together. Then the two
//! folders are exchanged in one step, and `next` is the former site: the following run brings it up to date in place,
//! because creating thousands of files is far slower than overwriting the few that differ.
#![allow(clippy::disallowed_methods, clippy::disallowed_types, reason = "this is the one room that writes")]

mod edit;
mod exchange;
mod fault;
mod marker;
mod origins;
mod record;
mod site;
mod staging;
mod stamps;
mod target;
mod tree;
mod work;

use std::path::Path;
use std::time::Duration;

pub use edit::{Change, EditFault, change, create};
pub use fault::{OutputFault, PathFault};
pub use marker::MARKER_NAME;
pub use origins::Origin;
pub use record::{Kept, keep, open, recall, stands};
pub use site::{Site, SiteFile};
pub use staging::{Staging, Stopped};
pub use work::working_folder;

use crate::diagnostic::Digest;
use marker::Marker;
use rayon::prelude::*;
use target::Former;

/// What is told while a site is published.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Notice {
    /// Another publisher is at work on the same folder; said once.
    Waiting,
    /// The folder is this run's, and files may come.
    Begun,
    /// All files stand ready; the system is asked to put them on the disk.
    Settling,
}

/// What changed on disk, by paths inside the site, in order.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Published {
    /// Files that the former site did not have.
    pub added: Vec<String>,
    /// Files whose bytes differ from the former site's.
    pub changed: Vec<String>,
    /// Files of the former site that are gone.
    pub removed: Vec<String>,
    /// Number of files that stayed the same.
    pub unchanged: usize,
    /// A name for exactly this site, byte for byte.
    pub print: String,
}

/// Publishes `site` as the folder `out`, waiting up to `patience` for another publisher to finish. Where the folder
/// already says the same, byte for byte, it is not touched.
///
/// # Errors
/// The fault that stopped it. The former site then stands whole at `out`.
pub fn publish(
    site: &Site,
    out: &Path,
    patience: Duration,
    talk: &mut dyn FnMut(Notice),
) -> Result<Published, OutputFault> {
    let staging = Staging::open(out, "", patience, talk)?;
    talk(Notice::Begun);
    let files: Vec<(&str, &[u8])> = site.files().collect();
    // A fault stops the rest, and is told at the end.
    _ = files.par_iter().try_for_each(|(path, bytes)| staging.take(path, &[bytes], None));
    staging.finish(talk)
}

fn compare(former: &Former, marker: &Marker) -> Published {
    let before = former.marker();
    let mut published = Published::default();
    for (path, print) in &marker.files {
        match before.and_then(|before| before.files.get(path)) {
            None => published.added.push(path.clone()),
            Some(old) if old == print => published.unchanged += 1,
            Some(_) => published.changed.push(path.clone()),
        }
    }
    let gone =
        |before: &Marker| before.files.keys().filter(|path| !marker.files.contains_key(*path)).cloned().collect();
    published.removed = before.map_or_else(Vec::new, gone);
    // The former site's list may have been touched by others.
    published.removed.sort_unstable();
    published
}

impl Former {
    fn marker(&self) -> Option<&Marker> {
        match self {
            Self::Missing | Self::Empty => None,
            Self::Made(marker, _) => Some(marker),
        }
    }

    /// A name for exactly the former site, byte for byte, if there is one.
    fn print(&self) -> Option<Digest> {
        match self {
            Self::Missing | Self::Empty => None,
            Self::Made(_, print) => Some(*print),
        }
    }
}
