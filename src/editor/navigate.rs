//! Where a name is declared, where it is used, and what a `use` opens.

use super::occurrences::{Meaning, Names, Occurrence};
use crate::diagnostic::{FileId, Place, Span};
use crate::syntax::survey::{MarkKind, NameRole};
use crate::syntax::tree::Item;
use crate::workspace::UseOutcome;

/// Where something is declared.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Target {
    /// What was asked from.
    pub from: Span,
    /// The name, in its file.
    pub name: Place,
    /// The whole declaration.
    pub whole: Place,
}

/// Where what stands at an offset is declared; of a `use`, the first byte of the file.
#[must_use]
pub fn definition(names: &Names<'_>, file: FileId, offset: u32) -> Vec<Target> {
    if let Some(link) = links(names, file).into_iter().find(|link| link.span.start <= offset && offset <= link.span.end)
    {
        let place = Place { file: link.to, span: Span::default() };
        return vec![Target { from: link.span, name: place, whole: place }];
    }
    let Some((mark, meanings)) = names.at(file, offset) else { return Vec::new() };
    let target = |meaning: &Meaning| {
        let name = names.declared_at(meaning)?;
        Some(Target { from: mark.span, name, whole: names.whole(meaning)? })
    };
    meanings.iter().filter_map(target).collect()
}

/// Every place where what stands at an offset is named; with its declarations or without.
#[must_use]
pub fn references(names: &Names<'_>, file: FileId, offset: u32, with_declaration: bool) -> Vec<Place> {
    let Some((_, meanings)) = names.at(file, offset) else { return Vec::new() };
    let meanings = asked_for(names, file, offset, meanings);
    let all = meanings.iter().flat_map(|meaning| {
        let declared = names.declared_at(meaning);
        let of = names.everywhere(meaning).into_iter().map(|found| found.place);
        of.filter(move |place| with_declaration || Some(*place) != declared)
    });
    let mut places: Vec<Place> = all.collect();
    places.sort_unstable();
    places.dedup();
    places
}

/// Every place in a file where what stands at an offset is named, and whether it is declared there.
#[must_use]
pub fn highlights(names: &Names<'_>, file: FileId, offset: u32) -> Vec<(Span, bool)> {
    let Some((_, meanings)) = names.at(file, offset) else { return Vec::new() };
    let meanings = asked_for(names, file, offset, meanings);
    let all = meanings.iter().flat_map(|meaning| names.in_file(meaning, file));
    let mut spans: Vec<(Span, bool)> =
        all.map(|Occurrence { place, role }| (place.span, declares(names, role, place))).collect();
    spans.sort_unstable();
    spans.dedup();
    spans
}

/// A material that has its substance by its name is asked for as the material.
pub(super) fn asked_for(names: &Names<'_>, file: FileId, offset: u32, meanings: Vec<Meaning>) -> Vec<Meaning> {
    let survey = names.survey(file);
    let declares = survey.mark_at(offset).is_some_and(
        |mark| matches!(mark.kind, MarkKind::Name(role) if declares(names, role, Place { file, span: mark.span })),
    );
    if declares { meanings.into_iter().take(1).collect() } else { meanings }
}

fn declares(names: &Names<'_>, role: NameRole, place: Place) -> bool {
    let declared = |meaning: &Meaning| names.declared_at(meaning) == Some(place);
    match role {
        role if role.declares() => true,
        NameRole::Phase => {
            names.at(place.file, place.span.start).is_some_and(|(_, meanings)| meanings.iter().any(declared))
        }
        _ => false,
    }
}

/// A `use` and the file it brings.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Link {
    /// Where the path stands.
    pub span: Span,
    /// The file.
    pub to: FileId,
}

/// Every `use` of a file that could be followed.
#[must_use]
pub fn links(names: &Names<'_>, file: FileId) -> Vec<Link> {
    let Some(source) = names.sources.home(file) else { return on_shelf(names, file) };
    let link = |(item, outcome): &(usize, UseOutcome)| match (outcome, source.tree.items.get(*item)) {
        (UseOutcome::File(to), Some(Item::Use(statement))) => Some(Link { span: statement.target.span(), to: *to }),
        _ => None,
    };
    source.uses.iter().filter_map(link).collect()
}

/// The files of the shelf use one another by name.
fn on_shelf(names: &Names<'_>, file: FileId) -> Vec<Link> {
    let survey = names.survey(file);
    let text = names.sources.text(file);
    let paths = survey.marks.iter().filter(|mark| mark.kind == MarkKind::Path);
    let link = |mark: &crate::syntax::survey::Mark| {
        let name = mark.span.of(text).strip_prefix("shelf/")?;
        Some(Link { span: mark.span, to: crate::shelf::file_by_name(name)? })
    };
    paths.filter_map(link).collect()
}
