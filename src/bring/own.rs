//! Materials that the shelf does not know: each a block of the file, with what the table tells and no more.

use super::comment::{kept, slug, string};
use super::index::{Meant, or_list};
use super::names::{Names, is_of_the_shelf};
use super::read::TableLine;
use crate::syntax::RESERVED;
use smol_str::SmolStr;
use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;

/// The materials of a file.
pub struct OwnMaterials {
    by_cells: BTreeMap<(String, String, String), String>,
    taken: BTreeSet<String>,
    /// The blocks, in the order of the table.
    pub blocks: String,
    /// The files of hers whose materials are in the formula, as `use` names them.
    uses: BTreeSet<String>,
}

/// The material of a line, and what was not sure about it.
pub struct LineMaterial {
    /// Its name in the language.
    pub name: String,
    /// What was not sure.
    pub doubt: Option<String>,
}

impl OwnMaterials {
    /// None yet, beside a formula of that name.
    pub fn beside(formula: &str) -> OwnMaterials {
        OwnMaterials {
            by_cells: BTreeMap::new(),
            taken: BTreeSet::from([formula.to_string()]),
            blocks: String::new(),
            uses: BTreeSet::new(),
        }
    }

    /// The files of hers that the formula uses, each as it is written behind `use`.
    pub fn uses(&self) -> impl Iterator<Item = &str> {
        self.uses.iter().map(String::as_str)
    }

    /// The material that a line means: one of the shelf, or one of its own.
    pub fn material(&mut self, line: &TableLine, names: &mut Names<'_>) -> LineMaterial {
        let meant = names.meant(&line.name, &line.inci, &line.cas);
        if let Meant::Surely(name) | Meant::Likely(name, _) = &meant {
            self.uses.extend(names.file_of(name).map(str::to_string));
        }
        match meant {
            Meant::Surely(name) => LineMaterial { name: name.to_string(), doubt: None },
            Meant::Likely(name, why) => {
                LineMaterial { name: name.to_string(), doubt: Some(format!("`{name}` is taken, {why}")) }
            }
            Meant::Unknown { near, contains } => self.own(line, &near, contains.as_deref(), names),
        }
    }

    fn own(&mut self, line: &TableLine, near: &[SmolStr], contains: Option<&str>, names: &Names<'_>) -> LineMaterial {
        let why = match near {
            [] => "the shelf does not know it".to_string(),
            [only] => format!("the shelf does not know it; it may be `{only}`"),
            several => format!("it may be {}", or_list(several.iter())),
        };
        let doubt = Some(format!("{why}. Its material stands above the formula, to be filled in"));
        let key = (line.name.clone(), line.inci.clone(), line.cas.clone());
        // One of hers may be the right one, and is to be known where its name is written.
        self.uses.extend(near.iter().filter_map(|near| names.file_of(near)).map(str::to_string));
        if let Some(name) = self.by_cells.get(&key) {
            return LineMaterial { name: name.clone(), doubt };
        }
        let called = if line.name.is_empty() { &line.inci } else { &line.name };
        let name = self.free(&slug(called), names);
        let of_itself = contains.is_none();
        let mut block = match near {
            [] => format!("# Not sure: the shelf does not know `{}`.\n", kept(called)),
            near => {
                let near = or_list(near.iter());
                format!("# Not sure: `{}` may be {near}; then write that name in its place.\n", kept(called))
            }
        };
        if of_itself {
            block.push_str(
                "# Only what the table tells is here: add what it contains, what it is there for, its caution.\n",
            );
            let _ = writeln!(block, "substance {name} {{");
            let inci = string(&line.inci).filter(|_| !line.inci.is_empty());
            let cas = string(&line.cas).filter(|_| !line.cas.is_empty());
            inci.iter().for_each(|inci| block.push_str(&format!("  inci {inci}\n")));
            cas.iter().for_each(|cas| block.push_str(&format!("  cas {cas}\n")));
            block.push_str("}\n\n");
        }
        let _ = writeln!(block, "material {name} {{");
        if let Some(called) = string(called) {
            let _ = writeln!(block, "  name {called}");
        }
        if let Some(contains) = contains {
            let _ = writeln!(block, "  contains {contains}");
        }
        block.push_str("}\n\n");
        self.blocks.push_str(&block);
        self.by_cells.insert(key, name.clone());
        LineMaterial { name, doubt }
    }

    /// The name, or the first of its followers that nothing has yet.
    fn free(&mut self, wanted: &str, names: &Names<'_>) -> String {
        let is_free = |name: &str| {
            let elsewhere = names.is_taken(name) || is_of_the_shelf(name) || RESERVED.contains(&name);
            !self.taken.contains(name) && !elsewhere
        };
        let mut name = wanted.to_string();
        let mut number = 2usize;
        while !is_free(&name) {
            name = if number == 2 && is_of_the_shelf(wanted) {
                format!("own-{wanted}")
            } else {
                format!("{wanted}-{number}")
            };
            number += 1;
        }
        self.taken.insert(name.clone());
        name
    }
}
