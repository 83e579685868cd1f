//! Baybook compiles a workshop's diagnostic knowledge into a proved, static reference site.
//!
//! Data goes one way, from the folder of entries to the published site:
//!
//! ```text
//! kb/ -> source -> entry -> knowledge -> calculation -> decision -> page -> output -> site-out/
//!         text    spanned    linked        values        flows      HTML    files
//! ```
//!
//! A room imports only the rooms before it. [`diagnostic`] is a corridor that is open to all of them, and
//! `command` stands outside: it walks through the rooms in order. Only [`source`] reads the file system and
//! only `output` writes it. Every room returns its value and its marks.

pub mod calculation;
pub mod command;
pub mod decision;
pub mod diagnostic;
pub mod entry;
pub mod knowledge;
pub mod output;
pub mod page;
pub mod source;
