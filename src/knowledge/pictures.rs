//! Pictures that nothing shows.

use std::collections::BTreeSet;

use crate::diagnostic::{Mark, MarkId, Span};
use crate::entry::{Entries, Kind};
use crate::source::Folder;

/// Marks pictures that no text shows, unless some text could not be read and may show them.
pub(super) fn inspect(folder: &Folder, entries: &Entries, used: &BTreeSet<String>, marks: &mut Vec<Mark>) {
    let is_whole = Kind::ALL.into_iter().flat_map(|kind| entries.heads(kind)).all(|head| !head.faulty.whole);
    let meant = |picture: &str| {
        let missing = marks.iter().filter(|mark| mark.id == MarkId::MissingPicture);
        missing.filter_map(|mark| mark.fact("nearest")).any(|nearest| nearest == picture)
    };
    let unused = folder.pictures.iter().enumerate().filter(|(_, picture)| is_whole && !used.contains(*picture));
    let unused: Vec<_> = unused.filter(|(_, picture)| !meant(picture)).collect();
    marks.extend(unused.into_iter().map(|(at, picture)| {
        Mark::new(MarkId::UnusedPicture, Span::start_of(folder.picture_id(at))).with("found", picture.clone())
    }));
}
