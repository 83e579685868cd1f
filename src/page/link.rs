//! Links to entries. A site shows each of them dozens of times, so the theme writes each once, when a page first needs it.

use std::sync::OnceLock;

use serde::ser::Error;
use serde::{Serialize, Serializer};
use tera::Context;

use super::context::{LinkContext, RefContext};
use super::edition::{Edition, Form, root_of, value};
use super::entry_page::own_path;
use super::site::PageFault;
use crate::diagnostic::Digest;
use crate::entry::Kind;
use crate::knowledge::EntryRef;

/// How a link is shown, and where.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
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
    /// A name for what it is called.
    print: Option<Digest>,
    marked: OnceLock<String>,
    plain: OnceLock<String>,
    at_root: OnceLock<String>,
}

impl From<RefContext> for Link {
    fn from(entry: RefContext) -> Self {
        let print = Digest::of_said(|to| value(&entry).say(to));
        let [marked, plain, at_root] = Default::default();
        Self { entry, print, marked, plain, at_root }
    }
}

/// A link on a page. To a template it is what the theme writes; to a digest of what a page is made from it is what the entry
/// is called: the theme and the words of the site decide the rest, and every page says them.
#[derive(Clone, Copy)]
pub(super) struct Written<'e> {
    edition: &'e Edition<'e>,
    link: &'e Link,
    look: Look,
}

impl Serialize for Written<'_> {
    /// Templates read what people can read, digests what they cannot.
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        if serializer.is_human_readable() {
            return serializer.serialize_str(self.html());
        }
        let print = self.link.print.ok_or_else(|| S::Error::custom("an entry's name cannot be said"))?;
        (self.look, print).serialize(serializer)
    }
}

impl Written<'_> {
    /// The link as the theme writes it. If it cannot, nothing is published.
    fn html(&self) -> &str {
        let place = match self.look {
            Look::Marked => &self.link.marked,
            Look::Plain => &self.link.plain,
            Look::AtRoot => &self.link.at_root,
        };
        place.get_or_init(|| {
            self.edition.write_link(&self.link.entry, self.look).unwrap_or_else(|fault| {
                self.edition.note_fault(fault);
                String::new()
            })
        })
    }
}

impl Edition<'_> {
    /// Has the theme write a link.
    fn write_link(&self, entry: &RefContext, look: Look) -> Result<String, PageFault> {
        let [top, deep] = self.link_sites.get_or_init(|| {
            let top = root_of(&self.prefix);
            [top.clone(), format!("../{top}")].map(|root| value(&self.site_context(&root)).value())
        });
        let mut context = Context::new();
        context.insert_value("site", if look == Look::AtRoot { top } else { deep }.clone());
        context.insert_value("r", value(entry).value());
        context.insert("marked", &(look != Look::Plain));
        let written = self.made("link.html", &entry.href, &context, USUAL_LINK)?;
        Ok(written.trim().to_owned())
    }

    /// What an entry is called in links.
    pub(super) fn link(&self, entry: impl Into<EntryRef>) -> &RefContext {
        self.known(entry.into()).map_or(&self.nobody, |link| &link.entry)
    }

    /// The link to an entry.
    pub(super) fn shown(&self, entry: impl Into<EntryRef>, look: Look) -> LinkContext<'_> {
        let entry = entry.into();
        match self.known(entry).filter(|_| self.form == Form::Pages) {
            Some(link) => LinkContext::Written(Written { edition: self, link, look }),
            // The entries of the booklet are too few to be worth it.
            None => LinkContext::Told(self.link(entry).clone()),
        }
    }

    /// Links to entries.
    pub(super) fn links(&self, entries: impl IntoIterator<Item = EntryRef>, look: Look) -> Vec<LinkContext<'_>> {
        entries.into_iter().map(|entry| self.shown(entry, look)).collect()
    }

    /// The entry as links name it, once something first does.
    fn known(&self, entry: EntryRef) -> Option<&Link> {
        let place = self.links.get(&entry.kind)?.get(entry.position())?;
        Some(place.get_or_init(|| self.make_ref(entry).unwrap_or_default().into()))
    }

    /// Makes room for what links name entries, by kind.
    pub(super) fn make_room_for_links(&mut self) {
        let room = |kind: Kind| (kind, (0..self.knowledge.count(kind)).map(|_| OnceLock::new()).collect());
        self.links = Kind::ALL.into_iter().map(room).collect();
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
