//! What a symptom's page and its flow ask first.

use std::collections::BTreeSet;

use super::{pages, site};

fn after<'a>(text: &'a str, start: &str, end: &str) -> Option<&'a str> {
    let (_, rest) = text.split_once(start)?;
    rest.split_once(end).map(|(found, _)| found)
}

/// The first question of each group of vehicles.
fn starts(flow: &str) -> BTreeSet<&str> {
    flow.split("data-variant=\"").skip(1).filter_map(|group| after(group, "data-check=\"", "\"")).collect()
}

#[test]
fn a_symptom_names_first_what_its_flow_asks_first() {
    let symptoms: Vec<_> =
        pages().filter(|(path, _)| path.starts_with("symptoms/") && *path != "symptoms/index.html").collect();
    assert!(symptoms.len() >= 20);
    for (path, page) in symptoms {
        let flow = path.replace("symptoms/", "flows/");
        let flow = std::str::from_utf8(&site()[&flow]).unwrap();
        let (_, asked) = page.split_once("id=\"p-ask\"").unwrap();
        let first = after(asked, "checks/", ".html").unwrap();
        assert!(starts(flow).contains(first), "{path} names {first} first, its flow asks {:?}", starts(flow));
    }
}
