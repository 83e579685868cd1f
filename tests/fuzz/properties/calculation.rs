//! Calculation statements, and the prose that quotes them after a line `===`.

use baybook::calculation::{
    Calculations, CheckedSheet, Claim, Outcome, Role, Value, Wording, calculate, javascript, sheet_view,
};
use baybook::diagnostic::{Mark, Severity};
use baybook::entry::Kind;

use super::folder::linked;

const SYSTEM: &str = "---
title: Wheels
basis: demo
specifications:
  pad-minimum: 3 mm
  bolt-torque: 20 to 25 N·m
  boost: 7 bar ± 0.5 bar
  oil: 90 degC
  wheel: [{fits: [{line: tarn}], value: 0.3 m}, {fits: [{line: rill}], value: 12 in}]
---
";

/// The same sheet twice is the same; what was proved holds at the ends and in the middle of the inputs' ranges; a claim
/// without a mark agrees with its formula.
pub fn calculation(data: &[u8]) {
    let Ok(text) = std::str::from_utf8(data) else { return };
    let (statements, prose) = text.split_once("\n===\n").unwrap_or((text, ""));
    let guide = format!("---\ntitle: Sheet\nbasis: demo\n---\n\n```calc\n{statements}\n```\n\n{prose}\n");
    let read = linked(&[("guides/sheet.md", guide.as_bytes()), ("systems/wheels.md", SYSTEM.as_bytes())]);
    let (calculations, marks) = calculate(&read.knowledge);
    read.check(&marks);
    let (again, same_marks) = calculate(&read.knowledge);
    assert_eq!(marks, same_marks);
    assert_eq!(published(&calculations), published(&again));
    let entry = read.knowledge.find(Kind::Guide, "sheet").expect("the guide is there");
    let is_error = |mark: &Mark| mark.id.severity() == Severity::Error;
    if let Some(sheet) = calculations.sheet(entry).filter(|_| !marks.iter().any(is_error)) {
        proved(sheet);
    }
}

/// All that the page shows and runs.
fn published(calculations: &Calculations) -> Vec<String> {
    let of = |sheet: &CheckedSheet| format!("{:?} {}", sheet_view(sheet, &Wording::ENGLISH), javascript("a", sheet));
    calculations.sheets().map(|(_, sheet)| of(sheet)).collect()
}

fn proved(sheet: &CheckedSheet) {
    for (at, group) in sheet.groups.iter().enumerate() {
        for (statement, outcome) in sheet.statements.iter().zip(&group.outcomes) {
            match (outcome, &statement.role) {
                (Outcome::Unknown, _) => panic!("{} comes to nothing and has no mark", statement.name.value),
                (Outcome::Between(own), _) => assert!(own.low <= own.high && own.is_finite(), "{own:?}"),
                (Outcome::Exact(Value::Number(own)), Role::Step(Some(Claim::Quantity { stated, tolerance, .. }))) => {
                    let slack = tolerance + 1e-9 * own.abs().max(stated.high.abs());
                    let holds = stated.low - slack <= *own && *own <= stated.high + slack;
                    assert!(holds, "{}: {own} is not {stated:?}", statement.name.value);
                }
                _ => {}
            }
        }
        moves(sheet).iter().for_each(|inputs| defined(sheet, at, inputs));
    }
}

/// Nothing moved; then all inputs, and each alone, at the low end, in the middle and at the high end of its range.
fn moves(sheet: &CheckedSheet) -> Vec<Vec<(usize, f64)>> {
    let ranged = sheet.statements.iter().enumerate().filter_map(|(at, statement)| match &statement.role {
        Role::Given { range: Some(range), .. } => Some((at, [range.low, range.middle(), range.high])),
        _ => None,
    });
    let ranged: Vec<(usize, [f64; 3])> = ranged.collect();
    let all = (0..3).map(|end| ranged.iter().map(|(at, ends)| (*at, ends[end])).collect());
    let single = ranged.iter().flat_map(|(at, ends)| ends.iter().map(|end| vec![(*at, *end)]));
    std::iter::once(Vec::new()).chain(all).chain(single).collect()
}

fn defined(sheet: &CheckedSheet, group: usize, inputs: &[(usize, f64)]) {
    let values = sheet.compute(group, inputs);
    for at in &sheet.order {
        let name = &sheet.statements[*at].name.value;
        match values[*at] {
            None => panic!("{name} was proved and does not exist at {inputs:?}"),
            Some(Value::Number(number)) => assert!(number.is_finite(), "{name} is {number} at {inputs:?}"),
            Some(Value::Truth(_)) => {}
        }
    }
}
