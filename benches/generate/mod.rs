//! A made-up workspace for the benchmarks: many files of formulas beside one file of materials and one of substances.
//!
//! The same figures come out on every machine, so that a measurement can be repeated. Every formula is sound: what is
//! measured is the work on formulas, not the telling of faults.

mod materials;
mod random;
mod recipe;

use materials::Material;
use random::Random;
use std::fs;
use std::path::PathBuf;
use tempfile::TempDir;

/// Formulas in a file: its stock, its recipes, and two variants.
pub const FORMULAS_PER_FILE: usize = 20;

/// Recipes in a file.
const RECIPES: usize = FORMULAS_PER_FILE - 3;

/// A workspace on disk, which goes when it is dropped.
pub struct Workspace {
    /// Every file, in the order of their paths.
    pub files: Vec<PathBuf>,
    /// How many bytes they have together.
    pub bytes: u64,
    /// How many formulas and variants they hold.
    pub formulas: usize,
    folder: TempDir,
}

/// Writes a workspace of so many files of formulas, and of so many rules that bind all of them.
pub fn workspace(formula_files: usize, rules: usize) -> std::io::Result<Workspace> {
    let folder = tempfile::tempdir()?;
    // The mark of a workspace's root, so that nothing above the folder is taken for it.
    fs::create_dir(folder.path().join(".git"))?;
    let materials = materials::materials();
    let mut workspace = Workspace { files: Vec::new(), bytes: 0, formulas: 0, folder };
    if rules == 0 {
        workspace.write("materials.still", &materials::materials_text())?;
    } else {
        workspace.write("materials.still", &format!("use \"rules.still\"\n{}", materials::materials_text()))?;
    }
    for number in 0..formula_files {
        workspace.write(&format!("range-{number:03}.still"), &file_text(number, &materials))?;
        workspace.formulas += FORMULAS_PER_FILE;
    }
    if rules > 0 {
        workspace.write("rules.still", &rules_text(rules, &materials))?;
    }
    workspace.write("substances.still", &materials::substances_text())?;
    Ok(workspace)
}

impl Workspace {
    fn write(&mut self, name: &str, text: &str) -> std::io::Result<()> {
        let path = self.folder.path().join(name);
        fs::write(&path, text)?;
        self.bytes += text.len() as u64;
        self.files.push(path);
        Ok(())
    }
}

/// Rules of the house, each a limit of one substance that no formula passes.
fn rules_text(rules: usize, materials: &[Material]) -> String {
    let mut text = String::from("# Rules of the house.\n\nuse \"substances.still\"\n");
    for (number, material) in (0..rules).zip(materials.iter().cycle()) {
        let substance = material.substance;
        text.push_str(&format!(
            "\nrule house-{number:04} {{\n  limit   {substance} to 100 %\n  source  \"house book, page {number}\"\n}}\n"
        ));
    }
    text
}

/// A file of formulas.
fn file_text(number: usize, materials: &[Material]) -> String {
    let mut random = Random::new(number as u64 + 1);
    let house = recipe::House::new(number, materials, &mut random);
    let mut text = format!("# Range {number:03}.\n\nuse \"materials.still\"\n\nlet house-keeping = 0.9 %\n");
    let mut add = |part: &str| {
        text.push('\n');
        text.push_str(part);
    };
    add(&house.stock().text());
    let mut creams = Vec::new();
    for at in 0..RECIPES {
        let recipe = recipe::recipe(&house, at, materials, &mut random);
        if random.once_in(5) {
            add("# The last trial was too thin; the gum went up by a tenth.\n");
        }
        add(&recipe.text());
        creams.extend(recipe::is_cream(at).then_some(recipe));
    }
    if let [exchanged, .., without] = creams.as_slice() {
        add(&recipe::exchanged(exchanged, materials, &mut random));
        add(&recipe::without(without));
    }
    text
}
