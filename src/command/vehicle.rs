//! A vehicle as it is written on the command line: `line:year[:option=value,…]`.

use std::collections::{BTreeMap, BTreeSet};

use crate::entry::{VehicleOption, YearRange};
use crate::knowledge::fit::{Selection, Universe, Vehicle};

/// The vehicles meant: options that are not named are left open.
///
/// # Errors
/// What is wrong, with what the shop has instead.
pub(super) fn vehicle(universe: &Universe, text: &str) -> Result<Selection, String> {
    let mut parts = text.splitn(3, ':');
    let id = parts.next().unwrap_or_default();
    let lines = &universe.vehicles().lines;
    let line = universe.line(id).ok_or_else(|| {
        format!("`{id}` is no vehicle line; there are {}", listed(lines.iter().map(|line| line.id.as_str())))
    })?;
    let (first, last) = lines.get(line).map_or((0, 0), |line| (line.first_year, line.last_year));
    let year = parts.next().unwrap_or_default();
    let known: Option<u16> = year.parse().ok().filter(|year| (first..=last).contains(year));
    let known = known.ok_or_else(|| format!("`{year}` is no year of `{id}`, which was made from {first} to {last}"))?;
    let mut options: BTreeMap<usize, BTreeSet<usize>> = BTreeMap::new();
    for written in parts.next().unwrap_or_default().split(',').filter(|written| !written.is_empty()) {
        let (option, value) = option(universe, line, written)?;
        options.insert(option, BTreeSet::from([value]));
    }
    Ok(Selection { line, years: Some(vec![YearRange { first: Some(known), last: Some(known) }]), options })
}

/// A vehicle as [`vehicle`] reads it.
pub(super) fn written(universe: &Universe, vehicle: &Vehicle) -> String {
    let Some(line) = universe.vehicles().lines.get(vehicle.line) else { return String::new() };
    let value = |(option, value): (&VehicleOption, &usize)| {
        option.values.get(*value).map(|value| format!("{}={}", option.id, value.id))
    };
    let options: Vec<String> = line.options.iter().zip(&vehicle.values).filter_map(value).collect();
    let colon = if options.is_empty() { "" } else { ":" };
    format!("{}:{}{colon}{}", line.id, vehicle.year, options.join(","))
}

fn option(universe: &Universe, line: usize, written: &str) -> Result<(usize, usize), String> {
    let (id, value_id) = written.split_once('=').unwrap_or((written, ""));
    let line_options = universe.vehicles().lines.get(line).map(|line| line.options.as_slice()).unwrap_or_default();
    let at = universe.option(line, id).ok_or_else(|| {
        format!(
            "`{id}` is no option of that line; there are {}",
            listed(line_options.iter().map(|option| option.id.as_str()))
        )
    })?;
    let values = line_options.get(at).map(|option| option.values.as_slice()).unwrap_or_default();
    let value = universe.value(line, at, value_id).ok_or_else(|| {
        format!(
            "`{value_id}` is no value of `{id}`; there are {}",
            listed(values.iter().map(|value| value.id.as_str()))
        )
    })?;
    Ok((at, value))
}

fn listed<'a>(names: impl Iterator<Item = &'a str>) -> String {
    names.map(|name| format!("`{name}`")).collect::<Vec<_>>().join(", ")
}
