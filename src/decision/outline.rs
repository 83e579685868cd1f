//! A flow as people read it: verdicts that are the same in words are one step, whatever the chances on arrival, and
//! questions that then lead to the same steps are one step too. Without this a flow of ten checks has hundreds of
//! steps that nobody can tell apart.

use super::flow::{Act, Flow, Step, evaluate};
use super::model::{Model, Verdict};
use std::collections::BTreeMap;

/// A flow for readers, and how it belongs to the flow in full.
#[derive(Clone, Debug, Default)]
pub struct Outline {
    /// Its steps; step 0 is the start where there is one.
    pub flow: Flow,
    /// By step of the flow in full, the step of the outline that stands for it; none where nothing leads to it.
    pub of: Vec<Option<usize>>,
    /// By step of the outline, the first step of the flow in full that it stands for.
    pub first: Vec<usize>,
}

impl Outline {
    /// The outline that has every step as it is.
    pub fn whole(flow: &Flow) -> Self {
        let count = flow.steps.len();
        Self { flow: flow.clone(), of: (0..count).map(Some).collect(), first: (0..count).collect() }
    }

    /// The outline of a compiled flow: verdicts with the same first lead are one.
    pub fn of(model: &Model<'_>, flow: &Flow) -> Self {
        let Some(start) = flow.start else { return Self::whole(flow) };
        let mut merging = Merging { flow, class_of: vec![None; flow.steps.len()], classes: BTreeMap::new() };
        merging.class(start);
        let mut outline = merging.numbered(start);
        order_leads(model, &mut outline.flow);
        outline
    }
}

/// What makes two steps one: for a question its check and what follows, for a verdict its first lead.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord)]
enum Class {
    Ask(usize, Vec<Option<usize>>),
    Stop(Verdict, Option<usize>),
    Broken,
}

struct Merging<'f> {
    flow: &'f Flow,
    class_of: Vec<Option<usize>>,
    classes: BTreeMap<Class, usize>,
}

impl Merging<'_> {
    /// The class of a step. Compiled flows have no loops, and are no deeper than their limit on questions.
    fn class(&mut self, step: usize) -> Option<usize> {
        if let Some(known) = self.class_of.get(step).copied().flatten() {
            return Some(known);
        }
        let class = match &self.flow.steps.get(step)?.act {
            Act::Ask { check, next } => {
                let next = next.iter().map(|to| to.and_then(|to| self.class(to))).collect();
                Class::Ask(*check, next)
            }
            Act::Stop { verdict, leads } => Class::Stop(*verdict, leads.first().copied()),
            Act::Broken => Class::Broken,
        };
        let count = self.classes.len();
        let number = *self.classes.entry(class).or_insert(count);
        self.class_of.get_mut(step).into_iter().for_each(|slot| *slot = Some(number));
        Some(number)
    }

    /// Numbers the classes breadth-first, as the flow in full is.
    fn numbered(self, start: usize) -> Outline {
        let mut number: BTreeMap<usize, usize> = BTreeMap::new();
        let mut first = Vec::new();
        let mut ahead = std::collections::VecDeque::from([start]);
        while let Some(step) = ahead.pop_front() {
            let Some(class) = self.class_of.get(step).copied().flatten() else { continue };
            if number.contains_key(&class) {
                continue;
            }
            number.insert(class, first.len());
            first.push(step);
            if let Some(Act::Ask { next, .. }) = self.flow.steps.get(step).map(|it| &it.act) {
                ahead.extend(next.iter().flatten());
            }
        }
        let of = self.class_of.iter().map(|class| number.get(&(*class)?).copied()).collect::<Vec<_>>();
        let step = |(at, first): (usize, &usize)| {
            let it = self.flow.steps.get(*first)?;
            let act = match &it.act {
                Act::Ask { check, next } => {
                    let next = next.iter().map(|to| to.and_then(|to| of.get(to).copied().flatten())).collect();
                    Act::Ask { check: *check, next }
                }
                Act::Stop { verdict, .. } => Act::Stop { verdict: *verdict, leads: self.all_leads(&of, at) },
                Act::Broken => Act::Broken,
            };
            Some(Step { name: at.to_string(), span: it.span, act })
        };
        let steps = first.iter().enumerate().filter_map(step).collect();
        Outline { flow: Flow { start: Some(0), steps }, first, of }
    }

    /// Leads of every step that an outline step stands for.
    fn all_leads(&self, of: &[Option<usize>], step: usize) -> Vec<usize> {
        let members = self.flow.steps.iter().zip(of).filter(|(_, of)| **of == Some(step));
        let mut leads = Vec::new();
        for (member, _) in members {
            if let Act::Stop { leads: more, .. } = &member.act {
                leads.extend(more.iter().copied().filter(|lead| !leads.contains(lead)).collect::<Vec<_>>());
            }
        }
        leads
    }
}

/// Puts the leads of every verdict in the order of their chances on arrival.
fn order_leads(model: &Model<'_>, flow: &mut Flow) {
    let (_, arrivals) = evaluate(model, flow);
    for (step, arrival) in flow.steps.iter_mut().zip(arrivals) {
        if let Act::Stop { leads, .. } = &mut step.act {
            let chance = |lead: usize| arrival.chances.get(lead).copied().unwrap_or(0.0);
            leads.sort_by(|a, b| chance(*b).total_cmp(&chance(*a)));
        }
    }
}
