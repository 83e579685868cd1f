//! The search: its scores against an outside library, its results against the page's script and against the
//! judgement of people; what it says of words that it does not understand.

mod again;
mod command;
mod judged;
mod reference;
mod script;
mod understood;

use std::sync::OnceLock;

use baybook::entry::read_entries;
use baybook::knowledge::{Knowledge, link};
use baybook::page::search::Index;
use baybook::source::read_folder;

/// The demonstration, linked.
fn demo() -> &'static Knowledge {
    static DEMO: OnceLock<Knowledge> = OnceLock::new();
    DEMO.get_or_init(|| {
        let (folder, _) = read_folder(&super::support::repository().join("kb")).unwrap();
        let (entries, _) = read_entries(&folder);
        link(&entries, &folder, None).0
    })
}

fn index() -> &'static Index {
    static INDEX: OnceLock<Index> = OnceLock::new();
    INDEX.get_or_init(|| Index::new(demo()))
}
