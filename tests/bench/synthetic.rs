//! Writes a folder of invented entries for measuring: `synthetic COUNT FOLDER`.
//!
//! Of every fifty entries one is a symptom, six are conditions and four characteristics that account for it, 25 are
//! checks, seven systems and seven guides. Each has about 25 lines of front matter, 250 words, a table, a list and five
//! links; one in ten has a calculation.
#![allow(clippy::disallowed_methods, clippy::unwrap_used, clippy::indexing_slicing, reason = "a program for measuring")]

#[path = "invented.rs"]
mod invented;

use std::fmt::Write as _;
use std::fs;
use std::path::Path;

use invented::{Dice, Stock};

const BLOCK: usize = 50;
const KINDS: [(&str, usize); 6] =
    [("symptoms", 1), ("conditions", 6), ("characteristics", 4), ("checks", 25), ("systems", 7), ("guides", 7)];
const SHOP: &str = "name: Bench\nlanguages: [en]\nunits: [metric, us]\nmax_questions: 5\nreading_level: 16\n\
    local_rules: Follow local rules. Work on brakes is for qualified people.\n";
const VEHICLES: &str = "lines:\n  tarn: {name: Tarn, years: 2010-2024, options: {drive: [front, all], brakes: [standard, heavy]}}\n  \
    rill: {name: Rill, years: 2015-2026}\n";

fn main() {
    let arguments: Vec<String> = std::env::args().collect();
    let (count, out) = (arguments[1].parse::<usize>().unwrap(), Path::new(&arguments[2]));
    let dice = &mut Dice(11);
    let stock = Stock::new(8_000 + count / 2, dice);
    for (folder, _) in KINDS {
        fs::create_dir_all(out.join(folder)).unwrap();
    }
    fs::write(out.join("shop.yaml"), SHOP).unwrap();
    fs::write(out.join("vehicles.yaml"), VEHICLES).unwrap();
    fs::write(out.join("words.yaml"), words(&stock, dice)).unwrap();
    for at in 0..count {
        let entry = Place::of(at, count);
        fs::write(out.join(entry.path()), entry.text(&stock, dice)).unwrap();
    }
}

fn words(stock: &Stock, dice: &mut Dice) -> String {
    let mut words = String::new();
    for at in 0..60 {
        let (word, means, heard_as) = (stock.word(dice), stock.sentence(dice), stock.phrase(2, dice));
        writeln!(words, "{word}{at}: {{means: {means}, heard_as: [{heard_as}]}}").unwrap();
    }
    words
}

/// Where an entry stands: its block, its kind and its position among those of its kind in the block.
#[derive(Clone, Copy)]
struct Place {
    blocks: usize,
    block: usize,
    kind: usize,
    nth: usize,
}

impl Place {
    fn of(at: usize, count: usize) -> Self {
        let (block, mut nth) = (at / BLOCK, at % BLOCK);
        for (kind, (_, size)) in KINDS.iter().enumerate() {
            if nth < *size {
                return Self { blocks: count.div_ceil(BLOCK), block, kind, nth };
            }
            nth -= size;
        }
        unreachable!("kinds fill a block")
    }

    fn folder(self) -> &'static str {
        KINDS[self.kind].0
    }

    fn id(self) -> String {
        format!("{}-{:05}-{:02}", self.folder().trim_end_matches('s'), self.block, self.nth)
    }

    fn path(self) -> String {
        format!("{}/{}.md", self.folder(), self.id())
    }

    /// Another entry of a block, by kind and position.
    fn other(self, kind: usize, nth: usize) -> Self {
        Self { kind, nth: nth % KINDS[kind].1, ..self }
    }

    fn text(self, stock: &Stock, dice: &mut Dice) -> String {
        let title = stock.phrase(3, dice);
        let mut text = format!("---\ntitle: The {title} of {}\n", self.id());
        writeln!(text, "systems: [{}, {}]", self.other(4, self.nth).id(), self.other(4, self.nth + 1).id()).unwrap();
        text.push_str(
            ["", "fits: [{line: tarn}, {line: rill, years: 2018-}]\n"][usize::from(self.kind > 3 && dice.roll(4) == 0)],
        );
        text.push_str(&self.detail(stock, dice));
        self.metadata(&mut text, stock, dice);
        text.push_str("---\n");
        self.body(&mut text, stock, dice);
        text
    }

    fn detail(self, stock: &Stock, dice: &mut Dice) -> String {
        match self.kind {
            0 => symptom(stock, dice),
            1 => self.condition(stock, dice),
            2 => self.characteristic(stock, dice),
            3 => self.check(stock, dice),
            4 => system(dice),
            _ => String::new(),
        }
    }

    fn metadata(self, text: &mut String, stock: &Stock, dice: &mut Dice) {
        text.push_str("source:\n");
        for at in 0..2 {
            let (name, locator) = (stock.phrase(3, dice), dice.roll(200));
            writeln!(text, "  - name: The {name}\n    locator: page {locator}\n    url: https://example.org/{at}")
                .unwrap();
        }
        let (month, day) = (1 + dice.roll(12), 1 + dice.roll(28));
        writeln!(text, "basis: demo\ncreated: 2026-01-02\nmodified: 2026-{month:02}-{day:02}\nreview_by: 2999-01-31")
            .unwrap();
        writeln!(
            text,
            "author: {}\ncodes: [C{:04X}, P{:04X}]",
            stock.phrase(2, dice),
            dice.roll(0x3fff),
            dice.roll(0x3fff)
        )
        .unwrap();
    }

    fn accounts_for(self, prior: usize, dice: &mut Dice) -> String {
        let mut text =
            format!("accounts_for:\n  - symptom: {}\n    prior: {prior}\n    evidence:\n", self.other(0, 0).id());
        for at in 0..6 {
            let (yes, no) = [("usually", "rarely"), ("rarely", "usually"), ("often", "sometimes")][dice.roll(3)];
            writeln!(text, "      {}: {{yes: {yes}, no: {no}}}", self.other(3, (self.nth + at) % 8).id()).unwrap();
        }
        text
    }

    fn condition(self, stock: &Stock, dice: &mut Dice) -> String {
        let hazard = ["drive-with-care", "none", "none", "do-not-drive", "none", "none"][self.nth];
        let mut text = format!("hazard: {hazard}\n{}", self.accounts_for(2 + self.nth, dice));
        writeln!(text, "confirm: {{{}: yes}}\nremedy: {}", self.other(3, 10 + self.nth).id(), stock.sentence(dice))
            .unwrap();
        if hazard != "none" {
            let (first, second) = (self.other(3, self.nth), self.other(3, self.nth + 1));
            writeln!(text, "ruled_out_by: {{{}: no, {}: no}}", first.id(), second.id()).unwrap();
        }
        text
    }

    fn characteristic(self, stock: &Stock, dice: &mut Dice) -> String {
        let (brief, plain, full) = (stock.sentence(dice), stock.sentence(dice), stock.sentence(dice));
        let because = stock.sentence(dice);
        format!(
            "{}tell:\n  brief: {brief}\n  plain: {plain}\n  full: {full} {plain}\nbecause: {because}\n",
            self.accounts_for(3 + self.nth, dice)
        )
    }

    fn check(self, stock: &Stock, dice: &mut Dice) -> String {
        let (place, hazards) = if self.nth < 8 { ("counter", "none") } else { ("bay", "[moving-parts]") };
        let ask = stock.phrase(7, dice);
        format!(
            "ask: Does the {ask}?\nwhere: {place}\nminutes: {}\nhazards: {hazards}\ntools: [{}, {}]\nanswers:\n  yes: It {}\n  no: It does not {}\n",
            1 + dice.roll(9),
            stock.word(dice),
            stock.word(dice),
            stock.phrase(3, dice),
            stock.phrase(3, dice),
        )
    }

    fn body(self, text: &mut String, stock: &Stock, dice: &mut Dice) {
        for part in 0..4 {
            let (heading, link) = (stock.phrase(3, dice), self.link(part, stock, dice));
            let sentences: Vec<String> = (0..5).map(|_| stock.sentence(dice)).collect();
            write!(text, "## The {heading}\n\n{} See {link}.\n\n", sentences.join(" ")).unwrap();
        }
        for _ in 0..4 {
            writeln!(text, "- {}", stock.phrase(5, dice)).unwrap();
        }
        writeln!(text, "- {}", self.link(4, stock, dice)).unwrap();
        writeln!(text, "\n| part | limit |\n|---|---|").unwrap();
        for _ in 0..4 {
            writeln!(text, "| {} | {} mm |", stock.phrase(2, dice), dice.roll(90)).unwrap();
        }
        if self.nth % 10 == 3 {
            text.push_str(
                "\n```calc\ngiven speed = 36 km/h from 10 km/h to 200 km/h\ngiven slowing = 5 m/s^2 from 1 m/s^2 to 9 m/s^2\n\
                 braking = speed^2 / (2 * slowing) gives 10 m within 0.1 m\n```\n\nIt takes [10 m](calc:braking).\n",
            );
        }
    }

    /// A link into the same block or a neighbour of it.
    fn link(self, part: usize, stock: &Stock, dice: &mut Dice) -> String {
        let block = if part == 0 { (self.block + 1) % self.blocks } else { self.block };
        let other = Self { block, ..self.other([3, 1, 2, 4, 5][part], dice.roll(25)) };
        format!("[{}](../{})", stock.phrase(2, dice), other.path())
    }
}

fn symptom(stock: &Stock, dice: &mut Dice) -> String {
    let phrases: Vec<String> = (0..5).map(|_| format!("  - it {}\n", stock.phrase(6, dice))).collect();
    format!("heard_as:\n{}senses: [{}]\n", phrases.concat(), ["hear", "feel", "smell"][dice.roll(3)])
}

fn system(dice: &mut Dice) -> String {
    let (low, pressure) = (1 + dice.roll(9), 1 + dice.roll(9));
    format!(
        "specifications:\n  pad-minimum: {low} mm\n  torque: {} to {} N·m\n  pressure: {pressure} bar\n\
         changes:\n  - {{from: 2018, line: tarn, text: A new pump}}\n",
        10 * low,
        10 * low + 5
    )
}
