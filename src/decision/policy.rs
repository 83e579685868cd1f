//! From a problem to its flow: exactly where that is feasible, else by looking ahead three checks, or fewer where
//! there are very many.

use super::flow::{Act, Flow, LEAST_LEAD, Step, alarmed, evaluate, leads, likely_conditions};
use super::gates::Standing;
use super::model::{Model, Verdict};
use super::problem::{Answers, Problem};
use super::table::{Moves, Start, Steps, Table, count_states};
use serde::{Deserialize, Serialize};
use std::collections::{BTreeMap, BTreeSet};
use std::rc::Rc;

/// How a flow was found.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Method {
    /// Dynamic programming over every state: no flow within the limit on questions costs less.
    Exact,
    /// Looking ahead three checks at most from every state that is arrived at.
    LookAhead,
}

impl Method {
    /// The word in data files.
    pub fn word(self) -> &'static str {
        match self {
            Self::Exact => "exact",
            Self::LookAhead => "look-ahead",
        }
    }
}

/// Most answer states for the exact method.
const MOST_STATES: f64 = 4e6;
/// Most answer states for which the optimum without the limit on questions is worked out.
const MOST_STATES_UNLIMITED: f64 = 2e7;
/// Most answer states for the optima of all flows of a shop together.
const MOST_STATES_TOGETHER: f64 = 6e7;
/// Answer states that can always be spared: 10 checks of two answers have 4 to the power of 10.
const FEWEST_STATES: f64 = 1.1e6;
/// How far the look-ahead sees at most.
const LOOK_AHEAD: usize = 3;
/// Answer states that are little work.
const LITTLE: f64 = 2e4;
/// Most answer states of one look ahead: 24 checks of three answers have 130,000 within three questions. A flow may need a
/// thousand looks; once they have seen [`MOST_STATES_SEEN`] together, each further one must be little work.
const MOST_STATES_AHEAD: f64 = 10.0 * LITTLE;
/// Answer states that the looks of one flow see together before each must be little work: about a second's.
const MOST_STATES_SEEN: f64 = 8e6;
/// Most checks that one problem can ask; later ones, by id, are left out.
const MOST_CHECKS: usize = 128;
/// Most paths of a look-ahead flow, should nothing but the limit on questions end them.
const MOST_PATHS: f64 = 2e4;

/// A compiled flow.
#[derive(Clone, Debug)]
pub struct Compiled {
    /// The flow; step 0 is the start.
    pub flow: Flow,
    /// How it was found.
    pub method: Method,
    /// By step: answers on the way there, and for a question what the policy weighed.
    pub grounds: Vec<Ground>,
}

/// Why a step is what it is.
#[derive(Clone, Debug)]
pub struct Ground {
    /// Answers on the (first) way to the step.
    pub answers: Answers,
    /// What could be done there.
    pub moves: Moves,
}

/// Compiles the flow of a problem.
pub fn compile(model: &Model<'_>) -> Compiled {
    compile_by(model, method(model))
}

/// Compiles by a given method, however large the problem.
pub fn compile_by(model: &Model<'_>, method: Method) -> Compiled {
    let limit = question_limit(model, method);
    let mut growth = Growth { model, method, limit, steps: Vec::new(), known: BTreeMap::new(), seen: 0.0 };
    let sight = growth.sight(&Answers::default(), limit);
    let start = growth.grow(&Answers::default(), &sight);
    let (steps, grounds) = in_order(growth.steps, start);
    let flow = with_leads(model, Flow { start: Some(0), steps });
    Compiled { flow, method, grounds }
}

/// The method that a problem is small enough for.
pub fn method(model: &Model<'_>) -> Method {
    let radix = radix(model);
    let limit = model.problem.max_questions.min(radix.len());
    if count_states(&radix, limit) <= MOST_STATES { Method::Exact } else { Method::LookAhead }
}

/// The least expected minutes and loss together without a limit on questions, if there are at most so many states.
pub fn optimum(model: &Model<'_>, most_states: f64) -> Option<f64> {
    let radix = radix(model);
    (count_states(&radix, radix.len()) <= most_states).then(|| least_cost(model, radix.len()))
}

/// Most answer states for each of so many flows. Few flows can afford that of 12 checks of two answers; many must
/// do with that of 10 such checks, so that the time for all of them stays within seconds.
pub fn states_to_spare(flows: usize) -> f64 {
    (MOST_STATES_TOGETHER / flows.max(1) as f64).clamp(FEWEST_STATES, MOST_STATES_UNLIMITED)
}

/// The least expected minutes and loss together with at most `questions` on a path.
pub fn least_cost(model: &Model<'_>, questions: usize) -> f64 {
    let start = start(model, &Answers::default());
    let total: f64 = start.weights.iter().sum();
    Table::solve(model, start, questions).value() / total
}

/// What can be done after any answers, seen from there: exactly if that is little work, else looking ahead.
pub fn moves_after(model: &Model<'_>, answers: &Answers) -> Moves {
    let start = start(model, answers);
    let left = model.problem.max_questions.saturating_sub(answers.len()).min(start.open.len()).max(1);
    let radix = radix_of(model, &start);
    let depth = if count_states(&radix, left) <= LITTLE { left } else { sight_of(&radix, left, MOST_STATES_AHEAD) };
    Table::solve(model, start, depth).moves(&Steps::new())
}

/// How many questions a look ahead sees of those that are left. A single one can always be seen.
fn sight_of(radix: &[usize], left: usize, most_states: f64) -> usize {
    let most = left.min(LOOK_AHEAD);
    let few_enough = |depth: &usize| count_states(radix, *depth) <= most_states;
    (2..=most).rev().find(few_enough).unwrap_or(most.min(1))
}

fn radix_of(model: &Model<'_>, start: &Start) -> Vec<usize> {
    start.open.iter().map(|check| answers_of(model, *check)).collect()
}

fn question_limit(model: &Model<'_>, method: Method) -> usize {
    let limit = model.problem.max_questions;
    let widest = radix(model).into_iter().max().unwrap_or(1) as f64;
    let readable = |questions: &usize| widest.powi(i32::try_from(*questions).unwrap_or(i32::MAX)) <= MOST_PATHS;
    match method {
        Method::Exact => limit,
        Method::LookAhead => limit.min((1..).take_while(|it| *it <= MOST_CHECKS && readable(it)).last().unwrap_or(1)),
    }
}

fn radix(model: &Model<'_>) -> Vec<usize> {
    useful_checks(model).map(|check| answers_of(model, check)).collect()
}

fn answers_of(model: &Model<'_>, check: usize) -> usize {
    model.problem.checks.get(check).map_or(1, |it| it.answers.len() + 1)
}

/// Checks whose answers can move a chance or a gate; no policy asks the others.
fn useful_checks(model: &Model<'_>) -> impl Iterator<Item = usize> {
    let useful = |check: &usize| {
        (0..answers_of(model, *check)).any(|answer| {
            let tells = |column: &[f64]| column.iter().any(|chance| column.first() != Some(chance));
            model.gates.effect(*check, answer) != Standing::default() || model.column(*check, answer).is_some_and(tells)
        })
    };
    (0..model.problem.checks.len()).filter(useful).take(MOST_CHECKS)
}

fn start(model: &Model<'_>, answers: &Answers) -> Start {
    Start {
        weights: model.problem.weights(answers),
        standing: model.gates.standing(answers),
        open: useful_checks(model).filter(|check| answers.get(*check).is_none()).collect(),
    }
}

/// A table and the answers given since its start.
struct Sight<'m> {
    table: Rc<Table<'m>>,
    open: Rc<Vec<usize>>,
    steps: Steps,
}

impl Sight<'_> {
    fn after(&self, check: usize, answer: usize) -> Self {
        let mut steps = self.steps.clone();
        steps.extend(self.open.binary_search(&check).ok().map(|at| (at, answer)));
        steps.sort_unstable();
        Self { table: Rc::clone(&self.table), open: Rc::clone(&self.open), steps }
    }
}

struct Growth<'m> {
    model: &'m Model<'m>,
    method: Method,
    limit: usize,
    steps: Vec<(Act, Ground)>,
    known: BTreeMap<Act, usize>,
    /// Answer states that looks ahead have seen.
    seen: f64,
}

impl<'m> Growth<'m> {
    fn sight(&mut self, answers: &Answers, left: usize) -> Sight<'m> {
        let start = start(self.model, answers);
        let radix = radix_of(self.model, &start);
        let most_states = if self.seen < MOST_STATES_SEEN { MOST_STATES_AHEAD } else { LITTLE };
        let exact = self.method == Method::Exact;
        let depth = if exact { left } else { sight_of(&radix, left, most_states) };
        self.seen += count_states(&radix, depth);
        let open = Rc::new(start.open.clone());
        Sight { table: Rc::new(Table::solve(self.model, start, depth)), open, steps: Steps::new() }
    }

    /// A look farther ahead before stopping, because several answers together may open a gate that three cannot: as
    /// far as is little work, and only where a question could pay at all.
    fn deeper(&self, answers: &Answers, left: usize, moves: &Moves) -> Option<Sight<'m>> {
        let start = start(self.model, answers);
        let minutes = start.open.iter().filter_map(|check| self.model.problem.checks.get(*check)).map(|it| it.minutes);
        let pays = moves.stop.loss > minutes.fold(f64::INFINITY, f64::min) * moves.stop.total;
        if self.method == Method::Exact || !pays {
            return None;
        }
        let radix = radix_of(self.model, &start);
        let farthest = (LOOK_AHEAD + 1..=left.min(radix.len())).rev();
        let depth = farthest.into_iter().find(|depth| count_states(&radix, *depth) <= LITTLE)?;
        let open = Rc::new(start.open.clone());
        Some(Sight { table: Rc::new(Table::solve(self.model, start, depth)), open, steps: Steps::new() })
    }

    fn grow(&mut self, answers: &Answers, sight: &Sight<'m>) -> usize {
        let left = self.limit.saturating_sub(answers.len());
        let seen = sight.table.questions_left(&sight.steps);
        let is_short = self.method == Method::LookAhead && !sight.steps.is_empty() && seen < left;
        let farther = is_short.then(|| self.sight(answers, left));
        let sight = farther.as_ref().unwrap_or(sight);
        let moves = sight.table.moves(&sight.steps);
        let deeper = if moves.best().is_none() { self.deeper(answers, left, &moves) } else { None };
        let moves = deeper.as_ref().map_or(moves, |sight| sight.table.moves(&sight.steps));
        let sight = deeper.as_ref().unwrap_or(sight);
        let act = match moves.best() {
            None => Act::Stop { verdict: moves.stop.verdict, leads: self.first_leads(moves.stop.verdict, answers) },
            Some((check, _)) => {
                let every = 0..answers_of(self.model, check);
                let next = every.map(|it| Some(self.grow(&answers.with(check, it), &sight.after(check, it)))).collect();
                Act::Ask { check, next }
            }
        };
        self.share(act, Ground { answers: answers.clone(), moves })
    }

    /// What tells verdicts apart: the condition to look at first, and those of which an alarm was given. The other
    /// leads follow from how the step is arrived at; if they told verdicts apart too, hardly two would be the same,
    /// and a flow would have several times the steps.
    fn first_leads(&self, verdict: Verdict, answers: &Answers) -> Vec<usize> {
        if matches!(verdict, Verdict::Explain(_)) {
            return Vec::new();
        }
        let problem = self.model.problem;
        let leads = leads(problem, answers);
        let alarmed = leads.iter().skip(1).copied().filter(|lead| alarmed(problem, *lead, answers));
        leads.iter().take(1).copied().chain(alarmed.collect::<BTreeSet<_>>()).collect()
    }

    /// The step that does the same, or a new one.
    fn share(&mut self, act: Act, ground: Ground) -> usize {
        let steps = &mut self.steps;
        *self.known.entry(act.clone()).or_insert_with(|| {
            steps.push((act, ground));
            steps.len() - 1
        })
    }
}

/// Adds to the first leads of each verdict the other conditions that are likely enough where it is given.
fn with_leads(model: &Model<'_>, mut flow: Flow) -> Flow {
    let (_, arrivals) = evaluate(model, &flow);
    for (step, arrival) in flow.steps.iter_mut().zip(arrivals) {
        if let Act::Stop { verdict: Verdict::BookIn | Verdict::DoNotDrive, leads } = &mut step.act {
            let likely = likely_conditions(model.problem, &arrival.chances);
            let first = leads.first().copied();
            let alarmed: BTreeSet<usize> = leads.iter().skip(1).copied().collect();
            let others = likely
                .into_iter()
                .filter(|(at, chance)| Some(*at) != first && (*chance >= LEAST_LEAD || alarmed.contains(at)));
            *leads = first.into_iter().chain(others.map(|(at, _)| at)).collect();
        }
    }
    flow
}

/// Numbers the steps breadth-first from the start, which becomes 0.
fn in_order(steps: Vec<(Act, Ground)>, start: usize) -> (Vec<Step>, Vec<Ground>) {
    let mut order = vec![start];
    let mut number = BTreeMap::from([(start, 0)]);
    let mut at = 0;
    while let Some(step) = order.get(at).copied() {
        at += 1;
        if let Some((Act::Ask { next, .. }, _)) = steps.get(step) {
            for to in next.iter().flatten() {
                number.entry(*to).or_insert_with(|| {
                    order.push(*to);
                    order.len() - 1
                });
            }
        }
    }
    let renumber = |act: &Act| match act {
        Act::Ask { check, next } => {
            let next = next.iter().map(|to| to.and_then(|to| number.get(&to).copied())).collect();
            Act::Ask { check: *check, next }
        }
        other => other.clone(),
    };
    let step = |(at, from): (usize, &usize)| {
        let (act, ground) = steps.get(*from)?;
        Some((Step { name: at.to_string(), span: Default::default(), act: renumber(act) }, ground.clone()))
    };
    order.iter().enumerate().filter_map(step).unzip()
}

/// Gives the steps of a compiled flow the symptom's place.
#[must_use]
pub fn placed(mut compiled: Compiled, problem: &Problem) -> Compiled {
    compiled.flow.steps.iter_mut().for_each(|step| step.span = problem.span);
    compiled
}
