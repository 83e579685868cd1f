//! Paths that a site may and may not have.

use baybook::output::{OutputFault, PathFault, Site, SiteFile};

#[test]
fn paths_stay_inside_the_site() {
    use PathFault::{ControlCharacter, FileAndFolder, NotPlain, Reserved, Twice};
    let check = |paths: &[&str], expected: Option<PathFault>| {
        let files = paths.iter().map(|path| SiteFile { path: (*path).into(), bytes: Vec::new() });
        let found = match Site::new(files) {
            Ok(_) => None,
            Err(OutputFault::BadPath { fault, .. }) => Some(fault),
            Err(other) => panic!("{other}"),
        };
        assert_eq!(found, expected, "{paths:?}");
    };
    check(&["index.html", "a/b/c.html", "media/Größe 1.png", "..a", "a..b", ".well-known/x"], None);
    for path in ["", "/etc/passwd", "a//b", "a/", "/", ".", "..", "../a", "a/../b", "a/./b", "a\\b"] {
        check(&[path], Some(NotPlain));
    }
    check(&["a\nb"], Some(ControlCharacter));
    check(&["a\0b"], Some(ControlCharacter));
    check(&[".made-by-baybook"], Some(Reserved));
    check(&["a/.made-by-baybook"], None);
    check(&["a", "b", "a"], Some(Twice));
    check(&["a/b", "a"], Some(FileAndFolder));
    check(&["a", "a/b"], Some(FileAndFolder));
}

#[test]
fn the_fault_names_the_path_on_one_line() {
    let fault = Site::new([SiteFile { path: "a\n/b".into(), bytes: Vec::new() }]).unwrap_err();
    assert_eq!(fault.to_string(), r#"the site has a file with the path "a\n/b", which has a control character"#);
}
