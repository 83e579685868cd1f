//! What serde reads: a tree of scalars, lists and maps in which every key and value keeps its place.
//!
//! serde stops at the first fault of a typed document. Reading into a tree first, and walking the tree by the shapes
//! of the fields afterwards, reports all of them.

use std::collections::BTreeMap;
use std::collections::btree_map::Entry;
use std::fmt;
use std::ops::Range;

use serde::de::{Deserialize, Deserializer, MapAccess, SeqAccess, Visitor};
use serde_yaml::options::{DuplicateKeyPolicy, MergeKeyPolicy, NonFiniteFloatPolicy};

use super::indent::{Slip, slip};
use crate::diagnostic::{FileId, Mark, MarkId, Span, Spanned};

/// A YAML value with its place.
#[derive(Clone, Debug)]
pub(crate) struct Node {
    /// The whole value; for a map from its first key to its last value.
    pub(crate) span: Span,
    /// What it is.
    pub(crate) value: Value,
}

/// What a YAML value is. Scalars keep their text: `no` stays `no`, `0.80` keeps its zero.
#[derive(Clone, Debug)]
pub(crate) enum Value {
    Nothing,
    Scalar(String),
    List(Vec<Node>),
    Map(Vec<(Spanned<String>, Node)>),
}

impl Node {
    /// The word for what it is, for marks.
    pub(crate) fn kind(&self) -> &'static str {
        match self.value {
            Value::Nothing => "nothing",
            Value::Scalar(_) => "a single value",
            Value::List(_) => "a list",
            Value::Map(_) => "a map",
        }
    }

    pub(crate) fn scalar(&self) -> Option<&str> {
        match &self.value {
            Value::Scalar(text) => Some(text),
            _ => None,
        }
    }

    pub(crate) fn map(&self) -> Option<&[(Spanned<String>, Self)]> {
        match &self.value {
            Value::Map(pairs) => Some(pairs),
            _ => None,
        }
    }

    /// The value of a key, if this is a map that has it.
    pub(crate) fn get(&self, key: &str) -> Option<&Self> {
        self.map()?.iter().find(|(known, _)| known.value == key).map(|(_, node)| node)
    }

    /// The elements of a list; anything else that is something is a list of one.
    pub(crate) fn elements(&self) -> &[Self] {
        match &self.value {
            Value::List(nodes) => nodes,
            Value::Nothing => &[],
            _ => std::slice::from_ref(self),
        }
    }
}

/// Reads the YAML in `range` of a file's text.
///
/// Aliases, anchors, tags, merge keys and more than [`DEPTH_LIMIT`] levels are refused; a repeated key is marked and
/// its first value kept. `None` means that nothing could be read, and there is exactly one mark for it.
pub(crate) fn read_yaml(text: &str, file: FileId, range: Range<usize>, marks: &mut Vec<Mark>) -> Option<Node> {
    let source = Source { text: text.get(range.clone()).unwrap_or(""), file, offset: range.start };
    match serde_yaml::from_str_with_options::<serde_yaml::Spanned<Raw>>(source.text, options()) {
        Ok(raw) => Some(source.node(raw, marks)),
        Err(fault) => {
            marks.push(source.fault(&fault));
            None
        }
    }
}

/// Levels of nesting that are read; no field needs more than eight.
const DEPTH_LIMIT: usize = 32;

fn options() -> serde_yaml::Options {
    serde_yaml::options! {
        budget: serde_yaml::budget! {
            max_depth: DEPTH_LIMIT,
            max_aliases: 0,
            max_anchors: 0,
            max_nodes: 200_000,
            flow_nesting_limit: DEPTH_LIMIT,
        },
        duplicate_keys: DuplicateKeyPolicy::PassThrough,
        merge_keys: MergeKeyPolicy::AsOrdinary,
        non_finite_float_policy: NonFiniteFloatPolicy::PassThrough,
        strict_booleans: true,
        null_as_string: true,
        reject_unsupported_tags: true,
        with_snippet: false,
    }
}

/// A piece of YAML inside a file.
struct Source<'a> {
    text: &'a str,
    file: FileId,
    offset: usize,
}

impl Source<'_> {
    fn node(&self, raw: serde_yaml::Spanned<Raw>, marks: &mut Vec<Mark>) -> Node {
        let range = self.range(raw.defined);
        let span = self.span(range.clone());
        match raw.value {
            Raw::Null => Node { span, value: Value::Nothing },
            Raw::Text(text) => Node { span: self.span(self.trim(range)), value: Value::Scalar(text) },
            Raw::Plain => {
                let text = self.text.get(range).unwrap_or("").to_owned();
                Node { span, value: Value::Scalar(text) }
            }
            Raw::List(items) => {
                let nodes: Vec<Node> = items.into_iter().map(|item| self.node(item, marks)).collect();
                let end = nodes.last().map_or(span, |node| node.span);
                Node { span: span.to(end), value: Value::List(nodes) }
            }
            Raw::Map(pairs) => self.map(span, pairs, marks),
        }
    }

    fn map(&self, start: Span, pairs: RawPairs, marks: &mut Vec<Mark>) -> Node {
        let mut known: Vec<(Spanned<String>, Node)> = Vec::with_capacity(pairs.len());
        let repeated = repeated(&pairs);
        for (at, (key, value)) in pairs.into_iter().enumerate() {
            let key = Spanned::new(key.value, self.span(self.range(key.defined)));
            let node = self.node(value, marks);
            match repeated.get(&at) {
                Some(earlier) => marks.push(repeated_key(&key, self.span(self.range(*earlier)))),
                None => known.push((key, node)),
            }
        }
        let first = known.first().map_or(start, |(key, _)| key.span);
        let last = known.last().map_or(start, |(key, node)| key.span.to(node.span));
        Node { span: first.to(last), value: Value::Map(known) }
    }

    /// A block scalar reaches to the start of the next key: the white space at its end is nobody's fault.
    fn trim(&self, range: Range<usize>) -> Range<usize> {
        let text = self.text.get(range.clone()).unwrap_or("").trim_end();
        range.start..range.start + text.len()
    }

    fn range(&self, location: serde_yaml::Location) -> Range<usize> {
        let span = location.span();
        let start = span.byte_offset().and_then(|at| usize::try_from(at).ok());
        let start = start.unwrap_or_else(|| self.offset_of(location.line(), location.column()));
        let length = span.byte_len().and_then(|length| usize::try_from(length).ok()).unwrap_or(0);
        start.min(self.text.len())..(start + length).min(self.text.len())
    }

    /// Faults found by the scanner carry line and column only.
    fn offset_of(&self, line: u64, column: u64) -> usize {
        let line = usize::try_from(line).unwrap_or(1).saturating_sub(1);
        let column = usize::try_from(column).unwrap_or(1).saturating_sub(1);
        let start: usize = self.text.split_inclusive('\n').take(line).map(str::len).sum();
        let rest = self.text.get(start..).unwrap_or("");
        start + rest.chars().take(column).map(char::len_utf8).sum::<usize>()
    }

    fn span(&self, range: Range<usize>) -> Span {
        Span::new(self.file, self.offset + range.start..self.offset + range.end)
    }

    fn fault(&self, fault: &serde_yaml::Error) -> Mark {
        let range = fault.location().map_or(0..0, |location| self.range(location));
        if let Some(Slip { range, words }) = slip(self.text, range.start) {
            return Mark::new(MarkId::BadFrontMatter, self.span(range)).with("found", words);
        }
        let words = fault.without_snippet().to_string();
        let words =
            words.split(" at line ").next().unwrap_or("").replace("simple key expected ':'", "a key needs a `:`");
        Mark::new(MarkId::BadFrontMatter, self.span(range)).with("found", plain_words(&words))
    }
}

/// The reader's own words name its options; ours name what the writer can do.
fn plain_words(words: &str) -> String {
    let rows = [
        ("budget breached: Depth", "it is nested more deeply than any field needs"),
        ("recursion limit", "it is nested more deeply than any field needs"),
        ("budget breached: Alias", "aliases (`*name`) are not allowed: write the value out"),
        ("budget breached: Anchors", "anchors (`&name`) are not allowed: write the value out"),
        ("budget breached", "it is larger than any entry needs"),
        ("mapping values are not allowed", "a `: ` stands inside a value: put the value in quotes, or after `>-`"),
        ("tabs disallowed", "a tab stands where blanks are wanted: indent with blanks"),
        ("multiple YAML documents", "a second document begins here"),
        ("expected string scalar", "a key must be a single word"),
    ];
    let row = rows.iter().find(|(theirs, _)| words.contains(theirs));
    row.map_or_else(|| words.to_owned(), |(_, ours)| (*ours).to_owned())
}

/// The positions of pairs whose key stands in an earlier one, and where it stands first.
fn repeated(pairs: &RawPairs) -> BTreeMap<usize, serde_yaml::Location> {
    let mut known = BTreeMap::new();
    let mut repeated = BTreeMap::new();
    for (at, (key, _)) in pairs.iter().enumerate() {
        match known.entry(key.value.as_str()) {
            Entry::Vacant(first) => _ = first.insert(key.defined),
            Entry::Occupied(first) => _ = repeated.insert(at, *first.get()),
        }
    }
    repeated
}

fn repeated_key(key: &Spanned<String>, first: Span) -> Mark {
    Mark::new(MarkId::BadFrontMatter, key.span)
        .with("found", format!("the key `{}` stands here a second time", key.value))
        .see(first, "it stands here first")
}

type RawPairs = Vec<(serde_yaml::Spanned<String>, serde_yaml::Spanned<Raw>)>;

/// A value as serde hands it over. Numbers and truth values are taken from the text by their place instead.
enum Raw {
    Null,
    Text(String),
    Plain,
    List(Vec<serde_yaml::Spanned<Raw>>),
    Map(RawPairs),
}

impl<'de> Deserialize<'de> for Raw {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_any(RawVisitor)
    }
}

struct RawVisitor;

impl<'de> Visitor<'de> for RawVisitor {
    type Value = Raw;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a value")
    }

    fn visit_bool<E>(self, _: bool) -> Result<Raw, E> {
        Ok(Raw::Plain)
    }

    fn visit_i64<E>(self, _: i64) -> Result<Raw, E> {
        Ok(Raw::Plain)
    }

    fn visit_u64<E>(self, _: u64) -> Result<Raw, E> {
        Ok(Raw::Plain)
    }

    fn visit_i128<E>(self, _: i128) -> Result<Raw, E> {
        Ok(Raw::Plain)
    }

    fn visit_u128<E>(self, _: u128) -> Result<Raw, E> {
        Ok(Raw::Plain)
    }

    fn visit_f64<E>(self, _: f64) -> Result<Raw, E> {
        Ok(Raw::Plain)
    }

    fn visit_str<E>(self, text: &str) -> Result<Raw, E> {
        Ok(Raw::Text(text.to_owned()))
    }

    fn visit_string<E>(self, text: String) -> Result<Raw, E> {
        Ok(Raw::Text(text))
    }

    fn visit_unit<E>(self) -> Result<Raw, E> {
        Ok(Raw::Null)
    }

    fn visit_none<E>(self) -> Result<Raw, E> {
        Ok(Raw::Null)
    }

    fn visit_some<D: Deserializer<'de>>(self, deserializer: D) -> Result<Raw, D::Error> {
        Raw::deserialize(deserializer)
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut items: A) -> Result<Raw, A::Error> {
        let mut list = Vec::new();
        while let Some(item) = items.next_element()? {
            list.push(item);
        }
        Ok(Raw::List(list))
    }

    fn visit_map<A: MapAccess<'de>>(self, mut pairs: A) -> Result<Raw, A::Error> {
        let mut list = Vec::new();
        while let Some(pair) = pairs.next_entry()? {
            list.push(pair);
        }
        Ok(Raw::Map(list))
    }
}
