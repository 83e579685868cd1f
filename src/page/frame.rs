//! What all pages of a section share: made once, as it is half of a small page.

use std::collections::BTreeMap;
use std::sync::{Mutex, PoisonError};

use serde::Serialize;
use tera::{Context, Tera};

use super::context::{PageContext, SiteContext};
use super::edition::value;
use super::site::PageFault;
use super::theme::template_words;
use crate::diagnostic::Digest;

/// What a frame depends on: the way to the site's root, the section and the kind of page.
type Key = (String, &'static str, &'static str);

/// The frames that were made.
#[derive(Default)]
pub(super) struct Frames(Mutex<BTreeMap<Key, Frame>>);

/// The site as templates know it, and the parts around the content of a page.
#[derive(Clone)]
pub(super) struct Frame {
    pub(super) site: tera::Value,
    pub(super) frame: tera::Value,
    /// A name for all that both say, if it can be said.
    pub(super) print: Option<Digest>,
}

#[derive(Serialize)]
struct FrameContext {
    head: String,
    links: String,
    start: String,
    end: String,
    foot: String,
}

impl Frames {
    /// The frame of a page; `root` is its way to the site's root, `site` makes what templates know of the site.
    pub(super) fn of<'s>(
        &self,
        templates: &Tera,
        root: &str,
        page: &PageContext,
        site: impl FnOnce() -> SiteContext<'s>,
    ) -> Result<Frame, PageFault> {
        let key = (root.to_owned(), page.section, page.kind);
        let known = self.0.lock().unwrap_or_else(PoisonError::into_inner).get(&key).cloned();
        if let Some(frame) = known {
            return Ok(frame);
        }
        let frame = make(templates, &site(), page)?;
        self.0.lock().unwrap_or_else(PoisonError::into_inner).insert(key, frame.clone());
        Ok(frame)
    }
}

fn make(templates: &Tera, site: &SiteContext<'_>, page: &PageContext) -> Result<Frame, PageFault> {
    let of_site = value(site);
    let site = of_site.value();
    let mut context = Context::new();
    context.insert_value("site", site.clone());
    // Nothing of the page but what the frame is kept by.
    context.insert("page", &PageContext { kind: page.kind, section: page.section, ..PageContext::default() });
    let part = |name: &'static str| {
        let fault = |fault: tera::Error| PageFault::Template { page: page.path.clone(), cause: template_words(&fault) };
        Ok::<String, PageFault>(templates.render(name, &context).map_err(fault)?.trim().to_owned())
    };
    let parts = FrameContext {
        head: part("frame-head.html")?,
        links: part("frame-links.html")?,
        start: part("frame-start.html")?,
        end: part("frame-end.html")?,
        foot: part("frame-foot.html")?,
    };
    let frame = value(&parts);
    let print = Digest::of_said(|said| frame.say(of_site.say(said)?));
    Ok(Frame { site, frame: frame.value(), print })
}
