//! What is never replaced.

use std::fs;
use std::os::unix::fs::symlink;
use std::path::Path;

use super::{content, edition, holds, left_over, place, publish};
use crate::support::check_same;

/// Publishing must be refused with that message (`OUT` stands for the folder), and change nothing.
fn check(out: &Path, place: &Path, message: &str) {
    let before = content(place);
    let fault = publish(&edition(2, 5, 50), out).unwrap_err();
    assert_eq!(fault.to_string(), message.replace("OUT", &out.display().to_string()));
    check_same(&content(place), &before, "");
}

#[test]
fn a_link_a_file_and_a_foreign_folder_are_refused() {
    let (place, out) = place();
    fs::write(&out, "own").unwrap();
    check(&out, place.path(), "will not replace OUT: it is not a folder");
    fs::remove_file(&out).unwrap();

    fs::create_dir(place.path().join("elsewhere")).unwrap();
    symlink(place.path().join("elsewhere"), &out).unwrap();
    check(&out, place.path(), "will not replace OUT: it is a link");
    fs::remove_file(&out).unwrap();
    symlink("nowhere", &out).unwrap();
    check(&out, place.path(), "will not replace OUT: it is a link");
    fs::remove_file(&out).unwrap();

    fs::create_dir_all(out.join("sub")).unwrap();
    check(&out, place.path(), "will not replace OUT: it has content that was not published here");
    fs::write(out.join(".hidden"), "own").unwrap();
    check(&out, place.path(), "will not replace OUT: it has content that was not published here");
    assert_eq!(left_over(&out), [""; 0]);
}

#[test]
fn a_folder_without_a_name_or_a_parent_is_refused() {
    let (place, out) = place();
    check(
        &out.join("deeper"),
        place.path(),
        &format!("cannot publish into {}: there is no such folder", out.display()),
    );
    for nameless in ["/", "..", ".", "a/.."] {
        let message = format!("cannot publish to {nameless}: give the path of a folder by its name");
        let fault = publish(&edition(1, 1, 1), Path::new(nameless)).unwrap_err();
        assert_eq!(fault.to_string(), message);
    }
}

#[test]
fn somebodys_own_file_inside_is_refused_until_it_is_gone() {
    let (place, out) = place();
    publish(&edition(1, 5, 50), &out).unwrap();
    let refused = |inside: &str| {
        check(
            &out,
            place.path(),
            &format!("will not replace the folder that holds OUT/{inside}: move that away first"),
        );
    };
    fs::write(out.join("symptoms/notes.txt"), "own").unwrap();
    refused("symptoms/notes.txt");
    fs::remove_file(out.join("symptoms/notes.txt")).unwrap();

    fs::create_dir(out.join("mine")).unwrap();
    fs::write(out.join("mine/.keep"), "").unwrap();
    refused("mine/.keep");
    fs::remove_dir_all(out.join("mine")).unwrap();

    fs::remove_file(out.join("symptoms/page-0.html")).unwrap();
    symlink("page-2.html", out.join("symptoms/page-0.html")).unwrap();
    refused("symptoms/page-0.html");
    fs::remove_file(out.join("symptoms/page-0.html")).unwrap();

    fs::rename(out.join("checks"), place.path().join("moved")).unwrap();
    symlink(place.path().join("moved"), out.join("checks")).unwrap();
    refused("checks");
    fs::remove_file(out.join("checks")).unwrap();
    fs::create_dir_all(out.join("empty/folders")).unwrap();
    publish(&edition(2, 5, 50), &out).unwrap();
    assert!(holds(&out, &edition(2, 5, 50)));
}

#[test]
fn a_marker_that_is_not_understood_is_refused() {
    let (place, out) = place();
    publish(&edition(1, 5, 50), &out).unwrap();
    let marker = out.join(".made-by-baybook");
    for text in ["", "baybook site, format 3\n", "baybook site, format 2\nshort 1 a\n", "baybook site, format 2"] {
        fs::write(&marker, text).unwrap();
        check(&out, place.path(), "will not replace the folder of OUT/.made-by-baybook: that file is not understood");
    }
    fs::remove_file(&marker).unwrap();
    symlink("index.html", &marker).unwrap();
    check(&out, place.path(), "will not replace OUT: it has content that was not published here");
}

#[test]
fn a_site_whose_marker_has_digests_of_the_former_kind_is_replaced() {
    let (_place, out) = place();
    publish(&edition(1, 5, 50), &out).unwrap();
    let marker = out.join(".made-by-baybook");
    let text = fs::read_to_string(&marker).unwrap().replace("format 2", "format 1");
    let longer = |line: &str| match line.split_once(' ') {
        Some((digest, rest)) if digest.len() == 32 => format!("{digest}{digest} {rest}\n"),
        _ => format!("{line}\n"),
    };
    fs::write(&marker, text.lines().map(longer).collect::<String>()).unwrap();
    let published = publish(&edition(1, 5, 50), &out).unwrap();
    assert_eq!((published.changed.len(), published.unchanged), (6, 0), "{published:?}");
    assert!(fs::read_to_string(&marker).unwrap().starts_with("baybook site, format 2\n"));
}

#[test]
fn a_foreign_folder_where_the_working_folder_should_be_is_refused() {
    let (place, out) = place();
    let working = place.path().join(".site-out.baybook");
    let named = |message: &str| message.replace("WORK", &working.display().to_string());
    fs::create_dir_all(working.join("next")).unwrap();
    fs::write(working.join("next/own"), "own").unwrap();
    check(&out, place.path(), &named("will not replace WORK: it has content that was not published here"));
    fs::remove_dir_all(&working).unwrap();
    symlink("/tmp", &working).unwrap();
    check(&out, place.path(), &named("will not replace WORK: it is a link"));
}
