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
    let pieces = pieces(text);
    let mut tokens: Vec<Token> = Vec::with_capacity(pieces.len());
    let mut before: Option<&Piece> = None;
    for piece in &pieces {
        let joined = before.and_then(|before| joined(before, piece, text));
        match number_and_unit(piece).filter(|digits| starts_with(text, piece, digits)) {
            Some(digits) => {
                let middle = piece.range.start + digits.len();
                tokens.push(Token { text: digits, range: piece.range.start..middle, is_joined: false });
                tokens.push(Token { text: piece.text.clone(), range: piece.range.clone(), is_joined: true });
            }
            None => tokens.push(Token { text: piece.text.clone(), range: piece.range.clone(), is_joined: false }),
        }
        tokens.extend(joined);
        before = Some(piece);
    }
    tokens
}

/// A text as words are compared: lower case, without accents and apostrophes.
pub fn fold(text: &str) -> String {
    if text.is_ascii() {
        return text.chars().filter(|c| !is_apostrophe(*c)).map(|c| c.to_ascii_lowercase()).collect();
    }
    let bare: String = text.nfd().filter(|c| !is_combining_mark(*c) && !is_apostrophe(*c)).collect();
    bare.to_lowercase()
}

/// A run of letters and digits, with the apostrophes and decimal marks inside it.
struct Piece {
    text: String,
    range: Range<usize>,
}

fn pieces(text: &str) -> Vec<Piece> {
    let chars: Vec<(usize, char)> = text.char_indices().collect();
    let mut pieces = Vec::new();
    let mut start = None;
    for (at, (offset, char)) in chars.iter().copied().enumerate() {
        let inside = is_word(char) || start.is_some() && binds(&chars, at);
        match (start, inside) {
            (None, true) => start = Some(offset),
            (Some(from), false) => {
                pieces.extend(piece(text, from..offset));
                start = None;
            }
            _ => {}
        }
    }
    pieces.extend(start.and_then(|from| piece(text, from..text.len())));
    pieces
}

fn piece(text: &str, range: Range<usize>) -> Option<Piece> {
    let text = fold(text.get(range.clone())?);
    (!text.is_empty()).then_some(Piece { text, range })
}

/// Whether a sign keeps what stands on both sides of it together: `doesn't`, `12.4`, `205/55`.
fn binds(chars: &[(usize, char)], at: usize) -> bool {
    let neighbour = |at: Option<usize>| at.and_then(|at| chars.get(at)).map(|(_, char)| *char);
    let (before, after) = (neighbour(at.checked_sub(1)), neighbour(at.checked_add(1)));
    let (Some(before), Some(after), Some(sign)) = (before, after, neighbour(Some(at))) else { return false };
    let numeric = before.is_ascii_digit() && after.is_ascii_digit();
    is_apostrophe(sign) && is_word(before) && is_word(after) || matches!(sign, '.' | ',' | '/') && numeric
}

fn is_word(char: char) -> bool {
    char.is_alphanumeric() || is_combining_mark(char)
}

fn is_apostrophe(char: char) -> bool {
    matches!(char, '\'' | '\u{2019}')
}

/// Two pieces as one word: joined by a hyphen, or a number and its unit.
fn joined(before: &Piece, piece: &Piece, text: &str) -> Option<Token> {
    let between = text.get(before.range.end..piece.range.start)?;
    let by_hyphen = matches!(between, "-" | "\u{2010}" | "\u{2011}");
    let by_unit = matches!(between, " " | "\u{a0}" | "\u{202f}") && is_number(&before.text) && is_unit(&piece.text);
    (by_hyphen || by_unit).then(|| Token {
        text: format!("{}{}", before.text, piece.text),
        range: before.range.start..piece.range.end,
        is_joined: true,
    })
}

/// The number of `12.4v`; `None` where the whole is no number with a unit.
fn number_and_unit(piece: &Piece) -> Option<String> {
    let digits: String =
        piece.text.chars().take_while(|c| c.is_ascii_digit() || matches!(c, '.' | ',' | '/')).collect();
    let unit = piece.text.get(digits.len()..)?;
    (is_number(&digits) && is_unit(unit)).then_some(digits)
}

/// Whether a piece is written with these digits, and not with signs on or before them that folding takes away.
fn starts_with(text: &str, piece: &Piece, digits: &str) -> bool {
    text.get(piece.range.start..).is_some_and(|rest| rest.starts_with(digits))
}

fn is_number(text: &str) -> bool {
    text.starts_with(|c: char| c.is_ascii_digit())
        && text.chars().all(|c| c.is_ascii_digit() || matches!(c, '.' | ',' | '/'))
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
