//! Vehicle lines as meant: what can be told apart when an entry says what it fits.

use crate::diagnostic::Span;

/// Every line of the shop, in the order of their ids.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Vehicles {
    /// The lines.
    pub lines: Vec<Line>,
}

/// A vehicle line: a run of model years and the options that tell its vehicles apart.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Line {
    /// Id, as used in `fits`.
    pub id: String,
    /// The name people say.
    pub name: String,
    /// First model year.
    pub first_year: u16,
    /// Last model year, not before the first.
    pub last_year: u16,
    /// What is optional, in the order written.
    pub options: Vec<VehicleOption>,
    /// Where the line is written.
    pub span: Span,
}

/// Something that differs between vehicles of one line and year.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct VehicleOption {
    /// Id, as used in `fits`.
    pub id: String,
    /// Its values, at least one, in the order written.
    pub values: Vec<OptionValue>,
}

/// One value of an option.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct OptionValue {
    /// Id, as used in `fits`.
    pub id: String,
    /// What the shop says after "with", such as "all-wheel drive"; without it, value and option are said.
    pub words: Option<String>,
}
