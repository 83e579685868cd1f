//! Fills the facts of a mark into the words of its row.

use std::borrow::Cow;

use crate::diagnostic::Mark;

/// The words with their facts. A part in `[…]` is dropped when a fact in it is missing, one in `[name=value: …]` also
/// when that fact has another value.
pub(super) fn fill(template: &str, mark: &Mark) -> String {
    let mut words = String::new();
    let mut rest = template;
    while let Some(open) = rest.find('[') {
        let (before, after) = rest.split_at(open);
        words.push_str(&fill_facts(before, mark).unwrap_or_default());
        let part_end = after.find(']').unwrap_or(after.len());
        let part = after.get(1..part_end).unwrap_or("");
        words.push_str(&fill_part(part, mark).unwrap_or_default());
        rest = after.get(part_end + 1..).unwrap_or("");
    }
    words.push_str(&fill_facts(rest, mark).unwrap_or_default());
    words
}

/// A part may begin with `name=value:`; it is then left out unless the fact has that value.
fn fill_part(part: &str, mark: &Mark) -> Option<String> {
    let condition = part.split_once(':').and_then(|(head, rest)| Some((head.split_once('=')?, rest)));
    match condition {
        Some(((name, value), rest)) if mark.fact(name) == Some(value) => fill_facts(rest, mark),
        Some(((name, _), _)) if name.bytes().all(|b| b.is_ascii_lowercase()) => None,
        _ => fill_facts(part, mark),
    }
}

/// What a file says may have lines, a sentence about it has not.
fn on_one_line(fact: &str) -> Cow<'_, str> {
    if fact.contains(['\n', '\r']) { fact.split_whitespace().collect::<Vec<_>>().join(" ").into() } else { fact.into() }
}

/// `None` if a fact is missing.
fn fill_facts(part: &str, mark: &Mark) -> Option<String> {
    let mut words = String::new();
    let mut rest = part;
    while let Some(open) = rest.find('{') {
        let (before, after) = rest.split_at(open);
        let close = after.find('}')?;
        words.push_str(before);
        words.push_str(&on_one_line(mark.fact(after.get(1..close)?)?));
        rest = after.get(close + 1..)?;
    }
    words.push_str(rest);
    Some(words)
}
