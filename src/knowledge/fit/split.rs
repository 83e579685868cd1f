//! The partition that a list of regions makes.

use std::collections::BTreeMap;

use super::diagram::Diagram;
use super::{Region, Universe};

impl Universe {
    /// The atoms of `regions`: the coarsest partition of all vehicles such that every region is a union of atoms.
    /// Each comes with its membership, one value for each region. Vehicles of several lines with one membership
    /// are one atom. Atoms stand in the order of their first vehicles, and none is empty.
    pub fn split(&self, regions: &[Region]) -> Vec<(Region, Vec<bool>)> {
        let mut atoms: BTreeMap<Vec<bool>, Region> = BTreeMap::new();
        for line in 0..self.vehicles.lines.len() {
            for (diagram, membership) in split_line(line, regions) {
                let atom = atoms.entry(membership).or_insert_with(|| self.nothing());
                if let Some(slot) = atom.lines.get_mut(line) {
                    *slot = diagram;
                }
            }
        }
        let mut atoms: Vec<_> = atoms.into_iter().map(|(membership, atom)| (atom, membership)).collect();
        atoms.sort_by_cached_key(|(atom, _)| self.example(atom));
        atoms
    }
}

/// The atoms of one line. A part that a region holds whole or not at all is handed on as it is.
fn split_line(line: usize, regions: &[Region]) -> Vec<(Diagram, Vec<bool>)> {
    let mut parts = vec![(Diagram::constant(true), Vec::new())];
    for diagram in regions.iter().filter_map(|region| region.lines.get(line)) {
        let halves = parts.into_iter().flat_map(|(part, membership)| {
            let inside = part.intersection(diagram);
            let outside = part.difference(diagram);
            [(inside, true), (outside, false)].map(|(half, within)| {
                let membership: Vec<bool> = membership.iter().copied().chain([within]).collect();
                (half, membership)
            })
        });
        parts = halves.filter(|(half, _)| !half.is_empty()).collect();
    }
    parts
}
