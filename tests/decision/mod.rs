//! The decision room against exhaustive search, outside references and published results.

mod policy;
mod proof;
mod random;
