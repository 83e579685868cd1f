//! Every test that needs only the public doors, in one binary.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::indexing_slicing, clippy::panic)]

mod architecture;
mod broken;
mod calculation;
mod cases;
mod catalogue;
mod commands;
mod decision;
mod fit;
mod output;
mod property;
mod reading;
mod report;
mod site;
mod support;
