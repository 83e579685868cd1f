//! The shop, its words and its cautions as meant.

use super::Kind;
use super::shape::LIKELIHOOD_WORDS;
use crate::diagnostic::Spanned;
use serde::{Deserialize, Serialize};

/// `shop.yaml`.
#[derive(Clone, Debug)]
pub struct Shop {
    /// The workshop's name.
    pub name: String,
    /// Languages; the first is the default. Never empty.
    pub languages: Vec<String>,
    /// Unit systems, first and second: `metric`, `us`.
    pub units: Vec<String>,
    /// The address of the published site, with a slash at its end.
    pub address: Option<String>,
    /// Days until an entry is to be read again.
    pub review_every: i32,
    /// School grade that customer texts must not exceed.
    pub reading_level: f64,
    /// The standing notice of local rules.
    pub local_rules: String,
    /// What verdicts cost when they are wrong.
    pub stakes: Stakes,
    /// Questions on any path of a compiled flow, at most.
    pub max_questions: usize,
    /// Weight of a cause that nobody listed, times the sum of the listed priors.
    pub other: f64,
    /// Numbers of the words of evidence, in the order of [`LIKELIHOOD_WORDS`].
    pub likelihoods: Vec<(&'static str, f64)>,
}

impl Default for Shop {
    fn default() -> Self {
        Self {
            name: String::new(),
            languages: vec!["en".to_owned()],
            units: vec!["metric".to_owned()],
            address: None,
            review_every: 365,
            reading_level: 8.0,
            local_rules: "Follow local rules and the vehicle maker's procedure. Work that can hurt somebody is for \
                          qualified people."
                .to_owned(),
            stakes: Stakes::default(),
            max_questions: 6,
            other: 0.05,
            likelihoods: LIKELIHOOD_WORDS.to_vec(),
        }
    }
}

/// Losses of verdicts that turn out wrong, in minutes.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Stakes {
    /// A healthy vehicle is booked in.
    pub needless_visit: f64,
    /// One characteristic is explained, and it is another.
    pub wrong_explanation: f64,
    /// A condition without hazard is explained away.
    pub missed_fault: f64,
    /// A condition to drive with care with is explained away.
    pub missed_care: f64,
    /// A condition not to drive with is explained away.
    pub missed_stop: f64,
    /// A vehicle that should not be driven is told to come.
    pub drove_in: f64,
    /// A vehicle that could be driven is fetched.
    pub needless_recovery: f64,
}

impl Default for Stakes {
    fn default() -> Self {
        Self {
            needless_visit: 60.0,
            wrong_explanation: 20.0,
            missed_fault: 240.0,
            missed_care: 2000.0,
            missed_stop: 20000.0,
            drove_in: 2000.0,
            needless_recovery: 180.0,
        }
    }
}

/// A trade term.
#[derive(Clone, Debug)]
pub struct Term {
    /// The term.
    pub term: Spanned<String>,
    /// What the trade means by it.
    pub means: String,
    /// What customers say for it.
    pub heard_as: Vec<String>,
    /// Entries that it leads to.
    pub see: Vec<Spanned<(Kind, String)>>,
}

/// A hazard class with the words of its caution.
#[derive(Clone, Debug)]
pub struct HazardClass {
    /// Its id.
    pub id: String,
    /// `danger`, `warning`, `caution` or `notice`.
    pub signal: String,
    /// What to beware of, and how; `None` where the theme's own words for the class serve.
    pub text: Option<String>,
}
