//! Expressions: precedence climbing by recursive descent, with bounded depth.

use super::cursor::Cursor;
use super::faults::{Checked, syntax, unknown_name};
use super::lexer::{Token, TokenKind};
use super::number::{Decimal, Ratio};
use super::syntax::{Amount, Comparison, Constant, Expr, ExprNode, Function, Infix, Literal, Prefix, is_reserved};
use super::unit::Unit;
use crate::diagnostic::{Span, Spanned};

/// Brackets and signs inside each other, and levels of a tree: beyond any formula that is written by hand.
const MAX_DEPTH: u16 = 40;
const MAX_HEIGHT: u16 = 200;

impl Expr {
    /// A node above its children.
    fn new(node: ExprNode, span: Span) -> Checked<Self> {
        let height = 1 + node.children().map(|child| child.height).max().unwrap_or(0);
        if height > MAX_HEIGHT {
            return Err(syntax(span, "a formula with too many parts", "several statements"));
        }
        Ok(Self { node, span, height })
    }
}

impl ExprNode {
    /// The expressions right below.
    pub fn children(&self) -> impl Iterator<Item = &Expr> {
        let (few, many): (Vec<&Expr>, &[Expr]) = match self {
            Self::Prefix(_, operand) => (vec![operand], &[]),
            Self::Infix(_, _, left, right) => (vec![left, right], &[]),
            Self::If(condition, yes, no) => (vec![condition, yes, no], &[]),
            Self::Table(argument, _) => (vec![argument], &[]),
            Self::Call(_, arguments) => (Vec::new(), arguments),
            _ => (Vec::new(), &[]),
        };
        few.into_iter().chain(many)
    }
}

impl Cursor<'_> {
    /// An expression, as far as it goes.
    ///
    /// # Errors
    /// At the first token that does not belong.
    pub(super) fn expression(&mut self) -> Checked<Expr> {
        self.deeper(Self::disjunction)
    }

    fn deeper(&mut self, read: impl FnOnce(&mut Self) -> Checked<Expr>) -> Checked<Expr> {
        if self.depth >= MAX_DEPTH {
            return Err(syntax(self.span(), "brackets or signs nested too deeply", "several statements"));
        }
        self.depth += 1;
        let read = read(self);
        self.depth -= 1;
        read
    }

    fn disjunction(&mut self) -> Checked<Expr> {
        let mut left = self.conjunction()?;
        while let Some(at) = self.take_word("or") {
            left = infix(Infix::Or, at, left, self.conjunction()?)?;
        }
        Ok(left)
    }

    fn conjunction(&mut self) -> Checked<Expr> {
        let mut left = self.negation()?;
        while let Some(at) = self.take_word("and") {
            left = infix(Infix::And, at, left, self.negation()?)?;
        }
        Ok(left)
    }

    fn negation(&mut self) -> Checked<Expr> {
        match self.take_word("not") {
            Some(at) => prefix(Prefix::Not, at, self.deeper(Self::negation)?),
            None => self.comparison(),
        }
    }

    fn comparison(&mut self) -> Checked<Expr> {
        let left = self.sum()?;
        let Some((comparison, at)) = self.take_comparison() else { return Ok(left) };
        let right = self.sum()?;
        if let Some((_, again)) = self.clone().take_comparison() {
            return Err(syntax(again, "a second comparison", "`and` between two comparisons"));
        }
        infix(Infix::Compare(comparison), at, left, right)
    }

    fn take_comparison(&mut self) -> Option<(Comparison, Span)> {
        let known = [
            ("<", Comparison::Less),
            ("<=", Comparison::LessOrEqual),
            (">", Comparison::Greater),
            (">=", Comparison::GreaterOrEqual),
            ("==", Comparison::Equal),
            ("!=", Comparison::NotEqual),
        ];
        known.into_iter().find_map(|(sign, comparison)| Some((comparison, self.take_sign(sign)?)))
    }

    fn sum(&mut self) -> Checked<Expr> {
        let mut left = self.product()?;
        while let Some((operator, at)) = self.take_operator(&[("+", Infix::Plus), ("-", Infix::Minus)]) {
            left = infix(operator, at, left, self.product()?)?;
        }
        Ok(left)
    }

    fn product(&mut self) -> Checked<Expr> {
        let mut left = self.signed()?;
        while let Some((operator, at)) =
            self.take_operator(&[("*", Infix::Times), ("·", Infix::Times), ("/", Infix::Over)])
        {
            left = infix(operator, at, left, self.signed()?)?;
        }
        Ok(left)
    }

    fn take_operator(&mut self, known: &[(&str, Infix)]) -> Option<(Infix, Span)> {
        known.iter().find_map(|(sign, operator)| Some((*operator, self.take_sign(sign)?)))
    }

    /// A sign belongs to the number that follows it, so that `-40 degF` is a temperature; but a power binds tighter.
    fn signed(&mut self) -> Checked<Expr> {
        let signed = self.at_sign("-") || self.at_sign("+");
        if !signed {
            return self.power();
        }
        if self.at_literal() {
            let mut ahead = self.clone();
            let literal = ahead.literal_expr();
            if !(ahead.at_sign("^") || ahead.at_raised()) {
                *self = ahead;
                return literal;
            }
        }
        let (negative, at) = (self.at_sign("-"), self.span());
        self.skip(1);
        let operand = self.deeper(Self::signed)?;
        if negative { prefix(Prefix::Minus, at, operand) } else { Ok(operand) }
    }

    fn at_raised(&self) -> bool {
        self.peek(0).is_some_and(|token| matches!(token.kind, TokenKind::Raised(_)))
    }

    /// `x^2`, `x²`, `2^3^2` from the right.
    fn power(&mut self) -> Checked<Expr> {
        let base = self.primary()?;
        if let Some(Token { kind: TokenKind::Raised(power), span, .. }) = self.peek(0) {
            self.skip(1);
            let number = Decimal { mantissa: i128::from(*power), exponent: 0 };
            let amount = Amount { number, unit: Unit::none(*span), span: *span };
            let exponent = Expr::new(ExprNode::Literal(Box::new(Literal::Value(amount))), *span)?;
            return infix(Infix::Power, *span, base, exponent);
        }
        match self.take_sign("^") {
            Some(at) => infix(Infix::Power, at, base, self.deeper(Self::exponent)?),
            None => Ok(base),
        }
    }

    fn exponent(&mut self) -> Checked<Expr> {
        match self.take_sign("-") {
            Some(at) => prefix(Prefix::Minus, at, self.deeper(Self::exponent)?),
            None => self.power(),
        }
    }

    fn primary(&mut self) -> Checked<Expr> {
        let Some(token) = self.peek(0) else { return Err(self.unexpected("a value")) };
        match &token.kind {
            TokenKind::Number(_) => self.literal_expr(),
            TokenKind::Word(word) => {
                self.skip(1);
                self.word(word, token.span)
            }
            TokenKind::Sign("(") => self.bracket(),
            _ => Err(self.unexpected("a value")),
        }
    }

    fn literal_expr(&mut self) -> Checked<Expr> {
        let start = self.span();
        let literal = self.literal()?;
        Expr::new(ExprNode::Literal(Box::new(literal)), start.to(self.last_span()))
    }

    fn bracket(&mut self) -> Checked<Expr> {
        let open = self.span();
        self.skip(1);
        let inner = self.expression()?;
        let close = self.close(open)?;
        Ok(Expr { span: open.to(close), ..inner })
    }

    /// A word that is not a unit: a name, a constant, a function.
    fn word(&mut self, word: &str, at: Span) -> Checked<Expr> {
        let call = self.at_sign("(");
        match word {
            "pi" => Expr::new(ExprNode::Constant(Constant::Pi), at),
            "g0" => Expr::new(ExprNode::Constant(Constant::StandardGravity), at),
            "true" | "false" => Expr::new(ExprNode::Truth(word == "true"), at),
            "spec" if call => self.specification(at),
            "table" if call => self.table(at),
            "if" if call => self.choice(at),
            _ if call => self.call(word, at),
            _ if is_reserved(word) => Err(syntax(at, format!("`{word}`"), "a value")),
            _ => Expr::new(ExprNode::Name(word.to_owned()), at),
        }
    }

    fn call(&mut self, word: &str, at: Span) -> Checked<Expr> {
        let Some(function) = Function::ALL.iter().copied().find(|function| function.name() == word) else {
            return Err(self.unknown_function(word, at));
        };
        let (arguments, close) = self.arguments()?;
        let fits = match function {
            Function::Min | Function::Max => !arguments.is_empty(),
            _ => arguments.len() == 1,
        };
        if !fits {
            let wanted =
                if matches!(function, Function::Min | Function::Max) { "at least one value" } else { "one value" };
            return Err(syntax(at.to(close), format!("{} values in `{word}()`", arguments.len()), wanted));
        }
        Expr::new(ExprNode::Call(function, arguments), at.to(close))
    }

    fn unknown_function(&self, word: &str, at: Span) -> crate::diagnostic::Mark {
        if self.names.contains(word) {
            return syntax(at, format!("`{word}(`"), "an operator between a name and a bracket");
        }
        let known = Function::ALL.iter().map(|function| function.name()).chain(["if", "table", "spec"]);
        unknown_name(at, word, "function", crate::entry::nearest(word, known))
    }

    /// `(a, b, …)`: the values and the closing bracket.
    fn arguments(&mut self) -> Checked<(Vec<Expr>, Span)> {
        let open = self.span();
        self.skip(1);
        let mut arguments = Vec::new();
        if let Some(close) = self.take_sign(")") {
            return Ok((arguments, close));
        }
        loop {
            arguments.push(self.expression()?);
            if self.take_sign(",").is_none() {
                return Ok((arguments, self.close(open)?));
            }
        }
    }

    fn choice(&mut self, at: Span) -> Checked<Expr> {
        let (arguments, close) = self.arguments()?;
        let count = arguments.len();
        let Ok([condition, yes, no]) = <[Expr; 3]>::try_from(arguments) else {
            return Err(syntax(at.to(close), format!("{count} values in `if()`"), "a condition and two values"));
        };
        Expr::new(ExprNode::If(Box::new(condition), Box::new(yes), Box::new(no)), at.to(close))
    }

    /// `(x; x1: y1, x2: y2)`.
    fn table(&mut self, at: Span) -> Checked<Expr> {
        let open = self.span();
        self.skip(1);
        let argument = self.expression()?;
        self.expect_sign(";", "`;` and the pairs of the table")?;
        let mut pairs = Vec::new();
        loop {
            let x = self.amount()?;
            self.expect_sign(":", "`:` and the value there")?;
            pairs.push((x, self.amount()?));
            if self.take_sign(",").is_none() {
                break;
            }
        }
        let close = self.close(open)?;
        if pairs.len() < 2 {
            return Err(syntax(at.to(close), "a table of one pair", "at least two pairs"));
        }
        Expr::new(ExprNode::Table(Box::new(argument), pairs), at.to(close))
    }

    /// `(service-brakes, front-pad-minimum)`.
    fn specification(&mut self, at: Span) -> Checked<Expr> {
        let open = self.span();
        self.skip(1);
        let system = self.slug("the id of a system")?;
        self.expect_sign(",", "`,` and the name of a specification")?;
        let name = self.slug("the name of a specification")?;
        let close = self.close(open)?;
        Expr::new(ExprNode::Specification { system, name }, at.to(close))
    }

    /// Words and numbers joined by hyphens without blanks.
    fn slug(&mut self, expected: &str) -> Checked<Spanned<String>> {
        let start = self.span();
        let mut text = String::new();
        while let Some(token) = self.peek(0).filter(|token| text.is_empty() || !token.spaced) {
            let fits = matches!(token.kind, TokenKind::Number(_) | TokenKind::Word(_)) || token.is_sign("-");
            if !fits {
                break;
            }
            text.push_str(&token.text);
            self.skip(1);
        }
        if text.is_empty() {
            return Err(self.unexpected(expected));
        }
        Ok(Spanned::new(text, start.to(self.last_span())))
    }
}

fn prefix(prefix: Prefix, at: Span, operand: Expr) -> Checked<Expr> {
    let span = at.to(operand.span);
    Expr::new(ExprNode::Prefix(prefix, Box::new(operand)), span)
}

fn infix(operator: Infix, at: Span, left: Expr, right: Expr) -> Checked<Expr> {
    let span = left.span.to(right.span);
    Expr::new(ExprNode::Infix(operator, at, Box::new(left), Box::new(right)), span)
}

/// The exact value of a constant exponent: numbers with signs, sums, products and quotients of them.
pub(super) fn rational(expr: &Expr) -> Option<Ratio> {
    match &expr.node {
        ExprNode::Literal(literal) => match literal.as_ref() {
            Literal::Value(amount) if amount.unit.text.is_empty() => amount.number.ratio(),
            _ => None,
        },
        ExprNode::Prefix(Prefix::Minus, operand) => rational(operand)?.negative(),
        ExprNode::Infix(operator, _, left, right) => {
            let (left, right) = (rational(left)?, rational(right)?);
            match operator {
                Infix::Plus => left.plus(right),
                Infix::Minus => left.plus(right.negative()?),
                Infix::Times => left.times(right),
                Infix::Over => left.times(right.inverse()?),
                _ => None,
            }
        }
        _ => None,
    }
}
