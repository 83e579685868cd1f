//! The fields of every kind of entry: one row each.

use super::Kind;
use super::shape::{Bounds, Field, Shape};

const fn required(name: &'static str, shape: Shape, about: &'static str, example: &'static str) -> Field {
    Field { name, required: true, proposed: true, shape, about, example }
}

const fn optional(name: &'static str, shape: Shape, about: &'static str, example: &'static str) -> Field {
    Field { name, required: false, proposed: false, shape, about, example }
}

/// Optional, but a draft fills it in.
const fn proposed(name: &'static str, shape: Shape, about: &'static str, example: &'static str) -> Field {
    Field { name, required: false, proposed: true, shape, about, example }
}

/// Fields that every kind has.
pub(crate) const COMMON: &[Field] = &[
    required("title", Shape::Text, "What readers see and search for", TITLE_EXAMPLE),
    optional("systems", Shape::Some(&Shape::Id(Kind::System)), "Ids of the systems that it belongs to", "[a-system]"),
    optional(
        "fits",
        Shape::Some(&Shape::FitBox),
        "The vehicles that it is about; left out, every vehicle",
        "[{line: a-line, years: 2019-}]",
    ),
    optional(
        "source",
        Shape::Some(&Shape::TextOr(SOURCE)),
        "Where the knowledge comes from",
        "[{name: A handbook, locator: chapter 3}]",
    ),
    proposed("basis", Shape::Choice(BASES), "How well it is founded", "shop-experience"),
    proposed("created", Shape::Date, "The day it was first written", "{today}"),
    proposed("modified", Shape::Date, "The day its meaning last changed", "{today}"),
    proposed("review_by", Shape::Date, "The day by which somebody reads it again", "{next-year}"),
    optional("author", Shape::Text, "Who wrote it, as a role", "lead technician"),
    optional(
        "replaces",
        Shape::Some(&Shape::SameKind),
        "Ids of the entries of this kind that it replaces",
        "[an-older-id]",
    ),
    optional("codes", Shape::Some(&Shape::Code), "Trouble codes as in SAE J2012", "[C0035]"),
];

/// What a draft calls its entry.
pub(crate) const TITLE_EXAMPLE: &str = "A short name in plain words";

/// How well an entry is founded.
pub(crate) const BASES: &[&str] = &["published", "common-practice", "shop-experience", "demo"];

const SOURCE: &[Field] = &[
    required("name", Shape::Text, "What it is called", "A handbook"),
    optional("locator", Shape::Text, "Where in it", "chapter 3"),
    optional("url", Shape::Url, "Its web address", "https://example.org/"),
];

const SYMPTOM: &[Field] = &[
    required("heard_as", Shape::Some(&Shape::Text), "What customers say, in their words", "[it makes a noise]"),
    required("senses", Shape::Some(&Shape::Choice(SENSES)), "How it is noticed", "[hear]"),
    optional("flow", Shape::Record(FLOW), "A decision flow by hand; left out, it is compiled from the evidence", ""),
];

/// How a symptom is noticed.
pub(crate) const SENSES: &[&str] = &["hear", "feel", "see", "smell", "lamp", "performs"];

const FLOW: &[Field] = &[
    required("start", Shape::Name, "The first step", "first"),
    required("steps", Shape::Map(&Shape::Name, &Shape::Step), "The steps by name", STEPS_EXAMPLE),
];

const STEPS_EXAMPLE: &str =
    "{first: {check: a-check, yes: send, not-sure: send, no: send}, send: {verdict: book-in, leads: [a-condition]}}";

/// Fields of a flow's step that gives a verdict.
pub(crate) const VERDICT_STEP: &[Field] = &[
    required("verdict", Shape::Choice(VERDICTS), "What is decided", "book-in"),
    optional("characteristic", Shape::Id(Kind::Characteristic), "What is explained, for `explain`", "a-characteristic"),
    optional(
        "leads",
        Shape::Some(&Shape::Id(Kind::Condition)),
        "Conditions to look for, the likeliest first",
        "[a-condition]",
    ),
];

/// What a flow may decide.
pub(crate) const VERDICTS: &[&str] = &["explain", "book-in", "do-not-drive"];

const CONDITION: &[Field] = &[
    required("hazard", Shape::Choice(HAZARDS), "Whether the vehicle may be driven with it", "do-not-drive"),
    required("accounts_for", Shape::List(&Shape::Record(ACCOUNTS_FOR)), "The symptoms that it can cause", "[]"),
    optional(
        "confirm",
        ANSWERS_OF_CHECKS,
        "Bay checks that settle it, each with the answer that confirms",
        "{a-check: an-answer}",
    ),
    optional("remedy", Shape::Markdown, "What mends it", "What mends it."),
    optional("ruled_out_by", ANSWERS_OF_CHECKS, "Answers each of which excludes it", "{a-check: an-answer}"),
    optional("alarm", ANSWERS_OF_CHECKS, "Answers that are alarming by themselves", "{a-check: an-answer}"),
];

/// Whether a vehicle may be driven with a condition.
pub(crate) const HAZARDS: &[&str] = &["do-not-drive", "drive-with-care", "none"];

const ANSWERS_OF_CHECKS: Shape = Shape::Map(&Shape::Id(Kind::Check), &Shape::Some(&Shape::Name));

const ACCOUNTS_FOR: &[Field] = &[
    required("symptom", Shape::Id(Kind::Symptom), "The symptom's id", "a-symptom"),
    required("prior", Shape::Number(Bounds::POSITIVE), "How often it is the cause, next to the other causes", "1"),
    optional(
        "fits",
        Shape::Some(&Shape::FitBox),
        "Narrower than the entry's own vehicles",
        "[{line: a-line, years: 2019-}]",
    ),
    optional(
        "evidence",
        Shape::Map(&Shape::Id(Kind::Check), &Shape::Map(&Shape::Name, &Shape::Likelihood)),
        "By check, how likely each answer is under this cause",
        "{a-check: {yes: usually, no: rarely}}",
    ),
];

const CHARACTERISTIC: &[Field] = &[
    required("accounts_for", Shape::List(&Shape::Record(ACCOUNTS_FOR)), "The symptoms that it can cause", "[]"),
    required("tell", Shape::Tell, "What the customer is told, at three depths", ""),
    required("because", Shape::Markdown, "Why the vehicle does it", "The engineering reason."),
    optional(
        "only_if",
        ANSWERS_OF_CHECKS,
        "Answers without which it must not be called normal",
        "{a-check: an-answer}",
    ),
    optional("not_if", ANSWERS_OF_CHECKS, "Answers with which it must not be called normal", "{a-check: an-answer}"),
    optional("show", Shape::Markdown, "How to let the customer hear or see it", "How to show it."),
    optional("leave_alone", Shape::Markdown, "What must not be repaired, and why", "What to leave as it is."),
];

/// The depths of an explanation.
pub(crate) const DEPTHS: &[Field] = &[
    required("brief", Shape::Markdown, "One sentence", "One sentence."),
    required("plain", Shape::Markdown, "A few sentences", "A few short sentences."),
    required("full", Shape::Markdown, "With the reason", "The whole story in plain words."),
];

const CHECK: &[Field] = &[
    proposed("ask", Shape::Customer, "The question in plain words; required at the counter", "Does it ...?"),
    required("where", Shape::Choice(PLACES), "Where it is done", "counter"),
    required("minutes", Shape::Number(Bounds::NOT_NEGATIVE), "How long it takes", "1"),
    optional(
        "hazards",
        Shape::Some(&Shape::Name),
        "Hazard classes of the work, or `none`; required unless at the counter",
        "none",
    ),
    optional("tools", Shape::Some(&Shape::Text), "What is needed for it", "[torch]"),
    proposed(
        "answers",
        Shape::Map(&Shape::Name, &Shape::Customer),
        "Answer ids with their wording",
        "{yes: \"Yes\", no: \"No\"}",
    ),
    optional("measures", Shape::Record(MEASURES), "What is measured, instead of answers", ""),
    optional(
        "bands",
        Shape::Map(&Shape::Name, &Shape::Text),
        "Answer ids with the interval of each, if `measures` does not hold them",
        BANDS_EXAMPLE,
    ),
    optional("unsure", Shape::Number(Bounds::between(0.0, 0.5)), "How often nobody can tell; 0.1, in the bay 0", "0.1"),
];

const BANDS_EXAMPLE: &str = "{worn: \"< 3\", good: \">= 3\"}";

/// Where a check is done.
pub(crate) const PLACES: &[&str] = &["counter", "walk-round", "road-test", "bay"];

const MEASURES: &[Field] = &[
    required("quantity", Shape::Text, "What is measured", "tread depth"),
    required("unit", Shape::Text, "The unit of the bands", "mm"),
    required("from", Shape::Number(Bounds::ANY), "The smallest reading that can occur", "0"),
    required("to", Shape::Number(Bounds::ANY), "The largest reading that can occur", "9"),
    optional("bands", Shape::Map(&Shape::Name, &Shape::Text), "Answer ids with the interval of each", BANDS_EXAMPLE),
];

const SYSTEM: &[Field] = &[
    optional(
        "specifications",
        Shape::Map(&Shape::Name, &Shape::PerFit(&Shape::Text, SPECIFICATION_VALUE)),
        "Values with their units, by name",
        "{tread-minimum: 3 mm}",
    ),
    optional("changes", Shape::List(&Shape::Record(CHANGE)), "What differs by model year", "[]"),
];

const SPECIFICATION_VALUE: &[Field] = &[
    required(
        "fits",
        Shape::Some(&Shape::FitBox),
        "The vehicles that the value is for",
        "[{line: a-line, years: 2019-}]",
    ),
    required("value", Shape::Text, "The value with its unit", "3 mm"),
];

const CHANGE: &[Field] = &[
    required("from", Shape::Number(Bounds::whole(1900.0, 2200.0)), "The first model year", "2020"),
    required("line", Shape::LineId, "The vehicle line", "a-line"),
    required("text", Shape::Markdown, "What changed", "What changed."),
];

/// The fields that only this kind has.
pub(crate) fn own_fields(kind: Kind) -> &'static [Field] {
    match kind {
        Kind::Symptom => SYMPTOM,
        Kind::Condition => CONDITION,
        Kind::Characteristic => CHARACTERISTIC,
        Kind::Check => CHECK,
        Kind::System => SYSTEM,
        Kind::Guide => &[],
    }
}

/// All fields of a kind.
pub(crate) fn fields(kind: Kind) -> impl Iterator<Item = &'static Field> + Clone {
    COMMON.iter().chain(own_fields(kind))
}

/// Names of the fields of a kind that refer to other entries.
pub(crate) fn referring(kind: Kind) -> impl Iterator<Item = &'static str> {
    fields(kind).filter(|field| field.shape.refers()).map(|field| field.name)
}

const STAKES: &[Field] = &[
    optional("needless_visit", MINUTES, "Minutes lost when a healthy vehicle is booked in", "60"),
    optional("wrong_explanation", MINUTES, "Minutes lost when another characteristic is explained", "20"),
    optional("missed_fault", MINUTES, "Loss when a harmless fault is explained away", "240"),
    optional("missed_care", MINUTES, "Loss when a fault to drive with care with is explained away", "2000"),
    optional("missed_stop", MINUTES, "Loss when a fault not to drive with is explained away", "20000"),
    optional("drove_in", MINUTES, "Loss when a vehicle that should not be driven is told to come", "2000"),
    optional("needless_recovery", MINUTES, "Loss when a vehicle that could be driven is fetched", "180"),
];

const MINUTES: Shape = Shape::Number(Bounds::NOT_NEGATIVE);
const CHANCE: Shape = Shape::Number(Bounds::between(0.0, 1.0));

const LIKELIHOODS: &[Field] = &[
    optional("always", CHANCE, "The chance that the word stands for; 0.98 if left out", ""),
    optional("usually", CHANCE, "The chance that the word stands for; 0.80 if left out", ""),
    optional("often", CHANCE, "The chance that the word stands for; 0.65 if left out", ""),
    optional("sometimes", CHANCE, "The chance that the word stands for; 0.30 if left out", ""),
    optional("rarely", CHANCE, "The chance that the word stands for; 0.10 if left out", ""),
    optional("never", CHANCE, "The chance that the word stands for; 0.02 if left out", ""),
];

/// Fields of `shop.yaml`.
pub(crate) const SHOP: &[Field] = &[
    required("name", Shape::Text, "The workshop's name", ""),
    required("languages", Shape::Some(&Shape::Language), "Languages, the first is the default", "[en]"),
    optional("units", Shape::Some(&Shape::Choice(&["metric", "us"])), "Unit systems, first and second", ""),
    optional("address", Shape::Url, "The address of the published site", ""),
    optional("review_every", Shape::Number(Bounds::whole(1.0, 36500.0)), "Days until an entry is read again", ""),
    optional("reading_level", Shape::Number(Bounds::between(1.0, 20.0)), "School grade for customer texts", ""),
    optional("local_rules", Shape::Text, "The standing notice of local rules", ""),
    optional("stakes", Shape::Record(STAKES), "What verdicts cost when they are wrong", ""),
    optional("max_questions", Shape::Number(Bounds::whole(1.0, 20.0)), "Questions on any path of a flow", ""),
    optional("other", Shape::Number(Bounds::POSITIVE), "Weight of a cause that nobody listed", ""),
    optional("likelihoods", Shape::Record(LIKELIHOODS), "Numbers for the words of evidence", ""),
];

const LINE: &[Field] = &[
    required("name", Shape::Text, "The name people say", ""),
    required("years", Shape::Years, "Model years, such as 2016-2024", ""),
    optional("options", Shape::Map(&Shape::Name, &Shape::OptionValues), "What its vehicles differ in", ""),
];

/// Fields of `vehicles.yaml`.
pub(crate) const VEHICLES: &[Field] =
    &[required("lines", Shape::Map(&Shape::Name, &Shape::Record(LINE)), "The vehicle lines by id", "")];

const WORD: &[Field] = &[
    required("means", Shape::Text, "What the trade means by it", ""),
    optional("heard_as", Shape::Some(&Shape::Text), "What customers say for it", ""),
    optional("see", Shape::Some(&Shape::EntryPath), "Entries that it leads to", ""),
];

/// `words.yaml`: terms in any form, each with its row.
pub(crate) const WORDS: Shape = Shape::Map(&Shape::Text, &Shape::Record(WORD));

const CAUTION: &[Field] = &[
    required("signal", Shape::Choice(SIGNALS), "The signal word", ""),
    required("text", Shape::Text, "What to beware of, and how", ""),
];

/// Signal words, as in ANSI Z535.6.
pub(crate) const SIGNALS: &[&str] = &["danger", "warning", "caution", "notice"];

/// `cautions.yaml`: hazard classes with the shop's own words.
pub(crate) const CAUTIONS: Shape = Shape::Map(&Shape::Name, &Shape::Record(CAUTION));

#[cfg(test)]
mod tests {
    use super::*;

    fn check(kind: Kind, expected: &[&str]) {
        assert_eq!(referring(kind).collect::<Vec<_>>(), expected, "of a {}", kind.word());
    }

    #[test]
    fn fields_that_refer_follow_from_their_shapes() {
        check(Kind::Symptom, &["systems", "replaces", "flow"]);
        check(Kind::Condition, &["systems", "replaces", "accounts_for", "confirm", "ruled_out_by", "alarm"]);
        check(Kind::Characteristic, &["systems", "replaces", "accounts_for", "only_if", "not_if"]);
        check(Kind::Check, &["systems", "replaces"]);
        check(Kind::System, &["systems", "replaces"]);
        check(Kind::Guide, &["systems", "replaces"]);
    }
}
