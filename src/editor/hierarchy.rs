//! Premixes: which formulas are weighed into a formula, and which it is weighed into.

use super::occurrences::{Meaning, Names};
use crate::diagnostic::{FileId, Place, Span};
use crate::model::DeclId;
use crate::syntax::survey::{MarkKind, NameRole};
use crate::syntax::tree::Item;

/// A formula or a variant, as one that others are weighed into.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Maker {
    /// Its declaration.
    pub id: DeclId,
    /// Its name.
    pub name: String,
    /// Where the name stands.
    pub at: Place,
    /// The whole of it.
    pub whole: Span,
}

/// The formula or variant that is named at an offset, or that an offset lies in.
#[must_use]
pub fn prepare(names: &Names<'_>, file: FileId, offset: u32) -> Option<Maker> {
    let (_, meanings) = names.at(file, offset).unzip();
    let named = meanings.into_iter().flatten().find_map(|meaning| match meaning {
        Meaning::Declared(id) => maker(names, id),
        _ => None,
    });
    named.or_else(|| maker(names, names.item_at(file, offset)?))
}

/// A declaration as a formula.
#[must_use]
pub fn maker(names: &Names<'_>, id: DeclId) -> Option<Maker> {
    let item = names.scopes.item(id)?;
    if !matches!(item, Item::Formula(_) | Item::Variant(_)) {
        return None;
    }
    let name = item.name()?;
    let at = Place { file: id.file, span: name.span };
    Some(Maker { id, name: name.text.to_string(), at, whole: item.span() })
}

/// The formulas that are weighed into a formula, each with the places where that is said. Of a variant, what it says
/// itself, and its base.
#[must_use]
pub fn uses(names: &Names<'_>, id: DeclId) -> Vec<(Maker, Vec<Span>)> {
    let Some(whole) = names.scopes.item(id).map(Item::span) else { return Vec::new() };
    let survey = names.survey(id.file);
    let mut found: Vec<(Maker, Vec<Span>)> = Vec::new();
    for (number, mark) in survey.marks.iter().enumerate() {
        let is_use = matches!(mark.kind, MarkKind::Name(NameRole::Line | NameRole::Formula));
        if !is_use || !whole.holds(mark.span) {
            continue;
        }
        for meaning in names.meanings(id.file, &survey, number) {
            let Meaning::Declared(used) = meaning else { continue };
            let Some(maker) = maker(names, used).filter(|maker| maker.id != id) else { continue };
            match found.iter_mut().find(|(known, _)| known.id == maker.id) {
                Some((_, spans)) => spans.push(mark.span),
                None => found.push((maker, vec![mark.span])),
            }
        }
    }
    found
}

/// The formulas that a formula is weighed into, each with the places where that is said, and its variants.
#[must_use]
pub fn used_by(names: &Names<'_>, id: DeclId) -> Vec<(Maker, Vec<Span>)> {
    let mut found: Vec<(Maker, Vec<Span>)> = Vec::new();
    for occurrence in names.everywhere(&Meaning::Declared(id)) {
        if !matches!(occurrence.role, NameRole::Line | NameRole::Formula) {
            continue;
        }
        let place = occurrence.place;
        let holder = names.item_at(place.file, place.span.start).and_then(|holder| maker(names, holder));
        let Some(holder) = holder.filter(|holder| holder.id != id) else { continue };
        match found.iter_mut().find(|(known, _)| known.id == holder.id) {
            Some((_, spans)) => spans.push(place.span),
            None => found.push((holder, vec![place.span])),
        }
    }
    found
}
