//! What the templates of a flow are given. Names here are the names in the templates.

use serde::{Serialize, Serializer};

use super::context::{CautionContext, RefContext};
use super::diagram::{Chart, svg};
use super::html::Html;

#[derive(Serialize)]
pub(super) struct FlowContext<'e> {
    pub(super) symptom: RefContext,
    pub(super) method: &'static str,
    pub(super) drawing_href: String,
    pub(super) variants: Vec<VariantContext<'e>>,
}

/// The page that shows a flow as a drawing.
#[derive(Serialize)]
pub(super) struct DrawingContext {
    pub(super) symptom: RefContext,
    pub(super) flow_href: String,
    pub(super) variants: Vec<DrawnContext>,
}

#[derive(Serialize)]
pub(super) struct DrawnContext {
    pub(super) id: String,
    pub(super) fits: String,
    pub(super) svg: Drawing,
}

/// A chart: drawn for a template, told for a digest of what a page is made from, as drawing takes long.
pub(super) struct Drawing {
    pub(super) chart: Chart,
    pub(super) title: String,
}

impl Serialize for Drawing {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        match serializer.is_human_readable() {
            true => serializer.serialize_str(&svg(&self.chart, &self.title)),
            false => (&self.chart, &self.title).serialize(serializer),
        }
    }
}

#[derive(Serialize)]
pub(super) struct VariantContext<'e> {
    pub(super) id: String,
    pub(super) fits: String,
    pub(super) boxes: String,
    pub(super) start: String,
    pub(super) expected: Option<ExpectedContext>,
    pub(super) candidates: Vec<ChanceContext>,
    pub(super) gates: Vec<GateContext>,
    pub(super) steps: Vec<StepContext<'e>>,
    /// Every question once, for the write-up.
    pub(super) asked: Vec<AskedContext>,
    pub(super) odds: OddsContext,
}

#[derive(Serialize)]
pub(super) struct ExpectedContext {
    pub(super) minutes_text: String,
    pub(super) loss_text: String,
    pub(super) optimum_text: String,
}

#[derive(Serialize)]
pub(super) struct ChanceContext {
    #[serde(rename = "ref")]
    pub(super) entry: Option<RefContext>,
    pub(super) percent: f64,
    pub(super) text: String,
}

#[derive(Serialize)]
pub(super) struct GateContext {
    #[serde(rename = "ref")]
    pub(super) entry: RefContext,
    pub(super) by: Vec<String>,
}

#[derive(Serialize)]
pub(super) struct AskedContext {
    pub(super) check: String,
    pub(super) ask: String,
    pub(super) answers: Vec<String>,
}

/// Chances of all candidates at every verdict.
#[derive(Serialize)]
pub(super) struct OddsContext {
    pub(super) verdicts: Vec<OddsColumn>,
    pub(super) rows: Vec<OddsRow>,
}

#[derive(Serialize)]
pub(super) struct OddsColumn {
    pub(super) n: usize,
    pub(super) anchor: String,
    pub(super) verdict: &'static str,
}

#[derive(Serialize)]
pub(super) struct OddsRow {
    /// Empty for a cause that nobody listed.
    pub(super) title: String,
    pub(super) texts: Vec<String>,
}

/// A question or a verdict: templates look at `verdict`, which is empty for a question.
#[derive(Serialize)]
#[serde(untagged)]
pub(super) enum StepContext<'e> {
    Question(Box<QuestionContext>),
    Verdict(Box<VerdictContext<'e>>),
}

#[derive(Serialize)]
pub(super) struct QuestionContext {
    pub(super) n: usize,
    pub(super) anchor: String,
    pub(super) verdict: &'static str,
    #[serde(rename = "ref")]
    pub(super) entry: RefContext,
    pub(super) ask: String,
    #[serde(rename = "where")]
    pub(super) place: &'static str,
    pub(super) minutes_text: String,
    pub(super) cautions: Vec<CautionContext>,
    pub(super) answers: Vec<AnswerContext>,
    pub(super) why: String,
    pub(super) gates: Vec<String>,
}

#[derive(Serialize)]
pub(super) struct AnswerContext {
    pub(super) id: String,
    pub(super) text: String,
    pub(super) to: String,
    pub(super) step: usize,
    pub(super) verdict: &'static str,
}

#[derive(Serialize)]
pub(super) struct VerdictContext<'e> {
    pub(super) n: usize,
    pub(super) anchor: String,
    pub(super) verdict: &'static str,
    /// Why, in a sentence.
    pub(super) reason: String,
    /// Whether the vehicle may be driven; `None` where the verdict itself forbids it.
    pub(super) drive: Option<DriveContext>,
    /// Whether no listed cause explains the answers as well as an unlisted one.
    pub(super) other_leads: bool,
    pub(super) entry: Option<RefContext>,
    pub(super) brief_html: Html<'e>,
    pub(super) plain_html: Html<'e>,
    pub(super) full_html: Html<'e>,
    pub(super) handout_href: String,
    pub(super) lang: String,
    pub(super) leads: Vec<LeadContext>,
    pub(super) bay_plan: Vec<PlanContext>,
    pub(super) cautions: Vec<CautionContext>,
}

/// Whether the vehicle may be driven: drawn like the hazard of a fault.
#[derive(Serialize)]
pub(super) struct DriveContext {
    pub(super) level: &'static str,
    pub(super) icon: &'static str,
    pub(super) title: String,
    pub(super) means: String,
}

#[derive(Serialize)]
pub(super) struct LeadContext {
    #[serde(rename = "ref")]
    pub(super) entry: RefContext,
    pub(super) hazard: &'static str,
    pub(super) percent: f64,
    pub(super) text: String,
}

#[derive(Serialize)]
pub(super) struct PlanContext {
    #[serde(rename = "ref")]
    pub(super) entry: RefContext,
    pub(super) confirms: RefContext,
    pub(super) minutes_text: String,
    pub(super) chance_text: String,
    pub(super) cumulative_text: String,
}
