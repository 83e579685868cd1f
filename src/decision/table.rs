//! Exact dynamic programming over answer states: the least expected cost from every state that can be reached
//! with at most so many more questions.
//!
//! A state is the set of checks asked and the answer to each, "not sure" among them. Its value is the least of
//! stopping now and of every question that the gates allow:
//!
//! ```text
//! W(s) = min( T(s), min over k of  minutes_k A(s) + (1 - unsure_k) sum over a of W(s + a) + unsure_k W(s + not sure) )
//! ```
//!
//! on unnormalised weights, so that there is no division and no logarithm and the same entries give the same bits.
//! States of one set of checks lie side by side (a block); a first pass goes outward and marks the states that a
//! sensible policy can reach, a second comes back and fills in their values.

use super::gates::Standing;
use super::model::{Model, Stop, TIE};
use super::problem::Place;

/// Where a table starts: what is known, and what may still be asked.
#[derive(Clone, Debug)]
pub(super) struct Start {
    /// Unnormalised weights.
    pub weights: Vec<f64>,
    /// What the answers so far have shown.
    pub standing: Standing,
    /// Checks that may still be asked, ascending.
    pub open: Vec<usize>,
}

/// Answers given since the start of a table: position in `open` and answer, ascending by position.
pub(super) type Steps = Vec<(usize, usize)>;

/// Values of all states within reach.
#[derive(Clone, Debug)]
pub(super) struct Table<'m> {
    model: &'m Model<'m>,
    start: Start,
    depth: usize,
    /// Answers and "not sure", by position in `open`.
    radix: Vec<usize>,
    /// By number of checks asked, each ascending by mask.
    blocks: Vec<Vec<Block>>,
    values: Vec<f64>,
    /// Weight of every open state.
    totals: Vec<f64>,
}

#[derive(Clone, Copy, Debug)]
struct Block {
    mask: u128,
    offset: usize,
    states: usize,
}

/// A question that can be asked from the states of a block.
#[derive(Clone, Copy, Debug)]
struct Question {
    check: usize,
    minutes: f64,
    unsure: f64,
    drives: bool,
    /// Where the states after it start, how many answers it has, and how far apart they lie.
    offset: usize,
    radix: usize,
    stride: usize,
}

/// What can be done in a state.
#[derive(Clone, Debug)]
pub struct Moves {
    /// The best verdict now.
    pub stop: Stop,
    /// Each check that may be asked, by position in the problem, with the least expected cost if it is asked next
    /// (weighted, as in [`Stop`]); in order of the checks.
    pub asks: Vec<(usize, f64)>,
}

impl Moves {
    /// The check to ask, or none if it is best to stop. The first in order stands where they cost the same.
    pub fn best(&self) -> Option<(usize, f64)> {
        let margin = TIE * self.stop.total;
        let better = |best: (Option<usize>, f64), ask: &(usize, f64)| {
            if ask.1 < best.1 - margin { (Some(ask.0), ask.1) } else { best }
        };
        let (check, value) = self.asks.iter().fold((None, self.stop.loss), better);
        check.map(|check| (check, value))
    }
}

/// Values before they are known. A state that was looked at and left open holds its stopping loss with the sign
/// turned until the way back.
const UNREACHED: f64 = f64::NAN;
const REACHED: f64 = f64::INFINITY;

/// Most states of a table: their numbers fit into 32 bits, which [`Question::first`] relies on. More would want 16 GB.
const MOST_STATES: f64 = 1e9;

/// How many states there are within `depth` questions, of checks with so many answers each ("not sure" counts). No
/// number of checks or answers is too large to be counted: what exceeds all bounds is infinite.
pub(super) fn count_states(radix: &[usize], depth: usize) -> f64 {
    let mut by_size = vec![0.0; radix.len().min(depth) + 1];
    if let Some(first) = by_size.first_mut() {
        *first = 1.0;
    }
    for answers in radix {
        let before = by_size.clone();
        by_size.iter_mut().skip(1).zip(before).for_each(|(larger, smaller)| *larger += smaller * *answers as f64);
    }
    by_size.iter().sum()
}

impl<'m> Table<'m> {
    /// Works out the least expected cost from `start` with at most `depth` more questions; with fewer, should there be
    /// more states than can be numbered.
    pub(super) fn solve(model: &'m Model<'m>, start: Start, depth: usize) -> Self {
        let answers = |check: &usize| model.problem.checks.get(*check).map_or(1, |it| it.answers.len() + 1);
        let radix: Vec<usize> = start.open.iter().map(answers).collect();
        let mut depth = depth.min(start.open.len());
        while depth > 0 && count_states(&radix, depth) > MOST_STATES {
            depth -= 1;
        }
        let (blocks, states) = blocks(&radix, depth);
        let (values, totals) = (vec![UNREACHED; states], vec![0.0; states]);
        let mut table = Self { model, start, depth, radix, blocks, values, totals };
        table.reach();
        table.fill();
        table.totals = Vec::new();
        table
    }

    /// The least expected cost from the start, minutes times weight.
    pub(super) fn value(&self) -> f64 {
        self.values.first().copied().unwrap_or(0.0)
    }

    /// Questions that the table still sees after `steps`.
    pub(super) fn questions_left(&self, steps: &Steps) -> usize {
        self.depth.saturating_sub(steps.len())
    }

    /// What can be done after `steps`, which must be reachable by the table's own policy.
    pub(super) fn moves(&self, steps: &Steps) -> Moves {
        let mask = steps.iter().fold(0, |mask, (at, _)| mask | 1 << at);
        let mut cursor = Cursor::at(self, mask, steps.iter().map(|(_, answer)| *answer));
        let digits = steps.iter().map(|(at, answer)| (self.radix_at(*at), *answer));
        let index = digits.fold(0, |index, (radix, answer)| index * radix + answer);
        let (weights, standing) = cursor.look();
        let stop = self.model.stop(weights, standing);
        let questions = self.questions(mask, steps.len());
        let allowed = questions.iter().filter(|it| !it.drives || self.model.gates.may_road_test(standing));
        let asks = allowed.map(|it| (it.check, self.cost(it, index, stop.total))).collect();
        Moves { stop, asks }
    }

    fn radix_at(&self, at: usize) -> usize {
        self.radix.get(at).copied().unwrap_or(1)
    }

    /// Outward: marks what can be reached, and settles the states in which no question can pay.
    fn reach(&mut self) {
        self.set(0, REACHED);
        for size in 0..=self.depth {
            for at in 0..self.blocks.get(size).map_or(0, Vec::len) {
                let Some(block) = self.block(size, at) else { continue };
                let questions = self.questions(block.mask, size);
                self.reach_block(block, &questions);
            }
        }
    }

    fn reach_block(&mut self, block: Block, questions: &[Question]) {
        let (model, mut cursor) = (self.model, Cursor::new(self, block.mask));
        let to_come = self.to_come(questions);
        for index in 0..block.states {
            if index > 0 {
                cursor.advance();
            }
            if self.get(block.offset + index).is_nan() {
                continue;
            }
            let (weights, standing) = cursor.look();
            let stop = model.stop(weights, standing);
            let may_drive = model.gates.may_road_test(standing);
            let allowed = || questions.iter().filter(|it| !it.drives || may_drive);
            let cheapest = allowed().map(|it| it.minutes).fold(f64::INFINITY, f64::min);
            let sure = model.sure_loss(weights, standing, to_come);
            if stop.loss <= cheapest * stop.total + sure {
                self.set(block.offset + index, stop.loss);
            } else {
                self.set(block.offset + index, -stop.loss);
                self.totals.get_mut(block.offset + index).into_iter().for_each(|slot| *slot = stop.total);
                for question in allowed() {
                    let first = question.first(index);
                    (0..question.radix).for_each(|answer| self.set(first + answer * question.stride, REACHED));
                }
            }
        }
    }

    /// All that the answers to these questions could show.
    fn to_come(&self, questions: &[Question]) -> Standing {
        let answers = questions.iter().flat_map(|it| (0..it.radix - 1).map(|answer| (it.check, answer)));
        let effects = answers.map(|(check, answer)| self.model.gates.effect(check, answer));
        effects.fold(Standing::default(), Standing::and)
    }

    /// Back: the value of every state that was reached and not settled.
    fn fill(&mut self) {
        for size in (0..=self.depth).rev() {
            for at in 0..self.blocks.get(size).map_or(0, Vec::len) {
                let Some(block) = self.block(size, at) else { continue };
                let questions = self.questions(block.mask, size);
                self.fill_block(block, &questions);
            }
        }
    }

    /// A question that the gates forbid leads to states that nothing reached, because standings only grow; its cost
    /// is then no number and never the least.
    fn fill_block(&mut self, block: Block, questions: &[Question]) {
        for index in 0..block.states {
            let state = block.offset + index;
            let marked = self.get(state);
            if marked.is_sign_positive() || marked.is_nan() {
                continue;
            }
            let total = self.totals.get(state).copied().unwrap_or(0.0);
            let (mut best, margin) = (-marked, TIE * total);
            for question in questions {
                let cost = self.cost(question, index, total);
                best = if cost < best - margin { cost } else { best };
            }
            self.set(state, best);
        }
    }

    fn cost(&self, question: &Question, index: usize, total: f64) -> f64 {
        let first = question.first(index);
        let unsure_at = question.radix - 1;
        let answered = (0..unsure_at).fold(0.0, |sum, answer| sum + self.get(first + answer * question.stride));
        let unsure = self.get(first + unsure_at * question.stride);
        question.minutes * total + (1.0 - question.unsure) * answered + question.unsure * unsure
    }

    fn get(&self, state: usize) -> f64 {
        self.values.get(state).copied().unwrap_or(UNREACHED)
    }

    fn set(&mut self, state: usize, value: f64) {
        if let Some(slot) = self.values.get_mut(state) {
            *slot = value;
        }
    }

    fn block(&self, size: usize, at: usize) -> Option<Block> {
        self.blocks.get(size)?.get(at).copied()
    }

    fn offset(&self, size: usize, mask: u128) -> Option<usize> {
        let blocks = self.blocks.get(size)?;
        let at = blocks.binary_search_by_key(&mask, |block| block.mask).ok()?;
        blocks.get(at).map(|block| block.offset)
    }

    fn questions(&self, mask: u128, size: usize) -> Vec<Question> {
        if size >= self.depth {
            // Most sets of checks are of that size, and there is nothing to look for in any of them.
            return Vec::new();
        }
        let mut found = Vec::new();
        let mut stride = 1;
        for (at, check) in self.start.open.iter().enumerate().rev() {
            if mask & 1 << at != 0 {
                stride *= self.radix_at(at);
            } else if let Some(offset) = self.offset(size + 1, mask | 1 << at) {
                found.extend(self.question(*check, offset, self.radix_at(at), stride));
            }
        }
        found.reverse();
        found
    }

    fn question(&self, check: usize, offset: usize, radix: usize, stride: usize) -> Option<Question> {
        let it = self.model.problem.checks.get(check)?;
        let drives = it.place == Place::RoadTest;
        Some(Question { check, minutes: it.minutes, unsure: it.unsure, drives, offset, radix, stride })
    }
}

impl Question {
    /// The state after the first answer; those after the others follow a stride apart, "not sure" last.
    fn first(&self, index: usize) -> usize {
        // Half as wide, because division then takes a fraction of the time; no table has more states than that.
        let (index, stride) = (index as u32, self.stride as u32);
        let high = (index / stride * stride) as usize;
        let low = (index % stride) as usize;
        self.offset + high * self.radix + low
    }
}

fn blocks(radix: &[usize], depth: usize) -> (Vec<Vec<Block>>, usize) {
    let mut offset = 1;
    let mut sizes = vec![vec![Block { mask: 0, offset: 0, states: 1 }]];
    for _ in 0..depth {
        let smaller = sizes.last().map(Vec::as_slice).unwrap_or_default();
        let mut larger: Vec<Block> = smaller.iter().flat_map(|block| extensions(*block, radix)).collect();
        larger.sort_by_key(|block| block.mask);
        for block in &mut larger {
            block.offset = offset;
            offset += block.states;
        }
        sizes.push(larger);
    }
    (sizes, offset)
}

/// Every set with one more check, later than those in it, so that each set arises once.
fn extensions(block: Block, radix: &[usize]) -> impl Iterator<Item = Block> {
    let from = (u128::BITS - block.mask.leading_zeros()) as usize;
    let more = radix.iter().enumerate().skip(from);
    more.map(move |(at, answers)| Block { mask: block.mask | 1 << at, offset: 0, states: block.states * answers })
}

/// Walks the states of one block in order. Weights and standings are kept by prefix, because neighbours share all
/// but the last answers, and worked out only where somebody looks.
struct Cursor<'m> {
    model: &'m Model<'m>,
    base: (Vec<f64>, Standing),
    levels: Vec<Level>,
    /// First level whose weights do not belong to its digit.
    stale: usize,
}

struct Level {
    check: usize,
    radix: usize,
    digit: usize,
    weights: Vec<f64>,
    standing: Standing,
}

impl<'m> Cursor<'m> {
    /// At state 0 of the block.
    fn new(table: &Table<'m>, mask: u128) -> Self {
        let asked = table.start.open.iter().zip(&table.radix).enumerate();
        let asked = asked.filter(|(at, _)| mask & 1 << at != 0);
        let level = |check: usize, radix: usize| Level {
            check,
            radix,
            digit: 0,
            weights: table.start.weights.clone(),
            standing: Standing::default(),
        };
        Self {
            model: table.model,
            base: (table.start.weights.clone(), table.start.standing),
            levels: asked.map(|(_, (check, radix))| level(*check, *radix)).collect(),
            stale: 0,
        }
    }

    /// At the state with these answers, one for each check of the block.
    fn at(table: &Table<'m>, mask: u128, answers: impl Iterator<Item = usize>) -> Self {
        let mut cursor = Self::new(table, mask);
        cursor.levels.iter_mut().zip(answers).for_each(|(level, answer)| level.digit = answer);
        cursor
    }

    /// On to the next state.
    fn advance(&mut self) {
        for (at, level) in self.levels.iter_mut().enumerate().rev() {
            self.stale = self.stale.min(at);
            level.digit += 1;
            if level.digit < level.radix {
                return;
            }
            level.digit = 0;
        }
    }

    fn look(&mut self) -> (&[f64], Standing) {
        let (fresh, rest) = self.levels.split_at_mut(self.stale);
        let mut before = fresh.last().unwrap_or_base(&self.base);
        for level in rest {
            level.update(self.model, before);
            before = (&level.weights, level.standing);
        }
        self.stale = self.levels.len();
        self.levels.last().unwrap_or_base(&self.base)
    }
}

trait OrBase<'a> {
    fn unwrap_or_base(self, base: &'a (Vec<f64>, Standing)) -> (&'a [f64], Standing);
}

impl<'a> OrBase<'a> for Option<&'a Level> {
    fn unwrap_or_base(self, base: &'a (Vec<f64>, Standing)) -> (&'a [f64], Standing) {
        self.map_or((base.0.as_slice(), base.1), |level| (level.weights.as_slice(), level.standing))
    }
}

impl Level {
    fn update(&mut self, model: &Model<'_>, (weights, standing): (&[f64], Standing)) {
        self.standing = standing.and(model.gates.effect(self.check, self.digit));
        match model.column(self.check, self.digit) {
            None => self.weights.copy_from_slice(weights),
            Some(column) => {
                let products = weights.iter().zip(column).map(|(weight, chance)| weight * chance);
                self.weights.iter_mut().zip(products).for_each(|(slot, product)| *slot = product);
            }
        }
    }
}
