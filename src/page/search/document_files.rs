//! What is shown of documents as script files. They are most of the index, so those that would be the same are not made again.

use std::collections::BTreeMap;

use rayon::prelude::*;
use serde_json::{Value as Json, json};

use super::documents::{
    Document, DocumentKind, Leading, PassageClass, Subject, document, subjects, terms_by_entry, text_print,
};
use super::files::{part_path, part_text};
use super::index::Index;
use crate::entry::Kind;
use crate::knowledge::Knowledge;
use crate::knowledge::fit::Region;
use crate::page::outlet::{Outlet, take_unless_it_stands};
use crate::page::site::{PageFault, PageFile};

/// Documents in a part.
pub(super) const DOCUMENTS: usize = 8;

/// The files of an index's documents.
pub(super) struct DocumentFiles<'i> {
    pub(super) knowledge: &'i Knowledge,
    pub(super) index: &'i Index,
    pub(super) fits: &'i Fits<'i>,
    /// Whether the site has the flow of the symptom of that id.
    pub(super) has_flow: &'i (dyn Fn(&str) -> bool + Sync),
}

/// A document, what it is made from, the number of its set of vehicles, and whether it is a symptom with a flow.
type Row<'i> = (&'i Document, Subject<'i>, usize, bool);

impl DocumentFiles<'_> {
    /// All of them.
    pub(super) fn all(&self) -> Vec<PageFile> {
        let leading = terms_by_entry(self.knowledge);
        let (rows, size) = self.rows(&leading);
        let file =
            |(at, rows): (usize, &[Row<'_>])| PageFile { path: part_path(&name(at)), bytes: self.part(at, rows) };
        rows.par_chunks(size).enumerate().map(file).collect()
    }

    /// Hands them over; one that would be the same as before is not made.
    pub(super) fn take(&self, outlet: &dyn Outlet) -> Result<(), PageFault> {
        let leading = terms_by_entry(self.knowledge);
        let (rows, size) = self.rows(&leading);
        rows.par_chunks(size).enumerate().try_for_each(|(at, rows)| {
            let of_row = |(document, subject, fit, has_flow): &Row<'_>| {
                (text_print(self.knowledge, *subject), document.dropped.clone(), *fit, *has_flow)
            };
            let rows_by: Vec<_> = rows.iter().map(of_row).collect();
            let decided_by = (self.knowledge.print, self.index.form.is_cut, at, rows_by);
            take_unless_it_stands(outlet, part_path(&name(at)), Some(decided_by), || self.part(at, rows))
        })
    }

    /// The rows, and how many make a part.
    fn rows<'r>(&'r self, leading: &'r Leading<'r>) -> (Vec<Row<'r>>, usize) {
        let rows = self.index.documents.iter().zip(subjects(self.knowledge, leading)).zip(&self.fits.of_documents);
        let row = |((document, subject), fit): ((&'r Document, Subject<'r>), &usize)| {
            let is_symptom = document.kind == DocumentKind::Entry(Kind::Symptom);
            (document, subject, *fit, is_symptom && (self.has_flow)(&document.id))
        };
        (rows.map(row).collect(), if self.index.form.is_cut { DOCUMENTS } else { usize::MAX })
    }

    fn part(&self, at: usize, rows: &[Row<'_>]) -> Vec<u8> {
        let rows = rows.iter().map(|(outline, subject, fit, has_flow)| {
            let whole = outline.is_outline.then(|| document(self.knowledge, *subject)).flatten();
            let whole = whole.map(|mut whole| {
                whole.dropped.clone_from(&outline.dropped);
                whole.drop_passages();
                whole
            });
            document_json(whole.as_ref().unwrap_or(outline), *fit, *has_flow)
        });
        part_text(&name(at), &Json::Array(rows.collect()))
    }
}

fn name(at: usize) -> String {
    format!("d{at}")
}

/// Id, title, page where the id does not give it, whether there is a flow, which set of vehicles, and the passages, each with one
/// letter for what it is.
fn document_json(document: &Document, fit: usize, has_flow: bool) -> Json {
    let is_word = document.kind == DocumentKind::Word;
    let passages = document.passages.iter().map(|passage| format!("{}{}", class_letter(passage.class), passage.text));
    json!([
        document.id,
        if document.title == document.id { "" } else { &document.title },
        if is_word { document.page.as_str() } else { "" },
        u8::from(has_flow),
        fit,
        passages.collect::<Vec<_>>(),
    ])
}

/// The letter that stands for a class of passages in the index.
fn class_letter(class: PassageClass) -> char {
    match class {
        PassageClass::Phrase => 'p',
        PassageClass::Trade => 'w',
        PassageClass::Codes => 'c',
        PassageClass::Sentence => 't',
    }
}

/// The different sets of vehicles, in the order in which documents have them; every vehicle is the first.
pub(super) struct Fits<'i> {
    pub(super) regions: Vec<Option<&'i Region>>,
    /// The set of each document, by its position.
    pub(super) of_documents: Vec<usize>,
}

impl<'i> Fits<'i> {
    pub(super) fn new(index: &'i Index) -> Self {
        let (mut regions, mut known) = (vec![None], BTreeMap::from([(None, 0)]));
        let of_documents = index.documents.iter().map(|document| {
            let region = document.region.as_ref();
            *known.entry(region).or_insert_with(|| {
                regions.push(region);
                regions.len() - 1
            })
        });
        let of_documents = of_documents.collect();
        Self { regions, of_documents }
    }
}
