//! What is searched: every entry and every trade term, as texts in weighted fields.

use std::collections::{BTreeMap, BTreeSet};

use serde::{Deserialize, Serialize};

use super::super::entry_page::{path, text_print as print_of_text};
use super::weigh::{FieldScoring, Scoring};
use crate::diagnostic::Digest;
use crate::entry::{Kind, sentences};
use crate::knowledge::fit::Region;
use crate::knowledge::{
    Characteristic, Check, Condition, CustomerText, EntryRef, Head, Knowledge, Ref, Symptom, System, Term, Text,
};

/// Where a text stands in a document.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub(super) enum Field {
    Phrase,
    Title,
    Trade,
    Code,
    Heading,
    System,
    Body,
    Kin,
}

/// The parameters of the ranking, in the order of [`Field`].
pub(super) fn scoring() -> Scoring {
    let field = |weight, b| FieldScoring { weight, b };
    let fields = vec![
        field(4.0, 0.3), // what customers say
        field(3.0, 0.3), // the title
        field(1.5, 0.3), // trade terms that lead to the entry, and what customers say for them
        field(6.0, 0.0), // trouble codes
        field(1.5, 0.3), // headings; a check's question; names of specifications
        field(0.5, 0.0), // names of the systems
        field(1.0, 0.6), // everything else
        field(0.8, 0.5), // of a symptom: what can account for it, what is told of it, the questions that tell
    ];
    Scoring { k1: 1.8, fields, length_digits: Some(4) }
}

/// What a document is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum DocumentKind {
    /// An entry.
    Entry(Kind),
    /// A trade term.
    Word,
}

impl DocumentKind {
    /// All kinds, in the order of documents.
    pub const ALL: [Self; 7] = [
        Self::Entry(Kind::Symptom),
        Self::Entry(Kind::Condition),
        Self::Entry(Kind::Characteristic),
        Self::Entry(Kind::Check),
        Self::Entry(Kind::System),
        Self::Entry(Kind::Guide),
        Self::Word,
    ];

    /// The word for one of them.
    pub fn word(self) -> &'static str {
        match self {
            Self::Entry(kind) => kind.word(),
            Self::Word => "word",
        }
    }

    /// The kind called by that word, or whose folder has that name.
    pub fn by_word(word: &str) -> Option<Self> {
        let is_called = |kind: &Self| match kind {
            Self::Entry(kind) => kind.word() == word || kind.folder() == word,
            Self::Word => word == "word" || word == "words",
        };
        Self::ALL.into_iter().find(is_called)
    }
}

/// What a passage of a document is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum PassageClass {
    /// What customers say.
    Phrase,
    /// A trade term that leads to the entry, with what customers say for it.
    Trade,
    /// Trouble codes.
    Codes,
    /// A sentence.
    Sentence,
}

/// A stretch of text that can be shown as the reason for a result.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Passage {
    /// What it is.
    pub class: PassageClass,
    /// Plain text.
    pub text: String,
}

/// An entry or a trade term.
#[derive(Clone, Debug)]
pub struct Document {
    /// What it is.
    pub kind: DocumentKind,
    /// The entry's id; for a trade term, the term.
    pub id: String,
    /// The title; for a trade term, the term.
    pub title: String,
    /// Its page from the root of the site's first language, with an anchor for a trade term.
    pub page: String,
    /// The vehicles that it is about; `None` for every vehicle.
    pub region: Option<Region>,
    /// Positions of its systems among all systems.
    pub systems: Vec<usize>,
    /// How it is noticed.
    pub senses: Vec<String>,
    /// What can be shown as the reason for finding it; none yet in an outline.
    pub passages: Vec<Passage>,
    /// Passages that are left out, ascending by their positions among all.
    pub(super) dropped: Vec<u32>,
    /// Everything that is searched; nothing yet in an outline.
    pub(super) texts: Vec<Searched>,
    /// Whether it has no texts because their words are known, and nobody asked for more.
    pub(super) is_outline: bool,
}

/// A text that is searched.
#[derive(Clone, Debug)]
pub(super) struct Searched {
    /// Where it stands.
    pub(super) field: Field,
    /// Position of its language among the shop's.
    pub(super) language: usize,
    /// The passage that shows it.
    passage: Option<usize>,
    /// The text; `None` where its passage shows it word for word.
    text: Option<String>,
}

impl Document {
    /// Everything that is searched, with the texts.
    pub(super) fn searched(&self) -> impl Iterator<Item = (&Searched, &str)> {
        self.texts.iter().map(|searched| {
            let passage = searched.passage.and_then(|at| self.passages.get(at));
            let text = searched.text.as_deref().or(passage.map(|passage| passage.text.as_str()));
            (searched, text.unwrap_or_default())
        })
    }

    /// The passage that shows a text, if it is a sentence.
    pub(super) fn sentence_of(&self, searched: &Searched) -> Option<usize> {
        searched.passage.filter(|at| self.passages.get(*at).is_some_and(|it| it.class == PassageClass::Sentence))
    }

    /// Leaves out what is dropped.
    pub(super) fn drop_passages(&mut self) {
        let mut at = 0..;
        self.passages.retain(|_| at.next().is_some_and(|at: u32| self.dropped.binary_search(&at).is_err()));
        self.passages.shrink_to_fit();
    }

    fn add(&mut self, field: Field, text: &str) {
        self.add_in(field, 0, text);
    }

    fn add_in(&mut self, field: Field, language: usize, text: &str) {
        self.texts.push(Searched { field, language, passage: None, text: Some(text.to_owned()) });
    }

    /// A text that is searched and can be shown, in full or else by a passage.
    fn add_shown(&mut self, field: Field, language: usize, class: PassageClass, text: String, shown: Option<String>) {
        let (text, whole) = match shown {
            Some(shown) => (shown, Some(text)),
            None => (text, None),
        };
        self.texts.push(Searched { field, language, passage: Some(self.passages.len()), text: whole });
        self.passages.push(Passage { class, text });
    }

    fn add_sentence(&mut self, field: Field, language: usize, sentence: String) {
        let shown = clipped(&sentence);
        self.add_shown(field, language, PassageClass::Sentence, sentence, shown);
    }

    /// Sentences that are searched in the body and can be shown.
    fn sentences(&mut self, language: usize, sentences: &[String]) {
        for sentence in sentences {
            self.add_sentence(Field::Body, language, sentence.clone());
        }
    }

    fn optional(&mut self, text: Option<&Text>) {
        if let Some(text) = text {
            self.sentences(0, &text.sentences);
        }
    }

    /// A customer text in every language; each language's words are found by its own speakers.
    fn customer(&mut self, knowledge: &Knowledge, field: Field, texts: &CustomerText) {
        for (language, text) in texts {
            self.add_sentence(field, language_at(knowledge, language), text.clone());
        }
    }
}

fn language_at(knowledge: &Knowledge, language: &str) -> usize {
    knowledge.shop.languages.iter().position(|known| known == language).unwrap_or(0)
}

/// What a document is made from.
#[derive(Clone, Copy, Debug)]
pub(super) enum Subject<'k> {
    /// An entry, and the trade terms that lead to it.
    Entry(EntryRef, &'k [&'k Term]),
    /// A trade term, and its position.
    Word(usize, &'k Term),
}

/// Trade terms by the entries that they lead to.
pub(super) type Leading<'k> = BTreeMap<EntryRef, Vec<&'k Term>>;

/// The trade terms that lead to each entry.
pub(super) fn terms_by_entry(knowledge: &Knowledge) -> Leading<'_> {
    let mut leading = Leading::new();
    for term in &knowledge.terms {
        for entry in term.see.iter().copied().collect::<BTreeSet<EntryRef>>() {
            leading.entry(entry).or_default().push(term);
        }
    }
    leading
}

/// Of what there are documents: entries by kind and id; trade terms come last.
pub(super) fn subjects<'k>(knowledge: &'k Knowledge, leading: &'k Leading<'k>) -> Vec<Subject<'k>> {
    let readable = knowledge.entries().filter(|entry| knowledge.head(*entry).is_some());
    let entries = readable.map(|entry| Subject::Entry(entry, leading.get(&entry).map_or(&[], Vec::as_slice)));
    entries.chain(knowledge.terms.iter().enumerate().map(|(at, term)| Subject::Word(at, term))).collect()
}

/// The document of a subject.
pub(super) fn document(knowledge: &Knowledge, subject: Subject<'_>) -> Option<Document> {
    let mut document = outline(knowledge, subject)?;
    document.is_outline = false;
    match subject {
        Subject::Entry(entry, terms) => texts_of_entry(&mut document, knowledge, entry, knowledge.head(entry)?, terms),
        Subject::Word(_, term) => texts_of_term(&mut document, term),
    }
    Some(document)
}

/// The document of a subject without its texts.
pub(super) fn outline(knowledge: &Knowledge, subject: Subject<'_>) -> Option<Document> {
    Some(match subject {
        Subject::Entry(entry, _) => outline_of_entry(knowledge, entry, knowledge.head(entry)?),
        Subject::Word(at, term) => Document {
            kind: DocumentKind::Word,
            id: term.term.clone(),
            title: term.term.clone(),
            page: format!("words.html#term-{}", at + 1),
            region: None,
            systems: Vec::new(),
            senses: Vec::new(),
            passages: Vec::new(),
            dropped: Vec::new(),
            texts: Vec::new(),
            is_outline: true,
        },
    })
}

fn outline_of_entry(knowledge: &Knowledge, entry: EntryRef, head: &Head) -> Document {
    let symptom = knowledge.typed::<Symptom>(entry).map(|at| &knowledge.symptoms[at].detail);
    Document {
        kind: DocumentKind::Entry(head.kind),
        id: head.id.clone(),
        title: head.title.value.clone(),
        page: path(head),
        region: (!head.region.is_everything()).then(|| head.region.clone()),
        systems: head.systems.iter().map(|system| system.position()).collect(),
        senses: symptom.map(|symptom| symptom.senses.clone()).unwrap_or_default(),
        passages: Vec::new(),
        dropped: Vec::new(),
        texts: Vec::new(),
        is_outline: true,
    }
}

/// A name for a subject's text. Everything else that its document says follows from what `Knowledge::print` names.
pub(super) fn text_print(knowledge: &Knowledge, subject: Subject<'_>) -> Digest {
    match subject {
        Subject::Entry(entry, _) => knowledge.head(entry).map(print_of_text).unwrap_or_default(),
        Subject::Word(..) => Digest::default(),
    }
}

fn texts_of_term(document: &mut Document, term: &Term) {
    document.add(Field::Title, &term.term);
    for phrase in &term.heard_as {
        document.add_shown(Field::Trade, 0, PassageClass::Phrase, phrase.clone(), None);
    }
    document.sentences(0, &sentences(&term.means));
}

fn texts_of_entry(document: &mut Document, knowledge: &Knowledge, entry: EntryRef, head: &Head, terms: &[&Term]) {
    document.add(Field::Title, &head.title.value);
    if let Some(at) = knowledge.typed::<Symptom>(entry) {
        symptom(document, &knowledge.symptoms[at].detail);
        kin(document, knowledge, at);
    }
    trade_words(document, terms);
    codes(document, head);
    for system in &head.systems {
        document.add(Field::System, &knowledge.systems[*system].head.title.value);
    }
    for heading in &head.body.headings {
        document.add(Field::Heading, &heading.words);
    }
    own(document, knowledge, entry);
    document.sentences(0, &head.body.sentences);
}

fn trade_words(document: &mut Document, terms: &[&Term]) {
    for term in terms {
        let said = term.heard_as.join("; ");
        let text = if said.is_empty() { term.term.clone() } else { format!("{}: {said}", term.term) };
        document.add_shown(Field::Trade, 0, PassageClass::Trade, text, None);
    }
}

fn codes(document: &mut Document, head: &Head) {
    if !head.codes.is_empty() {
        let codes = head.codes.join(", ");
        document.add_shown(Field::Code, 0, PassageClass::Codes, codes, None);
    }
}

fn symptom(document: &mut Document, symptom: &Symptom) {
    for phrase in &symptom.heard_as {
        document.add_shown(Field::Phrase, 0, PassageClass::Phrase, phrase.clone(), None);
    }
}

/// Words that belong to a symptom though its own entry may lack them.
fn kin(document: &mut Document, knowledge: &Knowledge, symptom: Ref<Symptom>) {
    let mut asked = BTreeSet::new();
    for (entry, at) in &knowledge.symptoms[symptom].detail.candidates {
        if let Some(head) = knowledge.head(*entry) {
            document.add(Field::Kin, &head.title.value);
        }
        if let Some(at) = knowledge.typed::<Characteristic>(*entry) {
            told(document, knowledge, &knowledge.characteristics[at].detail);
        }
        let rows = knowledge.accounts_for(*entry);
        let evidence = rows.get(*at).map(|row| row.evidence.as_slice()).unwrap_or_default();
        asked.extend(evidence.iter().map(|evidence| evidence.check));
    }
    for check in asked {
        let check = &knowledge.checks[check].detail;
        let answers = check.answers.iter().flat_map(|answer| &answer.words);
        for (language, text) in check.ask.iter().chain(answers) {
            document.add_in(Field::Kin, language_at(knowledge, language), text);
        }
    }
}

/// What customers are told of a characteristic is near to what they say.
fn told(document: &mut Document, knowledge: &Knowledge, characteristic: &Characteristic) {
    for (language, telling) in &characteristic.tell {
        for text in [&telling.brief, &telling.plain] {
            document.add_in(Field::Kin, language_at(knowledge, language), &text.markdown);
        }
    }
}

/// What only the entry's kind has.
fn own(document: &mut Document, knowledge: &Knowledge, entry: EntryRef) {
    if let Some(at) = knowledge.typed::<Condition>(entry) {
        document.optional(knowledge.conditions[at].detail.remedy.as_ref());
    } else if let Some(at) = knowledge.typed::<Characteristic>(entry) {
        characteristic(document, knowledge, &knowledge.characteristics[at].detail);
    } else if let Some(at) = knowledge.typed::<Check>(entry) {
        check(document, knowledge, &knowledge.checks[at].detail);
    } else if let Some(at) = knowledge.typed::<System>(entry) {
        system(document, &knowledge.systems[at].detail);
    }
}

fn characteristic(document: &mut Document, knowledge: &Knowledge, detail: &Characteristic) {
    for (language, telling) in &detail.tell {
        let language = language_at(knowledge, language);
        for text in [&telling.brief, &telling.plain, &telling.full] {
            document.sentences(language, &text.sentences);
        }
    }
    document.optional(detail.because.as_ref());
    document.optional(detail.show.as_ref());
    document.optional(detail.leave_alone.as_ref());
}

fn check(document: &mut Document, knowledge: &Knowledge, check: &Check) {
    document.customer(knowledge, Field::Heading, &check.ask);
    let unit = check.measures.as_ref().map_or("", |measures| measures.unit.value.as_str());
    if let Some(measures) = &check.measures {
        document.add_sentence(Field::Heading, 0, measures.quantity.clone());
    }
    for answer in &check.answers {
        match &answer.band {
            Some(band) => {
                let text = format!("{} {unit} {}", band.value, answer.id.value.replace('-', " "));
                document.add_sentence(Field::Body, 0, text);
            }
            None => document.customer(knowledge, Field::Body, &answer.words),
        }
    }
    for tool in &check.tools {
        document.add_sentence(Field::Body, 0, tool.clone());
    }
}

fn system(document: &mut Document, system: &System) {
    for specification in &system.specifications {
        let name = specification.name.value.replace('-', " ");
        document.add(Field::Heading, &name);
        for (_, value) in &specification.values {
            let shown = format!("{name}: {}", value.value);
            document.add_shown(Field::Body, 0, PassageClass::Sentence, value.value.clone(), Some(shown));
        }
    }
    for change in &system.changes {
        document.sentences(0, &change.text.sentences);
    }
}

/// The longest sentence that is shown in full, in bytes.
const CLIP: usize = 240;

/// The start of a sentence that is too long to be shown.
fn clipped(sentence: &str) -> Option<String> {
    if sentence.len() <= CLIP {
        return None;
    }
    let end = (0..=CLIP).rev().find(|at| sentence.is_char_boundary(*at)).unwrap_or(0);
    let start = sentence.get(..end).unwrap_or_default();
    let end = start.rfind(' ').unwrap_or(end);
    Some(format!("{} …", start.get(..end).unwrap_or(start)))
}
