//! The integration tests: one binary, one module for each topic.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::indexing_slicing, clippy::panic)]

mod decision;
