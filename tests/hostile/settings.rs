//! Settings.

use super::End::{Mark, Page};
use super::{SETTINGS, check, pieces, with_settings};

#[test]
fn shops() {
    let shop = |name, more: &str, end| with_settings("shop.yaml", name, &format!("name: x\n{more}"), end);
    let twice = |at: usize| format!("a{}: &a{} [*a{at}, *a{at}]\n", at + 1, at + 1);
    shop("aliases in a shop", &format!("a0: &a0 [x, x]\n{}", pieces(30, twice)), Mark("bad-front-matter"));
    shop("languages", &format!("languages: [{}en]", pieces(42_000, |at| format!("l{at}, "))), Mark("bad-value"));
    shop("units", &format!("units: [{}mm]", pieces(35_000, |at| format!("u{at}, "))), Mark("bad-value"));
    shop("rules", &format!("languages: [en]\nlocal_rules: \"{}\"", "<".repeat(SETTINGS - 100)), Page);
    let large = format!("name: {}", "x".repeat(10_000_000));
    check("a shop of 10 MB", "shop.yaml", large.as_bytes(), Mark("unreadable-file"));
}

#[test]
fn words_and_cautions() {
    let rows = pieces(100_000, |at| format!("w{at}: {{means: x}}\n"));
    check("100,000 words", "words.yaml", rows.as_bytes(), Mark("unreadable-file"));
    let words = |name, rows: &str, end| with_settings("words.yaml", name, rows, end);
    words("as many words as are read", &pieces(11_500, |at| format!("w{at}: {{means: x, heard_as: [y]}}\n")), Page);
    words("rows of nothing", &pieces(28_000, |at| format!("{at:x}: {{}}\n")), Mark("missing-field"));
    let phrases = pieces(42_000, |at| format!("a{at}, "));
    words("phrases of one word", &format!("w: {{means: x, heard_as: [{phrases}b]}}\n"), Page);
    let see =
        |id: &str| format!("w: {{means: x, see: [{}checks/hub-play]}}\n", format!("checks/{id}, ").repeat(17_500));
    words("references of one word", &see("hub-play"), Page);
    words("references that lead nowhere", &see("hub-plax"), Mark("dangling-reference"));
    let classes = pieces(8400, |at| format!("c{at}: {{signal: caution, text: x}}\n"));
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
    vehicles("values", &many(&drive(35_000)), Mark("bad-value"));
    vehicles("as many values as are read", &many(&drive(198)), Page);
    vehicles("options", &many(&options(17_500)), Mark("bad-value"));
    vehicles("as many options as are read", &many(&options(99)), Page);
}
