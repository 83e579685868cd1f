//! A small plot of a block's last result over its first input with a range.
//!
//! The drawing has no inline style: classes are the theme's. The script moves `at` and redraws `curve`.

use super::CheckedSheet;
use super::evaluate::Value;
use super::interval::Interval;
use super::sheet::{CheckedStatement, Role};
use super::show;
use super::wording::Wording;

/// Width and height of the drawing, in its own units.
pub(super) const SIZE: (f64, f64) = (384.0, 160.0);
/// Room for labels: left, top, right, bottom.
pub(super) const MARGIN: (f64, f64, f64, f64) = (72.0, 8.0, 8.0, 20.0);
/// Steps along the input.
pub(super) const STEPS: usize = 60;

/// What a plot shows.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Subject {
    /// The block.
    pub block: usize,
    /// Position of the input.
    pub given: usize,
    /// Its range, in base units.
    pub range: Interval,
    /// Position of the result.
    pub step: usize,
}

/// A drawn plot.
#[derive(Clone, Debug, PartialEq)]
pub struct Plot {
    /// What it shows.
    pub subject: Subject,
    /// The drawing, an SVG element.
    pub svg: String,
    /// The same in words.
    pub words: String,
}

/// The last quantity of a block that depends on its first ranged input.
pub(super) fn subject(sheet: &CheckedSheet, block: usize) -> Option<Subject> {
    let own = || sheet.statements.iter().enumerate().filter(|(_, statement)| statement.block == block);
    let (given, range) = own().find_map(|(at, statement)| match &statement.role {
        Role::Given { range: Some(range), .. } if range.low < range.high && sheet.is_computable(at) => {
            Some((at, *range))
        }
        _ => None,
    })?;
    let depends = dependents(sheet, given);
    let mut step = own().filter(|(at, _)| depends.get(*at) == Some(&true) && *at != given && sheet.is_quantity(*at));
    step.next_back().map(|(step, _)| Subject { block, given, range, step })
}

fn dependents(sheet: &CheckedSheet, given: usize) -> Vec<bool> {
    let mut depends = vec![false; sheet.statements.len()];
    for at in sheet.order.iter().copied() {
        let uses = sheet.statements.get(at).map_or(&[][..], |statement| &statement.uses);
        let own = at == given || uses.iter().any(|used| depends.get(*used) == Some(&true));
        if let Some(slot) = depends.get_mut(at) {
            *slot = own;
        }
    }
    depends
}

/// A statement and all that it is computed from, in the order of computing.
fn needed(sheet: &CheckedSheet, step: usize) -> Vec<usize> {
    let mut is_needed = vec![false; sheet.statements.len()];
    let mut mark = |at: usize| is_needed.get_mut(at).is_some_and(|slot| !std::mem::replace(slot, true));
    let mut ahead = vec![step];
    mark(step);
    while let Some(at) = ahead.pop() {
        let uses = sheet.statements.get(at).map_or(&[][..], |statement| &statement.uses);
        ahead.extend(uses.iter().copied().filter(|used| mark(*used)));
    }
    sheet.order.iter().copied().filter(|at| is_needed.get(*at) == Some(&true)).collect()
}

/// Draws the plot of a block, if it has a subject.
pub(super) fn plot(sheet: &CheckedSheet, block: usize, wording: &Wording<'_>) -> Option<Plot> {
    let subject = subject(sheet, block)?;
    let share = |step: usize| step as f64 / STEPS as f64;
    let input = |step: usize| subject.range.low + subject.range.width() * share(step);
    let needed = needed(sheet, subject.step);
    let value = |x: f64| match sheet.compute_only(&needed, 0, &[(subject.given, x)]).get(subject.step) {
        Some(Some(Value::Number(number))) => Some(*number),
        _ => None,
    };
    let values: Vec<Option<f64>> = (0..=STEPS).map(|step| value(input(step))).collect();
    let known = values.iter().copied().flatten().map(Interval::exactly).reduce(Interval::hull)?;
    let start = sheet.start_value(subject.given).and_then(|start| match start {
        Value::Number(x) => Some((x, value(x)?)),
        Value::Truth(_) => None,
    });
    let names = [subject.given, subject.step].map(|at| sheet.statements.get(at));
    let [Some(given), Some(step)] = names else { return None };
    let show_x = |x: f64| show::short(x, given.unit.as_ref());
    let show_y = |y: f64| show::rough(y, step.unit.as_ref());
    let (from, to) = (show_x(subject.range.low), show_x(subject.range.high));
    let labels = [from, to, show_y(known.low), show_y(known.high)];
    let words = words(wording, step, given, &labels);
    let curve = curve(&values, known);
    let point = start.map(|(x, y)| place((x - subject.range.low) / subject.range.width(), share_of(y, known)));
    Some(Plot { subject, svg: drawing(&curve, point, &labels, &words), words })
}

/// The plot in words; the page's script says the same of other inputs.
fn words(
    wording: &Wording<'_>,
    step: &CheckedStatement,
    given: &CheckedStatement,
    [from, to, low, high]: &[String; 4],
) -> String {
    let name = |statement: &CheckedStatement| statement.name.value.replace('_', " ");
    let (result, input) = (name(step), name(given));
    let parts = [("{from}", from), ("{to}", to), ("{low}", low), ("{high}", high)];
    let start = wording.plot.replace("{result}", &result).replace("{input}", &input);
    parts.iter().fold(start, |text, (mark, value)| text.replace(mark, value))
}

/// Where a value lies between the lowest and the highest: half way if there is but one.
fn share_of(y: f64, known: Interval) -> f64 {
    if known.width() > 0.0 { (y - known.low) / known.width() } else { 0.5 }
}

/// Shares of the range to coordinates, rounded to hundredths.
fn place(x: f64, y: f64) -> (f64, f64) {
    let (left, top, right, bottom) = MARGIN;
    let across = left + x * (SIZE.0 - left - right);
    let down = SIZE.1 - bottom - y * (SIZE.1 - top - bottom);
    ((across * 100.0).round() / 100.0, (down * 100.0).round() / 100.0)
}

/// Runs of points; a value that does not exist breaks the line.
fn curve(values: &[Option<f64>], known: Interval) -> Vec<String> {
    let mut runs: Vec<String> = Vec::new();
    let mut open = false;
    for (step, value) in values.iter().enumerate() {
        let Some(y) = value else {
            open = false;
            continue;
        };
        let (x, y) = place(step as f64 / STEPS as f64, share_of(*y, known));
        match runs.last_mut().filter(|_| open) {
            Some(run) => run.push_str(&format!(" {x},{y}")),
            None => runs.push(format!("{x},{y}")),
        }
        open = true;
    }
    runs
}

fn drawing(curve: &[String], point: Option<(f64, f64)>, labels: &[String; 4], words: &str) -> String {
    let (width, height) = SIZE;
    let (left, top, right, bottom) = MARGIN;
    let (end, base) = (width - right, height - bottom);
    let lines: String = curve.iter().map(|run| format!("<polyline class=\"curve\" points=\"{run}\"/>")).collect();
    let point = point.map_or(String::new(), |(x, y)| format!("<circle class=\"at\" cx=\"{x}\" cy=\"{y}\" r=\"4\"/>"));
    let [from, to, low, high] = labels.each_ref().map(|label| super::typeset::escaped(label));
    let under = height - 6.0;
    format!(
        "<svg viewBox=\"0 0 {width} {height}\" role=\"img\" aria-label=\"{}\">\
         <path class=\"axis\" d=\"M{left},{top}V{base}H{end}\"/>{lines}{point}\
         <text class=\"from\" x=\"{left}\" y=\"{under}\">{from}</text>\
         <text class=\"to\" x=\"{end}\" y=\"{under}\" text-anchor=\"end\">{to}</text>\
         <text class=\"low\" x=\"{}\" y=\"{}\" text-anchor=\"end\">{low}</text>\
         <text class=\"high\" x=\"{}\" y=\"{}\" text-anchor=\"end\">{high}</text></svg>",
        super::typeset::escaped(words),
        left - 6.0,
        base,
        left - 6.0,
        top + 10.0,
    )
}
