//! What an editor would remark: review dates, sources, reading level, translations.

use jiff::ToSpan;
use jiff::civil::Date;
use rayon::prelude::*;

use super::reading::reading_grade;
use super::{EntryRef, Knowledge, at_title};
use crate::diagnostic::{Mark, MarkId, Span, Spanned};
use crate::entry::{self, Entries, Kind, Place, Prose};
use crate::source::Memo;

/// Fills in the days on which entries are due for review, and marks what wants an editor.
pub(super) fn inspect(
    knowledge: &mut Knowledge,
    entries: &Entries,
    (today, memo): (Option<Date>, &Memo),
    marks: &mut Vec<Mark>,
) {
    set_due(knowledge);
    for kind in Kind::ALL {
        let heads = entries.heads(kind).into_iter().enumerate();
        for (at, head) in heads.filter(|(_, head)| !head.faulty.whole) {
            let due = knowledge.head(EntryRef::new(kind, at)).and_then(|head| head.due);
            let has_faulty_day = ["created", "modified", "review_by"].iter().any(|field| head.faulty.touches(field));
            let days = today.zip(due).filter(|_| !has_faulty_day);
            marks.extend(days.and_then(|(today, due)| overdue(head, due, today)));
            marks.extend(missing_source(head));
        }
    }
    let readers = Readers { shop: &entries.shop, memo };
    let of_telling = entries.characteristics.par_iter().flat_map_iter(|entry| inspect_telling(entry, &readers));
    let of_questions = entries.checks.par_iter().flat_map_iter(|entry| inspect_question(entry, &readers));
    marks.extend(of_telling.chain(of_questions).collect::<Vec<Mark>>());
}

/// Without a day of its own, an entry is due the shop's interval after it last changed.
fn set_due(knowledge: &mut Knowledge) {
    let every = i64::from(knowledge.shop.review_every);
    let all: Vec<_> = knowledge.entries().collect();
    for entry in all {
        let Some(head) = knowledge.head_mut(entry) else { continue };
        let changed = head.modified.or(head.created);
        let by_interval = changed.and_then(|day| day.checked_add(every.days()).ok());
        head.due = head.due.or(by_interval);
    }
}

fn overdue(head: &entry::Head, due: Date, today: Date) -> Option<Mark> {
    let span = head.review_by.as_ref().map_or(head.title.span, |date| date.span);
    (due < today).then(|| Mark::new(MarkId::ReviewOverdue, span).with("found", due.to_string()))
}

/// Shop experience, common practice and a demonstration need no source; what claims to be published does.
fn missing_source(head: &entry::Head) -> Option<Mark> {
    let needs_none = matches!(head.basis.as_deref(), Some("shop-experience" | "common-practice" | "demo"));
    let is_silent = head.sources.is_empty() && !head.faulty.touches("source") && !head.faulty.touches("basis");
    (is_silent && !needs_none).then(|| at_title(MarkId::MissingSource, head))
}

/// Who a text is for, and what is known of such texts.
struct Readers<'r> {
    shop: &'r entry::Shop,
    memo: &'r Memo,
}

fn inspect_telling(entry: &entry::Entry<entry::Characteristic>, readers: &Readers<'_>) -> Vec<Mark> {
    let shop = readers.shop;
    let tell = &entry.detail.tell;
    let mut marks = Vec::new();
    if tell.is_empty() || entry.head.faulty.touches("tell") {
        return marks;
    }
    let given: Vec<&str> = tell.iter().map(|(language, _)| language_of(language.as_ref(), shop)).collect();
    let span = tell.first().map_or(entry.head.title.span, |(_, telling)| telling.brief.origin.whole());
    let at = tell.first().and_then(|(language, _)| language.as_ref()).map_or(span, |language| language.span);
    marks.extend(missing_translations(&given, "tell", at, shop));
    for (language, telling) in tell {
        let depths = [("brief", &telling.brief), ("plain", &telling.plain), ("full", &telling.full)];
        for (depth, text) in depths.into_iter().filter(|_| is_english(language_of(language.as_ref(), shop))) {
            let grade = readers.memo.value("grade of prose", &text.text, || reading_grade(&plain(text)));
            marks.extend(hard_to_read(grade, text.origin.whole(), depth, shop));
        }
    }
    marks
}

fn inspect_question(entry: &entry::Entry<entry::Check>, readers: &Readers<'_>) -> Vec<Mark> {
    let shop = readers.shop;
    let ask = &entry.detail.ask;
    let mut marks: Vec<Mark> = title_as_question(entry).into_iter().collect();
    let given: Vec<&str> = ask.iter().map(|(language, _)| language_of(language.as_ref(), shop)).collect();
    let by_language = ask.iter().find_map(|(language, _)| language.as_ref());
    // A question in one language serves the advisor; one that is given by language wants all of them.
    if let Some(first) = by_language.filter(|_| !entry.head.faulty.touches("ask")) {
        marks.extend(missing_translations(&given, "ask", first.span, shop));
    }
    for (_, text) in ask.iter().filter(|(language, _)| is_english(language_of(language.as_ref(), shop))) {
        let grade = readers.memo.value("grade", &text.value, || reading_grade(&text.value));
        marks.extend(hard_to_read(grade, text.span, "ask", shop));
    }
    marks
}

/// A flow asks the title of a check that has no question. At the counter the question is missing; in the bay none is asked.
fn title_as_question(entry: &entry::Entry<entry::Check>) -> Option<Mark> {
    let is_asked = matches!(entry.detail.place, Place::WalkRound | Place::RoadTest);
    let is_unclear = ["ask", "where", "title"].iter().any(|field| entry.head.faulty.touches(field));
    let is_silent = is_asked && !is_unclear && entry.detail.ask.is_empty();
    is_silent.then(|| at_title(MarkId::TitleAsQuestion, &entry.head))
}

fn language_of<'a>(language: Option<&'a Spanned<String>>, shop: &'a entry::Shop) -> &'a str {
    let usual = || shop.languages.first().map_or("en", String::as_str);
    language.map_or_else(usual, |language| language.value.as_str())
}

fn is_english(language: &str) -> bool {
    language == "en" || language.starts_with("en-")
}

fn missing_translations(given: &[&str], field: &'static str, span: Span, shop: &entry::Shop) -> Option<Mark> {
    let missing = shop.languages.iter().map(String::as_str).filter(|language| !given.contains(language));
    let missing: Vec<&str> = missing.collect();
    let mark = || Mark::new(MarkId::MissingTranslation, span).with("field", field).with("missing", missing.join(", "));
    (!missing.is_empty()).then(mark)
}

fn hard_to_read(grade: Option<f64>, span: Span, field: &'static str, shop: &entry::Shop) -> Option<Mark> {
    let grade = grade.filter(|grade| *grade > shop.reading_level)?;
    let mark = Mark::new(MarkId::HardToRead, span).with("field", field).with("found", format!("{grade:.1}"));
    Some(mark.with("expected", format!("{}", shop.reading_level)))
}

/// The words of a text without its marks of Markdown, so that addresses of links are not read as words.
fn plain(prose: &Prose) -> String {
    let mut words = String::new();
    for event in pulldown_cmark::Parser::new_ext(&prose.text, entry::MARKDOWN) {
        match event {
            pulldown_cmark::Event::Text(text) | pulldown_cmark::Event::Code(text) => words.push_str(&text),
            pulldown_cmark::Event::SoftBreak | pulldown_cmark::Event::HardBreak => words.push(' '),
            pulldown_cmark::Event::End(pulldown_cmark::TagEnd::Paragraph | pulldown_cmark::TagEnd::Item) => {
                words.push_str(" \n");
            }
            _ => {}
        }
    }
    words
}
