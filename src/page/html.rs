//! Texts of entries as templates show them: rendered only if the page that they stand on is.

use serde::{Serialize, Serializer};

use super::edition::{Edition, Form, Placed, key_of, root_of};
use super::markdown::{Surroundings, render};
use crate::diagnostic::Digest;
use crate::knowledge::{Target, Text};

/// A text on a page. To a template it is its HTML; to a digest of what a page is made from it is all that decides that
/// HTML, which is known much sooner.
#[derive(Default)]
pub(super) struct Html<'e>(Option<Shown<'e>>);

struct Shown<'e> {
    edition: &'e Edition<'e>,
    text: &'e Text,
    on: Placed,
}

impl Serialize for Html<'_> {
    /// Templates read what people can read, digests what they cannot.
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        match &self.0 {
            None => serializer.serialize_str(""),
            Some(shown) if serializer.is_human_readable() => serializer.serialize_str(&shown.html()),
            Some(shown) => shown.decided_by().serialize(serializer),
        }
    }
}

impl<'e> Html<'e> {
    /// A text on a page, if there is one.
    pub(super) fn of(edition: &'e Edition<'e>, text: Option<&'e Text>, on: Placed) -> Self {
        Self(text.map(|text| Shown { edition, text, on }))
    }
}

/// Everything that decides the HTML of a text.
#[derive(Serialize)]
struct DecidedBy<'s> {
    markdown: &'s str,
    on: &'s Placed,
    is_booklet: bool,
    /// Where each link leads.
    links: Vec<Option<String>>,
    pictures: &'s [String],
    /// All that panels of calculations show.
    calculations: Option<Digest>,
}

impl Shown<'_> {
    fn decided_by(&self) -> DecidedBy<'_> {
        let Self { edition, text, on } = self;
        let has_panels = on.first_block.is_some() && !text.calculations.is_empty();
        let sheet = edition.calculations.sheet(on.owner).filter(|_| has_panels);
        DecidedBy {
            markdown: &text.markdown,
            on,
            is_booklet: edition.form == Form::Booklet,
            links: text.links.iter().map(|link| edition.address(&link.target, on)).collect(),
            pictures: &text.pictures,
            calculations: sheet.map(|sheet| super::calculators::decided_by(edition.knowledge, sheet)),
        }
    }

    /// Only the body's blocks are calculators. In the booklet entries are two headings deeper, and every anchor begins with
    /// the name of its entry.
    fn html(&self) -> String {
        let Self { edition, text, on } = self;
        let (deeper, key) = match edition.form {
            Form::Pages => (0, String::new()),
            Form::Booklet => (2, edition.key_before(&on.path)),
        };
        let root = edition.root_for(on);
        let around = Surroundings {
            root: &root,
            address: &|target: &Target| edition.address(target, on),
            calculation: &|block: usize| edition.panel(on, block, &root),
            heading_shift: on.heading_shift + deeper,
            anchor_prefix: &format!("{key}{}", on.anchor_prefix),
        };
        render(text, &around)
    }
}

impl Edition<'_> {
    /// The way to the site's root from the page that a text stands on.
    fn root_for(&self, on: &Placed) -> String {
        match self.form {
            Form::Pages => root_of(&on.path),
            Form::Booklet => root_of(&self.booklet_path()),
        }
    }

    /// The panel of a calculation block of a text, counted from the text's first.
    fn panel(&self, on: &Placed, block: usize, root: &str) -> Option<String> {
        super::calculators::calculator(self, on.owner, on.first_block? + block, root)
    }

    fn key_before(&self, path: &str) -> String {
        format!("{}--", key_of(path.strip_prefix(&self.prefix).unwrap_or(path)))
    }

    /// Where a link leads, from the site's root; with `#` at its front, on the page itself. `None` for a heading of the same text,
    /// whose anchor the text knows.
    fn address(&self, target: &Target, on: &Placed) -> Option<String> {
        match target {
            Target::Outside(address) => Some(address.clone()),
            // A text from above the body leads to the body's headings, wherever it is shown.
            Target::Heading(anchor) if on.first_block.is_none() => {
                Some(self.place_in(&self.link(on.owner).href, anchor))
            }
            Target::Heading(_) => None,
            Target::Entry(entry, heading) => {
                let href = &self.link(*entry).href;
                Some(heading.as_ref().map_or_else(|| href.clone(), |heading| self.place_in(href, heading)))
            }
            Target::Picture(path) => Some(path.clone()),
            Target::Words => Some(format!("{}words.html", self.prefix)),
            Target::Calculation(name) => {
                let anchor = super::calculators::anchor(self, on.owner, name)?;
                let own = &self.link(on.owner).href;
                let is_here = on.path == *own || self.form == Form::Booklet;
                Some(if is_here { anchor } else { format!("{own}{anchor}") })
            }
            Target::Specification(system, at) => {
                let specification = self.knowledge.systems[*system].detail.specifications.get(*at)?;
                Some(self.place_in(&self.link(*system).href, &format!("p-spec-{}", specification.name.value)))
            }
        }
    }
}
