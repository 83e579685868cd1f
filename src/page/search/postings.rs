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
    let (sorted, ends) = by_weight(postings);
    let mut from = 0;
    let of_weights = ends.iter().zip((0..16).rev()).filter_map(|(end, weight)| {
        let own = sorted.get(std::mem::replace(&mut from, *end)..*end)?;
        (!own.is_empty()).then_some((weight, own))
    });
    let of_weights: Vec<(u64, &[u32])> = of_weights.collect();
    number(out, of_weights.len() as u64);
    for (weight, own) in &of_weights {
        number(out, (own.len() as u64) << 4 | weight);
    }
    let mut bits = Bits::default();
    for (_, own) in &of_weights {
        let low = parameter(own.len(), documents);
        let mut next = 0;
        for document in *own {
            bits.write_step(document - next, low);
            next = document + 1;
        }
    }
    bits.finish(out);
}

/// About how many digits [`packed_postings`] writes.
pub(super) fn packed_length(postings: usize, documents: usize) -> usize {
    let bits = parameter(postings.max(1), documents) + SHARED_BITS;
    2 + 2 * postings.min(15) + postings * bits as usize / 6
}

/// What a step takes beside the low bits of a list that is not shared out by weight, in bits; measured with 10,000 entries.
const SHARED_BITS: u32 = 3;

/// The documents by weight, the greatest weight first, and where those of each weight from 15 to 0 end.
fn by_weight(postings: &[(u32, u32)]) -> (Vec<u32>, [usize; 16]) {
    let place = |weight: u32| 15_usize.saturating_sub(weight as usize);
    let mut ends = [0_usize; 16];
    for (_, weight) in postings {
        if let Some(count) = ends.get_mut(place(*weight)) {
            *count += 1;
        }
    }
    let mut sum = 0;
    for end in &mut ends {
        sum += *end;
        *end = sum;
    }
    let mut next = [0_usize; 16];
    next.iter_mut().skip(1).zip(ends).for_each(|(next, end)| *next = end);
    let mut sorted = vec![0; postings.len()];
    for (document, weight) in postings {
        let Some(at) = next.get_mut(place(*weight)) else { continue };
        if let Some(own) = sorted.get_mut(*at) {
            *own = *document;
        }
        *at += 1;
    }
    (sorted, ends)
}

/// Numbers of `size` bits each, one after the other, six bits to a digit, the highest first.
pub(super) fn packed(values: impl Iterator<Item = usize>, size: u32) -> String {
    let mut out = String::new();
    let mut bits = Bits::default();
    for value in values {
        bits.write(value as u64, size);
    }
    bits.finish(&mut out);
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
#[derive(Default)]
struct Bits {
    digits: Vec<u8>,
    held: u64,
    /// How many bits are held; fewer than 6 before and after each call.
    count: u32,
}

impl Bits {
    /// The high part as so many ones and a zero, then the low bits.
    fn write_step(&mut self, step: u32, low: u32) {
        let mut ones = step >> low;
        while ones > 16 {
            self.write(0xffff, 16);
            ones -= 16;
        }
        let high = (1_u64 << (ones + 1)) - 2;
        self.write(high << low | u64::from(step) & ((1 << low) - 1), ones + 1 + low);
    }

    /// The `size` low bits of a value that has no others; at most 56.
    fn write(&mut self, value: u64, size: u32) {
        self.held = self.held << size | value;
        self.count += size;
        while self.count >= 6 {
            self.count -= 6;
            self.push(self.held >> self.count);
        }
        self.held &= (1 << self.count) - 1;
    }

    fn push(&mut self, value: u64) {
        self.digits.push(DIGITS.get((value & 63) as usize).copied().unwrap_or(b'A'));
    }

    fn finish(mut self, out: &mut String) {
        if self.count > 0 {
            self.push(self.held << (6 - self.count));
        }
        out.extend(std::str::from_utf8(&self.digits));
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
