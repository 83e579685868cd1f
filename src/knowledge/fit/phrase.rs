//! Regions and vehicles in shop words.

use std::collections::BTreeSet;

use super::cover::{cover, year_runs};
use super::diagram::Limits;
use super::universe::{option_at, values_at};
use super::{Region, Universe, Vehicle};
use crate::entry::{Line, OptionValue, VehicleOption};

/// More boxes than this nobody reads: the first are said, and how many are left.
const MOST: usize = 12;

/// From so many boxes on, naming the exceptions is tried.
const MANY: usize = 4;

impl Universe {
    /// The region as people say it: `every vehicle`, `Tarn 2019–2021 with all-wheel drive`, `Fell, and Rill from
    /// 2021`. Where that is much shorter, the exceptions are named: `every vehicle except Tarn to 2018`. Two regions
    /// can share a phrase only where it ends with a number of more groups.
    pub fn phrase(&self, region: &Region) -> String {
        if region.is_empty() {
            return "no vehicle".to_owned();
        }
        if region.is_everything() {
            return "every vehicle".to_owned();
        }
        let pieces = self.pieces(region);
        if pieces.len() >= MANY {
            let exceptions = self.pieces(&region.complement());
            if exceptions.len() * 2 < pieces.len() {
                return format!("every vehicle except {}", joined(&exceptions));
            }
        }
        joined(&pieces)
    }

    /// The vehicle as people say it: `Tarn 2019 with a diesel engine, a manual gearbox and all-wheel drive`.
    pub fn vehicle_phrase(&self, vehicle: &Vehicle) -> String {
        let Some(line) = self.vehicles.lines.get(vehicle.line) else { return "no vehicle".to_owned() };
        let options = line.options.iter().zip(&vehicle.values);
        let words = options.filter_map(|(option, &value)| Some(words(option, option.values.get(value)?)));
        let words: Vec<String> = words.collect();
        let with = if words.is_empty() { String::new() } else { format!(" with {}", listed(&words, "and")) };
        format!("{} {}{with}", self.line_name(line), vehicle.year)
    }

    fn pieces(&self, region: &Region) -> Vec<String> {
        let lines = region.sets().filter_map(|(at, set)| Some((self.vehicles.lines.get(at)?, set)));
        lines.flat_map(|(line, set)| cover(line, set).into_iter().map(|limits| self.piece(line, &limits))).collect()
    }

    fn piece(&self, line: &Line, limits: &Limits) -> String {
        let mut piece = self.line_name(line);
        if limits.contains_key(&0) {
            piece.push(' ');
            piece.push_str(&years(line, &year_runs(line, limits)));
        }
        if let Some(options) = options(line, limits) {
            piece.push_str(" with ");
            piece.push_str(&options);
        }
        piece
    }

    /// The name, and the id where two lines share a name.
    fn line_name(&self, line: &Line) -> String {
        let shared = self.vehicles.lines.iter().filter(|other| other.name == line.name).count() > 1;
        if shared { format!("{} ({})", line.name, line.id) } else { line.name.clone() }
    }
}

/// Boxes one after another: with commas if none has a comma or "and" of its own.
fn joined(pieces: &[String]) -> String {
    if let Some((said, left @ [_, _, ..])) = pieces.split_at_checked(MOST) {
        return format!("{}; and {} more groups", said.join("; "), left.len());
    }
    let plain = pieces.iter().all(|piece| !piece.contains(',') && !piece.contains(" and "));
    match pieces.split_last() {
        Some((last, [])) => last.clone(),
        Some((last, front)) if plain => format!("{}, and {last}", front.join(", ")),
        _ => pieces.join("; "),
    }
}

fn years(line: &Line, runs: &[(u16, u16)]) -> String {
    let run = |&(first, last): &(u16, u16)| match (first == line.first_year, last == line.last_year) {
        _ if first == last => first.to_string(),
        (_, true) => format!("from {first}"),
        (true, _) => format!("to {last}"),
        _ => format!("{first}–{last}"),
    };
    listed(&runs.iter().map(run).collect::<Vec<_>>(), "and")
}

/// What the options say. "and" alone would be misread beside "or", so each then gets a "with" of its own.
fn options(line: &Line, limits: &Limits) -> Option<String> {
    let limited = limits.iter().filter_map(|(&level, allowed)| Some((option_at(line, level)?, allowed)));
    let limited: Vec<(String, bool)> =
        limited.map(|(option, allowed)| (alternatives(option, allowed), allowed.len() > 1)).collect();
    let any_choice = limited.iter().any(|(_, choice)| *choice);
    let words: Vec<String> = limited.into_iter().map(|(words, _)| words).collect();
    match words.as_slice() {
        [] => None,
        [_, _, ..] if any_choice => Some(words.join(", and with ")),
        _ => Some(listed(&words, "and")),
    }
}

fn alternatives(option: &VehicleOption, allowed: &BTreeSet<usize>) -> String {
    let values = values_at(option, allowed);
    if values.iter().any(|value| value.words.is_some()) {
        return listed(&values.iter().map(|value| words(option, value)).collect::<Vec<_>>(), "or");
    }
    let ids: Vec<String> = values.iter().map(|value| value.id.clone()).collect();
    format!("{} {}", listed(&ids, "or"), option.id.replace('-', " "))
}

fn words(option: &VehicleOption, value: &OptionValue) -> String {
    value.words.clone().unwrap_or_else(|| format!("{} {}", value.id, option.id.replace('-', " ")))
}

/// `a`, `a and b`, `a, b and c`.
fn listed(items: &[String], word: &str) -> String {
    match items.split_last() {
        None => String::new(),
        Some((last, [])) => last.clone(),
        Some((last, front)) => format!("{} {word} {last}", front.join(", ")),
    }
}
