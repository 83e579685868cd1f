//! Resolves what entries say of each other, value by value.

use std::collections::BTreeMap;
use std::sync::Arc;

use super::fit::{Region, Universe};
use super::model::{AccountsFor, AnswersOf, Check, CustomerText, Evidence, Link, Symptom, Target, Text};
use super::names::Names;
use super::regions::{region, too_many_groups};
use super::shelf::{EntryRef, OfKind, Ref};
use crate::diagnostic::{Mark, MarkId, Span, Spanned};
use crate::entry::{self, Answers, AnswersOfChecks, Entries, Kind, NOT_SURE, Place, Prose, nearest};

/// What linking knows while it goes through the entries.
pub(super) struct Linking<'a> {
    pub(super) entries: &'a Entries,
    pub(super) universe: &'a Universe,
    pub(super) names: &'a Names,
    pub(super) pictures: &'a [String],
    /// The region of every entry, by kind and position.
    pub(super) regions: &'a super::AllRegions,
    pub(super) marks: Vec<Mark>,
    /// References of the entry at hand, with where they stand.
    pub(super) references: Vec<Reference>,
    pub(super) used_pictures: std::collections::BTreeSet<String>,
}

/// A reference that was found, and where.
pub(super) struct Reference {
    pub(super) entry: EntryRef,
    pub(super) span: Span,
    /// The vehicles for which it is made, where they are fewer than the entry's.
    pub(super) narrower: Option<Region>,
    /// Whether it says that the other entry is replaced.
    pub(super) replaces: bool,
}

impl Linking<'_> {
    /// The same with nothing found yet, for another core.
    pub(super) fn anew(&self) -> Self {
        Self { marks: Vec::new(), references: Vec::new(), used_pictures: std::collections::BTreeSet::new(), ..*self }
    }

    pub(super) fn note(&mut self, entry: EntryRef, span: Span) {
        self.references.push(Reference { entry, span, narrower: None, replaces: false });
    }

    /// Resolves a bare id.
    pub(super) fn refer<D: OfKind>(&mut self, name: &Spanned<String>) -> Option<Ref<D>> {
        match self.names.of_kind(D::KIND, name) {
            Ok(entry) => {
                self.note(entry, name.span);
                Some(Ref::new(entry.position()))
            }
            Err(mark) => {
                self.marks.extend(mark);
                None
            }
        }
    }

    pub(super) fn region(&mut self, boxes: Option<&Vec<entry::FitBox>>, whole: &Region) -> Region {
        region(self.universe, boxes, whole, self.entries.vehicles_faulty, &mut self.marks)
    }

    /// Resolves answers of checks. `place` is where such checks must be done, if that matters.
    pub(super) fn answers_of(&mut self, rows: &AnswersOfChecks, place: Option<Place>) -> Vec<AnswersOf> {
        let mut linked = Vec::new();
        for (name, answers) in rows {
            let Some(check) = self.refer::<Check>(name) else { continue };
            self.inspect_place(check, name, place);
            let answers = answers.iter().filter_map(|answer| self.answer(check, answer)).collect();
            linked.push(AnswersOf { check, answers, span: name.span });
        }
        linked
    }

    fn inspect_place(&mut self, check: Ref<Check>, name: &Spanned<String>, place: Option<Place>) {
        let Some(known) = self.entries.checks.get(check.position()) else { return };
        let faulty = known.head.faulty.touches("where");
        if let Some(place) = place.filter(|place| *place != known.detail.place && !faulty) {
            let found = format!("{} ({})", name.value, known.detail.place.word());
            let mark = Mark::new(MarkId::BadValue, name.span).with("found", found);
            self.marks.push(mark.with("expected", format!("a check whose `where` is `{}`", place.word())));
        }
    }

    /// The position of an answer among those of its check.
    fn answer(&mut self, check: Ref<Check>, answer: &Spanned<String>) -> Option<usize> {
        let known = self.entries.checks.get(check.position())?;
        let ids = answer_ids(&known.detail.answers);
        if let Some(at) = ids.iter().position(|id| **id == answer.value) {
            return Some(at);
        }
        let is_faulty = ["answers", "measures", "bands"].iter().any(|field| known.head.faulty.touches(field));
        if !is_faulty {
            let known_answers = if answer.value == NOT_SURE {
                "nothing: not being sure never counts for or against anything".to_owned()
            } else {
                ids.join(", ")
            };
            let mark = Mark::new(MarkId::UnknownAnswer, answer.span)
                .with("found", answer.value.clone())
                .with("check", known.head.id.clone())
                .with("expected", known_answers);
            self.marks.push(mark.with_some("nearest", nearest(&answer.value, ids.into_iter())));
        }
        None
    }

    /// Resolves the symptoms of a candidate whose own region is `whole`. A second row for vehicles that an earlier one
    /// covers gets a mark and is left out, since the same cause would stand among the candidates twice.
    pub(super) fn accounts_for(
        &mut self,
        rows: &[entry::AccountsFor],
        head: &entry::Head,
        whole: &Region,
    ) -> Vec<AccountsFor> {
        let mut linked: Vec<(AccountsFor, bool)> = Vec::new();
        let mut covered: BTreeMap<Ref<Symptom>, Region> = BTreeMap::new();
        for row in rows {
            let before = self.marks.len();
            let region = self.region(row.fits.as_ref(), whole);
            // Where a box is wrong the whole stands for it, and that it meets others is no fault of its own.
            let is_narrowed_well = !self.entries.vehicles_faulty && self.marks.len() == before;
            let is_sure = !head.faulty.touches("accounts_for") && (row.fits.is_none() || is_narrowed_well);
            let Some(row) = self.accounts_for_one(row, region) else { continue };
            // All earlier rows are asked at once: a file can hold thousands.
            let covered = covered.entry(row.symptom).or_insert_with(|| self.universe.nothing());
            if covered.meets(&row.region) {
                let mut earlier = linked.iter().filter(|(earlier, _)| earlier.symptom == row.symptom);
                let earlier = earlier.find(|(earlier, _)| earlier.region.meets(&row.region));
                let mark = earlier.filter(|(_, earlier_is_sure)| is_sure && *earlier_is_sure);
                self.marks.extend(mark.map(|(earlier, _)| self.repeated_cause(earlier, &row)));
            } else {
                *covered = covered.union(&row.region);
                if !covered.is_simple() {
                    self.marks.push(too_many_groups(row.span, "the rows of one symptom together"));
                    break;
                }
                linked.push((row, is_sure));
            }
        }
        linked.into_iter().map(|(row, _)| row).collect()
    }

    fn accounts_for_one(&mut self, row: &entry::AccountsFor, region: Region) -> Option<AccountsFor> {
        let evidence = self.evidence(row);
        let symptom = self.refer::<Symptom>(&row.symptom)?;
        let of_symptom = self.regions.get(symptom.into());
        let both = of_symptom.map_or_else(|| region.clone(), |other| region.intersection(other));
        if let Some(reference) = self.references.last_mut() {
            reference.narrower = Some(region);
        }
        if !both.is_simple() {
            self.marks.push(too_many_groups(row.symptom.span, "this row and what its symptom fits"));
            return None;
        }
        Some(AccountsFor { symptom, span: row.symptom.span, prior: row.prior, region: both, evidence })
    }

    fn repeated_cause(&self, earlier: &AccountsFor, row: &AccountsFor) -> Mark {
        let symptom = self.entries.symptoms.get(row.symptom.position());
        let symptom = symptom.map(|symptom| symptom.head.id.clone()).unwrap_or_default();
        Mark::new(MarkId::RepeatedCause, row.span)
            .with("found", symptom)
            .with("vehicles", self.universe.phrase(&earlier.region.intersection(&row.region)))
            .see(earlier.span, "the first row for them")
    }

    fn evidence(&mut self, row: &entry::AccountsFor) -> Vec<Evidence> {
        let mut linked = Vec::new();
        for (name, answers) in &row.evidence {
            let Some(check) = self.refer::<Check>(name) else { continue };
            let answers = answers.iter();
            let answers = answers.filter_map(|(answer, chance)| Some((self.answer(check, answer)?, chance.clone())));
            let answers = answers.collect();
            linked.push(Evidence { check, span: name.span, answers });
        }
        linked
    }

    /// Resolves the links and pictures of a text. `own` are the headings that links without a file may lead to.
    pub(super) fn text(&mut self, prose: &Prose, own: &[entry::Heading]) -> Text {
        let links = prose.links.iter().filter_map(|link| self.link(link, own)).collect();
        let pictures = prose.pictures.iter().filter_map(|picture| self.picture(picture)).collect();
        Text {
            markdown: prose.text.clone(),
            links,
            pictures,
            headings: prose.headings.clone(),
            calculations: prose.calculations.clone(),
            sentences: Arc::clone(&prose.sentences),
            opening: prose.opening.clone(),
        }
    }

    fn link(&mut self, link: &entry::Link, own: &[entry::Heading]) -> Option<Link> {
        let target = match &link.target {
            entry::Target::Outside(address) => Target::Outside(address.clone()),
            entry::Target::Calculation(name) => Target::Calculation(name.clone()),
            entry::Target::Heading(anchor) => {
                self.inspect_heading(anchor, own, link.span);
                Target::Heading(anchor.clone())
            }
            entry::Target::Entry { kind, id, heading } => self.entry_link(*kind, id, heading.as_deref(), link.span)?,
            entry::Target::Specification { system, name } => self.specification(system, name, link.span)?,
            entry::Target::Elsewhere(path) => self.elsewhere(path, link.span)?,
            entry::Target::Unsafe => return None,
        };
        Some(Link { target, words: link.words.clone(), is_plain: link.is_plain, span: link.span })
    }

    fn entry_link(&mut self, kind: Kind, id: &str, heading: Option<&str>, span: Span) -> Option<Target> {
        let entry = match self.names.of_link(kind, id, span) {
            Ok(entry) => entry,
            Err(mark) => {
                self.marks.push(mark);
                return None;
            }
        };
        self.note(entry, span);
        let head = super::head_of(self.entries, entry);
        if let (Some(anchor), Some(head)) = (heading, head.filter(|head| !head.faulty.whole)) {
            self.inspect_heading(anchor, &head.body.headings, span);
        }
        Some(Target::Entry(entry, heading.map(str::to_owned)))
    }

    fn inspect_heading(&mut self, anchor: &str, headings: &[entry::Heading], span: Span) {
        if !headings.iter().any(|heading| heading.anchor == anchor) {
            let near = nearest(anchor, headings.iter().map(|heading| heading.anchor.as_str()));
            self.marks.push(Mark::new(MarkId::DanglingHeading, span).with("found", anchor).with_some("nearest", near));
        }
    }

    fn specification(&mut self, system: &str, name: &str, span: Span) -> Option<Target> {
        let system = self.refer::<super::model::System>(&Spanned::new(system.to_owned(), span))?;
        let known = self.entries.systems.get(system.position())?;
        let names = known.detail.specifications.iter().map(|specification| specification.name.value.as_str());
        if let Some(at) = names.clone().position(|known| known == name) {
            return Some(Target::Specification(system, at));
        }
        if !known.head.faulty.touches("specifications") {
            let what = format!("specification of `{}`", known.head.id);
            let mark = Mark::new(MarkId::UnknownName, span).with("found", name).with("what", what);
            self.marks.push(mark.with_some("nearest", nearest(name, names)));
        }
        None
    }

    fn elsewhere(&mut self, path: &str, span: Span) -> Option<Target> {
        if path == "words.yaml" {
            return Some(Target::Words);
        }
        if self.pictures.iter().any(|picture| picture == path) {
            self.used_pictures.insert(path.to_owned());
            return Some(Target::Picture(path.to_owned()));
        }
        let what = if path.starts_with("media/") { "picture" } else { "entry" };
        let near = nearest(path, self.pictures.iter().map(String::as_str)).or_else(|| self.nearly_an_entry(path));
        let mark = Mark::new(MarkId::DanglingReference, span).with("found", path).with("what", what);
        self.marks.push(mark.with_some("nearest", near));
        None
    }

    /// The entry that a path would lead to if it ended in `.md` and its folder were spelt right.
    fn nearly_an_entry(&self, path: &str) -> Option<String> {
        let (folder, name) = path.split_once('/')?;
        let id = name.rsplit('/').next()?.split('.').next()?;
        let near = || nearest(folder, Kind::ALL.into_iter().map(Kind::folder)).and_then(|near| Kind::of_folder(&near));
        let kind = Kind::of_folder(folder).or_else(near)?;
        self.names.position(kind, id)?;
        Some(format!("{}/{id}.md", kind.folder()))
    }

    fn picture(&mut self, picture: &entry::Picture) -> Option<String> {
        let path = picture.path.as_ref()?;
        if self.pictures.contains(path) {
            self.used_pictures.insert(path.clone());
            return Some(path.clone());
        }
        let near = nearest(path, self.pictures.iter().map(String::as_str));
        let mark = Mark::new(MarkId::MissingPicture, picture.span).with("found", path.clone());
        self.marks.push(mark.with_some("nearest", near));
        None
    }

    /// A text for customers, with the shop's first language where none is named.
    pub(super) fn customer_text(&mut self, texts: &entry::CustomerText) -> CustomerText {
        let texts = texts.iter();
        let mut texts: CustomerText =
            texts.map(|(language, text)| (self.language(language.as_ref()), text.value.clone())).collect();
        let rank = |language: &str| self.entries.shop.languages.iter().position(|known| known == language);
        texts.sort_by_key(|(language, _)| rank(language).unwrap_or(usize::MAX));
        texts
    }

    /// The language named, which must be one of the shop's.
    pub(super) fn language(&mut self, language: Option<&Spanned<String>>) -> String {
        let known = &self.entries.shop.languages;
        match language {
            None => known.first().cloned().unwrap_or_default(),
            Some(language) => {
                if !known.contains(&language.value) {
                    let mark = Mark::new(MarkId::BadValue, language.span).with("found", language.value.clone());
                    let expected = format!("a language of the shop: {}", known.join(", "));
                    self.marks.push(mark.with("expected", expected));
                }
                language.value.clone()
            }
        }
    }
}

/// The ids of a check's answers, in order.
pub(super) fn answer_ids(answers: &Answers) -> Vec<&str> {
    match answers {
        Answers::Worded(rows) => rows.iter().map(|(id, _)| id.value.as_str()).collect(),
        Answers::Measured(measurement) => measurement.bands.iter().map(|(id, _)| id.value.as_str()).collect(),
        Answers::Missing => Vec::new(),
    }
}
