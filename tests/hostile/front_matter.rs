//! YAML.

use super::End::{Mark, Page};
use super::{check, flood, pieces, with_fields};

const FRONT: super::End = Mark("bad-front-matter");

#[test]
fn aliases_and_nesting() {
    let twice = |at: usize| format!("a{}: &a{} [*a{at}, *a{at}]\n", at + 1, at + 1);
    with_fields("an alias bomb", &format!("a0: &a0 [x, x]\n{}", pieces(30, twice)), FRONT);
    let scalar = format!("a: &a \"{}\"\ncodes: [{}x]", "x".repeat(70_000), "*a, ".repeat(14_000));
    with_fields("aliases of a large text", &scalar, FRONT);
    with_fields("an alias to itself", "codes: &a [*a]", FRONT);
    with_fields("merge keys", &flood("<<: {a: x}\n"), FRONT);
    with_fields("lists in lists", &format!("codes: {}{}", "[".repeat(84_000), "]".repeat(84_000)), FRONT);
    with_fields("lists left open", &format!("codes: {}", flood("[")), FRONT);
    with_fields("maps left open", &format!("codes: {}", flood("{a: ")), FRONT);
    with_fields("lists on one line", &format!("codes:\n  {}", flood("- ")), FRONT);
    with_fields("lists in blocks", &format!("codes:\n{}", pieces(700, |at| " ".repeat(at) + "-\n")), FRONT);
    with_fields("maps in blocks", &format!("codes:\n{}", pieces(700, |at| " ".repeat(at) + "a:\n")), FRONT);
    with_fields("keys of keys", &flood("? "), FRONT);
    with_fields("tags", &format!("codes: {}x", "!t ".repeat(56_000)), FRONT);
}

#[test]
fn keys_texts_and_lists_without_end() {
    let key = "k".repeat(84_000);
    with_fields("a long key", &format!("\"{key}\": x"), FRONT);
    with_fields("a long key twice", &format!("\"{key}\": x\n\"{key}\": x"), FRONT);
    with_fields("many keys", &pieces(14_000, |at| format!("f{at}: x\n")), Mark("unknown-field"));
    with_fields("keys that are nearly right", &pieces(14_000, |at| format!("basi{at}: x\n")), Mark("unknown-field"));
    with_fields("one key again and again", &flood("author: x\n"), FRONT);
    let codes = format!("codes: [{}nope]", "nope, ".repeat(28_000));
    with_fields("values that are all wrong", &codes, Mark("bad-value"));
    let systems = pieces(21_000, |at| format!("s{at}, "));
    with_fields("ids that lead nowhere", &format!("systems: [{systems}wheels]"), Mark("dangling-reference"));
    let fits = format!("fits: [{}{{line: tarn}}]", "{line: tarn, years: 2016}, ".repeat(6300));
    with_fields("boxes", &fits, Page);
    let lines = pieces(8400, |at| format!("{{line: l{at}}}, "));
    with_fields("unknown vehicles", &format!("fits: [{lines}{{line: tarn}}]"), Mark("unknown-vehicle"));
    let folded = format!("author: >-\n{}", "  word word word\n".repeat(10_500));
    with_fields("a folded text", &folded, Page);
    with_fields("escapes", &format!("author: \"{}\"", "\\u0041".repeat(28_000)), Page);
    with_fields("blanks", &format!("author:{}x", " ".repeat(175_000)), Page);
}

#[test]
fn files_that_are_too_large_or_many_documents() {
    let scalar = format!("---\ntitle: x\nbasis: demo\nauthor: \"{}\"\n---\n", "x".repeat(10_000_000));
    check("a text of 10 MB", "guides/x.md", scalar.as_bytes(), Mark("unreadable-file"));
    check("documents", "guides/x.md", &flood("---\ntitle: x\n").as_bytes()[..175_000], Page);
    with_fields("ends of documents", &flood("...\n"), Mark("bad-front-matter"));
}
