//! What a verdict says: its reason, whether the vehicle may be driven, what to tell, what to look at.

use super::entry_page::{handout_path, placed};
use super::flow_context::{DriveContext, LeadContext, PlanContext, VerdictContext};
use super::flow_page::{Drawn, percent};
use super::html::Html;
use super::numbers::minutes_text;
use crate::decision::{BayPlan, Cause, StepFacts, Verdict, other_leads};
use crate::entry::Hazard;
use crate::knowledge::{Characteristic, EntryRef};

/// An explanation at three depths.
#[derive(Default)]
struct Told<'e> {
    brief_html: Html<'e>,
    plain_html: Html<'e>,
    full_html: Html<'e>,
    handout_href: String,
    lang: String,
}

/// What is known where a verdict is reached.
#[derive(Clone, Copy)]
pub(super) struct Arrived<'a> {
    pub(super) facts: &'a StepFacts,
    /// The hazards that some way to it does not rule out.
    pub(super) open: &'a [usize],
    /// Whether several ways lead to it: its chances are then none of theirs.
    pub(super) shared: bool,
}

impl<'e> Drawn<'e> {
    pub(super) fn verdict(
        &self,
        at: usize,
        verdict: Verdict,
        leads: &[usize],
        arrived: Arrived<'_>,
    ) -> VerdictContext<'e> {
        let Arrived { facts, open, shared } = arrived;
        let edition = self.edition;
        let mut reason = self.reason(verdict, &facts.arrival.chances, &self.alarmed(open, leads));
        if shared {
            reason = format!("{reason} {}", edition.word("ways_average"));
        }
        let explained = if let Verdict::Explain(candidate) = verdict { self.candidate_ref(candidate) } else { None };
        let told = explained.map(|entry| self.told(entry)).unwrap_or_default();
        let chance = |candidate: usize| facts.arrival.chances.get(candidate).copied().unwrap_or(0.0);
        let lead = |candidate: &usize| {
            let known = self.variant.problem.candidates.get(*candidate)?;
            Some(LeadContext {
                entry: edition.link(self.candidate_ref(*candidate)?).clone(),
                hazard: Hazard::word(known.cause.hazard()),
                percent: percent(chance(*candidate)),
                // Of one that is here for its alarm no chance is known.
                text: if known.can_be_cause() { self.percent_text(chance(*candidate)) } else { String::new() },
            })
        };
        let bay = facts.bay_plan.steps.iter().filter_map(|step| self.variant.problem.bay_checks.get(step.check));
        let hazards = bay
            .filter_map(|check| self.check(&check.id))
            .flat_map(|check| &edition.knowledge.checks[check].detail.hazards);
        VerdictContext {
            n: at + 1,
            anchor: self.anchor(at),
            verdict: verdict.word(),
            reason,
            // Nothing is known of a step that no way leads to.
            drive: facts.answers.as_ref().and_then(|_| self.drive(verdict, &self.to_be_checked(open, leads))),
            other_leads: other_leads(&facts.arrival.chances),
            entry: explained.map(|entry| edition.link(entry).clone()),
            brief_html: told.brief_html,
            plain_html: told.plain_html,
            full_html: told.full_html,
            handout_href: told.handout_href,
            lang: told.lang,
            leads: leads.iter().filter_map(lead).collect(),
            bay_plan: self.bay_plan(&facts.bay_plan),
            cautions: edition.cautions(hazards),
        }
    }

    /// What the customer is told, in this edition's language or else in the shop's first.
    fn told(&self, entry: EntryRef) -> Told<'e> {
        let edition = self.edition;
        let Some(at) = edition.knowledge.typed::<Characteristic>(entry) else { return Told::default() };
        let characteristic = &edition.knowledge.characteristics[at];
        let tell = &characteristic.detail.tell;
        let own = tell.iter().find(|(language, _)| language == edition.language).or(tell.first());
        let Some((language, telling)) = own else { return Told::default() };
        let path = self.path();
        let html = |text| Html::of(edition, Some(text), placed(&characteristic.head, &path, ""));
        Told {
            brief_html: html(&telling.brief),
            plain_html: html(&telling.plain),
            full_html: html(&telling.full),
            handout_href: handout_path(&characteristic.head, language),
            lang: if language == edition.language { String::new() } else { language.clone() },
        }
    }

    fn path(&self) -> String {
        format!("{}flows/{}.html", self.edition.prefix, self.variant.problem.symptom)
    }

    fn bay_plan(&self, plan: &BayPlan) -> Vec<PlanContext> {
        let row = |step: &crate::decision::BayStep| {
            let check = self.variant.problem.bay_checks.get(step.check)?;
            Some(PlanContext {
                entry: self.edition.link(self.check(&check.id)?).clone(),
                confirms: self.edition.link(self.candidate_ref(step.confirms)?).clone(),
                minutes_text: minutes_text(step.minutes, self.edition.words),
                chance_text: self.percent_text(step.chance),
                cumulative_text: self.percent_text(step.cumulative),
            })
        };
        plan.steps.iter().filter_map(row).collect()
    }

    /// Why this verdict, in a sentence or two. The page's script says the same of the answers that were given.
    fn reason(&self, verdict: Verdict, chances: &[f64], open: &[usize]) -> String {
        let stops = self.titles(open.iter().filter(|at| self.hazard(**at) == Hazard::DoNotDrive));
        let best = self.best(verdict, chances);
        if verdict != Verdict::DoNotDrive || stops.is_empty() {
            return best;
        }
        let stop = self.edition.word("reason_stop").replace("{causes}", &stops);
        if other_leads(chances) { format!("{stop} {best}") } else { stop }
    }

    /// What fits the answers best, or that nothing listed does.
    fn best(&self, verdict: Verdict, chances: &[f64]) -> String {
        let ranked = (0..chances.len()).rev().max_by(|a, b| chance_at(chances, *a).total_cmp(&chance_at(chances, *b)));
        let Some(first) = ranked else { return String::new() };
        let cause = self.variant.problem.candidates.get(first).map(|it| it.cause);
        let key = match (cause, verdict) {
            (Some(Cause::Other), _) => "reason_other",
            (Some(Cause::Characteristic), Verdict::BookIn | Verdict::DoNotDrive) => "reason_not_shown",
            _ => "reason_fits",
        };
        let chance = self.percent_text(chance_at(chances, first));
        self.edition.word(key).replace("{cause}", &self.titles([&first])).replace("{chance}", &chance)
    }

    /// The hazards that decide whether the vehicle may be driven: those that are open, and those that the bay is told to
    /// look at, even where an answer speaks against them. Nobody is told of a fault and that there is none.
    fn to_be_checked(&self, open: &[usize], leads: &[usize]) -> Vec<usize> {
        let named = leads.iter().filter(|lead| self.hazard(**lead) != Hazard::None && !open.contains(lead));
        open.iter().chain(named).copied().collect()
    }

    /// The hazards that are open, and those that lead for their alarm alone.
    fn alarmed(&self, open: &[usize], leads: &[usize]) -> Vec<usize> {
        let alone = leads.iter().filter(|lead| !self.variant.problem.can_be_cause(**lead));
        alone.chain(open).copied().collect()
    }

    /// Whether the vehicle may be driven after a verdict that does not forbid it, while these hazards are to be checked.
    fn drive(&self, verdict: Verdict, open: &[usize]) -> Option<DriveContext> {
        let worst = open.iter().map(|at| self.hazard(*at)).max().unwrap_or_default();
        let (level, key) = match (verdict, worst) {
            (Verdict::DoNotDrive, _) => return None,
            (_, Hazard::DoNotDrive) => ("drive-with-care", "drive_ask"),
            (_, Hazard::DriveWithCare) => ("drive-with-care", "drive_care"),
            (Verdict::Explain(_), Hazard::None) => ("none", "drive_freely"),
            (Verdict::BookIn, Hazard::None) => ("none", "drive_until"),
        };
        let causes = self.titles(open.iter().filter(|at| self.hazard(**at) == worst));
        let means = self.edition.word(&format!("{key}_means")).replace("{causes}", &causes);
        let icon = if level == "none" { "tick" } else { level };
        Some(DriveContext { level, icon, title: self.edition.word(key).to_owned(), means })
    }

    fn hazard(&self, candidate: usize) -> Hazard {
        self.variant.problem.candidates.get(candidate).map_or(Hazard::None, |it| it.cause.hazard())
    }

    fn titles<'c>(&self, candidates: impl IntoIterator<Item = &'c usize>) -> String {
        let title = |at: &usize| self.candidate_ref(*at).map(|entry| self.edition.link(entry).title.clone());
        candidates.into_iter().filter_map(title).collect::<Vec<_>>().join(", ")
    }
}

fn chance_at(chances: &[f64], candidate: usize) -> f64 {
    chances.get(candidate).copied().unwrap_or(0.0)
}
