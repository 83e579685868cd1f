//! A fresh site, a site in the place of another, and what is told of the difference.

use std::fs;
use std::os::unix::fs::{MetadataExt, PermissionsExt, symlink};

use super::{content, edition, holds, left_over, place, publish, site};

#[test]
fn a_fresh_site_is_written_whole() {
    let (_place, out) = place();
    let first = edition(1, 30, 200);
    let published = publish(&first, &out).unwrap();
    assert!(holds(&out, &first));
    assert_eq!((published.added.len(), published.unchanged), (31, 0));
    assert_eq!(left_over(&out), ["lock"]);
}

#[test]
fn an_empty_folder_may_be_used_and_keeps_its_permissions() {
    let (_place, out) = place();
    fs::create_dir(&out).unwrap();
    fs::set_permissions(&out, fs::Permissions::from_mode(0o2775)).unwrap();
    publish(&edition(1, 3, 20), &out).unwrap();
    assert_eq!(fs::metadata(&out).unwrap().permissions().mode() & 0o7777, 0o2775);
    publish(&edition(2, 3, 20), &out).unwrap();
    assert_eq!(fs::metadata(&out).unwrap().permissions().mode() & 0o7777, 0o2775);
}

#[test]
fn each_edition_replaces_the_one_before_with_nothing_left_of_it() {
    let (_place, out) = place();
    for number in 1..=6 {
        let next = edition(number, 20 + 5 * (number as usize % 3), 100);
        publish(&next, &out).unwrap();
        assert!(holds(&out, &next), "edition {number}: {:?}", content(&out).keys());
    }
    assert_eq!(left_over(&out), ["lock", "next"]);
}

#[test]
fn the_difference_is_told_by_path() {
    let (_place, out) = place();
    publish(&site(&[("same", "1"), ("gone/x", "1"), ("other", "1")]), &out).unwrap();
    let published = publish(&site(&[("same", "1"), ("new/x", "1"), ("other", "2")]), &out).unwrap();
    assert_eq!(published.added, ["new/x"]);
    assert_eq!(published.changed, ["other"]);
    assert_eq!(published.removed, ["gone/x"]);
    assert_eq!(published.unchanged, 1);
}

#[test]
fn a_site_that_says_the_same_is_not_touched() {
    let (_place, out) = place();
    let first = edition(1, 10, 50);
    publish(&first, &out).unwrap();
    let before = fs::metadata(&out).unwrap().ino();
    let published = publish(&first, &out).unwrap();
    assert_eq!((published.unchanged, published.changed.len()), (11, 0));
    assert_eq!(fs::metadata(&out).unwrap().ino(), before);
}

#[test]
fn a_page_that_somebody_altered_or_removed_is_made_right() {
    let (_place, out) = place();
    let first = edition(1, 10, 50);
    for _ in 0..2 {
        publish(&first, &out).unwrap();
        fs::write(out.join("symptoms/page-0.html"), "x").unwrap();
        publish(&first, &out).unwrap();
        assert!(holds(&out, &first));
        fs::remove_file(out.join("symptoms/page-2.html")).unwrap();
        publish(&first, &out).unwrap();
        assert!(holds(&out, &first));
    }
}

#[test]
fn whatever_stands_in_the_idle_tree_is_compared_and_never_trusted() {
    let (place, out) = place();
    for number in 1..=2 {
        publish(&edition(number, 10, 50), &out).unwrap();
    }
    let outside = place.path().join("outside");
    fs::create_dir(&outside).unwrap();
    fs::write(outside.join("page-0.html"), "own").unwrap();
    let next = place.path().join(".site-out.baybook/next");
    fs::remove_dir_all(next.join("symptoms")).unwrap();
    symlink(&outside, next.join("symptoms")).unwrap();
    fs::remove_file(next.join("checks/deep/page-1.html")).unwrap();
    symlink(outside.join("page-0.html"), next.join("checks/deep/page-1.html")).unwrap();
    fs::write(next.join("stray"), "").unwrap();
    fs::remove_file(next.join("checks/deep/page-3.html")).unwrap();
    fs::create_dir_all(next.join("checks/deep/page-3.html/x")).unwrap();
    fs::write(next.join("checks/deep/page-5.html"), "edition 3").unwrap();

    let third = edition(3, 10, 50);
    publish(&third, &out).unwrap();
    assert!(holds(&out, &third), "{:#?}", content(&out).keys());
    assert_eq!(fs::read_to_string(outside.join("page-0.html")).unwrap(), "own");
}

#[test]
fn an_idle_page_of_the_right_size_with_other_words_is_made_right() {
    let (place, out) = place();
    let say = |other| site(&[("same", "same words"), ("other", other)]);
    publish(&say("1"), &out).unwrap();
    publish(&say("2"), &out).unwrap();
    fs::write(place.path().join(".site-out.baybook/next/same"), "lies words").unwrap();
    publish(&say("3"), &out).unwrap();
    assert!(holds(&out, &say("3")));
}

#[test]
fn pages_may_shrink_grow_and_be_write_protected() {
    let (_place, out) = place();
    for text in ["long text", "longer text still", "x", "", "long text", "y"] {
        publish(&site(&[("page", text)]), &out).unwrap();
        assert!(holds(&out, &site(&[("page", text)])), "{text}");
        fs::set_permissions(out.join("page"), fs::Permissions::from_mode(0o444)).unwrap();
    }
    for text in ["long text", "longer text still", "x", "", "long text", "y"] {
        publish(&site(&[("page", text)]), &out).unwrap();
        assert!(holds(&out, &site(&[("page", text)])), "{text}");
    }
}

#[test]
fn a_copy_by_hard_links_keeps_the_edition_that_was_copied() {
    let (place, out) = place();
    publish(&site(&[("page", "first")]), &out).unwrap();
    let copy = place.path().join("copy");
    fs::hard_link(out.join("page"), &copy).unwrap();
    publish(&site(&[("page", "second")]), &out).unwrap();
    publish(&site(&[("page", "third")]), &out).unwrap();
    assert_eq!(fs::read_to_string(copy).unwrap(), "first");
    assert_eq!(fs::read_to_string(out.join("page")).unwrap(), "third");
}

#[test]
fn a_page_that_comes_back_to_former_words_is_newer_than_the_page_it_replaces() {
    let (_place, out) = place();
    let mut dates = Vec::new();
    for text in ["one", "two", "one"] {
        publish(&site(&[("page", text)]), &out).unwrap();
        dates.push(fs::metadata(out.join("page")).unwrap().modified().unwrap());
        std::thread::sleep(std::time::Duration::from_millis(30));
    }
    assert!(dates.is_sorted() && dates[1] < dates[2], "{dates:?}");
}

#[test]
fn a_site_left_aside_between_two_renamings_is_put_back() {
    let (place, out) = place();
    let (first, second) = (edition(1, 10, 50), edition(2, 10, 50));
    publish(&first, &out).unwrap();
    let aside = place.path().join(".site-out.baybook/former");
    fs::rename(&out, &aside).unwrap();
    let published = publish(&second, &out).unwrap();
    assert_eq!(published.changed.len(), 10, "the former site was seen");
    assert!(holds(&out, &second));
    fs::rename(place.path().join(".site-out.baybook/next"), &aside).unwrap();
    publish(&second, &out).unwrap();
    assert_eq!(left_over(&out), ["lock", "next"]);
}

#[test]
fn the_folder_may_be_named_from_where_one_stands() {
    let name = format!("target/publish-from-here-{}", std::process::id());
    let out = std::path::Path::new(&name);
    publish(&edition(1, 3, 20), out).unwrap();
    assert!(holds(out, &edition(1, 3, 20)));
    fs::remove_dir_all(out).unwrap();
    fs::remove_dir_all(baybook::output::working_folder(out).unwrap()).unwrap();
}
