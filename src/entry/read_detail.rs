//! From what was written to what is meant, kind by kind.

use serde::Serialize;
use serde::de::DeserializeOwned;

use super::convert::{
    Context, accounts_for, answers_of_checks, customer_text, fits, list, name, names, numeral, pairs, spanned, text,
};
use super::fields::DEPTHS;
use super::kind::is_id;
use super::model::{
    Answers, Change, Characteristic, Check, Condition, Guide, Hazard, Measurement, Place, Specification, Symptom,
    System, Telling, WrittenFlow, WrittenStep,
};
use super::written::{Node, Value};
use crate::diagnostic::{Span, Spanned};

/// A kind's own fields, read from an inspected tree.
pub(crate) trait Detail: Serialize + DeserializeOwned {
    /// Reads them.
    fn read(node: &Node, context: &mut Context<'_>) -> Self;
}

impl Detail for Symptom {
    fn read(node: &Node, _: &mut Context<'_>) -> Self {
        Self {
            heard_as: list(node.get("heard_as")),
            senses: list(node.get("senses")).into_iter().map(|sense| sense.value).collect(),
            flow: pairs(Some(node))
                .iter()
                .find(|(key, _)| key.value == "flow")
                .and_then(|(key, flow)| read_flow(key.span, flow)),
        }
    }
}

fn read_flow(span: Span, node: &Node) -> Option<WrittenFlow> {
    let steps = pairs(node.get("steps")).iter().filter(|(step, _)| is_id(&step.value));
    Some(WrittenFlow {
        start: name(node.get("start"))?,
        steps: steps.map(|(step, node)| (step.clone(), read_step(node))).collect(),
        span,
    })
}

fn read_step(node: &Node) -> WrittenStep {
    if let Some(verdict) = node.get("verdict").and_then(spanned) {
        let characteristic = name(node.get("characteristic"));
        return WrittenStep::Verdict { verdict, characteristic, leads: names(node.get("leads")) };
    }
    let Some(check) = name(node.get("check")) else { return WrittenStep::Unreadable };
    let edges = pairs(Some(node)).iter().filter(|(key, _)| key.value != "check" && is_id(&key.value));
    let edges = edges.filter_map(|(answer, step)| Some((answer.clone(), name(Some(step))?)));
    WrittenStep::Ask { check, edges: edges.collect() }
}

impl Detail for Condition {
    fn read(node: &Node, context: &mut Context<'_>) -> Self {
        Self {
            hazard: match node.get("hazard").and_then(Node::scalar) {
                Some("do-not-drive") => Hazard::DoNotDrive,
                Some("drive-with-care") => Hazard::DriveWithCare,
                _ => Hazard::None,
            },
            accounts_for: accounts_for(node.get("accounts_for")),
            confirm: answers_of_checks(node.get("confirm")),
            remedy: context.prose(node.get("remedy")),
            ruled_out_by: answers_of_checks(node.get("ruled_out_by")),
            alarm: answers_of_checks(node.get("alarm")),
        }
    }
}

impl Detail for Characteristic {
    fn read(node: &Node, context: &mut Context<'_>) -> Self {
        Self {
            accounts_for: accounts_for(node.get("accounts_for")),
            tell: node.get("tell").map(|tell| read_tell(tell, context)).unwrap_or_default(),
            because: context.prose(node.get("because")),
            only_if: answers_of_checks(node.get("only_if")),
            not_if: answers_of_checks(node.get("not_if")),
            show: context.prose(node.get("show")),
            leave_alone: context.prose(node.get("leave_alone")),
        }
    }
}

fn read_tell(node: &Node, context: &mut Context<'_>) -> Vec<(Option<Spanned<String>>, Telling)> {
    if DEPTHS.iter().any(|depth| node.get(depth.name).is_some()) {
        return vec![(None, read_telling(node, context))];
    }
    let languages = pairs(Some(node)).iter();
    languages.map(|(language, node)| (Some(language.clone()), read_telling(node, context))).collect()
}

fn read_telling(node: &Node, context: &mut Context<'_>) -> Telling {
    let mut depth = |name| context.prose(node.get(name)).unwrap_or_default();
    Telling { brief: depth("brief"), plain: depth("plain"), full: depth("full") }
}

impl Detail for Check {
    fn read(node: &Node, _: &mut Context<'_>) -> Self {
        let hazards = names(node.get("hazards")).into_iter().filter(|class| class.value != "none");
        Self {
            ask: node.get("ask").map(customer_text).unwrap_or_default(),
            place: match node.get("where").and_then(Node::scalar) {
                Some("walk-round") => Place::WalkRound,
                Some("road-test") => Place::RoadTest,
                Some("bay") => Place::Bay,
                _ => Place::Counter,
            },
            minutes: numeral(node.get("minutes")).unwrap_or(0.0),
            hazards: hazards.collect(),
            tools: list(node.get("tools")).into_iter().map(|tool| tool.value).collect(),
            answers: read_answers(node),
            unsure: numeral(node.get("unsure")),
        }
    }
}

fn read_answers(node: &Node) -> Answers {
    if let Some(measures) = node.get("measures").filter(|measures| measures.map().is_some()) {
        return Answers::Measured(read_measurement(node, measures));
    }
    match node.get("answers").filter(|answers| answers.map().is_some()) {
        Some(answers) => {
            let rows = pairs(Some(answers)).iter().filter(|(answer, _)| is_id(&answer.value));
            Answers::Worded(rows.map(|(answer, words)| (answer.clone(), customer_text(words))).collect())
        }
        None => Answers::Missing,
    }
}

fn read_measurement(node: &Node, measures: &Node) -> Measurement {
    let value = |name| measures.get(name).and_then(spanned).unwrap_or_default();
    let bands = pairs(measures.get("bands").or_else(|| node.get("bands"))).iter();
    let bands = bands.filter(|(answer, _)| is_id(&answer.value));
    Measurement {
        quantity: value("quantity").value,
        unit: value("unit"),
        from: value("from"),
        to: value("to"),
        bands: bands.filter_map(|(answer, interval)| Some((answer.clone(), spanned(interval)?))).collect(),
    }
}

impl Detail for System {
    fn read(node: &Node, context: &mut Context<'_>) -> Self {
        let specifications = pairs(node.get("specifications")).iter().filter(|(name, _)| is_id(&name.value));
        let changes = node.get("changes").map(Node::elements).unwrap_or_default();
        Self {
            specifications: specifications.map(|(name, node)| read_specification(name, node)).collect(),
            changes: changes.iter().filter_map(|node| read_change(node, context)).collect(),
        }
    }
}

fn read_specification(name: &Spanned<String>, node: &Node) -> Specification {
    let values = match &node.value {
        Value::List(rows) => {
            let value = |row: &Node| Some((Some(fits(row.get("fits"))?), spanned(row.get("value")?)?));
            rows.iter().filter_map(value).collect()
        }
        _ => spanned(node).map(|value| (None, value)).into_iter().collect(),
    };
    Specification { name: name.clone(), values }
}

fn read_change(node: &Node, context: &mut Context<'_>) -> Option<Change> {
    let from = text(node.get("from"))?.parse().ok()?;
    Some(Change { from, line: name(node.get("line"))?, text: context.prose(node.get("text"))? })
}

impl Detail for Guide {
    fn read(_: &Node, _: &mut Context<'_>) -> Self {
        Self
    }
}
