//! What other programs read.

use baybook::diagnostic::report::Form;
use jsonschema::Validator;
use serde_json::{Value, json};

use super::{Case, many};

#[test]
fn json_has_every_mark_with_its_places() {
    let expected = json!({
        "marks": [
            {"mark": "unknown-field", "severity": "error", "message": "There is no field `heard_as`",
             "file": "symptoms/hum.md", "line": 3, "column": 1, "end_line": 3, "end_column": 9,
             "help": "Write \"heard\" instead",
             "related": [
                {"file": "conditions/worn wheel #1.md", "line": 2, "column": 1, "message": "such a field"},
                {"file": "symptoms/hum.md", "line": 3, "column": 20, "message": "and here"}]},
            {"mark": "orphan-entry", "severity": "warning", "message": "Nothing leads here",
             "file": "symptoms/hum.md", "line": 5, "column": 3, "end_line": 6, "end_column": 5,
             "help": null, "related": []},
            {"mark": "missing-source", "severity": "advice", "message": "No source",
             "file": "conditions/worn wheel #1.md", "line": 2, "column": 8, "end_line": 2, "end_column": 12,
             "help": "Name one", "related": []},
            {"mark": "unreadable-file", "severity": "error", "message": "Cannot be read",
             "file": "checks/empty.md", "line": 1, "column": 1, "end_line": 1, "end_column": 1,
             "help": null, "related": []},
        ],
        "errors": 2, "warnings": 1, "advice": 1,
    });
    let report = many().report(Form::Json);
    assert_eq!(serde_json::from_str::<Value>(&report).unwrap(), expected);
    assert_eq!(report.lines().count(), 1);
    assert_eq!(Case::new(&[]).report(Form::Json), "{\"marks\":[],\"errors\":0,\"warnings\":0,\"advice\":0}\n");
}

/// The schema of the standard; where it comes from is said beside it.
fn sarif_schema() -> Validator {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/data/sarif-2.1.0.schema.json");
    let schema: Value = serde_json::from_str(&std::fs::read_to_string(path).unwrap()).unwrap();
    jsonschema::options().should_validate_formats(true).build(&schema).unwrap()
}

fn faults(report: &Value) -> Vec<String> {
    sarif_schema().iter_errors(report).map(|fault| format!("{fault} at {}", fault.instance_path())).collect()
}

#[test]
fn sarif_keeps_to_the_schema_of_the_standard() {
    for case in [many(), Case::new(&[])] {
        let report: Value = serde_json::from_str(&case.report(Form::Sarif)).unwrap();
        assert_eq!(faults(&report), [""; 0]);
    }
}

#[test]
fn the_schema_does_refuse_what_the_standard_refuses() {
    let good: Value = serde_json::from_str(&many().report(Form::Sarif)).unwrap();
    let check = |pointer: &str, value: Value| {
        let mut bad = good.clone();
        *bad.pointer_mut(pointer).unwrap() = value;
        assert_ne!(faults(&bad), [""; 0], "{pointer}");
    };
    check("/runs/0/results/0/level", json!("info"));
    check("/runs/0/results/0/locations/0/physicalLocation/region/startLine", json!(0));
    check("/runs/0/results/0/locations/0/physicalLocation/artifactLocation/uri", json!("a b"));
    check("/runs/0/tool", json!({}));
    check("/version", json!("2.2.0"));
}

#[test]
fn sarif_says_what_the_other_reports_say() {
    let report: Value = serde_json::from_str(&many().report(Form::Sarif)).unwrap();
    let at = |pointer: &str| report.pointer(pointer).unwrap_or_else(|| panic!("{pointer}")).clone();
    let result = |number: usize, rest: &str| at(&format!("/runs/0/results/{number}/{rest}"));
    let ids: Vec<Value> = (0..4).map(|number| result(number, "ruleId")).collect();
    assert_eq!(ids, ["unknown-field", "orphan-entry", "missing-source", "unreadable-file"]);
    for (number, id) in ids.iter().enumerate() {
        assert_eq!(at(&format!("/runs/0/tool/driver/rules/{}/id", result(number, "ruleIndex"))), *id);
    }
    let levels: Vec<Value> = (0..4).map(|number| result(number, "level")).collect();
    assert_eq!(levels, ["error", "warning", "note", "error"]);
    assert_eq!(result(0, "message/text"), "There is no field `heard_as`\nWrite \"heard\" instead");
    let place = |number| result(number, "locations/0/physicalLocation");
    assert_eq!(place(1)["region"], json!({"startLine": 5, "startColumn": 3, "endLine": 6, "endColumn": 5}));
    assert_eq!(place(2)["artifactLocation"]["uri"], "conditions/worn%20wheel%20%231.md");
    assert_eq!(result(0, "relatedLocations/1/message/text"), "and here");
    assert_eq!(at("/runs/0/columnKind"), "unicodeCodePoints");
}
