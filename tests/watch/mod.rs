//! Saving is noticed, reading is not.

use std::fs;
use std::time::Duration;

use baybook::source::Watch;

fn changes_within_a_while(watch: &mut Watch) -> bool {
    (0..40).any(|_| watch.has_changed(Duration::from_millis(50)))
}

#[test]
fn saving_adding_and_removing_is_noticed_and_reading_is_not() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("a.md");
    fs::write(&file, "one").unwrap();
    let mut watch = Watch::new(vec![folder.path().to_owned()]);
    assert!(!watch.has_changed(Duration::from_millis(100)));
    fs::write(&file, "three").unwrap();
    assert!(changes_within_a_while(&mut watch), "saved");
    fs::create_dir(folder.path().join("sub")).unwrap();
    fs::write(folder.path().join("sub/b.md"), "").unwrap();
    assert!(changes_within_a_while(&mut watch), "added in a new folder");
    fs::rename(folder.path().join("sub/b.md"), &file).unwrap();
    assert!(changes_within_a_while(&mut watch), "saved by renaming");
    fs::remove_file(&file).unwrap();
    assert!(changes_within_a_while(&mut watch), "removed");
    fs::write(folder.path().join(".a.md.swp"), "x").unwrap();
    assert!(!watch.has_changed(Duration::from_millis(100)), "hidden");
}
