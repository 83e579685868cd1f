//! A folder of theme files that stand in for the built-in ones.

use std::collections::BTreeMap;
use std::path::Path;

use walkdir::WalkDir;

use super::PICTURE_LIMIT;
use super::reading::read_limited;

/// Every file below `root`, by its path inside it. Dot-files are passed over and links are not followed.
///
/// # Errors
/// A sentence that names the file and the cause.
pub fn read_overlay(root: &Path) -> Result<BTreeMap<String, Vec<u8>>, String> {
    let visible =
        |step: &walkdir::DirEntry| step.depth() == 0 || !step.file_name().as_encoded_bytes().starts_with(b".");
    let mut files = BTreeMap::new();
    for step in WalkDir::new(root).sort_by_file_name().into_iter().filter_entry(visible) {
        let step = step.map_err(|fault| format!("the theme `{}` cannot be read: {fault}", root.display()))?;
        if step.file_type().is_file() {
            let bytes = read_limited(step.path(), PICTURE_LIMIT);
            let bytes = bytes.map_err(|cause| format!("the theme file `{}`: {cause}", step.path().display()))?;
            let parts = step.path().strip_prefix(root).unwrap_or(step.path()).components();
            let name = parts.map(|part| part.as_os_str().to_string_lossy()).collect::<Vec<_>>().join("/");
            files.insert(name, bytes);
        }
    }
    Ok(files)
}
