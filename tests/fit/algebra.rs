//! Operations, partition and boxes on small random universes, against lists of vehicles.

use std::collections::{BTreeMap, BTreeSet};

use baybook::entry::YearRange;
use baybook::knowledge::fit::{FitBox, Region, Selection, Universe, Vehicle};
use proptest::prelude::*;

use super::{Listed, every_vehicle, line, members, selected, universe};

/// Shapes of one to three lines: years, and values of each option.
fn shapes() -> impl Strategy<Value = Universe> {
    let shape = (1..=5u16, prop::collection::vec(1..=3usize, 0..=3));
    prop::collection::vec(shape, 1..=3).prop_map(|shapes| {
        let lines = shapes.iter().enumerate().map(|(at, (years, options))| {
            let options: Vec<String> = options.iter().enumerate().map(|(at, &count)| option_text(at, count)).collect();
            let options: Vec<&str> = options.iter().map(String::as_str).collect();
            line(&format!("line-{at}"), &format!("Line {at}"), (2010, 2009 + years), &options)
        });
        universe(lines.collect())
    })
}

fn option_text(at: usize, count: usize) -> String {
    let values: Vec<String> = (0..count).map(|value| format!("v{value}")).collect();
    format!("o{at}: {}", values.join(" "))
}

/// A selection that may limit the years and any option, also to nothing and to years that do not exist.
fn any_selection(universe: &Universe) -> impl Strategy<Value = Selection> + use<> {
    let options: Vec<Vec<usize>> =
        universe.vehicles().lines.iter().map(|line| line.options.iter().map(|o| o.values.len()).collect()).collect();
    let range = (prop::option::of(2009..=2015u16), prop::option::of(2009..=2015u16))
        .prop_map(|(first, last)| YearRange { first, last });
    let years = prop::option::of(prop::collection::vec(range, 1..=2));
    (0..options.len(), years).prop_flat_map(move |(line, years)| {
        let allowed = options[line].iter().map(|&count| {
            prop::option::of(prop::collection::vec(0..count, 0..=count).prop_map(|v| v.into_iter().collect()))
        });
        let allowed: Vec<_> = allowed.collect();
        allowed.prop_map(move |allowed: Vec<Option<BTreeSet<usize>>>| {
            let limited = allowed.into_iter().enumerate().filter_map(|(at, values)| Some((at, values?)));
            Selection { line, years: years.clone(), options: limited.collect() }
        })
    })
}

fn any_boxes(universe: &Universe) -> impl Strategy<Value = Vec<Selection>> + use<> {
    prop::collection::vec(any_selection(universe), 0..=4)
}

type Case = (Universe, Vec<Vec<Selection>>);

/// A universe and some regions of it, as lists of boxes.
fn cases(regions: usize) -> impl Strategy<Value = Case> {
    shapes().prop_flat_map(move |universe| {
        let boxes = prop::collection::vec(any_boxes(&universe), regions);
        boxes.prop_map(move |boxes| (universe.clone(), boxes))
    })
}

fn made(universe: &Universe, boxes: &[Selection]) -> Region {
    boxes.iter().fold(universe.nothing(), |sum, one| sum.union(&universe.select(one)))
}

fn meant(universe: &Universe, boxes: &[Selection]) -> Listed {
    every_vehicle(universe).into_iter().filter(|vehicle| boxes.iter().any(|one| selected(one, vehicle))).collect()
}

fn in_box(universe: &Universe, fit: &FitBox, vehicle: &Vehicle) -> bool {
    let line = &universe.vehicles().lines[vehicle.line];
    let named: BTreeMap<&str, &str> = line
        .options
        .iter()
        .zip(&vehicle.values)
        .map(|(option, &value)| (option.id.as_str(), option.values[value].id.as_str()))
        .collect();
    line.id == fit.line
        && fit.years.iter().any(|&(first, last)| (first..=last).contains(&vehicle.year))
        && fit.options.iter().all(|(option, values)| values.iter().any(|value| value == named[option.as_str()]))
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn operations_agree_with_lists((universe, boxes) in cases(2)) {
        let all: Listed = every_vehicle(&universe).into_iter().collect();
        let (a, b) = (made(&universe, &boxes[0]), made(&universe, &boxes[1]));
        let (in_a, in_b) = (meant(&universe, &boxes[0]), meant(&universe, &boxes[1]));
        prop_assert_eq!(members(&universe, &a), in_a.clone());
        prop_assert_eq!(members(&universe, &a.union(&b)), &in_a | &in_b);
        prop_assert_eq!(members(&universe, &a.intersection(&b)), &in_a & &in_b);
        prop_assert_eq!(members(&universe, &a.difference(&b)), &in_a - &in_b);
        prop_assert_eq!(members(&universe, &a.complement()), &all - &in_a);
        prop_assert_eq!(a.is_empty(), in_a.is_empty());
        prop_assert_eq!(a.is_everything(), in_a == all);
        prop_assert_eq!(a.is_subset(&b), in_a.is_subset(&in_b));
        prop_assert_eq!(a.meets(&b), !in_a.is_disjoint(&in_b));
        prop_assert_eq!(a == b, in_a == in_b);
        prop_assert_eq!(universe.example(&a), in_a.first().cloned());
    }

    #[test]
    fn equal_sets_are_equal_values((universe, boxes) in cases(3)) {
        let [a, b, c] = [0, 1, 2].map(|at| made(&universe, &boxes[at]));
        prop_assert_eq!(a.union(&b).union(&c), c.union(&b).union(&a));
        prop_assert_eq!(a.union(&b).complement(), a.complement().intersection(&b.complement()));
        prop_assert_eq!(a.difference(&b), a.intersection(&b.complement()));
        prop_assert_eq!(a.union(&a.intersection(&b)), a.clone());
        prop_assert_eq!(a.intersection(&b.union(&c)), a.intersection(&b).union(&a.intersection(&c)));
        let rebuilt = members(&universe, &a).iter().fold(universe.nothing(), |sum, v| sum.union(&universe.single(v)));
        prop_assert_eq!(rebuilt, a);
    }

    #[test]
    fn atoms_group_vehicles_by_membership((universe, boxes) in cases(4)) {
        let regions: Vec<Region> = boxes.iter().map(|boxes| made(&universe, boxes)).collect();
        let mut groups: BTreeMap<Vec<bool>, Listed> = BTreeMap::new();
        for vehicle in every_vehicle(&universe) {
            let membership = boxes.iter().map(|boxes| boxes.iter().any(|one| selected(one, &vehicle))).collect();
            groups.entry(membership).or_default().insert(vehicle);
        }
        let mut expected: Vec<(Listed, Vec<bool>)> = groups.into_iter().map(|(key, group)| (group, key)).collect();
        expected.sort();
        let atoms = universe.split(&regions, 100_000).unwrap();
        for (atom, _) in &atoms {
            let single = |sum: Region, vehicle| sum.union(&universe.single(vehicle));
            prop_assert_eq!(&members(&universe, atom).iter().fold(universe.nothing(), single), atom, "not canonical");
        }
        let atoms = atoms.into_iter();
        let told = |key: &[usize]| (0..regions.len()).map(|at| key.contains(&at)).collect();
        let found: Vec<(Listed, Vec<bool>)> = atoms.map(|(atom, key)| (members(&universe, &atom), told(&key))).collect();
        prop_assert_eq!(found, expected);
    }

    #[test]
    fn boxes_are_exactly_the_region_and_none_is_spare((universe, boxes) in cases(1)) {
        let region = made(&universe, &boxes[0]);
        let fits = universe.boxes(&region);
        let covered = |fits: &[&FitBox]| -> Listed {
            every_vehicle(&universe).into_iter().filter(|v| fits.iter().any(|fit| in_box(&universe, fit, v))).collect()
        };
        prop_assert_eq!(covered(&fits.iter().collect::<Vec<_>>()), meant(&universe, &boxes[0]));
        for left_out in 0..fits.len() {
            let rest: Vec<&FitBox> = fits.iter().enumerate().filter(|(at, _)| *at != left_out).map(|(_, f)| f).collect();
            prop_assert_ne!(covered(&rest), meant(&universe, &boxes[0]), "box {} is spare", left_out);
        }
    }

    #[test]
    fn phrases_tell_single_boxes_apart((universe, boxes) in cases(2)) {
        let one = |boxes: &[Selection]| boxes.first().map_or(universe.everything(), |one| universe.select(one));
        let (a, b) = (one(&boxes[0]), one(&boxes[1]));
        prop_assert_eq!(universe.phrase(&a) == universe.phrase(&b), a == b);
        prop_assert!(!universe.phrase(&made(&universe, &boxes[0])).is_empty());
    }
}

#[test]
fn a_vehicle_that_does_not_exist_is_in_no_region() {
    let universe = universe(vec![line("tarn", "Tarn", (2016, 2024), &["drive: front all"])]);
    let check = |line, year, values: &[usize], exists| {
        let vehicle = Vehicle { line, year, values: values.to_vec() };
        assert_eq!(universe.contains(&universe.everything(), &vehicle), exists, "{vehicle:?}");
    };
    check(0, 2016, &[1], true);
    check(0, 2015, &[1], false);
    check(0, 2025, &[1], false);
    check(0, 2016, &[2], false);
    check(0, 2016, &[], false);
    check(0, 2016, &[1, 0], false);
    check(1, 2016, &[1], false);
}
