//! What few words can say of vehicles.

use super::End::{self, Mark, Page};
use super::{check_files, pieces};

const FRONT: &str = "basis: demo\n";

/// Lines of which the first has these options too.
fn lines(options: &str) -> (String, String) {
    let tarn = format!("  tarn: {{name: Tarn, years: 2016-2024, options: {{drive: [front, all], {options}}}}}\n");
    let rill = "  rill: {name: Rill, years: 2019-2026}\n";
    ("vehicles.yaml".to_owned(), format!("lines:\n{tarn}{rill}"))
}

/// That many options of two values.
fn options(count: usize) -> String {
    pieces(count, |at| format!("o{at}: [a, b], "))
}

fn check(name: &str, files: &[(String, String)], end: End) {
    let files: Vec<(String, &[u8])> = files.iter().map(|(path, text)| (path.clone(), text.as_bytes())).collect();
    check_files(name, &files, end);
}

/// The system of the examples with a specification of these rows, a field and a text more.
fn system(rows: &str, field: &str, text: &str) -> (String, String) {
    let head = format!("title: Wheels\n{FRONT}{field}specifications:\n  tread-minimum: 1.6 mm\n{rows}");
    let quoted = "The tread is at least [1.6 mm](spec:wheels/tread-minimum) deep.";
    ("systems/wheels.md".to_owned(), format!("---\n{head}---\n{quoted}\n\n## Tread\n\n{text}\n"))
}

fn calculated(statements: &str) -> String {
    format!("```calc\n{statements}```\n")
}

#[test]
fn rows_of_single_vehicles() {
    let ids = |letter: char| pieces(20, |at| format!("{letter}{at}, "));
    let parted = lines(&format!("a: [{}], b: [{}]", ids('a'), ids('b')));
    let single = |at: usize| {
        let (year, a, b) = (2016 + at % 9, at / 9 % 20, at / 180 % 20);
        format!("    - {{fits: [{{line: tarn, years: {year}, a: a{a}, b: b{b}}}], value: {at} mm}}\n")
    };
    let rows = format!("  size:\n{}", pieces(2600, single));
    check("a row for most vehicles", &[parted.clone(), system(&rows, "", "x")], Page);
    let sum = calculated("a = spec(wheels, size)\nb = a + 1 mm\n");
    let of_tarn = "fits: [{line: tarn}]\n";
    check(
        "a row for most vehicles, calculated",
        &[parted.clone(), system(&rows, of_tarn, &sum)],
        Mark("too-many-groups"),
    );
    let rows = format!("  size:\n{}", pieces(360, single));
    let some = "fits: [{line: tarn, b: [b0, b1]}]\n";
    let sums =
        |count| "a0 = spec(wheels, size)\n".to_owned() + &pieces(count, |at| format!("a{} = a{at} + 1 mm\n", at + 1));
    let of_some = |count| [parted.clone(), system(&rows, some, &calculated(&sums(count)))];
    check("360 vehicles, too much calculated", &of_some(6300), Mark("too-many-groups"));
    check("360 vehicles, much calculated", &of_some(250), Page);
}

#[test]
fn rows_of_many_lines() {
    let (path, few) = lines("");
    let lines = (path, few + &pieces(990, |at| format!("  l{at}: {{name: L, years: 1990-2019}}\n")));
    let row =
        |at: usize| format!("    - {{fits: [{{line: l{}, years: {}}}], value: 1 mm}}\n", at % 990, 1990 + at / 990);
    check("rows of many lines", &[lines, system(&format!("  size:\n{}", pieces(3000, row)), "", "x")], Page);
}

/// Boxes of two options each: as many ways past them as two to the power of their number.
#[test]
fn boxes_that_overlap() {
    let guide =
        |boxes: &str| ("guides/x.md".to_owned(), format!("---\ntitle: x\n{FRONT}fits: [{boxes}]\n---\nText.\n"));
    let near = |at: usize| format!("{{line: tarn, o{}: a, o{}: a}}, ", 2 * at, 2 * at + 1);
    let far = |at: usize| format!("{{line: tarn, o{at}: a, o{}: a}}, ", at + 45);
    check("boxes of neighbours", &[lines(&options(90)), guide(&pieces(45, near))], Mark("too-many-groups"));
    check("boxes of strangers", &[lines(&options(90)), guide(&pieces(45, far))], Mark("too-many-groups"));
    check("few boxes", &[lines(&options(90)), guide(&pieces(5, far))], Page);
}

#[test]
fn causes_and_specifications_of_an_option_each() {
    let cause = |at: usize| {
        let row =
            "accounts_for:\n  - symptom: hum\n    prior: 1\n    evidence:\n      bends-change-it: {\"no\": usually}\n";
        let fits = format!("hazard: none\nfits: [{{line: tarn, o{at}: a}}]\nsystems: [wheels]\n");
        (
            format!("conditions/c{at}.md"),
            format!("---\ntitle: Fault {at}\n{FRONT}{fits}{row}remedy: Replace it.\n---\n"),
        )
    };
    let causes =
        |count: usize| -> Vec<(String, String)> { (0..count).map(cause).chain([lines(&options(60))]).collect() };
    check("60 causes", &causes(60), Mark("too-many-groups"));
    check("7 causes", &causes(7), Page);
    let specification = |at: usize| {
        let rest = format!("    - {{fits: [{{line: tarn, o{at}: b}}], value: 1 mm}}\n");
        format!("  size{at}:\n    - {{fits: [{{line: tarn, o{at}: a}}, {{line: rill}}], value: {at} mm}}\n{rest}")
    };
    let quoted = |count: usize| {
        let sums = calculated(&pieces(count, |at| format!("a{at} = spec(wheels, size{at})\n")));
        [lines(&options(60)), system(&pieces(count, specification), "", &sums)]
    };
    check("60 specifications", &quoted(60), Mark("too-many-groups"));
    check("8 specifications", &quoted(8), Page);
}
