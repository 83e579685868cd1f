//! Links to entries. A site shows each of them dozens of times, so the theme writes them once, beforehand.

use rayon::prelude::*;
use tera::Context;

use super::context::{LinkContext, RefContext};
use super::edition::{Edition, Form, root_of, value};
use super::entry_page::own_path;
use super::site::PageFault;
use crate::entry::Kind;
use crate::knowledge::EntryRef;

/// How a link is shown, and where.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Look {
    /// With the icon of its kind, on pages one folder below the edition's root, which are nearly all.
    Marked,
    /// Without an icon, on the same pages.
    Plain,
    /// With the icon, on pages at the edition's root.
    AtRoot,
}

/// Room for most links, in bytes.
const USUAL_LINK: usize = 512;

/// What an entry is called in links, and the links as the theme writes them.
pub(super) struct Link {
    pub(super) entry: RefContext,
    /// Empty in the booklet, whose entries are too few to be worth it.
    marked: String,
    plain: String,
    at_root: String,
}

impl From<RefContext> for Link {
    fn from(entry: RefContext) -> Self {
        Self { entry, marked: String::new(), plain: String::new(), at_root: String::new() }
    }
}

impl Link {
    fn written(&self, look: Look) -> &str {
        match look {
            Look::Marked => &self.marked,
            Look::Plain => &self.plain,
            Look::AtRoot => &self.at_root,
        }
    }
}

impl Edition<'_> {
    /// Has the theme write the links to every entry.
    pub(super) fn write_links(&mut self) -> Result<(), PageFault> {
        let mut links = std::mem::take(&mut self.links);
        let (top, deep) = (root_of(&self.prefix), format!("../{}", root_of(&self.prefix)));
        let (top, deep) = (value(&self.site_context(&top)).value(), value(&self.site_context(&deep)).value());
        links.par_iter_mut().flat_map(|(_, links)| links).try_for_each(|link| {
            let entry = value(&link.entry).value();
            let write = |site: &tera::Value, marked: bool| {
                let mut context = Context::new();
                context.insert_value("site", site.clone());
                context.insert_value("r", entry.clone());
                context.insert("marked", &marked);
                let written = self.made("link.html", &link.entry.href, &context, USUAL_LINK)?;
                Ok::<String, PageFault>(written.trim().to_owned())
            };
            let (marked, plain, at_root) = (write(&deep, true)?, write(&deep, false)?, write(&top, true)?);
            (link.marked, link.plain, link.at_root) = (marked, plain, at_root);
            Ok::<(), PageFault>(())
        })?;
        self.links = links;
        Ok(())
    }

    /// What an entry is called in links.
    pub(super) fn link(&self, entry: impl Into<EntryRef>) -> &RefContext {
        self.known(entry.into()).map_or(&self.nobody, |link| &link.entry)
    }

    /// The link to an entry.
    pub(super) fn shown(&self, entry: impl Into<EntryRef>, look: Look) -> LinkContext<'_> {
        let entry = entry.into();
        let written = self.known(entry).filter(|_| self.form == Form::Pages).map(|link| link.written(look));
        written.map_or_else(|| LinkContext::Told(self.link(entry).clone()), LinkContext::Written)
    }

    /// Links to entries.
    pub(super) fn links(&self, entries: impl IntoIterator<Item = EntryRef>, look: Look) -> Vec<LinkContext<'_>> {
        entries.into_iter().map(|entry| self.shown(entry, look)).collect()
    }

    fn known(&self, entry: EntryRef) -> Option<&Link> {
        self.links.get(&entry.kind)?.get(entry.position())
    }

    /// The entries as links name them, by kind.
    pub(super) fn make_links(&mut self) {
        for kind in Kind::ALL {
            let entries = self.knowledge.entries().filter(|entry| entry.kind == kind);
            let links = entries.filter_map(|entry| self.make_ref(entry)).map(Link::from).collect();
            self.links.insert(kind, links);
        }
    }

    fn make_ref(&self, entry: EntryRef) -> Option<RefContext> {
        let head = self.knowledge.head(entry)?;
        let (href, number) = match self.form {
            Form::Pages => (own_path(self, head), String::new()),
            Form::Booklet => (format!("#{}-{}", head.kind.folder(), head.id), number(entry)),
        };
        Some(RefContext {
            kind: head.kind.word(),
            id: head.id.clone(),
            title: head.title.value.clone(),
            number,
            href,
            fits: self.fits(&head.region),
            boxes: self.boxes(&head.region),
            note: String::new(),
        })
    }
}

/// The number of an entry in the booklet: that of its kind and its own, such as `2.14`.
fn number(entry: EntryRef) -> String {
    let kind = Kind::ALL.iter().position(|kind| *kind == entry.kind).unwrap_or_default();
    format!("{}.{}", kind + 1, entry.position() + 1)
}
