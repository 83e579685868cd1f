//! One file: front matter and text.

use std::collections::BTreeSet;

use super::convert::{Context, fits, list, names, sources, spanned, text};
use super::fields::fields;
use super::front_matter::{Missing, split};
use super::inspect::{inspect_record, misspelt_fields};
use super::kind::{Kind, is_id, nearest_id};
use super::model::{Entry, Faulty, Head};
use super::prose::Origin;
use super::read_detail::Detail;
use super::rules::inspect_rules;
use super::scan::scan;
use super::untouched::text_mark;
use super::written::{Node, Value, read_yaml};
use crate::diagnostic::{Digest, FileId, Mark, MarkId, Span, Spanned};
use crate::source::TextFile;

/// Reads an entry. Whatever is wrong with it, an entry comes out, so that references to it are not called dangling.
pub(crate) fn read_entry<D: Detail>(kind: Kind, file: FileId, source: &TextFile, marks: &mut Vec<Mark>) -> Entry<D> {
    let id = file_stem(&source.path).to_owned();
    if !is_id(&id) {
        let mark = Mark::new(MarkId::BadId, Span::start_of(file)).with("found", super::inspect::short(&id));
        marks.push(mark.with_some("nearest", nearest_id(&id)));
    }
    let Some((node, body)) = source.readable.then(|| read_front_matter(file, &source.text, marks)).flatten() else {
        return unreadable(kind, id, file, marks);
    };
    let fence = Span::new(file, 0..super::front_matter::FENCE.len());
    let first = marks.len();
    inspect_record(&node, fields(kind), fence, marks);
    inspect_rules(kind, &node, fence, marks);
    marks.extend(text_mark(kind, source.text.get(body.clone()).unwrap_or(""), file, body.start));
    let fields = faulty_fields(&node, marks.get(first..).unwrap_or_default());
    let mut context = Context { path: &source.path, text: &source.text, marks };
    let detail = D::read(&node, &mut context);
    let origin = Origin::Verbatim(Span::new(file, body.clone()));
    let front = Digest::of(source.text.get(..body.start).unwrap_or("").as_bytes());
    let text = source.text.get(body).unwrap_or("").to_owned();
    let body = scan(text, origin, &source.path, context.marks);
    let faulty = Faulty { whole: false, fields };
    Entry { head: Head { body, front, faulty, ..read_head(kind, id, file, &node) }, detail }
}

/// The front matter's tree and the range of the text; `None` with one mark if there is no reading it.
fn read_front_matter(file: FileId, text: &str, marks: &mut Vec<Mark>) -> Option<(Node, std::ops::Range<usize>)> {
    let parts = match split(text) {
        Ok(parts) => parts,
        Err(missing) => {
            let found = match missing {
                Missing::Opening => "the first line is not `---`, which opens the front matter",
                Missing::Closing => "no later line is `---`, which closes the front matter",
            };
            let first_line = text.lines().next().unwrap_or("").len();
            marks.push(Mark::new(MarkId::BadFrontMatter, Span::new(file, 0..first_line)).with("found", found));
            return None;
        }
    };
    let node = read_yaml(text, file, parts.yaml, marks)?;
    match node.value {
        Value::Map(_) => Some((node, parts.body)),
        Value::Nothing => Some((Node { value: Value::Map(Vec::new()), ..node }, parts.body)),
        _ => {
            let found = format!("the front matter is {}, not a map of fields", node.kind());
            marks.push(Mark::new(MarkId::BadFrontMatter, node.span).with("found", found));
            None
        }
    }
}

fn unreadable<D: Detail>(kind: Kind, id: String, file: FileId, marks: &mut Vec<Mark>) -> Entry<D> {
    let nothing = Node { span: Span::start_of(file), value: Value::Nothing };
    let mut context = Context { path: "", text: "", marks };
    let detail = D::read(&nothing, &mut context);
    let faulty = Faulty { whole: true, fields: BTreeSet::new() };
    Entry { head: Head { faulty, ..read_head(kind, id, file, &nothing) }, detail }
}

/// The fields that a mark points into, and those that are missing or misspelt.
fn faulty_fields(node: &Node, marks: &[Mark]) -> BTreeSet<String> {
    let is_empty = |mark: &&Mark| matches!(mark.id, MarkId::MissingField | MarkId::BadFrontMatter);
    let missing = marks.iter().filter(is_empty).filter_map(|mark| mark.fact("field"));
    let pairs = node.map().unwrap_or_default().iter();
    let touched = pairs.filter(|(key, value)| {
        let whole = key.span.to(value.span);
        marks.iter().any(|mark| whole.start <= mark.span.start && mark.span.start <= whole.end)
    });
    let named = missing.map(str::to_owned).chain(misspelt_fields(marks));
    touched.map(|(key, _)| key.value.clone()).chain(named).collect()
}

fn read_head(kind: Kind, id: String, file: FileId, node: &Node) -> Head {
    let date = |name| {
        node.get(name).and_then(spanned).and_then(|text| Some(Spanned::new(text.value.parse().ok()?, text.span)))
    };
    let day = |name| date(name).map(|date: Spanned<jiff::civil::Date>| date.value);
    let title = node.get("title").and_then(spanned).filter(|title| !title.value.trim().is_empty());
    let is_code = |code: &Spanned<String>| super::text_forms::is_code(&code.value);
    Head {
        kind,
        file,
        title: title.unwrap_or_else(|| Spanned::new(id.clone(), Span::start_of(file))),
        id,
        systems: names(node.get("systems")),
        fits: fits(node.get("fits")),
        sources: sources(node.get("source")),
        basis: text(node.get("basis")),
        created: day("created"),
        modified: day("modified"),
        review_by: date("review_by"),
        author: text(node.get("author")),
        replaces: names(node.get("replaces")),
        codes: list(node.get("codes")).into_iter().filter(is_code).collect(),
        body: super::Prose::default(),
        front: Digest::default(),
        faulty: Faulty::default(),
    }
}

fn file_stem(path: &str) -> &str {
    let name = path.rsplit('/').next().unwrap_or(path);
    name.strip_suffix(".md").unwrap_or(name)
}
