//! What is wrong inside files.

use std::fs;
use std::path::Path;

use super::Answer::{Mark, Nothing};
use super::{Answer, check};
use crate::support::{content, put};

/// An entry with these bytes must earn the answer.
fn check_bytes(name: &str, bytes: impl AsRef<[u8]>, answer: &Answer) {
    check(name, |kb| put(kb, "guides/x.md", bytes), answer);
}

fn with_field(field: &str) -> String {
    format!("---\ntitle: x\nbasis: demo\n{field}\n---\nText.\n")
}

fn with_text(text: &str) -> String {
    format!("---\ntitle: x\nbasis: demo\n---\n{text}\n")
}

const FRONT: Answer = Mark("bad-front-matter", "guides/x.md");

#[test]
fn texts_that_are_none() {
    check_bytes("an empty file", "", &FRONT);
    check_bytes("a byte-order mark alone", "\u{feff}", &FRONT);
    check_bytes("blank lines", "\n\n\n", &FRONT);
    check_bytes("bad UTF-8", b"---\ntitle: \xc3\x28\n---\n", &Mark("unreadable-file", "guides/x.md:2:8"));
    check_bytes("windows-1252", b"---\ntitle: Gr\xf6\xdfe\n---\n", &Mark("unreadable-file", "guides/x.md:2:10"));
    let utf16: Vec<u8> = "\u{feff}---\n".encode_utf16().flat_map(u16::to_le_bytes).collect();
    check_bytes("UTF-16", utf16, &Mark("unreadable-file", "guides/x.md:1:1"));
    check_bytes("NUL bytes in front matter", "---\ntitle: a\0b\n---\n", &Mark("unreadable-file", "guides/x.md:2:9"));
    check_bytes("NUL bytes in the text", with_text("a\0b [x](a\0b.md)"), &Mark("unreadable-file", "guides/x.md:5:2"));
    check_bytes("only NUL bytes", [0; 4096], &Mark("unreadable-file", "guides/x.md:1:1"));
    check_bytes("control characters", with_field("author: \"\\u0007\u{1b}\""), &FRONT);
}

#[test]
fn front_matter_that_does_not_hold() {
    check_bytes("unclosed", "---\ntitle: x\n", &FRONT);
    check_bytes("an indented fence", "---\ntitle: x\n ---\n", &FRONT);
    check_bytes("front matter only", "---\ntitle: x\nbasis: demo\n---", &Nothing);
    check_bytes("nothing in it", "---\n---\n", &Mark("missing-field", "guides/x.md:1:1"));
    check_bytes("lone carriage returns", "---\rtitle: x\r---\r", &FRONT);
    check_bytes("repeated keys", with_field("title: y"), &Mark("bad-front-matter", "guides/x.md:4:1"));
    check_bytes("tabs", "---\ntitle:\n\t- x\n---\n", &FRONT);
    check_bytes("an unclosed quote", with_field("author: \"x"), &FRONT);
    check_bytes("an unclosed list", with_field("codes: [P0001"), &FRONT);
    check_bytes("a tag", with_field("author: !!python/object x"), &FRONT);
    check_bytes("a merge key", with_field("<<: {author: x}"), &Mark("unknown-field", "guides/x.md:4:1"));
    check_bytes("a complex key", with_field("? [a, b]\n: c"), &FRONT);
    check_bytes("question marks", with_field(&"? ".repeat(20_000)), &FRONT);
    check_bytes("100 levels", with_field(&format!("codes: {}{}", "[".repeat(100), "]".repeat(100))), &FRONT);
    check_bytes("10,000 levels", with_field(&format!("codes: {}{}", "[".repeat(10_000), "]".repeat(10_000))), &FRONT);
    check_bytes("10,000 open maps", with_field(&format!("codes: {}", "{a: ".repeat(10_000))), &FRONT);
    let indented: String = (0..4_000).map(|level| format!("{}a:\n", " ".repeat(level.min(40)))).collect();
    check_bytes("4,000 lines of blocks", with_field(&format!("codes:\n{indented}")), &FRONT);
    let bomb = "a0: &a0 [x, x]\n".to_owned()
        + &(1..30).map(|at| format!("a{at}: &a{at} [*a{0}, *a{0}]\n", at - 1)).collect::<String>();
    check_bytes("an alias bomb", with_field(&bomb), &FRONT);
    check_bytes("a second document", "---\ntitle: x\n...\n%YAML 1.1\n---\n", &FRONT);
}

#[test]
fn fields_that_nobody_wants() {
    let many: String = (0..1000).map(|at| format!("field-{at}: x\n")).collect();
    check_bytes("1,000 keys", with_field(&many), &Mark("unknown-field", "guides/x.md:1003:1"));
    let codes = vec!["nope"; 5000].join(", ");
    check_bytes("5,000 faults", with_field(&format!("codes: [{codes}]")), &Mark("bad-value", "guides/x.md:4:9"));
    for day in ["2026-02-29", "2026-13-01", "0000-00-00", "2026-1-1", "99999-01-01", "2026-06-31", "tomorrow"] {
        check_bytes(day, with_field(&format!("created: {day}")), &Mark("bad-value", "guides/x.md:4:10"));
    }
    check_bytes("ids with dots", with_field("systems: [../../etc]"), &Mark("bad-id", "guides/x.md:4:11"));
    check_bytes(
        "an id of 65",
        with_field(&format!("systems: [{}]", "a".repeat(65))),
        &Mark("bad-id", "guides/x.md:4:11"),
    );
    check_bytes("an emoji", with_field("systems: [🔧]"), &Mark("bad-id", "guides/x.md:4:11"));
    check_bytes("itself", with_field("replaces: [x]"), &Mark("replacement-loop", "guides/x.md:4:12"));
    check_bytes("unknown lines", with_field("fits: [{line: nowhere}]"), &Mark("unknown-vehicle", "guides/x.md:4:15"));
    let years = with_field("fits: [{line: tarn, years: 99999999999999999999}]");
    check_bytes("huge years", years, &Mark("bad-value", "guides/x.md:4:28"));
    check_bytes(
        "a script for an address",
        with_field("source: [{name: x, url: 'javascript:alert(1)'}]"),
        &Mark("unsafe-link", "guides/x.md:4:25"),
    );
    let numbers = ["1e999", "-0.1", "nan", ".inf", "0x10", "1_000", "½"];
    for number in numbers {
        let wrong = |kb: &Path| {
            let text = fs::read_to_string(kb.join("checks/hub-play.md")).unwrap();
            put(kb, "checks/hub-play.md", text.replace("minutes: 15", &format!("minutes: {number}")));
        };
        check(number, wrong, &Mark("bad-value", "checks/hub-play.md:4:10"));
    }
    let unknown_everywhere = |kb: &Path| {
        for (path, bytes) in content(kb).into_iter().filter(|(path, _)| path.ends_with(".md")) {
            let text = String::from_utf8(bytes).unwrap();
            put(kb, &path, text.replacen("---\n", "---\n<script>: alert(1)\n", 1));
        }
    };
    check("unknown fields everywhere", unknown_everywhere, &Mark("unknown-field", "symptoms/hum.md:2:1"));
}

#[test]
fn settings_that_do_not_hold() {
    let settings = |path: &'static str, text: &'static str| move |kb: &Path| put(kb, path, text);
    check("an empty shop", settings("shop.yaml", ""), &Mark("missing-field", "shop.yaml:1:1"));
    check("a list for a shop", settings("shop.yaml", "- x\n"), &Mark("bad-value", "shop.yaml:1:1"));
    check("no lines", settings("vehicles.yaml", "lines: {}\n"), &Nothing);
    check(
        "years without end",
        settings("vehicles.yaml", "lines: {a: {name: A, years: 0001-9999}}"),
        &Mark("bad-value", "vehicles.yaml:1:29"),
    );
    check("words as a list", settings("words.yaml", "- hub\n"), &Mark("bad-value", "words.yaml:1:1"));
    check("bad UTF-8 in words", |kb| put(kb, "words.yaml", b"hub: \xff"), &Mark("unreadable-file", "words.yaml:1:6"));
    let wide = |kb: &Path| {
        let options: String = (0..12).map(|at| format!("o{at}: [a, b, c, d, e, f], ")).collect();
        let lines: String =
            (0..50).map(|at| format!("  l{at}: {{name: L, years: 1990-2019, options: {{{options}}}}}\n")).collect();
        put(kb, "vehicles.yaml", format!("lines:\n{lines}"));
        put(kb, "guides/x.md", with_field("fits: [{line: l0, years: 2020}]"));
    };
    check("very many vehicles", wide, &Mark("empty-fit", "guides/x.md:4:26"));
}

/// Every text field of every kind, and every text below it.
#[test]
fn scripts_in_text_fields_break_nothing() {
    const SCRIPT: &str = "<script>alert(1)</script>\"'&amp;{{ x }}{% x %}";
    let plain = |kb: &Path| {
        put(
            kb,
            "checks/hub-play.md",
            format!(
                "---\ntitle: '<script>x</script>'\nwhere: bay\nminutes: 1\nhazards: none\nbasis: demo\nask: '<script>?'\ntools: ['<script>']\nauthor: '<script>'\nsource: ['<script>', {{name: '<b>', locator: '<i>'}}]\nanswers: {{loose: '<script>', firm: '{}'}}\n---\n`{SCRIPT}`\n",
                SCRIPT.replace('\'', "''")
            ),
        );
        put(kb, "words.yaml", "'<script>': {means: '<script>', heard_as: ['<script>'], see: [checks/hub-play]}\n");
        put(kb, "shop.yaml", "name: '<script>'\nlanguages: [en]\nlocal_rules: '</script><script>'\n");
    };
    check("scripts in plain text", plain, &Nothing);
    check_bytes("a script in the text", with_text(SCRIPT), &Mark("raw-html", "guides/x.md:5:1"));
    let remedy = |kb: &Path| {
        let text = fs::read_to_string(kb.join("conditions/worn-bearing.md")).unwrap();
        put(kb, "conditions/worn-bearing.md", text.replace("remedy: Replace", "remedy: <script>Replace"));
    };
    check("a script in a text of a field", remedy, &Mark("raw-html", "conditions/worn-bearing.md"));
}

#[test]
fn links_that_would_run_something() {
    for destination in [
        "javascript:alert(1)",
        "JaVaScRiPt:alert(1)",
        "data:text/html;base64,PHNjcmlwdD4=",
        "vbscript:msgbox",
        "<java\tscript:alert(1)>",
        "<  javascript:alert(1)>",
        "&#106;avascript:alert(1)",
        "&#x6A;avascript&colon;alert(1)",
        "javascript&#58;alert(1)",
        "file:///etc/passwd",
        "//example.org/x",
        "/etc/passwd",
        "../../../etc/passwd",
        "\\\\\\\\example.org\\\\x",
        "blob:x",
    ] {
        check_bytes(destination, with_text(&format!("[x]({destination})")), &Mark("unsafe-link", "guides/x.md:5:"));
        check_bytes(destination, with_text(&format!("![x]({destination})")), &Mark("unsafe-link", "guides/x.md:5:"));
        let defined = with_text(&format!("[x][y]\n\n[y]: {destination}"));
        check_bytes(destination, defined, &Mark("unsafe-link", "guides/x.md:7:"));
    }
}

#[test]
fn markdown_that_is_nested_without_end() {
    let many = |text: &str, count: usize| with_text(&text.repeat(count));
    check_bytes("quotations", many("> ", 20_000), &Nothing);
    check_bytes("lists", many("- ", 20_000), &Nothing);
    check_bytes("brackets", many("[", 35_000), &Nothing);
    check_bytes("pictures", many("![", 35_000), &Nothing);
    check_bytes("links", many("[a](", 35_000), &Nothing);
    check_bytes("stars", many("*a **b ", 20_000), &Nothing);
    check_bytes("backquotes", with_text(&(1..600).map(|at| "`".repeat(at) + " ").collect::<String>()), &Nothing);
    check_bytes("tags", many("<a ", 35_000), &Nothing);
    check_bytes("an open comment", with_text(&"<!-- ".repeat(35_000)), &Nothing);
    check_bytes("tables", with_text(&format!("|{}\n|{}\n", "a|".repeat(5000), "-|".repeat(5000))), &Nothing);
    check_bytes(
        "definitions",
        with_text(&format!("{}\n\n[a]: x\n", "[a]".repeat(5000))),
        &Mark("dangling-reference", "guides/x.md:7:6"),
    );
    check_bytes(
        "calculations",
        with_text(&format!("```calc\na = {}1{}\n```", "(".repeat(10_000), ")".repeat(10_000))),
        &Mark("calc-syntax", "guides/x.md:6:"),
    );
}
