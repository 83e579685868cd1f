//! Blocks to statements: one a line, longer inside open brackets. A fault costs one statement, not the block.

use std::collections::BTreeSet;

use super::Block;
use super::cursor::Cursor;
use super::faults::{Checked, syntax};
use super::lexer::{Token, TokenKind, tokens};
use super::syntax::{Body, Stated, Statement, Tail, is_reserved};
use crate::diagnostic::{Mark, MarkId, Spanned};

/// What was read.
pub(super) struct Parsed {
    pub(super) statements: Vec<Statement>,
    /// Words of the lines that could not be read: whether these are used or defined is not known.
    pub(super) mentioned: BTreeSet<String>,
    pub(super) marks: Vec<Mark>,
}

/// Blocks of one entry that are read: the plot of each evaluates all statements of the entry many times.
const MOST_BLOCKS: usize = 50;

/// Reads all blocks of an entry. A statement that cannot be read is kept as [`Body::Broken`] if its name could be.
pub(super) fn parse(blocks: &[Block]) -> Parsed {
    let mut lines: Vec<(usize, Vec<Token>)> = blocks
        .iter()
        .enumerate()
        .flat_map(|(at, block)| logical_lines(block).into_iter().map(move |line| (at, line)))
        .collect();
    let names = lines.iter().filter_map(|(_, line)| head(line)).map(|name| name.value).collect();
    let (mut statements, mut marks, mut mentioned) = (Vec::new(), Vec::new(), BTreeSet::new());
    let beyond = lines.split_off(lines.partition_point(|(block, _)| *block < MOST_BLOCKS));
    mentioned.extend(beyond.iter().flat_map(|(_, line)| words(line)));
    if let Some(first) = beyond.first().and_then(|(_, line)| line.first()) {
        let expected = format!("at most {MOST_BLOCKS} blocks of calculation in one entry");
        marks.push(syntax(first.span, "a block more", expected));
    }
    for (block, line) in &lines {
        let body = statement(line, &names).unwrap_or_else(|mark| {
            marks.push(mark);
            mentioned.extend(words(line));
            Body::Broken
        });
        if let (Some(name), Some(last)) = (head(line), line.last()) {
            let span = line.first().map_or(last.span, |first| first.span.to(last.span));
            statements.push(Statement { name, body, span, block: *block });
        }
    }
    marks.extend(duplicates(&mut statements));
    Parsed { statements, mentioned, marks }
}

fn words(line: &[Token]) -> impl Iterator<Item = String> + '_ {
    line.iter().filter_map(|token| match &token.kind {
        TokenKind::Word(word) => Some(word.clone()),
        _ => None,
    })
}

/// Lines with their continuations. An open bracket ends where a new statement clearly starts.
fn logical_lines(block: &Block) -> Vec<Vec<Token>> {
    let mut logical: Vec<Vec<Token>> = Vec::new();
    let mut open = 0_usize;
    for line in &block.lines {
        let tokens = tokens(&line.value, line.span);
        let continues = open > 0 && !starts_statement(&tokens);
        open = tokens.iter().fold(if continues { open } else { 0 }, |open, token| {
            if token.is_sign("(") { open + 1 } else { open.saturating_sub(usize::from(token.is_sign(")"))) }
        });
        match logical.last_mut().filter(|_| continues) {
            Some(last) => last.extend(tokens),
            None if tokens.is_empty() => {}
            None => logical.push(tokens),
        }
    }
    logical
}

fn starts_statement(tokens: &[Token]) -> bool {
    let word = |at: usize| tokens.get(at).is_some_and(|token| matches!(token.kind, TokenKind::Word(_)));
    let equals = |at: usize| tokens.get(at).is_some_and(|token| token.is_sign("="));
    (word(0) && equals(1)) || tokens.first().is_some_and(|token| token.is_word("given"))
}

/// The name that a line defines.
fn head(line: &[Token]) -> Option<Spanned<String>> {
    let given = line.first().is_some_and(|token| token.is_word("given"));
    let token = line.get(usize::from(given))?;
    let TokenKind::Word(name) = &token.kind else { return None };
    let defines = line.get(usize::from(given) + 1).is_some_and(|next| next.is_sign("="));
    (defines && !is_reserved(name)).then(|| Spanned::new(name.clone(), token.span))
}

fn statement(line: &[Token], names: &BTreeSet<String>) -> Checked<Body> {
    let mut cursor = Cursor::new(line, names);
    let given = cursor.take_word("given").is_some();
    name(&mut cursor, given)?;
    cursor.expect_sign("=", "`=` and a value")?;
    let body = if given { given_body(&mut cursor)? } else { formula_body(&mut cursor)? };
    if !cursor.at_end() {
        return Err(cursor.unexpected(if given {
            "`from A to B` or the end of the line"
        } else {
            "an operator, `gives`, `in` or the end of the line"
        }));
    }
    Ok(body)
}

fn name(cursor: &mut Cursor, given: bool) -> Checked<()> {
    let expected = if given { "a name" } else { "`given` or a name" };
    match cursor.peek(0) {
        Some(Token { kind: TokenKind::Word(word), span, .. }) => {
            if is_reserved(word) {
                return Err(syntax(
                    *span,
                    format!("`{word}`"),
                    format!("{expected}; `{word}` belongs to the language"),
                ));
            }
            if !word.chars().all(|letter| letter.is_alphanumeric() || letter == '_') {
                return Err(syntax(*span, format!("`{word}`"), "a name of letters, digits and `_`"));
            }
            cursor.skip(1);
            Ok(())
        }
        _ => Err(cursor.unexpected(expected)),
    }
}

fn given_body(cursor: &mut Cursor) -> Checked<Body> {
    let value = stated(cursor)?;
    let range = match cursor.take_word("from") {
        Some(_) => Some(cursor.bounds()?),
        None => None,
    };
    Ok(Body::Given(value, range))
}

fn formula_body(cursor: &mut Cursor) -> Checked<Body> {
    let expr = cursor.expression()?;
    let tail = if cursor.take_word("gives").is_some() {
        let value = stated(cursor)?;
        let within = if cursor.take_word("within").is_some() { Some(cursor.tolerance()?) } else { None };
        Tail::Gives(value, within)
    } else if cursor.take_word("in").is_some() {
        Tail::In(cursor.unit()?)
    } else {
        Tail::None
    };
    Ok(Body::Formula(expr, tail))
}

fn stated(cursor: &mut Cursor) -> Checked<Stated> {
    for (word, value) in [("true", true), ("false", false)] {
        if let Some(span) = cursor.take_word(word) {
            return Ok(Stated::Truth(value, span));
        }
    }
    if !cursor.at_literal() {
        return Err(cursor.unexpected("a value with its unit"));
    }
    cursor.literal().map(Stated::Quantity)
}

/// A name stands for one thing in an entry: later statements of the same name are taken out.
fn duplicates(statements: &mut Vec<Statement>) -> Vec<Mark> {
    let mut seen: std::collections::BTreeMap<String, crate::diagnostic::Span> = std::collections::BTreeMap::new();
    let mut marks = Vec::new();
    statements.retain(|statement| {
        let Some(first) = seen.get(&statement.name.value) else {
            seen.insert(statement.name.value.clone(), statement.name.span);
            return true;
        };
        let found = format!("a second `{}`", statement.name.value);
        let mark = Mark::new(MarkId::CalcSyntax, statement.name.span).with("found", found);
        marks.push(mark.with("expected", "another name").see(*first, "defined here first"));
        false
    });
    marks
}
