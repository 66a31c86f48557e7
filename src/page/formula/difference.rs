//! What is different between two versions, as `diff` tells it.

use crate::page::{named, prose};
use crate::render::{DiffBlock, DiffPart, diff_blocks};
use crate::versions::{ChangeKind, Compared};
use maud::{Markup, html};

/// What changed between two versions of formulas.
#[must_use]
pub fn difference(all: &[Compared]) -> Markup {
    let blocks = diff_blocks(all, &[]);
    html! {
        @if blocks.is_empty() { p { "Nothing changed in meaning." } }
        @for DiffBlock { head, parts } in &blocks {
            p .of { strong { (named(head)) } }
            @for part in parts { (one(part)) }
        }
    }
}

fn one(part: &DiffPart<'_>) -> Markup {
    let is_told = part
        .changes
        .iter()
        .all(|change| matches!(change.kind, ChangeKind::DiagnosticAdded | ChangeKind::DiagnosticGone));
    let rows: Vec<_> = part.changes.iter().map(|change| change.row()).collect();
    // What no row says anything of takes no room.
    let has_before = rows.iter().any(|row| !row.before.is_empty());
    let has_now = rows.iter().any(|row| !row.after.is_empty());
    let has_difference = rows.iter().any(|row| !row.difference.is_empty());
    html! {
        @if is_told {
            p .of { (part.title) }
            ul { @for (change, row) in part.changes.iter().zip(&rows) {
                li {
                    @if let Some(about) = &change.about { (named(about)) ": " }
                    (prose(&row.before)) (prose(&row.after))
                }
            } }
        } @else {
            div .scroll tabindex="0" role="group" aria-label=(part.title) { table .difference {
                caption { (part.title) }
                thead { tr {
                    th scope="col" { "what" }
                    @if has_before { th scope="col" { "before" } }
                    @if has_now { th scope="col" { "now" } }
                    @if has_difference { th scope="col" .figure { "difference" } }
                } }
                tbody { @for row in &rows { tr {
                    th scope="row" { (named(&row.what)) }
                    @if has_before { td { (named(&row.before)) } }
                    @if has_now { td { (named(&row.after)) } }
                    @if has_difference { td .figure { (named(&row.difference)) } }
                } } }
            } }
        }
    }
}
