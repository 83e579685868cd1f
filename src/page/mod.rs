//! Pages: what readers see.
//!
//! In: linked knowledge, and a theme. Out: every file of the site, as path and bytes, one by one. Never: decides what is right,
//! looks at the day, reads or writes a file.

pub mod diagram;
pub mod search;

mod addressed;
mod booklet;
mod calculators;
mod context;
mod data;
mod dates;
mod edition;
mod entry_page;
mod evidence;
mod flow_context;
mod flow_data;
mod flow_page;
mod flow_verdict;
mod frame;
mod handout;
mod highlight;
mod html;
mod leaves;
mod ledgers;
mod link;
mod listings;
mod markdown;
mod numbers;
mod offline;
mod outlet;
mod qr;
mod rendering;
mod site;
mod theme;
mod vehicle_pages;
mod work_pages;

pub use offline::{WHOLE_COPY, offline_files};
pub use outlet::{FilePrint, InMemory, Origin, Outlet};
pub use site::{Findings, Making, Notice, PageFault, PageFile, Told, page_count, pages};
pub use theme::{Theme, ThemeFault};
