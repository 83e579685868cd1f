//! The corridor: positions, digests, marks and the words for them.
//!
//! In: faults as data, from every room. Out: marks in file and line order, reports in four forms.
//! Never: decides what is a fault, reads or writes a file.

pub mod catalogue;
pub mod report;

mod digest;
mod mark;
mod mark_id;
mod span;

pub use digest::{Digest, MadeFrom, said};
pub use mark::{Mark, Related};
pub use mark_id::{MarkId, Severity};
pub use span::{FileId, Place, Span, Spanned, TextIndex};
