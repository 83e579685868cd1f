//! A flow drawn with the symbols of ISO 5807: a decision for every question, a terminator for every verdict, lines
//! that lead down. Laid out in layers (Sugiyama, Tagawa and Toda, "Methods for visual understanding of hierarchical
//! system structures", 1981): longest paths give the layers, sweeps of barycentres the order, and averages of
//! neighbours the places.
//!
//! In: nodes and edges. Out: an SVG without styles of its own, because the page's policy forbids them; the theme's
//! classes give colours. Never: reads anything of the page around it.

use std::fmt::Write;

/// What a node is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Shape {
    /// A question: a diamond.
    Decision,
    /// An end: a box with round ends.
    Terminator,
}

/// A node.
#[derive(Clone, Debug)]
pub struct Node {
    /// What it is.
    pub shape: Shape,
    /// What stands in it.
    pub text: String,
    /// Where it leads when it is followed, such as `#step-3`.
    pub href: String,
    /// A class for the theme, such as `do-not-drive`.
    pub class: String,
}

/// An edge from one node to another, by position.
#[derive(Clone, Debug)]
pub struct Edge {
    /// From where.
    pub from: usize,
    /// To where.
    pub to: usize,
    /// The answer.
    pub label: String,
}

/// What is drawn. Edges must not lead round in a circle: one that does is left out.
#[derive(Clone, Debug, Default)]
pub struct Chart {
    /// Nodes; the first is the start.
    pub nodes: Vec<Node>,
    /// Edges.
    pub edges: Vec<Edge>,
}

/// Where a node stands: its middle and its size.
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

/// A chart with places.
#[derive(Clone, Debug, Default)]
pub struct Layout {
    /// By node.
    pub places: Vec<Place>,
    /// By edge, the corners of its line, from above to below; none for an edge that was left out.
    pub lines: Vec<Vec<(f64, f64)>>,
    /// Width of the whole.
    pub width: f64,
    /// Height of the whole.
    pub height: f64,
}

const DECISION_WIDTH: f64 = 220.0;
const TERMINATOR_WIDTH: f64 = 176.0;
const LINE_HEIGHT: f64 = 17.0;
/// Between neighbours of a layer.
const GAP: f64 = 22.0;
/// Between layers; room for the answers.
const LAYER_GAP: f64 = 88.0;
/// How far below a node its answers reach, in two staggered rows.
const LABELS: f64 = 36.0;
/// Room that a passing line takes in a layer.
const PASSING: f64 = 14.0;
const MARGIN: f64 = 12.0;
/// Characters in a line of a decision and of a terminator, at the size that the theme sets (14 px).
const DECISION_CHARACTERS: usize = 20;
const TERMINATOR_CHARACTERS: usize = 24;
const MOST_LINES: usize = 4;
const SWEEPS: usize = 12;

/// A node or a place where a long edge passes a layer.
#[derive(Clone, Debug)]
struct Slot {
    layer: usize,
    width: f64,
    x: f64,
    above: Vec<usize>,
    below: Vec<usize>,
}

/// Lays a chart out.
pub fn layout(chart: &Chart) -> Layout {
    let (layers, edges) = layers_of(chart);
    let mut slots: Vec<Slot> = chart.nodes.iter().zip(&layers).map(|(node, layer)| slot(*layer, width(node))).collect();
    let routes: Vec<Vec<usize>> = edges.iter().map(|(_, edge)| route(edge, &layers, &mut slots)).collect();
    let mut rows = rows_of(&slots);
    order(&mut rows, &slots);
    place(&rows, &mut slots);
    let heights = row_heights(chart, &layers, rows.len());
    finish(chart, &edges, &routes, &slots, &heights)
}

fn slot(layer: usize, width: f64) -> Slot {
    Slot { layer, width, x: 0.0, above: Vec::new(), below: Vec::new() }
}

fn width(node: &Node) -> f64 {
    match node.shape {
        Shape::Decision => DECISION_WIDTH,
        Shape::Terminator => TERMINATOR_WIDTH,
    }
}

/// Every node as low as the longest way to it, and the edges that lead downward, with their positions.
fn layers_of(chart: &Chart) -> (Vec<usize>, Vec<(usize, Edge)>) {
    let count = chart.nodes.len();
    let known = chart.edges.iter().enumerate().filter(|(_, edge)| edge.from < count && edge.to < count);
    let mut edges: Vec<(usize, Edge)> = known.map(|(at, edge)| (at, edge.clone())).collect();
    let mut layers = vec![0; count];
    for _ in 0..count {
        let mut moved = false;
        for (_, edge) in &edges {
            let least = layers.get(edge.from).map_or(0, |layer| layer + 1);
            if let Some(layer) = layers.get_mut(edge.to).filter(|layer| **layer < least && least < count) {
                *layer = least;
                moved = true;
            }
        }
        if !moved {
            break;
        }
    }
    edges.retain(|(_, edge)| layers.get(edge.from) < layers.get(edge.to));
    (layers, edges)
}

/// Joins the slots of an edge, with a new one in every layer that it passes.
fn route(edge: &Edge, layers: &[usize], slots: &mut Vec<Slot>) -> Vec<usize> {
    let (from, to) = (layers.get(edge.from).copied().unwrap_or(0), layers.get(edge.to).copied().unwrap_or(0));
    let mut way = vec![edge.from];
    for layer in from + 1..to {
        way.push(slots.len());
        slots.push(slot(layer, PASSING));
    }
    way.push(edge.to);
    for (upper, lower) in way.iter().zip(way.iter().skip(1)) {
        slots.get_mut(*upper).into_iter().for_each(|slot| slot.below.push(*lower));
        slots.get_mut(*lower).into_iter().for_each(|slot| slot.above.push(*upper));
    }
    way
}

/// Slots by layer, first in the order in which the start leads to them.
fn rows_of(slots: &[Slot]) -> Vec<Vec<usize>> {
    let depth = slots.iter().map(|slot| slot.layer + 1).max().unwrap_or(0);
    let mut rows = vec![Vec::new(); depth];
    let mut seen = vec![false; slots.len()];
    let mut stack: Vec<usize> = (0..slots.len()).rev().collect();
    while let Some(at) = stack.pop() {
        let Some(slot) = slots.get(at).filter(|_| seen.get(at) == Some(&false)) else { continue };
        seen.get_mut(at).into_iter().for_each(|seen| *seen = true);
        rows.get_mut(slot.layer).into_iter().for_each(|row: &mut Vec<usize>| row.push(at));
        stack.extend(slot.below.iter().rev());
    }
    rows
}

/// Orders every layer by the middle of its neighbours, down and up in turn, and keeps the order that crosses least.
fn order(rows: &mut Vec<Vec<usize>>, slots: &[Slot]) {
    let mut best = (crossings(rows, slots), rows.clone());
    for sweep in 0..SWEEPS {
        let down = sweep % 2 == 0;
        let mut at: Vec<usize> = (0..rows.len()).collect();
        if !down {
            at.reverse();
        }
        for row in at {
            let rank = ranks(rows, slots.len());
            let middle = |slot: &usize| {
                let near = slots.get(*slot).map_or(&[][..], |it| if down { &it.above } else { &it.below });
                let sum: f64 = near.iter().filter_map(|it| rank.get(*it)).sum();
                let own = rank.get(*slot).copied().unwrap_or(0.0);
                if near.is_empty() { own } else { sum / near.len() as f64 }
            };
            rows.get_mut(row).into_iter().for_each(|row| row.sort_by(|a, b| middle(a).total_cmp(&middle(b))));
        }
        let now = crossings(rows, slots);
        if now < best.0 {
            best = (now, rows.clone());
        }
    }
    *rows = best.1;
}

/// By slot, where it stands in its layer, from 0 to 1.
fn ranks(rows: &[Vec<usize>], slots: usize) -> Vec<f64> {
    let mut rank = vec![0.0; slots];
    for row in rows {
        for (at, slot) in row.iter().enumerate() {
            rank.get_mut(*slot).into_iter().for_each(|rank| *rank = (at as f64 + 0.5) / row.len() as f64);
        }
    }
    rank
}

fn crossings(rows: &[Vec<usize>], slots: &[Slot]) -> usize {
    let rank = ranks(rows, slots.len());
    let of = |slot: usize| rank.get(slot).copied().unwrap_or(0.0);
    let mut count = 0;
    for row in rows {
        let mut lines: Vec<(f64, f64)> = Vec::new();
        for slot in row {
            let below = slots.get(*slot).map_or(&[][..], |it| &it.below);
            lines.extend(below.iter().map(|to| (of(*slot), of(*to))));
        }
        for (at, a) in lines.iter().enumerate() {
            count += lines.iter().skip(at + 1).filter(|b| (a.0 - b.0) * (a.1 - b.1) < 0.0).count();
        }
    }
    count
}

/// Moves every slot towards the middle of its neighbours, as far as the others of its layer leave room.
fn place(rows: &[Vec<usize>], slots: &mut [Slot]) {
    for row in rows {
        let wishes = vec![0.0; row.len()];
        settle(row, &wishes, slots);
    }
    for sweep in 0..2 * SWEEPS {
        let down = sweep % 2 == 0;
        let mut in_turn: Vec<&Vec<usize>> = rows.iter().collect();
        if !down {
            in_turn.reverse();
        }
        for row in in_turn {
            let wishes: Vec<f64> = row.iter().map(|slot| wish(*slot, slots, down)).collect();
            settle(row, &wishes, slots);
        }
    }
}

fn wish(slot: usize, slots: &[Slot], down: bool) -> f64 {
    let Some(it) = slots.get(slot) else { return 0.0 };
    let near = if down { &it.above } else { &it.below };
    let sum: f64 = near.iter().filter_map(|it| slots.get(*it)).map(|it| it.x).sum();
    if near.is_empty() { it.x } else { sum / near.len() as f64 }
}

/// Places a layer as near to the wishes as its order and gaps allow, in the sense of least squares (pool adjacent
/// violators).
fn settle(row: &[usize], wishes: &[f64], slots: &mut [Slot]) {
    let mut offset = 0.0;
    let mut before = 0.0;
    let mut pools: Vec<(f64, f64)> = Vec::new();
    let mut offsets = Vec::new();
    for (slot, wish) in row.iter().zip(wishes) {
        let half = slots.get(*slot).map_or(0.0, |it| it.width / 2.0);
        offset += if offsets.is_empty() { 0.0 } else { before + GAP + half };
        before = half;
        offsets.push(offset);
        pools.push((wish - offset, 1.0));
        while let [.., (left, m), (right, n)] = pools.as_slice()
            && left > right
        {
            let joined = ((left * m + right * n) / (m + n), m + n);
            pools.truncate(pools.len() - 2);
            pools.push(joined);
        }
    }
    let starts = pools.iter().flat_map(|(start, count)| std::iter::repeat_n(*start, *count as usize));
    for ((slot, offset), start) in row.iter().zip(offsets).zip(starts) {
        slots.get_mut(*slot).into_iter().for_each(|slot| slot.x = start + offset);
    }
}

fn lines_of(node: &Node) -> Vec<String> {
    let most = match node.shape {
        Shape::Decision => DECISION_CHARACTERS,
        Shape::Terminator => TERMINATOR_CHARACTERS,
    };
    let mut lines: Vec<String> = vec![String::new()];
    for word in node.text.split_whitespace() {
        let Some(line) = lines.last_mut() else { break };
        if line.is_empty() {
            line.push_str(word);
        } else if line.chars().count() + 1 + word.chars().count() <= most {
            line.push(' ');
            line.push_str(word);
        } else {
            lines.push(word.to_owned());
        }
    }
    if lines.len() > MOST_LINES {
        lines.truncate(MOST_LINES);
        lines.last_mut().into_iter().for_each(|line| line.push('…'));
    }
    lines.iter().map(|line| cut(line, most + 2)).collect()
}

fn cut(text: &str, most: usize) -> String {
    if text.chars().count() <= most {
        return text.to_owned();
    }
    text.chars().take(most.saturating_sub(1)).chain(['…']).collect()
}

fn height(node: &Node) -> f64 {
    let lines = lines_of(node).len() as f64 * LINE_HEIGHT;
    match node.shape {
        Shape::Decision => 2.0 * lines + 36.0,
        Shape::Terminator => lines + 22.0,
    }
}

fn row_heights(chart: &Chart, layers: &[usize], rows: usize) -> Vec<f64> {
    let mut heights: Vec<f64> = vec![0.0; rows];
    for (node, layer) in chart.nodes.iter().zip(layers) {
        heights.get_mut(*layer).into_iter().for_each(|known| *known = known.max(height(node)));
    }
    heights
}

fn finish(chart: &Chart, edges: &[(usize, Edge)], routes: &[Vec<usize>], slots: &[Slot], heights: &[f64]) -> Layout {
    let left = slots.iter().map(|slot| slot.x - slot.width / 2.0).fold(f64::INFINITY, f64::min);
    let right = slots.iter().map(|slot| slot.x + slot.width / 2.0).fold(f64::NEG_INFINITY, f64::max);
    let mut middles = Vec::new();
    let mut y = MARGIN;
    for height in heights {
        middles.push(y + height / 2.0);
        y += height + LAYER_GAP;
    }
    let middle = |slot: &Slot| (slot.x - left + MARGIN, middles.get(slot.layer).copied().unwrap_or(0.0));
    let places = chart.nodes.iter().zip(slots).map(|(node, slot)| {
        let (x, y) = middle(slot);
        Place { x, y, width: width(node), height: height(node) }
    });
    let places: Vec<Place> = places.collect();
    let mut lines = vec![Vec::new(); chart.edges.len()];
    for ((position, _), way) in edges.iter().zip(routes) {
        let corners = corners(way, routes, chart, &places, slots, &middle);
        lines.get_mut(*position).into_iter().for_each(|line| line.clone_from(&corners));
    }
    let empty = chart.nodes.is_empty();
    let width = if empty { 0.0 } else { right - left + 2.0 * MARGIN };
    Layout { places, lines, width, height: (y - LAYER_GAP + MARGIN).max(0.0) }
}

/// From a port on the lower side of one node, straight down past the answers, past the layers between, to the top
/// of the other. Ports stand in the order in which their lines go on, so that they do not cross at once.
fn corners(
    way: &[usize],
    routes: &[Vec<usize>],
    chart: &Chart,
    places: &[Place],
    slots: &[Slot],
    middle: &dyn Fn(&Slot) -> (f64, f64),
) -> Vec<(f64, f64)> {
    let (Some(start), Some(end)) = (way.first(), way.last()) else { return Vec::new() };
    let (Some(from), Some(to)) = (places.get(*start), places.get(*end)) else { return Vec::new() };
    let toward = |way: &Vec<usize>| way.get(1).and_then(|slot| slots.get(*slot)).map_or(0.0, |slot| slot.x);
    let mut siblings: Vec<&Vec<usize>> = routes.iter().filter(|other| other.first() == Some(start)).collect();
    siblings.sort_by(|a, b| toward(a).total_cmp(&toward(b)));
    let rank = siblings.iter().position(|other| other.as_slice() == way).unwrap_or(0) as f64;
    let share = ((rank + 1.0) / (siblings.len() as f64 + 1.0) - 0.5) * 0.9;
    let is_decision = chart.nodes.get(*start).is_some_and(|node| node.shape == Shape::Decision);
    // On a diamond the lower edge rises towards its corners.
    let rise = if is_decision { share.abs() * from.height } else { 0.0 };
    let (x, bottom) = (from.x + share * from.width, from.y + from.height / 2.0);
    let mut line = vec![(x, bottom - rise), (x, bottom + LABELS)];
    line.extend(way.iter().skip(1).take(way.len().saturating_sub(2)).filter_map(|slot| slots.get(*slot)).map(middle));
    line.push((to.x, to.y - to.height / 2.0));
    line
}

/// Joins edges between the same two nodes: one line, with all its answers.
fn joined(chart: &Chart) -> Chart {
    let mut edges: Vec<Edge> = Vec::new();
    for edge in &chart.edges {
        match edges.iter_mut().find(|known| (known.from, known.to) == (edge.from, edge.to)) {
            Some(known) => known.label = format!("{}, {}", known.label, edge.label),
            None => edges.push(edge.clone()),
        }
    }
    Chart { nodes: chart.nodes.clone(), edges }
}

/// Draws a chart. `title` names it for those who cannot see it; the steps of the page are its text alternative.
pub fn svg(chart: &Chart, title: &str) -> String {
    let chart = &joined(chart);
    let drawn = layout(chart);
    let mut out = String::new();
    let (width, height) = (drawn.width.ceil(), drawn.height.ceil());
    let _ = write!(
        out,
        "<svg class=\"flowchart\" xmlns=\"http://www.w3.org/2000/svg\" width=\"{width}\" height=\"{height}\" viewBox=\"0 0 {width} {height}\" role=\"group\" aria-label=\"{}\">",
        escaped(title)
    );
    for (edge, line) in chart.edges.iter().zip(&drawn.lines) {
        draw_edge(edge, line, chart, &mut out);
    }
    draw_labels(chart, &drawn.lines, &mut out);
    for (node, place) in chart.nodes.iter().zip(&drawn.places) {
        draw_node(node, *place, &mut out);
    }
    out.push_str("</svg>");
    out
}

fn draw_edge(edge: &Edge, line: &[(f64, f64)], chart: &Chart, out: &mut String) {
    let [port, first, rest @ ..] = line else { return };
    let class = chart.nodes.get(edge.to).map_or("", |node| node.class.as_str());
    let _ = write!(out, "<g class=\"fc-edge to-{}\"><title>{}</title>", escaped(class), escaped(&edge.label));
    let _ = write!(out, "<path d=\"M{:.1} {:.1}V{:.1}", port.0, port.1, first.1);
    for (from, to) in [first].into_iter().chain(rest).zip(rest) {
        let half = (to.1 - from.1) / 2.0;
        let middle = from.1 + half;
        let _ = write!(out, "C{:.1} {middle:.1} {:.1} {middle:.1} {:.1} {:.1}", from.0, to.0, to.0, to.1);
    }
    let Some((x, y)) = rest.last() else { return };
    let _ = write!(
        out,
        "\"/><path class=\"fc-tip\" d=\"M{:.1} {:.1}L{x:.1} {y:.1}L{:.1} {:.1}z\"/></g>",
        x - 4.0,
        y - 8.0,
        x + 4.0,
        y - 8.0
    );
}

/// Answers of a node, each beside its line, in two rows so that neighbours do not touch. They come after the lines,
/// so that no line runs through them.
fn draw_labels(chart: &Chart, lines: &[Vec<(f64, f64)>], out: &mut String) {
    for node in 0..chart.nodes.len() {
        let its = chart.edges.iter().zip(lines).filter(|(edge, _)| edge.from == node);
        let mut its: Vec<(f64, f64, &str)> =
            its.filter_map(|(edge, line)| line.get(1).map(|at| (at.0, at.1, edge.label.as_str()))).collect();
        its.sort_by(|a, b| a.0.total_cmp(&b.0));
        let most = if its.len() > 3 { 14 } else { 22 };
        for (rank, (x, y, label)) in its.iter().enumerate() {
            let y = y - if rank % 2 == 0 { 22.0 } else { 6.0 };
            let label = escaped(&cut(label, most));
            let _ =
                write!(out, "<text class=\"fc-label\" x=\"{x:.1}\" y=\"{y:.1}\" text-anchor=\"middle\">{label}</text>");
        }
    }
}

fn draw_node(node: &Node, place: Place, out: &mut String) {
    let Place { x, y, width, height } = place;
    let (left, top, right, bottom) = (x - width / 2.0, y - height / 2.0, x + width / 2.0, y + height / 2.0);
    let class = escaped(&node.class);
    let _ = write!(
        out,
        "<a class=\"fc-node {class}\" href=\"{}\"><title>{}</title>",
        escaped(&node.href),
        escaped(&node.text)
    );
    match node.shape {
        Shape::Decision => {
            let _ =
                write!(out, "<path d=\"M{x:.1} {top:.1}L{right:.1} {y:.1}L{x:.1} {bottom:.1}L{left:.1} {y:.1}z\"/>");
        }
        Shape::Terminator => {
            let radius = height / 2.0;
            let _ = write!(
                out,
                "<rect x=\"{left:.1}\" y=\"{top:.1}\" width=\"{width:.1}\" height=\"{height:.1}\" rx=\"{radius:.1}\"/>"
            );
        }
    }
    let lines = lines_of(node);
    let first = y - (lines.len() as f64 - 1.0) * LINE_HEIGHT / 2.0 + 5.0;
    for (at, line) in lines.iter().enumerate() {
        let y = first + at as f64 * LINE_HEIGHT;
        let _ = write!(out, "<text x=\"{x:.1}\" y=\"{y:.1}\" text-anchor=\"middle\">{}</text>", escaped(line));
    }
    out.push_str("</a>");
}

fn escaped(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;")
}
