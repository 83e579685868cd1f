//! Names given on the command line.

use crate::entry::{ID_LIMIT, Kind, nearest};
use crate::source::Folder;

/// The kind of that word or folder.
///
/// # Errors
/// A sentence with the nearest kind.
pub(super) fn kind_named(written: &str) -> Result<Kind, String> {
    Kind::by_word(written).or_else(|| Kind::of_folder(written)).ok_or_else(|| {
        let words = Kind::ALL.map(Kind::word);
        let near = nearest(written, words.into_iter().chain(Kind::ALL.map(Kind::folder)));
        let near =
            near.map_or_else(|| format!("kinds are {}", words.join(", ")), |near| format!("did you mean `{near}`?"));
        format!("no kind of entry is called `{written}`; {near}")
    })
}

/// Says that `written` is no id.
pub(super) fn no_id(written: &str) -> String {
    format!(
        "`{written}` is no id: lower-case letters and digits in words joined by hyphens, at most {ID_LIMIT} characters"
    )
}

/// Ids and paths of the files of a kind, in whatever sub-folder they lie.
pub(super) fn entry_files(folder: &Folder, kind: Kind) -> impl Iterator<Item = (&str, &str)> {
    let paths = folder.texts.iter().map(|text| text.path.as_str());
    let of_kind = paths.filter(move |path| path.split('/').next() == Some(kind.folder()));
    of_kind.filter_map(|path| Some((path.rsplit('/').next()?.strip_suffix(".md")?, path)))
}
