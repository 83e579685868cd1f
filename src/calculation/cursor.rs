//! A place in the tokens of one statement.

use std::collections::BTreeSet;

use super::faults::{Checked, syntax};
use super::lexer::{Token, TokenKind};
use crate::diagnostic::{Mark, Span};

/// Reads tokens in order.
#[derive(Clone)]
pub(super) struct Cursor<'a> {
    tokens: &'a [Token],
    at: usize,
    /// Names that the sheet defines: after a spaced `*` or `/` they win over unit symbols.
    pub(super) names: &'a BTreeSet<String>,
    /// How deep the parser stands in brackets and signs.
    pub(super) depth: u16,
}

impl<'a> Cursor<'a> {
    pub(super) fn new(tokens: &'a [Token], names: &'a BTreeSet<String>) -> Self {
        Self { tokens, at: 0, names, depth: 0 }
    }

    /// The token `ahead` places further, if there is one.
    pub(super) fn peek(&self, ahead: usize) -> Option<&'a Token> {
        self.tokens.get(self.at + ahead)
    }

    pub(super) fn at_sign(&self, sign: &str) -> bool {
        self.peek(0).is_some_and(|token| token.is_sign(sign))
    }

    pub(super) fn at_end(&self) -> bool {
        self.peek(0).is_none()
    }

    pub(super) fn skip(&mut self, count: usize) {
        self.at = (self.at + count).min(self.tokens.len());
    }

    /// Goes past that sign, if it stands here.
    pub(super) fn take_sign(&mut self, sign: &str) -> Option<Span> {
        let span = self.peek(0).filter(|token| token.is_sign(sign)).map(|token| token.span);
        self.skip(usize::from(span.is_some()));
        span
    }

    /// Goes past that word, if it stands here.
    pub(super) fn take_word(&mut self, word: &str) -> Option<Span> {
        let span = self.peek(0).filter(|token| token.is_word(word)).map(|token| token.span);
        self.skip(usize::from(span.is_some()));
        span
    }

    /// Place of the token before.
    pub(super) fn last_span(&self) -> Span {
        let last = self.at.checked_sub(1).and_then(|at| self.tokens.get(at));
        last.or_else(|| self.tokens.first()).map_or_else(Span::default, |token| token.span)
    }

    /// Place of the token here, or of the end of the statement.
    pub(super) fn span(&self) -> Span {
        self.peek(0).map_or_else(|| self.after_last(), |token| token.span)
    }

    fn after_last(&self) -> Span {
        let last = self.last_span();
        last.part((last.end - last.start) as usize..(last.end - last.start) as usize)
    }

    /// The mark for the token here.
    pub(super) fn unexpected(&self, expected: &str) -> Mark {
        if let Some(mark) = self.decimal_comma() {
            return mark;
        }
        match self.peek(0) {
            None => syntax(self.after_last(), "the end of the statement", expected),
            Some(Token { kind: TokenKind::Wrong(right), span, text, .. }) => syntax(*span, format!("`{text}`"), *right),
            Some(token) if token.is_sign("=") => {
                syntax(token.span, "`=`", format!("{expected} (to compare, write `==`)"))
            }
            Some(token) if token.is_sign("**") => syntax(token.span, "`**`", "`^` for a power"),
            Some(token) => syntax(token.span, format!("`{}`", token.text), expected),
        }
    }

    /// `1,5` without a blank.
    fn decimal_comma(&self) -> Option<Mark> {
        let comma = self.peek(0).filter(|token| token.is_sign(",") && !token.spaced)?;
        let before = self.at.checked_sub(1).and_then(|at| self.tokens.get(at))?;
        let after = self.peek(1).filter(|token| !token.spaced)?;
        let numbers = [before, after].iter().all(|token| matches!(token.kind, TokenKind::Number(_)));
        let found = format!("`{}{}{}`", before.text, comma.text, after.text);
        let expected = format!("a decimal point: `{}.{}`", before.text, after.text);
        numbers.then(|| syntax(before.span.to(after.span), found, expected))
    }

    /// Goes past that sign.
    ///
    /// # Errors
    /// When something else stands here.
    pub(super) fn expect_sign(&mut self, sign: &str, expected: &str) -> Checked<Span> {
        self.take_sign(sign).ok_or_else(|| self.unexpected(expected))
    }

    /// Goes past a bracket that closes the one at `open`.
    ///
    /// # Errors
    /// When something else stands here; at the end of the statement the opening bracket is to blame.
    pub(super) fn close(&mut self, open: Span) -> Checked<Span> {
        if self.at_end() {
            return Err(syntax(open, "`(`", "a closing `)`"));
        }
        self.expect_sign(")", "an operator or `)`")
    }
}
