//! From a page's context to its file, unless the file stands from before.

use serde::Serialize;
use tera::Context;

use super::context::{Alternate, PageContext};
use super::edition::{Edition, Form, key_of, language_name, root_of};
use super::frame::Frame;
use super::outlet::{Origin, Piece};
use super::site::{PageFault, PageFile};
use super::theme::template_words;
use crate::diagnostic::{Digest, MadeFrom, said};

/// What a template is given, by name.
pub(super) type Pieces<'p> = Vec<(&'static str, Piece<'p>)>;

/// Room for most pages, in bytes: memory that grows little by little is copied again and again.
const USUAL_PAGE: usize = 32 * 1024;

impl Edition<'_> {
    /// Makes one page. `path` is from the edition's own root.
    pub(super) fn page(&self, template: &'static str, page: PageContext, rest: Pieces<'_>) -> Result<(), PageFault> {
        self.page_then(template, page, rest, |html| html)
    }

    /// Makes one page, and does something to its text.
    pub(super) fn page_then(
        &self,
        template: &'static str,
        mut page: PageContext,
        mut rest: Pieces<'_>,
        then: fn(String) -> String,
    ) -> Result<(), PageFault> {
        let own = page.path.clone();
        if self.form == Form::Booklet {
            // An entry as a part of the booklet, whatever its page looks like.
            rest.push(("key", Piece::new(key_of(&own))));
            let page = PageContext { path: self.booklet_path(), ..page };
            return self.render("booklet-entry.html", &own, page, rest, then);
        }
        page.path = format!("{}{own}", self.prefix);
        if page.alternates.is_empty() {
            page.alternates = self.alternates(&own, &page.path);
        }
        let path = page.path.clone();
        self.render(template, &path, page, rest, then)
    }

    /// Makes a page whose path and alternates are already those of the whole site.
    pub(super) fn of_site(&self, template: &'static str, page: PageContext, rest: Pieces<'_>) -> Result<(), PageFault> {
        let path = page.path.clone();
        self.render(template, &path, page, rest, |html| html)
    }

    /// Makes the file at `path`, unless it stands there, made from the same.
    fn render(
        &self,
        template: &'static str,
        path: &str,
        page: PageContext,
        rest: Pieces<'_>,
        then: fn(String) -> String,
    ) -> Result<(), PageFault> {
        let root = root_of(&page.path);
        let frame = self.frames.of(self.templates, &root, &page, || self.site_context(&root))?;
        let origin = self.origin(template, &frame, &page, &rest);
        let made_from = origin.map(|origin| MadeFrom { origin, circumstances: self.circumstances(path, page.text) });
        if made_from.is_some_and(|made_from| self.outlet.stands(path, &made_from)) {
            return Ok(());
        }
        let mut context = Context::new();
        context.insert_value("site", frame.site);
        context.insert_value("frame", frame.frame);
        context.insert("page", &page);
        for (name, piece) in rest {
            context.insert_value(name, piece.value());
        }
        if let Some(fault) = self.take_fault() {
            return Err(fault);
        }
        let html = then(self.made(template, &page.path, &context, USUAL_PAGE)?);
        self.outlet.take(PageFile { path: path.to_owned(), bytes: html.into_bytes() }, made_from)
    }

    /// Whether the page at `path`, from the edition's own root, stands because nothing changed that any page can show: but for
    /// the texts of entries, of which it shows `text` at most.
    pub(super) fn stands_in_its_circumstances(&self, path: &str, text: Option<Digest>) -> bool {
        let path = format!("{}{path}", self.prefix);
        self.circumstances(&path, text).is_some_and(|circumstances| self.outlet.stands_in(&path, &circumstances))
    }

    /// A name for more than all that decides the page at `path`, known without making anything of it. Of texts of entries a page
    /// shows but that of its own entry.
    fn circumstances(&self, path: &str, text: Option<Digest>) -> Option<Origin> {
        let print = Some(self.knowledge.print).filter(|_| self.form == Form::Pages)?;
        Digest::of_said(|to| said(&(self.theme, print, path, text), to))
    }

    /// All that decides which rows a list has, and in which order.
    pub(super) fn list<'l>(&'l self, path: &'l str) -> impl Serialize + 'l {
        (self.theme, self.language, self.knowledge.print, path)
    }

    /// A name for all that decides a page: everything that its template is given, and the theme. What makes templates
    /// into pages is the program, which whoever keeps origins must name as well. `None` if it cannot be said.
    fn origin(&self, template: &str, frame: &Frame, page: &PageContext, rest: &Pieces<'_>) -> Option<Origin> {
        Digest::of_said(|mut said| {
            said.extend_from_slice(format!("{} {} {template} ", self.theme, frame.print?).as_bytes());
            said = Piece::new(page).say(said)?;
            for (name, piece) in rest {
                said.extend_from_slice(name.as_bytes());
                said = piece.say(said)?;
            }
            Some(said)
        })
    }

    /// What a template makes of a context, for the page at `path`. It has room for `usual` bytes from the start.
    pub(super) fn made(
        &self,
        template: &str,
        path: &str,
        context: &Context,
        usual: usize,
    ) -> Result<String, PageFault> {
        let fault = |cause: String| PageFault::Template { page: path.to_owned(), cause };
        let mut html = Vec::with_capacity(usual);
        self.templates.render_to(template, context, &mut html).map_err(|cause| fault(template_words(&cause)))?;
        String::from_utf8(html).map_err(|cause| fault(cause.to_string()))
    }

    fn alternates(&self, own: &str, path: &str) -> Vec<Alternate> {
        let others = self.languages.iter().enumerate().filter(|(_, language)| *language != self.language);
        let root = root_of(path);
        others
            .map(|(at, language)| Alternate {
                lang: language.clone(),
                name: language_name(self.words, language),
                href: if at == 0 { format!("{root}{own}") } else { format!("{root}{language}/{own}") },
            })
            .collect()
    }
}
