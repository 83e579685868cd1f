//! From text to words. The page's script does the same, so that both see the same words in the same text.

use std::ops::Range;

use unicode_normalization::UnicodeNormalization;
use unicode_normalization::char::is_combining_mark;

/// A word of a text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Token {
    /// The word as it is looked up: lower case, without accents and apostrophes.
    pub text: String,
    /// Where it stands, in bytes of the text.
    pub range: Range<usize>,
    /// Whether it stands for words that are tokens by themselves: `stopstart` for `stop-start`, `12.4v` for `12.4 V`.
    pub is_joined: bool,
}

/// Symbols that make one word with the number before them.
pub(super) const UNITS: &[&str] = &[
    "v", "a", "ma", "mv", "w", "kw", "kwh", "hp", "hz", "khz", "rpm", "bar", "mbar", "psi", "kpa", "mpa", "mm", "cm",
    "m", "km", "ml", "l", "kg", "g", "lb", "oz", "mph", "s", "ms", "min", "h", "ohm", "ah", "degc", "degf", "c", "f",
    "k", "ppm", "mi",
];

/// The words of a text in their order; a joined word stands behind the last of its parts.
pub fn tokens(text: &str) -> Vec<Token> {
    let mut tokens = Vec::new();
    Tokenizer::default().each(text, |word, range, is_joined| {
        tokens.push(Token { text: word.to_owned(), range, is_joined });
    });
    tokens
}

/// A text as words are compared: lower case, without accents and apostrophes.
pub fn fold(text: &str) -> String {
    let mut folded = String::with_capacity(text.len());
    fold_into(text, &mut folded);
    folded
}

fn fold_into(text: &str, folded: &mut String) {
    folded.clear();
    if text.is_ascii() {
        folded.push_str(text);
        folded.make_ascii_lowercase();
        if text.contains('\'') {
            folded.retain(|c| !is_apostrophe(c));
        }
        return;
    }
    folded.extend(text.nfd().filter(|c| !is_combining_mark(*c) && !is_apostrophe(*c)));
    *folded = folded.to_lowercase();
}

/// Cuts texts into words; keeps its buffers from one text to the next.
#[derive(Debug, Default)]
pub(super) struct Tokenizer {
    piece: String,
    before: String,
    joined: String,
}

impl Tokenizer {
    /// Hands over every word of a text in its order, as [`tokens`] lists them: the folded word, where it stands, and
    /// whether it is joined.
    pub(super) fn each(&mut self, text: &str, mut take: impl FnMut(&str, Range<usize>, bool)) {
        let mut before: Option<Range<usize>> = None;
        let mut from = 0;
        while let Some(range) = self.next_piece(text, from) {
            from = range.end;
            let written = text.get(range.clone()).unwrap_or_default();
            if self.piece.is_empty() {
                continue;
            }
            point(&mut self.piece);
            match digits_before_unit(&self.piece).filter(|digits| starts_with(written, digits)) {
                Some(digits) => {
                    take(digits, range.start..range.start + digits.len(), false);
                    take(&self.piece, range.clone(), true);
                }
                None => take(&self.piece, range.clone(), false),
            }
            if let Some(before) = before.filter(|before| self.are_joined(text, before.end..range.start)) {
                self.joined.clear();
                self.joined.push_str(&self.before);
                self.joined.push_str(&self.piece);
                take(&self.joined, before.start..range.end, true);
            }
            std::mem::swap(&mut self.before, &mut self.piece);
            before = Some(range);
        }
    }

    /// Where the next run of letters and digits stands, with the apostrophes and decimal marks inside it; folded, it is
    /// the tokenizer's piece.
    fn next_piece(&mut self, text: &str, from: usize) -> Option<Range<usize>> {
        let bytes = text.as_bytes();
        let start =
            from + bytes.get(from..)?.iter().position(|byte| byte.is_ascii_alphanumeric() || !byte.is_ascii())?;
        self.piece.clear();
        let mut end = start;
        // Most words are ASCII throughout: these are folded on the way.
        loop {
            let rest = bytes.get(end..).unwrap_or_default();
            let run = rest.iter().take_while(|byte| byte.is_ascii_alphanumeric()).count();
            self.piece.push_str(text.get(end..end + run).unwrap_or_default());
            end += run;
            match bytes.get(end).map(|byte| char::from(*byte)) {
                Some(sign) if !sign.is_ascii() => return self.any_piece(text, start),
                Some(sign) if binds(text, end, sign) => self.piece.extend(Some(sign).filter(|sign| *sign != '\'')),
                _ => break,
            }
            end += 1;
        }
        self.piece.make_ascii_lowercase();
        Some(start..end)
    }

    /// The same for a piece of any characters, that begins at `from` or later.
    fn any_piece(&mut self, text: &str, from: usize) -> Option<Range<usize>> {
        let range = next_piece(text, from)?;
        fold_into(text.get(range.clone()).unwrap_or_default(), &mut self.piece);
        Some(range)
    }

    /// Whether two pieces are one word too: joined by a hyphen, or a number and its unit.
    fn are_joined(&self, text: &str, between: Range<usize>) -> bool {
        let mut between = text.get(between).unwrap_or_default().chars();
        let (Some(sign), None) = (between.next(), between.next()) else { return false };
        match sign {
            '-' | '\u{2010}' | '\u{2011}' => true,
            ' ' | '\u{a0}' | '\u{202f}' => is_number(&self.before) && is_unit(&self.piece),
            _ => false,
        }
    }
}

/// The next run of letters and digits, with the apostrophes and decimal marks inside it.
fn next_piece(text: &str, from: usize) -> Option<Range<usize>> {
    let start = run(text, from, |char, _| !is_word(char));
    let end = run(text, start, |char, at| is_word(char) || binds(text, at, char));
    (start < end).then_some(start..end)
}

/// Where a run of characters that all pass ends.
fn run(text: &str, from: usize, passes: impl Fn(char, usize) -> bool) -> usize {
    let rest = text.get(from..).unwrap_or_default();
    let end = rest.char_indices().find(|(at, char)| !passes(*char, from + at));
    end.map_or(text.len(), |(at, _)| from + at)
}

/// Whether a sign keeps what stands on both sides of it together: `doesn't`, `12.4`, `205/55`.
fn binds(text: &str, at: usize, sign: char) -> bool {
    if !is_apostrophe(sign) && !matches!(sign, '.' | ',' | '/') {
        return false;
    }
    let before = text.get(..at).and_then(|before| before.chars().next_back());
    let after = text.get(at + sign.len_utf8()..).and_then(|after| after.chars().next());
    let (Some(before), Some(after)) = (before, after) else { return false };
    match is_apostrophe(sign) {
        true => is_word(before) && is_word(after),
        false => before.is_ascii_digit() && after.is_ascii_digit(),
    }
}

fn is_word(char: char) -> bool {
    match char.is_ascii() {
        true => char.is_ascii_alphanumeric(),
        false => char.is_alphanumeric() || is_combining_mark(char),
    }
}

fn is_apostrophe(char: char) -> bool {
    matches!(char, '\'' | '\u{2019}')
}

/// A decimal comma as a point, so that `12,4` finds `12.4`; a comma before three digits parts thousands.
fn point(piece: &mut String) {
    if !piece.starts_with(|c: char| c.is_ascii_digit()) {
        return;
    }
    let Some((before, after)) = piece.split_once(',') else { return };
    let rest = after.trim_start_matches(|c: char| c.is_ascii_digit());
    let decimals = after.len() - rest.len();
    let is_whole = !before.is_empty() && before.bytes().all(|byte| byte.is_ascii_digit());
    if is_whole && decimals > 0 && decimals != 3 && !rest.starts_with(',') {
        let at = before.len();
        piece.replace_range(at..=at, ".");
    }
}

/// The number of `12.4v`; `None` where the whole is no number with a unit.
fn digits_before_unit(piece: &str) -> Option<&str> {
    if !piece.starts_with(|c: char| c.is_ascii_digit()) {
        return None;
    }
    let (digits, unit) = piece.split_at_checked(piece.find(|c| !is_numeric(c))?)?;
    is_unit(unit).then_some(digits)
}

/// Whether a piece is written with these digits, and not with signs on or before them that folding takes away.
fn starts_with(piece: &str, digits: &str) -> bool {
    let is_same = |(written, folded): (u8, u8)| written == folded || (written, folded) == (b',', b'.');
    piece.get(..digits.len()).is_some_and(|start| start.bytes().zip(digits.bytes()).all(is_same))
}

fn is_number(text: &str) -> bool {
    text.starts_with(|c: char| c.is_ascii_digit()) && text.chars().all(is_numeric)
}

fn is_numeric(char: char) -> bool {
    char.is_ascii_digit() || matches!(char, '.' | ',' | '/')
}

fn is_unit(text: &str) -> bool {
    UNITS.contains(&text)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn words(text: &str) -> String {
        let word = |token: &Token| if token.is_joined { format!("({})", token.text) } else { token.text.clone() };
        tokens(text).iter().map(word).collect::<Vec<_>>().join(" ")
    }

    #[test]
    fn codes_numbers_and_compounds_are_kept_whole() {
        for (text, expected) in [
            ("It doesn't Stop-start.", "it doesnt stop start (stopstart)"),
            ("Code C0035, 205/55 R16", "code c0035 205/55 r16"),
            ("12.4 V or 12.4V", "12.4 v (12.4v) or 12.4 (12.4v)"),
            ("re-clamp-noise", "re clamp (reclamp) noise (clampnoise)"),
            ("Dirección, ÄÖ and 4WD.", "direccion ao and 4wd"),
            ("12,4 V, 3,25mm; 1,2,3 and ,5", "12.4 v (12.4v) 3.25 (3.25mm) 1,2,3 and 5"),
            ("- 'quoted' 3,000 rpm/", "quoted 3,000 rpm (3,000rpm)"),
            ("", ""),
        ] {
            assert_eq!(words(text), expected, "{text}");
        }
    }

    #[test]
    fn ranges_lead_back_to_the_text() {
        let text = "Señor: 12.4V";
        let found = tokens(text);
        let parts: Vec<&str> = found.iter().filter_map(|token| text.get(token.range.clone())).collect();
        assert_eq!(parts, ["Señor", "12.4", "12.4V"]);
        let signed = "\u{5c7}1F 1\u{301}2V";
        let parts: Vec<Token> = tokens(signed);
        assert!(parts.iter().all(|token| signed.get(token.range.clone()).is_some()), "{parts:?}");
    }
}
