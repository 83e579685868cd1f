//! From what was written to what is meant, for values that recur in several kinds.
//!
//! The tree has been inspected: a value that does not have its shape has its mark, and is passed over here.

use super::folded::origin;
use super::inspect::number;
use super::kind::is_id;
use super::model::{AccountsFor, AnswersOfChecks, CustomerText, FitBox, Likelihood, Source};
use super::prose::Prose;
use super::scan::scan;
use super::shape::LIKELIHOOD_WORDS;
use super::written::{Node, Value};
use super::years::{YearRange, parse_years};
use crate::diagnostic::{Mark, Spanned};

/// What a conversion needs besides the tree: the file, and where marks of its Markdown go.
pub(crate) struct Context<'a> {
    pub(crate) path: &'a str,
    pub(crate) text: &'a str,
    pub(crate) marks: &'a mut Vec<Mark>,
}

impl Context<'_> {
    /// A text in Markdown.
    pub(crate) fn prose(&mut self, node: Option<&Node>) -> Option<Prose> {
        let node = node?;
        let text = node.scalar()?.trim_end().to_owned();
        let origin = origin(self.text, node.span, &text);
        Some(scan(text, origin, self.path, self.marks))
    }
}

pub(crate) fn text(node: Option<&Node>) -> Option<String> {
    node.and_then(Node::scalar).map(|text| text.trim_end().to_owned()).filter(|text| !text.is_empty())
}

pub(crate) fn spanned(node: &Node) -> Option<Spanned<String>> {
    node.scalar().map(|text| Spanned::new(text.trim_end().to_owned(), node.span))
}

pub(crate) fn list(node: Option<&Node>) -> Vec<Spanned<String>> {
    node.map(Node::elements).unwrap_or_default().iter().filter_map(spanned).collect()
}

/// Names that have the form of an id; others have their mark.
pub(crate) fn names(node: Option<&Node>) -> Vec<Spanned<String>> {
    list(node).into_iter().filter(|name| is_id(&name.value)).collect()
}

pub(crate) fn name(node: Option<&Node>) -> Option<Spanned<String>> {
    node.and_then(spanned).filter(|name| is_id(&name.value))
}

pub(crate) fn numeral(node: Option<&Node>) -> Option<f64> {
    node.and_then(Node::scalar).and_then(number)
}

pub(crate) fn pairs(node: Option<&Node>) -> &[(Spanned<String>, Node)] {
    node.and_then(Node::map).unwrap_or_default()
}

pub(crate) fn fits(node: Option<&Node>) -> Option<Vec<FitBox>> {
    let boxes: Vec<FitBox> = node?.elements().iter().filter_map(fit_box).collect();
    (!boxes.is_empty()).then_some(boxes)
}

fn fit_box(node: &Node) -> Option<FitBox> {
    let is_option = |key: &str| !matches!(key, "line" | "years");
    let options = pairs(Some(node)).iter().filter(|(key, _)| is_option(&key.value));
    Some(FitBox {
        line: name(node.get("line"))?,
        years: node.get("years").map(years),
        options: options.map(|(key, values)| (key.clone(), names(Some(values)))).collect(),
        span: node.span,
    })
}

/// Years as a number, a text or a list of these.
pub(crate) fn years(node: &Node) -> Vec<Spanned<YearRange>> {
    let texts = node.elements().iter().filter_map(spanned);
    texts
        .flat_map(|text| {
            parse_years(&text.value).unwrap_or_default().into_iter().map(move |range| Spanned::new(range, text.span))
        })
        .collect()
}

pub(crate) fn sources(node: Option<&Node>) -> Vec<Source> {
    let source = |node: &Node| match &node.value {
        Value::Scalar(name) => Some(Source { name: name.trim().to_owned(), ..Source::default() }),
        Value::Map(_) => Some(Source {
            name: text(node.get("name"))?,
            locator: text(node.get("locator")),
            url: text(node.get("url")).filter(|url| super::text_forms::web_address(url)),
        }),
        _ => None,
    };
    node.map(Node::elements).unwrap_or_default().iter().filter_map(source).collect()
}

pub(crate) fn answers_of_checks(node: Option<&Node>) -> AnswersOfChecks {
    let rows = pairs(node).iter().filter(|(check, _)| is_id(&check.value));
    rows.map(|(check, answers)| (check.clone(), names(Some(answers)))).collect()
}

pub(crate) fn customer_text(node: &Node) -> CustomerText {
    match &node.value {
        Value::Map(by_language) => {
            by_language.iter().filter_map(|(language, node)| Some((Some(language.clone()), spanned(node)?))).collect()
        }
        _ => spanned(node).map(|text| (None, text)).into_iter().collect(),
    }
}

pub(crate) fn accounts_for(node: Option<&Node>) -> Vec<AccountsFor> {
    node.map(Node::elements).unwrap_or_default().iter().filter_map(accounts_for_one).collect()
}

fn accounts_for_one(node: &Node) -> Option<AccountsFor> {
    let checks = pairs(node.get("evidence")).iter().filter(|(check, _)| is_id(&check.value));
    Some(AccountsFor {
        symptom: name(node.get("symptom"))?,
        prior: numeral(node.get("prior")).filter(|prior| *prior > 0.0)?,
        fits: fits(node.get("fits")),
        evidence: checks.map(|(check, answers)| (check.clone(), likelihoods(answers))).collect(),
    })
}

fn likelihoods(node: &Node) -> Vec<(Spanned<String>, Likelihood)> {
    let rows = pairs(Some(node)).iter().filter(|(answer, _)| is_id(&answer.value));
    rows.filter_map(|(answer, node)| Some((answer.clone(), likelihood(node.scalar()?)?))).collect()
}

fn likelihood(text: &str) -> Option<Likelihood> {
    let is_word = LIKELIHOOD_WORDS.iter().any(|(word, _)| *word == text);
    let in_range = |number: &f64| (0.0..=1.0).contains(number);
    if is_word {
        Some(Likelihood::Word(text.to_owned()))
    } else {
        number(text).filter(in_range).map(Likelihood::Number)
    }
}
