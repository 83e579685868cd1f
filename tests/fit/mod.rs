//! Sets of vehicles, against lists of vehicles.

#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test stops where it fails")]

mod algebra;
mod phrases;
mod size;
mod years;

use std::collections::{BTreeMap, BTreeSet};

use baybook::diagnostic::Span;
use baybook::entry::YearRange;
use baybook::entry::{Line, OptionValue, VehicleOption, Vehicles};
use baybook::knowledge::fit::{Region, Selection, Universe, Vehicle};

/// A line with options written `name: value value`; `value=words` gives a value its words (`_` for a blank).
pub(crate) fn line(id: &str, name: &str, years: (u16, u16), options: &[&str]) -> Line {
    let option = |text: &&str| {
        let (id, values) = text.split_once(": ").unwrap();
        let value = |text: &str| match text.split_once('=') {
            Some((id, words)) => OptionValue { id: id.into(), words: Some(words.replace('_', " ")) },
            None => OptionValue { id: text.into(), words: None },
        };
        VehicleOption { id: id.into(), values: values.split(' ').map(value).collect() }
    };
    Line {
        id: id.into(),
        name: name.into(),
        first_year: years.0,
        last_year: years.1,
        options: options.iter().map(option).collect(),
        span: Span::default(),
    }
}

pub(crate) fn universe(lines: Vec<Line>) -> Universe {
    Universe::new(&Vehicles { lines })
}

/// Every vehicle, one by one: the oracle.
pub(crate) fn every_vehicle(universe: &Universe) -> Vec<Vehicle> {
    let mut all = Vec::new();
    for (at, line) in universe.vehicles().lines.iter().enumerate() {
        for year in line.first_year..=line.last_year {
            let mut values = vec![Vec::new()];
            for option in &line.options {
                let longer = |start: Vec<usize>| {
                    (0..option.values.len()).map(move |value| [start.as_slice(), &[value]].concat())
                };
                values = values.into_iter().flat_map(longer).collect();
            }
            all.extend(values.into_iter().map(|values| Vehicle { line: at, year, values }));
        }
    }
    all
}

pub(crate) type Listed = BTreeSet<Vehicle>;

/// The members of a region, by asking for every vehicle.
pub(crate) fn members(universe: &Universe, region: &Region) -> Listed {
    every_vehicle(universe).into_iter().filter(|vehicle| universe.contains(region, vehicle)).collect()
}

/// Whether a selection means the vehicle, straight from its words.
pub(crate) fn selected(selection: &Selection, vehicle: &Vehicle) -> bool {
    let year_fits =
        |range: &YearRange| range.first.unwrap_or(0) <= vehicle.year && vehicle.year <= range.last.unwrap_or(u16::MAX);
    selection.line == vehicle.line
        && selection.years.as_ref().is_none_or(|ranges| ranges.iter().any(year_fits))
        && selection.options.iter().all(|(option, allowed)| allowed.contains(&vehicle.values[*option]))
}

/// A selection by names: `tarn 2019-2021 drive=all brakes=standard,heavy`; the years may be left out.
pub(crate) fn selection(universe: &Universe, text: &str) -> Selection {
    let mut words = text.split(' ');
    let line = universe.line(words.next().unwrap()).unwrap();
    let mut selection = Selection { line, years: None, options: BTreeMap::new() };
    for word in words {
        let Some((option, values)) = word.split_once('=') else {
            selection.years = Some(baybook::entry::parse_years(word).unwrap());
            continue;
        };
        let option = universe.option(line, option).unwrap();
        let values = values.split(',').map(|value| universe.value(line, option, value).unwrap());
        selection.options.insert(option, values.collect());
    }
    selection
}

/// The union of selections, separated by `;`.
pub(crate) fn region(universe: &Universe, text: &str) -> Region {
    let boxes = text.split(';').map(str::trim).filter(|text| !text.is_empty());
    boxes.fold(universe.nothing(), |sum, text| sum.union(&universe.select(&selection(universe, text))))
}
