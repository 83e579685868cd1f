//! From `fits` as written to sets of vehicles.

use super::fit::{MOST_WAYS, Region, Selection, Universe};
use crate::diagnostic::{Mark, MarkId, Span, Spanned};
use crate::entry::{FitBox, YearRange, nearest};

/// The vehicles of some boxes inside `whole`. Unknown names and boxes without a vehicle get their marks, unless the
/// vehicle lines themselves have marks (`lines_faulty`).
pub(super) fn region(
    universe: &Universe,
    boxes: Option<&Vec<FitBox>>,
    whole: &Region,
    lines_faulty: bool,
    marks: &mut Vec<Mark>,
) -> Region {
    let Some(boxes) = boxes else { return whole.clone() };
    let mut found = Vec::new();
    let mut sum = universe.nothing();
    let mut has_unknown = false;
    for fit in boxes {
        match select(universe, fit, &mut found) {
            Some(selection) => {
                let part = universe.select(&selection).intersection(whole);
                if part.is_empty() {
                    found.push(empty_fit(universe, fit, &selection, whole));
                }
                sum = sum.union(&part);
                if !sum.is_simple() {
                    found.push(too_many_groups(fit.span, "this list of boxes"));
                    break;
                }
            }
            None => has_unknown = true,
        }
    }
    let is_marked = !found.is_empty();
    if !lines_faulty {
        marks.append(&mut found);
    }
    // What follows from a box that is wrong would be marked a second time: take the whole instead.
    if has_unknown || is_marked { whole.clone() } else { sum }
}

/// The mark for what tells too many vehicles of one line apart.
pub(super) fn too_many_groups(span: Span, what: &str) -> Mark {
    Mark::new(MarkId::TooManyGroups, span).with("what", what).with("most", MOST_WAYS.to_string())
}

fn empty_fit(universe: &Universe, fit: &FitBox, selection: &Selection, whole: &Region) -> Mark {
    let line = Selection { line: selection.line, ..Selection::default() };
    let of_line = universe.select(&line).intersection(whole);
    let there = if of_line.is_empty() { universe.phrase(whole) } else { universe.phrase(&of_line) };
    let years = fit.years.iter().flatten().next();
    let span = years.filter(|_| fit.options.is_empty()).map_or(fit.span, |years| years.span);
    Mark::new(MarkId::EmptyFit, span).with("expected", there)
}

fn select(universe: &Universe, fit: &FitBox, marks: &mut Vec<Mark>) -> Option<Selection> {
    let vehicles = universe.vehicles();
    let Some(line) = universe.line(&fit.line.value) else {
        marks.push(unknown("vehicle line", &fit.line, vehicles.lines.iter().map(|line| line.id.as_str())));
        return None;
    };
    let years = fit.years.as_ref().map(|years| years.iter().map(|years| years.value).collect::<Vec<YearRange>>());
    let mut selection = Selection { line, years, ..Selection::default() };
    let options = vehicles.lines.get(line).map(|line| line.options.as_slice()).unwrap_or_default();
    let mut known = true;
    for (option, values) in &fit.options {
        let Some(at) = universe.option(line, &option.value) else {
            let what = format!("option of the line `{}`", fit.line.value);
            marks.push(unknown(&what, option, options.iter().map(|option| option.id.as_str())));
            known = false;
            continue;
        };
        for value in values {
            match universe.value(line, at, &value.value) {
                Some(value) => _ = selection.options.entry(at).or_default().insert(value),
                None => {
                    let names = options.get(at).into_iter().flat_map(|option| &option.values);
                    let what = format!("value of the option `{}`", option.value);
                    marks.push(unknown(&what, value, names.map(|value| value.id.as_str())));
                    known = false;
                }
            }
        }
    }
    known.then_some(selection)
}

fn unknown<'n>(what: &str, name: &Spanned<String>, names: impl Iterator<Item = &'n str> + Clone) -> Mark {
    let mark = Mark::new(MarkId::UnknownVehicle, name.span).with("what", what).with("found", name.value.clone());
    let known = names.clone().collect::<Vec<_>>().join(", ");
    mark.with_some("nearest", nearest(&name.value, names)).with("known", known)
}
