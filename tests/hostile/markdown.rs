//! Markdown.

use super::End::{Mark, Page};
use super::{flood, pieces, with_text};

#[test]
fn blocks() {
    for (name, piece) in [
        ("quotations", "> "),
        ("quotations close together", ">"),
        ("lists", "- "),
        ("lists with numbers", "1. "),
        ("lists in quotations", "> - "),
        ("lines of quotations", ">\n"),
        ("tasks", "- [ ] a\n"),
        ("rules", "---\n\n"),
        ("fences", "```x\n```\n"),
        ("blank lines", "\n"),
        ("carriage returns", "a\r"),
        ("headings of one name", "# a\n"),
        ("headings underlined", "a\n=\n"),
        ("footnotes", "[^a]: b\n\n"),
    ] {
        with_text(name, &flood(piece), Page);
    }
    with_text("headings with numbers", &pieces(100_000, |at| format!("# a {}\n", at % 300)), Page);
    with_text("a deep list", &pieces(700, |at| format!("{}- a\n", " ".repeat(at))), Page);
    let row = |cell: &str, count: usize| format!("|{}\n", cell.repeat(count));
    with_text("a wide table", &(row("a|", 40_000) + &row("-|", 40_000) + &row("b|", 40_000)), Page);
    with_text("a long table", &format!("|a|b|\n|-|-|\n{}", flood("|a|b|\n")), Page);
    with_text("a table of empty cells", &(row("a|", 5000) + &row("-|", 5000) + &flood("x\n")), Page);
}

#[test]
fn words() {
    for (name, piece) in [
        ("one line", "word "),
        ("one word", "x"),
        ("brackets", "["),
        ("pictures left open", "!["),
        ("links left open", "[a]("),
        ("links with many brackets", "[a](((("),
        ("stars", "*"),
        ("stars with words", "*a **b "),
        ("underscores", "_a "),
        ("strokes", "~~a "),
        ("backquotes", "`"),
        ("code", "`a` "),
        ("tags left open", "<a "),
        ("signs of tags", "<"),
        ("comments left open", "<!-- "),
        ("entities", "&amp;"),
        ("entities that are none", "&a"),
        ("entities with numbers", "&#x41;"),
        ("backslashes", "\\"),
        ("letters with accents", "e\u{301}"),
        ("addresses", "<https://a.example>"),
        ("notes", "[^a]"),
    ] {
        with_text(name, &flood(piece), Page);
    }
    with_text("rising backquotes", &pieces(700, |at| "`".repeat(at + 1) + " "), Page);
    with_text("tags on one line", &flood("<b>"), Mark("raw-html"));
    with_text("names without a meaning", &flood("[a][b]"), Mark("dangling-reference"));
    with_text("links that lead nowhere", &flood("[a](b.md)"), Mark("dangling-reference"));
    with_text("links that are not safe", &flood("[x](javascript:y)"), Mark("unsafe-link"));
    with_text("definitions", &(pieces(10_000, |at| format!("[a{at}]: https://a.example\n")) + &flood("[a1]")), Page);
    let long = format!("[a]: https://a.example/{}\n\n", "x".repeat(80_000));
    with_text("one long address, often", &(long + &flood("[a]")), Page);
}

#[test]
fn words_in_words() {
    let nested = |open: &str, close: &str, times: usize| open.repeat(times) + "a" + &close.repeat(times);
    with_text("pictures in pictures", &nested("![", "](b)", 50_000), Mark("missing-picture"));
    with_text("links in links", &nested("[", "](b)", 50_000), Mark("dangling-reference"));
    with_text("stars in stars", &nested("*a ", " a*", 40_000), Page);
    with_text("strong in strong", &nested("**", "**", 60_000), Page);
}

/// Colouring looks for patterns with a program of regular expressions.
#[test]
fn code_to_colour() {
    for language in ["js", "yaml", "rust", "markdown"] {
        for (name, piece) in [("brackets", "("), ("quotes", "\""), ("tags", "<a b=\""), ("lines", "a = \"b\" + (c)\n")]
        {
            with_text(&format!("{name} in {language}"), &format!("```{language}\n{}", flood(piece)), Page);
            let small = format!("```{language}\n{}\n```\n\n", piece.repeat(30_000 / piece.len()));
            with_text(&format!("some {name} in {language}"), &small, Page);
        }
    }
    let blocks = pieces(9, |at| format!("```js\n{at} {}\n```\n\n", "(a + \"b\")\n".repeat(2500)));
    with_text("many blocks in one text", &blocks, Page);
}
