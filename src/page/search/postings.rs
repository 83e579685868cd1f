//! Numbers and postings as digits in base 64.
//!
//! A whole index writes the postings of a term by document: the step from the document before, then the weight in two
//! digits, the higher first. A cut index packs them by weight, as the documents of one weight are a sparse set: how many
//! weights there are; for each of them, the greatest first, 16 times how many documents have it, plus the weight; then a
//! run of bits, six to a digit, the highest first: the documents of each weight, each as the number of those between it
//! and the one before in the code of S. W. Golomb, "Run-length encodings" (1966), with a power of two as its parameter.

const DIGITS: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_";

/// A number as groups of five bits, the lowest first, with 32 added where more follow.
pub(super) fn number(out: &mut String, mut number: u64) {
    loop {
        let group = (number & 31) as usize;
        number >>= 5;
        out.push(digit(group | if number > 0 { 32 } else { 0 }));
        if number == 0 {
            return;
        }
    }
}

pub(super) fn digit(value: usize) -> char {
    DIGITS.get(value & 63).copied().map_or('A', char::from)
}

/// Postings by document, with weights below 4096.
pub(super) fn fine_postings(out: &mut String, postings: &[(u32, u32)]) {
    let mut before = 0;
    for (document, weight) in postings {
        number(out, u64::from(document - before));
        out.push(digit((weight >> 6) as usize));
        out.push(digit(*weight as usize));
        before = *document;
    }
}

/// Postings by weight, with weights from 1 to 15. There are as many documents as `documents` says.
pub(super) fn packed_postings(out: &mut String, postings: &[(u32, u32)], documents: usize) {
    let of_weight = |weight: u32| postings.iter().filter(move |(_, own)| *own == weight).map(|(document, _)| *document);
    let mut all = [0_usize; 16];
    for (_, weight) in postings {
        if let Some(count) = all.get_mut(*weight as usize) {
            *count += 1;
        }
    }
    let counts: Vec<(u32, usize)> = (0..16).zip(all).filter(|(_, count)| *count > 0).rev().collect();
    number(out, counts.len() as u64);
    for (weight, count) in &counts {
        number(out, (*count as u64) << 4 | u64::from(*weight));
    }
    let mut bits = Bits { out, held: 0, count: 0 };
    for (weight, count) in &counts {
        let low = parameter(*count, documents);
        let mut next = 0;
        for document in of_weight(*weight) {
            bits.write_step(document - next, low);
            next = document + 1;
        }
    }
    bits.finish();
}

/// Numbers of `size` bits each, one after the other, six bits to a digit, the highest first.
pub(super) fn packed(values: impl Iterator<Item = usize>, size: u32) -> String {
    let mut out = String::new();
    let mut bits = Bits { out: &mut out, held: 0, count: 0 };
    for value in values {
        bits.write_low(value, size);
    }
    bits.finish();
    out
}

/// How many low bits of a step are written as they are: the most for which two thirds of the documents, shared out,
/// leave so many to each.
fn parameter(count: usize, documents: usize) -> u32 {
    let mut low = 0;
    while (count * 3) << (low + 1) <= documents * 2 {
        low += 1;
    }
    low
}

/// Gathers bits into digits.
struct Bits<'o> {
    out: &'o mut String,
    held: usize,
    count: u32,
}

impl Bits<'_> {
    /// The high part as so many ones and a zero, then the low bits.
    fn write_step(&mut self, step: u32, low: u32) {
        for _ in 0..step >> low {
            self.write(true);
        }
        self.write(false);
        self.write_low(step as usize, low);
    }

    fn write_low(&mut self, value: usize, size: u32) {
        for place in (0..size).rev() {
            self.write(value >> place & 1 == 1);
        }
    }

    fn write(&mut self, bit: bool) {
        self.held = self.held << 1 | usize::from(bit);
        self.count += 1;
        if self.count == 6 {
            self.out.push(digit(self.held));
            (self.held, self.count) = (0, 0);
        }
    }

    fn finish(self) {
        if self.count > 0 {
            self.out.push(digit(self.held << (6 - self.count)));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_and_postings_are_written_as_described() {
        let written = |write: &dyn Fn(&mut String)| {
            let mut out = String::new();
            write(&mut out);
            out
        };
        assert_eq!(written(&|out| number(out, 0)), "A");
        assert_eq!(written(&|out| number(out, 1000)), "of");
        assert_eq!(written(&|out| fine_postings(out, &[(2, 65), (5, 4095)])), "CBBD__");
        assert_eq!(packed([1, 0, 3, 2].into_iter(), 2), "Tg");
        // Two weights; 2 × 16 + 15 and 1 × 16 + 3; of 12 documents, 2 and 5 with two low bits, 0 with three.
        // 2: 0 10; 5 - 3: 0 10; 0: 0 000.
        assert_eq!(written(&|out| packed_postings(out, &[(0, 3), (2, 15), (5, 15)], 12)), "CvBTSA");
    }

    #[test]
    fn low_bits_grow_with_the_gaps() {
        assert_eq!([1, 2, 8, 12].map(|count| parameter(count, 12)), [3, 2, 0, 0]);
    }
}
