//! What is made again after an edit, beside what was known, is what a first run makes.

use std::collections::BTreeMap;
use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};

use baybook::diagnostic::MadeFrom;
use baybook::entry::read_entries;
use baybook::knowledge::{Knowledge, link};
use baybook::page::search::{Form, Index, search_files, take_search_files};
use baybook::page::{FilePrint, InMemory, Origin, Outlet, PageFault, PageFile};
use baybook::source::{Memo, folder_of};
use proptest::prelude::*;
use proptest::test_runner::{Config, TestRunner};

use crate::support::{content, repository};

type Files = BTreeMap<String, Vec<u8>>;

/// A change of one file: by its place among those that may change.
#[derive(Clone, Debug)]
enum Edit {
    /// Some more words at the end.
    Add(usize, Vec<&'static str>),
    /// The last paragraph goes.
    Cut(usize),
    /// The title says something else.
    Retitle(usize, &'static str),
    Remove(usize),
}

/// An outlet that counts what is made.
#[derive(Default)]
struct Counting {
    files: InMemory,
    made: AtomicUsize,
}

impl Outlet for Counting {
    fn stands_in(&self, path: &str, circumstances: &Origin) -> bool {
        self.files.stands_in(path, circumstances)
    }

    fn stands(&self, path: &str, made_from: &MadeFrom) -> bool {
        self.files.stands(path, made_from)
    }

    fn take(&self, file: PageFile, made_from: Option<MadeFrom>) -> Result<(), PageFault> {
        self.made.fetch_add(1, Ordering::Relaxed);
        self.files.take(file, made_from)
    }

    fn taken(&self) -> Vec<FilePrint> {
        self.files.taken()
    }
}

fn knowledge(files: &Files) -> Knowledge {
    let (folder, _) = folder_of(files.clone());
    link(&read_entries(&folder).0, &folder, None).0
}

fn publish(knowledge: &Knowledge, form: Form, memo: &Memo, files: InMemory) -> Counting {
    let outlet = Counting { files, made: AtomicUsize::new(0) };
    let index = Index::outlined(knowledge, Some(form), memo);
    take_search_files(knowledge, &index, &has_flow, &outlet).unwrap();
    outlet
}

fn has_flow(id: &str) -> bool {
    id.len().is_multiple_of(2)
}

fn kept(files: Vec<PageFile>) -> InMemory {
    let kept = InMemory::default();
    files.into_iter().for_each(|file| kept.take(file, None).unwrap());
    kept
}

fn change(files: &mut Files, edit: &Edit) {
    let (Edit::Add(at, _) | Edit::Cut(at) | Edit::Retitle(at, _) | Edit::Remove(at)) = edit;
    let may_change: Vec<String> = files.keys().filter(|path| path.ends_with(".md")).cloned().collect();
    let path = &may_change[at % may_change.len()];
    let text = String::from_utf8(files[path].clone()).unwrap();
    let changed = match edit {
        Edit::Add(_, words) => Some(format!("{text}\n{}.\n", words.join(" "))),
        Edit::Cut(_) => text.rsplit_once("\n\n").map(|(before, _)| format!("{before}\n")),
        Edit::Retitle(_, title) => {
            let line = text.lines().find(|line| line.starts_with("title:")).unwrap_or_default().to_owned();
            Some(text.replacen(&line, &format!("title: {title}"), 1))
        }
        Edit::Remove(_) => None,
    };
    match changed {
        Some(text) => files.insert(path.clone(), text.into_bytes()),
        None => files.remove(path),
    };
}

fn edit() -> impl Strategy<Value = Edit> {
    let words = vec!["brake", "Brakes", "humming", "xylotomous", "the", "Motor", "tyre", "wheel-bearing", "12.5", "mm"];
    let some = prop::collection::vec(prop::sample::select(words), 1..12);
    let titles =
        prop::sample::select(vec!["Hums when warm", "Wipers that smear", "A lamp that flickers on the motorway"]);
    prop_oneof![
        6 => (any::<usize>(), some).prop_map(|(at, words)| Edit::Add(at, words)),
        2 => any::<usize>().prop_map(Edit::Cut),
        1 => (any::<usize>(), titles).prop_map(|(at, title)| Edit::Retitle(at, title)),
        1 => any::<usize>().prop_map(Edit::Remove),
    ]
}

#[test]
fn after_any_edits_the_search_is_that_of_a_first_run() {
    let all = content(&repository().join("kb"));
    for form in [Form::CUT, Form::WHOLE] {
        let (first, memo) = (knowledge(&all), Memo::empty());
        let begun = publish(&first, form, &memo, InMemory::default());
        let files = search_files(&first, &Index::of_form(&first, form), &has_flow);
        assert!(begun.files.is_same(&kept(files)));
        let mut runner = TestRunner::new(Config { cases: 12, failure_persistence: None, ..Config::default() });
        // How many files were made again after each edit that only added words.
        let added = Mutex::new(Vec::new());
        let sequence = prop::collection::vec(edit(), 1..4);
        let result = runner.run(&sequence, |edits| {
            let (mut files, mut memo) = (all.clone(), memo.next());
            let mut former = InMemory::after(&begun.files);
            for edit in &edits {
                change(&mut files, edit);
                let now = knowledge(&files);
                let again = publish(&now, form, &memo, former);
                let clean = publish(&now, form, &Memo::none(), InMemory::default());
                prop_assert!(again.files.is_same(&clean.files));
                if matches!(edit, Edit::Add(..)) {
                    added.lock().unwrap().push(again.made.load(Ordering::Relaxed));
                }
                former = InMemory::after(&again.files);
                memo = memo.next();
            }
            Ok(())
        });
        result.unwrap();
        let (mut added, all) = (added.into_inner().unwrap(), begun.made.into_inner());
        added.sort_unstable();
        let usual = added[added.len() / 2];
        assert!(!form.is_cut || usual * 4 < all * 3, "{usual} of {all} files are usually made again");
    }
}
