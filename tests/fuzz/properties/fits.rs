//! Sets of vehicles: front matter lines of two entries, and the vehicle lines, parted by lines `===`.

use std::collections::BTreeSet;

use baybook::entry::{Kind, YearRange};
use baybook::knowledge::fit::{FitBox, Region, Selection, Universe};

use super::folder::{Linked, linked};

const VEHICLES: &str = "lines:
  tarn: {name: Tarn, years: 2016-2024, options: {drive: [front, all], brakes: [standard, heavy]}}
  rill: {name: Rill, years: 2019-2026}
";

/// The laws of sets hold, a region is what its boxes say, and every region has a phrase.
pub fn fits(data: &[u8]) {
    let Ok(text) = std::str::from_utf8(data) else { return };
    let mut parts = text.splitn(3, "\n===\n");
    let entry = |lines: &str| format!("---\ntitle: Made up\nbasis: demo\n{lines}\n---\n");
    let [a, b] = [0, 1].map(|_| entry(parts.next().unwrap_or("")));
    let vehicles = parts.next().unwrap_or(VEHICLES);
    let read =
        linked(&[("guides/a.md", a.as_bytes()), ("guides/b.md", b.as_bytes()), ("vehicles.yaml", vehicles.as_bytes())]);
    read.check(&[]);
    let (Some(a), Some(b)) = (region(&read, "a"), region(&read, "b")) else { return };
    let universe = &read.knowledge.universe;
    laws(universe, a, b);
    for own in [a, b, &a.union(b), &a.difference(b), &universe.nothing(), &universe.everything()] {
        described(universe, own);
    }
}

fn region<'r>(read: &'r Linked, id: &str) -> Option<&'r Region> {
    Some(&read.knowledge.head(read.knowledge.find(Kind::Guide, id)?)?.region)
}

fn laws(universe: &Universe, a: &Region, b: &Region) {
    let (both, either) = (a.intersection(b), a.union(b));
    assert_eq!(either, b.union(a));
    assert_eq!(both, b.intersection(a));
    assert_eq!(a.difference(b), a.intersection(&b.complement()));
    assert_eq!(either.complement(), a.complement().intersection(&b.complement()));
    assert_eq!(a.union(&both), *a);
    assert_eq!(a.complement().complement(), *a);
    assert_eq!(a.difference(b).union(&both), *a);
    assert_eq!(a.is_subset(b), a.difference(b).is_empty());
    assert_eq!(a.meets(b), !both.is_empty());
    assert!(a.union(&a.complement()).is_everything());
    // Two simple sets can make parts that are not.
    let parts = [both, a.difference(b), b.difference(a), either.complement()];
    let Some(atoms) = universe.split(&[a.clone(), b.clone()], 4) else {
        assert!(!parts.iter().all(Region::is_simple), "simple parts were refused");
        return;
    };
    let sum = atoms.iter().fold(universe.nothing(), |sum, (atom, _)| {
        assert!(!sum.meets(atom), "two atoms meet");
        sum.union(atom)
    });
    assert!(sum.is_everything(), "atoms leave a vehicle out");
    for (atom, members) in &atoms {
        assert_eq!([members.contains(&0), members.contains(&1)], [atom.is_subset(a), atom.is_subset(b)]);
    }
}

fn described(universe: &Universe, region: &Region) {
    assert!(!universe.phrase(region).trim().is_empty(), "{region:?} has no phrase");
    let boxes = universe.boxes(region);
    let rebuilt = boxes.iter().fold(universe.nothing(), |sum, own| sum.union(&selected(universe, own)));
    assert_eq!(rebuilt, *region, "{boxes:?}");
    match universe.example(region) {
        Some(vehicle) => assert!(universe.contains(region, &vehicle)),
        None => assert!(region.is_empty()),
    }
}

fn selected(universe: &Universe, own: &FitBox) -> Region {
    let line = universe.line(&own.line).expect("the line of a box");
    let years = own.years.iter().map(|(first, last)| YearRange { first: Some(*first), last: Some(*last) });
    let options = own.options.iter().map(|(option, values)| {
        let at = universe.option(line, option).expect("an option of a box");
        let values = values.iter().map(|value| universe.value(line, at, value).expect("a value of a box"));
        (at, values.collect::<BTreeSet<usize>>())
    });
    universe.select(&Selection { line, years: Some(years.collect()), options: options.collect() })
}
