//! What must be shown before a vehicle is called normal or driven, and which alarms bind the verdict.
//!
//! A standing is what the answers so far have shown, as sets of bits; answers only ever add to it, so it can be
//! carried along any path and joined or met where paths join.

use super::problem::{Answers, Given, Hazard, Problem};
use serde::{Deserialize, Serialize};

/// Most hazards, and most requirements, that one problem can keep apart. What lies beyond is never shown, so that
/// a flow errs towards the workshop.
const BITS: usize = 128;

/// The lowest verdict that alarms leave open.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub enum Floor {
    /// No alarm.
    #[default]
    Open,
    /// At least book in: an alarm of a drive-with-care condition.
    BookIn,
    /// Do not drive: an alarm of a do-not-drive condition.
    DoNotDrive,
}

/// What a set of answers has shown.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Standing {
    /// Hazards that were ruled out.
    pub ruled_out: u128,
    /// Requirements of characteristics that were met.
    pub met: u128,
    /// Characteristics that an answer speaks against.
    pub barred: u128,
    /// What alarms leave open.
    pub floor: Floor,
}

impl Standing {
    /// What is shown for certain if either may have happened: least reassured, most alarmed.
    #[must_use]
    pub fn or_worse(self, other: Self) -> Self {
        Self {
            ruled_out: self.ruled_out & other.ruled_out,
            met: self.met & other.met,
            barred: self.barred | other.barred,
            floor: self.floor.max(other.floor),
        }
    }

    /// What both have shown together.
    #[must_use]
    pub fn and(self, more: Self) -> Self {
        Self {
            ruled_out: self.ruled_out | more.ruled_out,
            met: self.met | more.met,
            barred: self.barred | more.barred,
            floor: self.floor.max(more.floor),
        }
    }
}

/// What a characteristic needs.
#[derive(Clone, Copy, Debug, Default)]
struct Need {
    candidate: usize,
    met: u128,
    barred: u128,
    never: bool,
}

/// The gates of a problem, ready to be asked quickly.
#[derive(Clone, Debug)]
pub struct Gates {
    effects: Vec<Vec<Standing>>,
    hazards: u128,
    stops: u128,
    too_many: bool,
    needs: Vec<Need>,
    /// Candidate of each hazard bit.
    hazard_of: Vec<usize>,
    /// Characteristic and requirement of each met bit.
    requirement_of: Vec<(usize, usize)>,
}

impl Gates {
    /// Reads the gates of a problem.
    pub fn of(problem: &Problem) -> Self {
        let nothing = |answers: usize| vec![Standing::default(); answers + 1];
        let mut gates = Self {
            effects: problem.checks.iter().map(|check| nothing(check.answers.len())).collect(),
            hazards: 0,
            stops: 0,
            too_many: false,
            needs: Vec::new(),
            hazard_of: Vec::new(),
            requirement_of: Vec::new(),
        };
        problem.hazards().for_each(|at| gates.add_hazard(problem, at));
        problem.alarming().for_each(|at| gates.add_alarms(problem, at));
        let characteristics = problem.candidates.iter().enumerate();
        let characteristics = characteristics.filter(|(_, it)| it.cause == super::problem::Cause::Characteristic);
        characteristics.for_each(|(at, _)| gates.add_need(problem, at));
        gates
    }

    fn add_hazard(&mut self, problem: &Problem, at: usize) {
        let Some(candidate) = problem.candidates.get(at) else { return };
        let bit = bit(self.hazard_of.len());
        self.too_many |= bit == 0;
        self.hazard_of.push(at);
        self.hazards |= bit;
        let stop = candidate.cause.hazard() == Hazard::DoNotDrive;
        self.stops |= if stop { bit } else { 0 };
        let ruled_out = Standing { ruled_out: bit, ..Standing::default() };
        candidate.ruled_out_by.iter().for_each(|given| self.add_effect(given, ruled_out));
    }

    fn add_alarms(&mut self, problem: &Problem, at: usize) {
        let Some(candidate) = problem.candidates.get(at) else { return };
        let stop = candidate.cause.hazard() == Hazard::DoNotDrive;
        let floor = if stop { Floor::DoNotDrive } else { Floor::BookIn };
        candidate.alarm.iter().for_each(|given| self.add_effect(given, Standing { floor, ..Standing::default() }));
    }

    fn add_need(&mut self, problem: &Problem, at: usize) {
        let Some(candidate) = problem.candidates.get(at) else { return };
        let barred = bit(self.needs.len());
        let mut need = Need { candidate: at, met: 0, barred, never: barred == 0 };
        for (number, requirement) in candidate.only_if.iter().enumerate() {
            let bit = bit(self.requirement_of.len());
            self.requirement_of.push((at, number));
            need.met |= bit;
            need.never |= bit == 0 || requirement.answers.is_empty();
            let met = Standing { met: bit, ..Standing::default() };
            requirement.answers.iter().for_each(|given| self.add_effect(given, met));
        }
        let bars = Standing { barred, ..Standing::default() };
        candidate.not_if.iter().for_each(|given| self.add_effect(given, bars));
        self.needs.push(need);
    }

    fn add_effect(&mut self, given: &Given, effect: Standing) {
        let slot = self.effects.get_mut(given.check).and_then(|answers| answers.get_mut(given.answer));
        if let Some(slot) = slot {
            *slot = slot.and(effect);
        }
    }

    /// What one answer shows. "Not sure" shows nothing.
    pub fn effect(&self, check: usize, answer: usize) -> Standing {
        self.effects.get(check).and_then(|answers| answers.get(answer)).copied().unwrap_or_default()
    }

    /// What all answers show together.
    pub fn standing(&self, answers: &Answers) -> Standing {
        answers.given().fold(Standing::default(), |so_far, (check, answer)| so_far.and(self.effect(check, answer)))
    }

    /// Whether every condition with a hazard was ruled out.
    pub fn all_ruled_out(&self, standing: Standing) -> bool {
        !self.too_many && standing.ruled_out & self.hazards == self.hazards
    }

    /// Whether the vehicle may be driven to find out more: every do-not-drive condition was ruled out.
    pub fn may_road_test(&self, standing: Standing) -> bool {
        !self.too_many && standing.ruled_out & self.stops == self.stops
    }

    /// Whether a characteristic's own conditions hold (`only_if`, `not_if`).
    pub fn own_conditions_hold(&self, standing: Standing, candidate: usize) -> bool {
        let need = self.needs.iter().find(|need| need.candidate == candidate);
        need.is_some_and(|need| Self::holds(need, standing))
    }

    fn holds(need: &Need, standing: Standing) -> bool {
        !need.never && standing.met & need.met == need.met && standing.barred & need.barred == 0
    }

    /// Characteristics that may be explained now, apart from the question who leads.
    pub fn explainable(&self, standing: Standing) -> impl Iterator<Item = usize> {
        let open = standing.floor == Floor::Open && self.all_ruled_out(standing);
        let needs = self.needs.iter().filter(move |need| open && Self::holds(need, standing));
        needs.map(|need| need.candidate)
    }

    /// Whether any characteristic can still be explained, if answers show no more than `to_come`. Alarms and bars of
    /// answers to come are left out: they need not be given.
    pub fn may_explain(&self, standing: Standing, to_come: Standing) -> bool {
        let best = Standing {
            ruled_out: standing.ruled_out | to_come.ruled_out,
            met: standing.met | to_come.met,
            barred: standing.barred,
            floor: standing.floor,
        };
        self.explainable(best).next().is_some()
    }

    /// Hazards of at least `from` that were not ruled out, as candidates.
    pub fn not_ruled_out(&self, standing: Standing, stops_only: bool) -> impl Iterator<Item = usize> {
        let mask = if stops_only { self.stops } else { self.hazards };
        let open = move |&(number, _): &(usize, &usize)| {
            let bit = bit(number);
            bit == 0 || mask & bit & !standing.ruled_out != 0
        };
        self.hazard_of.iter().enumerate().filter(open).map(|(_, candidate)| *candidate)
    }

    /// Requirements of a characteristic that were not met, by position in its `only_if`.
    pub fn not_met(&self, standing: Standing, candidate: usize) -> impl Iterator<Item = usize> {
        let open = move |&(number, of): &(usize, &(usize, usize))| {
            let bit = bit(number);
            of.0 == candidate && (bit == 0 || standing.met & bit == 0)
        };
        self.requirement_of.iter().enumerate().filter(open).map(|(_, (_, requirement))| *requirement)
    }

    /// Whether an answer spoke against a characteristic (`not_if`).
    pub fn is_barred(&self, standing: Standing, candidate: usize) -> bool {
        self.needs.iter().any(|need| need.candidate == candidate && standing.barred & need.barred != 0)
    }

    /// The bit that says a requirement of a characteristic was met.
    pub fn requirement_bit(&self, candidate: usize, requirement: usize) -> u128 {
        self.requirement_of.iter().position(|it| *it == (candidate, requirement)).map_or(0, bit)
    }

    /// The bit that says an answer spoke against a characteristic.
    pub fn barred_bit(&self, candidate: usize) -> u128 {
        self.needs.iter().find(|need| need.candidate == candidate).map_or(0, |need| need.barred)
    }

    /// The bit that says a hazard candidate was ruled out.
    pub fn hazard_bit(&self, candidate: usize) -> u128 {
        self.hazard_of.iter().position(|it| *it == candidate).map_or(0, bit)
    }
}

fn bit(number: usize) -> u128 {
    if number < BITS { 1 << number } else { 0 }
}
