//! From what a browser asks to what it gets.

use super::edition::Shown;

const OVERLAY_SCRIPT: &str = include_str!("../../../themes/preview/overlay.js");
const OVERLAY_STYLE: &str = include_str!("../../../themes/preview/overlay.css");

/// What is served beside the site. No page of a site begins with a dot.
const OWN: &str = ".preview/";

/// A question.
#[derive(Clone, Copy, Debug)]
pub(super) struct Asked<'a> {
    pub(super) method: &'a str,
    pub(super) host: Option<&'a str>,
    /// Path and query as they were sent.
    pub(super) target: &'a str,
}

/// An answer.
#[derive(Debug, PartialEq, Eq)]
pub(super) struct Answer {
    pub(super) status: u16,
    pub(super) media_type: &'static str,
    pub(super) body: Vec<u8>,
}

/// What to do with a question.
#[derive(Debug, PartialEq, Eq)]
pub(super) enum Reply {
    /// Answer at once.
    Now(Answer),
    /// Answer when there is something new.
    Later,
}

/// Answers a question, for a server on 127.0.0.1 at `port`. A site under any other name could be one that makes
/// browsers of this computer read what is meant for its user alone, so no other name is answered to.
pub(super) fn reply(asked: Asked<'_>, port: u16, shown: &Shown) -> Reply {
    if !asked.host.is_some_and(|host| is_own(host, port)) {
        return refusal(421, "This preview answers to its own address alone.");
    }
    if !matches!(asked.method, "GET" | "HEAD") {
        return refusal(405, "Only GET and HEAD are answered.");
    }
    let (path, query) = asked.target.split_once('?').unwrap_or((asked.target, ""));
    let Some(path) = path.strip_prefix('/').and_then(plain) else {
        return refusal(403, "This is not a path inside the site.");
    };
    match path.strip_prefix(OWN) {
        Some("state") if query == format!("after={}", shown.revision) => Reply::Later,
        Some("state") => Reply::Now(state(shown)),
        Some("overlay.js") => Reply::Now(found("overlay.js", OVERLAY_SCRIPT.as_bytes().to_vec())),
        Some("overlay.css") => Reply::Now(found("overlay.css", OVERLAY_STYLE.as_bytes().to_vec())),
        Some(_) => Reply::Now(missing(shown)),
        None => Reply::Now(page(&path, shown)),
    }
}

/// The state of the preview.
pub(super) fn state(shown: &Shown) -> Answer {
    found("state.json", shown.state().into_bytes())
}

fn is_own(host: &str, port: u16) -> bool {
    let (name, given) = host.rsplit_once(':').unwrap_or((host, "80"));
    let is_here = name == "127.0.0.1" || name.eq_ignore_ascii_case("localhost");
    is_here && given.parse() == Ok(port)
}

fn refusal(status: u16, why: &str) -> Reply {
    Reply::Now(Answer { status, media_type: "text/plain; charset=utf-8", body: format!("{why}\n").into_bytes() })
}

/// The path with its percent signs decoded; `None` if that is no plain path below the root.
fn plain(path: &str) -> Option<String> {
    let mut bytes = Vec::with_capacity(path.len());
    let mut rest = path.bytes();
    while let Some(byte) = rest.next() {
        if byte != b'%' {
            bytes.push(byte);
            continue;
        }
        let digits = [rest.next()?, rest.next()?];
        let digits =
            std::str::from_utf8(&digits).ok().filter(|digits| digits.bytes().all(|b| b.is_ascii_hexdigit()))?;
        bytes.push(u8::from_str_radix(digits, 16).ok()?);
    }
    let path = String::from_utf8(bytes).ok()?;
    let is_plain =
        |part: &str| !matches!(part, "." | "..") && !part.contains(['\\', ':']) && !part.contains(char::is_control);
    let inner = path.strip_suffix('/').unwrap_or(&path);
    let is_root = path.is_empty();
    (is_root || inner.split('/').all(|part| !part.is_empty() && is_plain(part))).then_some(path)
}

fn page(path: &str, shown: &Shown) -> Answer {
    let path = if path.is_empty() || path.ends_with('/') { format!("{path}index.html") } else { path.to_owned() };
    match shown.site.get(&path) {
        Some(bytes) if path.ends_with(".html") => found(&path, with_overlay(&bytes, shown)),
        Some(bytes) => found(&path, bytes.to_vec()),
        None => missing(shown),
    }
}

fn found(path: &str, body: Vec<u8>) -> Answer {
    Answer { status: 200, media_type: media_type(path), body }
}

/// A page that was not there may come with the next save, so this one too waits for it.
fn missing(shown: &Shown) -> Answer {
    let why = if shown.site.count() == 0 {
        "There are no pages yet: the entries have errors. They are listed here and appear once those are mended."
    } else {
        "There is no such page. If the entry is being written, it appears here once it is saved without errors."
    };
    let html = format!(
        "<!DOCTYPE html>\n<html lang=\"en\"><head><meta charset=\"utf-8\"><title>Preview</title></head>\
         <body><main><p>{why}</p><p><a href=\"/\">Start</a></p></main></body></html>\n"
    );
    let body = with_overlay(html.as_bytes(), shown);
    Answer { status: 404, media_type: media_type("x.html"), body }
}

/// The page as published, with the overlay's script and style. They come from the preview itself and may ask it for
/// news; everything else stays as forbidden as the page says.
fn with_overlay(page: &[u8], shown: &Shown) -> Vec<u8> {
    let page = String::from_utf8_lossy(page);
    let page = page.replacen("content=\"default-src 'none';", "content=\"default-src 'none'; connect-src 'self';", 1);
    let overlay = format!(
        "<link rel=\"stylesheet\" href=\"/{OWN}overlay.css\"><script src=\"/{OWN}overlay.js\" data-revision=\"{}\" \
         data-edition=\"{}\" defer></script>\n",
        shown.revision, shown.edition
    );
    match page.find("</head>") {
        Some(at) => [page.get(..at), Some(&overlay), page.get(at..)].into_iter().flatten().collect::<String>(),
        None => format!("{page}{overlay}"),
    }
    .into_bytes()
}

fn media_type(path: &str) -> &'static str {
    match path.rsplit_once('.').map(|(_, ending)| ending) {
        Some("html") => "text/html; charset=utf-8",
        Some("css") => "text/css; charset=utf-8",
        Some("js") => "text/javascript; charset=utf-8",
        Some("json") => "application/json",
        Some("svg") => "image/svg+xml",
        Some("png") => "image/png",
        Some("jpg" | "jpeg") => "image/jpeg",
        Some("gif") => "image/gif",
        Some("webp") => "image/webp",
        Some("avif") => "image/avif",
        Some("woff2") => "font/woff2",
        Some("xml") => "application/xml",
        Some("txt") => "text/plain; charset=utf-8",
        Some("webmanifest") => "application/manifest+json",
        _ => "application/octet-stream",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_plain_paths_below_the_root_are_taken() {
        for path in ["", "index.html", "es/", "symptoms/a%2Db.html", "media/d%C3%A9.svg"] {
            assert!(plain(path).is_some(), "{path}");
        }
        let bad = ["..", "../a", "a/../b", "%2e%2e/a", "a//b", "/etc/passwd", "a%00b", "%", "%2", "%zz", "%+1", "%ff"];
        for path in bad.into_iter().chain(["a\\b", "%5c..%5c", "C:/a", "./a", "a/."]) {
            assert_eq!(plain(path), None, "{path}");
        }
    }

    #[test]
    fn only_the_own_address_is_answered_to() {
        for host in ["127.0.0.1:4000", "localhost:4000", "LocalHost:4000"] {
            assert!(is_own(host, 4000), "{host}");
        }
        for host in ["127.0.0.1", "localhost:80", "example.org:4000", "127.0.0.1.example.org:4000", "[::1]:4000", ""] {
            assert!(!is_own(host, 4000), "{host}");
        }
        assert!(is_own("localhost", 80));
    }
}
