//! Colours for blocks of code, as classes: a page's policy allows no style of its own.

use std::cell::RefCell;
use std::collections::BTreeMap;
use std::sync::OnceLock;

use syntect::html::{ClassStyle, ClassedHTMLGenerator};
use syntect::parsing::SyntaxSet;
use syntect::util::LinesWithEndings;

/// Classes begin with this, so that they meet no other class of a theme.
const PREFIX: &str = "hl-";

/// Loaded when a page has its first block, never before.
static SYNTAXES: OnceLock<SyntaxSet> = OnceLock::new();

thread_local! {
    /// Equal blocks are coloured once.
    static KNOWN: RefCell<BTreeMap<(String, String), String>> = const { RefCell::new(BTreeMap::new()) };
}

/// The HTML of a block of code in a language; plain, where the language is not known.
pub(super) fn highlight(code: &str, language: &str) -> String {
    let key = (language.to_owned(), code.to_owned());
    KNOWN.with_borrow_mut(|known| known.entry(key).or_insert_with(|| coloured(code, language)).clone())
}

fn coloured(code: &str, language: &str) -> String {
    let syntaxes = SYNTAXES.get_or_init(SyntaxSet::load_defaults_newlines);
    let Some(syntax) = syntaxes.find_syntax_by_token(language) else { return escaped(code) };
    let style = ClassStyle::SpacedPrefixed { prefix: PREFIX };
    let mut generator = ClassedHTMLGenerator::new_with_class_style(syntax, syntaxes, style);
    for line in LinesWithEndings::from(code) {
        if generator.parse_html_for_line_which_includes_newline(line).is_err() {
            return escaped(code);
        }
    }
    generator.finalize()
}

/// Text as it may stand in HTML.
pub(super) fn escaped(text: &str) -> String {
    let mut html = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '<' => html.push_str("&lt;"),
            '>' => html.push_str("&gt;"),
            '&' => html.push_str("&amp;"),
            '"' => html.push_str("&quot;"),
            c => html.push(c),
        }
    }
    html
}
