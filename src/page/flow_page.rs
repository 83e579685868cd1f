//! The page of a decision flow: every step, so that it can be followed without scripts.

use rayon::prelude::*;

use super::context::PageContext;
use super::diagram::{Chart, Edge, Node, Shape};
use super::edition::{Edition, value};
use super::flow_context::{
    AnswerContext, AskedContext, ChanceContext, Drawing, DrawingContext, DrawnContext, ExpectedContext, FlowContext,
    GateContext, OddsColumn, OddsContext, OddsRow, QuestionContext, StepContext, VariantContext,
};
use super::flow_verdict::Arrived;
use super::numbers::{minutes_text, number_text};
use super::site::PageFault;
use crate::decision::{
    Act, Cause, Flow, Given, OpenGate, Problem, StepFacts, SymptomFlow, Variant, Why, left_open, shared,
};
use crate::entry::Kind;
use crate::knowledge::{Check, EntryRef, Head, Ref, Symptom};

/// The pages of all symptoms that have a flow.
pub(super) fn flows(edition: &Edition<'_>) -> Result<(), PageFault> {
    let all: Vec<_> = edition.knowledge.symptoms.iter().collect();
    all.par_iter().try_for_each(|(at, symptom)| {
        let flow = edition.decisions.of(*at).filter(|flow| !flow.variants.is_empty());
        flow.map_or(Ok(()), |flow| {
            if !edition.stands_in_its_circumstances(&flow_path(&symptom.head), None) {
                page_of(edition, *at, &symptom.head, flow)?;
            }
            if edition.stands_in_its_circumstances(&drawing_path(&symptom.head), None) {
                return Ok(());
            }
            drawing_of(edition, *at, &symptom.head, flow)
        })
    })
}

fn page_of(edition: &Edition<'_>, at: Ref<Symptom>, head: &Head, flow: &SymptomFlow) -> Result<(), PageFault> {
    let context = FlowContext {
        symptom: edition.link(at).clone(),
        method: if flow.hand_written { "written" } else { flow.method().word() },
        drawing_href: format!("{}{}", edition.prefix, drawing_path(head)),
        variants: drawn(edition, flow).map(|drawn| drawn.context()).collect(),
    };
    let page = PageContext {
        kind: "flow",
        section: "symptom",
        title: head.title.value.clone(),
        path: flow_path(head),
        scripts: scripts(edition, &head.id),
        ..PageContext::default()
    };
    edition.page("flow.html", page, vec![("flow", value(&context))])
}

/// The drawing on a page of its own: it is as large as all the rest, and few look at it. Ids hold no dot, so no flow has its
/// path.
fn drawing_of(edition: &Edition<'_>, at: Ref<Symptom>, head: &Head, flow: &SymptomFlow) -> Result<(), PageFault> {
    let variant = |drawn: Drawn<'_>| DrawnContext {
        fits: edition.fits(&drawn.variant.region),
        svg: drawn.drawing(&drawn.variant.flow),
        id: drawn.id,
    };
    let context = DrawingContext {
        symptom: edition.link(at).clone(),
        flow_href: format!("{}flows/{}.html", edition.prefix, head.id),
        variants: drawn(edition, flow).map(variant).collect(),
    };
    let page = PageContext {
        kind: "drawing",
        section: "symptom",
        title: format!("{} · {}", head.title.value, edition.word("drawing_of_flow")),
        path: drawing_path(head),
        ..PageContext::default()
    };
    edition.page("drawing.html", page, vec![("drawing", value(&context))])
}

/// The path of a flow's page from the edition's own root.
fn flow_path(symptom: &Head) -> String {
    format!("flows/{}.html", symptom.id)
}

/// The path of its drawing's page.
fn drawing_path(symptom: &Head) -> String {
    format!("flows/{}.drawing.html", symptom.id)
}

fn scripts(edition: &Edition<'_>, symptom: &str) -> Vec<String> {
    let data = format!("{}data/flows/{symptom}.js", edition.prefix);
    let own = ["engine", "say", "verdict", "group", "writeup"].map(|part| format!("assets/flow-{part}.js"));
    [data].into_iter().chain(own).chain(["assets/flow.js".to_owned()]).collect()
}

fn drawn<'a>(edition: &'a Edition<'a>, flow: &'a SymptomFlow) -> impl Iterator<Item = Drawn<'a>> {
    let variants = flow.variants.iter().enumerate();
    variants.map(move |(at, variant)| Drawn { edition, variant, id: format!("v{}", at + 1) })
}

/// A variant that is being written down.
pub(super) struct Drawn<'a> {
    pub(super) edition: &'a Edition<'a>,
    pub(super) variant: &'a Variant,
    pub(super) id: String,
}

impl<'e> Drawn<'e> {
    fn context(&self) -> VariantContext<'e> {
        let Variant { problem, flow, expected, .. } = self.variant;
        let words = self.edition.words;
        let prior = problem.chances(&crate::decision::Answers::default());
        VariantContext {
            id: self.id.clone(),
            fits: self.edition.fits(&self.variant.region),
            boxes: self.edition.boxes(&self.variant.region),
            start: self.anchor(flow.start.unwrap_or(0)),
            expected: Some(ExpectedContext {
                minutes_text: minutes_text(expected.minutes, words),
                loss_text: minutes_text(expected.loss, words),
                optimum_text: expected.optimum.map(|optimum| minutes_text(optimum, words)).unwrap_or_default(),
            }),
            candidates: self.chances(&prior),
            gates: self.gates(problem),
            steps: self.steps(flow),
            asked: problem.checks.iter().filter_map(|check| self.asked(&check.id)).collect(),
            odds: self.odds(flow),
        }
    }

    /// The flow with the symbols of ISO 5807; the steps of the page say the same in words. Steps that these vehicles do not have
    /// are passed over there and here.
    fn drawing(&self, flow: &Flow) -> Drawing {
        let mut chart = Chart::default();
        let is_shown = |at: &usize| flow.steps.get(*at).is_some_and(|step| step.act != Act::Broken);
        let others = (0..flow.steps.len()).filter(|at| flow.start != Some(*at));
        let shown: Vec<usize> = flow.start.into_iter().chain(others).filter(is_shown).collect();
        let place = |at: usize| shown.iter().position(|shown| *shown == at);
        for (at, step) in shown.iter().filter_map(|at| Some((*at, flow.steps.get(*at)?))) {
            let (shape, text, class) = match &step.act {
                Act::Ask { check, .. } => {
                    let title = self.variant.problem.checks.get(*check).map_or("", |check| &check.title);
                    (Shape::Decision, title.to_owned(), "ask")
                }
                Act::Stop { verdict, .. } => {
                    let word = self.edition.word(&format!("verdict_{}", verdict.word())).to_owned();
                    (Shape::Terminator, word, verdict.word())
                }
                Act::Broken => continue,
            };
            let href = format!("{}.html#{}", self.variant.problem.symptom, self.anchor(at));
            chart.nodes.push(Node { shape, number: at + 1, text, href, class: class.to_owned() });
            let edges = self.edges(at, &step.act).into_iter();
            let placed = edges.filter_map(|it| Some(Edge { from: place(it.from)?, to: place(it.to)?, ..it }));
            chart.edges.extend(placed);
        }
        Drawing { chart, title: self.edition.word("drawing_of_flow").to_owned() }
    }

    fn edges(&self, from: usize, act: &Act) -> Vec<Edge> {
        let Act::Ask { check, next } = act else { return Vec::new() };
        let asked = self.variant.problem.checks.get(*check);
        let texts = asked.and_then(|asked| self.asked(&asked.id)).map(|asked| asked.answers).unwrap_or_default();
        let unsure = self.edition.word("not_sure");
        let label = |answer: usize| texts.get(answer).cloned().unwrap_or_else(|| unsure.to_owned());
        let edges = next.iter().enumerate();
        edges.filter_map(|(answer, to)| Some(Edge { from, to: (*to)?, label: label(answer) })).collect()
    }

    pub(super) fn anchor(&self, step: usize) -> String {
        format!("{}-{}", self.id, step + 1)
    }

    fn steps(&self, flow: &Flow) -> Vec<StepContext<'e>> {
        let open = left_open(&self.variant.problem, flow);
        let shared = shared(flow);
        let steps = flow.steps.iter().zip(&self.variant.facts).enumerate();
        let context = |(at, (step, facts)): (usize, (&crate::decision::Step, &StepFacts))| match &step.act {
            Act::Ask { check, next } => Some(StepContext::Question(Box::new(self.question(at, *check, next, facts)?))),
            Act::Stop { verdict, leads } => {
                let arrived = Arrived {
                    facts,
                    open: open.get(at).map_or(&[][..], Vec::as_slice),
                    shared: shared.get(at).copied().unwrap_or(false),
                };
                Some(StepContext::Verdict(Box::new(self.verdict(at, *verdict, leads, arrived))))
            }
            Act::Broken => None,
        };
        steps.filter_map(context).collect()
    }

    fn question(&self, at: usize, check: usize, next: &[Option<usize>], facts: &StepFacts) -> Option<QuestionContext> {
        let asked = self.variant.problem.checks.get(check)?;
        let known = self.check(&asked.id)?;
        let detail = &self.edition.knowledge.checks[known].detail;
        let AskedContext { ask, answers: texts, .. } = self.asked(&asked.id)?;
        let answers = next.iter().enumerate().filter_map(|(answer, to)| {
            let to = (*to)?;
            let text = texts.get(answer).cloned();
            let id = asked.answer_id(answer).to_owned();
            Some(AnswerContext {
                id,
                text: text.unwrap_or_default(),
                to: self.anchor(to),
                step: to + 1,
                verdict: self.verdict_at(to),
            })
        });
        Some(QuestionContext {
            n: at + 1,
            anchor: self.anchor(at),
            verdict: "",
            entry: self.edition.link(known).clone(),
            ask,
            place: detail.place.word(),
            minutes_text: minutes_text(detail.minutes, self.edition.words),
            cautions: self.edition.cautions(&detail.hazards),
            answers: answers.collect(),
            why: facts.why.as_ref().map(|why| self.why(why)).unwrap_or_default(),
            gates: self.open_gates(&facts.open_gates),
        })
    }

    /// A check's question and the words of its answers.
    fn asked(&self, id: &str) -> Option<AskedContext> {
        let check = &self.edition.knowledge.checks[self.check(id)?];
        let detail = &check.detail;
        let unit = detail.measures.as_ref().map(|measures| measures.unit.value.as_str());
        let title = detail.measures.as_ref().map_or(&check.head.title.value, |measures| &measures.quantity);
        let ask = Some(self.edition.customer_text(&detail.ask)).filter(|ask| !ask.is_empty());
        let answers = detail.answers.iter().map(|answer| self.edition.answer_text(answer, unit));
        Some(AskedContext { check: id.to_owned(), ask: ask.unwrap_or(title).to_owned(), answers: answers.collect() })
    }

    /// The verdict that a step is; empty for a question.
    fn verdict_at(&self, step: usize) -> &'static str {
        match self.variant.flow.steps.get(step).map(|step| &step.act) {
            Some(Act::Stop { verdict, .. }) => verdict.word(),
            _ => "",
        }
    }

    fn odds(&self, flow: &Flow) -> OddsContext {
        let steps = flow.steps.iter().zip(&self.variant.facts).enumerate();
        let verdicts = steps.filter(|(_, (step, _))| matches!(step.act, Act::Stop { .. }));
        let verdicts: Vec<(usize, &StepFacts)> = verdicts.map(|(at, (_, facts))| (at, facts)).collect();
        let column = |at: usize| OddsColumn { n: at + 1, anchor: self.anchor(at), verdict: self.verdict_at(at) };
        let row = |candidate: usize| OddsRow {
            title: self
                .candidate_ref(candidate)
                .map(|entry| self.edition.link(entry).title.clone())
                .unwrap_or_default(),
            texts: verdicts
                .iter()
                .map(|(_, facts)| facts.arrival.chances.get(candidate).copied().unwrap_or(0.0))
                .map(|chance| self.percent_text(chance))
                .collect(),
        };
        OddsContext {
            verdicts: verdicts.iter().map(|(at, _)| column(*at)).collect(),
            rows: self.variant.problem.causes().map(row).collect(),
        }
    }

    /// Candidates by falling chance.
    fn chances(&self, chances: &[f64]) -> Vec<ChanceContext> {
        let chance = |at: usize| chances.get(at).copied().unwrap_or(0.0);
        let mut rows: Vec<(usize, f64)> = self.variant.problem.causes().map(|at| (at, chance(at))).collect();
        rows.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
        let row = |(candidate, chance): (usize, f64)| ChanceContext {
            entry: self.candidate_ref(candidate).map(|entry| self.edition.link(entry).clone()),
            percent: percent(chance),
            text: self.percent_text(chance),
        };
        rows.into_iter().map(row).collect()
    }

    /// Conditions with a hazard, and what rules each of them out.
    fn gates(&self, problem: &Problem) -> Vec<GateContext> {
        let gate = |at: usize| {
            let candidate = problem.candidates.get(at)?;
            let by = candidate.ruled_out_by.iter().filter_map(|given| self.answer(*given));
            Some(GateContext { entry: self.edition.link(self.candidate_ref(at)?).clone(), by: by.collect() })
        };
        problem.hazards().filter_map(gate).collect()
    }

    fn open_gates(&self, gates: &[OpenGate]) -> Vec<String> {
        let title = |gate: &OpenGate| match gate {
            OpenGate::RuleOut(candidate) => Some(self.edition.link(self.candidate_ref(*candidate)?).title.clone()),
            _ => None,
        };
        gates.iter().filter_map(title).collect()
    }

    /// A check and an answer, as a reader sees them.
    fn answer(&self, given: Given) -> Option<String> {
        let asked = self.variant.problem.checks.get(given.check)?;
        let check = self.check(&asked.id)?;
        let known = &self.edition.knowledge.checks[check];
        let unit = known.detail.measures.as_ref().map(|measures| measures.unit.value.as_str());
        let text = self.edition.answer_text(known.detail.answers.get(given.answer)?, unit);
        let title = &known.head.title.value;
        let colon = if title.ends_with('?') { "" } else { ":" };
        Some(format!("{title}{colon} {text}"))
    }

    fn why(&self, why: &Why) -> String {
        let words = |key: &str, what: &str, minutes: f64| {
            let minutes = number_text(minutes, 1, self.edition.words);
            self.edition.word(key).replace("{other}", what).replace("{minutes}", &minutes)
        };
        let title = |candidate: &usize| Some(self.edition.link(self.candidate_ref(*candidate)?).title.clone());
        let ruled_out: Vec<String> = why.rules_out.iter().filter_map(title).collect();
        let mut said = Vec::new();
        if !ruled_out.is_empty() {
            said.push(format!("{} {}.", self.edition.word("why_rules_out"), ruled_out.join(", ")));
        }
        if let Some((minutes, other)) = why.saved.filter(|(minutes, _)| *minutes >= WORTH_SAYING) {
            let other = self.variant.problem.checks.get(other).map_or("", |check| check.title.as_str());
            said.push(words("why_saves", other, minutes));
        }
        if said.is_empty() && why.saved_against_stopping >= WORTH_SAYING {
            said.push(words("why_saves_deciding", "", why.saved_against_stopping));
        }
        said.join(" ")
    }

    pub(super) fn candidate_ref(&self, candidate: usize) -> Option<EntryRef> {
        let candidate = self.variant.problem.candidates.get(candidate)?;
        let kind = match candidate.cause {
            Cause::Characteristic => Kind::Characteristic,
            Cause::Condition(_) => Kind::Condition,
            Cause::Other => return None,
        };
        self.edition.knowledge.find(kind, &candidate.id)
    }

    pub(super) fn check(&self, id: &str) -> Option<Ref<Check>> {
        self.edition.knowledge.typed(self.edition.knowledge.find(Kind::Check, id)?)
    }

    pub(super) fn percent_text(&self, chance: f64) -> String {
        let digits = if chance < 0.1 { 1 } else { 0 };
        format!("{}\u{a0}%", number_text(chance * 100.0, digits, self.edition.words))
    }
}

/// Minutes below this are not worth a sentence.
const WORTH_SAYING: f64 = 0.05;

/// A chance as the length of a bar, 0 to 100.
pub(super) fn percent(chance: f64) -> f64 {
    (chance * 1000.0).round() / 10.0
}
