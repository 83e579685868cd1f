//! What a run remembers of flows serves the next one, wherever their files stand by then.

use std::collections::BTreeMap;

use baybook::decision::{Decisions, decide_with};
use baybook::diagnostic::Mark;
use baybook::diagnostic::catalogue::BASE;
use baybook::entry::read_entries;
use baybook::knowledge::link;
use baybook::source::{Left, Memo, folder_of};

/// A flow that ignores an alarm: its mark has a place of its own.
const FLOW: &str = "flow:
  start: rock
  steps:
    rock: {check: bearing-rock, firm: explain, loose: book, not-sure: book}
    explain: {verdict: explain, characteristic: tread-hum}
    book: {verdict: book-in, leads: [worn-bearing]}
";
/// Its path is before all those of the symptom, its causes and its checks.
const FIRST: (&str, &str) = (
    "characteristics/aaa.md",
    "---\ntitle: Ticks\nbasis: demo\nsystems: [wheels]\nbecause: It cools.\ntell: {brief: It ticks., plain: It ticks., full: It ticks.}\n---\n",
);

fn decided(flow: &str, more: &[(&str, &str)], memo: &Memo) -> (Decisions, Vec<Mark>) {
    let base = BASE.iter().map(|file| (file.path, file.text.unwrap().to_owned()));
    let mut files: BTreeMap<&str, String> =
        base.chain(more.iter().map(|(path, text)| (*path, (*text).to_owned()))).collect();
    let symptom = files["symptoms/hum.md"].replace("basis: demo\n", &format!("basis: demo\n{flow}"));
    files.insert("symptoms/hum.md", symptom);
    let (folder, _) = folder_of(files.into_iter().map(|(path, text)| (path.to_owned(), text.into_bytes())));
    let (entries, _) = read_entries(&folder);
    let (knowledge, _) = link(&entries, &folder, "2026-06-30".parse().ok());
    decide_with(&knowledge, memo)
}

/// Whether a run worked anything out that it did not know.
fn learnt(memo: &Memo) -> bool {
    let (mut whole, mut since) = (false, 0);
    memo.leave("", |left, parts| match left {
        Left::Whole => whole = true,
        Left::Since => since = parts.concat().len(),
    });
    let mut nothing = 0;
    Memo::empty().leave("", |_, parts| nothing = parts.concat().len());
    whole || since != nothing
}

#[test]
fn a_file_that_comes_first_leaves_what_is_known_of_flows_as_it_is() {
    for flow in ["", FLOW] {
        let memo = Memo::empty();
        let (_, before) = decided(flow, &[], &memo);
        assert!(learnt(&memo));
        let memo = memo.next();
        let (decisions, marks) = decided(flow, &[FIRST], &memo);
        assert!(!learnt(&memo), "{flow:?}");
        let (anew, anew_marks) = decided(flow, &[FIRST], &Memo::none());
        let flows = |decisions: &Decisions| {
            let variants = decisions.symptoms.iter().flat_map(|it| &it.variants);
            variants.map(|it| format!("{:?} {:?} {:?}", it.problem, it.flow, it.facts)).collect::<Vec<_>>()
        };
        assert_eq!((flows(&decisions), &marks), (flows(&anew), &anew_marks));
        let places = |marks: &[Mark]| marks.iter().map(|mark| mark.span.file.0).collect::<Vec<_>>();
        assert_eq!(places(&marks), places(&before).iter().map(|file| file + 1).collect::<Vec<_>>());
        assert_eq!(marks.is_empty(), flow.is_empty());
    }
}
