//! Every place where the folder names one of its entries, in fields, links and calculation statements.

use super::model::{AccountsFor, AnswersOfChecks, Entry, Head, WrittenStep};
use super::prose::{CalculationBlock, Prose, Target};
use super::{Entries, Kind};
use crate::diagnostic::{Span, Spanned};

/// A place that names an entry.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Reference {
    /// The value that holds the id: a field's value, a destination, or the id itself. Where a text was written with
    /// escapes, this is the whole text.
    pub span: Span,
    /// The kind of the entry.
    pub kind: Kind,
    /// Its id.
    pub id: String,
    /// How the id is written there.
    pub form: Form,
}

/// How an id is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Form {
    /// The bare id.
    Id,
    /// A folder, a slash and the id.
    Path,
    /// The name of the entry's file, at the end of a path.
    File,
    /// `spec:`, the id, a slash and the name of a specification.
    Specification,
}

/// All references, by file and place, each place once.
pub fn references(entries: &Entries) -> Vec<Reference> {
    let mut found = Found::default();
    for entry in &entries.symptoms {
        let steps = entry.detail.flow.iter().flat_map(|flow| &flow.steps);
        steps.for_each(|(_, step)| found.step(step));
        found.head(entry);
    }
    for entry in &entries.conditions {
        let detail = &entry.detail;
        found.accounts_for(&detail.accounts_for);
        [&detail.confirm, &detail.ruled_out_by, &detail.alarm].into_iter().for_each(|rows| found.checks(rows));
        found.texts(&detail.remedy);
        found.head(entry);
    }
    for entry in &entries.characteristics {
        let detail = &entry.detail;
        found.accounts_for(&detail.accounts_for);
        [&detail.only_if, &detail.not_if].into_iter().for_each(|rows| found.checks(rows));
        found.texts([&detail.because, &detail.show, &detail.leave_alone].into_iter().flatten());
        found.texts(detail.tell.iter().flat_map(|(_, telling)| [&telling.brief, &telling.plain, &telling.full]));
        found.head(entry);
    }
    entries.checks.iter().for_each(|entry| found.head(entry));
    for entry in &entries.systems {
        found.texts(entry.detail.changes.iter().map(|change| &change.text));
        found.head(entry);
    }
    entries.guides.iter().for_each(|entry| found.head(entry));
    for path in entries.terms.iter().flat_map(|term| &term.see) {
        found.add(path.span, path.value.0, &path.value.1, Form::Path);
    }
    found.0.sort();
    found.0.dedup();
    found.0
}

#[derive(Default)]
struct Found(Vec<Reference>);

impl Found {
    fn add(&mut self, span: Span, kind: Kind, id: &str, form: Form) {
        self.0.push(Reference { span, kind, id: id.to_owned(), form });
    }

    fn names<'a>(&mut self, kind: Kind, names: impl IntoIterator<Item = &'a Spanned<String>>) {
        names.into_iter().for_each(|name| self.add(name.span, kind, &name.value, Form::Id));
    }

    fn head<D>(&mut self, entry: &Entry<D>) {
        let head: &Head = &entry.head;
        self.names(Kind::System, &head.systems);
        self.names(head.kind, &head.replaces);
        self.texts([&head.body]);
    }

    fn accounts_for(&mut self, rows: &[AccountsFor]) {
        self.names(Kind::Symptom, rows.iter().map(|row| &row.symptom));
        self.names(Kind::Check, rows.iter().flat_map(|row| &row.evidence).map(|(check, _)| check));
    }

    fn checks(&mut self, rows: &AnswersOfChecks) {
        self.names(Kind::Check, rows.iter().map(|(check, _)| check));
    }

    fn step(&mut self, step: &WrittenStep) {
        match step {
            WrittenStep::Ask { check, .. } => self.names(Kind::Check, [check]),
            WrittenStep::Verdict { characteristic, leads, .. } => {
                self.names(Kind::Characteristic, characteristic);
                self.names(Kind::Condition, leads);
            }
            WrittenStep::Unreadable => {}
        }
    }

    fn texts<'a>(&mut self, texts: impl IntoIterator<Item = &'a Prose>) {
        for text in texts {
            let links = text.links.iter().map(|link| (&link.target, link.span));
            let definitions = text.definitions.iter().map(|definition| (&definition.target, definition.span));
            links.chain(definitions).for_each(|(target, span)| self.target(target, span));
            for id in text.calculations.iter().flat_map(specifications_read) {
                self.add(id.span, Kind::System, &id.value, Form::Id);
            }
        }
    }

    fn target(&mut self, target: &Target, span: Span) {
        match target {
            Target::Entry { kind, id, .. } => self.add(span, *kind, id, Form::File),
            Target::Specification { system, .. } => self.add(span, Kind::System, system, Form::Specification),
            _ => {}
        }
    }
}

/// The systems in `spec(system, name)`. A statement may go on over several lines inside its parentheses, so the lines
/// are read as one run of words.
fn specifications_read(block: &CalculationBlock) -> Vec<Spanned<String>> {
    let words: Vec<Spanned<&str>> = block.lines.iter().flat_map(words).collect();
    let calls = words.windows(3).filter_map(|window| match window {
        [call, open, system] if call.value == "spec" && open.value == "(" => Some(system),
        _ => None,
    });
    calls.map(|system| Spanned::new(system.value.to_owned(), system.span)).collect()
}

/// Words (letters, digits, `_`, `-`) and single other characters of a line, up to its comment.
fn words(line: &Spanned<String>) -> Vec<Spanned<&str>> {
    let code = line.value.split('#').next().unwrap_or("");
    let is_word = |c: char| c.is_alphanumeric() || matches!(c, '_' | '-');
    let mut words = Vec::new();
    let mut at = 0;
    while let Some(first) = code.get(at..).and_then(|rest| rest.chars().next()) {
        let rest = code.get(at..).unwrap_or("");
        let length = rest.find(|c| !is_word(c)).filter(|length| *length > 0).unwrap_or(if is_word(first) {
            rest.len()
        } else {
            first.len_utf8()
        });
        if !first.is_whitespace() {
            words.push(Spanned::new(rest.get(..length).unwrap_or(""), line.span.part(at..at + length)));
        }
        at += length;
    }
    words
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diagnostic::FileId;

    fn check(lines: &[&str], expected: &[&str]) {
        let mut start = 0;
        let line = |text: &&str| {
            let span = Span::new(FileId(0), start..start + text.len());
            start += text.len() + 1;
            Spanned::new((*text).to_owned(), span)
        };
        let block = CalculationBlock { lines: lines.iter().map(line).collect(), span: Span::default() };
        let whole = lines.join("\n");
        let found = specifications_read(&block);
        let at_places: Vec<&str> = found.iter().filter_map(|id| whole.get(id.span.range())).collect();
        assert_eq!(at_places, expected, "in {whole:?}");
        assert!(found.iter().all(|id| whole.get(id.span.range()) == Some(&id.value)));
    }

    #[test]
    fn systems_are_found_in_calculation_statements() {
        check(&["a = spec(brakes, pad)"], &["brakes"]);
        check(&["a = spec( front-brakes , pad ) - spec(wheels, tread)"], &["front-brakes", "wheels"]);
        check(&["a = max(spec(", "  brakes,", "  pad), 2)"], &["brakes"]);
        check(&["a = 2 # spec(brakes, pad)", "b = µspec(brakes, pad) + spec2(x, y)"], &[]);
        check(&[], &[]);
    }
}
