//! From an entry's Markdown to HTML, with links that lead to pages.

use std::collections::VecDeque;

use pulldown_cmark::{Alignment, CowStr, Event, Parser, Tag, TagEnd, html};

use super::highlight::{escaped, highlight};
use super::numbers::with_signs;
use crate::entry::{CALCULATION_LANGUAGE, MARKDOWN, code_language};
use crate::knowledge::{Target, Text};

/// Bytes of code in one text that are coloured; what is longer stands plain. Colouring takes a hundred times as long as
/// everything else that a page needs.
const COLOURED_AT_MOST: usize = 32 * 1024;

/// What a text needs to know of the page that it stands on.
pub(super) struct Surroundings<'a> {
    /// The way to the site's root, such as `../`.
    pub(super) root: &'a str,
    /// Where a link leads, as a path from the site's root; `None` for links within the page.
    pub(super) address: &'a dyn Fn(&Target) -> Option<String>,
    /// The HTML of the calculation block at that position; `None` shows its statements.
    pub(super) calculation: &'a dyn Fn(usize) -> Option<String>,
    /// Levels that are added to headings, so that the page's title stands above them.
    pub(super) heading_shift: u8,
    /// Stands before the names of anchors: texts of one page must not share them.
    pub(super) anchor_prefix: &'a str,
}

/// The HTML of a text. Raw HTML never passes: the proof refuses it, and here it is dropped.
pub(super) fn render(text: &Text, around: &Surroundings<'_>) -> String {
    let rendering = Rendering {
        text,
        around,
        link: 0,
        picture: 0,
        heading: 0,
        block: 0,
        code: None,
        table: None,
        open_link: None,
        open_pictures: 0,
        colours_left: COLOURED_AT_MOST,
    };
    let parser = Parser::new_ext(&text.markdown, MARKDOWN);
    let mut out = String::with_capacity(text.markdown.len() * 3 / 2);
    html::push_html(&mut out, Changed { parser, rendering, events: VecDeque::new() });
    out
}

/// The parser's events, changed on their way. They are handed on as soon as nothing that follows can change them: a
/// text may have a quarter of a million.
struct Changed<'a> {
    parser: Parser<'a>,
    rendering: Rendering<'a>,
    events: VecDeque<Event<'a>>,
}

impl<'a> Iterator for Changed<'a> {
    type Item = Event<'a>;

    fn next(&mut self) -> Option<Event<'a>> {
        while self.events.len() < 2 || self.rendering.open_link.is_some() {
            let Some(event) = self.parser.next() else { break };
            self.rendering.step(event, &mut self.events);
        }
        self.events.pop_front()
    }
}

struct Rendering<'a> {
    text: &'a Text,
    around: &'a Surroundings<'a>,
    link: usize,
    picture: usize,
    heading: usize,
    block: usize,
    /// The language and the text of a block of code that is open.
    code: Option<(String, String)>,
    table: Option<Table>,
    /// Where the link that is open begins among the events not yet handed on.
    open_link: Option<usize>,
    /// Pictures that are open: those in the words of another are not shown, only their words.
    open_pictures: usize,
    /// Bytes of code that may still be coloured.
    colours_left: usize,
}

/// A table that is open.
struct Table {
    sides: Vec<Alignment>,
    column: usize,
    in_head: bool,
}

impl<'a> Rendering<'a> {
    fn step(&mut self, event: Event<'a>, events: &mut VecDeque<Event<'a>>) {
        if let Some((_, code)) = &mut self.code {
            match event {
                Event::Text(text) => code.push_str(&text),
                Event::End(TagEnd::CodeBlock) => events.extend(self.end_code()),
                _ => {}
            }
            return;
        }
        match event {
            Event::Start(Tag::CodeBlock(kind)) => self.code = Some((code_language(&kind).to_owned(), String::new())),
            Event::Start(Tag::Link { link_type, title, id, .. }) => {
                self.drop_outer_link(events);
                let dest_url = self.next_link();
                self.open_link = Some(events.len());
                events.push_back(Event::Start(Tag::Link { link_type, dest_url, title, id }));
            }
            Event::End(TagEnd::Link) if self.open_link.take().is_none() => {}
            Event::Start(Tag::Image { link_type, title, id, .. }) => {
                let dest_url = if self.open_pictures == 0 { self.next_picture() } else { "".into() };
                self.open_pictures += 1;
                events.push_back(Event::Start(Tag::Image { link_type, dest_url, title, id }));
            }
            Event::End(TagEnd::Image) => {
                self.open_pictures = self.open_pictures.saturating_sub(1);
                events.push_back(event);
            }
            Event::Start(Tag::Heading { level, classes, attrs, .. }) => {
                let id = self.next_heading();
                events.push_back(Event::Start(Tag::Heading { level: self.shifted(level), id, classes, attrs }));
            }
            Event::End(TagEnd::Heading(level)) => events.push_back(Event::End(TagEnd::Heading(self.shifted(level)))),
            Event::FootnoteReference(name) => events.push_back(Event::FootnoteReference(self.note(&name))),
            Event::Start(Tag::FootnoteDefinition(name)) => {
                events.push_back(Event::Start(Tag::FootnoteDefinition(self.note(&name))));
            }
            Event::Html(_) | Event::InlineHtml(_) => {}
            Event::Start(tag @ (Tag::Table(_) | Tag::TableHead | Tag::TableRow | Tag::TableCell)) => {
                events.push_back(Event::Html(self.table_begins(tag).into()));
            }
            Event::End(tag @ (TagEnd::Table | TagEnd::TableHead | TagEnd::TableRow | TagEnd::TableCell)) => {
                self.table_ends(tag, events);
            }
            Event::TaskListMarker(done) => events.push_back(task_box(done)),
            Event::Text(text) if text.contains(['<', '>']) => {
                events.push_back(Event::Text(with_signs(&text).into_owned().into()));
            }
            other => events.push_back(other),
        }
    }

    /// Tables scroll by themselves, never the page; alignment is a class, for the policy allows no style.
    fn table_begins(&mut self, tag: Tag<'a>) -> String {
        let is_head = matches!(tag, Tag::TableHead);
        match (tag, &mut self.table) {
            (Tag::Table(sides), table) => {
                *table = Some(Table { sides, column: 0, in_head: false });
                "<div class=\"scroll\" role=\"group\" tabindex=\"0\"><table>\n".to_owned()
            }
            (Tag::TableHead | Tag::TableRow, Some(table)) => {
                (table.column, table.in_head) = (0, is_head);
                if is_head { "<thead><tr>".to_owned() } else { "<tr>".to_owned() }
            }
            (_, Some(table)) => {
                let class = match table.sides.get(table.column) {
                    Some(Alignment::Left) => " class=\"to-left\"",
                    Some(Alignment::Center) => " class=\"to-center\"",
                    Some(Alignment::Right) => " class=\"to-right\"",
                    _ => "",
                };
                table.column += 1;
                if table.in_head { format!("<th scope=\"col\"{class}>") } else { format!("<td{class}>") }
            }
            (_, None) => String::new(),
        }
    }

    fn table_ends(&mut self, tag: TagEnd, events: &mut VecDeque<Event<'a>>) {
        let in_head = self.table.as_ref().is_some_and(|table| table.in_head);
        let html = match tag {
            TagEnd::TableHead => "</tr></thead><tbody>\n",
            TagEnd::TableRow => "</tr>\n",
            TagEnd::TableCell if !in_head => "</td>",
            TagEnd::TableCell => match events.back_mut() {
                // A corner without words is no heading of anything.
                Some(Event::Html(begun)) if begun.starts_with("<th") => {
                    *begun = begun.replacen("<th scope=\"col\"", "<td", 1).into();
                    "</td>"
                }
                _ => "</th>",
            },
            _ => "</tbody></table></div>\n",
        };
        events.push_back(Event::Html(html.into()));
    }

    fn end_code(&mut self) -> Option<Event<'a>> {
        let (language, code) = self.code.take()?;
        let mut shown = None;
        if language == CALCULATION_LANGUAGE {
            shown = (self.around.calculation)(self.block);
            self.block += 1;
        }
        let html = shown.unwrap_or_else(|| {
            let is_plain = language.is_empty() || code.len() > self.colours_left;
            let inner = if is_plain { escaped(&code) } else { highlight(&code, &language) };
            self.colours_left = self.colours_left.saturating_sub(if is_plain { 0 } else { code.len() });
            format!("<pre tabindex=\"0\"><code>{inner}</code></pre>\n")
        });
        Some(Event::Html(html.into()))
    }

    /// Links hold no links (CommonMark 0.31, 6.3): where the parser lets an address in angle brackets stand in the
    /// words of a link, that address is the link, as it is for the proof, and the words around it are words.
    fn drop_outer_link(&mut self, events: &mut VecDeque<Event<'a>>) {
        let Some(outer) = self.open_link.take().and_then(|at| events.get_mut(at)) else { return };
        *outer = Event::Text("".into());
        self.link -= 1;
    }

    fn next_link(&mut self) -> CowStr<'a> {
        let link = self.text.links.get(self.link);
        self.link += 1;
        let Some(link) = link else { return "#".into() };
        match (&link.target, (self.around.address)(&link.target)) {
            (Target::Outside(address), _) => address.clone().into(),
            (Target::Heading(anchor), None) => format!("#{}{anchor}", self.around.anchor_prefix).into(),
            (_, Some(address)) if address.starts_with('#') => address.into(),
            (_, Some(address)) => format!("{}{address}", self.around.root).into(),
            (_, None) => "#".into(),
        }
    }

    fn next_picture(&mut self) -> CowStr<'a> {
        let path = self.text.pictures.get(self.picture);
        self.picture += 1;
        path.map_or("".into(), |path| format!("{}{path}", self.around.root).into())
    }

    fn next_heading(&mut self) -> Option<CowStr<'a>> {
        let anchor = self.text.headings.get(self.heading).map(|heading| &heading.anchor);
        self.heading += 1;
        anchor.map(|anchor| format!("{}{anchor}", self.around.anchor_prefix).into())
    }

    /// The anchor of a footnote. What is shown is its number.
    fn note(&self, name: &str) -> CowStr<'a> {
        format!("{}note-{name}", self.around.anchor_prefix).into()
    }

    fn shifted(&self, level: pulldown_cmark::HeadingLevel) -> pulldown_cmark::HeadingLevel {
        let shifted = (level as usize + usize::from(self.around.heading_shift)).min(6);
        pulldown_cmark::HeadingLevel::try_from(shifted).unwrap_or(level)
    }
}

/// A box to tick on paper; its name is the text that follows it.
fn task_box(done: bool) -> Event<'static> {
    let (state, mark) = if done { ("done", "☑") } else { ("open", "☐") };
    Event::Html(format!("<span class=\"task task-{state}\" aria-hidden=\"true\">{mark}</span> ").into())
}
