//! Every vehicle that can be told apart, and the ways from names to sets of them.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::{Arc, Mutex};

use super::Region;
use super::cover::FitBox;
use super::diagram::{Diagram, Limits};
use crate::entry::{Line, OptionValue, VehicleOption, Vehicles, YearRange};

/// All vehicles of a shop.
#[derive(Clone, Debug)]
pub struct Universe {
    pub(super) vehicles: Vehicles,
    /// The boxes of regions that were asked for: few regions are asked for by many.
    pub(super) boxes: Arc<Mutex<BTreeMap<Region, Arc<[FitBox]>>>>,
}

/// One vehicle: a line, a year and one value for each option of that line, by their positions.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Vehicle {
    /// Position of the line.
    pub line: usize,
    /// Model year.
    pub year: u16,
    /// Position of the value of each option, in the order of the line's options.
    pub values: Vec<usize>,
}

/// A box as `fits` means it, by positions.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Selection {
    /// Position of the line.
    pub line: usize,
    /// The years; none given means every year. Years that the line does not have are dropped.
    pub years: Option<Vec<YearRange>>,
    /// For each option that is limited, the values allowed.
    pub options: BTreeMap<usize, BTreeSet<usize>>,
}

impl Universe {
    /// The vehicles of those lines.
    pub fn new(vehicles: &Vehicles) -> Self {
        Self { vehicles: vehicles.clone(), boxes: Arc::default() }
    }

    /// The lines that it was made from.
    pub fn vehicles(&self) -> &Vehicles {
        &self.vehicles
    }

    /// Position of the line of that id.
    pub fn line(&self, id: &str) -> Option<usize> {
        self.vehicles.lines.iter().position(|line| line.id == id)
    }

    /// Position of an option of a line.
    pub fn option(&self, line: usize, id: &str) -> Option<usize> {
        self.vehicles.lines.get(line)?.options.iter().position(|option| option.id == id)
    }

    /// Position of a value of an option of a line.
    pub fn value(&self, line: usize, option: usize, id: &str) -> Option<usize> {
        let option = self.vehicles.lines.get(line)?.options.get(option)?;
        option.values.iter().position(|value| value.id == id)
    }

    /// Every vehicle.
    pub fn everything(&self) -> Region {
        let count = self.vehicles.lines.len();
        Region::new(count, (0..count).map(|line| (line, Diagram::constant(true))))
    }

    /// No vehicle.
    pub fn nothing(&self) -> Region {
        Region::new(self.vehicles.lines.len(), std::iter::empty())
    }

    /// The vehicles of one box; empty if it names only what the line does not have.
    pub fn select(&self, selection: &Selection) -> Region {
        let line = self.vehicles.lines.get(selection.line);
        let set = line.map(|line| (selection.line, Diagram::from_limits(&arities(line), &limits(line, selection))));
        Region::new(self.vehicles.lines.len(), set.into_iter())
    }

    /// The region of one vehicle.
    pub fn single(&self, vehicle: &Vehicle) -> Region {
        let options = vehicle.values.iter().enumerate().map(|(option, &value)| (option, BTreeSet::from([value])));
        let years = Some(vec![YearRange { first: Some(vehicle.year), last: Some(vehicle.year) }]);
        self.select(&Selection { line: vehicle.line, years, options: options.collect() })
    }

    /// Whether the region holds the vehicle. A vehicle that does not exist is in none.
    pub fn contains(&self, region: &Region, vehicle: &Vehicle) -> bool {
        let point = self.vehicles.lines.get(vehicle.line).and_then(|line| point(line, vehicle));
        let diagram = region.line(vehicle.line);
        point.zip(diagram).is_some_and(|(point, diagram)| diagram.contains(&point))
    }

    /// The first vehicle of a region: of the first line, of the earliest year, with the values written first.
    pub fn example(&self, region: &Region) -> Option<Vehicle> {
        region.sets().find_map(|(at, set)| {
            let line = self.vehicles.lines.get(at)?;
            let point = set.first(line.options.len() + 1)?;
            let (&year, values) = point.split_first()?;
            Some(Vehicle { line: at, year: year_at(line, year), values: values.to_vec() })
        })
    }
}

/// How many values each level of a line's diagram has: the years, then each option.
pub(super) fn arities(line: &Line) -> Vec<usize> {
    let years = usize::from(line.last_year.saturating_sub(line.first_year)) + 1;
    std::iter::once(years).chain(line.options.iter().map(|option| option.values.len())).collect()
}

/// The year of a value of level 0.
pub(super) fn year_at(line: &Line, value: usize) -> u16 {
    line.first_year.saturating_add(u16::try_from(value).unwrap_or(u16::MAX))
}

/// The option that a level asks for, and the value at a position of it.
pub(super) fn option_at(line: &Line, level: usize) -> Option<&VehicleOption> {
    line.options.get(level.checked_sub(1)?)
}

/// The values of an option at some positions.
pub(super) fn values_at<'a>(option: &'a VehicleOption, at: &BTreeSet<usize>) -> Vec<&'a OptionValue> {
    at.iter().filter_map(|&value| option.values.get(value)).collect()
}

fn point(line: &Line, vehicle: &Vehicle) -> Option<Vec<usize>> {
    let year = vehicle.year.checked_sub(line.first_year).map(usize::from)?;
    let point: Vec<usize> = std::iter::once(year).chain(vehicle.values.iter().copied()).collect();
    let arities = arities(line);
    let exists = point.len() == arities.len() && point.iter().zip(&arities).all(|(value, arity)| value < arity);
    exists.then_some(point)
}

fn limits(line: &Line, selection: &Selection) -> Limits {
    let options = selection.options.iter().map(|(&option, values)| (option + 1, values.clone()));
    let mut limits: Limits = options.collect();
    if let Some(ranges) = &selection.years {
        let within = |year: &u16| ranges.iter().any(|range| range.contains(*year));
        let years = (line.first_year..=line.last_year).filter(within);
        limits.insert(0, years.map(|year| usize::from(year - line.first_year)).collect());
    }
    limits
}
