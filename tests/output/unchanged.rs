//! Publishing again what was published: quick where nothing changed, right where anything did.

use std::fs;
use std::path::{Path, PathBuf};
use std::time::{Duration, SystemTime};

use baybook::command::Status;
use tempfile::TempDir;

use super::content;
use crate::support::{Ran, baybook, check_same, example_folder, put};

/// A folder of entries and the site of it.
struct Shop {
    kb: TempDir,
    place: TempDir,
}

impl Shop {
    fn new() -> Self {
        let shop = Self { kb: example_folder(&[]), place: TempDir::new().unwrap() };
        put(shop.kb.path(), "media/lamp.svg", "<svg xmlns=\"http://www.w3.org/2000/svg\"/>");
        put(shop.kb.path(), "guides/lamps.md", "---\ntitle: Lamps\nbasis: demo\n---\n![A lamp](../media/lamp.svg)\n");
        shop
    }

    fn out(&self) -> PathBuf {
        self.place.path().join("site-out")
    }

    fn publish_on(&self, day: &str, more: &[&str]) -> Ran {
        let (kb, out) = (self.kb.path().to_str().unwrap().to_owned(), self.out());
        let arguments = ["publish", "--kb", &kb, "--out", out.to_str().unwrap(), "--report", "short", "--timings"];
        baybook(arguments.iter().chain(&["--today", day]).chain(more))
    }

    fn publish(&self) -> Ran {
        self.publish_on("2026-11-25", &[])
    }

    /// What a first run into an empty folder makes of the same entries.
    fn clean(&self) -> std::collections::BTreeMap<String, Vec<u8>> {
        let fresh = TempDir::new().unwrap();
        let (kb, out) = (self.kb.path().to_str().unwrap().to_owned(), fresh.path().join("site-out"));
        let ran = baybook(["publish", "--kb", &kb, "--out", out.to_str().unwrap(), "--today", "2026-11-25"]);
        assert_eq!(ran.status, Status::Done, "{}", ran.out);
        content(&out)
    }
}

/// Whether the run took the short way.
fn was_short(ran: &Ran) -> bool {
    assert!(ran.err.contains("timing unchanged"), "{}", ran.err);
    !ran.err.contains("timing output")
}

/// Publishes, changes something, and publishes again: the second run must not take the short way, and must give what
/// a first run gives.
#[track_caller]
fn check(change: impl FnOnce(&Shop)) {
    let shop = Shop::new();
    assert!(!was_short(&shop.publish()));
    assert!(was_short(&shop.publish()));
    change(&shop);
    let again = shop.publish();
    assert!(!was_short(&again), "{}", again.err);
    check_same(&content(&shop.out()), &shop.clean(), "");
    assert!(was_short(&shop.publish()));
}

#[test]
fn with_nothing_changed_nothing_is_touched_and_the_same_is_said() {
    let shop = Shop::new();
    let first = shop.publish();
    assert_eq!(first.status, Status::Done, "{}", first.out);
    let before = (content(&shop.out()), fs::metadata(shop.out().join("index.html")).unwrap().modified().unwrap());
    let again = shop.publish();
    assert!(was_short(&again));
    assert_eq!((again.status, &again.out), (first.status, &first.out));
    assert!(again.err.contains(": 0 new, 0 changed, 0 removed"), "{}", again.err);
    let after = (content(&shop.out()), fs::metadata(shop.out().join("index.html")).unwrap().modified().unwrap());
    assert_eq!(before, after);
}

#[test]
fn a_changed_entry_a_new_one_and_a_removed_one_are_published() {
    check(|shop| {
        put(shop.kb.path(), "guides/lamps.md", "---\ntitle: Bulbs\nbasis: demo\n---\n![A lamp](../media/lamp.svg)\n")
    });
    check(|shop| put(shop.kb.path(), "guides/more.md", "---\ntitle: More\nbasis: demo\n---\nMore.\n"));
    check(|shop| {
        fs::remove_file(shop.kb.path().join("guides/lamps.md")).unwrap();
        fs::remove_file(shop.kb.path().join("media/lamp.svg")).unwrap();
    });
}

/// A page that stands is made again when what it says of other entries changes, though its own entry does not.
#[test]
fn what_an_entry_says_of_others_follows_them() {
    let guide = "---\ntitle: Wear\nbasis: demo\n---\nSee the [hum](../symptoms/hum.md).\n\n```calc, of tread\ngiven tread = 3 mm from \
                 1 mm to 8 mm\nleft = tread - spec(wheels, tread-minimum)\n```\n";
    for (path, before, after) in [
        ("systems/wheels.md", "title: Wheels", "title: Wheels and tyres"),
        ("systems/wheels.md", "1.6 mm", "1.4 mm"),
        ("symptoms/hum.md", "title: ", "title: New "),
        ("conditions/worn-bearing.md", "title: ", "title: New "),
        ("checks/hub-play.md", "title: ", "title: New "),
    ] {
        let shop = Shop::new();
        put(shop.kb.path(), "guides/wear.md", guide);
        let first = shop.publish();
        assert_eq!(first.status, Status::Done, "{}", first.out);
        assert!(fs::read_to_string(shop.out().join("guides/wear.html")).unwrap().contains("data-calc=\"0\""));
        let text = fs::read_to_string(shop.kb.path().join(path)).unwrap();
        assert!(text.contains(before), "{path}");
        put(shop.kb.path(), path, text.replace(before, after));
        let again = shop.publish();
        assert_eq!(again.status, Status::Done, "{}", again.out);
        check_same(&content(&shop.out()), &shop.clean(), &format!("{path}: {after}:"));
    }
}

/// A text that says something else, without leading elsewhere, changes no page but its own; a new link in it changes the other's.
#[test]
fn what_leads_to_an_entry_follows_the_texts_of_others() {
    let shop = Shop::new();
    let page = |path: &str| fs::read_to_string(shop.out().join(path)).unwrap();
    let write = |text: &str| {
        put(shop.kb.path(), "guides/wear.md", format!("---\ntitle: Wear of tyres\nbasis: demo\n---\n{text}\n"));
        let ran = shop.publish();
        assert_eq!(ran.status, Status::Done, "{}", ran.out);
        check_same(&content(&shop.out()), &shop.clean(), text);
    };
    write("See the [hum](../symptoms/hum.md).");
    write("First of all, see the [hum](../symptoms/hum.md).");
    assert!(page("guides/wear.html").contains("First of all"));
    assert!(!page("systems/wheels.html").contains("Wear of tyres"));
    write("See the [hum](../symptoms/hum.md) and [wheels](../systems/wheels.md).");
    assert!(page("systems/wheels.html").contains("Wear of tyres"));
    write("See the [hum](../symptoms/hum.md).");
    assert!(!page("systems/wheels.html").contains("Wear of tyres"));
}

/// Any text of an entry may calculate, and its script follows each of them.
#[test]
fn a_calculation_above_the_text_is_followed() {
    let shop = Shop::new();
    let path = "conditions/worn-bearing.md";
    let text = fs::read_to_string(shop.kb.path().join(path)).unwrap();
    let with = |number: u32| {
        let remedy =
            format!("remedy: |\n  Press.\n\n  ```calc\n  force = {number} kN\n  twice = force * 2 in kN\n  ```\n---\n");
        let (head, body) = text.strip_prefix("---\n").unwrap().split_once("---\n").unwrap();
        let head: String =
            head.lines().filter(|line| !line.starts_with("remedy:")).map(|line| format!("{line}\n")).collect();
        put(shop.kb.path(), path, format!("---\n{head}{remedy}{body}"));
        let ran = shop.publish();
        assert_eq!(ran.status, Status::Done, "{}", ran.out);
        check_same(&content(&shop.out()), &shop.clean(), &format!("{number}:"));
        fs::read_to_string(shop.out().join("data/calculations/conditions/worn-bearing.js")).unwrap()
    };
    assert_ne!(with(20), with(30));
}

/// Another page may show a text from above an entry's own, with a link to one of the entry's calculations; which block that
/// is, the entry's own text decides.
#[test]
fn a_link_to_a_calculation_follows_its_block() {
    let shop = Shop::new();
    let page = |path: &str| fs::read_to_string(shop.out().join(path)).unwrap();
    let write = |before: &str| {
        let front = "title: Wheels\nbasis: demo\nspecifications:\n  tread-minimum: 1.6 mm\nchanges:\n  - {from: 2020, line: tarn, \
                     text: \"Now [4 kN](calc:twice).\"}\n";
        let block = "```calc\nforce = 2 kN\ntwice = force * 2 in kN\n```\n";
        put(shop.kb.path(), "systems/wheels.md", format!("---\n{front}---\n## Tread\n\nRound.\n\n{before}{block}"));
        let ran = shop.publish();
        assert_eq!(ran.status, Status::Done, "{}", ran.out);
        check_same(&content(&shop.out()), &shop.clean(), before);
    };
    write("");
    assert!(page("vehicles/tarn.html").contains("#p-calc-0-twice"));
    write("```calc\nother = 1 kN * 3 in kN\n```\n\n");
    assert!(page("vehicles/tarn.html").contains("#p-calc-1-twice"));
}

/// Of a list in several leaves one was damaged: it is made again, the others stand.
#[test]
fn a_damaged_leaf_of_a_list_is_made_again() {
    let shop = Shop::new();
    for at in 0..310 {
        put(shop.kb.path(), &format!("guides/g-{at}.md"), format!("---\ntitle: Guide {at}\nbasis: demo\n---\nRead.\n"));
    }
    let write = |text: &str| {
        put(shop.kb.path(), "guides/g-7.md", format!("---\ntitle: Guide 7\nbasis: demo\n---\n{text}\n"));
        let ran = shop.publish();
        assert_eq!(ran.status, Status::Done, "{}{}", ran.out, ran.err);
    };
    write("One.");
    write("Two.");
    let next = baybook::output::working_folder(&shop.out()).unwrap().join("next");
    for place in [shop.out(), next] {
        let leaf = place.join("guides/index.2.html");
        assert!(leaf.exists(), "{}", leaf.display());
        fs::write(leaf, "gone").unwrap();
    }
    write("Three.");
    check_same(&content(&shop.out()), &shop.clean(), "");
}

#[test]
fn a_changed_picture_is_published() {
    check(|shop| put(shop.kb.path(), "media/lamp.svg", "<svg xmlns=\"http://www.w3.org/2000/svg\"><g/></svg>"));
}

#[test]
fn a_site_that_somebody_changed_is_mended() {
    check(|shop| put(&shop.out(), "index.html", "gone"));
    check(|shop| fs::remove_file(shop.out().join("index.html")).unwrap());
    check(|shop| fs::remove_dir_all(shop.out()).unwrap());
}

/// Whatever happens to one of the things that a run leaves, the next run after an edit publishes what a first run
/// does, and leaves that thing whole again. (Where little of a `memo` is damaged it stays, and what was made again stands in `since`.)
#[track_caller]
fn check_damaged(name: &str, damage: impl Fn(&Path)) {
    let shop = Shop::new();
    shop.publish();
    let path = baybook::output::working_folder(&shop.out()).unwrap().join(name);
    assert!(path.exists(), "{name}");
    damage(&path);
    put(shop.kb.path(), "guides/lamps.md", "---\ntitle: Bulbs\nbasis: demo\n---\n![A lamp](../media/lamp.svg)\n");
    let again = shop.publish();
    assert_eq!(again.status, Status::Done, "{}", again.err);
    check_same(&content(&shop.out()), &shop.clean(), "");
    assert!(was_short(&shop.publish()));
    let whole = fs::read(&path).unwrap();
    damage(&path);
    fs::write(shop.out().join("index.html"), "gone").unwrap();
    shop.publish();
    let left = fs::read(&path).unwrap();
    assert!(if name == "memo" { left.len() == whole.len() } else { left == whole }, "{name}");
}

/// What may happen to a file that a run leaves: it is deleted, emptied, or a bit of it is turned round.
const DAMAGES: [fn(&Path); 3] = [
    |path| fs::remove_file(path).unwrap(),
    |path| fs::write(path, "").unwrap(),
    |path| {
        let mut bytes = fs::read(path).unwrap();
        let middle = bytes.len() / 2;
        bytes[middle] ^= 1;
        fs::write(path, bytes).unwrap();
    },
];

#[test]
fn what_a_run_leaves_may_be_damaged_or_deleted() {
    for name in ["record", "memo", "since", "origins"] {
        DAMAGES.iter().for_each(|damage| check_damaged(name, damage));
        // What another edition of the program left.
        check_damaged(name, |path| {
            let mut bytes = fs::read(path).unwrap();
            let format = bytes.iter().position(|byte| *byte == b'\n').unwrap();
            bytes[format - 1] ^= 1;
            fs::write(path, bytes).unwrap();
        });
    }
    check(|shop| fs::remove_dir_all(baybook::output::working_folder(&shop.out()).unwrap()).unwrap());
    check(|shop| fs::write(baybook::output::working_folder(&shop.out()).unwrap().join("record"), "").unwrap());
}

/// Files that have not changed for a while are not read again; whoever changes one, even so that its date and its length stay
/// the same, is noticed all the same, and so is whatever happens to the list of such files.
#[test]
fn files_that_need_not_be_read_again_are_mended_if_somebody_changed_them() {
    let shop = Shop::new();
    let write = |title: &str| {
        let text = format!("---\ntitle: {title}\nbasis: demo\n---\n![A lamp](../media/lamp.svg)\n");
        put(shop.kb.path(), "guides/lamps.md", text);
        shop.publish()
    };
    write("Bulbs");
    write("Lights");
    std::thread::sleep(Duration::from_millis(3_500));
    let working = baybook::output::working_folder(&shop.out()).unwrap();
    let stamps = working.join("stamps");
    let untouched: fn(&Path) = |_| {};
    for (at, damage) in [untouched].into_iter().chain(DAMAGES).enumerate() {
        assert!(was_short(&shop.publish()));
        assert!(fs::metadata(&stamps).unwrap().len() > 1_000, "nothing is known of any file");
        for (folder, has_edit) in [(shop.out(), false), (working.join("next"), true)] {
            let page = folder.join("symptoms/hum.html");
            let (date, mut bytes) = (fs::metadata(&page).unwrap().modified().unwrap(), fs::read(&page).unwrap());
            bytes.reverse();
            fs::write(&page, bytes).unwrap();
            fs::File::options().write(true).open(&page).unwrap().set_modified(date).unwrap();
            damage(&stamps);
            let again = if has_edit { write(&format!("Lamps {at}")) } else { shop.publish() };
            assert_eq!((again.status, was_short(&again)), (Status::Done, false), "{}", again.err);
            check_same(&content(&shop.out()), &shop.clean(), &format!("{at} {has_edit}:"));
        }
    }
}

/// The dates of the files of a site.
fn dates(out: &Path) -> std::collections::BTreeMap<String, SystemTime> {
    let paths = content(out).into_keys().filter(|path| !path.ends_with('/'));
    paths.map(|path| (path.clone(), fs::metadata(out.join(path)).unwrap().modified().unwrap())).collect()
}

#[test]
fn only_files_whose_bytes_change_are_written() {
    let shop = Shop::new();
    // Two runs, so that the folder for the next site holds one already.
    shop.publish();
    let edit = |title: &str| {
        let text = format!("---\ntitle: {title}\nbasis: demo\n---\n![A lamp](../media/lamp.svg)\n");
        put(shop.kb.path(), "guides/lamps.md", text);
        shop.publish();
    };
    edit("Bulbs");
    let before = content(&shop.out());
    edit("Lights");
    let after = content(&shop.out());
    let old = SystemTime::now() - Duration::from_secs(1000);
    let next = baybook::output::working_folder(&shop.out()).unwrap().join("next");
    for folder in [shop.out(), next] {
        for path in content(&folder).into_keys().filter(|path| !path.ends_with('/')) {
            fs::File::options().write(true).open(folder.join(path)).unwrap().set_modified(old).unwrap();
        }
    }
    edit("Bulbs");
    check_same(&content(&shop.out()), &before, "");
    let written: Vec<String> = dates(&shop.out())
        .into_iter()
        .filter(|(_, date)| *date > old + Duration::from_secs(1))
        .map(|(path, _)| path)
        .collect();
    let changed: Vec<String> = before.keys().filter(|path| before.get(*path) != after.get(*path)).cloned().collect();
    assert_eq!(written, changed);
}

#[test]
fn somebodys_own_file_in_the_site_is_told_of() {
    let shop = Shop::new();
    shop.publish();
    put(&shop.out(), "own.txt", "own");
    let again = shop.publish();
    assert_eq!(again.status, Status::CouldNotRun);
    assert!(again.err.contains("own.txt"), "{}", again.err);
}

#[test]
fn a_theme_is_part_of_what_is_published() {
    let (shop, theme) = (Shop::new(), TempDir::new().unwrap());
    put(theme.path(), "extra.css", "p { color: red }");
    shop.publish();
    assert!(!was_short(&shop.publish_on("2026-11-25", &["--theme", theme.path().to_str().unwrap()])));
    assert!(shop.out().join("assets/extra.css").exists());
}

#[test]
fn the_day_an_entry_is_overdue_is_not_missed_nor_a_clock_set_back() {
    let shop = Shop::new();
    let entry = "---\ntitle: Dated\nbasis: demo\nreview_by: 2026-12-24\n---\nText. See [lamps](lamps.md).\n";
    put(shop.kb.path(), "guides/dated.md", entry);
    let on = |day: &str| {
        let ran = shop.publish_on(day, &[]);
        (was_short(&ran), ran.out.contains("guides/dated.md:4:12: warning review-overdue"))
    };
    assert_eq!(on("2026-12-01"), (false, false));
    assert_eq!(on("2026-12-24"), (true, false));
    assert_eq!(on("2026-12-25"), (false, true));
    assert_eq!(on("2026-12-25"), (true, true));
    assert_eq!(on("2026-12-24"), (false, false));
    let ahead = SystemTime::now() + Duration::from_secs(1_000_000);
    for path in [shop.out().join("index.html"), shop.kb.path().join("guides/dated.md")] {
        fs::File::options().write(true).open(path).unwrap().set_modified(ahead).unwrap();
    }
    put(shop.kb.path(), "guides/dated.md", entry.replace("Dated", "Later"));
    assert_eq!(on("2026-12-24"), (false, false));
    check_same(&content(&shop.out()), &shop.clean(), "");
}

#[test]
fn warnings_that_count_are_not_forgotten() {
    let shop = Shop::new();
    put(shop.kb.path(), "media/unused.svg", "<svg xmlns=\"http://www.w3.org/2000/svg\"/>");
    assert_eq!(shop.publish().status, Status::Done);
    let strict = shop.publish_on("2026-11-25", &["--strict"]);
    assert!(was_short(&strict));
    assert_eq!(strict.status, Status::Errors);
    assert!(Path::new(&shop.out()).exists());
}
