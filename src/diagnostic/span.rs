//! Where something stands: a file and a range of bytes, and the way from there to line and column.

use std::ops::Range;

use serde::{Deserialize, Serialize};

/// A file of the folder of entries, by its position in the sorted list of files.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Default, Serialize, Deserialize)]
pub struct FileId(pub u32);

/// A range of bytes in one file, end excluded. Byte 0 is the first after a byte-order mark.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Default, Serialize, Deserialize)]
pub struct Span {
    /// The file that the range lies in.
    pub file: FileId,
    /// First byte.
    pub start: u32,
    /// The byte after the last.
    pub end: u32,
}

impl Span {
    /// A range of `file`. Files are limited to far less than 4 GiB, so offsets fit.
    pub fn new(file: FileId, range: Range<usize>) -> Self {
        Self { file, start: saturate(range.start), end: saturate(range.end) }
    }

    /// The first byte of `file`: for faults of the file as a whole.
    pub fn start_of(file: FileId) -> Self {
        Self { file, start: 0, end: 0 }
    }

    /// The part of this span that `inner`, counted from its start, covers; kept inside this span.
    #[must_use]
    pub fn part(self, inner: Range<usize>) -> Self {
        let start = self.start.saturating_add(saturate(inner.start)).min(self.end);
        let end = self.start.saturating_add(saturate(inner.end)).clamp(start, self.end);
        Self { file: self.file, start, end }
    }

    /// The smallest span that covers both; both must lie in one file.
    #[must_use]
    pub fn to(self, other: Self) -> Self {
        Self { file: self.file, start: self.start.min(other.start), end: self.end.max(other.end) }
    }

    /// The range as indices into the file's text.
    pub fn range(self) -> Range<usize> {
        self.start as usize..self.end as usize
    }
}

/// How many characters of UTF-8 begin in these bytes.
fn beginnings(bytes: &[u8]) -> u32 {
    saturate(bytes.iter().filter(|byte| **byte & 0b1100_0000 != 0b1000_0000).count())
}

fn saturate(offset: usize) -> u32 {
    u32::try_from(offset).unwrap_or(u32::MAX)
}

/// A value and where it was written.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Default, Serialize, Deserialize)]
pub struct Spanned<T> {
    /// What was written.
    pub value: T,
    /// Where.
    pub span: Span,
}

impl<T> Spanned<T> {
    /// Puts a value and its place together.
    pub fn new(value: T, span: Span) -> Self {
        Self { value, span }
    }

    /// Changes the value and keeps the place.
    pub fn map<U>(self, change: impl FnOnce(T) -> U) -> Spanned<U> {
        Spanned { value: change(self.value), span: self.span }
    }
}

/// A place as people count it: from 1, columns in characters.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Place {
    /// Line, from 1.
    pub line: u32,
    /// Column, from 1, in characters.
    pub column: u32,
}

/// Finds lines of one text by offset.
#[derive(Clone, Debug)]
pub struct TextIndex<'a> {
    text: &'a str,
    starts: Vec<usize>,
    /// How many characters begin before every [`STRIDE`]th byte: a line may be as long as its file, and hold a
    /// hundred thousand places.
    counts: Vec<u32>,
}

/// Bytes between two counts of characters.
const STRIDE: usize = 256;

impl<'a> TextIndex<'a> {
    /// Notes where every line of `text` starts. `\n`, `\r\n` and a lone `\r` end a line.
    pub fn new(text: &'a str) -> Self {
        let bytes = text.as_bytes();
        // Looking for two signs at once is slower than for each alone, and a carriage return is rare.
        let mut starts: Vec<usize> = std::iter::once(0).chain(text.match_indices('\n').map(|(at, _)| at + 1)).collect();
        let lone = |(at, _): (usize, &str)| Some(at + 1).filter(|next| bytes.get(*next) != Some(&b'\n'));
        let lone: Vec<usize> = text.match_indices('\r').filter_map(lone).collect();
        if !lone.is_empty() {
            starts.extend(lone);
            starts.sort_unstable();
        }
        let sum = |sum: &mut u32, part: &[u8]| {
            *sum += beginnings(part);
            Some(*sum)
        };
        let counts = std::iter::once(0).chain(bytes.chunks(STRIDE).scan(0, sum)).collect();
        Self { text, starts, counts }
    }

    /// The place of a byte offset; one past the end is the place after the last character.
    pub fn place(&self, offset: usize) -> Place {
        let offset = offset.min(self.text.len());
        let line = self.starts.partition_point(|&start| start <= offset);
        let start = self.starts.get(line.saturating_sub(1)).copied().unwrap_or(0);
        let before = self.beginnings_before(offset) - self.beginnings_before(start);
        Place { line: saturate(line), column: before + 1 }
    }

    /// How many characters begin before a byte.
    fn beginnings_before(&self, offset: usize) -> u32 {
        let at = offset / STRIDE;
        let part = self.text.as_bytes().get(at * STRIDE..offset).unwrap_or_default();
        self.counts.get(at).copied().unwrap_or(0) + beginnings(part)
    }

    /// What the line of a byte offset says before the offset and from there on, without its line end: all of it, or
    /// what lies within `reach` bytes on either side.
    pub fn around(&self, offset: usize, reach: usize) -> (&'a str, &'a str) {
        let offset = offset.min(self.text.len());
        let line = self.starts.partition_point(|&start| start <= offset);
        let start = self.starts.get(line.saturating_sub(1)).copied().unwrap_or(0).max(offset.saturating_sub(reach));
        let end = self.starts.get(line).copied().unwrap_or(self.text.len()).min(offset.saturating_add(reach));
        let start = (start..=offset).find(|&at| self.text.is_char_boundary(at)).unwrap_or(offset);
        let end = (offset..=end).rfind(|&at| self.text.is_char_boundary(at)).unwrap_or(offset);
        let part = |range| self.text.get(range).unwrap_or("").trim_end_matches(['\r', '\n']);
        (part(start..offset), part(offset..end))
    }
}
