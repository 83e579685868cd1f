//! What is not understood is said, and nothing pretends to be an answer to it.

use std::collections::BTreeSet;

use baybook::page::search::{Answer, Query, find};

use super::index;

fn ask(words: &str) -> Answer {
    find(index(), &Query { words: words.to_owned(), limit: 1000, ..Query::default() })
}

fn documents(answer: &Answer) -> BTreeSet<usize> {
    answer.results.iter().map(|hit| hit.document).collect()
}

fn name(document: usize) -> String {
    let document = &index().documents[document];
    format!("{}/{}", document.kind.word(), document.id)
}

#[test]
fn everyday_words_lead_to_what_they_mean() {
    for (words, expected) in [
        ("tire light", "symptom/tyre-pressure-lamp"),
        ("low tire pressure", "symptom/tyre-pressure-lamp"),
        ("flat tire", "symptom/tyre-pressure-lamp"),
        ("breaks grinding in the mornng", "symptom/brake-scrape-after-standing"),
        ("squeaky brakes", "symptom/brake-scrape-after-standing"),
        ("brakes squeal", "symptom/brake-scrape-after-standing"),
        ("engine overheating", "symptom/vapour-from-front"),
        ("car overheats", "symptom/vapour-from-front"),
        ("car wont start", "symptom/slow-start-in-morning"),
    ] {
        let first = ask(words).results.first().map(|hit| name(hit.document));
        assert_eq!(first.as_deref(), Some(expected), "{words}");
    }
    let first: Vec<String> = ask("battery light").results.iter().take(3).map(|hit| name(hit.document)).collect();
    assert!(first.contains(&"check/charge-lamp".to_owned()), "{first:?}");
}

#[test]
fn words_that_nothing_here_has_are_named() {
    let answer = ask("zzqq noise when I brake 4711 qv");
    assert_eq!(answer.unknown, ["zzqq"], "numbers and crumbs are not named");
    assert!(!answer.results.is_empty());
    assert!(ask("brake noise").unknown.is_empty());
    assert!(ask("brkae noise").unknown.is_empty(), "a slip is read as what is near");
}

#[test]
fn beside_a_word_that_is_unknown_small_words_find_nothing() {
    let answer = ask("condensashun in headlite");
    assert_eq!(answer.unknown, ["condensashun", "headlite"]);
    assert_eq!(documents(&answer), BTreeSet::new());
    assert!(answer.nearest.contains(&"condensation".to_owned()), "{:?}", answer.nearest);
    assert!(!ask("when does it").results.is_empty(), "by themselves they do");
}

#[test]
fn a_word_that_stands_in_one_entry_is_not_cut_and_is_named_where_that_is_far_down() {
    let alone = ask("airbag");
    let names: Vec<String> = documents(&alone).into_iter().map(name).collect();
    assert_eq!((names.as_slice(), alone.rare.len()), (&["system/steering-and-suspension".to_owned()][..], 0));
    assert_eq!(ask("airbag light").rare, ["airbag"]);
    assert!(documents(&ask("heatpump")).len() > 1, "a trade term is cut all the same");
}

#[test]
fn both_halves_of_a_compound_must_be_there() {
    let answer = ask("fanpetrol");
    let both: BTreeSet<usize> = documents(&ask("fan .")).intersection(&documents(&ask("petrol ."))).copied().collect();
    assert_eq!(documents(&answer), both);
    assert!(!both.is_empty());
    assert_eq!(
        (answer.read_as[0].word.as_str(), answer.read_as[0].taken_for.join("")),
        ("fanpetrol", "fan petrol".into())
    );
}
