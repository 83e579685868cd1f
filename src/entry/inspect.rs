//! Walks a tree of YAML by the shapes of its fields, and marks every value that does not have its shape.
//!
//! After this walk, the conversion may take each value for what its shape says, and passes over those that are not.

use std::collections::BTreeSet;

use jiff::civil::Date;

use super::fields::{DEPTHS, VERDICT_STEP};
use super::kind::{is_id, nearest_id};
use super::meant::meant;
use super::nearest::nearest;
use super::shape::{Bounds, Field, LIKELIHOOD_WORDS, Shape};
use super::text_forms::{is_code, is_language, web_address};
use super::written::{Node, Value};
use super::years::{YearsFaultKind, parse_years};
use super::{Kind, dedented, untouched};
use crate::diagnostic::{Mark, MarkId, Span, Spanned};

/// Marks what is wrong with a record: unknown, missing and misshapen fields.
pub(crate) fn inspect_record<'f>(
    node: &Node,
    fields: impl Iterator<Item = &'f Field> + Clone,
    owner: Span,
    marks: &mut Vec<Mark>,
) {
    let Some(pairs) = node.map() else {
        marks.push(bad_value(node, owner, "a map of fields"));
        return;
    };
    let first = marks.len();
    let mut left = pairs;
    while let [(key, value), behind @ ..] = left {
        left = behind;
        let Some(field) = fields.clone().find(|field| field.name == key.value) else {
            marks.push(unknown_field(key, fields.clone()));
            continue;
        };
        let (own, others) = behind.split_at(dedented::own_pairs(field, value, behind, fields.clone()));
        left = others;
        match own.first() {
            Some((child, _)) => marks.push(dedented::mark(key, child)),
            None => inspect_field(field, key, value, marks),
        }
    }
    let misspelt = misspelt_fields(marks.get(first..).unwrap_or_default());
    let missing = |field: &&Field| field.required && node.get(field.name).is_none();
    let missing = fields.filter(missing).filter(|field| !misspelt.contains(field.name));
    marks.extend(missing.map(|field| missing_field(field, owner)));
}

/// Fields that are there under a misspelt name, by the marks of the unknown ones: they are not missing as well.
pub(crate) fn misspelt_fields(marks: &[Mark]) -> BTreeSet<String> {
    let unknown = marks.iter().filter(|mark| mark.id == MarkId::UnknownField);
    unknown.filter_map(|mark| mark.fact("nearest")).map(str::to_owned).collect()
}

fn inspect_field(field: &Field, key: &Spanned<String>, value: &Node, marks: &mut Vec<Mark>) {
    if matches!(value.value, Value::Nothing) && field.required {
        marks.push(missing_field(field, key.span));
    } else {
        inspect(value, &field.shape, key.span, marks);
        marks.extend(untouched::field_mark(field, value));
    }
}

fn unknown_field<'f>(key: &Spanned<String>, fields: impl Iterator<Item = &'f Field>) -> Mark {
    let near = nearest(&key.value, fields.map(|field| field.name));
    Mark::new(MarkId::UnknownField, key.span).with("found", short(&key.value)).with_some("nearest", near)
}

fn missing_field(field: &Field, owner: Span) -> Mark {
    Mark::new(MarkId::MissingField, owner).with("field", field.name).with("about", field.about)
}

/// Marks what is wrong with one value. `owner` is the key that the value belongs to; it stands in for a value that is
/// empty and so has no text to point at.
pub(crate) fn inspect(node: &Node, shape: &Shape, owner: Span, marks: &mut Vec<Mark>) {
    match shape {
        Shape::Some(inner) => node.elements().iter().for_each(|item| inspect(item, inner, place(item, owner), marks)),
        Shape::List(inner) => match &node.value {
            Value::List(items) => items.iter().for_each(|item| inspect(item, inner, place(item, owner), marks)),
            _ => marks.push(bad_value(node, owner, "a list")),
        },
        Shape::Map(keys, values) => inspect_map(node, keys, values, owner, marks),
        Shape::Record(fields) => inspect_record(node, fields.iter(), owner, marks),
        Shape::TextOr(fields) if node.map().is_some() => inspect_record(node, fields.iter(), owner, marks),
        Shape::PerFit(_, fields) if matches!(node.value, Value::List(_)) => {
            node.elements().iter().for_each(|item| inspect_record(item, fields.iter(), place(item, owner), marks));
        }
        Shape::PerFit(inner, _) => inspect(node, inner, owner, marks),
        Shape::Customer => inspect_customer(node, owner, marks),
        Shape::Tell => inspect_tell(node, owner, marks),
        Shape::Step => inspect_step(node, owner, marks),
        Shape::FitBox => inspect_fit_box(node, owner, marks),
        Shape::OptionValues => inspect_option_values(node, owner, marks),
        Shape::Years if matches!(node.value, Value::List(_)) => {
            node.elements().iter().for_each(|item| inspect(item, shape, owner, marks));
        }
        _ => inspect_scalar(node, shape, owner, marks),
    }
}

fn inspect_map(node: &Node, keys: &Shape, values: &Shape, owner: Span, marks: &mut Vec<Mark>) {
    let Some(pairs) = node.map() else {
        marks.push(bad_value(node, owner, "a map"));
        return;
    };
    for (key, value) in pairs {
        marks.extend(scalar_fault(&key.value, keys).map(|fault| fault.mark(&key.value, key.span)));
        inspect(value, values, key.span, marks);
    }
    if matches!(values, Shape::Likelihood) {
        marks.extend(too_likely(pairs));
    }
}

/// The mark for the first number with which the chances of one check's answers come to more than 1. What words stand for
/// is rough, and scaled: only numbers are held to it, each of which may be rounded.
fn too_likely(pairs: &[(Spanned<String>, Node)]) -> Option<Mark> {
    let mut sum = 0.0;
    let mut slack = 1e-9;
    for node in pairs.iter().map(|(_, node)| node) {
        let chance = node.scalar().and_then(number).filter(|chance| (0.0..=1.0).contains(chance));
        let Some(chance) = chance else { continue };
        slack += 0.005;
        if sum <= 1.0 + slack && sum + chance > 1.0 + slack {
            let most = ((1.0 - sum).max(0.0) * 1e4).round() / 1e4;
            let expected = format!("at most {most}: the chances of a check's answers add up to 1 at most");
            return Some(bad_value(node, node.span, &expected));
        }
        sum += chance;
    }
    None
}

fn inspect_customer(node: &Node, owner: Span, marks: &mut Vec<Mark>) {
    match node.map() {
        Some(_) => inspect_map(node, &Shape::Language, &Shape::Text, owner, marks),
        None => inspect(node, &Shape::Text, owner, marks),
    }
}

fn inspect_tell(node: &Node, owner: Span, marks: &mut Vec<Mark>) {
    let is_depth = |key: &str| DEPTHS.iter().any(|field| field.name == key);
    let by_language = node.map().is_some_and(|pairs| {
        !pairs.is_empty() && pairs.iter().all(|(key, value)| !is_depth(&key.value) && value.map().is_some())
    });
    if by_language {
        inspect_map(node, &Shape::Language, &Shape::Record(DEPTHS), owner, marks);
    } else {
        inspect_record(node, DEPTHS.iter(), owner, marks);
    }
}

fn inspect_step(node: &Node, owner: Span, marks: &mut Vec<Mark>) {
    if node.get("verdict").is_some() {
        inspect_record(node, VERDICT_STEP.iter(), owner, marks);
        return inspect_verdict(node, owner, marks);
    }
    let Some(pairs) = node.map().filter(|_| node.get("check").is_some()) else {
        let wanted = "a map with `check` and a step for each answer, or with `verdict`";
        return marks.push(bad_value(node, owner, wanted));
    };
    for (key, value) in pairs {
        let shape = if key.value == "check" { &Shape::Id(super::Kind::Check) } else { &Shape::Name };
        marks.extend(scalar_fault(&key.value, &Shape::Name).map(|fault| fault.mark(&key.value, key.span)));
        inspect(value, shape, key.span, marks);
    }
}

fn inspect_verdict(node: &Node, owner: Span, marks: &mut Vec<Mark>) {
    let verdict = node.get("verdict").and_then(Node::scalar);
    let needed = if verdict == Some("explain") { "characteristic" } else { "leads" };
    let field = VERDICT_STEP.iter().find(|field| field.name == needed);
    let is_known = verdict.is_some_and(|verdict| super::fields::VERDICTS.contains(&verdict));
    if is_known && node.get(needed).is_none() {
        marks.extend(field.map(|field| missing_field(field, owner)));
    }
}

fn inspect_fit_box(node: &Node, owner: Span, marks: &mut Vec<Mark>) {
    let Some(pairs) = node.map() else {
        marks.push(bad_value(node, owner, "a map with `line`, `years` and options, such as {line: a, years: 2019-}"));
        return;
    };
    for (key, value) in pairs {
        let shape = match key.value.as_str() {
            "line" => &Shape::LineId,
            "years" => &Shape::Years,
            _ => &Shape::Some(&Shape::Name),
        };
        inspect(value, shape, key.span, marks);
    }
    if node.get("line").is_none() {
        let about = "The vehicle line that the box is about";
        marks.push(Mark::new(MarkId::MissingField, node.span).with("field", "line").with("about", about));
    }
}

fn inspect_option_values(node: &Node, owner: Span, marks: &mut Vec<Mark>) {
    let is_empty = node.elements().is_empty() || node.map().is_some_and(<[_]>::is_empty);
    if is_empty {
        return marks.push(bad_value(node, owner, "at least one value"));
    }
    match node.map() {
        Some(_) => inspect_map(node, &Shape::Name, &Shape::Text, owner, marks),
        None => inspect(node, &Shape::Some(&Shape::Name), owner, marks),
    }
}

fn inspect_scalar(node: &Node, shape: &Shape, owner: Span, marks: &mut Vec<Mark>) {
    match node.scalar() {
        Some(text) => marks.extend(scalar_fault(text, shape).map(|fault| fault.mark(text, place(node, owner)))),
        None => marks.push(bad_value(node, owner, &scalar_words(shape))),
    }
}

/// What is wrong with a single value.
enum ScalarFault {
    Bad(String),
    NearlyOneOf(String, Option<String>),
    BadId(Option<Kind>),
    UnsafeLink,
}

impl ScalarFault {
    fn mark(self, found: &str, span: Span) -> Mark {
        let mark = |id| Mark::new(id, span).with("found", short(found));
        match self {
            Self::Bad(expected) => mark(MarkId::BadValue).with("expected", expected),
            Self::NearlyOneOf(expected, near) => {
                mark(MarkId::BadValue).with("expected", expected).with_some("nearest", near)
            }
            Self::BadId(kind) => {
                mark(MarkId::BadId).with_some("kind", kind.map(Kind::word)).with_some("nearest", nearest_id(found))
            }
            Self::UnsafeLink => mark(MarkId::UnsafeLink).with("why", "it does not begin with https:// or http://"),
        }
    }
}

fn scalar_fault(text: &str, shape: &Shape) -> Option<ScalarFault> {
    let good = match shape {
        Shape::Id(_) | Shape::SameKind | Shape::Name | Shape::LineId if is_id(text) => true,
        Shape::Id(kind) => return Some(ScalarFault::BadId(Some(*kind))),
        Shape::SameKind | Shape::Name | Shape::LineId => return Some(ScalarFault::BadId(None)),
        Shape::Choice(words) if words.contains(&text) => true,
        Shape::Choice(words) => {
            return Some(ScalarFault::NearlyOneOf(scalar_words(shape), meant(text, words)));
        }
        Shape::Url if web_address(text) => true,
        Shape::Url => return Some(ScalarFault::UnsafeLink),
        Shape::Date => text.parse::<Date>().is_ok() && text.len() == 10,
        Shape::Number(bounds) => number(text).is_some_and(|number| bounds.hold(number)),
        Shape::Likelihood => return likelihood_fault(text),
        Shape::Code => is_code(text),
        Shape::Language => is_language(text),
        Shape::EntryPath => entry_path(text).is_some(),
        Shape::Years => return years_fault(text),
        _ => !text.trim().is_empty(),
    };
    (!good).then(|| ScalarFault::Bad(scalar_words(shape)))
}

fn years_fault(text: &str) -> Option<ScalarFault> {
    match parse_years(text).err()?.kind {
        YearsFaultKind::Backwards => Some(ScalarFault::Bad("the earlier year before the later one".to_owned())),
        YearsFaultKind::Missing | YearsFaultKind::NotAYear => Some(ScalarFault::Bad(scalar_words(&Shape::Years))),
    }
}

fn likelihood_fault(text: &str) -> Option<ScalarFault> {
    let words = LIKELIHOOD_WORDS.map(|(word, _)| word);
    let in_range = number(text).is_some_and(|number| Bounds::between(0.0, 1.0).hold(number));
    let expected = || format!("{}, or a number from 0 to 1", words.join(", "));
    (!in_range && !words.contains(&text)).then(|| {
        let near = nearest(text, words.into_iter());
        ScalarFault::NearlyOneOf(expected(), near)
    })
}

/// A finite number; forms such as `inf` and `1_000` that only a computer would read are none.
pub(crate) fn number(text: &str) -> Option<f64> {
    let plain = text.bytes().all(|b| b.is_ascii_digit() || matches!(b, b'.' | b'-' | b'+' | b'e' | b'E'));
    text.parse::<f64>().ok().filter(|number| plain && number.is_finite())
}

/// Kind and id of a path such as `symptoms/hum`.
pub(crate) fn entry_path(text: &str) -> Option<(super::Kind, &str)> {
    let (folder, id) = text.split_once('/')?;
    Some((super::Kind::of_folder(folder)?, id)).filter(|(_, id)| is_id(id))
}

fn scalar_words(shape: &Shape) -> String {
    match shape {
        Shape::Choice(words) => format!("one of {}", words.join(", ")),
        Shape::Number(bounds) => bounds.words(),
        Shape::Date => "a day of the calendar, such as 2026-03-31".to_owned(),
        Shape::Code => {
            "a trouble code: one of P B C U, a digit from 0 to 3, three hex digits, such as C0035".to_owned()
        }
        Shape::Language => "a language tag, such as en or es".to_owned(),
        Shape::EntryPath => "a folder and an id, such as symptoms/speed-hum".to_owned(),
        Shape::Id(kind) => format!("the id of one {}", kind.word()),
        Shape::Name | Shape::SameKind | Shape::LineId => "a name of lower-case words joined by hyphens".to_owned(),
        Shape::Years => "model years, such as 2019, 2018-2021, 2019- or -2020".to_owned(),
        Shape::Url => "a web address that begins with https:// or http://".to_owned(),
        Shape::Likelihood => "a likelihood".to_owned(),
        _ => "a text".to_owned(),
    }
}

fn bad_value(node: &Node, owner: Span, expected: &str) -> Mark {
    let found = node.scalar().map_or_else(|| node.kind().to_owned(), short);
    Mark::new(MarkId::BadValue, place(node, owner)).with("found", found).with("expected", expected)
}

/// The value itself, or its key where the value has no text of its own.
fn place(node: &Node, owner: Span) -> Span {
    if node.span.start == node.span.end { owner } else { node.span }
}

/// The start of a long text, on one line.
pub(crate) fn short(text: &str) -> String {
    let line = text.split_whitespace().collect::<Vec<_>>().join(" ");
    let mut chars = line.chars();
    let head: String = chars.by_ref().take(60).collect();
    if chars.next().is_some() { format!("{head}…") } else { head }
}
