//! Reads Markdown for what the other rooms need: links, pictures, headings, calculation blocks, and what is refused.

use std::collections::BTreeMap;
use std::ops::Range;

use pulldown_cmark::{BrokenLink, CodeBlockKind, CowStr, Event, LinkType, Options, Parser, Tag, TagEnd};

use super::destination::{Destination, read_destination};
use super::plain::Plain;
use super::prose::{CalculationBlock, Definition, Heading, Link, Origin, Picture, Prose, Target};
use crate::diagnostic::{Mark, MarkId, Spanned};

/// The Markdown that entries may use: CommonMark with tables, footnotes, strikethrough and task lists.
pub const MARKDOWN: Options = Options::ENABLE_TABLES
    .union(Options::ENABLE_FOOTNOTES)
    .union(Options::ENABLE_STRIKETHROUGH)
    .union(Options::ENABLE_TASKLISTS);

/// The language of a fenced block that holds calculation statements.
pub const CALCULATION_LANGUAGE: &str = "calc";

/// The language of a block of code: the first word after its fence.
pub fn code_language<'k>(kind: &'k CodeBlockKind<'_>) -> &'k str {
    match kind {
        CodeBlockKind::Fenced(info) => info.split([' ', ',']).next().unwrap_or(""),
        CodeBlockKind::Indented => "",
    }
}

/// Reads `text`, which stands in the file at `path` as `origin` says. Raw HTML, unsafe links, references to nothing
/// and pictures without words get their marks.
pub(crate) fn scan(text: String, origin: Origin, path: &str, marks: &mut Vec<Mark>) -> Prose {
    let broken = std::cell::RefCell::new(Vec::new());
    let note = |link: BrokenLink<'_>| {
        broken.borrow_mut().push((link.span, link.link_type, link.reference.to_string()));
        None::<(CowStr<'_>, CowStr<'_>)>
    };
    let mut scan = Scan { text: &text, origin: &origin, path, marks, defined: None, found: Found::default() };
    let mut events = Parser::new_with_broken_link_callback(&text, MARKDOWN, Some(note)).into_offset_iter();
    let known = events.reference_definitions().iter();
    let mut definitions: Vec<Definition> =
        known.filter_map(|(_, known)| scan.definition(&known.dest, &known.span)).collect();
    definitions.sort_by_key(|definition| definition.span);
    let mut plain = Plain::default();
    while let Some((event, range)) = events.next() {
        let defined = definition_name(&event).and_then(|name| events.reference_definitions().get(name));
        scan.defined = defined.map(|known| scan.defined_range(&known.dest, &known.span));
        plain.step(&event);
        scan.step(event, range);
    }
    drop(events);
    for (range, link_type, reference) in broken.take() {
        scan.broken(range, link_type, &reference);
    }
    let Found { links, pictures, headings, calculations, .. } = scan.found;
    let (sentences, opening) = plain.end();
    Prose { text, origin, links, definitions, pictures, headings, calculations, sentences: sentences.into(), opening }
}

struct Scan<'a> {
    text: &'a str,
    origin: &'a Origin,
    path: &'a str,
    marks: &'a mut Vec<Mark>,
    /// Where the destination of the element that begins here stands, if in a definition.
    defined: Option<Range<usize>>,
    found: Found,
}

fn definition_name<'e>(event: &'e Event<'_>) -> Option<&'e str> {
    match event {
        Event::Start(Tag::Link { link_type, id, .. } | Tag::Image { link_type, id, .. }) => {
            matches!(link_type, LinkType::Reference | LinkType::Collapsed | LinkType::Shortcut).then_some(id)
        }
        _ => None,
    }
}

/// What the scan has met so far, and what it is inside of.
#[derive(Default)]
struct Found {
    links: Vec<Link>,
    pictures: Vec<Picture>,
    headings: Vec<Heading>,
    calculations: Vec<CalculationBlock>,
    anchors: BTreeMap<String, usize>,
    link: Option<OpenText>,
    heading: Option<OpenText>,
    picture: Option<OpenText>,
    /// How many pictures are open inside the words of that one: of these, only the words are used.
    inner_pictures: usize,
    block: Option<CalculationBlock>,
    html: Option<Range<usize>>,
}

/// Words that are being gathered until their element ends.
struct OpenText {
    words: String,
    range: Option<Range<usize>>,
    whole: Range<usize>,
    destination: String,
    /// Where the destination stands, if in a definition.
    defined: Option<Range<usize>>,
    level: u8,
}

impl Scan<'_> {
    fn step(&mut self, event: Event<'_>, range: Range<usize>) {
        match event {
            Event::Start(tag) => self.start(tag, range),
            Event::End(end) => self.end(end),
            Event::Text(words) if self.found.block.is_some() => self.calculation_text(&words, range),
            Event::Text(words) | Event::Code(words) => self.words(&words, range),
            Event::SoftBreak | Event::HardBreak => self.words(" ", range),
            Event::Html(_) => self.html_line(range),
            Event::InlineHtml(html) => self.inline_html(&html, range),
            _ => {}
        }
    }

    fn start(&mut self, tag: Tag<'_>, range: Range<usize>) {
        let defined = self.defined.take();
        let open = |destination: &str, level| OpenText {
            words: String::new(),
            range: None,
            whole: range.clone(),
            destination: destination.to_owned(),
            defined: defined.clone(),
            level,
        };
        match tag {
            Tag::Link { dest_url, link_type: LinkType::Email, .. } => {
                self.found.link = Some(open(&format!("mailto:{dest_url}"), 0));
            }
            Tag::Link { dest_url, .. } => self.found.link = Some(open(&dest_url, 0)),
            Tag::Image { .. } if self.found.picture.is_some() => self.found.inner_pictures += 1,
            Tag::Image { dest_url, .. } => self.found.picture = Some(open(&dest_url, 0)),
            Tag::Heading { level, .. } => self.found.heading = Some(open("", level as u8)),
            Tag::CodeBlock(kind) if code_language(&kind) == CALCULATION_LANGUAGE => {
                self.found.block = Some(CalculationBlock { lines: Vec::new(), span: self.origin.span(range) });
            }
            _ => {}
        }
    }

    fn end(&mut self, end: TagEnd) {
        match end {
            TagEnd::Link => self.end_link(),
            TagEnd::Image if self.found.inner_pictures > 0 => self.found.inner_pictures -= 1,
            TagEnd::Image => self.end_picture(),
            TagEnd::Heading(_) => self.end_heading(),
            TagEnd::CodeBlock => self.found.calculations.extend(self.found.block.take()),
            TagEnd::HtmlBlock => self.end_html(),
            _ => {}
        }
    }

    fn words(&mut self, words: &str, range: Range<usize>) {
        let found = &mut self.found;
        for open in [&mut found.link, &mut found.heading, &mut found.picture].into_iter().flatten() {
            open.words.push_str(words);
            let start = open.range.as_ref().map_or(range.start, |known| known.start);
            open.range = Some(start..range.end);
        }
    }

    /// Lines are taken from the source: what the parser hands over has its line ends changed.
    fn calculation_text(&mut self, words: &str, range: Range<usize>) {
        let source = self.text.get(range.clone()).unwrap_or(words);
        let mut start = range.start;
        for line in source.split_inclusive('\n') {
            let bare = line.trim_end_matches(['\n', '\r']);
            let span = self.origin.span(start..start + bare.len());
            if let Some(block) = &mut self.found.block {
                block.lines.push(Spanned::new(bare.to_owned(), span));
            }
            start += line.len();
        }
    }

    fn end_link(&mut self) {
        let Some(open) = self.found.link.take() else { return };
        let span = self.origin.span(self.destination_range(&open));
        let words_range = open.range.clone().unwrap_or(open.whole.clone());
        let is_plain = self.text.get(words_range.clone()).is_some_and(|text| text.replace('\n', " ") == open.words);
        let words = Spanned::new(open.words.clone(), self.origin.span(words_range));
        let is_plain = is_plain && words.span.range().len() == words.value.len();
        let target = match read_destination(&open.destination, self.path) {
            Destination::Good(target) => target,
            Destination::Unsafe(why) => {
                let mark = Mark::new(MarkId::UnsafeLink, span).with("found", super::inspect::short(&open.destination));
                self.marks.push(mark.with("why", why));
                Target::Unsafe
            }
        };
        self.found.links.push(Link { target, words, is_plain, span });
    }

    fn end_picture(&mut self) {
        let Some(open) = self.found.picture.take() else { return };
        let span = self.origin.span(self.destination_range(&open));
        if open.words.trim().is_empty() {
            let whole = self.origin.span(open.whole.clone());
            self.marks.push(Mark::new(MarkId::MissingAltText, whole).with("found", open.destination.clone()));
        }
        let path = match read_destination(&open.destination, self.path) {
            Destination::Good(Target::Elsewhere(path)) => Some(path),
            Destination::Good(Target::Entry { .. } | Target::Heading(_)) => Some(open.destination),
            Destination::Good(_) => {
                let why = "a page loads nothing from elsewhere: put the picture into media/";
                let mark = Mark::new(MarkId::UnsafeLink, span).with("found", super::inspect::short(&open.destination));
                self.marks.push(mark.with("why", why));
                None
            }
            Destination::Unsafe(why) => {
                let mark = Mark::new(MarkId::UnsafeLink, span).with("found", super::inspect::short(&open.destination));
                self.marks.push(mark.with("why", why));
                None
            }
        };
        self.found.pictures.push(Picture { path, span });
    }

    fn end_heading(&mut self) {
        let Some(open) = self.found.heading.take() else { return };
        let anchor = self.unique(anchor(&open.words));
        let span = self.origin.span(open.range.unwrap_or(open.whole));
        self.found.headings.push(Heading { level: open.level, words: open.words, anchor, span });
    }

    /// The anchor, with the first number from 2 that no heading before has; `One`, `One 2` and `One` are three anchors.
    fn unique(&mut self, anchor: String) -> String {
        let anchors = &mut self.found.anchors;
        let mut count = anchors.get(&anchor).copied().unwrap_or(0);
        let mut own = anchor.clone();
        while count > 0 && anchors.contains_key(&own) {
            count += 1;
            own = format!("{anchor}-{count}");
        }
        anchors.insert(anchor, count.max(1));
        anchors.entry(own.clone()).or_insert(1);
        own
    }

    /// What a definition leads to. An unsafe one is marked where a link uses it.
    fn definition(&self, destination: &str, whole: &Range<usize>) -> Option<Definition> {
        let Destination::Good(target) = read_destination(destination, self.path) else { return None };
        Some(Definition { target, span: self.origin.span(self.defined_range(destination, whole)) })
    }

    /// The destination inside a definition, after its name; the whole definition where it is written with escapes.
    fn defined_range(&self, destination: &str, whole: &Range<usize>) -> Range<usize> {
        let source = self.text.get(whole.clone()).unwrap_or("");
        let name_end = source.find("]:").map_or(0, |at| at + "]:".len());
        let after = source.get(name_end..).and_then(|after| after.find(destination));
        let start = after.filter(|_| !destination.is_empty()).map(|at| whole.start + name_end + at);
        start.map_or(whole.clone(), |start| start..start + destination.len())
    }

    /// The destination inside the element's own text, after its words; the whole element where it stands somewhere
    /// else.
    fn destination_range(&self, open: &OpenText) -> Range<usize> {
        if let Some(defined) = &open.defined {
            return defined.clone();
        }
        let source = self.text.get(open.whole.clone()).unwrap_or("");
        let words_end = open.range.as_ref().map_or(0, |words| words.end.saturating_sub(open.whole.start));
        let written = open
            .destination
            .strip_prefix("mailto:")
            .filter(|bare| !source.contains(&open.destination) && source.contains(bare));
        let written = written.unwrap_or(&open.destination);
        let after = source.get(words_end..).and_then(|after| after.find(written)).map(|at| words_end + at);
        match after.or_else(|| source.rfind(written)) {
            Some(at) if !written.is_empty() => open.whole.start + at..open.whole.start + at + written.len(),
            _ => open.whole.clone(),
        }
    }

    fn html_line(&mut self, range: Range<usize>) {
        let start = self.found.html.as_ref().map_or(range.start, |known| known.start);
        self.found.html = Some(start..range.end);
    }

    fn end_html(&mut self) {
        let Some(range) = self.found.html.take() else { return };
        let source = self.text.get(range.clone()).unwrap_or("");
        if let Some(at) = outside_comments(source) {
            self.raw_html(range.start + at);
        }
    }

    fn inline_html(&mut self, html: &str, range: Range<usize>) {
        if !html.starts_with("<!--") && !html.starts_with("</") {
            self.raw_html(range.start);
        }
    }

    fn raw_html(&mut self, start: usize) {
        let rest = self.text.get(start..).unwrap_or("");
        let (tag, after) = rest.split_at(rest.find(['>', '\n']).unwrap_or(rest.len()));
        let length = if after.starts_with('>') { tag.len() + 1 } else { tag.trim_end().len() };
        let tag = rest.get(..length).unwrap_or(rest);
        let span = self.origin.span(start..start + length);
        self.marks.push(Mark::new(MarkId::RawHtml, span).with("found", super::inspect::short(tag)));
    }

    /// `[words][name]` without a definition of `name`. Brackets alone are ordinary text.
    fn broken(&mut self, range: Range<usize>, link_type: LinkType, reference: &str) {
        if matches!(link_type, LinkType::Reference | LinkType::ReferenceUnknown) && !reference.starts_with('^') {
            let mark = Mark::new(MarkId::DanglingReference, self.origin.span(range));
            self.marks.push(mark.with("found", reference).with("what", "link definition"));
        }
    }
}

/// Where something other than a comment, a closing tag or white space begins. What a closing tag closes has its mark.
fn outside_comments(html: &str) -> Option<usize> {
    let mut at = 0;
    loop {
        let rest = html.get(at..)?;
        at += rest.len() - rest.trim_start().len();
        let rest = html.get(at..).filter(|rest| !rest.is_empty())?;
        at += match (rest.strip_prefix("<!--"), rest.strip_prefix("</")) {
            (Some(comment), _) => comment.find("-->").map_or(rest.len(), |end| end + "<!---->".len()),
            (_, Some(closing)) => closing.find('>').map_or(rest.len(), |end| end + "</>".len()),
            _ => return Some(at),
        };
    }
}

/// The anchor of a heading: its letters and digits in lower case, other runs as one hyphen.
pub(crate) fn anchor(words: &str) -> String {
    let lower = words.to_lowercase();
    let parts: Vec<&str> = lower.split(|c: char| !c.is_alphanumeric()).filter(|part| !part.is_empty()).collect();
    if parts.is_empty() { "section".to_owned() } else { parts.join("-") }
}
