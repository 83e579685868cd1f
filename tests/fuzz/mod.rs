//! The inputs that the fuzz targets start from, and those that once showed a fault, hold in every run of the tests.

mod properties;

use std::fs;

use crate::support::repository;
use properties::TARGETS;

#[test]
fn every_kept_input_holds() {
    let corpus = repository().join("tests/fuzz/corpus");
    let (mut files, mut bytes) = (0, 0);
    for (name, check) in TARGETS {
        for kept in fs::read_dir(corpus.join(name)).unwrap() {
            let input = fs::read(kept.unwrap().path()).unwrap();
            check(&input);
            (files, bytes) = (files + 1, bytes + input.len());
        }
    }
    assert!(files > TARGETS.len() && files <= 80 && bytes <= 200_000, "{files} files, {bytes} bytes");
}
