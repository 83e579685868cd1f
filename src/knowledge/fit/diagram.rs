//! Reduced, ordered decision diagrams with many-valued levels: the set of vehicles of one line.
//!
//! Invariants: levels grow from a node to its children; no node has equal children throughout; no two nodes are
//! equal; nodes stand in the order in which a walk from the root, first child first, leaves them. Together they
//! make two diagrams of one set equal field by field, so equality, order and hashing are derived.

mod atoms;

use std::collections::{BTreeMap, BTreeSet};

pub(super) use atoms::atoms;

/// Where a choice leads.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
enum Edge {
    /// No vehicle below here.
    None,
    /// Every vehicle below here.
    All,
    /// It depends: the node of that number.
    Node(usize),
}

/// One question: the value at `level` chooses the child.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
struct Node {
    level: usize,
    children: Vec<Edge>,
}

/// A set of points, each one value for each level.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(super) struct Diagram {
    nodes: Vec<Node>,
    root: Edge,
}

/// A box: the allowed values of each level that is limited. Levels not named allow every value.
pub(super) type Limits = BTreeMap<usize, BTreeSet<usize>>;

/// What an operation makes of membership in its two operands.
type Operation = fn(bool, bool) -> bool;

impl Diagram {
    /// The set of all points, or of none.
    pub(super) fn constant(all: bool) -> Self {
        Self { nodes: Vec::new(), root: Edge::constant(all) }
    }

    /// The box of `limits`, where level `n` has `arities[n]` values. Values that a level does not have are not in it.
    pub(super) fn from_limits(arities: &[usize], limits: &Limits) -> Self {
        let mut growth = Growth::default();
        let mut below = Edge::All;
        for (level, &arity) in arities.iter().enumerate().rev() {
            let Some(allowed) = limits.get(&level) else { continue };
            // An empty level empties the box; going on would leave the nodes below without a way to them.
            if allowed.range(..arity).next().is_none() {
                return Self::constant(false);
            }
            let child = |value: usize| if allowed.contains(&value) { below } else { Edge::None };
            below = growth.node(level, (0..arity).map(child).collect());
        }
        Self { nodes: growth.nodes, root: below }
    }

    pub(super) fn union(&self, other: &Self) -> Self {
        self.combine(other, |a, b| a || b)
    }

    pub(super) fn intersection(&self, other: &Self) -> Self {
        self.combine(other, |a, b| a && b)
    }

    pub(super) fn difference(&self, other: &Self) -> Self {
        self.combine(other, |a, b| a && !b)
    }

    pub(super) fn is_empty(&self) -> bool {
        self.root == Edge::None
    }

    pub(super) fn is_all(&self) -> bool {
        self.root == Edge::All
    }

    pub(super) fn is_subset(&self, other: &Self) -> bool {
        self.difference(other).is_empty()
    }

    /// Whether the point with those values, one for each level, is in the set.
    pub(super) fn contains(&self, point: &[usize]) -> bool {
        let mut edge = self.root;
        while let Some(node) = self.node(edge) {
            let child = point.get(node.level).and_then(|&value| node.children.get(value));
            edge = child.copied().unwrap_or(Edge::None);
        }
        edge == Edge::All
    }

    /// Whether the set holds every point of a box. A box without a point is held by every set.
    pub(super) fn holds(&self, limits: &Limits) -> bool {
        limits.values().any(BTreeSet::is_empty) || self.holds_below(self.root, limits, &mut BTreeSet::new())
    }

    /// `held` are the nodes already found to hold their part of the box.
    fn holds_below(&self, edge: Edge, limits: &Limits, held: &mut BTreeSet<Edge>) -> bool {
        let Some(node) = self.node(edge) else { return edge == Edge::All };
        if held.contains(&edge) {
            return true;
        }
        let allowed = limits.get(&node.level);
        let within = |value: &usize| allowed.is_none_or(|allowed| allowed.contains(value));
        let mut children = node.children.iter().enumerate().filter(|(value, _)| within(value));
        let holds = children.all(|(_, &child)| self.holds_below(child, limits, held));
        if holds {
            held.insert(edge);
        }
        holds
    }

    /// The first point in the order of values, level by level.
    pub(super) fn first(&self, levels: usize) -> Option<Vec<usize>> {
        let mut point = vec![0; levels];
        let mut edge = self.root;
        while let Some(node) = self.node(edge) {
            let (value, &child) = node.children.iter().enumerate().find(|(_, child)| **child != Edge::None)?;
            *point.get_mut(node.level)? = value;
            edge = child;
        }
        (edge == Edge::All).then_some(point)
    }

    /// Boxes that do not overlap and together are the set: one for each way through the diagram.
    pub(super) fn paths(&self) -> Vec<Limits> {
        let mut paths = Vec::new();
        self.walk(self.root, &mut Limits::new(), &mut paths);
        paths
    }

    /// How many ways lead through the diagram, to its set and past it: as many boxes as [`Diagram::paths`] gives at most,
    /// for the set or for what it leaves out.
    pub(super) fn ways(&self) -> usize {
        let mut below: Vec<usize> = Vec::with_capacity(self.nodes.len());
        // Children stand before their parents.
        for node in &self.nodes {
            let children: BTreeSet<Edge> = node.children.iter().copied().collect();
            let ways = children.into_iter().map(|child| match child {
                Edge::None | Edge::All => 1,
                Edge::Node(at) => below.get(at).copied().unwrap_or_default(),
            });
            below.push(ways.fold(0, usize::saturating_add));
        }
        below.last().copied().unwrap_or(1)
    }

    fn walk(&self, edge: Edge, above: &mut Limits, paths: &mut Vec<Limits>) {
        let Some(node) = self.node(edge) else {
            if edge == Edge::All {
                paths.push(above.clone());
            }
            return;
        };
        for (child, values) in node.ways() {
            above.insert(node.level, values);
            self.walk(child, above, paths);
        }
        above.remove(&node.level);
    }

    fn node(&self, edge: Edge) -> Option<&Node> {
        match edge {
            Edge::Node(at) => self.nodes.get(at),
            Edge::None | Edge::All => None,
        }
    }

    fn combine(&self, other: &Self, operation: Operation) -> Self {
        let mut pass = Pass { left: self, right: other, operation, growth: Growth::default(), done: BTreeMap::new() };
        let root = pass.combine(self.root, other.root);
        Self { nodes: pass.growth.nodes, root }
    }
}

impl Edge {
    fn constant(all: bool) -> Self {
        if all { Self::All } else { Self::None }
    }

    fn as_constant(self) -> Option<bool> {
        match self {
            Self::None => Some(false),
            Self::All => Some(true),
            Self::Node(_) => None,
        }
    }
}

impl Node {
    /// The children that lead somewhere, each once, with the values that lead there, in the order of first values.
    fn ways(&self) -> Vec<(Edge, BTreeSet<usize>)> {
        let mut ways: Vec<(Edge, BTreeSet<usize>)> = Vec::new();
        for (value, &child) in self.children.iter().enumerate().filter(|(_, child)| **child != Edge::None) {
            match ways.iter_mut().find(|(known, _)| *known == child) {
                Some((_, values)) => _ = values.insert(value),
                None => ways.push((child, BTreeSet::from([value]))),
            }
        }
        ways
    }
}

/// One operation under way. Every pair of nodes is worked once.
struct Pass<'a> {
    left: &'a Diagram,
    right: &'a Diagram,
    operation: Operation,
    growth: Growth,
    done: BTreeMap<(Edge, Edge), Edge>,
}

impl Pass<'_> {
    fn combine(&mut self, left: Edge, right: Edge) -> Edge {
        if let Some(all) = self.settled(left, right) {
            return Edge::constant(all);
        }
        if let Some(&known) = self.done.get(&(left, right)) {
            return known;
        }
        let (left_node, right_node) = (self.left.node(left), self.right.node(right));
        let Some(asked) = [left_node, right_node].into_iter().flatten().min_by_key(|node| node.level) else {
            return Edge::None; // Not reached: without nodes both are constants, and those are settled.
        };
        let children = (0..asked.children.len())
            .map(|value| self.combine(below(left_node, left, asked, value), below(right_node, right, asked, value)))
            .collect();
        let made = self.growth.node(asked.level, children);
        self.done.insert((left, right), made);
        made
    }

    /// The result, where constants alone decide it.
    fn settled(&self, left: Edge, right: Edge) -> Option<bool> {
        let decided = |if_out: bool, if_in: bool| (if_out == if_in).then_some(if_in);
        match (left.as_constant(), right.as_constant()) {
            (Some(left), Some(right)) => Some((self.operation)(left, right)),
            (Some(left), None) => decided((self.operation)(left, false), (self.operation)(left, true)),
            (None, Some(right)) => decided((self.operation)(false, right), (self.operation)(true, right)),
            (None, None) => None,
        }
    }
}

/// Where `edge` leads when the level of `asked` has `value`: an edge whose node asks later stays where it is.
fn below(node: Option<&Node>, edge: Edge, asked: &Node, value: usize) -> Edge {
    match node {
        Some(node) if node.level == asked.level => node.children.get(value).copied().unwrap_or(Edge::None),
        _ => edge,
    }
}

/// Nodes made so far. A node is made after its children and first children first, which is the order that the
/// invariants ask for.
#[derive(Default)]
struct Growth {
    nodes: Vec<Node>,
    known: BTreeMap<Node, usize>,
}

impl Growth {
    fn node(&mut self, level: usize, children: Vec<Edge>) -> Edge {
        if let Some(&first) = children.first()
            && children.iter().all(|child| *child == first)
        {
            return first;
        }
        let node = Node { level, children };
        let at = *self.known.entry(node).or_insert_with_key(|node| {
            self.nodes.push(node.clone());
            self.nodes.len() - 1
        });
        Edge::Node(at)
    }
}
