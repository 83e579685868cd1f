//! The schema against the meta-schema, the entries that stand, and front matters that are wrong.

use std::fs;
use std::path::Path;

use jsonschema::Validator;
use serde_json::{Value as Json, json};

use crate::support::{baybook, content, demo, example_folder};

const KINDS: [(&str, &str); 6] = [
    ("symptoms", "symptom"),
    ("conditions", "condition"),
    ("characteristics", "characteristic"),
    ("checks", "check"),
    ("systems", "system"),
    ("guides", "guide"),
];

fn schema() -> Json {
    serde_json::from_str(&baybook(["schema"]).out).unwrap()
}

/// A validator for one definition.
fn validator(name: &str) -> Validator {
    let mut schema = schema();
    let root = schema.as_object_mut().unwrap();
    root.remove("anyOf");
    root.insert("$ref".to_owned(), json!(format!("#/$defs/{name}")));
    jsonschema::draft202012::options().should_validate_formats(true).build(&schema).unwrap()
}

/// YAML as JSON; `yes` and `no` stay words, as in YAML 1.2.
fn json_of(yaml: &str) -> Json {
    serde_yaml::from_str_with_options(yaml, serde_yaml::options! { strict_booleans: true }).unwrap()
}

fn front_matter(text: &str) -> Json {
    json_of(text.strip_prefix("---\n").unwrap().split_once("\n---").unwrap().0)
}

fn faults(validator: &Validator, value: &Json) -> Vec<String> {
    validator.iter_errors(value).map(|fault| format!("{}: {fault}", fault.instance_path())).collect()
}

#[test]
fn it_is_valid_by_the_meta_schema_and_always_the_same() {
    let schema = schema();
    assert_eq!(schema["$schema"], "https://json-schema.org/draft/2020-12/schema");
    jsonschema::meta::validate(&schema).unwrap();
    assert!(jsonschema::draft202012::meta::is_valid(&schema));
    assert_eq!(baybook(["schema"]).out, baybook(["schema"]).out);
}

#[test]
fn it_says_what_fields_are_for() {
    let schema = schema();
    let about = &schema["$defs"]["check"]["properties"]["minutes"]["description"];
    assert_eq!(about, "How long it takes");
}

fn check_folder(root: &Path) {
    let root_validator = jsonschema::draft202012::new(&schema()).unwrap();
    for (folder, kind) in KINDS {
        let validator = validator(kind);
        let entries = content(root).into_iter().filter(|(path, _)| path.starts_with(&format!("{folder}/")));
        for (path, bytes) in entries {
            let value = front_matter(&String::from_utf8(bytes).unwrap());
            assert_eq!(faults(&validator, &value), Vec::<String>::new(), "{path}");
            assert!(root_validator.is_valid(&value), "{path}");
        }
    }
    for name in ["shop", "vehicles", "words", "cautions"] {
        if let Ok(text) = fs::read_to_string(root.join(format!("{name}.yaml"))) {
            assert_eq!(faults(&validator(name), &json_of(&text)), Vec::<String>::new(), "{name}.yaml");
        }
    }
}

#[test]
fn entries_that_stand_are_valid() {
    check_folder(example_folder(&[]).path());
    check_folder(&demo());
}

#[test]
fn an_empty_words_file_is_valid() {
    assert!(validator("words").is_valid(&json_of("# nothing yet\n")));
}

/// The front matter with one line put for another is refused; as it was, it is not.
fn check_refused(kind: &str, yaml: &str, line: &str, wrong: &str) {
    let validator = validator(kind);
    assert_eq!(faults(&validator, &json_of(yaml)), Vec::<String>::new());
    assert!(yaml.contains(line), "{line}");
    let wrong_yaml = yaml.replacen(line, wrong, 1);
    assert!(!validator.is_valid(&json_of(&wrong_yaml)), "{kind}: {wrong} is not refused");
}

const CONDITION: &str = r#"
title: Worn wheel bearing
hazard: do-not-drive
systems: [wheels]
fits: [{line: tarn, years: 2019-, drive: all}]
codes: [C0035]
created: 2026-01-31
source: [{name: A book, locator: "3", url: "https://example.org/"}]
accounts_for:
  - {symptom: hum, prior: 1, evidence: {bends: {yes: usually, no: 0.2}}}
confirm: {hub-play: loose}
"#;

const CHECK: &str = r#"
title: Change in bends
where: counter
minutes: 1
ask: Does the hum change in a bend?
answers: {yes: "Yes", no: "No"}
unsure: 0.2
"#;

const CHARACTERISTIC: &str = "
title: Hum
accounts_for: []
tell: {en: {brief: A, plain: B, full: C}}
because: It does.
";

const SYMPTOM: &str = "
title: Hum
heard_as: it hums
senses: [hear]
flow:
  start: first
  steps:
    first: {check: a-check, yes: tell, no: send}
    tell: {verdict: explain, characteristic: a-hum}
    send: {verdict: book-in, leads: [a-fault]}
";

#[test]
fn wrong_front_matter_is_refused() {
    check_refused("condition", CONDITION, "title: Worn wheel bearing", "");
    check_refused("condition", CONDITION, "title: Worn wheel bearing", "title: ' '");
    check_refused("condition", CONDITION, "title: Worn", "titel: x\ntitle: Worn");
    check_refused("condition", CONDITION, "hazard: do-not-drive", "hazard: stop");
    check_refused("condition", CONDITION, "systems: [wheels]", "systems: [Wheels]");
    check_refused("condition", CONDITION, "systems: [wheels]", "systems: [a--b]");
    check_refused("condition", CONDITION, "years: 2019-,", "years: 19-,");
    check_refused("condition", CONDITION, "{line: tarn, years", "{lin: tarn, years");
    check_refused("condition", CONDITION, "codes: [C0035]", "codes: [X0035]");
    check_refused("condition", CONDITION, "codes: [C0035]", "codes: [C4035]");
    check_refused("condition", CONDITION, "created: 2026-01-31", "created: 2026-13-01");
    check_refused("condition", CONDITION, "created: 2026-01-31", "created: 2026-02-30");
    check_refused("condition", CONDITION, "https://example.org/", "javascript:alert(1)");
    check_refused("condition", CONDITION, "name: A book, ", "");
    check_refused("condition", CONDITION, "prior: 1", "prior: 0");
    check_refused("condition", CONDITION, "yes: usually", "yes: mostly");
    check_refused("condition", CONDITION, "no: 0.2", "no: 1.2");
    check_refused("check", CHECK, "minutes: 1", "minutes: soon");
    check_refused("check", CHECK, "minutes: 1", "minutes: -1");
    check_refused("check", CHECK, "ask: Does the hum change in a bend?", "");
    check_refused("check", CHECK, "where: counter", "where: bay");
    check_refused("check", CHECK, "where: counter", "where: garage");
    check_refused("check", CHECK, r#"answers: {yes: "Yes", no: "No"}"#, "");
    check_refused("check", CHECK, r#"no: "No""#, r#"not-sure: "No""#);
    check_refused("check", CHECK, r#", no: "No""#, "");
    check_refused("check", CHECK, "unsure: 0.2", "unsure: 0.6");
    check_refused("characteristic", CHARACTERISTIC, "plain: B, ", "");
    check_refused("characteristic", CHARACTERISTIC, "accounts_for: []", "accounts_for: {}");
    check_refused("symptom", SYMPTOM, "senses: [hear]", "senses: [taste]");
    check_refused("symptom", SYMPTOM, "  start: first", "");
    check_refused("symptom", SYMPTOM, "{verdict: explain, characteristic: a-hum}", "{verdict: explain}");
    check_refused("symptom", SYMPTOM, "{check: a-check, yes", "{chekc: A Check, yes");
    check_refused("system", "title: x\nspecifications: {pad: 3 mm}", "pad:", "Pad:");
    check_refused("system", "title: x\nchanges: [{from: 2020, line: a, text: b}]", "2020", "20.5");
    check_refused("shop", "name: x\nlanguages: [en]", "[en]", "[english]");
    check_refused("shop", "name: x\nlanguages: [en]\nother: 0.05", "0.05", "0");
    check_refused("vehicles", "lines: {a: {name: A, years: 2019-2024}}", "years: 2019-2024", "colour: red");
    check_refused("words", "hub: {means: x, see: [systems/hub]}", "systems/hub", "system/hub");
    check_refused("cautions", "lift: {signal: danger, text: x}", "danger", "beware");
}
