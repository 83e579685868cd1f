//! Reads the folder of entries.
//!
//! In: the path of the folder. Out: every text file with its path inside the folder, in a fixed order, and the
//! list of pictures; what earlier runs worked out; a mark for each file that cannot be read. Never: writes, follows a
//! link out of the folder, reads more than [`ENTRY_LIMIT`] or [`SETTINGS_LIMIT`] bytes of a text, looks at what the
//! texts say.
#![allow(clippy::disallowed_methods, clippy::disallowed_types, reason = "this is the room that reads")]

mod folder;
mod memo;
mod overlay;
mod picture;
mod program;
mod reading;
mod watch;

pub use folder::{Folder, SourceFault, TextFile, folder_of, read_folder};
pub use memo::{Left, Memo, Reader};
pub use overlay::read_overlay;
pub use picture::read_picture;
pub use program::program_bytes;
pub use watch::Watch;

/// The largest entry that is read, in bytes: some forty thousand words. Reading and showing Markdown that is made to be
/// hard takes up to half a kilobyte of memory for each of its bytes.
pub const ENTRY_LIMIT: u64 = 192 * 1024;

/// The largest file of settings that is read, in bytes.
pub const SETTINGS_LIMIT: u64 = 384 * 1024;

/// The largest picture that is copied, in bytes.
pub const PICTURE_LIMIT: u64 = 8 * 1024 * 1024;
