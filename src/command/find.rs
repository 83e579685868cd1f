//! `find`: the site's search, in the terminal.

use serde_json::{Value as Json, json};

use super::arguments::{Find, FindReport};
use super::proof::verdict;
use super::run::{Status, Terminal};
use super::vehicle::vehicle;
use crate::entry::read_entries;
use crate::knowledge::{Knowledge, link};
use crate::page::search::{Answer, DocumentKind, Hit, Index, PassageClass, Query, Stretch, find as search};
use crate::source::read_folder;

/// The command.
pub(super) fn find(asked: &Find, terminal: &mut Terminal<'_>) -> Status {
    let (folder, mut marks) = match read_folder(&asked.kb) {
        Ok(read) => read,
        Err(fault) => return terminal.could_not(&fault.to_string()),
    };
    let (entries, of_entries) = read_entries(&folder);
    let (knowledge, of_links) = link(&entries, &folder, None);
    marks.extend(of_entries.into_iter().chain(of_links));
    let query = match query(asked, &knowledge) {
        Ok(query) => query,
        Err(fault) => return terminal.could_not(&fault),
    };
    let index = Index::new(&knowledge);
    let answer = search(&index, &query);
    let text = match asked.report {
        FindReport::Json => format!("{:#}\n", answer_json(&index, &query, &answer, &knowledge)),
        FindReport::Text => answer_text(&index, &answer, &knowledge, terminal.colour),
    };
    terminal.result(&text);
    let status = verdict(&marks, false);
    if status == Status::Errors {
        terminal.say("The entries have errors, so something may be missing: see `baybook proof`.");
    }
    status
}

fn query(asked: &Find, knowledge: &Knowledge) -> Result<Query, String> {
    let kind = |word: &String| {
        let names = || DocumentKind::ALL.map(|kind| format!("`{}`", kind.word())).join(", ");
        DocumentKind::by_word(word).ok_or_else(|| format!("`{word}` is no kind; there are {}", names()))
    };
    let selection = asked.vehicle.as_ref().map(|text| vehicle(&knowledge.universe, text)).transpose()?;
    Ok(Query {
        words: asked.words.join(" "),
        vehicles: selection.map(|selection| knowledge.universe.select(&selection)),
        kind: asked.kind.as_ref().map(kind).transpose()?,
        limit: asked.limit,
        ..Query::default()
    })
}

/// `{"results": […]}`; with a vehicle, also `"apart"`: what was found that does not fit it.
fn answer_json(index: &Index, query: &Query, answer: &Answer, knowledge: &Knowledge) -> Json {
    let results: Vec<Json> = answer.results.iter().filter_map(|hit| hit_json(index, hit)).collect();
    let mut report = json!({"results": results});
    if let (Json::Object(report), Some(_)) = (&mut report, &query.vehicles) {
        let apart = answer.apart.iter().filter_map(|hit| {
            let mut row = hit_json(index, hit)?;
            if let Json::Object(row) = &mut row {
                row.insert("fits".to_owned(), Json::from(fits(index, hit, knowledge)));
            }
            Some(row)
        });
        report.insert("apart".to_owned(), Json::from(apart.collect::<Vec<_>>()));
    }
    report
}

fn hit_json(index: &Index, hit: &Hit) -> Option<Json> {
    let document = index.documents.get(hit.document)?;
    Some(json!({
        "kind": document.kind.word(),
        "id": document.id,
        "title": document.title,
        "score": hit.score,
        "page": document.page,
    }))
}

/// The vehicles that the document is about, in words; empty for every vehicle.
fn fits(index: &Index, hit: &Hit, knowledge: &Knowledge) -> String {
    let region = index.documents.get(hit.document).and_then(|document| document.region.as_ref());
    region.map(|region| knowledge.universe.phrase(region)).unwrap_or_default()
}

fn answer_text(index: &Index, answer: &Answer, knowledge: &Knowledge, colour: bool) -> String {
    let mut out = String::new();
    for read in answer.read_as.iter().filter(|read| !read.taken_for.is_empty()) {
        out += &format!("`{}` was read as {}.\n", read.word, read.taken_for.join(", "));
    }
    out += &not_understood(answer);
    if answer.results.is_empty() && answer.apart.is_empty() {
        out += "Nothing found.";
        if !answer.nearest.is_empty() {
            out += &format!(" The nearest words here: {}.", answer.nearest.join(", "));
        }
        return out + "\n";
    }
    let rows = |hits: &[Hit]| hits.iter().map(|hit| hit_text(index, hit, knowledge, colour)).collect::<String>();
    out += &rows(&answer.results);
    if !answer.apart.is_empty() {
        out += &format!("\nNot for this vehicle:\n{}", rows(&answer.apart));
    }
    out
}

/// What a reader should know of words that lead nowhere, so that nobody takes results for an answer to them.
fn not_understood(answer: &Answer) -> String {
    let quoted = |words: &[String]| words.iter().map(|word| format!("`{word}`")).collect::<Vec<_>>().join(", ");
    let mut out = String::new();
    if !answer.unknown.is_empty() {
        out += &format!("Nothing here is about {}.\n", quoted(&answer.unknown));
    }
    for word in &answer.rare {
        out += &format!("`{word}` stands in one entry only, which is not among the first results.\n");
    }
    out
}

fn hit_text(index: &Index, hit: &Hit, knowledge: &Knowledge, colour: bool) -> String {
    let Some(document) = index.documents.get(hit.document) else { return String::new() };
    let mut out = format!("{:14} {:6.2}  {}\n", document.kind.word(), hit.score, stretches(&hit.title, "", colour));
    if let Some(reason) = &hit.reason {
        let between = if reason.class.is_none() { ", " } else { "" };
        let text = stretches(&reason.text, between, colour);
        out += &match reason.class {
            Some(PassageClass::Phrase) => format!("{:24}\"{text}\"\n", ""),
            Some(PassageClass::Codes) => format!("{:24}codes {text}\n", ""),
            None => format!("{:24}in the text: {text}\n", ""),
            Some(_) => format!("{:24}{text}\n", ""),
        };
    }
    let fits = fits(index, hit, knowledge);
    if !fits.is_empty() {
        out += &format!("{:24}fits {fits}\n", "");
    }
    out + &format!("{:24}{}\n", "", document.page)
}

/// What was found in bold, or between stars; neighbours that were found as one, unless something stands `between`.
fn stretches(stretches: &[Stretch], between: &str, colour: bool) -> String {
    let (start, end) = if colour { ("\u{1b}[1m", "\u{1b}[0m") } else { ("*", "*") };
    let join = |run: &[Stretch]| run.iter().map(|stretch| stretch.text.as_str()).collect::<String>();
    let runs = stretches.chunk_by(|a, b| a.is_found == b.is_found && between.is_empty());
    let run = |run: &[Stretch]| match run.first() {
        Some(Stretch { is_found: true, .. }) => format!("{start}{}{end}", join(run)),
        _ => join(run),
    };
    runs.map(run).collect::<Vec<_>>().join(between)
}
