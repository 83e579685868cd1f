//! `ask`: the decision flow of a symptom, in the terminal.

use serde_json::{Value as Json, json};

use super::arguments::{Ask, FindReport};
use super::proof::{Proofed, proofread, report, verdict};
use super::run::{Status, Terminal};
use super::timings::Timings;
use super::vehicle::{vehicle, written};
use crate::decision::{Answers, Model, OpenGate, Outcome, SymptomFlow, Variant, Verdict, Walk, ask_data, walk};
use crate::entry::{Kind, NOT_SURE, nearest};
use crate::knowledge::fit::Region;
use crate::knowledge::{Characteristic, Check, Knowledge, Ref};
use crate::source::Memo;

/// The command.
pub(super) fn ask(asked: &Ask, terminal: &mut Terminal<'_>) -> Status {
    let proofed = match proofread(&asked.kb, None, &Timings::default(), &Memo::none()) {
        Ok(proofed) => proofed,
        Err(fault) => return terminal.could_not(&fault),
    };
    if verdict(&proofed.marks, false) == Status::Errors {
        report(&proofed, None, terminal);
        return Status::Errors;
    }
    let talk = match Talk::new(asked, &proofed) {
        Ok(talk) => talk,
        Err(fault) => return terminal.could_not(&fault),
    };
    if asked.vehicle.is_none() && !talk.variant.region.is_everything() {
        terminal.say(&format!("No vehicle was named; this is the flow for: {}.", talk.fits()));
    }
    let answers = match talk.answers(&asked.answer) {
        Ok(answers) => answers,
        Err(fault) => return terminal.could_not(&fault),
    };
    match asked.report {
        FindReport::Json => terminal.result(&format!("{:#}\n", talk.json(asked, &answers))),
        FindReport::Text if terminal.input.is_some() => talk.converse(answers, terminal),
        FindReport::Text => terminal.result(&talk.text(&answers)),
    }
    Status::Done
}

/// A flow that is being walked.
struct Talk<'a> {
    knowledge: &'a Knowledge,
    symptom: &'a str,
    flow: &'a SymptomFlow,
    variant: &'a Variant,
    model: Model<'a>,
}

impl<'a> Talk<'a> {
    fn new(asked: &'a Ask, proofed: &'a Proofed) -> Result<Self, String> {
        let knowledge = &proofed.knowledge;
        let id = asked.symptom.strip_prefix("symptoms/").unwrap_or(&asked.symptom);
        let found = knowledge.find(Kind::Symptom, id).and_then(|entry| knowledge.typed(entry));
        let symptom = found.ok_or_else(|| {
            let ids = knowledge.symptoms.iter().map(|(_, entry)| entry.head.id.as_str());
            no_such("symptom", id, nearest(id, ids))
        })?;
        let flow = proofed.decisions.of(symptom).filter(|flow| !flow.variants.is_empty());
        let flow = flow.ok_or_else(|| format!("the symptom `{id}` has no flow"))?;
        let selection = asked.vehicle.as_ref().map(|text| vehicle(&knowledge.universe, text)).transpose()?;
        let region = selection.map(|selection| knowledge.universe.select(&selection));
        let variant = the_variant(knowledge, flow, region.as_ref())?;
        let symptom = &knowledge.symptoms[symptom].head.id;
        Ok(Self { knowledge, symptom, flow, variant, model: Model::new(&variant.problem) })
    }

    fn fits(&self) -> String {
        self.knowledge.universe.phrase(&self.variant.region)
    }

    /// Answers from `check=answer`, in any order.
    fn answers(&self, written: &[String]) -> Result<Answers, String> {
        let mut answers = Answers::default();
        for text in written {
            let (check, answer) = self.answer(text)?;
            answers.set(check, answer);
        }
        Ok(answers)
    }

    fn answer(&self, text: &str) -> Result<(usize, usize), String> {
        let (check, answer) = text.split_once('=').ok_or_else(|| format!("`{text}` is no check=answer"))?;
        let checks = &self.variant.problem.checks;
        let ids = || checks.iter().map(|check| check.id.as_str());
        let at = ids().position(|id| id == check);
        let at = at.ok_or_else(|| no_such("check of this flow", check, nearest(check, ids())))?;
        let known = checks.get(at).ok_or_else(|| no_such("check of this flow", check, None))?;
        if answer == NOT_SURE {
            return Ok((at, known.not_sure()));
        }
        let answers = || known.answers.iter().map(String::as_str);
        let found =
            known.answer(answer).ok_or_else(|| no_such("answer of that check", answer, nearest(answer, answers())))?;
        Ok((at, found))
    }

    fn walk(&self, answers: &Answers) -> Walk {
        walk(&self.model, &self.variant.flow, self.flow.hand_written, answers)
    }

    fn json(&self, asked: &Ask, answers: &Answers) -> Json {
        let mut data = serde_json::Map::new();
        data.insert("symptom".to_owned(), json!(self.symptom));
        data.insert("vehicle".to_owned(), json!(asked.vehicle));
        data.extend(ask_data(self.variant, self.flow.hand_written, answers));
        Json::Object(data)
    }

    /// Where things stand, and what is next.
    fn text(&self, answers: &Answers) -> String {
        let walked = self.walk(answers);
        let mut out = String::new();
        for (at, chance) in &walked.chances {
            out += &format!("{:5.1} %  {}\n", chance * 100.0, self.title(*at));
        }
        for gate in walked.open_gates.iter().filter_map(|gate| self.gate(gate)) {
            out += &format!("         still open: {gate}\n");
        }
        out += "\n";
        match (&walked.verdict, walked.next) {
            (Some(outcome), _) => out += &self.outcome(outcome),
            (None, Some((_, check))) => out += &self.question(answers, check),
            (None, None) => out += "The flow ends here without a verdict.\n",
        }
        out
    }

    fn title(&self, candidate: usize) -> &str {
        self.variant.problem.candidates.get(candidate).map_or("", |candidate| &candidate.title)
    }

    fn gate(&self, gate: &OpenGate) -> Option<String> {
        match gate {
            OpenGate::RuleOut(candidate) => Some(format!("{} is not ruled out", self.title(*candidate))),
            OpenGate::OnlyIf(candidate, number) => {
                let needed = self.variant.problem.candidates.get(*candidate)?.only_if.get(*number)?;
                Some(format!("{} needs the check {}", self.title(*candidate), needed.check))
            }
            OpenGate::NotIf(candidate) => Some(format!("an answer speaks against {}", self.title(*candidate))),
            OpenGate::Alarm(_) => Some("an answer was an alarm".to_owned()),
            OpenGate::OtherLeads => Some("none of those listed fits best".to_owned()),
        }
    }

    /// The entry of a check by its position in the problem.
    fn check(&self, at: usize) -> Option<&'a crate::knowledge::Entry<Check>> {
        let id = &self.variant.problem.checks.get(at)?.id;
        let entry = self.knowledge.typed(self.knowledge.find(Kind::Check, id)?)?;
        Some(&self.knowledge.checks[entry])
    }

    fn question(&self, answers: &Answers, at: usize) -> String {
        let Some(check) = self.check(at) else { return String::new() };
        let ask = check.detail.ask.first().map_or(check.head.title.value.as_str(), |(_, text)| text);
        let mut out = format!("{ask}  ({}, {} min)\n", check.detail.place.word(), check.detail.minutes);
        for (number, (id, words)) in self.choices(at).iter().enumerate() {
            out += &format!("  {}  {words}  [{id}]\n", number + 1);
        }
        let data = ask_data(self.variant, self.flow.hand_written, answers);
        let why = data.get("next").and_then(|next| next.get("why")).and_then(Json::as_str);
        out + &why.map(|why| format!("  why: {why}\n")).unwrap_or_default()
    }

    /// Ids and words of a check's answers, not being sure among them.
    fn choices(&self, at: usize) -> Vec<(String, String)> {
        let Some(check) = self.check(at) else { return Vec::new() };
        let unit = check.detail.measures.as_ref().map_or("", |measures| measures.unit.value.as_str());
        let words = |answer: &crate::knowledge::Answer| match &answer.band {
            Some(band) => format!("{} {unit}", band.value),
            None => answer.words.first().map_or(answer.id.value.clone(), |(_, text)| text.clone()),
        };
        let answers = check.detail.answers.iter().map(|answer| (answer.id.value.clone(), words(answer)));
        answers.chain([(NOT_SURE.to_owned(), "Not sure".to_owned())]).collect()
    }

    fn outcome(&self, outcome: &Outcome) -> String {
        let leads: Vec<&str> = outcome.leads.iter().map(|lead| self.title(*lead)).collect();
        let mut out = match outcome.verdict {
            Verdict::Explain(candidate) => {
                format!("EXPLAIN  {}\n{}\n", self.title(candidate), self.telling(candidate))
            }
            Verdict::BookIn => format!("BOOK IN  look for: {}\n", leads.join(", ")),
            Verdict::DoNotDrive => {
                format!("DO NOT DRIVE  look for: {}\n{}\n", leads.join(", "), self.knowledge.shop.local_rules)
            }
        };
        for step in &outcome.bay_plan.steps {
            let check = self.variant.problem.bay_checks.get(step.check).map_or("", |check| check.id.as_str());
            let found = step.cumulative * 100.0;
            let title = self.title(step.confirms);
            out += &format!("  {check}: {title}, {:.0} min, found by then {found:.0} %\n", step.minutes);
        }
        out
    }

    /// What to tell the customer of a characteristic, in plain words.
    fn telling(&self, candidate: usize) -> &'a str {
        let named = self.variant.problem.candidates.get(candidate);
        let found = named.and_then(|named| self.knowledge.find(Kind::Characteristic, &named.id));
        let at: Option<Ref<Characteristic>> = found.and_then(|entry| self.knowledge.typed(entry));
        let tell = at.and_then(|at| self.knowledge.characteristics[at].detail.tell.first());
        tell.map_or("", |(_, telling)| telling.plain.markdown.trim())
    }

    /// Asks until there is a verdict, or the person stops.
    fn converse(&self, mut answers: Answers, terminal: &mut Terminal<'_>) {
        let mut given: Vec<usize> = Vec::new();
        loop {
            terminal.result(&self.text(&answers));
            let walked = self.walk(&answers);
            let (None, Some((_, check))) = (&walked.verdict, walked.next) else { return };
            let choices = self.choices(check);
            match hear(terminal, choices.len()) {
                Heard::Answer(number) => {
                    answers.set(check, number);
                    given.push(check);
                }
                Heard::Back => {
                    let kept = given.pop().map(|last| answers.given().filter(|(check, _)| *check != last).collect());
                    answers = kept.unwrap_or(answers);
                }
                Heard::End => return,
            }
        }
    }
}

/// The variant for vehicles, all of them if none were named. What is asked of one group may leave out a danger that there is in
/// another, so the vehicles must all be of one.
fn the_variant<'a>(
    knowledge: &Knowledge,
    flow: &'a SymptomFlow,
    vehicles: Option<&Region>,
) -> Result<&'a Variant, String> {
    let meets = |variant: &&Variant| vehicles.is_none_or(|vehicles| variant.region.meets(vehicles));
    let variants: Vec<&Variant> = flow.variants.iter().filter(meets).collect();
    let holds = |variant: &Variant| vehicles.is_none_or(|vehicles| vehicles.is_subset(&variant.region));
    match variants.as_slice() {
        [] => Err(format!("nothing that accounts for `{}` fits this vehicle", flow.symptom)),
        [variant] if holds(variant) => Ok(variant),
        several => Err(undecided(knowledge, several, vehicles)),
    }
}

/// What must be said of a vehicle to choose one of several groups.
fn undecided(knowledge: &Knowledge, variants: &[&Variant], vehicles: Option<&Region>) -> String {
    let universe = &knowledge.universe;
    let group = |variant: &&Variant| {
        let own = vehicles.map_or_else(|| variant.region.clone(), |vehicles| variant.region.intersection(vehicles));
        let example = universe.example(&own).map(|example| written(universe, &example)).unwrap_or_default();
        format!("{} (as `{example}`)", universe.phrase(&own))
    };
    let groups: Vec<String> = variants.iter().map(group).collect();
    let mut left = vehicles.map_or_else(|| universe.nothing(), Region::clone);
    variants.iter().for_each(|variant| left = left.difference(&variant.region));
    let others = if left.is_empty() { "" } else { "; nothing that accounts for it fits the others" };
    let what = if vehicles.is_some() { "more of the vehicle" } else { "the vehicle" };
    format!("say {what} with --vehicle: what is asked is not the same for {}{others}", groups.join(" and for "))
}

/// What somebody typed.
enum Heard {
    /// The answer at that position.
    Answer(usize),
    /// One question back.
    Back,
    /// Enough.
    End,
}

fn hear(terminal: &mut Terminal<'_>, choices: usize) -> Heard {
    loop {
        _ = write!(terminal.err, "1 to {choices}, b for back, q to end: ");
        _ = terminal.err.flush();
        let mut line = String::new();
        let read = terminal.input.as_mut().and_then(|input| input.read_line(&mut line).ok());
        match (read, line.trim()) {
            (None | Some(0), _) | (_, "q") => return Heard::End,
            (_, "b") => return Heard::Back,
            (_, word) => {
                if let Some(number) = word.parse::<usize>().ok().filter(|number| (1..=choices).contains(number)) {
                    return Heard::Answer(number - 1);
                }
            }
        }
    }
}

fn no_such(what: &str, name: &str, nearest: Option<String>) -> String {
    let near = nearest.map(|nearest| format!("; did you mean `{nearest}`?")).unwrap_or_default();
    format!("no {what} is called `{name}`{near}")
}
