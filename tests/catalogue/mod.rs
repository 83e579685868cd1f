//! Every row of the catalogue is held against its own examples.

use baybook::diagnostic::MarkId;
use baybook::diagnostic::catalogue::{ExampleFile, Row, rows};

use crate::support::{example_folder, proof};

/// The marks that an example earns, one line each.
fn marks(files: &[ExampleFile]) -> Vec<String> {
    let folder = example_folder(files);
    proof(folder.path(), "short").out.lines().map(str::to_owned).collect()
}

fn check(row: &Row) -> Result<(), String> {
    let name = row.id.name();
    let wrong = marks(row.wrong);
    let is_alone = matches!(wrong.as_slice(), [mark] if mark.contains(&format!(" {name}: ")));
    if !is_alone {
        return Err(format!("{name}: its wrong example earns\n  {}", wrong.join("\n  ")));
    }
    let has_gap = wrong.iter().any(|mark| mark.contains(['{', '}', '[']));
    if has_gap {
        return Err(format!("{name}: its headline lacks a fact: {wrong:?}"));
    }
    let right = marks(row.right);
    if right.is_empty() { Ok(()) } else { Err(format!("{name}: its right example earns\n  {}", right.join("\n  "))) }
}

#[test]
fn the_base_of_the_examples_earns_no_mark() {
    assert_eq!(marks(&[]), Vec::<String>::new());
}

#[test]
fn every_row_is_earned_by_its_wrong_example_alone() {
    let faults: Vec<String> = rows().filter_map(|row| check(row).err()).collect();
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

#[test]
fn every_mark_has_one_row() {
    for id in MarkId::ALL {
        assert_eq!(rows().filter(|row| row.id == *id).count(), 1, "{}", id.name());
    }
}
