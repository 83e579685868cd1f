//! One remark of the proofreading pass, as data.

use std::borrow::Cow;

use serde::{Deserialize, Serialize};

use super::{MarkId, Span};

/// A remark: what kind, where, and the facts that its words are made of.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Mark {
    /// Which remark.
    pub id: MarkId,
    /// The smallest text that is to blame.
    pub span: Span,
    /// Named facts for the row of the catalogue: `found`, `expected`, `nearest` and others that the row names.
    pub facts: Vec<(Cow<'static, str>, String)>,
    /// Other places that belong to it.
    pub related: Vec<Related>,
}

/// A second place of a mark, with its own short words.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Related {
    /// Where.
    pub span: Span,
    /// What stands there, as a short clause.
    pub message: String,
}

impl Mark {
    /// A mark at a place, without facts yet.
    pub fn new(id: MarkId, span: Span) -> Self {
        Self { id, span, facts: Vec::new(), related: Vec::new() }
    }

    /// Adds a named fact.
    #[must_use]
    pub fn with(mut self, name: &'static str, value: impl Into<String>) -> Self {
        self.facts.push((Cow::Borrowed(name), value.into()));
        self
    }

    /// Adds a named fact if there is one.
    #[must_use]
    pub fn with_some(self, name: &'static str, value: Option<impl Into<String>>) -> Self {
        match value {
            Some(value) => self.with(name, value),
            None => self,
        }
    }

    /// Adds a second place.
    #[must_use]
    pub fn see(mut self, span: Span, message: impl Into<String>) -> Self {
        self.related.push(Related { span, message: message.into() });
        self
    }

    /// A fact by name.
    pub fn fact(&self, name: &str) -> Option<&str> {
        self.facts.iter().find(|(known, _)| *known == name).map(|(_, value)| value.as_str())
    }
}
