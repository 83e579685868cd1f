//! Quantities and intervals as written: numbers with units.

use super::cursor::Cursor;
use super::faults::{Checked, refused_unit, syntax, unknown_unit};
use super::lexer::{Token, TokenKind};
use super::number::{Decimal, Ratio};
use super::syntax::{Amount, HalfWidth, Literal, is_reserved};
use super::unit::{Part, Unit, UnitFault};
use super::unit_table::{self, symbol};
use crate::diagnostic::Span;

/// A number and perhaps a unit; the unit may follow later (`20 to 25 mm`).
struct Loose {
    number: Decimal,
    unit: Option<Unit>,
    span: Span,
}

impl Loose {
    fn with(self, other: Option<&Unit>) -> Amount {
        let unit = self.unit.or_else(|| other.cloned()).unwrap_or_else(|| Unit::none(self.span));
        Amount { number: self.number, unit, span: self.span }
    }
}

impl Cursor<'_> {
    /// Whether a literal starts here: a number, perhaps with a sign.
    pub(super) fn at_literal(&self) -> bool {
        let signed = self.at_sign("-") || self.at_sign("+");
        self.peek(usize::from(signed)).is_some_and(|token| matches!(token.kind, TokenKind::Number(_)))
    }

    /// `49.2 m`, `20 to 25 N·m`, `7 ± 0.5 bar`.
    ///
    /// # Errors
    /// When no number stands here, or its unit is none.
    pub(super) fn literal(&mut self) -> Checked<Literal> {
        let first = self.loose()?;
        if self.take_word("to").is_some() {
            let second = self.loose()?;
            let shared = second.unit.clone();
            return Ok(Literal::Range(first.with(shared.as_ref()), second.with(None)));
        }
        if self.take_sign("±").is_some() {
            let half = self.loose()?;
            return Ok(spread(first, half));
        }
        Ok(Literal::Value(first.with(None)))
    }

    /// A single value with its unit.
    ///
    /// # Errors
    /// When no number stands here, or its unit is none.
    pub(super) fn amount(&mut self) -> Checked<Amount> {
        Ok(self.loose()?.with(None))
    }

    /// `A to B`, after `from`.
    ///
    /// # Errors
    /// When a part is missing.
    pub(super) fn bounds(&mut self) -> Checked<(Amount, Amount)> {
        let low = self.loose()?;
        if self.take_word("to").is_none() {
            return Err(self.unexpected("`to` and the upper end of the range"));
        }
        let high = self.loose()?;
        let shared = high.unit.clone();
        Ok((low.with(shared.as_ref()), high.with(None)))
    }

    /// `1 m` or `2%`, after `within`.
    ///
    /// # Errors
    /// When no number stands here.
    pub(super) fn tolerance(&mut self) -> Checked<HalfWidth> {
        let loose = self.loose()?;
        let percent = loose.unit.as_ref().is_some_and(|unit| unit.text == "%");
        Ok(if percent { HalfWidth::Percent(loose.number, loose.span) } else { HalfWidth::Amount(loose.with(None)) })
    }

    fn loose(&mut self) -> Checked<Loose> {
        let start = self.span();
        let negative = self.take_sign("-").is_some();
        if !negative {
            self.take_sign("+");
        }
        let Some(Token { kind: TokenKind::Number(number), .. }) = self.peek(0) else {
            return Err(self.unexpected("a number"));
        };
        self.skip(1);
        let number = if negative { number.negative() } else { *number };
        let unit = self.unit_after_number()?;
        Ok(Loose { number, unit, span: start.to(self.last_span()) })
    }

    fn unit_after_number(&mut self) -> Checked<Option<Unit>> {
        let starts = match self.peek(0) {
            Some(Token { kind: TokenKind::Word(word), .. }) => self.word_is_unit(word),
            _ => self.at_reciprocal(),
        };
        if starts { self.unit().map(Some) } else { Ok(None) }
    }

    /// Whether the word after a number is meant as a unit. `in` is the inch unless a unit to convert to follows it.
    fn word_is_unit(&self, word: &str) -> bool {
        if word != "in" {
            return symbol(word).is_some() || !is_reserved(word);
        }
        let follows = |ahead: usize| self.peek(ahead).and_then(word_of).filter(|next| names_unit(next));
        match follows(1) {
            Some("in") => follows(2).is_some(),
            Some(_) => false,
            None => true,
        }
    }

    /// `1/s` after a number: only units may follow.
    fn at_reciprocal(&self) -> bool {
        let one = self.peek(0).is_some_and(|token| token.text == "1");
        let over = self.peek(1).is_some_and(|token| token.is_sign("/"));
        one && over && self.peek(2).and_then(word_of).is_some_and(names_unit)
    }

    /// A unit: symbols with powers, joined by `·`, `*` and `/`.
    ///
    /// # Errors
    /// When a symbol is none, or several, or does not belong in a product.
    pub(super) fn unit(&mut self) -> Checked<Unit> {
        let start = self.span();
        let mut parts = Vec::new();
        if self.at_reciprocal() {
            self.skip(1);
        } else {
            self.unit_factor(1, &mut parts)?;
        }
        while let Some(sign) = self.joins_unit() {
            self.skip(1);
            if self.at_sign("(") {
                self.unit_group(sign, &mut parts)?;
            } else {
                self.unit_factor(sign, &mut parts)?;
            }
        }
        self.refuse_hyphen(start)?;
        let span = start.to(self.last_span());
        Unit::compose(&parts, span).map_err(|fault| compose_mark(fault, span))
    }

    /// One symbol and its power.
    fn unit_factor(&mut self, sign: i128, parts: &mut Vec<Part>) -> Checked<()> {
        let token = self.peek(0).ok_or_else(|| self.unexpected("a unit"))?;
        let word = word_of(token).ok_or_else(|| self.unexpected("a unit"))?;
        let symbol = symbol(word).ok_or_else(|| unknown_unit(token.span, word))?;
        self.skip(1);
        let power = self.unit_power()?;
        let power = Ratio { num: power.num * sign, den: power.den };
        parts.push(Part { symbol, power, span: token.span });
        Ok(())
    }

    /// `(m·K)` after a sign of a unit.
    fn unit_group(&mut self, sign: i128, parts: &mut Vec<Part>) -> Checked<()> {
        let open = self.span();
        self.skip(1);
        let mut group = Vec::new();
        self.unit_factor(1, &mut group)?;
        while let Some(inner) = self.joins_unit() {
            self.skip(1);
            self.unit_factor(inner, &mut group)?;
        }
        self.close(open)?;
        let power = self.unit_power()?;
        for part in group {
            let power =
                part.power.times(power).ok_or_else(|| syntax(open, "this power", "a smaller power of a unit"))?;
            parts.push(Part { power: Ratio { num: power.num * sign, den: power.den }, ..part });
        }
        Ok(())
    }

    /// `²`, `^2`, `^-1`, `^0.5`, `^(1/2)`; 1 if there is none.
    fn unit_power(&mut self) -> Checked<Ratio> {
        if let Some(Token { kind: TokenKind::Raised(power), .. }) = self.peek(0) {
            self.skip(1);
            return Ok(Ratio { num: i128::from(*power), den: 1 });
        }
        if self.take_sign("^").is_none() {
            return Ok(Ratio::ONE);
        }
        let start = self.span();
        let open = self.take_sign("(");
        let negative = self.take_sign("-").is_some();
        let mut power = self.power_number()?;
        if open.is_some() && self.take_sign("/").is_some() {
            let below = self.power_number()?.inverse();
            power = below
                .and_then(|below| power.times(below))
                .ok_or_else(|| syntax(start, "this power", "a power of a unit"))?;
        }
        if let Some(open) = open {
            self.close(open)?;
        }
        Ok(Ratio { num: if negative { -power.num } else { power.num }, den: power.den })
    }

    fn power_number(&mut self) -> Checked<Ratio> {
        let Some(Token { kind: TokenKind::Number(number), span, text, .. }) = self.peek(0) else {
            return Err(self.unexpected("a number as the power of a unit"));
        };
        let small = number.ratio().filter(|ratio| ratio.num.abs() <= 100 && ratio.den <= 100);
        self.skip(1);
        small.ok_or_else(|| syntax(*span, format!("`{text}`"), "a small power of a unit"))
    }

    /// The sign of the power that the next symbol gets, if a `·`, `*` or `/` here goes on with the unit.
    ///
    /// Written without blanks (`N*m`, `km/h`) it does, unless what follows can only be a name or a function. With blanks
    /// a name of the sheet wins over a unit symbol.
    fn joins_unit(&self) -> Option<i128> {
        let operator = self.peek(0)?;
        let sign = match operator.kind {
            TokenKind::Sign("*" | "·") => 1,
            TokenKind::Sign("/") => -1,
            _ => return None,
        };
        let next = self.peek(1)?;
        let tight = !operator.spaced && !next.spaced;
        let joins = match word_of(next) {
            Some(word) => self.word_joins(word, tight),
            None => next.is_sign("(") && tight && self.group_is_unit(),
        };
        joins.then_some(sign)
    }

    fn word_joins(&self, word: &str, tight: bool) -> bool {
        let call = self.peek(2).is_some_and(|token| token.is_sign("(") && !token.spaced) && is_reserved(word);
        let known = symbol(word).is_some() && !call;
        let taken = self.names.contains(word) || (is_reserved(word) && !matches!(word, "in" | "min"));
        if tight { known || !(taken || call) } else { (known || names_unit(word)) && !taken && !call }
    }

    /// Whether the bracket after the sign here holds unit symbols alone, none of them a name of the sheet.
    fn group_is_unit(&self) -> bool {
        let inside = (2..).map_while(|ahead| self.peek(ahead)).take_while(|token| !token.is_sign(")"));
        let mut words = inside.filter(|token| !matches!(token.kind, TokenKind::Number(_) | TokenKind::Raised(_)));
        words.all(|token| match word_of(token) {
            Some(word) => symbol(word).is_some() && !self.names.contains(word),
            None => ["*", "/", "·", "^"].iter().any(|sign| token.is_sign(sign)),
        }) && self.peek(2).and_then(word_of).is_some()
    }

    /// `ft-lb`: a hyphen is no product.
    fn refuse_hyphen(&self, start: Span) -> Checked<()> {
        let hyphen = self.peek(0).filter(|token| token.is_sign("-") && !token.spaced);
        let next = self.peek(1).filter(|token| !token.spaced && hyphen.is_some());
        match next.and_then(|token| Some((token, word_of(token)?))) {
            Some((token, word)) if names_unit(word) && !self.names.contains(word) => Err(refused_unit(
                start.to(token.span),
                "a unit with a hyphen",
                "a product with `·`, such as lbf·ft or N·m",
            )),
            _ => Ok(()),
        }
    }
}

fn spread(middle: Loose, half: Loose) -> Literal {
    let percent = half.unit.as_ref().is_some_and(|unit| unit.text == "%");
    let own = middle.unit.as_ref().is_some_and(|unit| !unit.measure.dimension.is_number());
    if percent && own {
        let (number, span) = (half.number, half.span);
        return Literal::Spread(middle.with(None), HalfWidth::Percent(number, span));
    }
    let shared = half.unit.clone();
    let middle = middle.with(shared.as_ref());
    let half = half.with(Some(&middle.unit));
    Literal::Spread(middle, HalfWidth::Amount(half))
}

fn word_of(token: &Token) -> Option<&str> {
    match &token.kind {
        TokenKind::Word(word) => Some(word),
        _ => None,
    }
}

/// A symbol of the table, or one that is refused with choices.
fn names_unit(word: &str) -> bool {
    symbol(word).is_some() || unit_table::choices(word).is_some()
}

fn compose_mark(fault: UnitFault, span: Span) -> crate::diagnostic::Mark {
    match fault {
        UnitFault::Reading(part, found, instead) => {
            refused_unit(part, format!("{found} (a reading) inside a product"), instead)
        }
        UnitFault::MassTimesLength(choices) => refused_unit(span, "a mass times a length", choices),
        UnitFault::TooLarge => syntax(span, "this unit", "smaller powers"),
    }
}
