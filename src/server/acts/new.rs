//! A formula begun: `/new`, from a kind, a table or another formula. Its file is new, or the text is put below what is there.

use crate::bring::{Figures, Kind, OwnShelf, Wishes, bring_beside};
use crate::keeping::{FileVersion, save};
use crate::render::shown;
use crate::server::address;
use crate::server::answer::Told;
use crate::server::inside::Inside;
use crate::server::names::is_name;
use crate::server::refusal::Refusal;
use crate::server::workroom::Workroom;
use crate::syntax::format;
use crate::syntax::tree::Item;
use serde::Deserialize;
use serde_json::{Value, json};

/// What is to be begun.
#[derive(Clone, Debug, Deserialize)]
#[serde(tag = "how", rename_all = "lowercase")]
pub enum NewFormula {
    /// From a kind of product.
    Kind {
        /// Its name.
        name: String,
        /// `gel`, `cream`.
        kind: String,
    },
    /// From a table or a note.
    Table {
        /// Its name.
        name: String,
        /// The table.
        table: String,
        /// `percent`, `grams`, or nothing where the table says it.
        #[serde(default)]
        figures: String,
        /// `yes` where the water takes the rest.
        #[serde(default)]
        rest: String,
    },
    /// As a variant of another formula.
    Variant {
        /// Its name.
        name: String,
        /// The file of the other formula.
        file: String,
        /// The other formula.
        formula: String,
        /// `same` or `own`: in which file it is to stand.
        place: String,
    },
}

/// Begins it, and says where.
pub fn new(workroom: &Workroom, _: Option<FileVersion>, asked: NewFormula) -> Result<Told, Refusal> {
    match &asked {
        NewFormula::Kind { name, kind } => {
            check_name(workroom, name)?;
            let of = Kind::of_word(kind);
            let of = of.ok_or_else(|| Refusal::wrong(format!("There is no kind `{}`.", shown(kind))))?;
            made(workroom, name, &of.formula(name), Value::Null)
        }
        NewFormula::Table { name, table, figures, rest } => {
            check_name(workroom, name)?;
            let figures = match figures.as_str() {
                "percent" => Some(Figures::Percent),
                "grams" => Some(Figures::Grams),
                _ => None,
            };
            let named = |source: &crate::workspace::Source| workroom.name_of(&source.absolute);
            let own = workroom.saved(|session| OwnShelf::of(session.sources(), named));
            let wishes = Wishes { name: name.clone(), rest: rest == "yes", figures };
            let brought = bring_beside(table.as_bytes(), &wishes, &own);
            if let Some(why) = brought.refused() {
                return Err(Refusal::wrong(why));
            }
            let unsure = brought.unsure.iter().map(|one| json!({ "line": one.line, "says": one.says }));
            let told = json!({ "told": brought.told, "unsure": unsure.collect::<Vec<Value>>() });
            made(workroom, name, &brought.text, told)
        }
        NewFormula::Variant { name, file, formula, place } => {
            check_name(workroom, name)?;
            is_name(formula).map_err(Refusal::wrong)?;
            let base = workroom.inside(file)?;
            let text = format(&format!("variant {name} of {formula} {{\n  version \"1\"\n}}\n"));
            match place.as_str() {
                "same" => below(workroom, &base, name, &text),
                _ => {
                    // Both stand in the folder that is open; from its root it is used by its name there.
                    let text = format(&format!("use \"{}\"\n\n{text}", base.name()));
                    made(workroom, name, &text, Value::Null)
                }
            }
        }
    }
}

/// A name that is one, and that no formula of the folder has.
fn check_name(workroom: &Workroom, name: &str) -> Result<(), Refusal> {
    is_name(name).map_err(Refusal::wrong)?;
    let taken = workroom.saved(|session| {
        let of_file = |source: &crate::workspace::Source| {
            let is_it = |item: &Item| {
                matches!(item, Item::Formula(_) | Item::Variant(_)) && item.name().is_some_and(|own| own.text == name)
            };
            source.tree.items.iter().any(is_it).then(|| source.absolute.clone())
        };
        session.sources().files.iter().find_map(of_file)
    });
    match taken {
        Some(path) => {
            let file = workroom.name_of(&path).unwrap_or_default();
            Err(Refusal::wrong(format!(
                "`{}` has a formula `{name}` already: give this one another name.",
                shown(&file)
            )))
        }
        None => Ok(()),
    }
}

/// A new file of the formula's name.
fn made(workroom: &Workroom, name: &str, text: &str, told: Value) -> Result<Told, Refusal> {
    let file = workroom.inside_to_be(&format!("{name}.still"))?;
    let version = save(&workroom.keeper(), file.path(), None, text);
    let version = version.map_err(|why| workroom.refusal(why, &file, text))?;
    answer(&file, name, told, version)
}

/// Below what a file has.
fn below(workroom: &Workroom, file: &Inside, name: &str, text: &str) -> Result<Told, Refusal> {
    let was = workroom.read(file)?;
    let end = if was.text.contains("\r\n") { "\r\n" } else { "\n" };
    let gap = if was.text.is_empty() || was.text.ends_with('\n') { end.to_string() } else { end.repeat(2) };
    let now = format!("{}{gap}{}", was.text, text.replace('\n', end));
    let version = save(&workroom.keeper(), file.path(), Some(&was.version), &now);
    let version = version.map_err(|why| workroom.refusal(why, file, &now))?;
    answer(file, name, Value::Null, version)
}

fn answer(file: &Inside, name: &str, told: Value, version: FileVersion) -> Result<Told, Refusal> {
    let address = address::formula(file.name(), name);
    Ok(Told::new(&json!({ "address": address, "file": file.name(), "brought": told }))?.of(version))
}
