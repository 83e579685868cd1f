//! Keys that stand beside the key that they belong to. YAML reads that as an empty value and keys that nobody knows.

use super::fields::DEPTHS;
use super::kind::is_id;
use super::shape::{Field, Shape};
use super::text_forms::is_language;
use super::written::{Node, Value};
use crate::diagnostic::{Mark, MarkId, Spanned};

type Pairs = [(Spanned<String>, Node)];

/// How many of the pairs behind an empty field are its own: keys that no field of the record has and that this one
/// may hold.
pub(super) fn own_pairs<'f>(
    field: &Field,
    value: &Node,
    behind: &Pairs,
    fields: impl Iterator<Item = &'f Field> + Clone,
) -> usize {
    if !matches!(value.value, Value::Nothing) {
        return 0;
    }
    let is_field = |key: &str| fields.clone().any(|field| field.name == key);
    behind.iter().take_while(|(key, _)| !is_field(&key.value) && may_hold(&field.shape, &key.value)).count()
}

/// The mark for the first of them; the others stand wrong with it.
pub(super) fn mark(owner: &Spanned<String>, child: &Spanned<String>) -> Mark {
    let found = format!("`{}` stands no further in than `{}`, to which it belongs", child.value, owner.value);
    Mark::new(MarkId::BadFrontMatter, child.span)
        .with("found", found)
        .with("field", owner.value.clone())
        .see(owner.span, "it belongs to this")
}

fn may_hold(shape: &Shape, key: &str) -> bool {
    let has = |fields: &[Field]| fields.iter().any(|field| field.name == key);
    match shape {
        Shape::Record(fields) | Shape::TextOr(fields) | Shape::PerFit(_, fields) => has(fields),
        Shape::Tell => has(DEPTHS) || is_language(key),
        Shape::Customer => is_language(key),
        Shape::FitBox => matches!(key, "line" | "years"),
        Shape::Map(..) | Shape::Step | Shape::OptionValues => is_id(key),
        Shape::Some(inner) => may_hold(inner, key),
        _ => false,
    }
}
