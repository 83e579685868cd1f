//! Long lists, cut into leaves: pages of a few hundred rows with links between them.

use std::ops::Range;

use rayon::prelude::*;
use serde::Serialize;

use super::edition::Edition;
use super::site::PageFault;

/// Rows of one leaf: some hundred kilobytes at most.
const ROWS: usize = 200;

/// A list that is not much longer than a leaf stays whole.
const WHOLE: usize = 300;

/// With more groups than this the list of groups names those of its leaf alone.
pub(super) const MOST_JUMPS: usize = 40;

/// Some rows of a group, on one leaf.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Part {
    /// The group's position.
    pub(super) group: usize,
    /// Its rows on this leaf.
    pub(super) rows: Range<usize>,
}

/// Where one stands among the leaves of a list; without links if there is one leaf only.
#[derive(Default, Serialize)]
pub(super) struct LeavesContext {
    /// The number of this leaf.
    pub(super) now: usize,
    pub(super) all: Vec<LeafLink>,
}

#[derive(Clone, Serialize)]
pub(super) struct LeafLink {
    pub(super) n: usize,
    /// From the site's root.
    pub(super) href: String,
    /// What it begins with.
    pub(super) label: String,
}

/// Which leaves of a list stand before anything of it is made, because nothing changed that a list can show.
pub(super) struct FormerLeaves {
    /// The path of the list, from the edition's own root.
    path: String,
    /// One for each leaf; empty if nobody knows how many there are.
    leaves: Vec<bool>,
}

/// How many leaves a list has, in a memo.
const COUNT: &str = "leaves";

impl FormerLeaves {
    pub(super) fn of(edition: &Edition<'_>, path: String) -> Self {
        let count: usize = edition.memo.recall(COUNT, &edition.list(&path)).unwrap_or(0);
        let stands = |number: usize| edition.stands_in_its_circumstances(&leaf_path(&path, number), None);
        let leaves = (1..=count).into_par_iter().map(stands).collect();
        Self { path, leaves }
    }

    /// Whether nothing of the list needs to be made.
    pub(super) fn is_whole(&self) -> bool {
        !self.leaves.is_empty() && self.leaves.iter().all(|stands| *stands)
    }

    /// Has each leaf made that does not stand, told its number from 1, its path and what it shows.
    pub(super) fn make_others(
        &self,
        edition: &Edition<'_>,
        leaves: &[Vec<Part>],
        make: impl Fn(usize, String, &[Part]) -> Result<(), PageFault> + Sync,
    ) -> Result<(), PageFault> {
        edition.memo.note(COUNT, &edition.list(&self.path), &leaves.len());
        leaves.par_iter().enumerate().try_for_each(|(at, leaf)| match self.leaves.get(at) {
            Some(true) => Ok(()),
            _ => make(at + 1, leaf_path(&self.path, at + 1), leaf),
        })
    }
}

/// Cuts groups of so many rows into leaves. There is always one leaf, be it empty.
pub(super) fn leaves(sizes: &[usize]) -> Vec<Vec<Part>> {
    let total: usize = sizes.iter().sum();
    let most = if total <= WHOLE { WHOLE } else { ROWS };
    let mut leaves = vec![Vec::new()];
    let mut room = most;
    for (group, size) in sizes.iter().enumerate() {
        let mut begun = 0;
        while begun < *size {
            if room == 0 {
                leaves.push(Vec::new());
                room = most;
            }
            let end = (*size).min(begun + room);
            leaves.last_mut().into_iter().for_each(|leaf| leaf.push(Part { group, rows: begun..end }));
            room -= end - begun;
            begun = end;
        }
    }
    leaves
}

/// The leaf on which each group begins, by its number from 1.
pub(super) fn beginnings(leaves: &[Vec<Part>], groups: usize) -> Vec<usize> {
    let mut beginnings = vec![1; groups];
    for (at, leaf) in leaves.iter().enumerate() {
        for part in leaf.iter().filter(|part| part.rows.start == 0) {
            beginnings.get_mut(part.group).into_iter().for_each(|known| *known = at + 1);
        }
    }
    beginnings
}

/// The path of a leaf: the first has that of the list, the others a number before the ending. Ids hold no dot, so no entry
/// has such a path.
pub(super) fn leaf_path(path: &str, number: usize) -> String {
    match path.strip_suffix(".html") {
        Some(stem) if number > 1 => format!("{stem}.{number}.html"),
        _ => path.to_owned(),
    }
}

/// The links of leaf `now`; `path` is that of the list from the site's root, `labels` what each leaf begins with.
pub(super) fn links(path: &str, now: usize, labels: &[String]) -> LeavesContext {
    if labels.len() < 2 {
        return LeavesContext::default();
    }
    let link =
        |(at, label): (usize, &String)| LeafLink { n: at + 1, href: leaf_path(path, at + 1), label: label.clone() };
    LeavesContext { now, all: labels.iter().enumerate().map(link).collect() }
}

/// The beginning of a title, for the link of the leaf that it heads.
pub(super) fn beginning(title: &str) -> String {
    let word = title.split_whitespace().next().unwrap_or_default();
    word.chars().take(12).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_row_stands_on_one_leaf_in_order() {
        for sizes in [vec![], vec![0], vec![300], vec![301], vec![150, 0, 151], vec![1000, 3, 200], vec![200, 200, 200]]
        {
            let leaves = leaves(&sizes);
            let rows: Vec<(usize, usize)> =
                leaves.iter().flatten().flat_map(|part| part.rows.clone().map(|row| (part.group, row))).collect();
            let wanted: Vec<(usize, usize)> =
                sizes.iter().enumerate().flat_map(|(group, size)| (0..*size).map(move |row| (group, row))).collect();
            assert_eq!(rows, wanted, "{sizes:?}");
            let longest = leaves.iter().map(|leaf| leaf.iter().map(|part| part.rows.len()).sum::<usize>()).max();
            assert!(longest <= Some(if wanted.len() <= WHOLE { WHOLE } else { ROWS }), "{sizes:?}");
            let is_cut = wanted.len() > WHOLE;
            assert_eq!(leaves.len(), if is_cut { wanted.len().div_ceil(ROWS) } else { 1 }, "{sizes:?}");
        }
    }

    #[test]
    fn groups_are_found_where_they_begin() {
        assert_eq!(beginnings(&leaves(&[150, 100, 200]), 3), [1, 1, 2]);
        assert_eq!(leaf_path("checks/index.html", 1), "checks/index.html");
        assert_eq!(leaf_path("checks/index.html", 2), "checks/index.2.html");
    }
}
