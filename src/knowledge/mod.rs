//! Knowledge: the entries linked to each other and to the vehicles that they speak of.
//!
//! In: entries as meant, with every value's place. Out: the same, with every reference resolved and every
//! `fits` an exact set of vehicles, and the marks. Never: reads a file, calculates, decides, renders.

pub mod fit;
