//! What the shelf knows, as plain text.

use super::screen::shown_data;
use super::shelf_json::{ChangeJson, FoundJson, KnownJson, ShelfFileJson, ShelfJson, StandInJson};
use std::fmt::Write as _;
use unicode_width::UnicodeWidthStr as _;

/// The answer for a terminal: the files, or what is known under a name, or what the words lead to.
#[must_use]
pub fn shelf_text(answer: &ShelfJson) -> String {
    let answer = &shown_data(answer);
    if answer.asked.is_empty() {
        return list(answer);
    }
    if answer.known.is_empty() {
        return found(&answer.found);
    }
    answer.known.iter().map(known).collect::<Vec<_>>().join("\n")
}

fn list(answer: &ShelfJson) -> String {
    let total = |count: fn(&ShelfFileJson) -> usize| answer.files.iter().map(count).sum::<usize>();
    let totals = counts(&[
        (total(|file| file.substances), "substance"),
        (total(|file| file.materials), "material"),
        (total(|file| file.groups), "group"),
        (total(|file| file.rules), "rule"),
    ]);
    let mut out = format!("The shelf, edition {}: {totals}.\n\n", answer.edition);
    let rows = answer.files.iter().map(|file| {
        let counts = counts(&[
            (file.substances, "substance"),
            (file.materials, "material"),
            (file.groups, "group"),
            (file.rules, "rule"),
        ]);
        [format!("shelf/{}", file.file), counts, file.about.clone()]
    });
    out.push_str(&columns(&rows.collect::<Vec<_>>()));
    out.push_str("\n`stillroom shelf NAME` shows everything known under a name, `stillroom shelf WORDS` searches.\n");
    out
}

/// Counts in words, those of nothing left out.
fn counts(counts: &[(usize, &str)]) -> String {
    let there = counts.iter().filter(|(count, _)| *count > 0);
    let words = there.map(|(count, one)| if *count == 1 { format!("1 {one}") } else { format!("{count} {one}s") });
    words.collect::<Vec<_>>().join(", ")
}

fn found(found: &[FoundJson]) -> String {
    let row = |one: &FoundJson| {
        let title = one.title.clone().unwrap_or_default();
        [one.name.clone(), format!("{}, shelf/{}", one.kind, one.file), title]
    };
    columns(&found.iter().map(row).collect::<Vec<_>>())
}

fn known(known: &KnownJson) -> String {
    let mut out = String::new();
    let title = known.title.as_ref().map(|title| format!(": {title}")).unwrap_or_default();
    let _ = writeln!(out, "{}{title}\nA {} of the shelf: `use shelf/{}`.\n", known.name, known.kind, known.file);
    let width = known.facts.iter().map(|fact| fact.about.width()).max().unwrap_or(0);
    for fact in &known.facts {
        let source = fact.source.as_ref().map(|source| format!("  [{source}]")).unwrap_or_default();
        let _ = writeln!(out, "  {}  {}{source}", padded(&fact.about, width), fact.says);
    }
    if let Some(held_by) = known.held_by.as_ref().filter(|held_by| !held_by.is_empty()) {
        let _ = writeln!(out, "\nMaterials of the shelf that hold it\n{}", wrapped(held_by));
    }
    if let Some(stand_ins) = &known.stand_ins {
        out.push_str(&could_stand_in(&known.name, stand_ins, known.more_stand_ins.unwrap_or(0)));
    }
    out
}

fn could_stand_in(name: &str, stand_ins: &[StandInJson], more: usize) -> String {
    if stand_ins.is_empty() {
        return "\nNothing else on the shelf does what it does.\n".to_string();
    }
    let mut out = "\nCould stand in, by what it does, the nearest first\n".to_string();
    for stand_in in stand_ins {
        let title = stand_in.title.as_ref().map(|title| format!(": {title}")).unwrap_or_default();
        let _ = writeln!(out, "  {}{title}\n    {}", stand_in.name, stand_in.why);
        if stand_in.changes.is_empty() {
            out.push_str("    nothing that the shelf knows of would change\n");
        }
        let width = stand_in.changes.iter().map(|change| change.about.width()).max().unwrap_or(0);
        for change in &stand_in.changes {
            let _ = writeln!(out, "    {}  {}", padded(&change.about, width), change_words(name, change));
        }
    }
    if more > 0 {
        let _ = writeln!(out, "  and {more} more");
    }
    out
}

fn change_words(name: &str, change: &ChangeJson) -> String {
    match (&change.from, &change.to) {
        (Some(from), Some(to)) => format!("{to}, in place of {from}"),
        (None, Some(to)) => format!("{to}, not known of {name}"),
        (Some(from), None) => format!("not known, in place of {from}"),
        (None, None) => String::new(),
    }
}

/// Names with commas between them, on lines of a width that a terminal has.
fn wrapped(names: &[String]) -> String {
    const WIDTH: usize = 100;
    let mut lines = vec![String::new()];
    for name in names {
        let Some(line) = lines.last_mut() else { break };
        if line.is_empty() {
            *line = format!("  {name}");
        } else if line.width() + name.width() + 3 <= WIDTH {
            line.push_str(&format!(", {name}"));
        } else {
            line.push(',');
            lines.push(format!("  {name}"));
        }
    }
    lines.join("\n")
}

/// Rows in columns, each but the last as wide as its widest.
fn columns(rows: &[[String; 3]]) -> String {
    let width = |of: fn(&[String; 3]) -> &String| rows.iter().map(|row| of(row).width()).max().unwrap_or(0);
    let (first, second) = (width(|[name, ..]| name), width(|[_, middle, _]| middle));
    let mut out = String::new();
    for [name, middle, last] in rows {
        let line = format!("  {}  {}  {last}", padded(name, first), padded(middle, second));
        out.push_str(line.trim_end());
        out.push('\n');
    }
    out
}

fn padded(text: &str, width: usize) -> String {
    format!("{text}{}", " ".repeat(width.saturating_sub(text.width())))
}
