//! Names mistyped, and what leans on them left out: steps, imports, groups, versions, allowances.

use super::edit::{Slip, put, put_at};
use super::view::{Row, View};
use stillroom::syntax::tree::{HeaderField, Item, UseTarget};

/// A letter left out of the middle of a word; none where that makes no name.
fn mistyped(word: &str) -> Option<String> {
    let (at, _) = word.char_indices().nth(word.chars().count() / 2)?;
    let without = format!("{}{}", &word[..at], &word[at + 1..]);
    let sound = without.len() > 1 && !without.contains("--") && !without.starts_with('-') && !without.ends_with('-');
    (word.is_ascii() && sound).then_some(without)
}

/// The name of a line with a letter left out.
pub fn line_mistyped(view: &View<'_>) -> Vec<Slip> {
    let slip = |row: Row<'_>| {
        let name = mistyped(&row.line.name).filter(|name| !view.sees(name))?;
        Some(vec![put(row.written.material.span, name)])
    };
    view.own_rows().into_iter().filter_map(slip).collect()
}

/// The path of a `use` with a letter left out.
pub fn import_mistyped(view: &View<'_>) -> Vec<Slip> {
    let of_use = |item: &Item| match item {
        Item::Use(used) if view.is_first => match &used.target {
            UseTarget::Path(path) => Some(vec![put(path.span, format!("\"{}\"", mistyped(&path.value)?))]),
            UseTarget::Shelf(name) => Some(vec![put(name.span, format!("shelf/{}", mistyped(&name.text)?))]),
        },
        _ => None,
    };
    view.items.iter().filter_map(of_use).collect()
}

/// The braces of a line's name forgotten in every step.
pub fn no_step_names_a_line(view: &View<'_>) -> Vec<Slip> {
    let slips = view.formula.lines.iter().map(|line| view.unmarked(&line.name));
    slips.filter(|slip| !slip.is_empty()).collect()
}

/// The `version` gone.
pub fn version_lost(view: &View<'_>) -> Vec<Slip> {
    let version = view.header(|field| matches!(field, HeaderField::Version(_)).then_some(()));
    let asked = !view.is_variant && !view.formula.is_stock();
    version.filter(|_| asked).map(|(_, line)| vec![view.without(line)]).into_iter().collect()
}

/// The last member of a group gone.
pub fn group_member_removed(view: &View<'_>) -> Vec<Slip> {
    let of_group = |item: &Item| match item {
        Item::Group(group) if view.is_first => match group.members.as_slice() {
            [.., before, last] => Some(vec![put_at(before.span.range().end..last.span.range().end, "")]),
            _ => None,
        },
        _ => None,
    };
    view.items.iter().filter_map(of_group).collect()
}

/// The reason of an `allow` gone.
pub fn allow_without_reason(view: &View<'_>) -> Vec<Slip> {
    let bare = |allow: &&stillroom::syntax::tree::Allow| {
        let because = allow.because.as_ref()?;
        Some(vec![put_at(allow.code.span.range().end..because.span.range().end, "")])
    };
    view.allows.iter().filter_map(bare).collect()
}

/// An `allow` that is still there when what it allowed has been mended.
pub fn allow_of_nothing(view: &View<'_>) -> Vec<Slip> {
    let Some(first) = view.headers.first() else { return Vec::new() };
    let at = first.span.range().start;
    vec![vec![put_at(at..at, "allow usage-over because \"it was so once\"\n  ")]]
}
