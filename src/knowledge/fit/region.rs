//! A set of vehicles.

use super::diagram::Diagram;

/// A set of vehicles of one [`Universe`](super::Universe), in canonical form: two regions are equal exactly if they
/// hold the same vehicles. Regions of different universes must not meet.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Region {
    /// One set for each line, in the order of the lines.
    pub(super) lines: Vec<Diagram>,
}

impl Region {
    /// The vehicles that are in either.
    #[must_use]
    pub fn union(&self, other: &Self) -> Self {
        self.combine(other, Diagram::union)
    }

    /// The vehicles that are in both.
    #[must_use]
    pub fn intersection(&self, other: &Self) -> Self {
        self.combine(other, Diagram::intersection)
    }

    /// The vehicles that are in this and not in the other.
    #[must_use]
    pub fn difference(&self, other: &Self) -> Self {
        self.combine(other, Diagram::difference)
    }

    /// The vehicles that are not in this.
    #[must_use]
    pub fn complement(&self) -> Self {
        let all = Diagram::constant(true);
        Self { lines: self.lines.iter().map(|line| all.difference(line)).collect() }
    }

    /// Whether it holds no vehicle.
    pub fn is_empty(&self) -> bool {
        self.lines.iter().all(Diagram::is_empty)
    }

    /// Whether it holds every vehicle.
    pub fn is_everything(&self) -> bool {
        self.lines.iter().all(Diagram::is_all)
    }

    /// Whether the other holds all its vehicles.
    pub fn is_subset(&self, other: &Self) -> bool {
        self.lines.iter().zip(&other.lines).all(|(mine, theirs)| mine.is_subset(theirs))
    }

    /// Whether some vehicle is in both.
    pub fn meets(&self, other: &Self) -> bool {
        self.lines.iter().zip(&other.lines).any(|(mine, theirs)| !mine.intersection(theirs).is_empty())
    }

    fn combine(&self, other: &Self, operation: fn(&Diagram, &Diagram) -> Diagram) -> Self {
        debug_assert_eq!(self.lines.len(), other.lines.len(), "regions of two universes met");
        Self { lines: self.lines.iter().zip(&other.lines).map(|(mine, theirs)| operation(mine, theirs)).collect() }
    }
}
