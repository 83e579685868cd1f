//! The partition that many sets of one line make, in one walk through all their diagrams at once.
//!
//! The walk goes with the sets that are not settled yet: at each level, and for each value there, it asks where each of
//! them leads. Sets that lead nowhere are dropped, so a few thousand sets that do not meet part at once; halving every
//! part by every set would take time that grows with the cube of their number. Distinct ways of standing mean distinct
//! atoms below (diagrams are canonical), so no more of them are visited than the atoms have nodes.

use std::collections::BTreeMap;
use std::rc::Rc;

use super::{Diagram, Edge, Growth, Node};

/// Every part of a line that `sets` tell apart, with the names of the sets that hold it in ascending order, as they are
/// in `sets`. The part that no set holds is one too. None is empty. Nothing if there are more than `most`, or if finding
/// them is more than [`MOST_WORK`].
pub(in crate::knowledge::fit) fn atoms(sets: &[(usize, &Diagram)], most: usize) -> Option<Vec<(Vec<usize>, Diagram)>> {
    let mut walk = Walk { sets, most, work: 0, known: BTreeMap::new(), growths: Vec::new(), done: BTreeMap::new() };
    let mut begin = Standing::default();
    sets.iter().enumerate().for_each(|(at, (_, set))| begin.add(at, set.root));
    let roots = walk.below(begin)?;
    let mut roots: BTreeMap<usize, Edge> = roots.iter().copied().collect();
    let members = walk.known.into_iter().map(|(members, atom)| (atom, members));
    let members: BTreeMap<usize, Vec<usize>> = members.collect();
    let atom = |(growth, (atom, members)): (Growth, (usize, Vec<usize>))| {
        let root = roots.remove(&atom)?;
        let names = members.iter().filter_map(|&at| sets.get(at)).map(|(name, _)| *name).collect();
        Some((names, Diagram { nodes: growth.nodes, root }))
    };
    Some(walk.growths.into_iter().zip(members).filter_map(atom).collect())
}

/// Most sets and atoms that are looked at, value by value: a second's work, of which some 100 MB are kept.
const MOST_WORK: usize = 5_000_000;

/// Where the walk stands, by the positions of the sets: those that hold all below here, and those where it depends.
#[derive(Clone, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
struct Standing {
    hold: Vec<usize>,
    open: Vec<(usize, Edge)>,
}

impl Standing {
    fn add(&mut self, at: usize, edge: Edge) {
        match edge {
            Edge::None => {}
            Edge::All => self.hold.push(at),
            Edge::Node(_) => self.open.push((at, edge)),
        }
    }
}

/// For each atom that can be reached, by its number, its diagram's edge from here.
type Below = Rc<[(usize, Edge)]>;

struct Walk<'a> {
    sets: &'a [(usize, &'a Diagram)],
    /// Most atoms.
    most: usize,
    /// Sets and atoms that were looked at.
    work: usize,
    /// The number of each atom, by its members.
    known: BTreeMap<Vec<usize>, usize>,
    /// The diagram of each atom as far as it has grown, by its number.
    growths: Vec<Growth>,
    done: BTreeMap<Standing, Below>,
}

impl<'a> Walk<'a> {
    /// Nothing once there are too many atoms or the work is too much.
    fn below(&mut self, standing: Standing) -> Option<Below> {
        let Some((level, arity)) = self.asked(&standing) else {
            let atom = self.atom(standing.hold);
            return (self.known.len() <= self.most).then(|| Rc::new([(atom, Edge::All)]) as Below);
        };
        if let Some(done) = self.done.get(&standing) {
            return Some(Rc::clone(done));
        }
        self.work += (standing.hold.len() + standing.open.len()) * arity;
        if self.work > MOST_WORK {
            return None;
        }
        let mut found: BTreeMap<usize, Vec<Edge>> = BTreeMap::new();
        for (value, next) in self.steps(&standing, level, arity).into_iter().enumerate() {
            let below = self.below(next)?;
            self.work += below.len();
            for &(atom, edge) in below.iter() {
                let children = found.entry(atom).or_insert_with(|| vec![Edge::None; arity]);
                children.get_mut(value).into_iter().for_each(|child| *child = edge);
            }
        }
        let grown = found.into_iter().filter_map(|(atom, children)| {
            let edge = self.growths.get_mut(atom)?.node(level, children);
            Some((atom, edge))
        });
        let below: Below = grown.collect();
        self.work += below.len() * arity;
        self.done.insert(standing, Rc::clone(&below));
        Some(below)
    }

    /// The first level that an open set asks for, and how many values it has.
    fn asked(&self, standing: &Standing) -> Option<(usize, usize)> {
        let nodes = standing.open.iter().filter_map(|&(at, edge)| self.node(at, edge));
        nodes.map(|node| (node.level, node.children.len())).min()
    }

    /// Where each value of a level leads. Sets that ask later stay where they are.
    fn steps(&self, standing: &Standing, level: usize, arity: usize) -> Vec<Standing> {
        let mut steps = vec![Standing { hold: standing.hold.clone(), open: Vec::new() }; arity];
        for &(at, edge) in &standing.open {
            let node = self.node(at, edge).filter(|node| node.level == level);
            for (value, step) in steps.iter_mut().enumerate() {
                step.add(at, node.map_or(edge, |node| node.children.get(value).copied().unwrap_or(Edge::None)));
            }
        }
        steps.iter_mut().for_each(|step| step.hold.sort_unstable());
        steps
    }

    fn node(&self, at: usize, edge: Edge) -> Option<&'a Node> {
        self.sets.get(at).and_then(|(_, set)| set.node(edge))
    }

    fn atom(&mut self, members: Vec<usize>) -> usize {
        let next = self.known.len();
        let atom = *self.known.entry(members).or_insert(next);
        if atom == next {
            self.growths.push(Growth::default());
        }
        atom
    }
}
