//! Every test that needs only the public doors, in one binary.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::indexing_slicing, clippy::panic)]

mod calculation;
mod catalogue;
mod decision;
mod fit;
mod output;
mod preview;
mod report;
mod site;
mod support;
