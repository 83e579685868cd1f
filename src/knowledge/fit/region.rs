//! A set of vehicles.

use super::diagram::Diagram;

/// Nobody reads more boxes of one line than this.
pub const MOST_WAYS: usize = 1000;

/// A set of vehicles of one [`Universe`](super::Universe), in canonical form: two regions are equal exactly if they
/// hold the same vehicles. Regions of different universes must not meet.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Region {
    /// How many lines there are.
    count: usize,
    /// One set for each line that has a vehicle here, by the position of the line, in ascending order: a region of one
    /// line costs the same however many lines a shop has.
    lines: Vec<(usize, Diagram)>,
}

impl Region {
    /// The vehicles of those sets, one for each line of `count` at most, in ascending order of lines.
    pub(super) fn new(count: usize, sets: impl Iterator<Item = (usize, Diagram)>) -> Self {
        Self { count, lines: sets.filter(|(_, set)| !set.is_empty()).collect() }
    }

    /// The set of a line; none if no vehicle of it is here.
    pub(super) fn line(&self, line: usize) -> Option<&Diagram> {
        let at = self.lines.binary_search_by_key(&line, |(at, _)| *at).ok()?;
        self.lines.get(at).map(|(_, set)| set)
    }

    /// The sets of the lines that have a vehicle here, with their positions.
    pub(super) fn sets(&self) -> impl Iterator<Item = (usize, &Diagram)> {
        self.lines.iter().map(|(line, set)| (*line, set))
    }

    /// The vehicles that are in either.
    #[must_use]
    pub fn union(&self, other: &Self) -> Self {
        debug_assert_eq!(self.count, other.count, "regions of two universes met");
        let mine =
            self.sets().map(|(line, set)| (line, other.line(line).map_or_else(|| set.clone(), |too| set.union(too))));
        let theirs = other.lines.iter().filter(|(line, _)| self.line(*line).is_none()).cloned();
        let mut lines: Vec<(usize, Diagram)> = mine.chain(theirs).collect();
        lines.sort_by_key(|(line, _)| *line);
        Self { count: self.count, lines }
    }

    /// The vehicles that are in both.
    #[must_use]
    pub fn intersection(&self, other: &Self) -> Self {
        let shared = |(line, set): (usize, &Diagram)| Some((line, set.intersection(other.line(line)?)));
        Self::new(self.count, self.sets().filter_map(shared))
    }

    /// The vehicles that are in this and not in the other.
    #[must_use]
    pub fn difference(&self, other: &Self) -> Self {
        let left = |(line, set): (usize, &Diagram)| {
            (line, other.line(line).map_or_else(|| set.clone(), |no| set.difference(no)))
        };
        Self::new(self.count, self.sets().map(left))
    }

    /// The vehicles that are not in this.
    #[must_use]
    pub fn complement(&self) -> Self {
        let all = Diagram::constant(true);
        let left = |line: usize| (line, self.line(line).map_or_else(|| all.clone(), |no| all.difference(no)));
        Self::new(self.count, (0..self.count).map(left))
    }

    /// Whether it can be said in [`MOST_WAYS`] boxes a line. Few boxes can make a set that takes millions.
    pub fn is_simple(&self) -> bool {
        self.sets().all(|(_, set)| set.ways() <= MOST_WAYS)
    }

    /// Whether it holds no vehicle.
    pub fn is_empty(&self) -> bool {
        self.lines.is_empty()
    }

    /// Whether it holds every vehicle.
    pub fn is_everything(&self) -> bool {
        self.lines.len() == self.count && self.sets().all(|(_, set)| set.is_all())
    }

    /// Whether the other holds all its vehicles.
    pub fn is_subset(&self, other: &Self) -> bool {
        self.sets().all(|(line, set)| other.line(line).is_some_and(|theirs| set.is_subset(theirs)))
    }

    /// Whether some vehicle is in both.
    pub fn meets(&self, other: &Self) -> bool {
        self.sets().any(|(line, set)| other.line(line).is_some_and(|theirs| !set.intersection(theirs).is_empty()))
    }
}
