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
}

impl<'a> TextIndex<'a> {
    /// Notes where every line of `text` starts. `\n`, `\r\n` and a lone `\r` end a line.
    pub fn new(text: &'a str) -> Self {
        let bytes = text.as_bytes();
        let ends_line =
            |&(at, byte): &(usize, &u8)| *byte == b'\n' || (*byte == b'\r' && bytes.get(at + 1) != Some(&b'\n'));
        let ends = bytes.iter().enumerate().filter(ends_line).map(|(at, _)| at + 1);
        Self { text, starts: std::iter::once(0).chain(ends).collect() }
    }

    /// The place of a byte offset; one past the end is the place after the last character.
    pub fn place(&self, offset: usize) -> Place {
        let offset = offset.min(self.text.len());
        let line = self.starts.partition_point(|&start| start <= offset);
        let start = self.starts.get(line.saturating_sub(1)).copied().unwrap_or(0);
        let before = self.text.get(start..offset).map_or(0, |head| head.chars().count());
        Place { line: saturate(line), column: saturate(before + 1) }
    }

    /// The text of a line counted from 1, without its line end.
    pub fn line(&self, line: u32) -> &'a str {
        let at = (line as usize).saturating_sub(1);
        let Some(&start) = self.starts.get(at) else { return "" };
        let end = self.starts.get(at + 1).copied().unwrap_or(self.text.len());
        self.text.get(start..end).unwrap_or("").trim_end_matches(['\r', '\n'])
    }
}
