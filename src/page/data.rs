//! Data files: the entries for other programs, and the vehicle lines for the page's scripts.

use std::sync::Arc;

use jiff::civil::Date;
use rayon::prelude::*;
use serde::{Serialize, Serializer};
use serde_json::{Value as Json, json};

use super::edition::script;
use super::entry_page;
use super::outlet::Outlet;
use super::site::{PageFault, PageFile};
use crate::entry::{Hazard, Likelihood, Line, Source};
use crate::knowledge::fit::FitBox;
use crate::knowledge::{
    AccountsFor, AnswersOf, Characteristic, Check, Condition, CustomerText, EntryRef, Knowledge, Ref, Symptom, System,
    Telling, Text,
};

/// Hands over every data file.
pub(super) fn data_files(knowledge: &Knowledge, outlet: &dyn Outlet) -> Result<(), PageFault> {
    outlet.take_parts("data/kb.json", &all_entries(knowledge))?;
    small_files(knowledge).into_iter().try_for_each(|file| outlet.take(file, None))
}

fn small_files(knowledge: &Knowledge) -> [PageFile; 2] {
    let lines = &knowledge.universe.vehicles().lines;
    let vehicles: Vec<Json> = lines.iter().map(vehicle_line).collect();
    let schema = format!("{:#}\n", crate::entry::schema());
    [
        PageFile { path: "data/schema.json".to_owned(), bytes: schema.into_bytes() },
        PageFile { path: "data/vehicles.js".to_owned(), bytes: script("baybookVehicles", &Json::Array(vehicles)) },
    ]
}

fn vehicle_line(line: &Line) -> Json {
    let text = |value: &crate::entry::OptionValue| json!({"id": value.id, "text": value.words.clone().unwrap_or_else(|| value.id.replace('-', " "))});
    let options = line.options.iter().map(|option| {
        let values: Vec<Json> = option.values.iter().map(text).collect();
        json!({"id": option.id, "name": option.id.replace('-', " "), "values": values})
    });
    let options: Vec<Json> = options.collect();
    json!({"id": line.id, "name": line.name, "first": line.first_year, "last": line.last_year, "options": options})
}

/// `{"shop", "vehicles", "words", "entries"}`: everything that was read, linked. An entry is a line of its own, so that
/// two editions can be compared by lines. It may be large and is never put together: these are its parts.
fn all_entries(knowledge: &Knowledge) -> Vec<Vec<u8>> {
    let shop = &knowledge.shop;
    let lines: Vec<Json> = knowledge.universe.vehicles().lines.iter().map(vehicle_line).collect();
    let words = knowledge.terms.iter().map(|term| {
        let see: Vec<String> = term.see.iter().map(|entry| name(knowledge, *entry)).collect();
        json!({"term": term.term, "means": term.means, "heard_as": term.heard_as, "see": see})
    });
    let words = Json::Array(words.collect());
    let all: Vec<EntryRef> = knowledge.entries().collect();
    let shop =
        json!({"name": shop.name, "languages": shop.languages, "units": shop.units, "local_rules": shop.local_rules});
    let lines = Json::Array(lines);
    let begin = format!("{{\"shop\":{shop},\n\"vehicles\":{lines},\n\"words\":{words},\n\"entries\":[\n");
    let mut parts = vec![begin.into_bytes()];
    parts.par_extend(all.par_chunks(TOGETHER).map(|entries| lines_of(knowledge, entries)));
    if let Some(last) = parts.last_mut().filter(|last| last.ends_with(BETWEEN)) {
        last.truncate(last.len() - BETWEEN.len());
    }
    parts.push(b"\n]}\n".to_vec());
    parts
}

/// What stands between two entries.
const BETWEEN: &[u8] = b",\n";

/// As many entries are written by one core at a time.
const TOGETHER: usize = 32;

/// Room for the lines of so many entries, in bytes, as they usually are.
const USUAL_LINES: usize = TOGETHER * 6 * 1024;

/// The lines of some entries, each with what stands behind it.
fn lines_of(knowledge: &Knowledge, entries: &[EntryRef]) -> Vec<u8> {
    let mut lines = Vec::with_capacity(USUAL_LINES);
    for data in entries.iter().filter_map(|entry| entry_data(knowledge, *entry)) {
        // Such data can be written, and memory takes all that comes.
        _ = serde_json::to_writer(&mut lines, &data);
        lines.extend_from_slice(BETWEEN);
    }
    lines
}

/// An entry's path without its ending; empty for one that is not there.
fn name(knowledge: &Knowledge, entry: EntryRef) -> String {
    knowledge.head(entry).map(entry_page::name).unwrap_or_default()
}

/// Pairs that are written as one object, in their order.
struct InOrder<K, V>(Vec<(K, V)>);

impl<K: Serialize, V: Serialize> Serialize for InOrder<K, V> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_map(self.0.iter().map(|(key, value)| (key, value)))
    }
}

impl<K, V> FromIterator<(K, V)> for InOrder<K, V> {
    fn from_iter<I: IntoIterator<Item = (K, V)>>(pairs: I) -> Self {
        Self(pairs.into_iter().collect())
    }
}

#[derive(Serialize)]
struct EntryData<'k> {
    kind: &'static str,
    id: &'k str,
    title: &'k str,
    page: String,
    fits: Arc<[FitBox]>,
    systems: Vec<&'k str>,
    codes: &'k [String],
    source: Vec<SourceData<'k>>,
    basis: Option<&'k str>,
    author: Option<&'k str>,
    created: Option<Date>,
    modified: Option<Date>,
    review_by: Option<Date>,
    replaces: Vec<String>,
    replaced_by: Vec<String>,
    leads_to: Vec<String>,
    led_from: Vec<String>,
    text: &'k str,
    #[serde(flatten)]
    own: OwnData<'k>,
}

#[derive(Serialize)]
struct SourceData<'k> {
    name: &'k str,
    locator: Option<&'k str>,
    url: Option<&'k str>,
}

impl<'k> From<&'k Source> for SourceData<'k> {
    fn from(source: &'k Source) -> Self {
        Self { name: &source.name, locator: source.locator.as_deref(), url: source.url.as_deref() }
    }
}

/// What only the entry's kind has.
#[derive(Serialize)]
#[serde(untagged)]
enum OwnData<'k> {
    Symptom(SymptomData<'k>),
    Condition(ConditionData<'k>),
    Characteristic(CharacteristicData<'k>),
    Check(CheckData<'k>),
    System(SystemData<'k>),
    Guide {},
}

fn entry_data(knowledge: &Knowledge, entry: EntryRef) -> Option<EntryData<'_>> {
    let head = knowledge.head(entry)?;
    let names = |entries: &[EntryRef]| entries.iter().map(|entry| name(knowledge, *entry)).collect::<Vec<_>>();
    Some(EntryData {
        kind: head.kind.word(),
        id: &head.id,
        title: &head.title.value,
        page: entry_page::path(head),
        fits: knowledge.universe.boxes(&head.region),
        systems: head.systems.iter().map(|system| knowledge.systems[*system].head.id.as_str()).collect(),
        codes: &head.codes,
        source: head.sources.iter().map(SourceData::from).collect(),
        basis: head.basis.as_deref(),
        author: head.author.as_deref(),
        created: head.created,
        modified: head.modified,
        review_by: head.due,
        replaces: names(&head.replaces),
        replaced_by: names(&head.replaced_by),
        leads_to: names(&head.leads_to),
        led_from: names(&head.led_from),
        text: head.body.markdown.trim(),
        own: own_data(knowledge, entry),
    })
}

fn own_data(knowledge: &Knowledge, entry: EntryRef) -> OwnData<'_> {
    let symptom = || Some(OwnData::Symptom(symptom_data(knowledge, knowledge.typed(entry)?)));
    let condition = || Some(OwnData::Condition(condition_data(knowledge, knowledge.typed(entry)?)));
    let characteristic = || Some(OwnData::Characteristic(characteristic_data(knowledge, knowledge.typed(entry)?)));
    let check = || Some(OwnData::Check(check_data(knowledge, knowledge.typed(entry)?)));
    let system = || Some(OwnData::System(system_data(knowledge, knowledge.typed(entry)?)));
    let own = symptom().or_else(condition).or_else(characteristic).or_else(check).or_else(system);
    own.unwrap_or(OwnData::Guide {})
}

#[derive(Serialize)]
struct SymptomData<'k> {
    heard_as: &'k [String],
    senses: &'k [String],
    candidates: Vec<String>,
}

fn symptom_data(knowledge: &Knowledge, at: Ref<Symptom>) -> SymptomData<'_> {
    let symptom = &knowledge.symptoms[at].detail;
    let candidates = symptom.candidates.iter().map(|(entry, _)| name(knowledge, *entry)).collect();
    SymptomData { heard_as: &symptom.heard_as, senses: &symptom.senses, candidates }
}

#[derive(Serialize)]
struct ConditionData<'k> {
    hazard: &'static str,
    accounts_for: Vec<AccountsForData<'k>>,
    confirm: AnswersData<'k>,
    remedy: Option<&'k str>,
    ruled_out_by: AnswersData<'k>,
    alarm: AnswersData<'k>,
}

fn condition_data(knowledge: &Knowledge, at: Ref<Condition>) -> ConditionData<'_> {
    let condition = &knowledge.conditions[at].detail;
    ConditionData {
        hazard: Hazard::word(condition.hazard),
        accounts_for: accounts_for(knowledge, &condition.accounts_for),
        confirm: answers_of(knowledge, &condition.confirm),
        remedy: markdown(condition.remedy.as_ref()),
        ruled_out_by: answers_of(knowledge, &condition.ruled_out_by),
        alarm: answers_of(knowledge, &condition.alarm),
    }
}

#[derive(Serialize)]
struct CharacteristicData<'k> {
    accounts_for: Vec<AccountsForData<'k>>,
    tell: InOrder<&'k str, TellingData<'k>>,
    because: Option<&'k str>,
    only_if: AnswersData<'k>,
    not_if: AnswersData<'k>,
    show: Option<&'k str>,
    leave_alone: Option<&'k str>,
}

#[derive(Serialize)]
struct TellingData<'k> {
    brief: &'k str,
    plain: &'k str,
    full: &'k str,
}

fn characteristic_data(knowledge: &Knowledge, at: Ref<Characteristic>) -> CharacteristicData<'_> {
    let detail = &knowledge.characteristics[at].detail;
    let tell = detail.tell.iter().map(|(language, telling)| {
        let Telling { brief, plain, full } = telling;
        (language.as_str(), TellingData { brief: &brief.markdown, plain: &plain.markdown, full: &full.markdown })
    });
    CharacteristicData {
        accounts_for: accounts_for(knowledge, &detail.accounts_for),
        tell: tell.collect(),
        because: markdown(detail.because.as_ref()),
        only_if: answers_of(knowledge, &detail.only_if),
        not_if: answers_of(knowledge, &detail.not_if),
        show: markdown(detail.show.as_ref()),
        leave_alone: markdown(detail.leave_alone.as_ref()),
    }
}

#[derive(Serialize)]
struct CheckData<'k> {
    ask: InOrder<&'k str, &'k str>,
    #[serde(rename = "where")]
    place: &'static str,
    minutes: f64,
    hazards: &'k [String],
    tools: &'k [String],
    answers: Vec<AnswerData<'k>>,
    measures: Option<MeasuresData<'k>>,
    unsure: f64,
}

#[derive(Serialize)]
struct AnswerData<'k> {
    id: &'k str,
    words: InOrder<&'k str, &'k str>,
    band: Option<&'k str>,
}

#[derive(Serialize)]
struct MeasuresData<'k> {
    quantity: &'k str,
    unit: &'k str,
    from: &'k str,
    to: &'k str,
}

fn check_data(knowledge: &Knowledge, at: Ref<Check>) -> CheckData<'_> {
    let check = &knowledge.checks[at].detail;
    let answers = check.answers.iter().map(|answer| AnswerData {
        id: &answer.id.value,
        words: by_language(&answer.words),
        band: answer.band.as_ref().map(|band| band.value.as_str()),
    });
    let measures = check.measures.as_ref().map(|measures| MeasuresData {
        quantity: &measures.quantity,
        unit: &measures.unit.value,
        from: &measures.from.value,
        to: &measures.to.value,
    });
    CheckData {
        ask: by_language(&check.ask),
        place: check.place.word(),
        minutes: check.minutes,
        hazards: &check.hazards,
        tools: &check.tools,
        answers: answers.collect(),
        measures,
        unsure: check.unsure,
    }
}

fn by_language(texts: &CustomerText) -> InOrder<&str, &str> {
    texts.iter().map(|(language, text)| (language.as_str(), text.as_str())).collect()
}

#[derive(Serialize)]
struct SystemData<'k> {
    specifications: InOrder<&'k str, Vec<ValueData<'k>>>,
    changes: Vec<ChangeData<'k>>,
}

#[derive(Serialize)]
struct ValueData<'k> {
    fits: Arc<[FitBox]>,
    value: &'k str,
}

#[derive(Serialize)]
struct ChangeData<'k> {
    from: u16,
    line: Option<&'k str>,
    text: &'k str,
}

fn system_data(knowledge: &Knowledge, at: Ref<System>) -> SystemData<'_> {
    let system = &knowledge.systems[at].detail;
    let specifications = system.specifications.iter().map(|specification| {
        let values = specification.values.iter();
        let values = values.map(|(region, written)| (knowledge.universe.boxes(region), written.value.as_str()));
        (specification.name.value.as_str(), values.map(|(fits, value)| ValueData { fits, value }).collect())
    });
    let lines = &knowledge.universe.vehicles().lines;
    let changes = system.changes.iter().map(|change| ChangeData {
        from: change.from,
        line: lines.get(change.line).map(|line| line.id.as_str()),
        text: &change.text.markdown,
    });
    SystemData { specifications: specifications.collect(), changes: changes.collect() }
}

fn markdown(text: Option<&Text>) -> Option<&str> {
    text.map(|text| text.markdown.as_str())
}

/// Answers of checks by id: `{check: [answer, …]}`.
type AnswersData<'k> = InOrder<&'k str, Vec<&'k str>>;

fn answers_of<'k>(knowledge: &'k Knowledge, rows: &[AnswersOf]) -> AnswersData<'k> {
    let row = |row: &AnswersOf| {
        let check = &knowledge.checks[row.check];
        let answers = row.answers.iter().filter_map(|at| check.detail.answers.get(*at));
        (check.head.id.as_str(), answers.map(|answer| answer.id.value.as_str()).collect())
    };
    rows.iter().map(row).collect()
}

#[derive(Serialize)]
struct AccountsForData<'k> {
    symptom: &'k str,
    prior: f64,
    fits: Arc<[FitBox]>,
    evidence: InOrder<&'k str, InOrder<&'k str, LikelihoodData<'k>>>,
}

#[derive(Serialize)]
#[serde(untagged)]
enum LikelihoodData<'k> {
    Word(&'k str),
    Number(f64),
}

fn accounts_for<'k>(knowledge: &'k Knowledge, rows: &'k [AccountsFor]) -> Vec<AccountsForData<'k>> {
    let row = |row: &'k AccountsFor| {
        let evidence = row.evidence.iter().map(|evidence| {
            let check = &knowledge.checks[evidence.check];
            let answers = evidence.answers.iter().filter_map(|(at, likelihood)| {
                Some((check.detail.answers.get(*at)?.id.value.as_str(), likelihood_data(likelihood)))
            });
            (check.head.id.as_str(), answers.collect())
        });
        AccountsForData {
            symptom: &knowledge.symptoms[row.symptom].head.id,
            prior: row.prior,
            fits: knowledge.universe.boxes(&row.region),
            evidence: evidence.collect(),
        }
    };
    rows.iter().map(row).collect()
}

fn likelihood_data(likelihood: &Likelihood) -> LikelihoodData<'_> {
    match likelihood {
        Likelihood::Word(word) => LikelihoodData::Word(word),
        Likelihood::Number(number) => LikelihoodData::Number(*number),
    }
}
