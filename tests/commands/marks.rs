//! Marks explained.

use baybook::command::Status;
use baybook::diagnostic::catalogue::rows;

use crate::support::{baybook, example_folder, proof};

#[test]
fn the_table_has_a_line_for_every_mark() {
    let table = baybook(["marks"]).out;
    for row in rows() {
        let line = table.lines().find(|line| line.split_whitespace().next() == Some(row.id.name()));
        assert!(line.is_some_and(|line| line.contains(row.id.severity().word()) && line.ends_with(row.about)));
    }
    assert_eq!(table.lines().count(), rows().count());
}

#[test]
fn every_mark_shows_what_is_really_said_of_its_example() {
    for row in rows() {
        let ran = baybook(["marks", row.id.name()]);
        assert_eq!(ran.status, Status::Done);
        let folder = example_folder(row.wrong);
        let said = proof(folder.path(), "short").out;
        let line = said.lines().next().unwrap();
        let (place, headline) = line.split_once(&format!(" {}: ", row.id.name())).unwrap();
        let place = place.rsplit_once(": ").unwrap().0;
        assert!(ran.out.contains(&format!("  {place}: {headline}\n")), "{line}\n{}", ran.out);
        let shown = row.wrong.iter().chain(row.right).filter_map(|file| file.text).flat_map(str::lines);
        shown.for_each(|line| assert!(ran.out.contains(line)));
    }
}

#[test]
fn an_unknown_mark_is_refused_with_the_nearest() {
    let ran = baybook(["marks", "raw-htlm"]);
    assert_eq!((ran.status, ran.out.as_str()), (Status::CouldNotRun, ""));
    assert!(ran.err.contains("did you mean `raw-html`?"), "{}", ran.err);
    assert!(baybook(["marks", "zzz"]).err.contains("no mark is called `zzz`"));
}
