//! The decision room against exhaustive search, outside references and published results.

mod bay;
mod policy;
mod posteriors;
mod proof;
mod published;
mod random;
mod reasons;
mod rejoining;
mod remembered;
mod script;
