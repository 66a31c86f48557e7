//! Sound formulas of well-known types, written from what is generally known of each type before the checks were looked at:
//! none of them is told of an error or a warning.

#![allow(clippy::disallowed_methods, reason = "tests read files of their own")]

use std::path::{Path, PathBuf};
use stillroom::diagnostic::Level;
use stillroom::session::check;
use stillroom::sheet::BatchOrder;
use stillroom::workspace::{Disk, load};

#[test]
fn a_sound_formula_of_a_common_type_is_told_of_nothing_graver_than_a_note() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/common-types");
    let files: Vec<PathBuf> =
        ["anhydrous", "emulsions", "watery"].map(|name| folder.join(format!("{name}.still"))).into();
    let loaded = load(&Disk, &files, None);
    let report = check(&loaded.sources, &BatchOrder::default(), false);
    let graver = report.diagnostics.iter().filter(|fault| fault.level != Level::Note);
    let told: Vec<String> =
        graver.map(|fault| format!("{} {}: {}", fault.level.word(), fault.code, fault.message)).collect();
    assert!(told.is_empty(), "{}", told.join("\n"));
    assert!(report.formulas.len() >= 50, "{}", report.formulas.len());
}
