//! Markdown as meant: its links, headings, pictures and calculation blocks, each with its place in the file.

use std::sync::Arc;

use crate::diagnostic::{Span, Spanned};
use serde::{Deserialize, Serialize};

use super::Kind;

/// A text in Markdown and what the other rooms need to know of it.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
pub struct Prose {
    /// The Markdown.
    pub text: String,
    /// Where it stands.
    pub origin: Origin,
    /// Links, in the order of the text; pictures are not among them.
    pub links: Vec<Link>,
    /// Definitions of links (`[name]: destination`), in the order of the text.
    pub definitions: Vec<Definition>,
    /// Pictures, in the order of the text.
    pub pictures: Vec<Picture>,
    /// Headings, in the order of the text.
    pub headings: Vec<Heading>,
    /// Blocks of calculation statements, in the order of the text.
    pub calculations: Vec<CalculationBlock>,
    /// Its sentences without marks, headings and blocks of code.
    pub sentences: Arc<[String]>,
    /// The start of its first paragraph as one plain line; empty where a heading comes first.
    pub opening: String,
}

/// How offsets in a text lead back to offsets in its file.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub enum Origin {
    /// The text stands in the file as it is, from the span's start.
    Verbatim(Span),
    /// The text was folded or indented: runs of (offset in the text, offset in the file), ascending.
    Folded(Span, Vec<(u32, u32)>),
    /// The text is shorter than what was written (escapes): only the whole can be pointed at.
    Whole(Span),
    /// There is no text.
    #[default]
    Absent,
}

impl Origin {
    /// The place of a range of the text in its file.
    pub fn span(&self, range: std::ops::Range<usize>) -> Span {
        match self {
            Self::Verbatim(span) => span.part(range),
            Self::Whole(span) => *span,
            Self::Absent => Span::default(),
            Self::Folded(span, runs) => {
                let start = follow(runs, range.start);
                let end = follow(runs, range.end.saturating_sub(1)).saturating_add(1);
                Span { file: span.file, start: start.min(span.end), end: end.clamp(start, span.end.max(start)) }
            }
        }
    }

    /// The whole text's place.
    pub fn whole(&self) -> Span {
        match self {
            Self::Verbatim(span) | Self::Whole(span) | Self::Folded(span, _) => *span,
            Self::Absent => Span::default(),
        }
    }
}

fn follow(runs: &[(u32, u32)], offset: usize) -> u32 {
    let offset = u32::try_from(offset).unwrap_or(u32::MAX);
    let run = runs.partition_point(|(text, _)| *text <= offset).saturating_sub(1);
    runs.get(run).map_or(0, |(text, file)| file + (offset - text.min(&offset)))
}

/// A link as written: what it leads to is known by form only, not yet whether it is there.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct Link {
    /// What it leads to.
    pub target: Target,
    /// The words of the link.
    pub words: Spanned<String>,
    /// Whether the words stand in the file as they are, without emphasis or escapes, so that parts of them have places.
    pub is_plain: bool,
    /// The destination as written.
    pub span: Span,
}

/// A definition that links refer to by its name.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct Definition {
    /// What it leads to.
    pub target: Target,
    /// The destination as written.
    pub span: Span,
}

/// What a link leads to, by its form.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Target {
    /// Somewhere outside: http, https, mailto or tel.
    Outside(String),
    /// A heading of the same entry.
    Heading(String),
    /// Another entry, and perhaps one of its headings.
    Entry {
        /// Its kind, from the folder.
        kind: Kind,
        /// Its id, from the file's name.
        id: String,
        /// The part after `#`.
        heading: Option<String>,
    },
    /// A result of a calculation of the same entry.
    Calculation(String),
    /// A specification.
    Specification {
        /// The system's id.
        system: String,
        /// The specification's name.
        name: String,
    },
    /// Something inside the folder that is no entry; the path from the folder's root.
    Elsewhere(String),
    /// A destination with a scheme that a reference must not use; it has its mark already.
    Unsafe,
}

/// A picture as written.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct Picture {
    /// Its path inside the folder of entries, `None` if it lies elsewhere or is unsafe.
    pub path: Option<String>,
    /// The destination as written.
    pub span: Span,
}

/// A heading and the anchor that links use for it.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct Heading {
    /// 1 to 6.
    pub level: u8,
    /// Its words.
    pub words: String,
    /// Its anchor: lower-case words joined by hyphens, unique in its text.
    pub anchor: String,
    /// Where it stands.
    pub span: Span,
}

/// A block of calculation statements. Inside quotations and lists its lines do not stand together, hence lines.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
pub struct CalculationBlock {
    /// Its lines without their ends.
    pub lines: Vec<Spanned<String>>,
    /// The whole block with its fences.
    pub span: Span,
}
