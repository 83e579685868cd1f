//! The generated script against the library: the same programs, in Node and here, to 1e-12 relative.
//!
//! Programs are made at random from the whole language. Where a result depends on rounding itself (a difference of nearly
//! equal numbers, a step at its edge), no two libraries agree; such programs are told by the interval enclosure, which
//! widens there, and are left out of the count of those compared.

use std::io::Write;
use std::process::{Command, Stdio};

use baybook::calculation::{CheckedSheet, Quantity, Role, Value, calculate, javascript};
use baybook::entry::read_entries;
use baybook::knowledge::link;
use baybook::source::read_folder;

use super::sheet;

/// xorshift64*, so that every run makes the same programs.
struct Random(u64);

impl Random {
    fn next(&mut self) -> u64 {
        self.0 ^= self.0 >> 12;
        self.0 ^= self.0 << 25;
        self.0 ^= self.0 >> 27;
        self.0.wrapping_mul(0x2545_F491_4F6C_DD1D)
    }

    fn below(&mut self, limit: usize) -> usize {
        (self.next() >> 33) as usize % limit
    }

    fn pick<'a>(&mut self, list: &[&'a str]) -> &'a str {
        list[self.below(list.len())]
    }

    fn number(&mut self) -> String {
        let whole = self.below(200) + 1;
        match self.below(3) {
            0 => whole.to_string(),
            1 => format!("{}.{}", whole / 10, whole % 10),
            _ => format!("0.{:02}", whole.min(99)),
        }
    }
}

/// Dimensions that programs use, with units to write them in.
const UNITS: &[&[&str]] = &[
    &["", "%"],
    &["m", "mm", "km", "in", "ft", "mi"],
    &["s", "min", "h", "ms"],
    &["m/s", "km/h", "mph", "kn"],
    &["bar", "kPa", "psi", "inHg"],
    &["rad", "deg", "arcmin"],
    &["K", "delta_degF"],
];

/// An expression of a dimension by its position in [`UNITS`].
fn expression(random: &mut Random, dimension: usize, depth: usize, names: &[(String, usize)]) -> String {
    let known: Vec<&str> = names.iter().filter(|(_, own)| *own == dimension).map(|(name, _)| name.as_str()).collect();
    if depth == 0 || random.below(5) == 0 {
        if !known.is_empty() && random.below(3) > 0 {
            return random.pick(&known).to_owned();
        }
        return format!("{} {}", random.number(), random.pick(UNITS[dimension])).trim().to_owned();
    }
    let of = |random: &mut Random, dimension: usize| expression(random, dimension, depth - 1, names);
    match random.below(9) {
        0 => format!("({} + {})", of(random, dimension), of(random, dimension)),
        1 => format!("({} - {})", of(random, dimension), of(random, dimension)),
        2 => format!("({} * {})", of(random, 0), of(random, dimension)),
        3 => format!("({} / {})", of(random, dimension), of(random, 0)),
        4 => {
            let name = random.pick(&["min", "max"]);
            format!("{name}({}, {})", of(random, dimension), of(random, dimension))
        }
        5 => {
            let other = random.below(UNITS.len());
            let comparison = random.pick(&["<", "<=", ">", ">=", "!="]);
            let joint = random.pick(&["and", "or"]);
            let condition = format!("{} {comparison} {}", of(random, other), of(random, other));
            let second = format!("not ({} {comparison} {})", of(random, 0), of(random, 0));
            format!("if({condition} {joint} {second}, {}, {})", of(random, dimension), of(random, dimension))
        }
        6 => format!("abs({})", of(random, dimension)),
        7 => format!("-({})", of(random, dimension)),
        _ => format!("({})", special(random, dimension, depth, names)),
    }
}

/// What only one dimension has.
fn special(random: &mut Random, dimension: usize, depth: usize, names: &[(String, usize)]) -> String {
    let mut of = |dimension: usize| expression(random, dimension, depth - 1, names);
    match dimension {
        0 => {
            let (a, b) = (of(0), of(0));
            let (length, angle, other) = (of(1), of(5), of(1));
            match random.below(13) {
                0 => format!("sqrt(abs({a}))"),
                1 => format!("exp(-abs({a}) / 50)"),
                2 => format!("ln(1 + abs({a}))"),
                3 => format!("log10(1 + abs({a}))"),
                4 => format!("sin({angle})"),
                5 => format!("cos({angle})"),
                6 => format!("({a})^{}", 2 + random.below(3)),
                7 => format!("(1 + abs({a}))^({b} / 300)"),
                8 => format!("({length}) / (1 m + abs({other}))"),
                9 => format!("{}({a})", random.pick(&["round", "floor", "ceil"])),
                10 => format!("table(min(max({a}, 0), 10); 0: 1, 2.5: 4, 10: -3)"),
                11 => format!("2^-{}", 1 + random.below(4)),
                _ => "pi".to_owned(),
            }
        }
        1 => format!("({} * {})", of(3), of(2)),
        2 => format!("({}) / (1 m/s + abs({}))", of(1), of(3)),
        3 => format!("sqrt(abs({}) * g0)", of(1)),
        5 => {
            let a = of(0);
            match random.below(3) {
                0 => format!("atan({a})"),
                1 => format!("asin(({a}) / (1 + abs({a})))"),
                _ => format!("acos(({a}) / (1 + abs({a})))"),
            }
        }
        6 => format!("((20 degC + {}) - 50 degF)", of(6)),
        _ => format!("({} + {})", of(dimension), of(dimension)),
    }
}

fn program(random: &mut Random) -> String {
    let mut names: Vec<(String, usize)> = Vec::new();
    let mut lines = Vec::new();
    for at in 0..2 + random.below(3) {
        let dimension = random.below(UNITS.len());
        lines.push(format!("given x{at} = {} {}", random.number(), random.pick(UNITS[dimension])));
        names.push((format!("x{at}"), dimension));
    }
    for at in 0..1 + random.below(4) {
        let dimension = random.below(UNITS.len());
        let depth = 1 + random.below(4);
        lines.push(format!("r{at} = {}", expression(random, dimension, depth, &names)));
        names.push((format!("r{at}"), dimension));
    }
    lines.join("\n")
}

/// Runs scripts in Node, each with its inputs and specifications; one line of JSON values for each.
fn node(scripts: &[String], inputs: &[String], specifications: &[String]) -> Vec<serde_json::Value> {
    let mut text = String::from(
        "var window = globalThis; var out = [];\nfunction show(v) { return v === undefined ? null : v; }\n",
    );
    for (at, ((script, input), specification)) in scripts.iter().zip(inputs).zip(specifications).enumerate() {
        text.push_str(script);
        text.push_str(&format!(
            "\nout.push(JSON.stringify(window.baybookCalc[\"t/{at}\"].compute({input}, {specification}).map(show)));\n"
        ));
    }
    text.push_str("console.log(out.join(\"\\n\"));\n");
    let mut child =
        Command::new("node").arg("-").stdin(Stdio::piped()).stdout(Stdio::piped()).spawn().expect("Node.js runs");
    child.stdin.take().unwrap().write_all(text.as_bytes()).unwrap();
    let output = child.wait_with_output().unwrap();
    assert!(output.status.success(), "Node.js failed");
    String::from_utf8(output.stdout).unwrap().lines().map(|line| serde_json::from_str(line).unwrap()).collect()
}

/// The inputs as an array with holes for results.
fn inputs(sheet: &CheckedSheet) -> String {
    let start = sheet.compute(0, &[]);
    let value = |at: usize| match start[at] {
        Some(Value::Number(number)) => format!("{number:?}"),
        Some(Value::Truth(truth)) => truth.to_string(),
        None => "undefined".into(),
    };
    let given = |at: usize| matches!(sheet.statements[at].role, Role::Given { .. });
    let list: Vec<String> =
        (0..sheet.statements.len()).map(|at| if given(at) { value(at) } else { "undefined".into() }).collect();
    format!("[{}]", list.join(", "))
}

/// How many numbers were compared, and the largest relative difference.
fn compare(row: &serde_json::Value, checked: &CheckedSheet, text: &str) -> (usize, f64) {
    let (mut compared, mut worst) = (0, 0.0);
    for (here, there) in checked.compute(0, &[]).into_iter().zip(row.as_array().unwrap()) {
        match here {
            Some(Value::Truth(here)) => assert_eq!(Some(here), there.as_bool(), "{text}"),
            None => assert!(there.is_null(), "{there} there for a fault here:\n{text}"),
            Some(Value::Number(here)) => {
                let there = there.as_f64().unwrap_or_else(|| panic!("nothing there for {here}:\n{text}"));
                let error = if here == there { 0.0 } else { (here - there).abs() / here.abs().max(f64::MIN_POSITIVE) };
                assert!(error <= 1e-12, "{here} here, {there} there:\n{text}");
                worst = f64::max(worst, error);
                compared += 1;
            }
        }
    }
    (compared, worst)
}

/// Values of the specifications of the first group of vehicles, intervals by their middles.
fn specifications(sheet: &CheckedSheet) -> String {
    let value = |value: &Option<Quantity>| {
        value.as_ref().map_or("undefined".to_owned(), |own| format!("{:?}", own.low + (own.high - own.low) / 2.0))
    };
    format!("[{}]", sheet.groups[0].specifications.iter().map(value).collect::<Vec<_>>().join(", "))
}

#[test]
fn every_calculation_of_the_demonstration_comes_to_the_same_in_both_places() {
    let kb = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("kb");
    let (folder, _) = read_folder(&kb).unwrap();
    let (entries, _) = read_entries(&folder);
    let (knowledge, _) = link(&entries, &folder, None);
    let (calculations, marks) = calculate(&knowledge);
    assert!(marks.is_empty(), "{marks:#?}");
    let sheets: Vec<&CheckedSheet> =
        calculations.sheets().map(|(_, sheet)| sheet).filter(|sheet| !sheet.statements.is_empty()).collect();
    let scripts: Vec<String> =
        sheets.iter().enumerate().map(|(at, sheet)| javascript(&format!("t/{at}"), sheet)).collect();
    let inputs: Vec<String> = sheets.iter().map(|sheet| inputs(sheet)).collect();
    let specifications: Vec<String> = sheets.iter().map(|sheet| specifications(sheet)).collect();
    let rows = node(&scripts, &inputs, &specifications);
    let compared: usize =
        rows.iter().zip(&sheets).map(|(row, sheet)| compare(row, sheet, &sheet.statements[0].name.value).0).sum();
    assert!(sheets.len() >= 15 && compared >= 60, "{} sheets, {compared} numbers", sheets.len());
}

/// Edges that chance does not meet: halves, ends of tables, powers of nothing, faults, truths, vehicles.
#[test]
fn edges_are_the_same_in_both_places() {
    let text = "given x0 = 2.5\ngiven half = 0.49999999999999994\ngiven nothing = 0\ngiven wet = true\ngiven t = -40 degF\n\
                a = round(x0)\nb = round(-x0)\nc = round(half)\nd = round(-half)\ne = floor(-x0)\nf = ceil(-x0)\n\
                g = x0^0\nh = nothing^3\ni = x0^-3\nj = nothing^0.5\nk = (-x0)^3\nl = 2^3^2\nm = -2^2\n\
                n = table(x0; 0: 1, 2.5: 4, 10: -3)\no = table(nothing; 0: 1, 2.5: 4, 10: -3)\np = wet and not (x0 < 2)\n\
                q = wet == (x0 > 2)\nr = if(wet, t, 20 degC) in degC\ns = 2.9 mm >= spec(service-brakes, front-pad-minimum)\n\
                u = 3000 rpm in rad/s\nv = abs(-x0) + min(x0, 1, 3) + max(x0, 7)\nw = 0.3 cm >= 3 mm\nx = 1e-300 * 1e-10\n\
                y = spec(wheels, bolt-torque) / 2 m\nz = tan(45 deg) + 1e16 + 1";
    let (checked, marks) = sheet(text);
    let wrong: Vec<_> = marks.iter().filter(|mark| mark.id.name() != "unused-given").collect();
    assert!(wrong.is_empty(), "{wrong:#?}");
    let row = node(&[javascript("t/0", &checked)], &[inputs(&checked)], &[specifications(&checked)]);
    let (count, worst) = compare(&row[0], &checked, text);
    assert_eq!((count, worst), (25, 0.0));
    let faults = "given x0 = 0\na = 1 / x0\nb = a + 1\nc = sqrt(x0 - 1)\nd = ln(x0)\ne = asin(x0 + 2)\nf = table(x0; 1: 1, 2: 2)\n\
                  g = (x0 - 1)^0.3\nh = exp(x0 + 1000)\ni = x0^-1\nj = 10 degC - (x0 + 300) * 1 K\nk = if(x0 == 0, 1, 1 / x0)";
    let (checked, _) = sheet(faults);
    let row = node(&[javascript("t/0", &checked)], &[inputs(&checked)], &["[]".to_owned()]);
    assert_eq!(compare(&row[0], &checked, faults).0, 2);
}

#[test]
fn five_thousand_programs_come_to_the_same_in_both_places() {
    const WANTED: usize = 5_000;
    let mut random = Random(0x0BAD_5EED_0DD5);
    let (mut scripts, mut values, mut sheets, mut texts) = (Vec::new(), Vec::new(), Vec::new(), Vec::new());
    let mut made = 0;
    while scripts.len() < WANTED {
        made += 1;
        assert!(made < 4 * WANTED, "too few programs are well conditioned");
        let text = program(&mut random);
        let (checked, marks) = sheet(&text);
        let wrong: Vec<_> =
            marks.iter().filter(|mark| !matches!(mark.id.name(), "unused-given" | "out-of-domain")).collect();
        assert!(wrong.is_empty(), "{text}\n{wrong:#?}");
        if !checked.is_well_conditioned(1e-13) {
            continue;
        }
        scripts.push(javascript(&format!("t/{}", scripts.len()), &checked));
        values.push(inputs(&checked));
        sheets.push(checked);
        texts.push(text);
    }
    let none = vec!["[]".to_owned(); scripts.len()];
    let rows = node(&scripts, &values, &none);
    let (mut compared, mut worst) = (0, 0.0);
    for ((row, checked), text) in rows.iter().zip(&sheets).zip(&texts) {
        let (count, error) = compare(row, checked, text);
        compared += count;
        worst = f64::max(worst, error);
    }
    assert!(compared > 2 * WANTED, "{compared} values of {made} programs compared, worst difference {worst:e}");
}
