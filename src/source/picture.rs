//! Pictures are read when a site is written, not before: they are only copied.

use std::path::Path;

use super::PICTURE_LIMIT;
use super::reading::read_limited;

/// The bytes of a picture, by its path inside the folder of entries.
///
/// # Errors
/// A sentence that names the cause.
pub fn read_picture(root: &Path, path: &str) -> Result<Vec<u8>, String> {
    read_limited(&root.join(path), PICTURE_LIMIT).map_err(|cause| format!("the picture `{path}`: {cause}"))
}
