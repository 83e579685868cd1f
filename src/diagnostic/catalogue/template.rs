//! Fills the facts of a mark into the words of its row.

use crate::diagnostic::Mark;

/// The words with their facts. A part in `[…]` is dropped when a fact in it is missing.
pub(super) fn fill(template: &str, mark: &Mark) -> String {
    let mut words = String::new();
    let mut rest = template;
    while let Some(open) = rest.find('[') {
        let (before, after) = rest.split_at(open);
        words.push_str(&fill_facts(before, mark).unwrap_or_default());
        let part_end = after.find(']').unwrap_or(after.len());
        let part = after.get(1..part_end).unwrap_or("");
        words.push_str(&fill_facts(part, mark).unwrap_or_default());
        rest = after.get(part_end + 1..).unwrap_or("");
    }
    words.push_str(&fill_facts(rest, mark).unwrap_or_default());
    words
}

/// `None` if a fact is missing.
fn fill_facts(part: &str, mark: &Mark) -> Option<String> {
    let mut words = String::new();
    let mut rest = part;
    while let Some(open) = rest.find('{') {
        let (before, after) = rest.split_at(open);
        let close = after.find('}')?;
        words.push_str(before);
        words.push_str(mark.fact(after.get(1..close)?)?);
        rest = after.get(close + 1..)?;
    }
    words.push_str(rest);
    Some(words)
}
