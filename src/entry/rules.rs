//! Rules between the fields of one entry, which no single shape can say.

use super::Kind;
use super::inspect::{misspelt_fields, number};
use super::written::Node;
use crate::diagnostic::{Mark, MarkId, Span};

/// The answer that every check has, that nobody writes and that never counts.
pub const NOT_SURE: &str = "not-sure";

/// Marks what is wrong between the fields of an entry.
pub(crate) fn inspect_rules(kind: Kind, node: &Node, fence: Span, marks: &mut Vec<Mark>) {
    if kind != Kind::Check {
        return;
    }
    let of_file: Vec<Mark> = marks.iter().filter(|mark| mark.span.file == fence.file).cloned().collect();
    let misspelt = misspelt_fields(&of_file);
    let first = marks.len();
    inspect_place(node, fence, marks);
    inspect_answers(node, fence, marks);
    inspect_range(node, marks);
    let found = marks.split_off(first);
    let needed = |mark: &Mark| match mark.id {
        MarkId::MissingHazards => Some("hazards".to_owned()),
        _ => mark.fact("field").map(str::to_owned),
    };
    let is_misspelt = |mark: &Mark| needed(mark).is_some_and(|field| misspelt.contains(&field));
    marks.extend(found.into_iter().filter(|mark| !is_misspelt(mark)));
}

fn inspect_place(node: &Node, fence: Span, marks: &mut Vec<Mark>) {
    let place = node.get("where").and_then(Node::scalar);
    if place == Some("counter") && node.get("ask").is_none() {
        let about = "A check at the counter is a question: the words in which it is asked";
        marks.push(Mark::new(MarkId::MissingField, fence).with("field", "ask").with("about", about));
    }
    let is_work = place.is_some_and(|place| ["walk-round", "road-test", "bay"].contains(&place));
    if is_work && node.get("hazards").is_none() {
        let span = node.get("where").map_or(fence, |place| place.span);
        marks.push(Mark::new(MarkId::MissingHazards, span).with("found", place.unwrap_or("")));
    }
}

fn inspect_answers(node: &Node, fence: Span, marks: &mut Vec<Mark>) {
    let (answers, measures) = (node.get("answers"), node.get("measures"));
    match (answers, measures) {
        (None, None) => {
            let about = "What can be found: `answers`, or `measures` with bands";
            marks.push(Mark::new(MarkId::MissingField, fence).with("field", "answers").with("about", about));
        }
        (Some(_), Some(measures)) => marks.push(
            Mark::new(MarkId::BadValue, measures.span)
                .with("found", "measures beside answers")
                .with("expected", "one of the two"),
        ),
        (None, Some(measures)) if measures.map().is_some() => inspect_bands(node, measures, fence, marks),
        _ => {}
    }
    let bands = measures.and_then(|measures| measures.get("bands")).or_else(|| node.get("bands"));
    let named = [answers, bands].into_iter().flatten().filter_map(Node::map);
    for (answer, _) in named.clone().flatten().filter(|(answer, _)| answer.value == NOT_SURE) {
        let mark = Mark::new(MarkId::BadValue, answer.span).with("found", NOT_SURE);
        marks.push(mark.with("expected", "no such row: this answer always exists and is never written"));
    }
    for (pairs, span) in named.zip([answers, bands].into_iter().flatten().map(|node| node.span)) {
        if pairs.len() < 2 {
            let mark = Mark::new(MarkId::BadValue, span)
                .with("found", if pairs.is_empty() { "no answer" } else { "a single answer" });
            marks.push(mark.with("expected", "at least two, or nothing can be told apart"));
        }
    }
}

fn inspect_bands(node: &Node, measures: &Node, fence: Span, marks: &mut Vec<Mark>) {
    let bands = (measures.get("bands"), node.get("bands"));
    match bands {
        (None, None) => {
            let about = "Answer ids with the interval of each";
            let mark = Mark::new(
                MarkId::MissingField,
                if measures.span.start == measures.span.end { fence } else { measures.span },
            );
            marks.push(mark.with("field", "bands").with("about", about));
        }
        (Some(_), Some(outer)) => marks.push(
            Mark::new(MarkId::BadValue, outer.span)
                .with("found", "bands a second time")
                .with("expected", "one place for the bands"),
        ),
        _ => {}
    }
}

fn inspect_range(node: &Node, marks: &mut Vec<Mark>) {
    let Some(measures) = node.get("measures") else { return };
    let bound = |name| measures.get(name).and_then(Node::scalar).and_then(number);
    let (Some(from), Some(to), Some(node)) = (bound("from"), bound("to"), measures.get("to")) else { return };
    if to <= from {
        let mark = Mark::new(MarkId::BadValue, node.span).with("found", to.to_string());
        marks.push(mark.with("expected", format!("a number above `from`, which is {from}")));
    }
}
