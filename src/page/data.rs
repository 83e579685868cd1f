//! Data files: the entries for other programs, and the vehicle lines for the page's scripts.

use rayon::prelude::*;
use serde_json::{Value as Json, json};

use super::edition::script;
use super::site::PageFile;
use crate::entry::{Hazard, Likelihood, Line};
use crate::knowledge::{
    AccountsFor, AnswersOf, Characteristic, Check, Condition, EntryRef, Head, Knowledge, Ref, Symptom, System, Text,
};

/// Every data file.
pub(super) fn data_files(knowledge: &Knowledge) -> Vec<PageFile> {
    let lines = &knowledge.universe.vehicles().lines;
    let vehicles: Vec<Json> = lines.iter().map(vehicle_line).collect();
    let schema = format!("{:#}\n", crate::entry::schema());
    vec![
        PageFile { path: "data/schema.json".to_owned(), bytes: schema.into_bytes() },
        PageFile { path: "data/kb.json".to_owned(), bytes: all_entries(knowledge).into_bytes() },
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
/// two editions can be compared by lines.
fn all_entries(knowledge: &Knowledge) -> String {
    let shop = &knowledge.shop;
    let lines: Vec<Json> = knowledge.universe.vehicles().lines.iter().map(vehicle_line).collect();
    let words = knowledge.terms.iter().map(|term| {
        let see: Vec<String> = term.see.iter().map(|entry| name(knowledge, *entry)).collect();
        json!({"term": term.term, "means": term.means, "heard_as": term.heard_as, "see": see})
    });
    let words = Json::Array(words.collect());
    let all: Vec<EntryRef> = knowledge.entries().collect();
    let entries = all.par_iter().filter_map(|entry| Some(entry_json(knowledge, *entry)?.to_string()));
    let entries: Vec<String> = entries.collect();
    let shop =
        json!({"name": shop.name, "languages": shop.languages, "units": shop.units, "local_rules": shop.local_rules});
    let lines = Json::Array(lines);
    let entries = entries.join(",\n");
    format!("{{\"shop\":{shop},\n\"vehicles\":{lines},\n\"words\":{words},\n\"entries\":[\n{entries}\n]}}\n")
}

/// An entry's path without its ending, such as `symptoms/hum`.
fn name(knowledge: &Knowledge, entry: EntryRef) -> String {
    knowledge.head(entry).map(|head| format!("{}/{}", head.kind.folder(), head.id)).unwrap_or_default()
}

fn entry_json(knowledge: &Knowledge, entry: EntryRef) -> Option<Json> {
    let head = knowledge.head(entry)?;
    let mut all = head_json(knowledge, head);
    let own = own_json(knowledge, entry);
    if let (Json::Object(all), Json::Object(own)) = (&mut all, own) {
        all.extend(own);
    }
    Some(all)
}

fn head_json(knowledge: &Knowledge, head: &Head) -> Json {
    let names = |entries: &[EntryRef]| entries.iter().map(|entry| name(knowledge, *entry)).collect::<Vec<_>>();
    let systems: Vec<&String> = head.systems.iter().map(|system| &knowledge.systems[*system].head.id).collect();
    let sources: Vec<Json> = head
        .sources
        .iter()
        .map(|source| json!({"name": source.name, "locator": source.locator, "url": source.url}))
        .collect();
    let day = |date: Option<jiff::civil::Date>| date.map(|date| date.to_string());
    json!({
        "kind": head.kind.word(),
        "id": head.id,
        "title": head.title.value,
        "page": format!("{}/{}.html", head.kind.folder(), head.id),
        "fits": knowledge.universe.boxes(&head.region),
        "systems": systems,
        "codes": head.codes,
        "source": sources,
        "basis": head.basis,
        "author": head.author,
        "created": day(head.created),
        "modified": day(head.modified),
        "review_by": day(head.due),
        "replaces": names(&head.replaces),
        "replaced_by": names(&head.replaced_by),
        "leads_to": names(&head.leads_to),
        "led_from": names(&head.led_from),
        "text": head.body.markdown.trim(),
    })
}

fn own_json(knowledge: &Knowledge, entry: EntryRef) -> Json {
    if let Some(at) = knowledge.typed::<Symptom>(entry) {
        let symptom = &knowledge.symptoms[at].detail;
        let candidates: Vec<String> = symptom.candidates.iter().map(|(entry, _)| name(knowledge, *entry)).collect();
        return json!({"heard_as": symptom.heard_as, "senses": symptom.senses, "candidates": candidates});
    }
    if let Some(at) = knowledge.typed::<Condition>(entry) {
        return condition_json(knowledge, at);
    }
    if let Some(at) = knowledge.typed::<Characteristic>(entry) {
        return characteristic_json(knowledge, at);
    }
    if let Some(at) = knowledge.typed::<Check>(entry) {
        return check_json(knowledge, at);
    }
    knowledge.typed::<System>(entry).map_or_else(|| json!({}), |at| system_json(knowledge, at))
}

fn condition_json(knowledge: &Knowledge, at: Ref<Condition>) -> Json {
    let condition = &knowledge.conditions[at].detail;
    json!({
        "hazard": Hazard::word(condition.hazard),
        "accounts_for": accounts_for(knowledge, &condition.accounts_for),
        "confirm": answers_of(knowledge, &condition.confirm),
        "remedy": markdown(condition.remedy.as_ref()),
        "ruled_out_by": answers_of(knowledge, &condition.ruled_out_by),
        "alarm": answers_of(knowledge, &condition.alarm),
    })
}

fn characteristic_json(knowledge: &Knowledge, at: Ref<Characteristic>) -> Json {
    let detail = &knowledge.characteristics[at].detail;
    let tell = detail.tell.iter().map(|(language, telling)| {
        let depths = json!({
            "brief": telling.brief.markdown,
            "plain": telling.plain.markdown,
            "full": telling.full.markdown,
        });
        (language.clone(), depths)
    });
    json!({
        "accounts_for": accounts_for(knowledge, &detail.accounts_for),
        "tell": tell.collect::<serde_json::Map<_, _>>(),
        "because": markdown(detail.because.as_ref()),
        "only_if": answers_of(knowledge, &detail.only_if),
        "not_if": answers_of(knowledge, &detail.not_if),
        "show": markdown(detail.show.as_ref()),
        "leave_alone": markdown(detail.leave_alone.as_ref()),
    })
}

fn check_json(knowledge: &Knowledge, at: Ref<Check>) -> Json {
    let check = &knowledge.checks[at].detail;
    let by_language = |texts: &[(String, String)]| {
        texts
            .iter()
            .map(|(language, text)| (language.clone(), Json::from(text.clone())))
            .collect::<serde_json::Map<_, _>>()
    };
    let answers = check.answers.iter().map(|answer| {
        let band = answer.band.as_ref().map(|band| &band.value);
        json!({"id": answer.id.value, "words": by_language(&answer.words), "band": band})
    });
    let measures = check.measures.as_ref().map(|measures| {
        json!({
            "quantity": measures.quantity,
            "unit": measures.unit.value,
            "from": measures.from.value,
            "to": measures.to.value,
        })
    });
    json!({
        "ask": by_language(&check.ask),
        "where": check.place.word(),
        "minutes": check.minutes,
        "hazards": check.hazards,
        "tools": check.tools,
        "answers": answers.collect::<Vec<_>>(),
        "measures": measures,
        "unsure": check.unsure,
    })
}

fn system_json(knowledge: &Knowledge, at: Ref<System>) -> Json {
    let system = &knowledge.systems[at].detail;
    let specifications = system.specifications.iter().map(|specification| {
        let values = specification
            .values
            .iter()
            .map(|(region, value)| json!({"fits": knowledge.universe.boxes(region), "value": value.value}));
        (specification.name.value.clone(), Json::from(values.collect::<Vec<_>>()))
    });
    let lines = &knowledge.universe.vehicles().lines;
    let changes = system.changes.iter().map(|change| {
        let line = lines.get(change.line).map(|line| &line.id);
        json!({"from": change.from, "line": line, "text": change.text.markdown})
    });
    json!({
        "specifications": specifications.collect::<serde_json::Map<_, _>>(),
        "changes": changes.collect::<Vec<_>>(),
    })
}

fn markdown(text: Option<&Text>) -> Option<&str> {
    text.map(|text| text.markdown.as_str())
}

/// Answers of checks by id: `{check: [answer, …]}`.
fn answers_of(knowledge: &Knowledge, rows: &[AnswersOf]) -> Json {
    let row = |row: &AnswersOf| {
        let check = &knowledge.checks[row.check];
        let ids = row.answers.iter().filter_map(|at| check.detail.answers.get(*at)).map(|answer| &answer.id.value);
        (check.head.id.clone(), Json::from(ids.cloned().collect::<Vec<_>>()))
    };
    Json::Object(rows.iter().map(row).collect())
}

fn accounts_for(knowledge: &Knowledge, rows: &[AccountsFor]) -> Json {
    let row = |row: &AccountsFor| {
        let evidence = row.evidence.iter().map(|evidence| {
            let check = &knowledge.checks[evidence.check];
            let answers = evidence.answers.iter().filter_map(|(at, likelihood)| {
                Some((check.detail.answers.get(*at)?.id.value.clone(), likelihood_json(likelihood)))
            });
            (check.head.id.clone(), Json::Object(answers.collect()))
        });
        json!({
            "symptom": knowledge.symptoms[row.symptom].head.id,
            "prior": row.prior,
            "fits": knowledge.universe.boxes(&row.region),
            "evidence": evidence.collect::<serde_json::Map<_, _>>(),
        })
    };
    Json::Array(rows.iter().map(row).collect())
}

fn likelihood_json(likelihood: &Likelihood) -> Json {
    match likelihood {
        Likelihood::Word(word) => Json::from(word.clone()),
        Likelihood::Number(number) => Json::from(*number),
    }
}
