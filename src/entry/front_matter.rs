//! Cuts a file into its front matter and its text.

use std::ops::Range;

/// The line that opens and closes front matter.
pub(crate) const FENCE: &str = "---";

/// The parts of an entry's file, as ranges of bytes.
pub(crate) struct Parts {
    /// The YAML between the fences.
    pub(crate) yaml: Range<usize>,
    /// Everything after the closing fence.
    pub(crate) body: Range<usize>,
}

/// Why there is no front matter.
pub(crate) enum Missing {
    /// The first line is not a fence.
    Opening,
    /// No later line is a fence.
    Closing,
}

/// Finds the front matter of a text.
pub(crate) fn split(text: &str) -> Result<Parts, Missing> {
    let mut lines = text.split_inclusive('\n');
    let first = lines.next().filter(|line| is_fence(line)).ok_or(Missing::Opening)?;
    let start = first.len();
    let mut at = start;
    for line in lines {
        if is_fence(line) {
            return Ok(Parts { yaml: start..at, body: at + line.len()..text.len() });
        }
        at += line.len();
    }
    Err(Missing::Closing)
}

fn is_fence(line: &str) -> bool {
    line.trim_end() == FENCE
}
