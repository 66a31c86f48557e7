//! Makes the index of the shelf from its files, and the rules that completion goes by from the grammar, before the program
//! is built.

#![allow(clippy::disallowed_methods, reason = "what is read is the source of the program")]

#[path = "src/shelf/entry.rs"]
#[allow(dead_code, reason = "what is made is written down, and read by the program")]
mod entry;
#[path = "src/shelf/make/mod.rs"]
mod make;
#[path = "src/syntax/survey/make.rs"]
mod survey;
#[path = "src/syntax/vocabulary.rs"]
#[allow(dead_code, reason = "the index needs the markets only")]
mod vocabulary;

/// The room of the program that `make` takes names from.
mod syntax {
    pub(crate) use crate::vocabulary;
}

use make::{File, Index};
use std::error::Error;
use std::fs;
use std::path::{Path, PathBuf};

const SHELF: &str = "src/shelf";
const GRAMMAR: &str = "grammar/stillroom.pest";

fn main() -> Result<(), Box<dyn Error>> {
    println!("cargo:rerun-if-changed=build.rs");
    println!("cargo:rerun-if-changed={SHELF}");
    println!("cargo:rerun-if-changed={GRAMMAR}");
    println!("cargo:rerun-if-changed=src/syntax/survey/make.rs");
    let out = PathBuf::from(std::env::var_os("OUT_DIR").ok_or("cargo names no folder to write to")?);
    let index = Index::of(&files(Path::new(SHELF))?)?;
    fs::write(out.join("shelf_index.rs"), index.to_rust())?;
    fs::write(out.join("grammar_rules.rs"), survey::rules_in_rust(&fs::read_to_string(GRAMMAR)?)?)?;
    Ok(())
}

/// The files of the shelf, by name. Their texts are kept to the end of the script, since the index is made of them.
fn files(folder: &Path) -> Result<Vec<File>, Box<dyn Error>> {
    let mut files = Vec::new();
    for entry in fs::read_dir(folder)? {
        let path = entry?.path();
        if path.extension().is_none_or(|extension| extension != "still") {
            continue;
        }
        let name = path.file_stem().and_then(|name| name.to_str()).ok_or("a file of the shelf has no plain name")?;
        files.push(File { name: name.to_string().leak(), text: fs::read_to_string(&path)?.leak() });
    }
    files.sort_by_key(|file| file.name);
    Ok(files)
}
