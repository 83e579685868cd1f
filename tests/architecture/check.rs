//! Holds source files against the rules of the rooms.

use std::collections::BTreeSet;

/// A file below `src/`.
pub(super) struct SourceFile {
    pub(super) path: String,
    pub(super) text: String,
}

/// In the order in which data goes through them.
const ROOMS: [&str; 7] = ["source", "entry", "knowledge", "calculation", "decision", "page", "output"];
/// Open to every room, and imports none.
const CORRIDOR: &str = "diagnostic";
/// Walks through the rooms.
const OUTSIDE: &str = "command";
const LINES: usize = 500;

/// Everything that is against the rules.
pub(super) fn faults(files: &[SourceFile]) -> Vec<String> {
    let mut faults = Vec::new();
    for file in files {
        let lines = file.text.lines().count();
        if lines >= LINES {
            faults.push(format!("{} has {lines} lines", file.path));
        }
        let Some((room, _)) = file.path.split_once('/') else { continue };
        let code = code_of(&file.text);
        faults.extend(imports(file, room, &code));
        faults.extend(disk(file, room, &code));
        if file.path == format!("{room}/mod.rs") {
            faults.extend(door(file));
        }
    }
    let rooms: BTreeSet<&str> = files.iter().filter_map(|file| Some(file.path.split_once('/')?.0)).collect();
    let known = |room: &&str| ROOMS.contains(room) || [CORRIDOR, OUTSIDE].contains(room);
    faults.extend(rooms.into_iter().filter(|room| !known(room)).map(|room| format!("{room} is no room")));
    faults
}

fn door(file: &SourceFile) -> Vec<String> {
    if !file.text.starts_with("//! ") {
        return vec![format!("{} does not open with what the room is for", file.path)];
    }
    let about: String = file.text.lines().take_while(|line| line.starts_with("//!")).collect();
    let missing = ["In:", "Out:", "Never:"].into_iter().filter(|part| !about.contains(part));
    missing.map(|part| format!("{} does not say `{part}`", file.path)).collect()
}

fn may_import(room: &str, other: &str) -> bool {
    let rank = |name: &str| ROOMS.iter().position(|room| *room == name);
    match (rank(room), rank(other)) {
        // What stands on disk is decided before: output takes files, not pages or entries.
        _ if room == "output" => other == CORRIDOR,
        (Some(own), Some(other)) => other < own,
        (Some(_), None) => other == CORRIDOR,
        (None, _) => room == OUTSIDE,
    }
}

fn imports(file: &SourceFile, room: &str, code: &str) -> Vec<String> {
    let supers = "super::".repeat(depth(&file.path));
    let named = [("crate::", true), (supers.as_str(), false)];
    let others = named.into_iter().flat_map(|(root, is_sure)| modules_after(code, root, is_sure));
    let others: BTreeSet<String> = others.filter(|other| other != room && !may_import(room, other)).collect();
    others.into_iter().map(|other| format!("{} imports {other}", file.path)).collect()
}

/// How many modules deep the file is: so many times `super` lead to the root.
fn depth(path: &str) -> usize {
    path.split('/').filter(|part| *part != "mod.rs").count()
}

/// The modules that follow `root`, one name or several in braces. What follows `super` may be something else inside a
/// room, so there only the names of rooms count.
fn modules_after(code: &str, root: &str, is_sure: bool) -> Vec<String> {
    let is_name = |c: char| c.is_ascii_alphanumeric() || c == '_';
    let places = code.match_indices(root).filter(|(at, _)| !code[..*at].ends_with(|c: char| is_name(c) || c == ':'));
    let known = |name: &String| ROOMS.contains(&name.as_str()) || [CORRIDOR, OUTSIDE].contains(&name.as_str());
    let mut names = Vec::new();
    for (at, _) in places {
        let rest = &code[at + root.len()..];
        let found = match rest.strip_prefix('{') {
            Some(list) => first_names(list),
            None => vec![rest.chars().take_while(|c| is_name(*c)).collect::<String>()],
        };
        let is_module = |name: &String| name.starts_with(|c: char| c.is_ascii_lowercase());
        names.extend(found.into_iter().filter(|name| is_module(name) && (is_sure && name != "super" || known(name))));
    }
    names
}

/// The first name of every element of a list in braces, which `list` begins inside of.
fn first_names(list: &str) -> Vec<String> {
    let mut names = vec![String::new()];
    let (mut depth, mut is_first) = (0, true);
    for c in list.chars() {
        match c {
            '}' if depth == 0 => break,
            '{' => depth += 1,
            '}' => depth -= 1,
            ',' if depth == 0 => {
                names.push(String::new());
                is_first = true;
            }
            c if depth == 0 && is_first && (c.is_ascii_alphanumeric() || c == '_') => {
                names.last_mut().unwrap().push(c);
            }
            c if !c.is_whitespace() => is_first = false,
            _ => {}
        }
    }
    names
}

/// Words that only code which reads or writes the file system has.
const DISK: [&str; 12] = [
    "fs::",
    "std::fs",
    "File::open",
    "OpenOptions",
    "DirBuilder",
    "walkdir",
    "tempfile",
    ".exists()",
    ".is_file()",
    ".is_dir()",
    ".canonicalize()",
    ".read_dir()",
];
const WRITING: [&str; 11] = [
    "fs::write",
    "fs::create_dir",
    "fs::rename",
    "fs::copy",
    "fs::remove",
    "fs::hard_link",
    "fs::set_permissions",
    "File::create",
    "OpenOptions",
    "DirBuilder",
    "rustix",
];

fn disk(file: &SourceFile, room: &str, code: &str) -> Vec<String> {
    let has = |words: &[&str]| words.iter().any(|word| code.contains(word));
    match room {
        // Output reads again what it wrote, and what it is about to replace.
        "output" => Vec::new(),
        "source" if has(&WRITING) => vec![format!("{} writes", file.path)],
        "source" => Vec::new(),
        _ if has(&DISK) || imports_fs(code) => vec![format!("{} touches the disk", file.path)],
        _ => Vec::new(),
    }
}

fn imports_fs(code: &str) -> bool {
    modules_after(code, "std::", true).iter().any(|name| name == "fs")
}

/// The code without comments and without what stands in quotes.
fn code_of(text: &str) -> String {
    let mut code = String::new();
    let mut rest = text;
    while let Some(c) = rest.chars().next() {
        let skipped = if rest.starts_with("//") {
            rest.find('\n').unwrap_or(rest.len())
        } else if rest.starts_with("r#\"") {
            rest.find("\"#").filter(|end| *end > 2).map_or(rest.len(), |end| end + 2)
        } else if c == '"' {
            quoted(rest)
        } else {
            0
        };
        if skipped == 0 {
            // A quote as a character is no beginning of a text.
            let whole = ["'\"'", "'\\\"'", "b'\"'"].into_iter().find(|whole| rest.starts_with(whole));
            let taken = whole.map_or(c.len_utf8(), str::len);
            code.push_str(&rest[..taken]);
            rest = &rest[taken..];
        } else {
            rest = &rest[skipped..];
        }
    }
    code
}

/// The length of a text in quotes, with them.
fn quoted(text: &str) -> usize {
    let mut is_escaped = false;
    for (at, c) in text.char_indices().skip(1) {
        match c {
            '"' if !is_escaped => return at + 1,
            _ => is_escaped = c == '\\' && !is_escaped,
        }
    }
    text.len()
}
