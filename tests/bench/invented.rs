//! Invented words and numbers for the measuring programs: the same on every machine.

use std::collections::BTreeSet;

/// A linear congruential sequence (Knuth's multiplier).
pub(crate) struct Dice(pub(crate) u64);

impl Dice {
    /// From 0 to below 1.
    pub(crate) fn next(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// From 0 to below `sides`.
    pub(crate) fn roll(&mut self, sides: usize) -> usize {
        (self.next() * sides as f64) as usize
    }
}

/// Invented words, the likeliest first, with their cumulative chances. The word of rank r has a chance like
/// 1 / (r + 2.7): Zipf's law as B. Mandelbrot put it, recalled from memory.
pub(crate) struct Stock {
    words: Vec<String>,
    chances: Vec<f64>,
}

impl Stock {
    /// A stock of `size` words.
    pub(crate) fn new(size: usize, dice: &mut Dice) -> Self {
        let mut known = BTreeSet::new();
        let mut words = Vec::with_capacity(size);
        while words.len() < size {
            let syllables = 1 + dice.roll(if words.len() < 500 { 2 } else { 3 });
            let word: String = (0..syllables).map(|_| syllable(dice)).collect();
            if known.insert(word.clone()) {
                words.push(word);
            }
        }
        let mut sum = 0.0;
        let chance = |rank: usize| {
            sum += 1.0 / (rank as f64 + 2.7);
            sum
        };
        let chances = (0..size).map(chance).collect();
        Self { words, chances }
    }

    /// A word, the likelier ones more often.
    pub(crate) fn word(&self, dice: &mut Dice) -> &str {
        let at = dice.next() * self.chances.last().unwrap();
        &self.words[self.chances.partition_point(|chance| *chance < at)]
    }

    /// Some words.
    pub(crate) fn phrase(&self, count: usize, dice: &mut Dice) -> String {
        (0..count).map(|_| self.word(dice)).collect::<Vec<_>>().join(" ")
    }

    /// A sentence of eight to twelve words.
    pub(crate) fn sentence(&self, dice: &mut Dice) -> String {
        let count = 7 + dice.roll(5);
        format!("The {}.", self.phrase(count, dice))
    }
}

fn syllable(dice: &mut Dice) -> String {
    let onsets = [
        "b", "br", "c", "cl", "d", "f", "fl", "g", "gr", "h", "j", "k", "l", "m", "n", "p", "pr", "r", "s", "st", "t",
        "tr", "v", "w",
    ];
    let (vowels, ends) = (["a", "e", "i", "o", "u", "ea", "oo"], ["", "n", "r", "l", "t", "ck", "m", "nd"]);
    format!("{}{}{}", onsets[dice.roll(onsets.len())], vowels[dice.roll(vowels.len())], ends[dice.roll(ends.len())])
}
