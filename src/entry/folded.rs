//! Finds the way from a YAML text back to its place in the file, through folding, indentation and quotes.

use super::prose::Origin;
use crate::diagnostic::Span;

/// How the offsets of `text`, which was read from `span` of the file, lead back to the file.
pub(crate) fn origin(file: &str, span: Span, text: &str) -> Origin {
    let source = file.get(span.range()).unwrap_or("");
    if source == text {
        return Origin::Verbatim(span);
    }
    match align(source, text) {
        Some(runs) => {
            let runs = runs.into_iter().map(|(at, from)| (at, span.start + from)).collect();
            Origin::Folded(span, runs)
        }
        None => Origin::Whole(span),
    }
}

/// Runs of equal characters: every character of `text` in `source`, with white space standing for white space and the
/// source's quotes passed over. `None` where an escape makes the two differ.
fn align(source: &str, text: &str) -> Option<Vec<(u32, u32)>> {
    let quote = source.chars().next().filter(|c| matches!(c, '"' | '\''));
    let mut rest = source.char_indices().peekable();
    let mut runs: Vec<(u32, u32)> = Vec::new();
    let mut expected_next = None;
    rest.next_if(|(_, c)| Some(*c) == quote);
    for (at, wanted) in text.char_indices() {
        let from = if wanted.is_whitespace() {
            let first = rest.peek().filter(|(_, c)| c.is_whitespace()).map(|(from, _)| *from)?;
            skip_white(&mut rest, text.get(at + wanted.len_utf8()..).unwrap_or(""));
            first
        } else {
            let (from, found) = rest.next()?;
            if found != wanted {
                return None;
            }
            if Some(found) == quote && quote == Some('\'') {
                rest.next_if(|(_, c)| *c == '\'')?;
            }
            from
        };
        if expected_next != Some(from) {
            runs.push((u32::try_from(at).ok()?, u32::try_from(from).ok()?));
        }
        expected_next = Some(from + wanted.len_utf8());
    }
    Some(runs)
}

/// One white character of the text stands for as many of the source as leave what the text goes on with.
fn skip_white(rest: &mut std::iter::Peekable<std::str::CharIndices<'_>>, after: &str) {
    rest.next();
    let more = after.chars().take_while(|c| c.is_whitespace()).count();
    let ahead = rest.clone().take_while(|(_, c)| c.is_whitespace()).count();
    for _ in 0..ahead.saturating_sub(more) {
        rest.next();
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diagnostic::FileId;

    /// Every word of `text` must be found again at the place that the origin gives for it.
    fn check(source: &str, text: &str) {
        let span = Span::new(FileId(0), 0..source.len());
        let origin = origin(source, span, text);
        let mut at = 0;
        for word in text.split_whitespace() {
            let start = at + text.get(at..).and_then(|rest| rest.find(word)).unwrap_or(0);
            let place = origin.span(start..start + word.len());
            let found = source.get(place.range()).unwrap_or("").replace("''", "'");
            assert_eq!(found, word, "in {source:?}");
            at = start + word.len();
        }
    }

    #[test]
    fn words_are_found_again_where_they_were_written() {
        check("plain words", "plain words");
        check("'it''s quoted'", "it's quoted");
        check("\"in quotes\"", "in quotes");
        check("Folded over\r\n  two lines\r\n\r\n  and a paragraph", "Folded over two lines\nand a paragraph");
        check("literal\n  kept\n    indented", "literal\nkept\n  indented");
        check("mit Umläuten\n  und ÄÖÜ", "mit Umläuten und ÄÖÜ");
    }

    #[test]
    fn escapes_leave_only_the_whole() {
        let span = Span::new(FileId(0), 0..10);
        assert_eq!(origin("\"a\\u00e9b\"", span, "aéb"), Origin::Whole(span));
    }
}
