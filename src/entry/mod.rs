//! Entries as meant: what the files of the folder say, with every value's place, not yet linked to each other.

mod vehicles;

pub use vehicles::{Line, OptionValue, VehicleOption, Vehicles};
