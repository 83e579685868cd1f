//! The decision room: which question next, and which verdict.
//!
//! In: symptoms with their candidates, checks, evidence and gates, and hand-written flows. Out: for every symptom
//! and every group of vehicles with the same candidates a flow, what it costs, the bay plan and the reasons of its
//! steps; marks for flows that break a gate, have a hole or cannot be followed. Never: reads or writes a file,
//! words a mark, makes HTML.

mod bands;
mod bay_plan;
mod best_fit;
mod data;
mod decide;
mod evidence;
mod explain;
mod faults;
mod flow;
mod gates;
mod left_open;
mod model;
mod places;
mod policy;
mod problem;
mod proof;
mod shop;
mod table;
mod told;
mod unfold;
mod walk;
mod written;

pub use bands::{Band, Decimal, End, check_bands, parse_band};
pub use bay_plan::{BayPlan, BayStep, bay_plan};
pub use data::{ask_data, candidate_key, flow_data, script_data};
pub use decide::{Decisions, StepFacts, SymptomFlow, Variant, decide, decide_with};
pub use evidence::{decibans, row};
pub use explain::{Change, Weighing, Why, balance, changes, first_ways, misfits, settled, why};
pub use flow::{Act, Arrival, Expected, Flow, LEAST_LEAD, Step, WrittenFlow, WrittenStep, evaluate, leads};
pub use gates::{Floor, Gates, Standing};
pub use left_open::{left_open, shared};
pub use model::{Model, Stop, Verdict, loss, other_leads};
pub use policy::{
    Compiled, Ground, Method, compile, compile_by, least_cost, method, moves_after, optimum, placed, states_to_spare,
};
pub use problem::{
    Answers, BayCheck, Candidate, Cause, Check, Confirm, Draft, DraftCandidate, Given, Hazard, Place, Problem,
    Requirement, Stakes,
};
pub use proof::{never_ruled_out, prove, prove_problem};
pub use table::Moves;
pub use told::{Told, question, told, why_words};
pub use unfold::{Node, Unfolded};
pub use walk::{OpenGate, Outcome, Walk, open_gates, ranking, verdict_after, walk};
pub use written::read_written;
