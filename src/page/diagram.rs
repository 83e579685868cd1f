//! A flow drawn with the symbols of ISO 5807: a decision for every question, a terminator for every verdict, and a
//! connector, a circle with a number, for a question that is drawn elsewhere. It reads from left to right in layers,
//! one for each question on the shortest way there. Every answer has a row of its own with its words above its line,
//! so no two lines cross and no two texts meet, however long the flow.
//!
//! In: nodes and edges. Out: an SVG without styles of its own, because the page's policy forbids them; the theme's
//! classes give colours. Never: reads anything of the page around it.

use std::fmt::Write;

use serde::Serialize;

/// What a node is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub enum Shape {
    /// A question: a diamond, drawn once.
    Decision,
    /// An end: a box with round ends, drawn at every answer that leads to it.
    Terminator,
}

/// A node.
#[derive(Clone, Debug, Serialize)]
pub struct Node {
    /// What it is.
    pub shape: Shape,
    /// Its number, which a connector shows.
    pub number: usize,
    /// What stands in it, after its number.
    pub text: String,
    /// Where it leads when it is followed, such as `#step-3`.
    pub href: String,
    /// A class for the theme, such as `do-not-drive`.
    pub class: String,
}

/// An edge from one node to another, by position.
#[derive(Clone, Debug, Serialize)]
pub struct Edge {
    /// From where.
    pub from: usize,
    /// To where.
    pub to: usize,
    /// The answer.
    pub label: String,
}

/// What is drawn.
#[derive(Clone, Debug, Default, Serialize)]
pub struct Chart {
    /// Nodes; the first is the start.
    pub nodes: Vec<Node>,
    /// Edges. One that leads from or to nothing is left out.
    pub edges: Vec<Edge>,
}

/// Where something stands: its middle and its size.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Place {
    /// Middle.
    pub x: f64,
    /// Middle.
    pub y: f64,
    /// Width.
    pub width: f64,
    /// Height.
    pub height: f64,
}

/// How an answer goes on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Way {
    /// To a node that is drawn at its end.
    On,
    /// To a verdict.
    End,
    /// To a question that is drawn elsewhere.
    Elsewhere,
}

/// One answer: its words, its line and what stands at the end of it.
#[derive(Clone, Debug)]
pub struct Branch {
    /// The edge's ends.
    pub from: usize,
    /// See `from`.
    pub to: usize,
    /// How it goes on.
    pub way: Way,
    /// The answer, broken into lines.
    pub label: Vec<String>,
    /// The room of those lines.
    pub words: Place,
    /// Where the line ends: the left edge of what follows.
    pub tip: (f64, f64),
    /// The terminator or the connector; for `Way::On` the node.
    pub end: Place,
}

/// A chart with places.
#[derive(Clone, Debug, Default)]
pub struct Layout {
    /// By node; none for a verdict that stands at its answers only.
    pub places: Vec<Option<Place>>,
    /// In the order of nodes and of their edges. Edges between the same two nodes are one branch.
    pub branches: Vec<Branch>,
    /// Width of the whole.
    pub width: f64,
    /// Height of the whole.
    pub height: f64,
}

const DECISION_WIDTH: f64 = 188.0;
const LINE_HEIGHT: f64 = 17.0;
/// From a question to the line from which its answers branch.
const TRUNK: f64 = 12.0;
/// Room for an answer's words above its line.
const LABEL_WIDTH: f64 = 152.0;
const LABEL_LINE: f64 = 15.0;
const PITCH: f64 = DECISION_WIDTH + TRUNK + LABEL_WIDTH;
/// A terminator, with its round ends.
const END_WIDTH: f64 = 128.0;
const END_HEIGHT: f64 = 28.0;
/// What a finger meets, WCAG 2.2, 2.5.5.
const TOUCHED: f64 = 44.0;
/// Below one question before the next.
const GAP: f64 = 14.0;
const MARGIN: f64 = 12.0;
/// Characters in a line of a question and of an answer, at the sizes that the theme sets (13 px and 12 px).
const DECISION_CHARACTERS: usize = 18;
const LABEL_CHARACTERS: usize = 24;
const DECISION_LINES: usize = 4;
const LABEL_LINES: usize = 3;

/// The tree that is drawn: every question hangs where it is reached first.
struct Tree {
    /// Nodes in the order in which they are reached, with the layer of each.
    order: Vec<(usize, usize)>,
    /// By node, its answers.
    branches: Vec<Vec<Leaf>>,
}

struct Leaf {
    to: usize,
    way: Way,
    label: Vec<String>,
}

/// Height of a node with everything that hangs on it, and where its middle is below the top.
#[derive(Clone, Copy, Default)]
struct Block {
    height: f64,
    middle: f64,
}

/// Lays a chart out.
pub fn layout(chart: &Chart) -> Layout {
    let tree = tree(chart);
    let blocks = blocks(chart, &tree);
    let mut drawn = Layout { places: vec![None; chart.nodes.len()], ..Layout::default() };
    let mut tops = vec![0.0; chart.nodes.len()];
    let mut next_root = MARGIN;
    for (at, layer) in &tree.order {
        let block = blocks.get(*at).copied().unwrap_or_default();
        if *layer == 0 {
            tops.get_mut(*at).into_iter().for_each(|top| *top = next_root);
            next_root += block.height;
        }
        let top = tops.get(*at).copied().unwrap_or(0.0);
        let left = MARGIN + *layer as f64 * PITCH;
        let place = chart.nodes.get(*at).map(|node| Place {
            x: left + width(node) / 2.0,
            y: top + block.middle,
            width: width(node),
            height: height(node),
        });
        drawn.places.get_mut(*at).into_iter().for_each(|known| *known = place);
        let rows = rows(chart, &tree, &blocks, *at, top);
        for (leaf, (row_top, y)) in tree.branches.get(*at).into_iter().flatten().zip(rows) {
            tops.get_mut(leaf.to).filter(|_| leaf.way == Way::On).into_iter().for_each(|top| *top = row_top);
            drawn.branches.push(branch(chart, *at, leaf, left + DECISION_WIDTH + TRUNK, y));
        }
    }
    let right = |place: &Place| place.x + place.width / 2.0 + MARGIN;
    let ends = drawn.places.iter().flatten().chain(drawn.branches.iter().map(|branch| &branch.end));
    drawn.width = ends.map(right).fold(0.0, f64::max);
    drawn.height = if chart.nodes.is_empty() { 0.0 } else { next_root + MARGIN };
    drawn
}

/// Hangs every question where the fewest questions lead to it; what nothing leads to stands by itself.
fn tree(chart: &Chart) -> Tree {
    let count = chart.nodes.len();
    let mut tree = Tree { order: Vec::new(), branches: (0..count).map(|_| Vec::new()).collect() };
    let mut seen = vec![false; count];
    for root in 0..count {
        let is_lone_end = root > 0 && chart.nodes.get(root).is_none_or(|node| node.shape == Shape::Terminator);
        if seen.get(root) != Some(&false)
            || (is_lone_end && chart.edges.iter().any(|edge| edge.to == root && edge.from < count))
        {
            continue;
        }
        seen.get_mut(root).into_iter().for_each(|seen| *seen = true);
        let mut next = tree.order.len();
        tree.order.push((root, 0));
        while let Some((at, layer)) = tree.order.get(next).copied() {
            next += 1;
            for (to, label) in answers(chart, at) {
                let is_end = chart.nodes.get(to).is_some_and(|node| node.shape == Shape::Terminator);
                let is_new = !is_end && seen.get(to) == Some(&false);
                if is_new {
                    seen.get_mut(to).into_iter().for_each(|seen| *seen = true);
                    tree.order.push((to, layer + 1));
                }
                let way = match (is_end, is_new) {
                    (true, _) => Way::End,
                    (_, true) => Way::On,
                    _ => Way::Elsewhere,
                };
                let label = broken(&label, LABEL_CHARACTERS, LABEL_LINES);
                tree.branches.get_mut(at).into_iter().for_each(|its| its.push(Leaf { to, way, label: label.clone() }));
            }
        }
    }
    tree
}

/// Where a node's edges lead, those to the same node as one, with all its answers.
fn answers(chart: &Chart, from: usize) -> Vec<(usize, String)> {
    let mut joined: Vec<(usize, String)> = Vec::new();
    for edge in chart.edges.iter().filter(|edge| edge.from == from && edge.to < chart.nodes.len()) {
        match joined.iter_mut().find(|(to, _)| *to == edge.to) {
            Some((_, label)) => *label = format!("{label}; {}", edge.label),
            None => joined.push((edge.to, edge.label.clone())),
        }
    }
    joined
}

/// By node, the room it needs. Children come after their parents in the order, so this goes backwards.
fn blocks(chart: &Chart, tree: &Tree) -> Vec<Block> {
    let mut blocks = vec![Block::default(); chart.nodes.len()];
    for (at, _) in tree.order.iter().rev() {
        let own = chart.nodes.get(*at).map_or(0.0, height);
        let rows = rows(chart, tree, &blocks, *at, 0.0);
        let total: f64 = tree.branches.get(*at).into_iter().flatten().map(|leaf| row(leaf, &blocks).height).sum();
        let height = total.max(own) + GAP;
        // In line with its first answer, so that the start of the flow is at the start of the drawing.
        let middle = rows.first().map_or(0.0, |(_, y)| *y).clamp(own / 2.0, height - GAP - own / 2.0);
        blocks.get_mut(*at).into_iter().for_each(|block| *block = Block { height, middle });
    }
    blocks
}

/// The row of an answer: its height, and where its line is.
fn row(leaf: &Leaf, blocks: &[Block]) -> Block {
    let words = leaf.label.len() as f64 * LABEL_LINE + 8.0;
    match leaf.way {
        Way::On => {
            let block = blocks.get(leaf.to).copied().unwrap_or_default();
            let lift = (words - block.middle).max(0.0);
            Block { height: block.height + lift, middle: block.middle + lift }
        }
        Way::End | Way::Elsewhere => {
            Block { height: words.max(END_HEIGHT / 2.0) + END_HEIGHT / 2.0 + 8.0, middle: words.max(END_HEIGHT / 2.0) }
        }
    }
}

/// For every answer of a node whose block begins at `top`: where what hangs on it begins, and where its line is.
fn rows(chart: &Chart, tree: &Tree, blocks: &[Block], at: usize, top: f64) -> Vec<(f64, f64)> {
    let leaves = tree.branches.get(at).map_or(&[][..], Vec::as_slice);
    let total: f64 = leaves.iter().map(|leaf| row(leaf, blocks).height).sum();
    let own = chart.nodes.get(at).map_or(0.0, height);
    // A question that is higher than its answers has them in its middle.
    let mut y = top + ((own - total) / 2.0).max(0.0);
    let place = |leaf: &Leaf| {
        let room = row(leaf, blocks);
        let line = y + room.middle;
        y += room.height;
        (line - blocks.get(leaf.to).map_or(0.0, |block| block.middle), line)
    };
    leaves.iter().map(place).collect()
}

fn branch(chart: &Chart, from: usize, leaf: &Leaf, trunk: f64, y: f64) -> Branch {
    let node = chart.nodes.get(leaf.to);
    let tip = trunk + LABEL_WIDTH;
    let (width, height) = match leaf.way {
        Way::On => node.map_or((0.0, 0.0), |node| (width(node), height(node))),
        Way::End => (END_WIDTH, END_HEIGHT),
        Way::Elsewhere => (END_HEIGHT, END_HEIGHT),
    };
    let lines = leaf.label.len() as f64 * LABEL_LINE;
    Branch {
        from,
        to: leaf.to,
        way: leaf.way,
        label: leaf.label.clone(),
        words: Place { x: trunk + LABEL_WIDTH / 2.0, y: y - 4.0 - lines / 2.0, width: LABEL_WIDTH, height: lines },
        tip: (tip, y),
        end: Place { x: tip + width / 2.0, y, width, height },
    }
}

fn width(node: &Node) -> f64 {
    match node.shape {
        Shape::Decision => DECISION_WIDTH,
        Shape::Terminator => END_WIDTH,
    }
}

fn height(node: &Node) -> f64 {
    match node.shape {
        Shape::Decision => 2.0 * lines_of(node).len() as f64 * LINE_HEIGHT + 34.0,
        Shape::Terminator => END_HEIGHT,
    }
}

fn lines_of(node: &Node) -> Vec<String> {
    let text = format!("{} {}", node.number, node.text);
    match node.shape {
        Shape::Decision => broken(&text, DECISION_CHARACTERS, DECISION_LINES),
        Shape::Terminator => broken(&text, DECISION_CHARACTERS, 1),
    }
}

/// A text in lines of so many characters; what finds no room is left out, and said to be.
fn broken(text: &str, most: usize, lines: usize) -> Vec<String> {
    let mut broken: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        match broken.last_mut().filter(|line| line.chars().count() + 1 + word.chars().count() <= most) {
            Some(line) => *line = format!("{line} {word}"),
            None => broken.push(word.to_owned()),
        }
    }
    if broken.len() > lines {
        broken.truncate(lines);
        broken.last_mut().into_iter().for_each(|line| line.push('…'));
    }
    broken.iter().map(|line| cut(line, most + 1)).collect()
}

fn cut(text: &str, most: usize) -> String {
    if text.chars().count() <= most {
        return text.to_owned();
    }
    text.chars().take(most.saturating_sub(1)).chain(['…']).collect()
}

/// Draws a chart. `title` names it for those who cannot see it; the steps of the page are its text alternative.
/// Lines and shapes of one kind are one path, which keeps a flow of seventy steps small.
pub fn svg(chart: &Chart, title: &str) -> String {
    let drawn = layout(chart);
    let (width, height) = (drawn.width.ceil(), drawn.height.ceil());
    let mut out = format!(
        "<svg class=\"flowchart\" width=\"{width}\" height=\"{height}\" viewBox=\"0 0 {width} {height}\" role=\"group\" \
         aria-label=\"{}\">",
        escaped(title)
    );
    draw_lines(&drawn, &mut out);
    draw_shapes(chart, &drawn, &mut out);
    for (node, place) in chart.nodes.iter().zip(&drawn.places) {
        place.iter().for_each(|place| draw_text(node, &lines_of(node), *place, &mut out));
    }
    for branch in &drawn.branches {
        draw_branch(chart, branch, &mut out);
    }
    out.push_str("</svg>");
    out
}

fn draw_lines(drawn: &Layout, out: &mut String) {
    let mut path = String::new();
    for (at, place) in drawn.places.iter().enumerate() {
        let Some(place) = place else { continue };
        let ends: Vec<(f64, f64)> = drawn.branches.iter().filter(|it| it.from == at).map(|it| it.tip).collect();
        let (Some(first), Some(last)) = (ends.first(), ends.last()) else { continue };
        let right = place.x + place.width / 2.0;
        let (top, bottom) = (first.1.min(place.y), last.1.max(place.y));
        let _ = write!(path, "M{right:.0} {:.0}h{TRUNK}M{:.0} {top:.0}V{bottom:.0}", place.y, right + TRUNK);
        for (x, y) in &ends {
            let _ = write!(path, "M{:.0} {y:.0}H{x:.0}m-7-4 7 4-7 4", right + TRUNK);
        }
    }
    let _ = write!(out, "<path class=\"fc-line\" d=\"{path}\"/>");
}

/// Diamonds; and round boxes as thick lines with round ends, once as the rim and once, thinner, as what it holds.
fn draw_shapes(chart: &Chart, drawn: &Layout, out: &mut String) {
    let mut paths: Vec<(String, String)> = Vec::new();
    let mut add = |class: String, piece: String| match paths.iter_mut().find(|(known, _)| *known == class) {
        Some((_, path)) => path.push_str(&piece),
        None => paths.push((class, piece)),
    };
    let round = |place: &Place| {
        let straight = place.width - place.height;
        format!("M{:.0} {:.0}h{straight:.0}", place.x - straight / 2.0, place.y)
    };
    for (node, place) in chart.nodes.iter().zip(&drawn.places) {
        let Some(place) = place else { continue };
        let (x, y) = (place.width / 2.0, place.height / 2.0);
        match node.shape {
            Shape::Decision => add(
                "fc-ask".to_owned(),
                format!("M{:.0} {:.0}l{x:.0} {y:.0} {x:.0}-{y:.0}-{x:.0}-{y:.0}z", place.x - x, place.y),
            ),
            Shape::Terminator => add(format!("fc-end {}", node.class), round(place)),
        }
    }
    for branch in &drawn.branches {
        match branch.way {
            Way::On => {}
            Way::End => {
                let class = chart.nodes.get(branch.to).map_or("", |node| node.class.as_str());
                add(format!("fc-end {class}"), round(&branch.end));
            }
            Way::Elsewhere => add("fc-end fc-else".to_owned(), round(&branch.end)),
        }
    }
    for (class, path) in paths {
        let class = escaped(&class);
        let _ = if class.starts_with("fc-end") {
            write!(out, "<g class=\"{class}\"><path class=\"rim\" d=\"{path}\"/><path class=\"in\" d=\"{path}\"/></g>")
        } else {
            write!(out, "<path class=\"{class}\" d=\"{path}\"/>")
        };
    }
}

/// The words of a node, a link to its step.
fn draw_text(node: &Node, lines: &[String], place: Place, out: &mut String) {
    let first = place.y - (lines.len() as f64 - 1.0) * LINE_HEIGHT / 2.0 + 4.5;
    let class = match node.shape {
        Shape::Decision => String::new(),
        Shape::Terminator => format!(" class=\"{}\"", escaped(&node.class)),
    };
    let _ = write!(out, "<a href=\"{}\"{class}><text x=\"{:.0}\" y=\"{first:.0}\">", escaped(&node.href), place.x);
    draw_words(lines, place.x, LINE_HEIGHT, out);
    out.push_str("</text></a>");
}

fn draw_branch(chart: &Chart, branch: &Branch, out: &mut String) {
    let (left, first) = (branch.words.x - branch.words.width / 2.0 + 6.0, branch.words.y - branch.words.height / 2.0);
    let _ = write!(out, "<text x=\"{left:.0}\" y=\"{:.0}\">", first + 11.0);
    draw_words(&branch.label, left, LABEL_LINE, out);
    out.push_str("</text>");
    let Some(node) = chart.nodes.get(branch.to) else { return };
    match branch.way {
        Way::On => {}
        Way::End => draw_text(node, &lines_of(node), branch.end, out),
        Way::Elsewhere => draw_connector(node, branch.end, out),
    }
}

/// A number is too small to touch: a square around it that is not seen, as high as the room of a branch.
fn draw_connector(node: &Node, place: Place, out: &mut String) {
    let _ = write!(
        out,
        "<a href=\"{}\"><path class=\"hit\" d=\"M{:.0} {:.0}h{TOUCHED}v{TOUCHED}h-{TOUCHED}z\"/><text x=\"{:.0}\" y=\"{:.0}\">{}</text></a>",
        escaped(&node.href),
        place.x - TOUCHED / 2.0,
        place.y - TOUCHED / 2.0,
        place.x,
        place.y + 4.5,
        node.number,
    );
}

/// Lines of words; the blank at the end of each keeps them apart when they are read aloud.
fn draw_words(lines: &[String], x: f64, height: f64, out: &mut String) {
    for (at, line) in lines.iter().enumerate() {
        let line = escaped(line);
        let _ = match at {
            0 => write!(out, "{line}"),
            _ => write!(out, " <tspan x=\"{x:.0}\" dy=\"{height}\">{line}</tspan>"),
        };
    }
}

fn escaped(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;")
}
