//! Which vehicles something fits: an exact algebra of sets over lines, model years and options.
//!
//! In: the vehicle lines, and boxes as `fits` writes them. Out: [`Region`]s with the operations of sets, the
//! partition that a list of regions makes, boxes for data files and phrases for people. Never: lists the vehicles
//! one by one (50 lines of 30 years and 12 options have more than a hundred million), never guesses.
//!
//! A region is one reduced decision diagram for each line: the year is asked first, then the options in the order
//! written. Disjoint boxes were the other choice; they have no canonical form that is cheap to reach, so equality
//! would need two differences, and every difference can multiply boxes. A reduced diagram of a fixed order is
//! unique for its set: equality is comparison, and an operation costs at most the product of two sizes.

mod cover;
mod diagram;
mod phrase;
mod region;
mod split;
mod universe;

pub use cover::FitBox;
pub use region::{MOST_WAYS, Region};
pub use universe::{Selection, Universe, Vehicle};
