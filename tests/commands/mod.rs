//! The commands that are not about a site.

mod draft;
mod marks;
mod rename;
mod schema;
