//! Slips in how far lines stand in. YAML tells of them in words of its own, and often at the line before.

use std::ops::Range;

/// A line that stands wrong.
pub(super) struct Slip {
    /// The text to blame.
    pub(super) range: Range<usize>,
    /// What is wrong with it.
    pub(super) words: String,
}

/// The slip that a fault found at `at` comes from, if it comes from one: on the same line, or on one beside it.
pub(super) fn slip(text: &str, at: usize) -> Option<Slip> {
    let fault = text.get(..at).unwrap_or(text).matches('\n').count();
    let lines = lines(text);
    tab(&lines, fault).or_else(|| crooked(&rows(&lines), fault))
}

/// A line without its end.
struct Line<'t> {
    start: usize,
    text: &'t str,
}

fn lines(text: &str) -> Vec<Line<'_>> {
    let mut lines = Vec::new();
    let mut start = 0;
    for line in text.split_inclusive('\n') {
        lines.push(Line { start, text: line.trim_end() });
        start += line.len();
    }
    lines
}

impl Line<'_> {
    fn spaces(&self) -> usize {
        self.text.len() - self.text.trim_start_matches(' ').len()
    }
}

fn tab(lines: &[Line<'_>], fault: usize) -> Option<Slip> {
    let near = [fault, fault + 1, fault.saturating_sub(1)];
    let tabs = |line: &Line<'_>| {
        let blank = line.text.len() - line.text.trim_start_matches([' ', '\t']).len();
        let blank = line.text.get(..blank)?;
        Some(line.start + blank.find('\t')?..line.start + blank.rfind('\t')? + 1)
    };
    let range = near.into_iter().filter_map(|at| lines.get(at)).find_map(tabs)?;
    Some(Slip { range, words: "a tab indents this line; use spaces".to_owned() })
}

/// A line that begins elements of lists, or a key, or both.
struct Row<'t> {
    number: usize,
    start: usize,
    /// Columns of its dashes.
    dashes: Vec<usize>,
    key: Option<(usize, &'t str)>,
    /// What follows, without a comment alone.
    value: &'t str,
}

/// The rows of a text. Texts and brackets that go on over several lines are passed over, and comments.
fn rows<'t>(lines: &[Line<'t>]) -> Vec<Row<'t>> {
    let mut rows = Vec::new();
    let mut text_of: Option<usize> = None;
    let mut brackets = 0;
    for (number, line) in lines.iter().enumerate() {
        if text_of.is_some_and(|column| line.text.is_empty() || line.spaces() > column) {
            continue;
        }
        text_of = None;
        if brackets > 0 {
            brackets += opened(line.text);
            continue;
        }
        if let Some(row) = Row::read(number, line) {
            text_of = row.begins_text().then(|| row.innermost());
            brackets = if row.value.starts_with(['{', '[']) { opened(row.value) } else { 0 };
            rows.push(row);
        }
    }
    rows
}

/// How many more brackets a line opens than it closes.
fn opened(line: &str) -> i32 {
    line.chars().map(|c| i32::from(matches!(c, '{' | '[')) - i32::from(matches!(c, '}' | ']'))).sum()
}

impl<'t> Row<'t> {
    fn read(number: usize, line: &Line<'t>) -> Option<Self> {
        let mut at = line.spaces();
        let mut dashes = Vec::new();
        let rest = |at: usize| line.text.get(at..).unwrap_or("");
        while rest(at) == "-" || rest(at).starts_with("- ") {
            dashes.push(at);
            at += 1;
            at += rest(at).len() - rest(at).trim_start_matches(' ').len();
        }
        let is_name = |name: &&str| name.chars().all(|c| c.is_alphanumeric() || matches!(c, '_' | '-'));
        let key = rest(at)
            .split_once(':')
            .filter(|(name, after)| !name.is_empty() && is_name(name) && (after.is_empty() || after.starts_with(' ')));
        let value = key.map_or(rest(at), |(_, after)| after).trim_start();
        let value = if value.starts_with('#') { "" } else { value };
        let row = Self { number, start: line.start, dashes, key: key.map(|(name, _)| (at, name)), value };
        (row.key.is_some() || !row.dashes.is_empty()).then_some(row)
    }

    fn begins_text(&self) -> bool {
        let sign = self.value.split(' ').next().unwrap_or("");
        sign.starts_with(['|', '>']) && sign.chars().skip(1).all(|c| c.is_ascii_digit() || matches!(c, '+' | '-'))
    }

    /// The column of its key, or else of its last dash.
    fn innermost(&self) -> usize {
        self.key.map(|(column, _)| column).or(self.dashes.last().copied()).unwrap_or(0)
    }

    /// Where it begins, and what it begins there.
    fn levels(&self) -> impl Iterator<Item = Level> {
        let dashes = self.dashes.iter().map(|column| Level { column: *column, is_list: true });
        dashes.chain(self.key.map(|(column, _)| Level { column, is_list: false }))
    }

    /// Whether a text that begins in it could go on in the next line.
    fn could_go_on(&self) -> bool {
        self.value.contains(' ') && !self.value.starts_with(['{', '[', '"', '\''])
    }
}

/// A column at which the elements of a list stand, or the keys of a map.
#[derive(Clone, Copy, PartialEq, Eq)]
struct Level {
    column: usize,
    is_list: bool,
}

/// The first row that stands at no column that it may, if the fault is beside it.
fn crooked(rows: &[Row<'_>], fault: usize) -> Option<Slip> {
    let mut levels: Vec<Level> = Vec::new();
    let mut before: Option<&Row<'_>> = None;
    for row in rows {
        let first = row.levels().next()?;
        let Some(open) = still_open(&levels, first, before) else {
            let is_near = row.number.abs_diff(fault) <= 1;
            return before.filter(|_| is_near).and_then(|before| row.slip(first, &levels, before));
        };
        levels.truncate(open);
        let is_known = levels.last() == Some(&first);
        levels.extend(row.levels().skip(usize::from(is_known)));
        before = Some(row);
    }
    None
}

/// How many levels are still open where a row begins with `first`; `None` if no row may begin there.
fn still_open(levels: &[Level], first: Level, before: Option<&Row<'_>>) -> Option<usize> {
    let Some(before) = before else { return Some(0) };
    if let Some(at) = levels.iter().position(|level| *level == first) {
        return Some(at + 1);
    }
    let last = levels.last()?;
    let is_deeper = first.column > last.column || (first.is_list && !last.is_list && first.column == last.column);
    (is_deeper && (before.value.is_empty() || before.could_go_on())).then_some(levels.len())
}

impl Row<'_> {
    fn slip(&self, first: Level, levels: &[Level], before: &Self) -> Option<Slip> {
        let (name, alike) = match self.key.filter(|_| !first.is_list) {
            Some((_, name)) => (name, "keys"),
            None => ("-", "elements"),
        };
        let stands = format!("`{name}` stands {} in", spaces(first.column));
        let words = match before.key.filter(|_| before.value.is_empty()) {
            Some((column, owner)) => format!("{stands}; what belongs to `{owner}` stands more than {}", spaces(column)),
            None => {
                let beside = levels.iter().filter(|level| level.is_list == first.is_list).map(|level| level.column);
                let nearest = beside.rev().min_by_key(|column| column.abs_diff(first.column))?;
                format!("{stands}, the {alike} beside it {nearest}")
            }
        };
        let start = self.start + first.column;
        Some(Slip { range: start..start + name.len(), words })
    }
}

fn spaces(count: usize) -> String {
    if count == 1 { "1 space".to_owned() } else { format!("{count} spaces") }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// `fault` is what the parser points at.
    fn check(text: &str, fault: &str, expected: Option<(&str, &str)>) {
        let at = text.find(fault).unwrap_or(0);
        let slip = slip(text, at);
        let found = slip.as_ref().map(|slip| (text.get(slip.range.clone()).unwrap_or(""), slip.words.as_str()));
        assert_eq!(found, expected, "{text}");
    }

    #[test]
    fn lines_that_stand_wrong_are_found() {
        let row = "accounts_for:\n  - symptom: hum\n";
        let short = Some(("prior", "`prior` stands 3 spaces in, the keys beside it 4"));
        check(&format!("{row}   prior: 1\n"), "prior", short);
        check(
            &format!("{row}     prior: 1\n"),
            ": 1",
            Some(("prior", "`prior` stands 5 spaces in, the keys beside it 4")),
        );
        check(
            &format!("{row}    prior: 1\n - symptom: b\n"),
            "- symptom: b",
            Some(("-", "`-` stands 1 space in, the elements beside it 2")),
        );
        let belongs = "`a` stands 2 spaces in; what belongs to `evidence` stands more than 4 spaces";
        check(&format!("{row}    evidence:\n  a: {{yes: 1}}\n"), "a: {yes", Some(("a", belongs)));
        check(&format!("{row}\tprior: 1\n"), "hum", Some(("\t", "a tab indents this line; use spaces")));
    }

    #[test]
    fn what_stands_right_is_no_slip() {
        check("a: 1\nlist:\n- x: 1\n  y: 2\n- x: 3\nb: \"\n", "b", None);
        check("a: |\n  x: 1\n   y: 2\nb: {c: 1,\n d: 2}\ne: [\n", "e", None);
        check("a: some words\n  note: more words\n", ": more", None);
        check("", "", None);
        // Another fault, far from the slip.
        check("a:\n  b: 1\n c: 2\nd: 1\ne: 1\nf: [\n", "f", None);
    }
}
