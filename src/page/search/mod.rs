//! Search: one index, written for the page's script and read in memory by `find`.
//!
//! In: linked knowledge. Out: [`Index`]; an [`Answer`] to a [`Query`]; the script files that the page searches.
//! Never: decides anything about a vehicle, looks at a language's words but through their stems, reads or writes a
//! file. The page's script (`search-engine.js` of the theme) takes the same steps on the same numbers: it gives the
//! same results in the same order.

mod document_files;
mod documents;
mod files;
mod find;
mod index;
mod language;
mod look_up;
mod postings;
mod shares;
mod stock;
mod term_files;
mod tokens;
mod weigh;

pub use documents::{Document, DocumentKind, Passage, PassageClass};
pub use files::{search_files, take_search_files};
pub use find::{Answer, Hit, Query, Reason, Stretch, find};
pub use index::{Form, Index, Likeness, Said, Term, Word};
pub use look_up::{LookUp, ReadAs, Slot, look_up, suggestions};
pub use tokens::{Token, fold, tokens};
pub use weigh::{Counts, FieldScoring, Scoring, Weighed, weigh};
