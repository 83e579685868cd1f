//! A new entry to fill in, made from the table of fields.

use std::fmt::Write;

use jiff::ToSpan;
use jiff::civil::Date;

use super::Kind;
use super::fields::{COMMON, DEPTHS, own_fields};
use super::shape::{Field, Shape};

/// The text of a new entry. `today` stands in its dates; `languages` are the shop's, the first is the default.
pub fn draft(kind: Kind, today: Date, languages: &[String]) -> String {
    let next_year = today.checked_add(1.year()).unwrap_or(today);
    let days = [("{today}", today.to_string()), ("{next-year}", next_year.to_string())];
    let filled = |field: &&Field| field.proposed;
    let (title, common) = COMMON.split_at(1);
    let mut text = "---\n".to_owned();
    for field in title.iter().chain(own_fields(kind)).chain(common).filter(filled) {
        write_filled(&mut text, field, &days, languages);
    }
    text += "\n# The fields below may be left out.\n";
    for field in own_fields(kind).iter().chain(common).filter(|field| !field.proposed) {
        write_about(&mut text, field);
        write_rows(&mut text, field, 0);
    }
    text + "---\n" + stub(kind)
}

fn write_filled(text: &mut String, field: &Field, days: &[(&str, String)], languages: &[String]) {
    write_about(text, field);
    match &field.shape {
        Shape::Tell => write_tell(text, field.name, languages),
        Shape::List(_) => {
            _ = writeln!(text, "{}: {}", field.name, field.example);
            _ = writeln!(text, "# One row for each, in the place of `{}`:", field.example);
            write_elements(text, &field.shape, 0);
        }
        _ => {
            let day = days.iter().find(|(name, _)| *name == field.example);
            _ = writeln!(text, "{}: {}", field.name, day.map_or(field.example, |(_, day)| day));
        }
    }
}

/// What the field is for, and the words that it may have.
fn write_about(text: &mut String, field: &Field) {
    _ = writeln!(text, "# {}{}", field.about, choices(&field.shape));
}

fn choices(shape: &Shape) -> String {
    match shape {
        Shape::Choice(words) => format!(": {}", words.join(", ")),
        Shape::Some(inner) => choices(inner),
        _ => String::new(),
    }
}

/// A shop with several languages wants the explanation in each.
fn write_tell(text: &mut String, name: &str, languages: &[String]) {
    _ = writeln!(text, "{name}:");
    let several = languages.len() > 1;
    let tellings = languages.iter().take(if several { languages.len() } else { 1 });
    for language in tellings {
        if several {
            _ = writeln!(text, "  {language}:");
        }
        let indent = if several { "    " } else { "  " };
        for depth in DEPTHS {
            _ = writeln!(text, "{indent}{}: {}", depth.name, depth.example);
        }
    }
}

/// A field that is left out, as comment lines that are right once their `#` is taken away.
fn write_rows(text: &mut String, field: &Field, indent: usize) {
    let blank = " ".repeat(indent);
    match &field.shape {
        Shape::Record(fields) => {
            _ = writeln!(text, "# {blank}{}:", field.name);
            fields.iter().for_each(|inner| write_row(text, inner, &format!("{blank}  ")));
        }
        Shape::List(_) => {
            _ = writeln!(text, "# {blank}{}:", field.name);
            write_elements(text, &field.shape, indent);
        }
        _ => _ = writeln!(text, "# {blank}{}: {}", field.name, field.example),
    }
}

/// One element of a list of records.
fn write_elements(text: &mut String, shape: &Shape, indent: usize) {
    let Shape::List(Shape::Record(fields)) = shape else { return };
    let blank = " ".repeat(indent);
    for (at, field) in fields.iter().enumerate() {
        write_row(text, field, &format!("{blank}  {}", if at == 0 { "- " } else { "  " }));
    }
}

fn write_row(text: &mut String, field: &Field, lead: &str) {
    let choices = choices(&field.shape);
    _ = writeln!(text, "# {lead}{}: {}  # {}{choices}", field.name, field.example, field.about);
}

/// What the text below the front matter begins with.
pub(super) fn stub(kind: Kind) -> &'static str {
    match kind {
        Kind::Symptom => "Say what is noticed, when, and under what circumstances.\n",
        Kind::Condition => "## What fails\n\nSay what wears or breaks, and what follows from it.\n",
        Kind::Characteristic => "## When it happens\n\nSay when it begins, how long it lasts and what ends it.\n",
        Kind::Check => "## How\n\nSay how it is asked or done, and what to beware of.\n",
        Kind::System => "## How it works\n\nSay what it does and how its parts work together.\n",
        Kind::Guide => "Write the page here.\n",
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::super::fields::fields;
    use super::super::inspect::inspect;
    use super::super::written::read_yaml;
    use super::*;
    use crate::diagnostic::{FileId, Mark, MarkId, Span};

    fn inner(shape: &Shape) -> &'static [Field] {
        match shape {
            Shape::Record(fields) | Shape::List(Shape::Record(fields)) => fields,
            _ => &[],
        }
    }

    fn check(field: &Field) {
        let example = field.example.replace("{today}", "2026-06-30").replace("{next-year}", "2027-06-30");
        let mut marks: Vec<Mark> = Vec::new();
        if !example.is_empty() {
            let node = read_yaml(&example, FileId(0), 0..example.len(), &mut marks).unwrap();
            inspect(&node, &field.shape, Span::default(), &mut marks);
        }
        assert_eq!(marks, Vec::new(), "{}: {example}", field.name);
        inner(&field.shape).iter().for_each(check);
    }

    #[test]
    fn every_example_has_the_shape_of_its_field() {
        Kind::ALL.into_iter().flat_map(fields).for_each(check);
    }

    /// What stands in comments is right as well: a draft with every `#` of its optional fields taken away reads.
    #[test]
    fn comment_lines_are_fields_too() {
        let today = "2026-06-30".parse().unwrap();
        for kind in Kind::ALL {
            let text = draft(kind, today, &["en".to_owned(), "es".to_owned()]);
            let (filled, rest) = text.split_once("# The fields below").unwrap();
            let is_row = |line: &&str| line.starts_with("# ") && line.contains(':') && !line.contains("say for it");
            let rows: Vec<&str> = rest.lines().skip(1).filter(is_row).map(|line| &line[2..]).collect();
            let rows: Vec<&str> = rows.into_iter().filter(|row| !row.starts_with(char::is_uppercase)).collect();
            let yaml = filled.trim_start_matches("---\n").to_owned() + &rows.join("\n");
            let mut marks = Vec::new();
            let node = read_yaml(&yaml, FileId(0), 0..yaml.len(), &mut marks);
            assert!(marks.is_empty(), "{marks:?}\n{yaml}");
            super::super::inspect::inspect_record(&node.unwrap(), fields(kind), Span::default(), &mut marks);
            marks.retain(|mark| !matches!(mark.id, MarkId::DanglingReference | MarkId::UnchangedDraft));
            assert!(marks.is_empty(), "{marks:?}\n{yaml}");
        }
    }
}
