//! Links each kind's own fields.

use super::fit::Region;
use super::linking::Linking;
use super::model::{
    Answer, Change, Characteristic, Check, Condition, CustomerText, Flow, Guide, Measurement, Specification, Step,
    Symptom, System, Telling, Text,
};
use super::shelf::OfKind;
use crate::diagnostic::{Mark, MarkId};
use crate::entry::{self, Answers, Head, Heading, Place, Prose, WrittenStep, nearest};

/// From what an entry says to what it refers to.
pub(super) trait LinkDetail: OfKind + Sized {
    /// The unlinked form.
    type Meant: Sync;

    /// Links it. `head` is the entry's and `whole` its region.
    fn link(meant: &Self::Meant, head: &Head, whole: &Region, linking: &mut Linking<'_>) -> Self;
}

impl LinkDetail for Symptom {
    type Meant = entry::Symptom;

    fn link(meant: &entry::Symptom, _: &Head, _: &Region, linking: &mut Linking<'_>) -> Self {
        Self {
            heard_as: meant.heard_as.iter().map(|phrase| phrase.value.clone()).collect(),
            senses: meant.senses.clone(),
            flow: meant.flow.as_ref().and_then(|flow| link_flow(flow, linking)),
            candidates: Vec::new(),
        }
    }
}

/// A flow with a reference that leads nowhere is left out: nothing could be proved of it.
fn link_flow(flow: &entry::WrittenFlow, linking: &mut Linking<'_>) -> Option<Flow> {
    let steps: Vec<_> = flow.steps.iter().map(|(name, step)| Some((name.clone(), link_step(step, linking)?))).collect();
    let steps = steps.into_iter().collect::<Option<Vec<_>>>()?;
    Some(Flow { start: flow.start.clone(), steps, span: flow.span })
}

fn link_step(step: &WrittenStep, linking: &mut Linking<'_>) -> Option<Step> {
    match step {
        WrittenStep::Unreadable => None,
        WrittenStep::Ask { check, edges } => {
            Some(Step::Ask { check: linking.refer(check)?, span: check.span, edges: edges.clone() })
        }
        WrittenStep::Verdict { verdict, characteristic, leads } => {
            let explained = characteristic.as_ref().and_then(|name| linking.refer(name));
            let linked: Vec<_> = leads.iter().filter_map(|lead| linking.refer(lead)).collect();
            let all_found = linked.len() == leads.len();
            let span = verdict.span;
            match verdict.value.as_str() {
                "explain" => Some(Step::Explain { characteristic: explained?, span }),
                "book-in" => all_found.then_some(Step::BookIn { leads: linked, span }),
                "do-not-drive" => all_found.then_some(Step::DoNotDrive { leads: linked, span }),
                _ => None,
            }
        }
    }
}

impl LinkDetail for Condition {
    type Meant = entry::Condition;

    fn link(meant: &entry::Condition, head: &Head, whole: &Region, linking: &mut Linking<'_>) -> Self {
        let own = &head.body.headings;
        Self {
            hazard: meant.hazard,
            accounts_for: linking.accounts_for(&meant.accounts_for, head, whole),
            confirm: linking.answers_of(&meant.confirm, Some(Place::Bay)),
            remedy: text(meant.remedy.as_ref(), own, linking),
            ruled_out_by: linking.answers_of(&meant.ruled_out_by, None),
            alarm: linking.answers_of(&meant.alarm, None),
        }
    }
}

fn text(prose: Option<&Prose>, own: &[Heading], linking: &mut Linking<'_>) -> Option<Text> {
    prose.map(|prose| linking.text(prose, own))
}

impl LinkDetail for Characteristic {
    type Meant = entry::Characteristic;

    fn link(meant: &entry::Characteristic, head: &Head, whole: &Region, linking: &mut Linking<'_>) -> Self {
        let own = &head.body.headings;
        let mut tell: Vec<(String, Telling)> = Vec::new();
        for (language, telling) in &meant.tell {
            tell.push((linking.language(language.as_ref()), link_telling(telling, own, linking)));
        }
        let languages = &linking.entries.shop.languages;
        tell.sort_by_key(|(language, _)| languages.iter().position(|known| known == language).unwrap_or(usize::MAX));
        Self {
            accounts_for: linking.accounts_for(&meant.accounts_for, head, whole),
            tell,
            because: text(meant.because.as_ref(), own, linking),
            only_if: linking.answers_of(&meant.only_if, None),
            not_if: linking.answers_of(&meant.not_if, None),
            show: text(meant.show.as_ref(), own, linking),
            leave_alone: text(meant.leave_alone.as_ref(), own, linking),
        }
    }
}

fn link_telling(telling: &entry::Telling, own: &[Heading], linking: &mut Linking<'_>) -> Telling {
    Telling {
        brief: linking.text(&telling.brief, own),
        plain: linking.text(&telling.plain, own),
        full: linking.text(&telling.full, own),
    }
}

/// How often nobody can tell, where the entry does not say.
const USUAL_UNSURE: f64 = 0.1;

impl LinkDetail for Check {
    type Meant = entry::Check;

    fn link(meant: &entry::Check, _: &Head, _: &Region, linking: &mut Linking<'_>) -> Self {
        let usual = if meant.place == Place::Bay { 0.0 } else { USUAL_UNSURE };
        Self {
            ask: linking.customer_text(&meant.ask),
            place: meant.place,
            minutes: meant.minutes,
            hazards: meant.hazards.iter().map(|class| class.value.clone()).collect(),
            tools: meant.tools.clone(),
            answers: link_answers(&meant.answers, linking),
            measures: match &meant.answers {
                Answers::Measured(measured) => Some(Measurement {
                    quantity: measured.quantity.clone(),
                    unit: measured.unit.clone(),
                    from: measured.from.clone(),
                    to: measured.to.clone(),
                }),
                _ => None,
            },
            unsure: meant.unsure.unwrap_or(usual).clamp(0.0, 0.5),
        }
    }
}

fn link_answers(answers: &Answers, linking: &mut Linking<'_>) -> Vec<Answer> {
    match answers {
        Answers::Worded(rows) => rows
            .iter()
            .map(|(id, words)| Answer { id: id.clone(), words: linking.customer_text(words), band: None })
            .collect(),
        Answers::Measured(measured) => measured
            .bands
            .iter()
            .map(|(id, band)| Answer { id: id.clone(), words: CustomerText::new(), band: Some(band.clone()) })
            .collect(),
        Answers::Missing => Vec::new(),
    }
}

impl LinkDetail for System {
    type Meant = entry::System;

    fn link(meant: &entry::System, head: &Head, whole: &Region, linking: &mut Linking<'_>) -> Self {
        let own = &head.body.headings;
        let specification = |row: &entry::Specification, linking: &mut Linking<'_>| Specification {
            name: row.name.clone(),
            values: row
                .values
                .iter()
                .map(|(fits, value)| (linking.region(fits.as_ref(), whole), value.clone()))
                .collect(),
        };
        Self {
            specifications: meant.specifications.iter().map(|row| specification(row, linking)).collect(),
            changes: meant.changes.iter().filter_map(|change| link_change(change, own, linking)).collect(),
        }
    }
}

fn link_change(change: &entry::Change, own: &[Heading], linking: &mut Linking<'_>) -> Option<Change> {
    let text = linking.text(&change.text, own);
    let Some(line) = linking.universe.line(&change.line.value) else {
        if !linking.entries.vehicles_faulty {
            let lines = linking.universe.vehicles().lines.iter().map(|line| line.id.as_str());
            let mark = Mark::new(MarkId::UnknownVehicle, change.line.span)
                .with("what", "vehicle line")
                .with("found", change.line.value.clone())
                .with("known", lines.clone().collect::<Vec<_>>().join(", "));
            linking.marks.push(mark.with_some("nearest", nearest(&change.line.value, lines)));
        }
        return None;
    };
    Some(Change { from: change.from, line, text })
}

impl LinkDetail for Guide {
    type Meant = entry::Guide;

    fn link(_: &entry::Guide, _: &Head, _: &Region, _: &mut Linking<'_>) -> Self {
        Self
    }
}
