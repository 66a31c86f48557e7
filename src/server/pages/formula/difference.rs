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
    html! {
        @if is_told {
            p .of { (part.title) }
            ul { @for row in &rows { li { (named(&row.what)) ": " (prose(&row.before)) (prose(&row.after)) } } }
        } @else {
            div .scroll tabindex="0" role="group" aria-label=(part.title) { table .difference {
                caption { (part.title) }
                thead { tr {
                    th scope="col" { "what" } th scope="col" { "before" } th scope="col" { "now" }
                    th scope="col" .figure { "difference" }
                } }
                tbody { @for row in &rows { tr {
                    th scope="row" { (named(&row.what)) }
                    td { (named(&row.before)) } td { (named(&row.after)) } td .figure { (named(&row.difference)) }
                } } }
            } }
        }
    }
}
