//! A name changed wherever it stands, in every file, so that nothing means anything else than it did.

use super::navigate::asked_for;
use super::occurrences::{Meaning, Names, Occurrence, takes_its_substance_from_its_name};
use super::surveys::home_files;
use crate::diagnostic::{Code, Diagnostic, FileId, Place, Span};
use crate::model::DeclId;
use crate::render::shown;
use crate::resolve::NameSet;
use crate::syntax::survey::{MarkKind, NameRole, Survey};
use crate::syntax::tree::Item;
use crate::syntax::vocabulary::{Charge, Role};
use crate::syntax::{MAX_NAME, RESERVED};
use crate::workspace::{LineIndex, Sources};
use smol_str::SmolStr;
use std::collections::BTreeMap;

/// A stretch of a file with what stands there afterwards.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Edit {
    /// What is replaced.
    pub place: Place,
    /// By what.
    pub text: String,
}

/// What can be renamed at an offset: where the name stands, and how it reads now.
///
/// # Errors
/// A sentence, where nothing there can be.
pub fn prepare(names: &Names<'_>, file: FileId, offset: u32) -> Result<(Span, SmolStr), String> {
    let (span, meaning) = renamed(names, file, offset)?;
    let name = names.name_of(&meaning).unwrap_or_default();
    Ok((span, name))
}

/// The edits that give what stands at an offset another name.
///
/// # Errors
/// A sentence that says why it cannot have it.
pub fn rename(names: &Names<'_>, file: FileId, offset: u32, new: &str) -> Result<Vec<Edit>, String> {
    let (_, meaning) = renamed(names, file, offset)?;
    let old = names.name_of(&meaning).unwrap_or_default();
    let found = names.everywhere(&meaning);
    let new = new.trim();
    if new == old {
        return Ok(Vec::new());
    }
    is_a_name(names, &meaning, new)?;
    is_free(names, &meaning, new)?;
    reads_whole(names, &meaning, &old)?;
    let mut edits: Vec<Edit> = Vec::new();
    for occurrence in &found {
        edits.extend(edits_at(names, &meaning, occurrence, new)?);
    }
    edits.sort_unstable();
    edits.dedup();
    Ok(edits)
}

/// Whether the check says after a rename what it said before; lines may have moved.
///
/// # Errors
/// A sentence with the fault that would be there and is not there now.
pub fn says_the_same(
    (before, told_before): (&Sources, &[Diagnostic]),
    (after, told_after): (&Sources, &[Diagnostic]),
) -> Result<(), String> {
    let mut known: BTreeMap<(String, Code), usize> = BTreeMap::new();
    for fault in told_before {
        *known.entry((before.path_in_workspace(fault.primary.place.file), fault.code)).or_default() += 1;
    }
    for fault in told_after {
        match known.get_mut(&(after.path_in_workspace(fault.primary.place.file), fault.code)) {
            Some(left) if *left > 0 => *left -= 1,
            _ => {
                return Err(format!(
                    "Nothing was renamed. With that name there would be a fault that is not there now: {}",
                    shown(&fault.message)
                ));
            }
        }
    }
    match known.iter().find(|(_, left)| **left > 0) {
        Some(((path, code), _)) => Err(format!(
            "Nothing was renamed. With that name `{}` in `{}` would no longer be told, so something would mean another thing.",
            code.entry().name,
            shown(path)
        )),
        None => Ok(()),
    }
}

/// What is meant at an offset, where it can be renamed.
fn renamed(names: &Names<'_>, file: FileId, offset: u32) -> Result<(Span, Meaning), String> {
    let nothing = || "There is no name here that could be changed.".to_string();
    let (mark, meanings) = names.at(file, offset).ok_or_else(nothing)?;
    if mark.kind == MarkKind::Loose {
        return Err("This statement does not parse. Mend it first, then rename.".to_string());
    }
    let meanings = asked_for(names, file, offset, meanings);
    let name = shown(mark.span.of(names.sources.text(file))).into_owned();
    match meanings.as_slice() {
        [] => Err(match mark.kind {
            MarkKind::Name(NameRole::StepPart) | MarkKind::Code => nothing(),
            MarkKind::Name(NameRole::Solvent) => {
                format!("`{name}` is a word of the language here, and stays as it is.")
            }
            _ => format!("Nothing declares `{name}`, so there is nothing to rename."),
        }),
        [only] if names.is_on_shelf(only) => Err(format!(
            "`{name}` is the shelf's, and stays as it is. For one of your own write `material my-{name} like {name} {{ }}`."
        )),
        [only] => Ok((mark.span, only.clone())),
        _ => Err(format!("`{name}` means several things here. Rename it where one of them is declared.")),
    }
}

/// What a text with the new name in the place of a name comes to, in one statement.
fn reads_as(names: &Names<'_>, text: &str, new: &str) -> bool {
    let survey = Survey::new(text, names.surveys.memo());
    survey.statements.iter().all(|statement| statement.sound)
        && survey.marks.iter().any(|mark| matches!(mark.kind, MarkKind::Name(_)) && mark.span.of(text) == new)
}

fn is_a_name(names: &Names<'_>, meaning: &Meaning, new: &str) -> Result<(), String> {
    let told = shown(new);
    if new.len() > MAX_NAME {
        return Err(format!("A name has at most {MAX_NAME} letters, and this one has {}.", new.len()));
    }
    if new.contains(|letter: char| letter.is_whitespace() || letter.is_control()) {
        return Err(format!("`{told}` is no name: a name has no blanks. Join its words with hyphens."));
    }
    if let Meaning::Phase(..) = meaning {
        return match reads_as(names, &format!("formula f {{\n  phase {new} {{\n  }}\n}}\n"), new) {
            true => Ok(()),
            false => {
                Err(format!("`{told}` is no name of a phase: letters, digits and single hyphens, a letter first."))
            }
        };
    }
    if !reads_as(names, &format!("let {new} = 1 %\n"), new) {
        return Err(format!("`{told}` is no name: small letters, digits and single hyphens, a letter first."));
    }
    if RESERVED.contains(&new) {
        return Err(format!("`{told}` opens a statement inside a phase, and cannot name anything."));
    }
    // A word that carries a statement on would not be read as a figure.
    if !reads_as(names, &format!("let a = {new}\n"), new) {
        return Err(format!("`{told}` carries a statement on, so it could not be told from a word of the language."));
    }
    Ok(())
}

/// The set that a meaning's name belongs to; none of what no file declares by itself.
fn set_of(names: &Names<'_>, meaning: &Meaning) -> Option<NameSet> {
    match meaning {
        Meaning::Declared(id) => NameSet::of(names.scopes.item(*id)?),
        Meaning::Let(..) => Some(NameSet::Weighable),
        Meaning::Phase(..) => None,
        Meaning::Planned(_, _, substance) => Some(if *substance { NameSet::Substance } else { NameSet::Weighable }),
    }
}

fn home_of(meaning: &Meaning) -> DeclId {
    match meaning {
        Meaning::Declared(id) | Meaning::Let(id, _) | Meaning::Phase(id, _) | Meaning::Planned(id, _, _) => *id,
    }
}

/// The files that see a declaration, its own first.
fn seen_by(names: &Names<'_>, meaning: &Meaning) -> Vec<FileId> {
    let home = home_of(meaning).file;
    let sees = |file: &FileId| names.scopes.reached(*file).any(|reached| reached == home);
    home_files(names.sources).filter(sees).collect()
}

/// Whether the new name stands for nothing else anywhere the thing is seen from.
fn is_free(names: &Names<'_>, meaning: &Meaning, new: &str) -> Result<(), String> {
    let taken = |what: &str, place: Option<Place>| {
        let at = place.map(|place| format!(", declared in {}", place_in_words(names.sources, place)));
        Err(format!("`{new}` is taken: it is {what} here{}.", at.unwrap_or_default()))
    };
    if let Meaning::Phase(owner, _) = meaning {
        let others = names.sources.files.iter().flat_map(|source| {
            let items = (0u32..).zip(&source.tree.items);
            items.map(|(item, _)| DeclId { file: source.id, item })
        });
        let family = others.filter(|id| names.bases(*id).contains(owner));
        let found = family.filter_map(|id| names.declared_at(&Meaning::Phase(id, new.into()))).next();
        return if found.is_some() { taken("a phase", found) } else { Ok(()) };
    }
    let Some(set) = set_of(names, meaning) else { return Ok(()) };
    // A substance and a group may stand in the same place, and a container and what is weighed.
    let sets: &[NameSet] = match set {
        NameSet::Substance | NameSet::Group => &[NameSet::Substance, NameSet::Group],
        NameSet::Weighable => &[NameSet::Weighable],
        NameSet::Container => &[NameSet::Container],
        NameSet::Rule => &[NameSet::Rule],
        NameSet::Batch => &[NameSet::Batch],
    };
    for file in seen_by(names, meaning) {
        for set in sets {
            if let Some(id) = names.scopes.find(file, *set, new) {
                let what = what_it_is(names, id);
                return taken(what, names.scopes.name_place(id));
            }
        }
        if set == NameSet::Weighable
            && let Some(place) = figure_called(names, file, new)
        {
            return taken("a figure of a formula", Some(place));
        }
    }
    Ok(())
}

fn what_it_is(names: &Names<'_>, id: DeclId) -> &'static str {
    let home = names.sources.home(id.file).is_some();
    match names.scopes.item(id) {
        Some(Item::Let(_)) => "a figure",
        Some(Item::Material(_)) if home => "a material",
        Some(Item::Material(_)) => "a material of the shelf",
        Some(Item::Substance(_)) if home => "a substance",
        Some(Item::Substance(_)) => "a substance of the shelf",
        Some(Item::Formula(_)) => "a formula",
        Some(Item::Variant(_)) => "a variant",
        Some(Item::Group(_)) => "a group",
        Some(Item::Rule(_)) => "a rule",
        Some(Item::Batch(_)) => "a batch",
        Some(Item::Container(_)) => "a container",
        _ => "a name",
    }
}

/// A figure of any formula of a file that is called so.
fn figure_called(names: &Names<'_>, file: FileId, new: &str) -> Option<Place> {
    let survey = names.survey(file);
    let text = names.sources.text(file);
    let figures = survey.marks.iter().filter(|mark| matches!(mark.kind, MarkKind::Name(NameRole::DeclaresLet)));
    figures.map(|mark| mark.span).find(|span| span.of(text) == new).map(|span| Place { file, span })
}

/// Whether no statement that does not parse has the name in it: what it means there, nobody knows.
fn reads_whole(names: &Names<'_>, meaning: &Meaning, old: &str) -> Result<(), String> {
    for file in seen_by(names, meaning) {
        let survey = names.survey(file);
        let text = names.sources.text(file);
        let loose = survey.marks.iter().filter(|mark| mark.kind == MarkKind::Loose);
        if let Some(mark) = loose.into_iter().find(|mark| mark.span.of(text) == old) {
            let at = place_in_words(names.sources, Place { file, span: mark.span });
            return Err(format!("A statement with `{old}` in it does not parse: {at}. Mend it first."));
        }
    }
    Ok(())
}

fn place_in_words(sources: &Sources, place: Place) -> String {
    let (line, _) = LineIndex::new(sources.text(place.file)).line_column(place.span.start);
    format!("`{}`, line {line}", shown(&sources.path(place.file)))
}

/// The edits of one place.
fn edits_at(names: &Names<'_>, meaning: &Meaning, found: &Occurrence, new: &str) -> Result<Vec<Edit>, String> {
    let Occurrence { place, role } = *found;
    let (_, all) = names
        .at(place.file, place.span.start)
        .unwrap_or((crate::syntax::survey::Mark { kind: MarkKind::Name(role), span: place.span }, Vec::new()));
    let is_word = Role::from_word(new).is_some() || Charge::from_word(new).is_some();
    if role == NameRole::KeptApart && (all.len() > 1 || is_word) {
        let at = place_in_words(names.sources, place);
        return Err(format!(
            "What is to be kept apart there would mean another thing: {at}. Change that by hand first."
        ));
    }
    let whole = Edit { place, text: new.to_string() };
    if !role.declares() || all.len() < 2 {
        return Ok(vec![whole]);
    }
    // The material has its substance by its name: from now on it says so.
    let substance = if all.first() == Some(meaning) { place.span.of(names.sources.text(place.file)) } else { new };
    let says = brace_after(names, place).map(|at| Edit {
        place: Place { file: place.file, span: Span { start: at, end: at } },
        text: format!("\n  contains  {substance} 100 %"),
    });
    let says = says.ok_or_else(|| "The material has no block to write its substance into.".to_string())?;
    Ok(if all.first() == Some(meaning) { vec![whole, says] } else { vec![says] })
}

/// After the brace that opens the block of a declaration.
fn brace_after(names: &Names<'_>, place: Place) -> Option<u32> {
    let Some(Item::Material(material)) =
        names.item_at(place.file, place.span.start).and_then(|id| names.scopes.item(id))
    else {
        return None;
    };
    if !takes_its_substance_from_its_name(material) {
        return None;
    }
    let survey = names.survey(place.file);
    let statement = survey.statement_at(place.span.start)?;
    survey.statements.get(statement).map(|statement| statement.head.end)
}
