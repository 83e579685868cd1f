//! The least that publishing can cost: `floor KB OUT BYTES`. Reads every entry, splits it, reads its YAML with
//! positions, turns its Markdown into HTML and writes a file of BYTES bytes for it; nothing else, on all cores.
#![allow(clippy::disallowed_methods, clippy::unwrap_used, clippy::indexing_slicing, reason = "a program for measuring")]

use std::fs;
use std::path::Path;

use rayon::prelude::*;
use serde::Deserialize;
use serde::de::{Deserializer, MapAccess, SeqAccess, Visitor};
use serde_yaml::Spanned;
use walkdir::WalkDir;

/// A tree of front matter with a position at every key and value.
#[allow(dead_code, reason = "only reading it is measured")]
enum Tree {
    Plain,
    Text(String),
    List(Vec<Spanned<Tree>>),
    Map(Vec<(Spanned<String>, Spanned<Tree>)>),
}

impl<'de> Deserialize<'de> for Tree {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_any(TreeVisitor)
    }
}

struct TreeVisitor;

impl<'de> Visitor<'de> for TreeVisitor {
    type Value = Tree;

    fn expecting(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("a value")
    }

    fn visit_bool<E>(self, _: bool) -> Result<Tree, E> {
        Ok(Tree::Plain)
    }

    fn visit_i64<E>(self, _: i64) -> Result<Tree, E> {
        Ok(Tree::Plain)
    }

    fn visit_u64<E>(self, _: u64) -> Result<Tree, E> {
        Ok(Tree::Plain)
    }

    fn visit_f64<E>(self, _: f64) -> Result<Tree, E> {
        Ok(Tree::Plain)
    }

    fn visit_str<E>(self, text: &str) -> Result<Tree, E> {
        Ok(Tree::Text(text.to_owned()))
    }

    fn visit_unit<E>(self) -> Result<Tree, E> {
        Ok(Tree::Plain)
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut items: A) -> Result<Tree, A::Error> {
        let mut list = Vec::new();
        while let Some(item) = items.next_element()? {
            list.push(item);
        }
        Ok(Tree::List(list))
    }

    fn visit_map<A: MapAccess<'de>>(self, mut pairs: A) -> Result<Tree, A::Error> {
        let mut list = Vec::new();
        while let Some(pair) = pairs.next_entry()? {
            list.push(pair);
        }
        Ok(Tree::Map(list))
    }
}

fn main() {
    let arguments: Vec<String> = std::env::args().collect();
    let (kb, out, bytes) = (&arguments[1], Path::new(&arguments[2]), arguments[3].parse::<usize>().unwrap());
    let files: Vec<_> = WalkDir::new(kb).sort_by_file_name().into_iter().map(Result::unwrap).collect();
    let entries: Vec<_> = files.iter().filter(|file| file.path().extension().is_some_and(|end| end == "md")).collect();
    fs::create_dir_all(out).unwrap();
    entries.par_iter().enumerate().for_each(|(at, file)| {
        let text = fs::read_to_string(file.path()).unwrap();
        let (front, body) = text.strip_prefix("---\n").unwrap().split_once("\n---\n").unwrap();
        let tree: Spanned<Tree> = serde_yaml::from_str(front).unwrap();
        let mut html = String::new();
        pulldown_cmark::html::push_html(
            &mut html,
            pulldown_cmark::Parser::new_ext(body, pulldown_cmark::Options::all()),
        );
        std::hint::black_box(tree);
        let mut page = html.into_bytes();
        page.resize(bytes, b' ');
        fs::write(out.join(format!("{at}.html")), page).unwrap();
    });
}
