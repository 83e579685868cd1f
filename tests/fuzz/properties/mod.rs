//! What must hold for every text that a shop's folder may hold: one function a target.
//!
//! The fuzzer calls these with inputs that it makes up; the tests of the main crate call them with the inputs that are
//! kept in `corpus/`. A function that returns found nothing.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a finding panics"
)]
#![allow(unreachable_pub, reason = "the fuzz crate reaches what the tests of the main crate do not")]

mod calculation;
mod fits;
mod flows;
mod folder;
mod front_matter;
mod markdown_links;
mod search_index;

pub use calculation::calculation;
pub use fits::fits;
pub use flows::flows;
pub use front_matter::front_matter;
pub use markdown_links::markdown_links;
pub use search_index::search_index;

/// A target and its name.
type Target = (&'static str, fn(&[u8]));

/// Every target.
pub const TARGETS: [Target; 6] = [
    ("calculation", calculation),
    ("fits", fits),
    ("flows", flows),
    ("front_matter", front_matter),
    ("markdown_links", markdown_links),
    ("search_index", search_index),
];
