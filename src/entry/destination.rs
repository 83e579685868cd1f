//! What a link's destination means, by its form alone.

use super::Kind;
use super::prose::Target;

/// A destination read.
pub(crate) enum Destination {
    /// It may be used.
    Good(Target),
    /// It must not be used, and why.
    Unsafe(&'static str),
}

/// Reads a destination that stands in the file at `path` (a path inside the folder of entries).
pub(crate) fn read_destination(written: &str, path: &str) -> Destination {
    if let Some((scheme, rest)) = scheme(written) {
        return with_scheme(&scheme, rest, written);
    }
    if written.chars().any(|c| c.is_control() || c == '\\') {
        return Destination::Unsafe("it holds characters that no address has");
    }
    if written.starts_with("//") {
        return Destination::Unsafe("it names another server without saying how to reach it");
    }
    if written.starts_with('/') {
        return Destination::Unsafe("it begins with `/`, which leads out of a site that is opened from a folder");
    }
    let (file, heading) = written.split_once('#').map_or((written, None), |(file, heading)| (file, Some(heading)));
    if file.is_empty() {
        return Destination::Good(Target::Heading(heading.unwrap_or("").to_owned()));
    }
    match below_root(path, file) {
        Some(file) => Destination::Good(inside(&file, heading)),
        None => Destination::Unsafe("it leads out of the folder of entries"),
    }
}

/// Splits a scheme off. Browsers pass over white space and control characters in it, so they are passed over here.
fn scheme(written: &str) -> Option<(String, &str)> {
    let (before, rest) = written.split_once(':')?;
    let bare: String = before.chars().filter(|c| !c.is_whitespace() && !c.is_control()).collect();
    let is_scheme = bare.starts_with(|c: char| c.is_ascii_alphabetic())
        && bare.chars().all(|c| c.is_ascii_alphanumeric() || matches!(c, '+' | '-' | '.'));
    is_scheme.then(|| (bare.to_ascii_lowercase(), rest))
}

fn with_scheme(scheme: &str, rest: &str, written: &str) -> Destination {
    match scheme {
        "http" | "https" | "mailto" | "tel" => Destination::Good(Target::Outside(written.to_owned())),
        "calc" if rest.is_empty() => Destination::Unsafe("it names no result: write calc:name"),
        "calc" => Destination::Good(Target::Calculation(rest.to_owned())),
        "spec" => match rest.split_once('/').filter(|(system, name)| !system.is_empty() && !name.is_empty()) {
            Some((system, name)) => {
                Destination::Good(Target::Specification { system: system.to_owned(), name: name.to_owned() })
            }
            None => Destination::Unsafe("it names no specification: write spec:system/name"),
        },
        _ => Destination::Unsafe("links may use http, https, mailto and tel, and lead to other files of the folder"),
    }
}

/// The path from the folder's root, without `.` and `..`; `None` if it leads above the root.
fn below_root(from: &str, relative: &str) -> Option<String> {
    let mut parts: Vec<&str> = from.split('/').collect();
    parts.pop();
    for part in relative.split('/') {
        match part {
            "" | "." => {}
            ".." => {
                parts.pop()?;
            }
            name => parts.push(name),
        }
    }
    Some(parts.join("/"))
}

fn inside(file: &str, heading: Option<&str>) -> Target {
    let entry = file.split_once('/').and_then(|(folder, rest)| {
        let kind = Kind::of_folder(folder)?;
        let name = rest.rsplit('/').next()?.strip_suffix(".md")?;
        Some((kind, name.to_owned()))
    });
    match entry {
        Some((kind, id)) => Target::Entry { kind, id, heading: heading.map(str::to_owned) },
        None => Target::Elsewhere(file.to_owned()),
    }
}
