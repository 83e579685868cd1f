//! JSON Schema (2020-12) of front matter and settings files, made from the table of fields.
//!
//! It says of each value alone what proofreading says; rules between fields and references are left to proofreading.
//! Editors read YAML's `2019` and `yes` as a number or a truth value, so what is written without quotes may be either.

use serde_json::{Map, Value as Json, json};

use super::Kind;
use super::fields::{CAUTIONS, DEPTHS, SHOP, VEHICLES, VERDICT_STEP, WORDS, fields};
use super::kind::ID_LIMIT;
use super::rules::NOT_SURE;
use super::shape::{Bounds, Field, LIKELIHOOD_WORDS, Shape};

/// The schema. Its root takes the front matter of any kind of entry; `$defs` has each kind and each settings file.
pub fn schema() -> Json {
    let mut definitions = Map::new();
    for kind in Kind::ALL {
        definitions.insert(kind.word().to_owned(), entry(kind));
    }
    definitions.insert("shop".to_owned(), record(SHOP.iter()));
    definitions.insert("vehicles".to_owned(), record(VEHICLES.iter()));
    definitions.insert("words".to_owned(), map_or_nothing(&WORDS));
    definitions.insert("cautions".to_owned(), map_or_nothing(&CAUTIONS));
    definitions.extend(forms());
    let any = Kind::ALL.map(|kind| reference(kind.word()));
    json!({
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "$id": "urn:baybook:front-matter",
        "title": "Front matter of an entry",
        "description": "The kind of an entry is its folder: point an editor at the definition of that kind.",
        "anyOf": any,
        "$defs": definitions,
    })
}

fn entry(kind: Kind) -> Json {
    let mut schema = record(fields(kind));
    if let (Kind::Check, Some(schema)) = (kind, schema.as_object_mut()) {
        schema.insert("allOf".to_owned(), check_rules());
    }
    schema
}

/// What a check must have depends on where it is done and on whether it measures.
fn check_rules() -> Json {
    let at_counter = json!({"properties": {"where": {"const": "counter"}}, "required": ["where"]});
    let answers = json!({"minProperties": 2, "propertyNames": {"not": {"const": NOT_SURE}}});
    json!([
        {"if": at_counter, "then": {"required": ["ask"]}, "else": {"required": ["hazards"]}},
        {"oneOf": [{"required": ["answers"]}, {"required": ["measures"]}]},
        {"properties": {"answers": answers, "bands": answers, "measures": {"properties": {"bands": answers}}}},
        {"if": {"required": ["measures"]}, "then": {"oneOf": [
            {"required": ["bands"]},
            {"properties": {"measures": {"required": ["bands"]}}},
        ]}},
    ])
}

/// Forms of single values that recur.
fn forms() -> Vec<(String, Json)> {
    let word = "[a-z0-9]+(?:-[a-z0-9]+)*";
    let folders = Kind::ALL.map(Kind::folder).join("|");
    let year = "[0-9]{4}";
    let run = format!(" *(?:{year}|{year} *- *(?:{year})?|- *{year}) *");
    let words = LIKELIHOOD_WORDS.map(|(word, _)| word);
    let rows = [
        ("text", json!({"type": ["string", "number", "boolean"], "pattern": "\\S"})),
        ("id", json!({"type": ["string", "number", "boolean"], "maxLength": ID_LIMIT, "pattern": format!("^{word}$")})),
        (
            "date",
            json!({"type": "string", "format": "date", "pattern": "^[0-9]{4}-(?:0[1-9]|1[0-2])-(?:0[1-9]|[12][0-9]|3[01])$"}),
        ),
        ("code", json!({"type": "string", "pattern": "^[PBCU][0-3][0-9A-F]{3}$"})),
        ("language", json!({"type": ["string", "boolean"], "pattern": "^[a-z]{2,3}(?:-[A-Z]{2})?$"})),
        ("web-address", json!({"type": "string", "pattern": "^https?://[^\\s\\u0000-\\u001f]+$"})),
        ("entry-path", json!({"type": "string", "pattern": format!("^(?:{folders})/{word}$")})),
        (
            "years",
            json!({"anyOf": [
                {"type": "integer", "minimum": 1000, "maximum": 9999},
            // YAML reads `-2020` as a number.
            {"type": "integer", "minimum": -9999, "maximum": -1000},
                {"type": "string", "pattern": format!("^{run}(?:,{run})*$")},
            ]}),
        ),
        ("likelihood", json!({"anyOf": [{"enum": words}, {"type": "number", "minimum": 0, "maximum": 1}]})),
        (
            "fit-box",
            json!({
                "type": "object",
                "properties": {"line": reference("id"), "years": some(reference("years"))},
                "required": ["line"],
                "additionalProperties": some(reference("id")),
            }),
        ),
        ("telling", record(DEPTHS.iter())),
        ("step", json!({"oneOf": [verdict_step(), ask_step()]})),
    ];
    rows.into_iter().map(|(name, form)| (name.to_owned(), form)).collect()
}

fn verdict_step() -> Json {
    let explains = json!({"properties": {"verdict": {"const": "explain"}}});
    let wants = json!({"required": ["characteristic"]});
    let leads = json!({"required": ["leads"]});
    json!({"allOf": [record(VERDICT_STEP.iter()), {"if": explains, "then": wants, "else": leads}]})
}

fn ask_step() -> Json {
    json!({
        "type": "object",
        "properties": {"check": reference("id"), "verdict": false},
        "required": ["check"],
        "propertyNames": reference("id"),
        "additionalProperties": reference("id"),
    })
}

fn reference(name: &str) -> Json {
    json!({"$ref": format!("#/$defs/{name}")})
}

/// A map with known keys and no others.
fn record<'f>(fields: impl Iterator<Item = &'f Field> + Clone) -> Json {
    let properties: Map<String, Json> = fields.clone().map(|field| (field.name.to_owned(), property(field))).collect();
    let required: Vec<&str> = fields.filter(|field| field.required).map(|field| field.name).collect();
    json!({"type": "object", "properties": properties, "required": required, "additionalProperties": false})
}

/// A field's value. An optional field whose value is left empty is as good as left out.
fn property(field: &Field) -> Json {
    let mut schema = match &field.shape {
        Shape::Some(inner) if !field.required => json!({"anyOf": [{"type": "null"}, some(value(inner))]}),
        shape => value(shape),
    };
    if let Some(schema) = schema.as_object_mut() {
        schema.insert("description".to_owned(), json!(field.about));
    }
    schema
}

fn value(shape: &Shape) -> Json {
    match shape {
        Shape::Text | Shape::Markdown => reference("text"),
        Shape::Customer => json!({"anyOf": [reference("text"), by_language(&reference("text"))]}),
        Shape::Tell => json!({"anyOf": [reference("telling"), by_language(&reference("telling"))]}),
        Shape::Date => reference("date"),
        Shape::Number(bounds) => number(bounds),
        Shape::Choice(words) => json!({"enum": words}),
        Shape::Likelihood => reference("likelihood"),
        Shape::Id(_) | Shape::SameKind | Shape::LineId | Shape::Name => reference("id"),
        Shape::Code => reference("code"),
        Shape::Language => reference("language"),
        Shape::Url => reference("web-address"),
        Shape::Years => some(reference("years")),
        Shape::FitBox => reference("fit-box"),
        Shape::EntryPath => reference("entry-path"),
        Shape::Some(inner) => some(value(inner)),
        Shape::List(inner) => json!({"type": "array", "items": value(inner)}),
        Shape::Map(keys, values) => map(keys, values),
        Shape::Record(fields) => record(fields.iter()),
        Shape::TextOr(fields) => json!({"anyOf": [reference("text"), record(fields.iter())]}),
        Shape::PerFit(inner, fields) => {
            json!({"anyOf": [value(inner), {"type": "array", "items": record(fields.iter())}]})
        }
        Shape::Step => reference("step"),
        Shape::OptionValues => json!({"anyOf": [
            reference("id"),
            {"type": "array", "items": reference("id"), "minItems": 1},
            {"type": "object", "propertyNames": reference("id"), "additionalProperties": reference("text"), "minProperties": 1},
        ]}),
    }
}

/// One value or a list of them.
fn some(value: Json) -> Json {
    json!({"anyOf": [{"type": "array", "items": value.clone()}, value]})
}

fn map(keys: &Shape, values: &Shape) -> Json {
    json!({"type": "object", "propertyNames": value(keys), "additionalProperties": value(values)})
}

fn by_language(values: &Json) -> Json {
    json!({"type": "object", "propertyNames": reference("language"), "additionalProperties": values})
}

/// A settings file that may be empty.
fn map_or_nothing(shape: &Shape) -> Json {
    json!({"anyOf": [{"type": "null"}, value(shape)]})
}

fn number(bounds: &Bounds) -> Json {
    let mut schema = Map::new();
    schema.insert("type".to_owned(), json!(if bounds.whole { "integer" } else { "number" }));
    if bounds.low > f64::MIN {
        schema.insert(if bounds.low_excluded { "exclusiveMinimum" } else { "minimum" }.to_owned(), json!(bounds.low));
    }
    if bounds.high < f64::MAX {
        schema.insert("maximum".to_owned(), json!(bounds.high));
    }
    Json::Object(schema)
}
