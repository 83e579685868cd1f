//! Queries judged by people who know the entries but not the index. A line of judged.tsv holds a query, a tab, and
//! the entries that answer it, the first of them the best.

use baybook::page::search::{Query, find};

use super::index;

struct Figures {
    reciprocal: f64,
    first_three: f64,
}

fn measure() -> Figures {
    let (mut count, mut reciprocal, mut first_three) = (0.0, 0.0, 0.0);
    for line in include_str!("judged.tsv").lines().filter(|line| !line.is_empty()) {
        let (words, expected) = line.split_once('\t').unwrap();
        let expected: Vec<&str> = expected.split(',').collect();
        let found = find(index(), &Query { words: words.to_owned(), limit: 10, ..Query::default() });
        let names = found.results.iter().map(|hit| &index().documents[hit.document]);
        let names: Vec<String> = names.map(|document| format!("{}/{}", document.kind.word(), document.id)).collect();
        let rank = names.iter().position(|name| expected.contains(&name.as_str()));
        count += 1.0;
        reciprocal += rank.map_or(0.0, |rank| 1.0 / (rank as f64 + 1.0));
        first_three += f64::from(rank.is_some_and(|rank| rank < 3));
    }
    assert!(count >= 120.0);
    Figures { reciprocal: reciprocal / count, first_three: first_three / count }
}

/// The floors lie slightly below what was measured.
#[test]
fn people_find_what_they_mean_among_the_first_three() {
    let figures = measure();
    assert!(figures.reciprocal > 0.785, "mean reciprocal rank {:.3}", figures.reciprocal);
    assert!(figures.first_three > 0.85, "in the first three {:.3}", figures.first_three);
}

#[test]
fn every_judged_entry_exists() {
    for line in include_str!("judged.tsv").lines().filter(|line| !line.is_empty()) {
        for name in line.split_once('\t').unwrap().1.split(',') {
            let is_there =
                index().documents.iter().any(|document| format!("{}/{}", document.kind.word(), document.id) == name);
            assert!(is_there, "{name}");
        }
    }
}
