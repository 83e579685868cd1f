//! The commands that are not about a site.

mod ask;
mod draft;
mod marks;
mod rename;
mod schema;
