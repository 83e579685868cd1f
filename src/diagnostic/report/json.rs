//! The report of this project's own in JSON.

use serde::Serialize;

use super::Counts;
use super::located::Located;

#[derive(Serialize)]
struct Report<'a> {
    marks: Vec<JsonMark<'a>>,
    errors: usize,
    warnings: usize,
    advice: usize,
}

#[derive(Serialize)]
struct JsonMark<'a> {
    mark: &'a str,
    severity: &'a str,
    message: &'a str,
    file: &'a str,
    line: u32,
    column: u32,
    end_line: u32,
    end_column: u32,
    help: Option<&'a str>,
    related: Vec<JsonRelated<'a>>,
}

#[derive(Serialize)]
struct JsonRelated<'a> {
    file: &'a str,
    line: u32,
    column: u32,
    message: &'a str,
}

pub(super) fn write(marks: &[Located<'_>], counts: Counts) -> String {
    let Counts { errors, warnings, advice } = counts;
    let report = Report { marks: marks.iter().map(json_mark).collect(), errors, warnings, advice };
    // Strings and numbers always can be written.
    serde_json::to_string(&report).unwrap_or_default() + "\n"
}

fn json_mark<'a>(located: &'a Located<'a>) -> JsonMark<'a> {
    let Located { mark, words, site, related } = located;
    JsonMark {
        mark: mark.id.name(),
        severity: mark.id.severity().word(),
        message: &words.headline,
        file: site.path,
        line: site.start.line,
        column: site.start.column,
        end_line: site.end.line,
        end_column: site.end.column,
        help: words.help.as_deref(),
        related: related
            .iter()
            .map(|(site, message)| JsonRelated {
                file: site.path,
                line: site.start.line,
                column: site.start.column,
                message,
            })
            .collect(),
    }
}
