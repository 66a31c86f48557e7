//! Files with several faults that have nothing to do with each other, in `tests/suite/several`: all are told in one run, none
//! twice, none made up, which the suite holds. Here they are held to be as mixed as they are meant to be.

#![allow(clippy::disallowed_methods, reason = "tests read files of their own")]

use super::suite::{files, stated};
use std::collections::BTreeSet;
use std::fs;
use stillroom::diagnostic::{Code, Family};

#[test]
fn each_file_has_faults_of_several_families() {
    let (root, files) = files();
    let several: Vec<&String> = files.iter().filter(|path| path.starts_with("tests/suite/several/")).collect();
    assert!(several.len() >= 10, "{} files", several.len());
    let mut with_syntax = 0;
    for path in several {
        let stated = stated(&fs::read_to_string(root.join(path)).unwrap());
        let codes: Vec<Code> = stated.iter().filter_map(|one| Code::from_name(&one.code)).collect();
        let families: BTreeSet<String> = codes.iter().map(|code| format!("{:?}", code.entry().family)).collect();
        assert!((4..=8).contains(&codes.len()), "{path}: {} faults", codes.len());
        assert!(families.len() >= 4, "{path}: {families:?}");
        with_syntax += usize::from(codes.iter().any(|code| code.entry().family == Family::Syntax));
    }
    assert!(with_syntax >= 4, "{with_syntax} files with a fault of syntax");
}
