//! The reading grade: the formula exactly on counts, and loosely on sentences.
//!
//! The formula is that of Kincaid, Fishburne, Rogers and Chissom (1975), "Derivation of new readability formulas for
//! Navy enlisted personnel": 0.39 words a sentence + 11.8 syllables a word - 15.59.

use baybook::knowledge::{Counts, grade, reading_grade};

fn check_counts(sentences: usize, words: usize, syllables: usize, expected: f64) {
    let found = grade(Counts { sentences, words, syllables }).unwrap();
    assert!((found - expected).abs() < 1e-9, "{words} words: {found}");
}

/// Worked by hand from the formula.
#[test]
fn the_formula_is_exact_on_counts() {
    check_counts(1, 10, 10, 0.39 * 10.0 + 11.8 - 15.59);
    check_counts(1, 6, 6, -1.45);
    check_counts(2, 35, 49, 7.755);
    check_counts(5, 100, 150, 9.91);
    check_counts(1, 11, 24, 14.445_454_545_454_545);
    check_counts(3, 100, 141, 14.048);
}

#[test]
fn nothing_has_no_grade() {
    assert_eq!(grade(Counts::default()), None);
    assert_eq!(grade(Counts { sentences: 0, words: 3, syllables: 3 }), None);
    assert_eq!(reading_grade(""), None);
    assert_eq!(reading_grade("Too few words."), None);
}

/// Counters of syllables differ by a few, so a grade may differ by two.
fn check_text(text: &str, expected: f64) {
    let found = reading_grade(text).unwrap();
    assert!((found - expected).abs() <= 2.0, "{found:.1} instead of {expected}: {text}");
}

/// The first three are printed in introductions to the formula again and again, with these grades; the others are
/// openings of texts in the public domain, counted by hand. All recalled from memory.
#[test]
fn known_sentences_have_about_the_grade_that_is_printed_for_them() {
    // 13 words; printed with 24 syllables, a dictionary divides them into 26.
    check_text("The Australian platypus is seemingly a hybrid of a mammal and reptilian creature.", 11.3);
    // 9 words, 11 syllables, the pangram of typists.
    check_text("The quick brown fox jumps over the lazy dog.", 2.3);
    // "The cat sat on the mat" is printed with -1.45; it is too short to be graded here, so it stands twice.
    check_text("The cat sat on the mat. The cat sat on the mat.", -1.45);
    // 30 words, 48 syllables in one sentence.
    check_text(
        "Four score and seven years ago our fathers brought forth on this continent a new nation, conceived in liberty, \
         and dedicated to the proposition that all men are created equal.",
        15.0,
    );
    // 23 words, 33 syllables in one sentence.
    check_text(
        "It is a truth universally acknowledged, that a single man in possession of a good fortune, must be in want of \
         a wife.",
        10.3,
    );
    // 29 words, 42 syllables in three sentences.
    check_text(
        "Call me Ishmael. It was the best of times, it was the worst of times. Happy families are all alike; every \
         unhappy family is unhappy in its own way.",
        5.3,
    );
}

/// What is plainly harder has a higher grade.
#[test]
fn harder_texts_have_higher_grades() {
    let steps = [
        "The tyres hum on the road. They are made that way.",
        "The tyres hum on rough roads because their blocks strike the surface one after another.",
        "Individual tread elements periodically contact irregular surfaces, generating characteristic acoustic frequencies.",
    ];
    let grades: Vec<f64> = steps.iter().map(|text| reading_grade(text).unwrap()).collect();
    assert!(grades.is_sorted() && grades[2] > grades[0] + 10.0, "{grades:?}");
}
