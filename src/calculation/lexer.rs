//! Characters to tokens, line by line. A fault becomes a token, so that the parser reports it where it stands.

use super::number::Decimal;
use crate::diagnostic::Span;

/// What a token is.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum TokenKind {
    /// A number without sign.
    Number(Decimal),
    /// A name, a unit symbol or a keyword.
    Word(String),
    /// A sign of operation or punctuation, in its plain spelling.
    Sign(&'static str),
    /// A raised whole number, as in `m²`.
    Raised(i32),
    /// Something that cannot stand in a statement, with what would be right.
    Wrong(&'static str),
}

/// A token and where it stands.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Token {
    /// What it is.
    pub kind: TokenKind,
    /// Where.
    pub span: Span,
    /// As written.
    pub text: String,
    /// Blank or line end before it.
    pub spaced: bool,
}

impl Token {
    /// Whether it is that sign.
    pub(super) fn is_sign(&self, sign: &str) -> bool {
        matches!(self.kind, TokenKind::Sign(own) if own == sign)
    }

    /// Whether it is that word.
    pub(super) fn is_word(&self, word: &str) -> bool {
        matches!(&self.kind, TokenKind::Word(own) if own == word)
    }
}

/// Signs with their plain spelling; longer ones first.
const SIGNS: &[(&str, &str)] = &[
    ("+/-", "±"),
    ("<=", "<="),
    (">=", ">="),
    ("==", "=="),
    ("!=", "!="),
    ("**", "**"),
    ("≤", "<="),
    ("≥", ">="),
    ("≠", "!="),
    ("±", "±"),
    ("−", "-"),
    ("–", "-"),
    ("×", "*"),
    ("÷", "/"),
    ("·", "·"),
    ("⋅", "·"),
    ("+", "+"),
    ("-", "-"),
    ("*", "*"),
    ("/", "/"),
    ("^", "^"),
    ("(", "("),
    (")", ")"),
    (",", ","),
    (";", ";"),
    (":", ":"),
    ("=", "="),
    ("<", "<"),
    (">", ">"),
];

/// The tokens of one line; a `#` ends it.
pub(super) fn tokens(line: &str, span: Span) -> Vec<Token> {
    let mut found = Vec::new();
    let (mut at, mut spaced) = (0, true);
    while let Some(rest) = line.get(at..).filter(|rest| !rest.is_empty() && !rest.starts_with('#')) {
        let blank = rest.len() - rest.trim_start().len();
        if blank > 0 {
            (at, spaced) = (at + blank, true);
            continue;
        }
        let (kind, length) = token(rest);
        let text = rest.get(..length).unwrap_or(rest).to_owned();
        found.push(Token { kind, span: span.part(at..at + length), text, spaced });
        (at, spaced) = (at + length, false);
    }
    found
}

/// The first token of a text that does not start with a blank, and its length in bytes.
fn token(rest: &str) -> (TokenKind, usize) {
    if starts_number(rest) {
        return number(rest);
    }
    if let Some(length) = word_length(rest) {
        return (TokenKind::Word(rest.get(..length).unwrap_or_default().to_owned()), length);
    }
    if let Some(raised) = raised(rest) {
        return raised;
    }
    match SIGNS.iter().find(|(spelling, _)| rest.starts_with(spelling)) {
        Some((spelling, sign)) => (TokenKind::Sign(sign), spelling.len()),
        None => (TokenKind::Wrong("a name, a number or an operator"), rest.chars().next().map_or(1, char::len_utf8)),
    }
}

fn starts_number(rest: &str) -> bool {
    let mut bytes = rest.bytes();
    match bytes.next() {
        Some(b'.') => bytes.next().is_some_and(|byte| byte.is_ascii_digit()),
        first => first.is_some_and(|byte| byte.is_ascii_digit()),
    }
}

fn number(rest: &str) -> (TokenKind, usize) {
    let digits = |text: &str| text.bytes().take_while(u8::is_ascii_digit).count();
    let after = |at: usize| rest.get(at..).unwrap_or("");
    let mut length = digits(rest);
    if after(length).starts_with('.') {
        length += 1 + digits(after(length + 1));
    }
    length += exponent_length(after(length));
    let text = rest.get(..length).unwrap_or(rest);
    if after(length).starts_with('.') {
        let tail = after(length).bytes().take_while(|byte| byte.is_ascii_digit() || *byte == b'.').count();
        return (TokenKind::Wrong("one decimal point"), length + tail);
    }
    match Decimal::parse(text).filter(|_| !text.ends_with('.')) {
        Some(decimal) => (TokenKind::Number(decimal), length),
        None if text.ends_with('.') => (TokenKind::Wrong("digits after the decimal point"), length),
        None => (TokenKind::Wrong("a number of at most 30 digits"), length),
    }
}

/// Length of `e3`, `E-3`; 0 where the letter starts a word.
fn exponent_length(rest: &str) -> usize {
    let Some(tail) = rest.strip_prefix(['e', 'E']) else { return 0 };
    let unsigned = tail.strip_prefix(['+', '-']).unwrap_or(tail);
    let digits = unsigned.bytes().take_while(u8::is_ascii_digit).count();
    let ends = unsigned
        .get(digits..)
        .is_none_or(|after| !after.starts_with(|next: char| next.is_alphanumeric() || next == '_'));
    if digits > 0 && ends { rest.len() - unsigned.len() + digits } else { 0 }
}

fn word_length(rest: &str) -> Option<usize> {
    if rest.starts_with('%') {
        return Some(1);
    }
    let starts = |letter: char| letter.is_alphabetic() || matches!(letter, '_' | '°' | 'º' | 'µ');
    let goes_on =
        |letter: &char| letter.is_alphabetic() || letter.is_ascii_digit() || matches!(letter, '_' | '°' | 'º' | 'µ');
    rest.chars().next().filter(|letter| starts(*letter))?;
    Some(rest.chars().take_while(goes_on).map(char::len_utf8).sum())
}

/// `²`, `⁻¹`.
fn raised(rest: &str) -> Option<(TokenKind, usize)> {
    const DIGITS: [char; 10] = ['⁰', '¹', '²', '³', '⁴', '⁵', '⁶', '⁷', '⁸', '⁹'];
    let negative = rest.starts_with('⁻');
    let body = rest.strip_prefix('⁻').unwrap_or(rest);
    let mut value: Option<i32> = None;
    let mut length = rest.len() - body.len();
    for letter in body.chars() {
        let Some(digit) = DIGITS.iter().position(|known| *known == letter) else { break };
        value = Some(value.unwrap_or(0).saturating_mul(10).saturating_add(i32::try_from(digit).ok()?));
        length += letter.len_utf8();
    }
    value.map(|value| (TokenKind::Raised(if negative { -value } else { value }), length))
}
