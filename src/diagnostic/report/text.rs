//! The report for a person.
//!
//! ```text
//! ERROR  dangling-reference  symptoms/hum.md:12:13
//!     There is no condition `worn-bearing`; the nearest is `worn-wheel-bearing`
//!       12: condition: worn-bearing
//!                      ^^^^^^^^^^^^
//!     mend: write the id of an entry that exists
//!     see:  conditions/worn-wheel-bearing.md:1:1 (the nearest)
//! ```

use unicode_width::UnicodeWidthStr;

use super::located::{Located, Site};
use super::{Counts, harmless, harmless_char};
use crate::diagnostic::Severity;

/// Columns of a quoted line that are shown at most; prose often is one long line.
const WIDTH: usize = 96;
/// Columns kept before the guilty text where a line is cut.
const BEFORE: usize = 32;
/// Columns between two stops of the tabulator.
const TAB: usize = 4;

pub(super) fn write(marks: &[Located<'_>], counts: Counts, colour: bool) -> String {
    let paint = Paint { colour };
    let marks: String = marks.iter().map(|located| paragraph(located, paint) + "\n").collect();
    marks + &sum(counts)
}

fn paragraph(located: &Located<'_>, paint: Paint) -> String {
    let Located { mark, words, site, related } = located;
    let severity = mark.id.severity();
    let word = severity.word().to_uppercase();
    let head = paint.severity(severity, &format!("{word}  {}", mark.id.name()));
    let mut text = format!("{head}  {}\n", place(site));
    text += &format!("    {}\n", paint.strong(&harmless(&words.headline)));
    text += &quote(site, severity, paint);
    if let Some(help) = &words.help {
        text += &format!("    mend: {}\n", harmless(help));
    }
    for (site, message) in related {
        text += &format!("    see:  {} ({})\n", place(site), harmless(message));
    }
    text
}

fn place(site: &Site<'_>) -> String {
    format!("{}:{}:{}", harmless(site.path), site.start.line, site.start.column)
}

/// The line with the guilty text underlined. Of a text that goes over several lines, the first is shown.
fn quote(site: &Site<'_>, severity: Severity, paint: Paint) -> String {
    if site.before.trim().is_empty() && site.from.trim().is_empty() {
        return String::new();
    }
    let (from, goes_on) = (site.before.chars().count(), site.end.line > site.start.line);
    let length = site.end.column.saturating_sub(site.start.column) as usize;
    let to = if goes_on { usize::MAX } else { from + length };
    let Quoted { line, before, under } = cut(shown(site.before.chars().chain(site.from.chars())), from, to);
    let number = format!("{:>8}: ", site.start.line);
    let carets = paint.severity(severity, &"^".repeat(under));
    let until = if goes_on { format!(" to line {}", site.end.line) } else { String::new() };
    format!("{number}{line}\n{}{carets}{until}\n", " ".repeat(number.len() + before))
}

/// The characters of a line as they are shown: tabs as blanks, others that steer a terminal as U+FFFD.
fn shown(line: impl Iterator<Item = char>) -> Vec<String> {
    let mut column = 0;
    let mut show = |c: char| {
        let text = if c == '\t' { " ".repeat(TAB - column % TAB) } else { harmless_char(c).to_string() };
        column += text.width();
        text
    };
    line.map(&mut show).collect()
}

/// A line as quoted, and in columns what stands before the guilty text and how wide that is.
struct Quoted {
    line: String,
    before: usize,
    under: usize,
}

/// Cuts a line to what fits around the characters `from..to`. Widths are taken of whole strings, as characters
/// that combine are narrower together.
fn cut(line: Vec<String>, from: usize, to: usize) -> Quoted {
    let from = from.min(line.len());
    let to = to.clamp(from, line.len());
    let (head, rest) = line.split_at(from);
    let (guilty, tail) = rest.split_at(to - from);
    let (mut head, mut guilty, mut tail) = (head.concat(), guilty.concat(), tail.concat());
    if head.width() + guilty.width() + tail.width() > WIDTH {
        head = last_columns(&head, BEFORE);
        guilty = first_columns(&guilty, WIDTH - head.width());
        tail = first_columns(&tail, WIDTH - head.width() - guilty.width());
    }
    Quoted { before: head.width(), under: guilty.width().max(1), line: (head + &guilty + &tail).trim_end().to_owned() }
}

fn first_columns(text: &str, columns: usize) -> String {
    if text.width() <= columns {
        return text.to_owned();
    }
    let fits = |end: &usize| text.get(..*end).is_some_and(|part| part.width() < columns);
    let end = text.char_indices().map(|(at, _)| at).take_while(fits).last().unwrap_or(0);
    text.get(..end).unwrap_or("").to_owned() + if columns > 0 { "…" } else { "" }
}

fn last_columns(text: &str, columns: usize) -> String {
    if text.width() <= columns {
        return text.to_owned();
    }
    let fits = |start: &usize| text.get(*start..).is_some_and(|part| part.width() < columns);
    let start = text.char_indices().rev().map(|(at, _)| at).take_while(fits).last().unwrap_or(text.len());
    "…".to_owned() + text.get(start..).unwrap_or("")
}

fn sum(counts: Counts) -> String {
    let many = |count: usize, word: &str| match count {
        0 => None,
        1 => Some(format!("1 {word}")),
        _ => Some(format!("{count} {word}s")),
    };
    let advice = (counts.advice > 0).then(|| format!("{} advice", counts.advice));
    let parts = [many(counts.errors, "error"), many(counts.warnings, "warning"), advice];
    let parts: Vec<String> = parts.into_iter().flatten().collect();
    if parts.is_empty() { "No marks.\n".to_owned() } else { format!("{}.\n", parts.join(", ")) }
}

/// Colours, if they were asked for.
#[derive(Clone, Copy)]
struct Paint {
    colour: bool,
}

impl Paint {
    fn severity(self, severity: Severity, text: &str) -> String {
        self.with(
            match severity {
                Severity::Error => "1;31",
                Severity::Warning => "1;33",
                Severity::Advice => "1;36",
            },
            text,
        )
    }

    fn strong(self, text: &str) -> String {
        self.with("1", text)
    }

    fn with(self, code: &str, text: &str) -> String {
        if self.colour { format!("\u{1b}[{code}m{text}\u{1b}[0m") } else { text.to_owned() }
    }
}
