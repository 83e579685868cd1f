//! The theme: templates, styles, scripts and interface words, built in and replaceable file by file.

use std::collections::BTreeMap;
use std::fmt;

use include_dir::{Dir, include_dir};
use serde_json::Value as Json;
use tera::{Context, Tera, Value};

use crate::diagnostic::Digest;

static WORKSHOP: Dir<'_> = include_dir!("$CARGO_MANIFEST_DIR/themes/workshop");

/// The files of a theme.
#[derive(Clone, Debug)]
pub struct Theme {
    files: BTreeMap<String, Vec<u8>>,
    print: String,
}

/// What is wrong with a theme.
#[derive(Debug)]
pub struct ThemeFault {
    file: String,
    cause: String,
}

impl fmt::Display for ThemeFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "the theme's file `{}`: {}", self.file, self.cause)
    }
}

impl Theme {
    /// The built-in theme with some of its files replaced, and others added.
    pub fn new(overlay: BTreeMap<String, Vec<u8>>) -> Self {
        let mut files = BTreeMap::new();
        gather(&WORKSHOP, &mut files);
        files.extend(overlay);
        let print = print(&files);
        Self { files, print }
    }

    /// Files that are copied into the site's `assets/` as they are.
    pub(super) fn assets(&self) -> impl Iterator<Item = (&str, &[u8])> {
        let is_asset = |path: &str| {
            let is_kept =
                [".css", ".js", ".svg", ".woff2", ".txt", ".webmanifest"].iter().any(|end| path.ends_with(end));
            is_kept && !INCLUDED.contains(&path) && path != WORKER
        };
        let files = self.files.iter().map(|(path, bytes)| (path.as_str(), bytes.as_slice()));
        files.filter(move |(path, _)| is_asset(path))
    }

    /// The text of one file.
    pub(super) fn text(&self, path: &str) -> Result<&str, ThemeFault> {
        let fault = |cause: &str| ThemeFault { file: path.to_owned(), cause: cause.to_owned() };
        let bytes = self.files.get(path).ok_or_else(|| fault("it is not there"))?;
        std::str::from_utf8(bytes).map_err(|_| fault("it is not UTF-8 text"))
    }

    /// Whether the theme speaks a language.
    pub(super) fn speaks(&self, language: &str) -> bool {
        self.files.contains_key(&words_path(language))
    }

    /// A name for exactly these files.
    pub fn print(&self) -> &str {
        &self.print
    }

    /// The interface words of a language. A word that it lacks is taken from English.
    pub(super) fn words(&self, language: &str) -> Result<BTreeMap<String, String>, ThemeFault> {
        let mut words = self.word_file("en")?;
        if language != "en" && self.speaks(language) {
            words.extend(self.word_file(language)?);
        }
        Ok(words)
    }

    fn word_file(&self, language: &str) -> Result<BTreeMap<String, String>, ThemeFault> {
        let path = words_path(language);
        serde_json::from_str(self.text(&path)?).map_err(|cause| ThemeFault { file: path, cause: cause.to_string() })
    }

    /// The script of the service worker.
    pub(super) fn worker(&self) -> Result<&str, ThemeFault> {
        self.text(WORKER)
    }

    /// A JSON file of the theme.
    pub(super) fn json(&self, path: &str) -> Result<Json, ThemeFault> {
        let cause = |cause: serde_json::Error| ThemeFault { file: path.to_owned(), cause: cause.to_string() };
        serde_json::from_str(self.text(path)?).map_err(cause)
    }

    /// The templates, compiled, with `words` and the icons as `w` and `icon`; `tl` is the attribute of texts of entries that
    /// says in which language they are.
    pub(super) fn templates(&self, words: &BTreeMap<String, String>, tl: &str) -> Result<Tera, ThemeFault> {
        let mut sources = Vec::new();
        for path in self.files.keys().filter(|path| path.ends_with(".html") || INCLUDED.contains(&path.as_str())) {
            sources.push((path.clone(), self.text(path)?.to_owned()));
        }
        let mut tera = Tera::new();
        let fault = |cause: tera::Error| ThemeFault { file: "*.html".to_owned(), cause: template_words(&cause) };
        tera.add_raw_templates(sources).map_err(fault)?;
        let icons = self.icons(&tera)?;
        tera.global_context().insert_value("icon", icons);
        tera.global_context().insert_value("w", word_values(words));
        tera.global_context().insert_value("tl", Value::safe_string(tl));
        Ok(tera)
    }

    /// The icons by name, as `icon.html` shows those that are drawn in `icons.svg`.
    fn icons(&self, tera: &Tera) -> Result<Value, ThemeFault> {
        let mut icons = BTreeMap::new();
        // An icon that a theme leaves out is drawn as nothing, and stops no page.
        let built_in = WORKSHOP.get_file(ICONS).and_then(|file| file.contents_utf8()).unwrap_or_default();
        for name in icon_names(built_in).chain(icon_names(self.text(ICONS)?)) {
            let mut context = Context::new();
            context.insert("name", name);
            let fault = |cause: tera::Error| ThemeFault { file: "icon.html".to_owned(), cause: template_words(&cause) };
            let icon = tera.render("icon.html", &context).map_err(fault)?;
            icons.insert(name.to_owned(), Value::safe_string(icon.trim()));
        }
        Ok(Value::from(icons))
    }
}

/// The names of the symbols in a file of icons, whose ids begin with `i-`.
fn icon_names(svg: &str) -> impl Iterator<Item = &str> {
    let ids = svg.split("id=").skip(1).filter_map(|rest| rest.strip_prefix(['"', '\'']));
    ids.filter_map(|rest| rest.strip_prefix("i-")?.split(['"', '\'']).next())
}

/// Interface words for templates. Most hold nothing that HTML would take for its own, and need not be looked at again
/// every time.
fn word_values(words: &BTreeMap<String, String>) -> Value {
    let value = |word: &str| {
        let is_plain = !word.contains(['&', '<', '>', '"', '\'']);
        if is_plain { Value::safe_string(word) } else { Value::normal_string(word) }
    };
    let words: BTreeMap<String, Value> = words.iter().map(|(key, word)| (key.clone(), value(word))).collect();
    Value::from(words)
}

/// The service worker stands at the site's root, as it may answer only for what is beside and below it.
const WORKER: &str = "worker.js";

/// Drawings that are part of every page, so that they follow its colours.
const INCLUDED: [&str; 1] = [ICONS];

const ICONS: &str = "icons.svg";

fn words_path(language: &str) -> String {
    format!("words/{language}.json")
}

fn print(files: &BTreeMap<String, Vec<u8>>) -> String {
    let file = |(path, bytes): (&String, &Vec<u8>)| format!("{} {path}\n", Digest::of(bytes));
    Digest::of(files.iter().map(file).collect::<String>().as_bytes()).to_string()
}

fn gather(folder: &Dir<'_>, files: &mut BTreeMap<String, Vec<u8>>) {
    for file in folder.files() {
        let parts = file.path().components().map(|part| part.as_os_str().to_string_lossy());
        files.insert(parts.collect::<Vec<_>>().join("/"), file.contents().to_vec());
    }
    folder.dirs().for_each(|folder| gather(folder, files));
}

/// A template's fault with everything that led to it.
pub(super) fn template_words(fault: &tera::Error) -> String {
    let mut words = fault.to_string();
    let mut cause = std::error::Error::source(fault);
    while let Some(inner) = cause {
        words += &format!(": {inner}");
        cause = inner.source();
    }
    words
}
