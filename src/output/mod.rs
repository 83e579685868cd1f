//! Output: the site on disk, all of it or nothing.
//!
//! In: a checked list of files and the folder to publish to. Out: what changed, or one [`OutputFault`]; then the
//! former site stands as it was. Never: writes outside the folder and the working folder beside it, replaces a
//! folder that it did not make, decides what a page says.
//!
//! The working folder `.<name>.baybook` stands beside the published one, on the same file system, and stays between
//! runs. It holds `lock`, which one publisher at a time holds, and `next`, where the new site is put together. Then
//! the two folders are exchanged in one step, and `next` is the former site: the following run brings it up to date
//! in place, because creating thousands of files is far slower than overwriting the few that differ.
#![allow(clippy::disallowed_methods, clippy::disallowed_types, reason = "this is the one room that writes")]

mod edit;
mod exchange;
mod fault;
mod marker;
mod record;
mod site;
mod target;
mod tree;
mod work;

use std::collections::BTreeMap;
use std::io::ErrorKind;
use std::path::Path;
use std::time::Duration;

pub use edit::{Change, EditFault, change, create};
pub use fault::{OutputFault, PathFault};
pub use marker::MARKER_NAME;
pub use record::{keep, recall, stands};
pub use site::{Site, SiteFile};
pub use work::working_folder;

use marker::Marker;
use target::Former;
use work::Work;

/// What is told while a site is published.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Notice {
    /// Another publisher is at work on the same folder; said once.
    Waiting,
    /// So many files of the whole site stand ready.
    Ready {
        /// Files that stand ready.
        done: usize,
        /// Files of the site.
        total: usize,
    },
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
    refuse_early(out)?;
    let work = Work::open(out, patience, talk)?;
    exchange::recover(&work, out)?;
    let former = target::look(out)?;
    let marker = Marker::of(site);
    let print = blake3::hash(marker.to_text().as_bytes()).to_hex().to_string();
    let published = Published { print, ..compare(former.marker(), &marker) };
    if former.marker() == Some(&marker) && tree::is_same(out, site, &marker) {
        return Ok(published);
    }
    let next = work.next();
    tree::bring_up_to_date(&next, site, &marker, former.marker(), talk)
        .and_then(|()| {
            talk(Notice::Settling);
            tree::settle(&next)
        })
        .inspect_err(|fault| free_the_disk(fault, &next))?;
    target::keep_permissions(&former, out, &next)?;
    exchange::put_in_place(&work, out, &former)?;
    Ok(published)
}

/// A folder that is refused gets no working folder beside it. If one stands there, another publisher may be
/// exchanging what is looked at: then the look under the lock decides.
fn refuse_early(out: &Path) -> Result<(), OutputFault> {
    let working = working_folder(out)?;
    match target::look(out) {
        Err(fault) if std::fs::symlink_metadata(working).is_err() => Err(fault),
        _ => Ok(()),
    }
}

/// On a full disk half a site is in everybody's way. If removing it fails as well, the first fault is the one to tell.
fn free_the_disk(fault: &OutputFault, next: &Path) {
    let OutputFault::Refused { cause, .. } = fault else { return };
    if matches!(cause.kind(), ErrorKind::StorageFull | ErrorKind::QuotaExceeded) {
        let _ = std::fs::remove_dir_all(next);
    }
}

fn compare(former: Option<&Marker>, marker: &Marker) -> Published {
    let nothing = BTreeMap::new();
    let before = former.map_or(&nothing, |former| &former.files);
    let mut published = Published::default();
    for (path, print) in &marker.files {
        match before.get(path) {
            None => published.added.push(path.clone()),
            Some(old) if old == print => published.unchanged += 1,
            Some(_) => published.changed.push(path.clone()),
        }
    }
    published.removed = before.keys().filter(|path| !marker.files.contains_key(*path)).cloned().collect();
    published
}

impl Former {
    fn marker(&self) -> Option<&Marker> {
        match self {
            Self::Missing | Self::Empty => None,
            Self::Made(marker) => Some(marker),
        }
    }
}
