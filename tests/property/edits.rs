//! Publishing after any edits gives what a first run gives: nothing that was kept may be out of date.

#![allow(clippy::disallowed_methods, clippy::disallowed_types, reason = "tests look at the disk themselves")]

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::OnceLock;

use baybook::command::Status;
use proptest::prelude::*;
use tempfile::TempDir;

use crate::support::{Ran, baybook, content, example_folder, put};

/// Something that happens between two runs.
#[derive(Clone, Debug)]
enum Edit {
    /// A text of one file gives way to another, if it is there.
    Replace(&'static str, &'static str, String),
    /// A file is written, or written over.
    Write(&'static str, String),
    /// A file is removed.
    Remove(&'static str),
    /// A byte of something that a run left is turned round: by its place among all of it.
    Damage(usize, usize),
    /// Something that a run left is removed, or cut in half.
    Lose(usize, bool),
}

/// The folder of entries, and beside it the site and what stays between runs.
struct Shop(TempDir);

impl Shop {
    fn kb(&self) -> PathBuf {
        self.0.path().join("kb")
    }

    fn out(&self) -> PathBuf {
        self.0.path().join("site-out")
    }

    fn publish(&self, out: &Path) -> Ran {
        let (kb, out) = (self.kb().into_os_string(), out.as_os_str().to_owned());
        let words = ["publish", "--report", "short", "--today", "2026-11-25", "--kb"].map(Into::into);
        baybook(words.into_iter().chain([kb, "--out".into(), out]))
    }

    /// A shop that was published once. Making it takes longer than copying it.
    fn published() -> Self {
        static FIRST: OnceLock<BTreeMap<String, Vec<u8>>> = OnceLock::new();
        let files = FIRST.get_or_init(|| {
            let shop = Self(TempDir::new().unwrap());
            let guide = "---\ntitle: Lamps\nbasis: demo\ncreated: 2026-01-02\n---\nSee [hum](../symptoms/hum.md).\n";
            content(example_folder(&[]).path()).iter().for_each(|(path, bytes)| put(&shop.kb(), path, bytes));
            put(&shop.kb(), "guides/lamps.md", guide);
            assert_eq!(shop.publish(&shop.out()).status, Status::Done);
            content(shop.0.path())
        });
        let shop = Self(TempDir::new().unwrap());
        files.iter().for_each(|(path, bytes)| put(shop.0.path(), path, bytes));
        shop
    }

    /// Everything that runs left, in a fixed order, but the markers: a folder that lost its own, or has one that is
    /// damaged, is somebody else's and is refused, which other tests look at.
    fn left(&self) -> Vec<PathBuf> {
        let is_left = |path: &String| {
            !path.starts_with("kb/") && !path.ends_with("/lock") && !path.ends_with(baybook::output::MARKER_NAME)
        };
        content(self.0.path()).into_keys().filter(is_left).map(|path| self.0.path().join(path)).collect()
    }

    fn edit(&self, edit: &Edit) {
        let kb = self.kb();
        match edit {
            Edit::Replace(path, old, new) => {
                let text = fs::read_to_string(kb.join(path)).unwrap_or_default();
                if text.contains(old) {
                    put(&kb, path, text.replace(old, new));
                }
            }
            Edit::Write(path, text) => put(&kb, path, text),
            Edit::Remove(path) => _ = fs::remove_file(kb.join(path)),
            Edit::Damage(file, at) => self.damage(*file, |bytes| {
                let at = at % bytes.len().max(1);
                bytes.iter_mut().skip(at).take(1).for_each(|byte| *byte ^= 0x20);
            }),
            Edit::Lose(file, true) => self.damage(*file, |bytes| bytes.truncate(bytes.len() / 2)),
            Edit::Lose(file, false) => {
                let left = self.left();
                _ = fs::remove_file(&left[file % left.len()]);
            }
        }
    }

    fn damage(&self, file: usize, how: impl FnOnce(&mut Vec<u8>)) {
        let left = self.left();
        let path = &left[file % left.len()];
        let mut bytes = fs::read(path).unwrap();
        how(&mut bytes);
        fs::write(path, bytes).unwrap();
    }
}

/// What a run kept, more often than what it published.
fn left() -> impl Strategy<Value = usize> {
    prop_oneof![0_usize..1000, 0_usize..3]
}

/// A file and two texts of which either may give way to the other; the first, or the second, stands there at the start.
const REPLACED: &[(&str, &str, &str)] = &[
    ("symptoms/hum.md", "Hum at speed", "Drone at speed"),
    ("symptoms/hum.md", "it drones on the motorway", "it sings, it drones"),
    ("symptoms/hum.md", "senses: [hear]", "senses: [hear, feel]"),
    ("symptoms/hum.md", "road speed", "road speed, see [lamps](../guides/lamps.md)"),
    ("conditions/worn-bearing.md", "Worn wheel bearing", "Bearing <worn> & loose"),
    ("conditions/worn-bearing.md", "prior: 1", "prior: 2"),
    ("conditions/worn-bearing.md", "yes: usually", "yes: sometimes"),
    ("conditions/worn-bearing.md", "systems: [wheels]", "fits: [{line: tarn, years: 2018-}]"),
    ("conditions/worn-bearing.md", "do-not-drive", "drive-with-care"),
    // With this one nothing is published until it is mended.
    ("conditions/worn-bearing.md", "hazard: do-not-drive", "hazard: drive-to-bay"),
    ("characteristics/tread-hum.md", "prior: 3", "prior: 1"),
    ("characteristics/tread-hum.md", "The tyres sing on the road.", "The tyres hum."),
    ("characteristics/tread-hum.md", "basis: demo", "basis: demo\nfits: [{line: tarn, drive: all}]"),
    ("checks/bends-change-it.md", "minutes: 1", "minutes: 9"),
    ("checks/hub-play.md", "It has play", "It moves"),
    ("checks/hub-play.md", "minutes: 15", "minutes: 25"),
    ("systems/wheels.md", "1.6 mm", "1.7 mm"),
    ("systems/wheels.md", "title: Wheels", "title: Wheels and hubs"),
    ("shop.yaml", "Example Workshop", "Another Workshop"),
    ("shop.yaml", "languages: [en]", "languages: [en]\naddress: https://shop.example/book/"),
    ("shop.yaml", "languages: [en]", "languages: [en]\nunits: [us, metric]"),
    ("vehicles.yaml", "name: Tarn", "name: Tarn Mark 2"),
    ("vehicles.yaml", "2019-2026", "2020-2026"),
    ("words.yaml", "wheel centre", "wheel middle"),
    ("words.yaml", "systems/wheels", "symptoms/hum"),
    ("guides/lamps.md", "title: Lamps", "title: Bulbs"),
    ("guides/lamps.md", "created: 2026-01-02", "created: 2026-01-02\nmodified: 2026-02-03\nreview_by: 2027-01-01"),
    // With this one neither.
    ("guides/lamps.md", "symptoms/hum.md", "symptoms/hem.md"),
    ("guides/lamps.md", "symptoms/hem.md", "symptoms/hum.md"),
];

/// One that never stands there would change nothing.
#[test]
fn every_replacement_finds_its_text() {
    let shop = Shop::published();
    for (path, one, other) in REPLACED {
        let text = fs::read_to_string(shop.kb().join(path)).unwrap();
        assert!(text.contains(one) || text.contains(other), "{path}: {one}");
    }
}

fn edit() -> impl Strategy<Value = Edit> {
    let replaced = prop::sample::select(REPLACED);
    let replaced = (replaced, any::<bool>()).prop_map(|((path, one, other), back)| {
        if back { Edit::Replace(path, other, one.to_owned()) } else { Edit::Replace(path, one, other.to_owned()) }
    });
    let guide = (prop::sample::select(vec!["guides/a.md", "guides/lamps.md", "guides/zebra.md"]), 0..5_u8);
    let guide = guide.prop_map(|(path, at)| {
        let text = format!("---\ntitle: Guide {at}\nbasis: demo\n---\nText {at}, [hum](../symptoms/hum.md).\n");
        Edit::Write(path, text)
    });
    let picture = (0..3_u8).prop_map(|at| {
        Edit::Write("media/lamp.svg", format!("<svg xmlns=\"http://www.w3.org/2000/svg\" id=\"p{at}\"/>"))
    });
    let shown =
        Just(Edit::Write("guides/a.md", "---\ntitle: A\nbasis: demo\n---\n![x](../media/lamp.svg)\n".to_owned()));
    let removed = prop::sample::select(vec!["guides/a.md", "guides/zebra.md", "media/lamp.svg", "words.yaml"]);
    prop_oneof![
        8 => replaced,
        2 => guide,
        1 => picture,
        1 => shown,
        2 => removed.prop_map(Edit::Remove),
        1 => (left(), 0_usize..5000).prop_map(|(file, at)| Edit::Damage(file, at)),
        1 => (left(), any::<bool>()).prop_map(|(file, half)| Edit::Lose(file, half)),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn publishing_after_any_edits_gives_what_a_first_run_gives(
        runs in prop::collection::vec(prop::collection::vec(edit(), 1..4), 1..4)
    ) {
        let shop = Shop::published();
        let (mut before, mut ran) = (content(&shop.out()), None);
        for edits in &runs {
            edits.iter().for_each(|edit| shop.edit(edit));
            before = content(&shop.out());
            ran = Some(shop.publish(&shop.out()));
        }
        let (ran, clean) = (ran.unwrap(), shop.0.path().join("clean"));
        let first = shop.publish(&clean);
        prop_assert_eq!((ran.status, &ran.out), (first.status, &first.out), "{}", ran.err);
        // Entries with errors are not published: then the site stands as it was.
        let expected = if first.status == Status::Done { content(&clean) } else { before };
        let found = content(&shop.out());
        prop_assert!(found == expected, "{:?}", differing(&found, &expected));
    }
}

fn differing(one: &BTreeMap<String, Vec<u8>>, other: &BTreeMap<String, Vec<u8>>) -> Vec<String> {
    let paths = one.keys().chain(other.keys()).filter(|path| one.get(*path) != other.get(*path));
    paths.cloned().collect()
}
