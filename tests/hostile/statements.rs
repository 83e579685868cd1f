//! Calculations.

use super::End::{self, Mark, Page};
use super::{flood, pieces, with_text};

fn calculation(name: &str, statements: &str, end: End) {
    with_text(name, &format!("```calc\n{statements}\n```\n"), end);
}

#[test]
fn long_formulas() {
    let syntax = Mark("calc-syntax");
    let nested = |open: &str, close: &str| format!("a = {}1{}", open.repeat(70_000), close.repeat(70_000));
    calculation("100,000 brackets", &nested("(", ")"), syntax);
    calculation("brackets left open", &format!("a = {}", flood("(")), syntax);
    calculation("signs", &format!("a = {}1", "-".repeat(140_000)), syntax);
    calculation("powers", &format!("a = {}1", "2^".repeat(70_000)), syntax);
    calculation("functions", &format!("a = {}1", "sqrt(".repeat(28_000)), syntax);
    calculation("choices", &format!("a = {}1", "if 1 < 2 then 1 else ".repeat(7000)), syntax);
    calculation("units", &format!("a = 1 {}m", "m*".repeat(70_000)), syntax);
    calculation("signs that mean nothing", &flood("$ "), syntax);
    calculation("arguments", &format!("a = max({}1)", "1, ".repeat(56_000)), Page);
}

#[test]
fn many_statements() {
    let syntax = Mark("calc-syntax");
    calculation("statements", &pieces(14_000, |at| format!("a{at} = 1\n")), Page);
    let block = |at: usize| format!("given a{at} = 1 mm from 0 mm to 2 mm\nb{at} = 2 * a{at}\n```\n\n```calc\n");
    calculation("plots", &pieces(3500, block), syntax);
    let many = pieces(7000, |at| format!("c{at} = a0 + {at} mm\n"));
    calculation("as many plots as are read, of many statements", &(pieces(49, block) + &many), Page);
    calculation("quotations of one result", &format!("a = 1 mm\n```\n\n{}\n```calc\n", flood("[1 mm](calc:a) ")), Page);
    let after = |at: usize| format!("a{} = a{at} + 1\n", at + 1);
    calculation("each from the one before", &format!("a0 = 1\n{}", pieces(8400, after)), Page);
    let twice = |at: usize| format!("a{} = a{at} * a{at}\n", at + 1);
    calculation("squares of squares", &format!("a0 = 1 m\n{}", pieces(3500, twice)), syntax);
    calculation("a circle", &pieces(8400, |at| format!("a{at} = a{}\n", (at + 1) % 8400)), Mark("calc-loop"));
    calculation("one name", &"a = 1\n".repeat(28_000), syntax);
    calculation("names that nobody knows", &pieces(10_500, |at| format!("a{at} = b{at}\n")), Mark("unknown-name"));
    calculation("nothing but signs", &flood("$\n"), syntax);
    calculation("blocks", &pieces(6300, |at| format!("a{at} = 1\n```\n\n```calc\n")), syntax);
    calculation("blocks of nothing", &format!("a = 1\n{}", "```\n\n```calc\n".repeat(10_500)), Page);
}
