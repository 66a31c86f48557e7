//! The shopping list for people: by supplier, then what no pack is known of, what to make first, and what is there.

use super::buy::{BuyJson, SupplierJson, SupplierPackJson};
use super::in_markdown::{data_in_markdown, sentence_in_markdown};
use super::line;
use super::screen::shown_data;
use std::fmt::Write as _;

/// For a terminal.
#[must_use]
pub fn buy_text(buy: &BuyJson) -> String {
    let buy = &shown_data(buy);
    let mut out = String::from("To buy for what is planned\n");
    for of in &buy.planned {
        let _ = writeln!(out, "  {} {}", of.formula, of.makes);
    }
    for of in &buy.suppliers {
        let _ = writeln!(out, "\n{}", who(of));
        for pack in &of.packs {
            let _ = writeln!(
                out,
                "  {:>4} x {:<10} {:<28} {:>12}   for {}",
                pack.count,
                pack.pack,
                pack.what,
                pack.cost,
                short(buy, pack)
            );
        }
    }
    for (title, lines) in sections(buy) {
        let _ = writeln!(out, "\n{title}");
        for (what, amount) in lines {
            let _ = writeln!(out, "  {what:<28} {amount}");
        }
    }
    let _ = writeln!(out, "\n{}", total(buy));
    for note in &buy.notes {
        let _ = writeln!(out, "{note}");
    }
    out
}

/// As Markdown.
#[must_use]
pub fn buy_markdown(buy: &BuyJson) -> String {
    let notes: Vec<String> = buy.notes.iter().map(|note| sentence_in_markdown(note)).collect();
    let buy = &data_in_markdown(buy, &["notes"]);
    let mut out = String::new();
    line(&mut out, format_args!("# To buy for what is planned\n"));
    for of in &buy.planned {
        line(&mut out, format_args!("- {} {}", of.formula, of.makes));
    }
    for of in &buy.suppliers {
        line(&mut out, format_args!("\n## {}\n", who(of)));
        line(&mut out, format_args!("| How many | Pack | Of | Costs | Short |\n| ---: | --- | --- | ---: | ---: |"));
        for pack in &of.packs {
            let short = short(buy, pack);
            line(
                &mut out,
                format_args!("| {} | {} | {} | {} | {short} |", pack.count, pack.pack, pack.what, pack.cost),
            );
        }
    }
    for (title, lines) in sections(buy) {
        line(&mut out, format_args!("\n## {title}\n"));
        for (what, amount) in lines {
            line(&mut out, format_args!("- {what}: {amount}"));
        }
    }
    line(&mut out, format_args!("\n**{}**", total(buy)));
    for note in notes {
        line(&mut out, format_args!("\n{note}"));
    }
    out
}

/// What is short of the thing: of several kinds of packs, what all of them are for.
fn short(buy: &BuyJson, of: &SupplierPackJson) -> String {
    let all = buy.suppliers.iter().flat_map(|supplier| &supplier.packs);
    let kinds = all.filter(|pack| pack.what == of.what && pack.kind == of.kind).count();
    if kinds > 1 { format!("{} in all", of.short) } else { of.short.clone() }
}

fn who(of: &SupplierJson) -> String {
    of.supplier.as_ref().map_or("No supplier is named".to_string(), |supplier| format!("From {supplier}"))
}

type Section = (&'static str, Vec<(String, String)>);

/// What stands beside the packs: each with its title, those that have nothing left out.
fn sections(buy: &BuyJson) -> Vec<Section> {
    let rows = || buy.rows.iter().zip(&buy.figures);
    let unpicked = rows().filter(|(row, _)| row.buy.is_none()).map(|(row, figures)| {
        let why = row.why.as_deref().map(|why| format!(" ({why})")).unwrap_or_default();
        (row.what.clone(), format!("{}{why}", figures.short))
    });
    let there = rows().filter(|(row, _)| row.buy.as_ref().is_some_and(Vec::is_empty));
    let there = there.map(|(row, figures)| (row.what.clone(), format!("{} of {}", figures.need, figures.on_hand)));
    let past = rows().filter_map(|(row, figures)| Some((row.what.clone(), figures.past.clone()?)));
    let make = buy.to_make.iter().map(|of| (of.premix.clone(), of.amount.clone()));
    let all: [Section; 4] = [
        ("To buy, and no pack can be picked", unpicked.collect()),
        ("To make first", make.collect()),
        ("There is enough", there.collect()),
        ("Past its day, and not counted", past.collect()),
    ];
    all.into_iter().filter(|(_, lines)| !lines.is_empty()).collect()
}

fn total(buy: &BuyJson) -> String {
    let rest = if buy.complete { "" } else { ", and what could not be added" };
    match buy.totals.as_slice() {
        [] => "Nothing that is needed has a price.".to_string(),
        // A sum of nothing would read as if the rest were free.
        _ if !buy.complete && buy.suppliers.iter().all(|of| of.packs.is_empty()) => {
            "Nothing that is short has a price.".to_string()
        }
        all => format!("In all: {}{rest}.", all.join(" and ")),
    }
}
