//! Every test that needs only the public doors, in one binary.

mod calculation;
mod fit;
