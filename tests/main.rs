//! Every test that needs only the public doors, in one binary.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::indexing_slicing, clippy::panic)]
#![allow(clippy::disallowed_methods, clippy::disallowed_types, reason = "tests make folders and look at sites")]

mod architecture;
mod broken;
mod calculation;
mod cases;
mod catalogue;
mod commands;
mod decision;
mod diagram;
mod fit;
mod fuzz;
mod hostile;
mod output;
mod preview;
mod property;
mod reading;
mod report;
mod search;
mod site;
mod support;
mod watch;
