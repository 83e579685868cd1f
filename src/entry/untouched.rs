//! Words of a draft that nobody replaced: they say how to write an entry, and must not be published as one.

use super::Kind;
use super::draft::stub;
use super::fields::TITLE_EXAMPLE;
use super::shape::{Field, Shape};
use super::written::{Node, Value};
use crate::diagnostic::{FileId, Mark, MarkId, Span};

/// The mark for a field that still holds the words that its draft proposed.
pub(super) fn field_mark(field: &Field, value: &Node) -> Option<Mark> {
    let node = spoken(value).find(|node| is_proposed(field, node))?;
    Some(mark(node.span, field.example).with("field", field.name).with("about", field.about))
}

/// Only words that the writer has to find: a draft also proposes values that may well be right.
fn is_proposed(field: &Field, node: &Node) -> bool {
    let is_words = matches!(field.shape, Shape::Markdown | Shape::Customer) || field.example == TITLE_EXAMPLE;
    is_words && node.scalar().map(str::trim) == Some(field.example).filter(|example| !example.is_empty())
}

/// A text, or the text in each language.
fn spoken(value: &Node) -> impl Iterator<Item = &Node> {
    let by_language = match &value.value {
        Value::Map(pairs) => pairs.as_slice(),
        _ => &[],
    };
    std::iter::once(value).chain(by_language.iter().map(|(_, node)| node))
}

/// The mark for a text below the front matter that still is its draft's. `start` is where the text begins.
pub(super) fn text_mark(kind: Kind, text: &str, file: FileId, start: usize) -> Option<Mark> {
    let proposed = stub(kind).lines().last()?;
    let mut at = start;
    for line in text.split_inclusive('\n') {
        if line.trim_end() == proposed {
            let mark = mark(Span::new(file, at..at + proposed.len()), proposed);
            return Some(mark.with("part", "the text").with("about", "The page itself, below the front matter"));
        }
        at += line.len();
    }
    None
}

fn mark(span: Span, found: &str) -> Mark {
    Mark::new(MarkId::UnchangedDraft, span).with("found", found)
}
