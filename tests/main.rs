//! Every test that needs only the public doors, in one binary.

mod catalogue;
mod fit;
mod support;
