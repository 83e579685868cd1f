//! The report in the Static Analysis Results Interchange Format, SARIF 2.1.0 (OASIS Standard).

use std::fmt::Write;

use serde_json::{Value, json};

use super::located::{Located, Site};
use crate::diagnostic::{MarkId, Severity, catalogue};

/// The name of the folder of entries, from which paths count.
const BASE: &str = "ENTRIES";

pub(super) fn write(marks: &[Located<'_>]) -> String {
    let mut rules: Vec<MarkId> = marks.iter().map(|located| located.mark.id).collect();
    rules.sort();
    rules.dedup();
    let log = json!({
        "$schema": "https://json.schemastore.org/sarif-2.1.0.json",
        "version": "2.1.0",
        "runs": [{
            "tool": {"driver": {
                "name": "Baybook",
                "version": env!("CARGO_PKG_VERSION"),
                "rules": rules.iter().map(|&id| rule(id)).collect::<Vec<_>>(),
            }},
            "invocations": [{"executionSuccessful": true}],
            "originalUriBaseIds": {BASE: {"description": {"text": "The folder of entries"}}},
            "columnKind": "unicodeCodePoints",
            "results": marks.iter().map(|located| result(located, &rules)).collect::<Vec<_>>(),
        }],
    });
    format!("{log:#}\n")
}

fn rule(id: MarkId) -> Value {
    let about = catalogue::row(id).about;
    json!({
        "id": id.name(),
        "shortDescription": {"text": about},
        "defaultConfiguration": {"level": level(id.severity())},
    })
}

/// SARIF has no word for advice; a note is its least level that is shown.
fn level(severity: Severity) -> &'static str {
    match severity {
        Severity::Error => "error",
        Severity::Warning => "warning",
        Severity::Advice => "note",
    }
}

fn result(located: &Located<'_>, rules: &[MarkId]) -> Value {
    let Located { mark, words, site, related } = located;
    let mut text = words.headline.clone();
    if let Some(help) = &words.help {
        text.push('\n');
        text.push_str(help);
    }
    let related: Vec<Value> =
        related.iter().enumerate().map(|(at, (site, message))| other(at, site, message)).collect();
    let mut result = json!({
        "ruleId": mark.id.name(),
        "ruleIndex": rules.binary_search(&mark.id).ok(),
        "level": level(mark.id.severity()),
        "message": {"text": text},
        "locations": [{"physicalLocation": physical(site)}],
    });
    if !related.is_empty()
        && let Some(result) = result.as_object_mut()
    {
        result.insert("relatedLocations".into(), related.into());
    }
    result
}

fn other(at: usize, site: &Site<'_>, message: &str) -> Value {
    json!({"id": at + 1, "physicalLocation": physical(site), "message": {"text": message}})
}

/// Columns are counted like ours: in characters, the end after the last.
fn physical(site: &Site<'_>) -> Value {
    json!({
        "artifactLocation": {"uri": uri(site.path), "uriBaseId": BASE},
        "region": {
            "startLine": site.start.line,
            "startColumn": site.start.column,
            "endLine": site.end.line,
            "endColumn": site.end.column,
        },
    })
}

/// The path as a relative reference of RFC 3986: what is not unreserved is written as percent and two digits.
fn uri(path: &str) -> String {
    let mut uri = String::new();
    for byte in path.bytes() {
        if byte.is_ascii_alphanumeric() || matches!(byte, b'-' | b'.' | b'_' | b'~' | b'/') {
            uri.push(char::from(byte));
        } else {
            _ = write!(uri, "%{byte:02X}");
        }
    }
    uri
}
