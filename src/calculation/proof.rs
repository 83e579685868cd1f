//! The proof that no formula leaves its domain while the inputs move within their ranges.
//!
//! First every statement is enclosed over the full ranges: that settles nearly all. Where an enclosure fails, the box of
//! inputs is halved until every part is proved, or until concrete inputs fail in plain evaluation: at corners, middles and
//! round numbers of the parts, and where a divisor changes its sign between two of those points. The work is bounded by
//! [`MAX_PARTS`]. What is then still open is reported as not excluded, with the inputs near which it happens: what is
//! published is proved.

use std::cell::{Cell, RefCell};
use std::collections::VecDeque;

use super::enclose::Enclosure;
use super::faults;
use super::formula::{Fault, Trouble};
use super::interval::Interval;
use super::show;
use super::values::{BoxState, Input, Moving, PointState, Program};
use crate::diagnostic::{Mark, Span};

/// Parts that are looked at before the proof is given up.
const MAX_PARTS: usize = 1_500;
/// Statements that may be evaluated for all searches of a sheet: a bound on time whatever the text.
const MAX_WORK: usize = 3_000_000;
/// A part this narrow, relative to the range, is not cut further.
const NARROWEST: f64 = 1e-12;
/// Corners of at most this many inputs are tried.
const CORNER_INPUTS: usize = 6;

/// The marks of all statements that can leave their domain. `skip` holds statements that have a fault already.
pub(super) fn prove(program: &Program<'_>, skip: &[bool]) -> Vec<(usize, Mark)> {
    let mut state = program.box_state();
    let mut open = skip.to_vec();
    let mut marks = Vec::new();
    let work = Cell::new(MAX_WORK);
    for at in program.order.iter().copied() {
        let statement = program.statements.get(at);
        let follows =
            statement.is_some_and(|statement| statement.uses.iter().any(|used| open.get(*used) == Some(&true)));
        if follows || open.get(at) == Some(&true) {
            mark_open(&mut open, at);
            continue;
        }
        let full = moving(program, at);
        let enclosed = match full {
            Some(moving) => Ok(Enclosure::Number(moving.range)),
            None => program.enclosure(at, &state),
        };
        match enclosed {
            Ok(enclosure) => {
                if unbounded(enclosure)
                    && let Some(mark) = Search::new(program, at, &work).corners()
                {
                    mark_open(&mut open, at);
                    marks.push((at, mark));
                    continue;
                }
                if let Some(slot) = state.values.get_mut(at) {
                    *slot = Some(enclosure);
                }
            }
            Err(fault) => {
                let left = work.get() > 0;
                let mark = if left { Search::new(program, at, &work).run() } else { Some(faults::domain(fault, "no")) };
                if let Some(mark) = mark {
                    mark_open(&mut open, at);
                    marks.push((at, mark));
                }
            }
        }
    }
    marks
}

fn unbounded(enclosure: Enclosure) -> bool {
    matches!(enclosure, Enclosure::Number(interval) if !interval.is_finite())
}

fn mark_open(open: &mut [bool], at: usize) {
    if let Some(slot) = open.get_mut(at) {
        *slot = true;
    }
}

fn moving(program: &Program<'_>, at: usize) -> Option<Moving> {
    program.is_given(at).then(|| program.moving_of(&[at]).into_iter().next()).flatten()
}

/// The search for inputs that break one statement.
struct Search<'a> {
    program: &'a Program<'a>,
    at: usize,
    chain: Vec<usize>,
    inputs: Vec<Moving>,
    points: RefCell<PointState>,
    boxes: BoxState,
    looked: usize,
    work: &'a Cell<usize>,
}

/// A point that was tried, and the divisors met there.
struct Tried {
    point: Vec<f64>,
    divisors: Vec<(Span, f64)>,
}

impl<'a> Search<'a> {
    fn new(program: &'a Program<'a>, at: usize, work: &'a Cell<usize>) -> Self {
        let chain = program.chain(at);
        let inputs = program.moving_of(&chain);
        Self {
            program,
            at,
            chain,
            inputs,
            points: RefCell::new(program.point_state()),
            boxes: program.box_state(),
            looked: 0,
            work,
        }
    }

    /// A mark, if the formula can leave its domain or if that could not be excluded.
    fn run(mut self) -> Option<Mark> {
        let whole: Vec<Interval> = self.inputs.iter().map(|input| input.range).collect();
        let mut queue = VecDeque::from([whole]);
        let mut undecided: Option<(Vec<Interval>, Fault)> = None;
        while let Some(part) = queue.pop_front() {
            let Some(fault) = self.possible_fault(&part) else { continue };
            if let Some(mark) = self.witness(&part, self.looked == 0) {
                return Some(mark);
            }
            self.looked += 1;
            let goes_on = self.looked < MAX_PARTS && self.work.get() > 0;
            match self.halves(&part).filter(|_| goes_on) {
                Some([one, other]) => queue.extend([one, other]),
                None if goes_on && may_touch(fault.trouble) => {}
                None => {
                    undecided = Some((part, fault));
                    break;
                }
            }
        }
        undecided.map(|(part, fault)| self.not_excluded(&part, fault))
    }

    /// A mark, if the formula fails at a corner: for numbers beyond the largest double.
    fn corners(self) -> Option<Mark> {
        let whole: Vec<Interval> = self.inputs.iter().map(|input| input.range).collect();
        self.witness(&whole, true)
    }

    fn spend(&self) {
        self.work.set(self.work.get().saturating_sub(self.chain.len()));
    }

    /// The fault that the statement may have within the part.
    fn possible_fault(&mut self, part: &[Interval]) -> Option<Fault> {
        let inputs: Vec<(Input, Interval)> =
            self.inputs.iter().zip(part).map(|(moving, range)| (moving.input, *range)).collect();
        self.spend();
        match self.program.run_box(&self.chain, &mut self.boxes, &inputs) {
            Ok(()) => None,
            Err((_, fault)) => (!matches!(fault.trouble, Trouble::Missing | Trouble::TooLarge)).then_some(fault),
        }
    }

    /// The part cut in two across its widest side, relative to the range.
    fn halves(&self, part: &[Interval]) -> Option<[Vec<Interval>; 2]> {
        let share = |at: usize| {
            let range = self.inputs.get(at).map_or(0.0, |input| input.range.width());
            part.get(at).map_or(0.0, |side| if range > 0.0 { side.width() / range } else { 0.0 })
        };
        let widest = (0..part.len()).max_by(|a, b| share(*a).total_cmp(&share(*b)))?;
        let side = part
            .get(widest)
            .filter(|side| share(widest) > NARROWEST && side.low < side.middle() && side.middle() < side.high)?;
        let with = |replacement: Interval| {
            let replace = |(at, side): (usize, &Interval)| if at == widest { replacement } else { *side };
            part.iter().enumerate().map(replace).collect()
        };
        let middle = side.middle();
        Some([with(Interval::new(side.low, middle)), with(Interval::new(middle, side.high))])
    }

    /// Inputs inside the part that break the statement.
    fn witness(&self, part: &[Interval], corners: bool) -> Option<Mark> {
        let mut tried: Vec<Tried> = Vec::new();
        for point in self.candidates(part, corners) {
            let divisors = RefCell::new(Vec::new());
            match self.fault_at(&point, Some(&divisors)) {
                Some(fault) => return Some(self.mark(&point, fault, "yes")),
                None => tried.push(Tried { point, divisors: divisors.into_inner() }),
            }
        }
        let first = tried.first()?;
        tried.iter().skip(1).find_map(|other| self.sign_change(first, other))
    }

    fn candidates(&self, part: &[Interval], corners: bool) -> Vec<Vec<f64>> {
        let middle = part.iter().map(|side| side.middle()).collect();
        let round = part.iter().zip(&self.inputs).map(|(side, input)| self.round_number(*side, input.input)).collect();
        let all_corners = corners && part.len() <= CORNER_INPUTS;
        let count = if all_corners { 1_usize << part.len() } else { 2 };
        let corner = |bits: usize| {
            let high = |at: usize| if all_corners { bits >> at & 1 == 1 } else { bits == 1 };
            part.iter().enumerate().map(|(at, side)| if high(at) { side.high } else { side.low }).collect()
        };
        [round, middle].into_iter().chain((0..count).map(corner)).collect()
    }

    /// The number with the fewest digits, in the unit that the input is written in, that lies inside.
    fn round_number(&self, side: Interval, input: Input) -> f64 {
        let unit = match input {
            Input::Given(at) => self.program.statements.get(at).and_then(|statement| statement.unit.as_ref()),
            Input::Specification(_) => None,
        };
        let (from, to) = (
            |base: f64| unit.map_or(base, |unit| unit.from_base(base)),
            |number: f64| unit.map_or(number, |unit| unit.double_to_base(number)),
        );
        to(roundest(from(side.low), from(side.high))).clamp(side.low, side.high)
    }

    fn fault_at(&self, point: &[f64], divisors: Option<&RefCell<Vec<(Span, f64)>>>) -> Option<Fault> {
        let inputs: Vec<(Input, f64)> =
            self.inputs.iter().zip(point).map(|(moving, number)| (moving.input, *number)).collect();
        self.spend();
        let mut state = self.points.borrow_mut();
        let run = self.program.run_point(&self.chain, &mut state, &inputs, divisors);
        run.err().filter(|(at, fault)| *at == self.at && fault.trouble != Trouble::Missing).map(|(_, fault)| fault)
    }

    /// A divisor that is positive at one point and negative at another is zero between them.
    fn sign_change(&self, one: &Tried, other: &Tried) -> Option<Mark> {
        let span = one.divisors.iter().find_map(|(span, value)| {
            let opposite = other.divisors.iter().any(|(place, number)| place == span && number * value < 0.0);
            opposite.then_some(*span)
        })?;
        let (mut low, mut high) = (one.point.clone(), other.point.clone());
        let sign_at = |point: &[f64]| {
            let divisors = RefCell::new(Vec::new());
            let fault = self.fault_at(point, Some(&divisors));
            let met = divisors.into_inner().into_iter().find(|(place, _)| *place == span);
            (fault, met.map(|(_, value)| value))
        };
        let start = sign_at(&low).1?;
        for _ in 0..80 {
            let middle: Vec<f64> = low.iter().zip(&high).map(|(a, b)| a + (b - a) / 2.0).collect();
            match sign_at(&middle) {
                (Some(fault), _) => return Some(self.mark(&middle, fault, "yes")),
                (None, Some(value)) if value * start > 0.0 => low = middle,
                (None, Some(_)) => high = middle,
                (None, None) => return None,
            }
        }
        // A jump (`if`, `floor`) changes a sign without passing zero.
        let value = sign_at(&low).1?;
        let near_zero = value.abs() <= start.abs() * 1e-6;
        near_zero.then(|| self.mark(&low, Fault::new(Trouble::DivisionByZero, span), "yes"))
    }

    fn not_excluded(&self, part: &[Interval], fault: Fault) -> Mark {
        let middle: Vec<f64> = part.iter().map(|side| side.middle()).collect();
        self.mark(&middle, fault, "no")
    }

    fn mark(&self, point: &[f64], fault: Fault, certain: &'static str) -> Mark {
        let inputs = self.inputs.iter().zip(point).filter_map(|(moving, number)| match moving.input {
            Input::Given(at) => {
                let statement = self.program.statements.get(at)?;
                Some(format!("{} = {}", statement.name.value, show::short(*number, statement.unit.as_ref())))
            }
            Input::Specification(_) => None,
        });
        let inputs = inputs.collect::<Vec<_>>().join(", ");
        let mark = faults::domain(fault, certain);
        mark.with_some("inputs", (!inputs.is_empty()).then_some(inputs))
    }
}

/// Domains whose edge belongs to them: a formula that comes to within rounding of the edge, and is never seen beyond it,
/// touches it. (`sqrt(a^2 + b^2 - a * b)` is 0 when both are.) A divisor or a logarithm must stay away from the edge.
fn may_touch(trouble: Trouble) -> bool {
    matches!(
        trouble,
        Trouble::RootOfNegative
            | Trouble::ArcOutside
            | Trouble::OutsideTable
            | Trouble::BelowAbsoluteZero
            | Trouble::BelowVacuum
    )
}

/// The number with the fewest digits between two.
fn roundest(low: f64, high: f64) -> f64 {
    if low <= 0.0 && high >= 0.0 {
        return 0.0;
    }
    let size = low.abs().max(high.abs()).log10().ceil();
    let start = if size.is_finite() { size.clamp(-300.0, 300.0) as i32 } else { 0 };
    for exponent in (start - 17..=start).rev() {
        let step: f64 = format!("1e{exponent}").parse().unwrap_or(1.0);
        let number = if exponent < 0 { (low * (1.0 / step)).ceil() / (1.0 / step) } else { (low / step).ceil() * step };
        if number <= high && number >= low {
            return number;
        }
    }
    low + (high - low) / 2.0
}
