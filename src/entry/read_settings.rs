//! `shop.yaml`, `vehicles.yaml`, `words.yaml` and `cautions.yaml`.

use super::convert::{list, numeral, pairs, spanned, text, years};
use super::fields::{CAUTIONS, SHOP, VEHICLES, WORDS};
use super::inspect::{entry_path, inspect, inspect_record};
use super::kind::is_id;
use super::settings::{HazardClass, Shop, Stakes, Term};
use super::shape::LIKELIHOOD_WORDS;
use super::text_forms::web_address;
use super::vehicles::{Line, OptionValue, VehicleOption, Vehicles};
use super::written::{Node, Value, read_yaml};
use crate::diagnostic::{FileId, Mark, MarkId, Span, Spanned};
use crate::source::TextFile;

/// Reads a settings file into its tree. `None` if there is no reading it, or nothing in it.
fn read(file: FileId, source: &TextFile, marks: &mut Vec<Mark>) -> Option<Node> {
    let node = read_yaml(&source.text, file, 0..source.text.len(), marks)?;
    (!matches!(node.value, Value::Nothing)).then_some(node)
}

/// The shop's settings; defaults stand in for what cannot be read.
pub(crate) fn read_shop(file: FileId, source: &TextFile, marks: &mut Vec<Mark>) -> Shop {
    let Some(node) = read(file, source, marks) else {
        if source.readable && source.text.trim().is_empty() {
            let empty = Node { span: Span::start_of(file), value: Value::Map(Vec::new()) };
            inspect_record(&empty, SHOP.iter(), empty.span, marks);
        }
        return Shop::default();
    };
    inspect_record(&node, SHOP.iter(), Span::start_of(file), marks);
    let usual = Shop::default();
    let words = |name, usual: Vec<String>| {
        let found: Vec<String> = list(node.get(name)).into_iter().map(|word| word.value).collect();
        if found.is_empty() { usual } else { found }
    };
    let count = |name, usual: f64| numeral(node.get(name)).unwrap_or(usual).clamp(1.0, 36500.0);
    let address = text(node.get("address")).filter(|address| web_address(address));
    Shop {
        name: text(node.get("name")).unwrap_or_default(),
        languages: words("languages", usual.languages),
        units: words("units", usual.units),
        address: address.map(|address| format!("{}/", address.trim_end_matches('/'))),
        review_every: count("review_every", f64::from(usual.review_every)) as i32,
        reading_level: numeral(node.get("reading_level")).unwrap_or(usual.reading_level),
        local_rules: text(node.get("local_rules")).unwrap_or(usual.local_rules),
        stakes: read_stakes(node.get("stakes")),
        max_questions: count("max_questions", usual.max_questions as f64) as usize,
        other: numeral(node.get("other")).filter(|other| *other > 0.0).unwrap_or(usual.other),
        likelihoods: read_likelihoods(node.get("likelihoods")),
    }
}

fn read_stakes(node: Option<&Node>) -> Stakes {
    let usual = Stakes::default();
    let stake = |name, usual| numeral(node.and_then(|node| node.get(name))).filter(|m| *m >= 0.0).unwrap_or(usual);
    Stakes {
        needless_visit: stake("needless_visit", usual.needless_visit),
        wrong_explanation: stake("wrong_explanation", usual.wrong_explanation),
        missed_fault: stake("missed_fault", usual.missed_fault),
        missed_care: stake("missed_care", usual.missed_care),
        missed_stop: stake("missed_stop", usual.missed_stop),
        drove_in: stake("drove_in", usual.drove_in),
        needless_recovery: stake("needless_recovery", usual.needless_recovery),
    }
}

fn read_likelihoods(node: Option<&Node>) -> Vec<(&'static str, f64)> {
    let chance = |word| numeral(node.and_then(|node| node.get(word))).filter(|chance| (0.0..=1.0).contains(chance));
    LIKELIHOOD_WORDS.iter().map(|(word, usual)| (*word, chance(word).unwrap_or(*usual))).collect()
}

/// The vehicle lines, by id, and whether something about them has a mark.
pub(crate) fn read_vehicles(file: FileId, source: &TextFile, marks: &mut Vec<Mark>) -> (Vehicles, bool) {
    let first = marks.len();
    let Some(node) = read(file, source, marks) else {
        if source.readable && marks.len() == first {
            let about = "The vehicle lines by id";
            let mark = Mark::new(MarkId::MissingField, Span::start_of(file));
            marks.push(mark.with("field", "lines").with("about", about));
        }
        return (Vehicles::default(), true);
    };
    inspect_record(&node, VEHICLES.iter(), Span::start_of(file), marks);
    if let Some((id, _)) = pairs(node.get("lines")).get(LINES_LIMIT) {
        marks.push(beyond(id, LINES_LIMIT, "vehicle lines"));
    }
    let rows = pairs(node.get("lines")).iter().take(LINES_LIMIT).filter(|(id, _)| is_id(&id.value));
    let mut lines: Vec<Line> = rows.filter_map(|(id, node)| read_line(id, node, marks)).collect();
    lines.sort_by(|a, b| a.id.cmp(&b.id));
    (Vehicles { lines }, marks.len() > first)
}

/// More vehicle lines than this are no shop's: each has a page, and every page knows them all.
const LINES_LIMIT: usize = 1000;

/// More options than this no line has, and no option more values: what a vehicle fits is asked option by option, and
/// every set of vehicles knows the values of each option that it asks for.
const OPTIONS_LIMIT: usize = 100;
const VALUES_LIMIT: usize = 200;

fn beyond(found: &Spanned<String>, limit: usize, what: &str) -> Mark {
    let mark = Mark::new(MarkId::BadValue, found.span).with("found", found.value.clone());
    mark.with("expected", format!("at most {limit} {what}"))
}

/// More model years than this in one line are taken for a slip.
const YEARS_LIMIT: u16 = 100;

fn read_line(id: &Spanned<String>, node: &Node, marks: &mut Vec<Mark>) -> Option<Line> {
    let node_of_years = node.get("years")?;
    let runs = years(node_of_years);
    let closed = |run: &Spanned<super::YearRange>| Some((run.value.first?, run.value.last?));
    let span = match runs.as_slice() {
        [] => return None,
        [run] => closed(run).filter(|(first, last)| last - first < YEARS_LIMIT),
        _ => None,
    };
    let Some((first_year, last_year)) = span else {
        let found = node_of_years.scalar().unwrap_or("a list").to_owned();
        let mark = Mark::new(MarkId::BadValue, node_of_years.span).with("found", found);
        marks.push(mark.with("expected", "one run of at most 100 years with both ends, such as 2016-2024"));
        return None;
    };
    let options = read_options(node, marks);
    let name = text(node.get("name")).unwrap_or_else(|| id.value.clone());
    Some(Line { id: id.value.clone(), name, first_year, last_year, options, span: id.span })
}

fn read_options(line: &Node, marks: &mut Vec<Mark>) -> Vec<VehicleOption> {
    let options: Vec<_> = pairs(line.get("options")).iter().filter(|(option, _)| is_id(&option.value)).collect();
    if let Some((id, _)) = options.get(OPTIONS_LIMIT) {
        marks.push(beyond(id, OPTIONS_LIMIT, "options of a line"));
    }
    let mut known = Vec::new();
    for (option, values) in options.into_iter().take(OPTIONS_LIMIT) {
        if matches!(option.value.as_str(), "line" | "years") {
            let mark = Mark::new(MarkId::BadValue, option.span).with("found", option.value.clone());
            marks.push(mark.with("expected", "another name: `fits` has a field of that name"));
        } else {
            let (id, values) = (option.value.clone(), option_values(values, marks));
            // An option without values has its mark; no vehicle could have one.
            known.extend((!values.is_empty()).then_some(VehicleOption { id, values }));
        }
    }
    known
}

fn option_values(node: &Node, marks: &mut Vec<Mark>) -> Vec<OptionValue> {
    let values: Vec<(Spanned<String>, Option<String>)> = match &node.value {
        Value::Map(words) => words.iter().map(|(id, words)| (id.clone(), text(Some(words)))).collect(),
        _ => list(Some(node)).into_iter().map(|id| (id, None)).collect(),
    };
    if let Some((id, _)) = values.get(VALUES_LIMIT) {
        marks.push(beyond(id, VALUES_LIMIT, "values of an option"));
    }
    values.into_iter().take(VALUES_LIMIT).map(|(id, words)| OptionValue { id: id.value, words }).collect()
}

/// Trade terms, in the order of the alphabet.
pub(crate) fn read_words(file: FileId, source: &TextFile, marks: &mut Vec<Mark>) -> Vec<Term> {
    let Some(node) = read(file, source, marks) else { return Vec::new() };
    inspect(&node, &WORDS, Span::start_of(file), marks);
    let mut terms: Vec<Term> = pairs(Some(&node)).iter().map(|(term, node)| read_term(term, node)).collect();
    terms.sort_by_key(|term| (term.term.value.to_lowercase(), term.term.span));
    terms
}

fn read_term(term: &Spanned<String>, node: &Node) -> Term {
    let see = node.get("see").map(Node::elements).unwrap_or_default().iter().filter_map(spanned);
    let path = |see: Spanned<String>| {
        let (kind, id) = entry_path(&see.value)?;
        Some(Spanned::new((kind, id.to_owned()), see.span))
    };
    Term {
        term: term.clone(),
        means: text(node.get("means")).unwrap_or_default(),
        heard_as: list(node.get("heard_as")).into_iter().map(|words| words.value).collect(),
        see: see.filter_map(path).collect(),
    }
}

/// The shop's own words for hazard classes, and its added classes.
pub(crate) fn read_cautions(file: FileId, source: &TextFile, marks: &mut Vec<Mark>) -> Vec<HazardClass> {
    let Some(node) = read(file, source, marks) else { return Vec::new() };
    inspect(&node, &CAUTIONS, Span::start_of(file), marks);
    let rows = pairs(Some(&node)).iter().filter(|(class, _)| is_id(&class.value));
    let class = |(class, node): &(Spanned<String>, Node)| HazardClass {
        id: class.value.clone(),
        signal: text(node.get("signal")).unwrap_or_else(|| "caution".to_owned()),
        text: text(node.get("text")),
    };
    rows.map(class).collect()
}
