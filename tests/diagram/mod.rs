//! Drawn flows: nothing overlaps, everything leads down, and what is drawn is what was given.

use baybook::page::diagram::{Chart, Edge, Layout, Node, Place, Shape, layout, svg};
use proptest::prelude::*;

fn node(at: usize, text: &str, ends: bool) -> Node {
    Node {
        shape: if ends { Shape::Terminator } else { Shape::Decision },
        text: text.to_owned(),
        href: format!("#step-{at}"),
        class: if ends { "book-in".to_owned() } else { "ask".to_owned() },
    }
}

/// A chart whose edges lead to later nodes, as the numbers say.
fn chart(jumps: &[Vec<usize>]) -> Chart {
    let count = jumps.len();
    let mut edges = Vec::new();
    for (from, jumps) in jumps.iter().enumerate() {
        let targets = jumps.iter().map(|jump| from + jump).filter(|to| *to < count);
        edges.extend(targets.enumerate().map(|(at, to)| Edge { from, to, label: format!("answer {at}") }));
    }
    let ends = |at: usize| edges.iter().all(|edge| edge.from != at);
    let nodes = (0..count).map(|at| node(at, "Does the hum change when you steer?", ends(at))).collect();
    Chart { nodes, edges }
}

fn apart(a: &Place, b: &Place) -> bool {
    (a.x - b.x).abs() >= (a.width + b.width) / 2.0 || (a.y - b.y).abs() >= (a.height + b.height) / 2.0
}

fn check(chart: &Chart) -> Layout {
    let drawn = layout(chart);
    assert_eq!(drawn.places.len(), chart.nodes.len());
    for (at, a) in drawn.places.iter().enumerate() {
        assert!(drawn.places.iter().skip(at + 1).all(|b| apart(a, b)), "two nodes overlap");
        let inside = a.x - a.width / 2.0 >= 0.0 && a.x + a.width / 2.0 <= drawn.width;
        assert!(inside && a.y - a.height / 2.0 >= 0.0 && a.y + a.height / 2.0 <= drawn.height, "outside");
    }
    for (edge, line) in chart.edges.iter().zip(&drawn.lines) {
        assert!(line.len() >= 2 && line.is_sorted_by(|a, b| a.1 < b.1), "a line does not lead down");
        let (from, to) = (drawn.places[edge.from], drawn.places[edge.to]);
        let (first, last) = (line[0], line[line.len() - 1]);
        assert!((first.0 - from.x).abs() <= from.width / 2.0 && first.1 > from.y);
        assert!((last.0 - to.x).abs() < 0.01 && (last.1 - (to.y - to.height / 2.0)).abs() < 0.01);
    }
    drawn
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]
    #[test]
    fn nothing_overlaps_and_everything_leads_down(jumps in proptest::collection::vec(proptest::collection::vec(1..6_usize, 0..4), 1..50)) {
        let chart = chart(&jumps);
        check(&chart);
        prop_assert_eq!(svg(&chart, "Flow"), svg(&chart, "Flow"));
    }
}

#[test]
fn a_drawing_says_everything_once_and_safely() {
    let mut chart = chart(&[vec![1, 2], vec![], vec![]]);
    chart.nodes[1].text = "explain <b>\"block-tread hum\"</b> & more".to_owned();
    let drawn = svg(&chart, "Hum & \"drone\"");
    assert_eq!(drawn.matches("<a class=\"fc-node").count(), 3);
    assert_eq!(drawn.matches("<g class=\"fc-edge").count(), 2);
    assert_eq!(drawn.matches("fc-label").count(), 2);
    assert!(!drawn.contains("<b>") && drawn.contains("&lt;b&gt;") && !drawn.contains("style="), "{drawn}");
    assert!(drawn.contains("href=\"#step-2\"") && drawn.contains("aria-label=\"Hum &amp; &quot;drone&quot;\""));
}

#[test]
fn odd_charts_are_drawn_too() {
    let nothing = layout(&Chart::default());
    assert_eq!((nothing.width, nothing.places.len()), (0.0, 0));
    check(&chart(&[vec![]]));
    let mut round = chart(&[vec![1], vec![1], vec![]]);
    round.edges.push(Edge { from: 7, to: 0, label: String::new() });
    round.edges.push(Edge { from: 2, to: 0, label: "again".to_owned() });
    let drawn = layout(&round);
    assert_eq!(drawn.lines.len(), 4);
    let long =
        Chart { nodes: vec![node(0, &"word ".repeat(60), false), node(1, &"x".repeat(300), true)], edges: Vec::new() };
    check(&long);
}

#[test]
fn straight_flows_stay_straight() {
    let drawn = check(&chart(&[vec![1], vec![1], vec![1], vec![]]));
    assert!(drawn.places.iter().all(|place| (place.x - drawn.places[0].x).abs() < 1.0));
}
