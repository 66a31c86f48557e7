//! Materials that the shelf does not know: each a block of the file, with what the table tells and no more.

use super::comment::{kept, slug, string};
use super::names::{Meant, Names, is_of_the_shelf, or_list};
use super::read::TableLine;
use crate::syntax::RESERVED;
use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;

/// The materials of a file.
pub struct OwnMaterials {
    by_cells: BTreeMap<(String, String, String), String>,
    taken: BTreeSet<String>,
    /// The blocks, in the order of the table.
    pub blocks: String,
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
        OwnMaterials { by_cells: BTreeMap::new(), taken: BTreeSet::from([formula.to_string()]), blocks: String::new() }
    }

    /// The material that a line means: one of the shelf, or one of its own.
    pub fn material(&mut self, line: &TableLine, names: &mut Names) -> LineMaterial {
        match names.meant(&line.name, &line.inci, &line.cas) {
            Meant::Surely(name) => LineMaterial { name: name.to_string(), doubt: None },
            Meant::Likely(name, why) => {
                LineMaterial { name: name.to_string(), doubt: Some(format!("`{name}` is taken, {why}")) }
            }
            Meant::Unknown { near, contains } => self.own(line, &near, contains.as_deref()),
        }
    }

    fn own(&mut self, line: &TableLine, near: &[&'static str], contains: Option<&str>) -> LineMaterial {
        let why = match near {
            [] => "the shelf does not know it".to_string(),
            [only] => format!("the shelf does not know it; it may be `{only}`"),
            several => format!("it may be {}", or_list(several.iter())),
        };
        let doubt = Some(format!("{why}. Its material stands above the formula, to be filled in"));
        let key = (line.name.clone(), line.inci.clone(), line.cas.clone());
        if let Some(name) = self.by_cells.get(&key) {
            return LineMaterial { name: name.clone(), doubt };
        }
        let called = if line.name.is_empty() { &line.inci } else { &line.name };
        let name = self.free(&slug(called));
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
    fn free(&mut self, wanted: &str) -> String {
        let is_free = |name: &str| !self.taken.contains(name) && !is_of_the_shelf(name) && !RESERVED.contains(&name);
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
