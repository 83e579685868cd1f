//! A shop of 50 lines, 30 years and 12 options of three values: 797 million vehicles, which nobody can list.

use baybook::knowledge::fit::{Region, Universe};

use super::{line, region, universe};

fn large() -> Universe {
    let options: Vec<String> = (0..12).map(|at| format!("o{at}: a b c")).collect();
    let options: Vec<&str> = options.iter().map(String::as_str).collect();
    let lines = (0..50).map(|at| line(&format!("line-{at}"), &format!("Line {at}"), (1996, 2025), &options));
    universe(lines.collect())
}

/// A few boxes on every line, different for each number.
fn scattered(universe: &Universe, seed: usize) -> Region {
    let boxes = (0..50).map(|line| {
        let (first, second, third) = ((seed * 5 + line) % 12, (seed * 7 + line + 3) % 12, (seed + line) % 12);
        let from = 1996 + (seed * 3 + line) % 25;
        format!("line-{line} {from}- o{first}=a o{second}=b,c; line-{line} -2012 o{third}=c")
    });
    region(universe, &boxes.collect::<Vec<_>>().join(";"))
}

#[test]
fn sets_of_hundreds_of_millions_stay_exact() {
    let universe = large();
    let regions: Vec<Region> = (0..4).map(|seed| scattered(&universe, seed)).collect();
    let sum = regions.iter().fold(universe.nothing(), |sum, region| sum.union(region));
    let backwards = regions.iter().rev().fold(universe.nothing(), |sum, region| sum.union(region));
    assert_eq!(sum, backwards);
    let outside = regions.iter().fold(universe.everything(), |rest, region| rest.difference(region));
    assert_eq!(sum.complement(), outside);

    let atoms = universe.split(&regions, 100).unwrap();
    for (at, region) in regions.iter().enumerate() {
        let inside = atoms.iter().filter(|(_, membership)| membership.contains(&at));
        assert_eq!(inside.fold(universe.nothing(), |sum, (atom, _)| sum.union(atom)), *region);
    }
    for (at, (atom, _)) in atoms.iter().enumerate() {
        assert!(atoms[at + 1..].iter().all(|(other, _)| !atom.meets(other)));
        assert!((1..2000).contains(&universe.phrase(atom).len()));
    }
}

#[test]
fn a_few_boxes_on_every_line_come_back_as_they_were() {
    let universe = large();
    let region = scattered(&universe, 3);
    let boxes = universe.boxes(&region);
    assert_eq!(boxes.len(), 100, "{boxes:#?}");
    let exception = universe.phrase(&super::region(&universe, "line-7 2003- o3=a,b").complement());
    assert_eq!(exception, "every vehicle except Line 7 from 2003 with a or b o3");
}
