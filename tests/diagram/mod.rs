//! Drawn flows: nothing overlaps, no lines cross, everything leads to the right, and what is drawn is what was given.

use baybook::page::diagram::{Branch, Chart, Edge, Layout, Node, Place, Shape, Way, layout, svg};
use proptest::prelude::*;

fn node(at: usize, text: &str, ends: bool) -> Node {
    Node {
        shape: if ends { Shape::Terminator } else { Shape::Decision },
        number: at + 1,
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

fn left(place: &Place) -> f64 {
    place.x - place.width / 2.0
}

/// Everything that takes room: nodes, ends of answers that are drawn there, words of answers.
fn solids(drawn: &Layout) -> Vec<Place> {
    let ends = drawn.branches.iter().filter(|it| it.way != Way::On).map(|it| it.end);
    let words = drawn.branches.iter().map(|it| it.words);
    drawn.places.iter().flatten().copied().chain(ends).chain(words).collect()
}

fn check(chart: &Chart) -> Layout {
    let drawn = layout(chart);
    assert_eq!(drawn.places.len(), chart.nodes.len());
    let solids = solids(&drawn);
    for (at, a) in solids.iter().enumerate() {
        assert!(solids.iter().skip(at + 1).all(|b| apart(a, b)), "two things overlap");
        let inside = left(a) >= 0.0 && a.x + a.width / 2.0 <= drawn.width;
        assert!(inside && a.y - a.height / 2.0 >= 0.0 && a.y + a.height / 2.0 <= drawn.height, "outside");
    }
    for branch in &drawn.branches {
        holds(chart, &drawn, branch);
    }
    let questions = chart.nodes.iter().zip(&drawn.places).filter(|(node, _)| node.shape == Shape::Decision);
    assert!(questions.into_iter().all(|(_, place)| place.is_some()), "a question is not drawn");
    drawn
}

/// A branch goes right from its question, on a row that nothing else stands on.
fn holds(chart: &Chart, drawn: &Layout, branch: &Branch) {
    let from = drawn.places[branch.from].unwrap();
    assert!(branch.tip.0 > from.x + from.width / 2.0, "a line does not lead right");
    assert!((branch.tip.0 - left(&branch.end)).abs() < 0.01 && (branch.tip.1 - branch.end.y).abs() < 0.01);
    let line = Place {
        x: (left(&branch.words) + branch.tip.0) / 2.0,
        y: branch.tip.1,
        width: branch.tip.0 - left(&branch.words),
        height: 0.0,
    };
    assert!(solids(drawn).iter().all(|it| apart(&line, it)), "a line runs through something");
    match branch.way {
        Way::On => assert_eq!(drawn.places[branch.to], Some(branch.end)),
        Way::End => assert_eq!(chart.nodes[branch.to].shape, Shape::Terminator),
        Way::Elsewhere => assert!(drawn.places[branch.to].is_some_and(|place| place != branch.end)),
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]
    #[test]
    fn nothing_overlaps_and_everything_leads_right(jumps in proptest::collection::vec(proptest::collection::vec(1..6_usize, 0..4), 1..50)) {
        let chart = chart(&jumps);
        let drawn = check(&chart);
        let mut pairs: Vec<(usize, usize)> = chart.edges.iter().map(|edge| (edge.from, edge.to)).collect();
        pairs.sort_unstable();
        pairs.dedup();
        let mut branches: Vec<(usize, usize)> = drawn.branches.iter().map(|it| (it.from, it.to)).collect();
        branches.sort_unstable();
        prop_assert_eq!(branches, pairs);
        prop_assert_eq!(svg(&chart, "Flow"), svg(&chart, "Flow"));
    }
}

#[test]
fn a_drawing_says_everything_once_and_safely() {
    let mut chart = chart(&[vec![1, 2], vec![], vec![]]);
    chart.nodes[1].text = "go <b>\"b\"</b> & on".to_owned();
    let drawn = svg(&chart, "Hum & \"drone\"");
    assert_eq!(drawn.matches("<a href").count(), 3);
    assert_eq!(drawn.matches("answer ").count(), 2);
    assert!(!drawn.contains("<b>") && drawn.contains("&lt;b&gt;") && !drawn.contains("style="), "{drawn}");
    assert!(drawn.contains("href=\"#step-2\"") && drawn.contains("aria-label=\"Hum &amp; &quot;drone&quot;\""));
}

#[test]
fn a_question_that_several_answers_lead_to_is_drawn_once() {
    let drawn = check(&chart(&[vec![1, 2], vec![1, 2], vec![1], vec![]]));
    let ways: Vec<(usize, usize, Way)> = drawn.branches.iter().map(|it| (it.from, it.to, it.way)).collect();
    assert_eq!(ways, [(0, 1, Way::On), (0, 2, Way::On), (1, 2, Way::Elsewhere), (1, 3, Way::End), (2, 3, Way::End)]);
    assert_eq!(drawn.places[3], None);
}

#[test]
fn odd_charts_are_drawn_too() {
    let nothing = layout(&Chart::default());
    assert_eq!((nothing.width, nothing.height, nothing.places.len()), (0.0, 0.0, 0));
    check(&chart(&[vec![]]));
    let mut round = chart(&[vec![1], vec![1], vec![]]);
    round.edges.push(Edge { from: 7, to: 0, label: String::new() });
    round.edges.push(Edge { from: 0, to: 7, label: String::new() });
    assert_eq!(check(&round).branches.len(), 2);
    round.nodes[2].shape = Shape::Decision;
    round.edges.push(Edge { from: 2, to: 0, label: "again".to_owned() });
    assert_eq!(check(&round).branches.last().map(|it| it.way), Some(Way::Elsewhere));
    let long =
        Chart { nodes: vec![node(0, &"word ".repeat(60), false), node(1, &"x".repeat(300), true)], edges: Vec::new() };
    check(&long);
    let mut wordy = chart(&[vec![1], vec![]]);
    wordy.edges[0].label = "many words ".repeat(20);
    assert_eq!(check(&wordy).branches[0].label.len(), 3);
}
