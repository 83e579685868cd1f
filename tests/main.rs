//! Every test that needs only the public doors, in one binary.

mod catalogue;
mod fit;
mod support;
//! The integration tests: one binary, one module for each topic.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::indexing_slicing, clippy::panic)]

mod decision;
