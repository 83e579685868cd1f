//! Settings.

use super::End::{Mark, Page};
use super::{SETTINGS, check, pieces, with_settings};

#[test]
fn shops() {
    let shop = |name, more: &str, end| with_settings("shop.yaml", name, &format!("name: x\n{more}"), end);
    let twice = |at: usize| format!("a{}: &a{} [*a{at}, *a{at}]\n", at + 1, at + 1);
    shop("aliases in a shop", &format!("a0: &a0 [x, x]\n{}", pieces(30, twice)), Mark("bad-front-matter"));
    shop("languages", &format!("languages: [{}en]", pieces(60_000, |at| format!("l{at}, "))), Mark("bad-value"));
    shop("units", &format!("units: [{}mm]", pieces(50_000, |at| format!("u{at}, "))), Mark("bad-value"));
    shop("rules", &format!("languages: [en]\nlocal_rules: \"{}\"", "<".repeat(SETTINGS - 100)), Page);
    let large = format!("name: {}", "x".repeat(10_000_000));
    check("a shop of 10 MB", "shop.yaml", large.as_bytes(), Mark("unreadable-file"));
}

#[test]
fn words_and_cautions() {
    let rows = pieces(100_000, |at| format!("w{at}: {{means: x}}\n"));
    check("100,000 words", "words.yaml", rows.as_bytes(), Mark("unreadable-file"));
    let words = |name, rows: &str, end| with_settings("words.yaml", name, rows, end);
    words("as many words as are read", &pieces(20_000, |at| format!("w{at}: {{means: x, heard_as: [y]}}\n")), Page);
    words("rows of nothing", &pieces(40_000, |at| format!("{at:x}: {{}}\n")), Mark("missing-field"));
    let phrases = pieces(60_000, |at| format!("a{at}, "));
    words("phrases of one word", &format!("w: {{means: x, heard_as: [{phrases}b]}}\n"), Page);
    let see =
        |id: &str| format!("w: {{means: x, see: [{}checks/hub-play]}}\n", format!("checks/{id}, ").repeat(25_000));
    words("references of one word", &see("hub-play"), Page);
    words("references that lead nowhere", &see("hub-plax"), Mark("dangling-reference"));
    let classes = pieces(12_000, |at| format!("c{at}: {{signal: caution, text: x}}\n"));
    with_settings("cautions.yaml", "cautions", &classes, Page);
}

#[test]
fn vehicles() {
    let vehicles = |name, lines: &str, end| with_settings("vehicles.yaml", name, &format!("lines:\n{lines}"), end);
    let line = |at: usize| format!("  l{at}: {{name: L, years: 1990-2019}}\n");
    let of_examples = "  tarn: {name: Tarn, years: 2016-2024, options: {drive: [front, all]}}\n  rill: {name: Rill, years: 2019-2026}\n";
    vehicles("lines", &(of_examples.to_owned() + &pieces(10_000, line)), Mark("bad-value"));
    vehicles("as many lines as are read", &(of_examples.to_owned() + &pieces(998, line)), Page);
    let many = |options: &str| format!("  tarn: {{name: Tarn, years: 2016-2024, options: {{{options}}}}}\n");
    let drive = |values: usize| format!("drive: [{}front, all]", pieces(values, |at| format!("o{at}, ")));
    let options = |count: usize| pieces(count, |at| format!("o{at}: [a, b], ")) + "drive: [front, all]";
    vehicles("values", &many(&drive(50_000)), Mark("bad-value"));
    vehicles("as many values as are read", &many(&drive(198)), Page);
    vehicles("options", &many(&options(25_000)), Mark("bad-value"));
    vehicles("as many options as are read", &many(&options(99)), Page);
}

/// A row of a specification for every single vehicle, and a calculation with it; or a line for every row.
#[test]
fn rows_that_part_all_vehicles() {
    let ids = |letter: char| pieces(20, |at| format!("{letter}{at}, "));
    let parted = format!(
        "lines:\n  tarn: {{name: Tarn, years: 2016-2024, options: {{drive: [front, all], a: [{}], b: [{}]}}}}\n  rill: {{name: Rill, years: 2019-2026}}\n",
        ids('a'),
        ids('b'),
    );
    let single = |at: usize| {
        let (year, a, b) = (2016 + at % 9, at / 9 % 20, at / 180 % 20);
        format!("    - {{fits: [{{line: tarn, years: {year}, a: a{a}, b: b{b}}}], value: {at} mm}}\n")
    };
    let system = |rows: &str, fits: &str, text: &str| {
        let head = format!(
            "---\ntitle: Wheels\nbasis: demo\n{fits}specifications:\n  tread-minimum: 1.6 mm\n  size:\n{rows}---\n"
        );
        head + "The tread is at least [1.6 mm](spec:wheels/tread-minimum) deep.\n\n## Tread\n\n" + text
    };
    let check = |name, vehicles: &str, system: &str, end| {
        let files =
            [("vehicles.yaml".to_owned(), vehicles.as_bytes()), ("systems/wheels.md".to_owned(), system.as_bytes())];
        super::check_files(name, &files, end);
    };
    let calculated = "```calc\na = spec(wheels, size)\nb = a + 1 mm\n```\n";
    let rows = pieces(3600, single);
    check("a row for each vehicle", &parted, &system(&rows, "", "x"), Page);
    check("a row for each vehicle, calculated", &parted, &system(&rows, "fits: [{line: tarn}]\n", calculated), Page);
    let lines = format!(
        "lines:\n  tarn: {{name: Tarn, years: 2016-2024, options: {{drive: [front, all]}}}}\n  rill: {{name: Rill, years: 2019-2026}}\n{}",
        pieces(990, |at| format!("  l{at}: {{name: L, years: 1990-2019}}\n")),
    );
    let row =
        |at: usize| format!("    - {{fits: [{{line: l{}, years: {}}}], value: {at} mm}}\n", at % 990, 1990 + at / 990);
    check("rows of many lines", &lines, &system(&pieces(4000, row), "", "x"), Page);
}
