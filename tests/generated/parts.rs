//! Parts of documents that are made from the code: each stands between `<!-- made: NAME -->` and `<!-- /made -->`.

use crate::published;
use stillroom::diagnostic::{CATALOGUE, CatalogueEntry, Family, Level};
use stillroom::quantity::{Dimension, Exact, Unit};
use stillroom::shelf::FILES;
use stillroom::syntax::fields::{Field, TABLES};
use stillroom::syntax::vocabulary::{Doing, Market, Product, Role};

/// A cell of a table that says what the one above it says is shown as a ditto from this length on.
const DITTO: usize = 24;

/// Every part there is.
pub fn names() -> Vec<String> {
    let fields = TABLES.iter().map(|(name, _)| format!("fields {name}"));
    let others = [
        "units",
        "roles",
        "doings",
        "products",
        "markets",
        "allowed",
        "use codes",
        "reserve codes",
        "pH codes",
        "pH published",
        "pH published rows",
        "shelf",
    ];
    fields.chain(others.into_iter().map(String::from)).collect()
}

/// The text of a part.
pub fn part(name: &str) -> Option<String> {
    if let Some(table) = name.strip_prefix("fields ") {
        return TABLES.iter().find(|(known, _)| *known == table).map(|(_, fields)| fields_of(fields));
    }
    Some(match name {
        "units" => units(),
        "roles" => words(Role::MEANINGS),
        "doings" => words(Doing::MEANINGS),
        "products" => words(Product::MEANINGS),
        "markets" => words(Market::MEANINGS),
        "allowed" => allowed(),
        "use codes" => codes(Family::Import),
        "reserve codes" => codes(Family::Reserve),
        "pH codes" => codes(Family::Ph),
        "pH published" => published::classes(),
        "pH published rows" => published::rows(),
        "shelf" => shelf(),
        _ => return None,
    })
}

/// A table in Markdown.
fn table(head: &[&str], rows: &[Vec<String>]) -> String {
    let mut out = format!("| {} |\n|{}\n", head.join(" | "), " --- |".repeat(head.len()));
    for row in rows {
        out.push('|');
        for cell in row {
            out.push_str(format!(" {cell}").trim_end());
            out.push_str(" |");
        }
        out.push('\n');
    }
    out
}

/// What is left out is a dash.
fn or_dash(text: &str) -> String {
    if text.is_empty() { "—".into() } else { text.into() }
}

fn fields_of(fields: &[Field]) -> String {
    let stand = fields.iter().any(|field| !field.stands.is_empty());
    let checked = fields.iter().any(|field| !field.checks.is_empty());
    let full = |field: &Field| {
        let mut row = vec![field.form.to_string()];
        if stand {
            row.extend([field.stands.to_string(), field.meaning(), or_dash(field.default), or_dash(field.checks)]);
        } else {
            row.push(field.meaning());
            row.extend(checked.then(|| or_dash(field.checks)));
        }
        row
    };
    let whole: Vec<Vec<String>> = fields.iter().map(full).collect();
    let ditto = |row: usize, column: usize, cell: &str| {
        let same = row.checked_sub(1).is_some_and(|above| whole[above][column] == cell);
        if column > 0 && same && cell.chars().count() >= DITTO { "″".to_string() } else { cell.to_string() }
    };
    let rows: Vec<Vec<String>> = whole
        .iter()
        .enumerate()
        .map(|(at, row)| row.iter().enumerate().map(|(column, cell)| ditto(at, column, cell)).collect())
        .collect();
    match (stand, checked) {
        (true, _) => table(&["field", "where it stands", "values", "default", "what checks it"], &rows),
        (false, true) => table(&["form", "meaning", "what checks it"], &rows),
        (false, false) => table(&["form", "meaning"], &rows),
    }
}

fn words(meanings: &[(&str, &str)]) -> String {
    let rows: Vec<Vec<String>> =
        meanings.iter().map(|(word, meaning)| vec![format!("`{word}`"), (*meaning).to_string()]).collect();
    table(&["word", "meaning"], &rows)
}

/// The units of each dimension, and what each is in the first of them that is one.
fn units() -> String {
    let all: Vec<(&str, Unit)> = Unit::words().filter_map(|word| Some((word, Unit::from_word(word)?))).collect();
    let mut dimensions: Vec<Dimension> = Vec::new();
    for (_, unit) in &all {
        if !dimensions.contains(&unit.dimension()) {
            dimensions.push(unit.dimension());
        }
    }
    let one = Exact::whole(1);
    let mut rows = Vec::new();
    for dimension in dimensions {
        let here = || all.iter().filter(|(_, unit)| unit.dimension() == dimension);
        let written: Vec<String> = here().map(|(word, _)| format!("`{word}`")).collect();
        let base = here().find(|(_, unit)| unit.to_base(&one) == one).map_or("", |(word, _)| word);
        let mut exactly = Vec::new();
        for (word, unit) in here() {
            let is_other_spelling = unit.to_string() != *word;
            if is_other_spelling || unit.to_base(&one) == one {
                continue;
            }
            // A scale with a nought of its own is told by two of its points.
            let points = if unit.to_base(&Exact::ZERO).is_zero() { vec![1] } else { vec![32, 212] };
            for point in points {
                exactly.push(format!("{point} {word} = {} {base}", exact(&unit.to_base(&Exact::whole(point)))));
            }
        }
        exactly.extend(Some(dimension.remark().to_string()).filter(|remark| !remark.is_empty()));
        rows.push(vec![kind(dimension), written.join(", "), exactly.join("; ")]);
    }
    rows.push(vec![kind(Dimension::Money), "`EUR`, `USD` and so on".into(), Dimension::Money.remark().into()]);
    table(&["kind", "units", "exactly"], &rows)
}

/// A figure with all its decimals.
fn exact(figure: &Exact) -> String {
    figure.to_fixed(figure.decimals().unwrap())
}

/// A dimension without its article.
fn kind(dimension: Dimension) -> String {
    dimension.words().trim_start_matches("a ").to_string()
}

/// The levels that a code may have, the usual one first.
pub fn levels(entry: &CatalogueEntry) -> String {
    let levels: Vec<&str> =
        std::iter::once(&entry.level).chain(entry.code.other_levels()).map(|level| level.word()).collect();
    match levels.split_last() {
        Some((last, first)) if !first.is_empty() => format!("{} or {last}", first.join(", ")),
        _ => levels.concat(),
    }
}

/// The codes that may be allowed, by level.
fn allowed() -> String {
    let mut rows: Vec<(Level, String, Vec<String>)> = Vec::new();
    for entry in CATALOGUE.iter().filter(|entry| entry.allowable) {
        let (levels, code) = (levels(entry), format!("`{}`", entry.name));
        match rows.iter_mut().find(|(_, known, _)| *known == levels) {
            Some((_, _, codes)) => codes.push(code),
            None => rows.push((entry.level, levels, vec![code])),
        }
    }
    rows.sort_by_key(|(level, levels, _)| (*level, levels.len()));
    let rows: Vec<Vec<String>> = rows.into_iter().map(|(_, levels, codes)| vec![levels, codes.join(", ")]).collect();
    table(&["level", "codes that may be allowed"], &rows)
}

/// The codes of a family, each with the sentence of its page.
fn codes(family: Family) -> String {
    let row = |entry: &CatalogueEntry| {
        let allowed = if entry.allowable { "yes" } else { "no" };
        vec![format!("`{}`", entry.name), levels(entry), allowed.to_string(), sentence(entry).to_string()]
    };
    let rows: Vec<Vec<String>> = CATALOGUE.iter().filter(|entry| entry.family == family).map(row).collect();
    table(&["code", "level", "may be allowed", "fault"], &rows)
}

/// What a code is about, in a sentence.
pub fn sentence(entry: &CatalogueEntry) -> &'static str {
    entry.page.lines().nth(2).unwrap()
}

/// The files of the shelf that a formula may use; those of the rules come with a market.
fn shelf() -> String {
    let names = FILES.iter().map(|file| file.name).filter(|name| !name.starts_with("rules-"));
    let names: Vec<String> = names.map(|name| format!("`{name}`")).collect();
    names.chunks(8).map(|line| line.join(", ")).collect::<Vec<_>>().join(",\n") + "\n"
}
