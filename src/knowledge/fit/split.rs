//! The partition that a list of regions makes.

use std::collections::BTreeMap;

use super::diagram::{Diagram, atoms};
use super::{Region, Universe};

impl Universe {
    /// The atoms of `regions`: the coarsest partition of all vehicles such that every region is a union of atoms.
    /// Each comes with its members: the positions of the regions that hold it, in ascending order. Vehicles of several
    /// lines with one membership are one atom. Atoms stand in the order of their first vehicles, and none is empty.
    /// Nothing if there are more than `most` on a line or in all, or if they are not simple: a few regions can tell apart
    /// more than any computer holds.
    pub fn split(&self, regions: &[Region], most: usize) -> Option<Vec<(Region, Vec<usize>)>> {
        let count = self.vehicles.lines.len();
        let mut by_line: Vec<Vec<(usize, &Diagram)>> = vec![Vec::new(); count];
        for (at, region) in regions.iter().enumerate() {
            for (line, set) in region.sets() {
                by_line.get_mut(line).into_iter().for_each(|sets| sets.push((at, set)));
            }
        }
        let mut found: BTreeMap<Vec<usize>, Vec<(usize, Diagram)>> = BTreeMap::new();
        for (line, sets) in by_line.iter().enumerate() {
            for (members, set) in atoms(sets, most)? {
                found.entry(members).or_default().push((line, set));
            }
        }
        let atom =
            |(members, sets): (Vec<usize>, Vec<(usize, Diagram)>)| (Region::new(count, sets.into_iter()), members);
        let mut found: Vec<(Region, Vec<usize>)> = found.into_iter().map(atom).collect();
        if found.len() > most || !found.iter().all(|(atom, _)| atom.is_simple()) {
            return None;
        }
        found.sort_by_cached_key(|(atom, _)| self.example(atom));
        Some(found)
    }
}
