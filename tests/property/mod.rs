//! What must hold for every input.

mod edits;

use std::collections::BTreeMap;

use baybook::diagnostic::catalogue::BASE;
use baybook::diagnostic::{Mark, Span, catalogue};
use baybook::entry::{read_entries, references};
use baybook::knowledge::link;
use baybook::source::{Folder, folder_of};
use proptest::prelude::*;

fn base() -> BTreeMap<String, Vec<u8>> {
    BASE.iter().map(|file| (file.path.to_owned(), file.text.unwrap().as_bytes().to_vec())).collect()
}

fn check_span(folder: &Folder, span: Span) {
    let text = folder.text(span.file);
    assert!(text.get(span.range()).is_some(), "{span:?} is no part of {text:?}");
}

fn check_mark(folder: &Folder, mark: &Mark) {
    check_span(folder, mark.span);
    mark.related.iter().for_each(|related| check_span(folder, related.span));
    assert!(!folder.path(mark.span.file).is_empty());
    let words = catalogue::words(mark);
    assert!(!words.headline.contains(['\n', '\r']), "{words:?}");
}

/// Whatever a file says, every mark and every reference lies inside its text, at the bounds of characters.
fn check(files: BTreeMap<String, Vec<u8>>) {
    let (folder, mut marks) = folder_of(files);
    let (entries, of_entries) = read_entries(&folder);
    let (_, of_links) = link(&entries, &folder, "2026-06-30".parse().ok());
    marks.extend(of_entries.into_iter().chain(of_links));
    marks.iter().for_each(|mark| check_mark(&folder, mark));
    references(&entries).iter().for_each(|reference| check_span(&folder, reference.span));
}

fn path() -> impl Strategy<Value = String> {
    let of_base = prop::sample::select(BASE.iter().map(|file| file.path.to_owned()).collect::<Vec<_>>());
    prop_oneof![4 => of_base, 1 => Just("guides/x.md".to_owned()), 1 => Just("cautions.yaml".to_owned())]
}

/// Pieces that front matter and Markdown are made of, so that random texts get past the first line.
fn pieces() -> impl Strategy<Value = String> {
    let known = prop::sample::select(vec![
        "---\n",
        "---\r\n",
        "title: x\n",
        "systems: [",
        "]",
        "{",
        "}",
        ": ",
        "- ",
        "\n",
        "\r\n",
        "\r",
        "\t",
        " ",
        "  ",
        "\"",
        "'",
        "|\n",
        ">-\n",
        "? ",
        "&a ",
        "*a ",
        "!x ",
        "# ",
        "[x](",
        ")",
        "../checks/hub-play.md",
        "#tread",
        "![",
        "```calc\n",
        "```\n",
        "spec(wheels, x)",
        "[a]: ",
        "[a]",
        "<b>",
        "<!--",
        "-->",
        "&amp;",
        "\\",
        "é",
        "漢",
        "🚗",
        "\u{feff}",
        "\0",
        "[^1]",
        "|a|b|\n|-|-|\n",
        "> ",
        "answers:",
        "yes",
        "not-sure",
        "fits: [{line: tarn, years: 2019-}]\n",
        "2026-06-30",
        "javascript:",
        "ß",
        "accounts_for:\n  - {symptom: hum, prior: 1}\n",
        "because: ",
        "tell: {brief: ",
        "%",
        "@",
        "`",
        "~",
    ]);
    prop::collection::vec(known, 0..60).prop_map(|pieces| pieces.concat())
}

/// A file of the base with a piece put in or cut out somewhere.
fn changed() -> impl Strategy<Value = (String, Vec<u8>)> {
    let at = (0_usize..400, 0_usize..30, pieces());
    (path(), at).prop_map(|(path, (at, cut, piece))| {
        let mut bytes = base().remove(&path).unwrap_or_default();
        let at = at.min(bytes.len());
        let end = (at + cut).min(bytes.len());
        bytes.splice(at..end, piece.into_bytes());
        (path, bytes)
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_bytes_can_be_proofed(path in path(), bytes in prop::collection::vec(any::<u8>(), 0..300)) {
        let mut files = base();
        files.insert(path, bytes);
        check(files);
    }

    #[test]
    fn any_text_of_known_pieces_can_be_proofed(path in path(), front in pieces(), text in pieces()) {
        let mut files = base();
        files.insert(path, format!("---\n{front}\n---\n{text}").into_bytes());
        check(files);
    }

    #[test]
    fn any_changed_file_can_be_proofed((path, bytes) in changed()) {
        let mut files = base();
        files.insert(path, bytes);
        check(files);
    }

    #[test]
    fn any_markdown_can_be_read(text in pieces()) {
        let mut files = base();
        let quoted = text.replace('\'', "''").replace('\n', "\n\n  ");
        let folded = text.replace('\n', "\n    ");
        files.insert("guides/x.md".to_owned(), format!("---\ntitle: x\nbasis: demo\n---\n{text}").into_bytes());
        let characteristic = String::from_utf8(files["characteristics/tread-hum.md"].clone()).unwrap();
        let changed = characteristic.replace("because: ", &format!("show: '{quoted}'\nleave_alone: >-\n    {folded}\nbecause: "));
        files.insert("characteristics/tread-hum.md".to_owned(), changed.into_bytes());
        check(files);
    }
}
