//! The decision room: which question next, and which verdict.
//!
//! In: symptoms with their candidates, checks, evidence and gates, and hand-written flows. Out: for every symptom
//! and every group of vehicles with the same candidates a flow, what it costs, the bay plan and the reasons of its
//! steps; marks for flows that break a gate, have a hole or cannot be followed. Never: reads or writes a file,
//! words a mark, makes HTML.

mod evidence;
mod flow;
mod gates;
mod model;
mod policy;
mod problem;
mod table;
mod unfold;

pub use evidence::{Likelihoods, decibans, row};
pub use flow::{Act, Arrival, Expected, Flow, LEAST_LEAD, Step, WrittenFlow, WrittenStep, evaluate, leads};
pub use gates::{Floor, Gates, Standing};
pub use model::{Model, Stop, Verdict, loss, other_leads};
pub use policy::{Compiled, Ground, Method, compile, compile_by, least_cost, method, moves_after, optimum, placed};
pub use problem::{
    Answers, BayCheck, Candidate, Cause, Check, Confirm, Draft, DraftCandidate, Given, Hazard, NOT_SURE, Place,
    Problem, Requirement, Stakes,
};
pub use table::Moves;
pub use unfold::Unfolded;
