//! What people read.

use baybook::diagnostic::MarkId;
use baybook::diagnostic::report::{Counts, Form};
use proptest::prelude::*;

use super::{Case, TEXT, many, one};

#[test]
fn the_whole_look() {
    let expected = "\
ERROR  unknown-field  symptoms/hum.md:3:1
    There is no field `heard_as`
       3: heard_as: [größer, 音]
          ^^^^^^^^
    mend: Write \"heard\" instead
    see:  conditions/worn wheel #1.md:2:1 (such a field)
    see:  symptoms/hum.md:3:20 (and here)

WARNING  orphan-entry  symptoms/hum.md:5:3
    Nothing leads here
       5: A *hum*,
            ^^^^^^ to line 6

ADVICE  missing-source  conditions/worn wheel #1.md:2:8
    No source
       2: title: Worn
                 ^^^^
    mend: Name one

ERROR  unreadable-file  checks/empty.md:1:1
    Cannot be read

2 errors, 1 warning, 1 advice.
";
    assert_eq!(many().report(TEXT), expected);
    assert_eq!(Case::new(&[]).report(TEXT), "No marks.\n");
}

#[test]
fn carets_stand_under_what_they_mean() {
    let check = |text: &str, guilty: &str, expected: &str| {
        let report = one(text, guilty).report(TEXT);
        let quoted: Vec<&str> = report.lines().skip(2).take(2).map(|line| line.get(10..).unwrap_or("")).collect();
        assert_eq!(quoted.join("\n"), expected, "{text:?}");
    };
    check("ab cd ef", "cd", "ab cd ef\n   ^^");
    check("ab cd ef", "", "ab cd ef\n^");
    check("x: 音楽 bad", "bad", "x: 音楽 bad\n        ^^^");
    check("x: 音楽", "楽", "x: 音楽\n     ^^");
    check("e\u{301}t\u{e9} bad", "bad", "e\u{301}t\u{e9} bad\n    ^^^");
    check("👩‍🔧 bad", "bad", "👩‍🔧 bad\n   ^^^");
    check("a\tb\tbad", "bad", "a   b   bad\n        ^^^");
    check("abcd\tbad", "bad", "abcd    bad\n        ^^^");
    check("音\tbad", "bad", "音  bad\n    ^^^");
    check("a\tb", "\t", "a   b\n ^^^");
    check("tail  ", "tail", "tail\n^^^^");
    check("one\r\ntwo bad\r\n", "bad", "two bad\n    ^^^");
    check("one\rtwo", "two", "two\n^^^");
    check("a\u{1b}[31m\u{202e}bad", "bad", "a\u{fffd}[31m\u{fffd}bad\n       ^^^");
}

#[test]
fn a_long_line_is_cut_around_the_guilty_text() {
    let line = format!("{}bad{}", "word ".repeat(100), " more".repeat(100));
    let report = one(&line, "bad").report(TEXT);
    let lines: Vec<&str> = report.lines().collect();
    assert!(lines[2].starts_with("       1: … word ") && lines[2].ends_with("more…"), "{}", lines[2]);
    assert_eq!(lines[2].chars().count(), 10 + 96);
    let at = lines[3].chars().position(|c| c == '^').unwrap();
    assert_eq!(lines[2].chars().skip(at).take(3).collect::<String>(), "bad");
    assert_eq!(lines[3].trim(), "^^^");
    let all = one(&line, &line).report(TEXT);
    assert_eq!(all.lines().nth(3).unwrap().trim(), "^".repeat(96));
}

/// A line may be as long as its file; its places are found from counts that stand every few hundred bytes.
#[test]
fn columns_of_long_lines_are_counted_in_characters() {
    for piece in ["x", "é", "音", "👩", "ab\u{301}音c👩"] {
        let line = piece.repeat(600);
        let text = format!("\n{line}\r\n{line}");
        let index = baybook::diagnostic::TextIndex::new(&text);
        let offsets = line.char_indices().map(|(at, _)| at).chain([line.len()]);
        for (before, at) in offsets.enumerate() {
            for (number, start) in [(2, 1), (3, line.len() + 3)] {
                let place = index.place(start + at);
                assert_eq!((place.line, place.column as usize), (number, before + 1), "{piece} {at}");
            }
        }
    }
    let line = format!("{}bad{}", "wörd ".repeat(50_000), " möre".repeat(50_000));
    let report = one(&line, "bad").report(TEXT);
    assert!(report.contains(" a.md:1:250001\n"), "{report}");
    assert_eq!(report.lines().nth(2).unwrap().chars().count(), 10 + 96);
}

#[test]
fn one_line_a_mark() {
    let expected = "\
symptoms/hum.md:3:1: error unknown-field: There is no field `heard_as`
symptoms/hum.md:5:3: warning orphan-entry: Nothing leads here
conditions/worn wheel #1.md:2:8: advice missing-source: No source
checks/empty.md:1:1: error unreadable-file: Cannot be read
";
    assert_eq!(many().report(Form::Short), expected);
}

#[test]
fn colour_only_where_it_is_asked_for() {
    let coloured = many().report(Form::Text { colour: true });
    assert!(coloured.contains("\u{1b}[1;31mERROR  unknown-field\u{1b}[0m"));
    let mut plain = coloured;
    for code in ["1;31", "1;33", "1;36", "1", "0"] {
        plain = plain.replace(&format!("\u{1b}[{code}m"), "");
    }
    assert_eq!(plain, many().report(TEXT));
}

#[test]
fn words_and_paths_cannot_steer_the_terminal_or_break_the_line() {
    let case = Case::new(&[("a\u{1b}]0;x\n.md", "bad")])
        .mark(MarkId::BadValue, 0, "bad", "Found `a\nb\u{1b}[2J\u{202e}`", Some("Write\nthis\u{7}"))
        .see(0, "bad", "here\r\n\u{9b}");
    let [text, short] = [TEXT, Form::Short].map(|form| case.report(form));
    assert!(
        !text.chars().chain(short.chars()).any(|c| c.is_control() && c != '\n' || c == '\u{202e}'),
        "{text}{short}"
    );
    assert_eq!((text.lines().count(), short.lines().count()), (8, 1), "{text}{short}");
}

#[test]
fn marks_are_counted_by_weight() {
    let marks = [MarkId::BadId, MarkId::HardToRead, MarkId::BadValue, MarkId::MissingSource, MarkId::BandGap];
    let marks = marks.map(|id| baybook::diagnostic::Mark::new(id, Default::default()));
    assert_eq!(Counts::of(&marks), Counts { errors: 3, warnings: 1, advice: 1 });
}

proptest! {
    #[test]
    fn any_text_can_be_quoted(before in "[a\t音e\u{301} ]{0,120}", guilty in "[b楽\u{301}\n]{0,120}", after in "\\PC{0,80}") {
        let text = format!("{before}{guilty}{after}");
        let case = Case::new(&[("a.md", &text)]);
        let start = before.len();
        let span = baybook::diagnostic::Span::new(baybook::diagnostic::FileId(0), start..start + guilty.len());
        let words = baybook::diagnostic::catalogue::Words { headline: "Wrong".into(), help: None };
        let case = Case { marks: vec![(baybook::diagnostic::Mark::new(MarkId::BadValue, span), words)], ..case };
        let report = case.report(TEXT);
        let lines: Vec<&str> = report.lines().collect();
        prop_assert!(lines.iter().all(|line| unicode_width::UnicodeWidthStr::width(*line) <= 130), "{report}");
        if let Some(carets) = lines.get(3).filter(|line| line.contains('^')) {
            let wide = unicode_width::UnicodeWidthStr::width(before.replace('\t', "    ").as_str());
            let at = carets.chars().position(|c| c == '^').unwrap() - 10;
            prop_assert!(at <= wide);
        }
    }
}
