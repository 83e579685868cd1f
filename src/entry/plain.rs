//! What a Markdown text says without its marks: its sentences, and how it opens.

use pulldown_cmark::{Event, Parser, Tag, TagEnd};

use super::MARKDOWN;

/// The most characters of an opening.
const OPENING: usize = 160;

/// Gathers plain words from the events of a text.
#[derive(Default)]
pub(super) struct Plain {
    sentences: Vec<String>,
    block: String,
    /// Headings and blocks of code that are open.
    hidden: usize,
    opening: String,
    is_open: bool,
}

/// The sentences of a Markdown text, without headings and blocks of code.
pub fn sentences(markdown: &str) -> Vec<String> {
    let mut plain = Plain::default();
    Parser::new_ext(markdown, MARKDOWN).for_each(|event| plain.step(&event));
    plain.end().0
}

impl Plain {
    pub(super) fn step(&mut self, event: &Event<'_>) {
        match event {
            Event::Start(Tag::CodeBlock(_) | Tag::Heading { .. }) => self.hidden += 1,
            Event::End(TagEnd::CodeBlock | TagEnd::Heading(_)) => self.hidden = self.hidden.saturating_sub(1),
            Event::Text(words) | Event::Code(words) if self.hidden == 0 => self.block.push_str(words),
            Event::SoftBreak | Event::HardBreak => self.block.push(' '),
            Event::End(TagEnd::TableCell) => self.block.push_str(" · "),
            Event::Start(Tag::Paragraph | Tag::Item)
            | Event::End(TagEnd::Paragraph | TagEnd::Item | TagEnd::TableRow | TagEnd::TableHead) => self.end_block(),
            _ => {}
        }
        if !self.is_open {
            self.open(event);
        }
    }

    /// The sentences, and the opening.
    pub(super) fn end(mut self) -> (Vec<String>, String) {
        self.end_block();
        (self.sentences, shortened(&self.opening))
    }

    fn end_block(&mut self) {
        split(&self.block, &mut self.sentences);
        self.block.clear();
    }

    fn open(&mut self, event: &Event<'_>) {
        match event {
            Event::Text(words) | Event::Code(words) => self.opening.push_str(words),
            Event::SoftBreak => self.opening.push(' '),
            Event::Start(Tag::Heading { .. }) => {
                self.opening.clear();
                self.is_open = true;
            }
            Event::End(TagEnd::Paragraph) => self.is_open = true,
            _ => {}
        }
    }
}

fn shortened(words: &str) -> String {
    let mut short: String = words.chars().take(OPENING).collect();
    if short.len() < words.len() {
        short.push('…');
    }
    short
}

/// Cuts a block after each mark of an end that a space and a capital or a digit follow.
fn split(block: &str, found: &mut Vec<String>) {
    let mut start = 0;
    for (at, _) in block.match_indices(['.', '!', '?']) {
        let end = at + 1;
        let rest = block.get(end..).unwrap_or_default();
        let begins = rest.strip_prefix(' ').and_then(|rest| rest.chars().next());
        if begins.is_some_and(|next| next.is_uppercase() || next.is_ascii_digit()) {
            found.extend(trimmed(block.get(start..end)));
            start = end;
        }
    }
    found.extend(trimmed(block.get(start..)));
}

fn trimmed(sentence: Option<&str>) -> Option<String> {
    let sentence = sentence?.trim_matches(|c: char| c.is_whitespace() || c == '·');
    (!sentence.is_empty()).then(|| sentence.to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sentences_leave_headings_and_code_out() {
        let markdown = "# Top\nOne *two*. Three\nfour? five.\n\n- a 12.4 V b\n\n```calc\nx = 1\n```\n\n| h | i |\n|-|-|\n| j | k |\n";
        assert_eq!(sentences(markdown), ["One two.", "Three four? five.", "a 12.4 V b", "h · i", "j · k"]);
    }

    #[test]
    fn a_text_opens_with_its_first_paragraph() {
        let opening = |markdown: &str| {
            let mut plain = Plain::default();
            Parser::new_ext(markdown, MARKDOWN).for_each(|event| plain.step(&event));
            plain.end().1
        };
        assert_eq!(opening("One *two*\n`three`.\n\nFour."), "One two three.");
        assert_eq!(opening("# Top\n\nOne."), "");
        assert_eq!(opening(&"ab ".repeat(80)), format!("{}a…", "ab ".repeat(53)));
    }
}
