//! What changed, for a terminal and as Markdown.

use super::in_markdown::{in_markdown, sentence_in_markdown};
use super::screen::shown;
use super::{counted, line};
use crate::versions::{Change, ChangeKind, ChangeRow, Compared, FormulaMeaning, MaterialCompared, Status};

/// Words past this length go on lines of their own.
const LONG: usize = 44;

/// For a terminal; empty where nothing changed.
#[must_use]
pub fn diff_text(all: &[Compared], materials: &[MaterialCompared]) -> String {
    let mut out = String::new();
    for DiffBlock { head, parts } in diff_blocks(all, materials) {
        if !out.is_empty() {
            out.push('\n');
        }
        line(&mut out, format_args!("{}", shown(&head)));
        for DiffPart { title, changes } in parts {
            line(&mut out, format_args!("  {title}"));
            rows(&mut out, &changes);
        }
    }
    out
}

/// For a pull request, or to be kept; empty where nothing changed.
#[must_use]
pub fn diff_markdown(all: &[Compared], materials: &[MaterialCompared]) -> String {
    let mut out = String::new();
    for DiffBlock { head, parts } in diff_blocks(all, materials) {
        if !out.is_empty() {
            out.push('\n');
        }
        line(&mut out, format_args!("### {}", in_markdown(&head)));
        for DiffPart { title, changes } in parts {
            table(&mut out, title, &changes);
        }
    }
    out
}

/// What changed of one formula or material.
#[derive(Clone, Debug)]
pub struct DiffBlock<'c> {
    /// Of what: `night-gel 1.3 → 1.4 (acid-gel.still)`.
    pub head: String,
    /// What was edited, what follows, and what is told; those that are not empty.
    pub parts: Vec<DiffPart<'c>>,
}

/// Changes of one sort.
#[derive(Clone, Debug)]
pub struct DiffPart<'c> {
    /// The sort: `edited`, `follows`.
    pub title: &'static str,
    /// The changes.
    pub changes: Vec<&'c Change>,
}

/// All that changed, formula by formula; empty where nothing did.
#[must_use]
pub fn diff_blocks<'c>(all: &'c [Compared], materials: &'c [MaterialCompared]) -> Vec<DiffBlock<'c>> {
    let changed = all.iter().filter(|one| one.status != Status::Same);
    let formulas = changed.map(|one| DiffBlock { head: head(one), parts: parts(&one.changes) });
    let materials = materials.iter().map(|one| {
        let head = format!("{} ({}): a material that no formula here uses", one.name, one.file);
        DiffBlock { head, parts: parts(&one.changes) }
    });
    formulas.chain(materials).collect()
}

/// `night-gel 1.3 → 1.4 (acid-gel.still)`.
fn head(one: &Compared) -> String {
    if let Some((plan, batch)) = one.new.as_ref().and_then(|new| Some((new, new.batch.as_ref()?))) {
        let version = plan.version.as_ref().map(|version| format!(" {version}")).unwrap_or_default();
        return format!("{}{version} as planned → batch {batch} ({})", plan.name, plan.file);
    }
    let side = |side: &Option<FormulaMeaning>| {
        side.as_ref().map(|meaning| {
            let version = meaning.version.as_ref().map(|version| format!(" {version}")).unwrap_or_default();
            (meaning.name.clone(), version, meaning.file.clone(), meaning.lines.len())
        })
    };
    match (side(&one.old), side(&one.new)) {
        (Some((was, old, _, _)), Some((is, new, file, _))) if was != is => format!("{was}{old} → {is}{new} ({file})"),
        (Some((_, old, _, _)), Some((is, new, file, _))) if old != new => {
            format!("{is}{} →{} ({file})", either(&old), either(&new))
        }
        (Some(_), Some((is, version, file, _))) => format!("{is}{version} ({file})"),
        (None, Some((is, version, file, lines))) => format!("{is}{version} ({file}): new, {}", counted(lines, "line")),
        (Some((was, version, file, lines)), None) => {
            format!("{was}{version} ({file}): gone, {}", counted(lines, "line"))
        }
        (None, None) => String::new(),
    }
}

fn either(version: &str) -> &str {
    if version.is_empty() { " no version" } else { version }
}

/// What was edited, what follows from it, what is told now and what no more; those that are not empty. The version
/// stands at the head.
fn parts(changes: &[Change]) -> Vec<DiffPart<'_>> {
    let all = changes.iter().filter(|change| change.kind != ChangeKind::Version);
    let take = |keep: &dyn Fn(&Change) -> bool| all.clone().filter(|change| keep(change)).collect::<Vec<_>>();
    let parts = [
        ("edited", take(&|change| !change.follows)),
        ("follows", take(&|change| change.follows && !told(change))),
        ("told now", take(&|change| change.kind == ChangeKind::DiagnosticAdded)),
        ("told no more", take(&|change| change.kind == ChangeKind::DiagnosticGone)),
    ];
    let parts = parts.into_iter().filter(|(_, changes)| !changes.is_empty());
    parts.map(|(title, changes)| DiffPart { title, changes }).collect()
}

/// Whether a change is something that is told, or told no more.
fn told(change: &Change) -> bool {
    matches!(change.kind, ChangeKind::DiagnosticAdded | ChangeKind::DiagnosticGone)
}

/// Changes in columns; what is long, and what is told, under its subject.
fn rows(out: &mut String, changes: &[&Change]) {
    let is_told = changes.iter().all(|change| told(change));
    let long = |row: &ChangeRow| row.before.chars().count() > LONG || row.after.chars().count() > LONG;
    let shown = |change: &Change| fit(change, |text| shown(text).into_owned());
    let made: Vec<(ChangeRow, String)> = changes.iter().map(|change| (shown(change), grams(change))).collect();
    let wide = |text: &str| text.chars().count();
    let widths = made.iter().filter(|(row, _)| !long(row)).map(|(row, _)| (wide(&row.what), wide(&arrow(row))));
    let (first, second) = widths.fold((0, 0), |(a, b), (what, arrow)| (a.max(what), b.max(arrow)));
    for (row, grams) in &made {
        if is_told {
            line(out, format_args!("    {}: {}{}", row.what, row.before, row.after));
            continue;
        }
        if long(row) {
            line(out, format_args!("    {}", row.what));
            for (sign, text) in [("−", &row.before), ("+", &row.after)] {
                if !text.is_empty() {
                    line(out, format_args!("      {sign} {text}"));
                }
            }
            continue;
        }
        let arrow = arrow(row);
        let pad = |text: &str, to: usize| " ".repeat(to.saturating_sub(wide(text)));
        let mut text = format!("    {}{}  {arrow}", row.what, pad(&row.what, first));
        for further in [&row.difference, grams] {
            if !further.is_empty() {
                text.push_str(&format!("{}  {further}", pad(&arrow, second)));
            }
        }
        line(out, format_args!("{}", text.trim_end()));
    }
}

fn arrow(row: &ChangeRow) -> String {
    match (row.before.is_empty(), row.after.is_empty()) {
        (true, _) => row.after.clone(),
        (_, true) => format!("was {}", row.before),
        _ => format!("{} → {}", row.before, row.after),
    }
}

/// The grams before and now, where a batch was asked for.
fn grams(change: &Change) -> String {
    match &change.grams {
        (Some(old), Some(new)) => format!("{old} g → {new} g"),
        (None, Some(new)) => format!("{new} g"),
        (Some(old), None) => format!("was {old} g"),
        (None, None) => String::new(),
    }
}

fn table(out: &mut String, title: &str, changes: &[&Change]) {
    if changes.iter().all(|change| told(change)) {
        line(out, format_args!("\n**{title}**\n"));
        for row in changes.iter().map(|change| fit(change, sentence_in_markdown)) {
            line(out, format_args!("- {}: {}{}", row.what, row.before, row.after));
        }
        return;
    }
    let with_grams = changes.iter().any(|change| change.grams != (None, None));
    let (head, rule) = if with_grams { (" grams |", " --- |") } else { ("", "") };
    line(out, format_args!("\n| {title} | before | now | difference |{head}\n| --- | --- | --- | --- |{rule}"));
    for change in changes {
        let ChangeRow { what, before, after, difference } = fit(change, in_markdown);
        let grams = if with_grams { format!(" {} |", grams(change)) } else { String::new() };
        line(out, format_args!("| {what} | {before} | {after} | {difference} |{grams}"));
    }
}

/// A change in words, each made fit for where it is to stand.
fn fit(change: &Change, by: impl Fn(&str) -> String) -> ChangeRow {
    let ChangeRow { what, before, after, difference } = change.row();
    ChangeRow { what: by(&what), before: by(&before), after: by(&after), difference: by(&difference) }
}
