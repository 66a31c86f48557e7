//! What a batch costs as a maker reads it: text for a terminal, and Markdown. Both lay out the same tables.

use super::cost::{BatchCostJson, SellJson};
use super::in_markdown::data_in_markdown;
use super::line;
use super::screen::shown_data;
use crate::quantity::{Currency, Exact};
use unicode_width::UnicodeWidthStr;

/// What stands at the end, where tax, fees or rates are in it.
const NO_ADVICE: &str = "Tax, fees and rates are as the files state them. This is arithmetic, and no advice on tax.";

/// The columns that are words, and stand to the left as the first does.
const WORDS: &[&str] = &["why", "by the pack of"];

/// A table: its title, the heads of its columns, and its rows. The first column is text, the others are figures, but for
/// those that hold words.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CostTable {
    /// What it is of.
    pub title: String,
    /// The heads of its columns but the first, which has none.
    pub head: Vec<&'static str>,
    /// The rows, each with its name first.
    pub rows: Vec<Vec<String>>,
    /// What stands below it.
    pub after: Vec<String>,
}

/// A cost as it is laid out, every text in it fit to be shown.
#[derive(Clone, Debug)]
pub struct CostSheet {
    /// What it is the cost of.
    pub heading: String,
    /// Of how much, in which money, and when.
    pub subtitle: String,
    /// Its tables.
    pub tables: Vec<CostTable>,
    /// What is to be said beside the figures.
    pub cautions: Vec<String>,
    /// What stands at the end, where tax, fees or rates are in it.
    pub remark: Option<&'static str>,
}

/// A cost as it is laid out.
#[must_use]
pub fn cost_sheet(cost: &BatchCostJson) -> CostSheet {
    let cost = &shown_data(cost);
    CostSheet {
        heading: heading(cost),
        subtitle: subtitle(cost),
        tables: cost_tables(cost),
        cautions: cost.cautions.clone(),
        remark: remark(cost),
    }
}

impl CostTable {
    /// Whether a column, counted without the first, is of words and not of figures.
    #[must_use]
    pub fn is_words(&self, column: usize) -> bool {
        self.head.get(column).is_some_and(|head| WORDS.contains(head))
    }

    fn new(title: impl Into<String>, head: &[&'static str]) -> CostTable {
        CostTable { title: title.into(), head: head.to_vec(), rows: Vec::new(), after: Vec::new() }
    }

    fn row(&mut self, cells: &[&str]) {
        self.rows.push(cells.iter().map(ToString::to_string).collect());
    }
}

/// A cost as plain text.
#[must_use]
pub fn cost_text(cost: &BatchCostJson) -> String {
    let cost = &shown_data(cost);
    let mut out = String::new();
    line(&mut out, format_args!("{}\n{}", heading(cost), subtitle(cost)));
    for table in cost_tables(cost) {
        write_text(&mut out, &table);
    }
    if !cost.cautions.is_empty() {
        line(&mut out, format_args!(""));
    }
    for caution in &cost.cautions {
        line(&mut out, format_args!("! {caution}"));
    }
    if let Some(remark) = remark(cost) {
        line(&mut out, format_args!("\n{remark}"));
    }
    out
}

/// A cost as Markdown.
#[must_use]
pub fn cost_markdown(cost: &BatchCostJson) -> String {
    let cost = &data_in_markdown(cost, &["cautions", "message", "help"]);
    let mut out = String::new();
    line(&mut out, format_args!("# What it costs: {}\n\n{}", heading(cost), subtitle(cost)));
    for table in cost_tables(cost) {
        write_markdown(&mut out, &table);
    }
    if !cost.cautions.is_empty() {
        line(&mut out, format_args!(""));
    }
    for caution in &cost.cautions {
        line(&mut out, format_args!("- {caution}"));
    }
    if let Some(remark) = remark(cost) {
        line(&mut out, format_args!("\n{remark}"));
    }
    out
}

fn write_text(out: &mut String, table: &CostTable) {
    let columns = table.head.len() + 1;
    let width = |column: usize| {
        let cells = table.rows.iter().filter_map(|row| row.get(column)).map(|cell| cell.width());
        let head = column.checked_sub(1).and_then(|at| table.head.get(at)).map_or(0, |head| head.width());
        cells.chain([head]).max().unwrap_or(0)
    };
    let widths: Vec<usize> = (0..columns).map(width).collect();
    let first = widths.first().copied().unwrap_or(0).max(table.title.width().saturating_sub(2));
    let pad = |text: &str, width: usize| " ".repeat(width.saturating_sub(text.width()));
    let mut head = format!("{}{}", table.title, pad(&table.title, first + 2));
    let set = |name: &str, cell: &str, width: usize| match WORDS.contains(&name) {
        true => format!("  {cell}{}", pad(cell, width)),
        false => format!("  {}{cell}", pad(cell, width)),
    };
    for (name, width) in table.head.iter().zip(widths.iter().skip(1)) {
        head += &set(name, name, *width);
    }
    line(out, format_args!("\n{}", head.trim_end()));
    for row in &table.rows {
        let mut cells = row.iter();
        let name = cells.next().map_or("", String::as_str);
        let mut text = format!("  {name}{}", pad(name, first));
        for ((cell, width), name) in cells.zip(widths.iter().skip(1)).zip(&table.head) {
            text += &set(name, cell, *width);
        }
        line(out, format_args!("{}", text.trim_end()));
    }
    for after in &table.after {
        line(out, format_args!("  {after}"));
    }
}

fn write_markdown(out: &mut String, table: &CostTable) {
    line(out, format_args!("\n## {}\n", table.title));
    if !table.rows.is_empty() {
        let heads: String = table.head.iter().map(|head| format!(" {head} |")).collect();
        let mark = |head: &&str| if WORDS.contains(head) { " --- |" } else { " ---: |" };
        let marks: String = table.head.iter().map(mark).collect();
        line(out, format_args!("| |{heads}\n| --- |{marks}"));
    }
    for row in &table.rows {
        let empty = vec![String::new(); (table.head.len() + 1).saturating_sub(row.len())];
        line(out, format_args!("| {} |", [row.clone(), empty].concat().join(" | ")));
    }
    for after in &table.after {
        line(out, format_args!("\n{after}"));
    }
}

fn heading(cost: &BatchCostJson) -> String {
    let title = cost.title.as_ref().unwrap_or(&cost.formula);
    let version = cost.version.as_ref().map(|version| format!(", version {version}")).unwrap_or_default();
    format!("{title}{version}")
}

fn subtitle(cost: &BatchCostJson) -> String {
    let of = match &cost.record {
        Some(record) => format!("batch {record} of {}, {} g", cost.formula, cost.grams),
        None => format!("{}, {} g", cost.formula, cost.grams),
    };
    let currency = match &cost.currency {
        Some(currency) => format!("in {currency}"),
        None => "nothing in it has a price".to_string(),
    };
    let rates = cost.rates.iter().map(|rate| format!("; {rate}"));
    format!("{of}, {currency}, on {}{}", cost.on, rates.collect::<String>())
}

fn remark(cost: &BatchCostJson) -> Option<&'static str> {
    let taxed = cost.sell.as_ref().is_some_and(|sell| sell.vat_percent != "0");
    (taxed || !cost.paid.is_empty() || !cost.rates.is_empty()).then_some(NO_ADVICE)
}

/// The tables of a cost, in their order.
#[must_use]
pub fn cost_tables(cost: &BatchCostJson) -> Vec<CostTable> {
    let mut all = Vec::new();
    all.extend(missing(cost));
    all.push(materials(cost));
    if cost.currency.is_none() {
        return all;
    }
    if !cost.paid.iter().all(|paid| paid.each) {
        all.push(whole(cost));
    }
    all.extend(container(cost));
    all.extend(cost.sell.as_ref().map(|sell| price(cost, sell)));
    all
}

/// What is missing stands first: every sum below is without it.
fn missing(cost: &BatchCostJson) -> Option<CostTable> {
    let mut table = CostTable::new("Missing, and in no sum below", &["g", "why"]);
    for missing in &cost.missing {
        table.row(&[&missing.material, missing.grams.as_deref().unwrap_or(""), &missing.why]);
    }
    for packed in &cost.packing {
        if let Some(why) = &packed.why {
            table.row(&[&packed.container, "each", why]);
        }
    }
    for fee in cost.paid.iter().filter(|paid| paid.each && paid.cost.is_none()) {
        table.row(&[&fee.written, "each", "no rate"]);
    }
    let other = |(currency, sum): (&String, &String)| {
        let decimals = Currency::new(currency.as_bytes().try_into().ok()?).decimals();
        Some(format!("{} {currency}", read(sum)?.to_fixed(decimals)))
    };
    let others: Vec<String> = cost.other_currencies.iter().filter_map(other).collect();
    if !others.is_empty() {
        table.after.push(format!("In other money, and not added: {}.", others.join(", ")));
    }
    (!table.rows.is_empty()).then_some(table)
}

/// A fraction as it is printed.
fn read(fraction: &str) -> Option<Exact> {
    match fraction.split_once('/') {
        Some((numerator, denominator)) => Exact::parse(numerator)?.over(&Exact::parse(denominator)?),
        None => Exact::parse(fraction),
    }
}

fn percent(fraction: Option<&String>) -> String {
    let share = fraction.and_then(|share| read(share)).map(|share| format!("{} %", share.to_fixed(1)));
    share.unwrap_or_default()
}

/// A sum, with `at least` before it where something of it is missing.
fn sum_name(name: &str, complete: bool) -> String {
    if complete { name.to_string() } else { format!("{name}, at least") }
}

fn money(cost: &BatchCostJson) -> String {
    cost.currency.clone().unwrap_or_default()
}

fn materials(cost: &BatchCostJson) -> CostTable {
    let mut table = CostTable::new(format!("Materials, in {}", money(cost)), &["g", "cost", "share", "by the pack of"]);
    if cost.currency.is_none() {
        table.title = "Materials".to_string();
    }
    for of in &cost.lines {
        let name = of.title.as_ref().unwrap_or(&of.material);
        let least = if of.complete || of.cost.is_none() { "" } else { ", at least" };
        let price = of.cost.as_deref().unwrap_or(if of.at_bench { "to pH" } else { "missing" });
        let grams = of.grams.as_deref().unwrap_or("");
        let share = percent(of.share_percent_exact.as_ref());
        table.row(&[&format!("{name}{least}"), grams, price, &share, of.pack.as_deref().unwrap_or("")]);
        for part in &of.parts {
            let grams = read(&part.grams_exact).map(|grams| grams.to_fixed(2)).unwrap_or_default();
            table.row(&[
                &format!("- {}", part.material),
                &format!("({grams})"),
                "",
                "",
                part.pack.as_deref().unwrap_or(""),
            ]);
        }
    }
    let complete = cost.lines.iter().all(|line| line.complete);
    if cost.currency.is_none() {
        return table;
    }
    table.row(&[&sum_name("together", complete), &cost.grams, &cost.materials]);
    if let Some(per_100g) = &cost.per_100g {
        table.row(&[&sum_name("for 100 g", complete), "100", per_100g]);
    }
    if let Some(range) = range_words(&cost.materials_exact_low, &cost.materials_exact_high, &cost.materials) {
        table.after.push(format!("With what is weighed to the pH, which comes out of what is held back: {range}."));
    }
    table
}

/// `12.40 to 13.05`, to as many decimals as a sum beside it.
fn range_words(low: &Option<String>, high: &Option<String>, like: &str) -> Option<String> {
    let decimals = like.split_once('.').map_or(0, |(_, decimals)| u32::try_from(decimals.len()).unwrap_or(2));
    let (low, high) = (read(low.as_ref()?)?.to_fixed(decimals), read(high.as_ref()?)?.to_fixed(decimals));
    Some(if low == high { low } else { format!("{low} to {high}") })
}

fn whole(cost: &BatchCostJson) -> CostTable {
    let mut table = CostTable::new("The batch", &["cost"]);
    let complete = cost.missing.is_empty();
    table.row(&[&sum_name("materials", cost.lines.iter().all(|line| line.complete)), &cost.materials]);
    for paid in cost.paid.iter().filter(|paid| !paid.each) {
        table.row(&[&paid.written, paid.cost.as_deref().unwrap_or("missing")]);
    }
    table.row(&[&sum_name("together", complete), &cost.batch]);
    if let Some(range) = range_words(&cost.batch_exact_low, &cost.batch_exact_high, &cost.batch) {
        table.after.push(format!("With what is weighed to the pH: {range}."));
    }
    table
}

fn container(cost: &BatchCostJson) -> Option<CostTable> {
    let (holds, filled) = (cost.holds.as_ref()?, cost.filled?);
    let mut table = CostTable::new(format!("One container of {holds}"), &["cost", "by the pack of"]);
    if let Some(of_batch) = of_batch(cost) {
        let share = format!("1/{filled} of the batch");
        table.row(&[&sum_name(&share, cost.missing.is_empty()), &of_batch]);
        for packed in &cost.packing {
            let cost = packed.cost.as_deref().unwrap_or("missing");
            table.row(&[&packed.container, cost, packed.pack.as_deref().unwrap_or("")]);
        }
        for fee in cost.paid.iter().filter(|paid| paid.each) {
            table.row(&[&fee.written, fee.cost.as_deref().unwrap_or("missing")]);
        }
        let like = cost.per_container.as_deref().unwrap_or_default();
        table.row(&[&sum_name("together", cost.complete), like]);
        let ends = range_words(&cost.per_container_exact_low, &cost.per_container_exact_high, like);
        table.after.extend(ends.map(|range| format!("With what is weighed to the pH: {range}.")));
    }
    let grams = |fraction: &Option<String>| fraction.as_ref().and_then(|of| read(of)).map(|of| of.to_fixed(2));
    let asked = match (cost.asked, cost.short) {
        (Some(asked), Some(short)) if short > 0 => format!("{asked} asked for, {filled} filled: {short} short"),
        (Some(asked), _) => format!("{asked} asked for, {filled} filled"),
        _ => format!("{filled} filled"),
    };
    if let (Some(fill), Some(remains)) = (grams(&cost.fill_g_exact), grams(&cost.remains_g_exact)) {
        table.after.insert(0, format!("{asked}, with {fill} g in each; {remains} g are left over."));
    }
    Some(table)
}

/// What one container has of the batch.
fn of_batch(cost: &BatchCostJson) -> Option<String> {
    let own = [&cost.container_exact, &cost.fees_each_exact];
    let own: Exact = own.into_iter().filter_map(|sum| read(sum.as_ref()?)).sum();
    let decimals = cost.batch.split_once('.').map_or(0, |(_, decimals)| u32::try_from(decimals.len()).unwrap_or(2));
    Some((&read(cost.per_container_exact.as_ref()?)? - &own).to_fixed(decimals))
}

/// A sum that is taken off: nothing has no sign.
fn less(sum: &str) -> String {
    if is_nothing(sum) { sum.to_string() } else { format!("−{sum}") }
}

/// A sum with the sign that the others have.
fn signed(sum: &str) -> String {
    sum.strip_prefix('-').map_or(sum.to_string(), less)
}

fn is_nothing(sum: &str) -> bool {
    !sum.contains(|letter: char| ('1'..='9').contains(&letter))
}

fn price(cost: &BatchCostJson, sell: &SellJson) -> CostTable {
    let title = match &sell.asked_margin_percent {
        Some(margin) => format!("A price for a margin of {margin} %"),
        None => "The price as it is given".to_string(),
    };
    let mut table = CostTable::new(title, &["money"]);
    let (Some(paid), Some(left)) = (&sell.paid, &sell.left) else {
        table.after.push("None: margin, fees and tax leave nothing for the container.".to_string());
        return table;
    };
    let least = if cost.complete || sell.asked_margin_percent.is_none() { "" } else { ", at least" };
    table.row(&[&format!("paid, tax included{least}"), paid]);
    let parts =
        [(&sell.vat, "tax of", &sell.vat_percent, ""), (&sell.fee, "fees of", &sell.fee_percent, " of the price")];
    for (sum, name, percent, of) in parts {
        if let Some(sum) = sum.as_ref().filter(|_| percent != "0") {
            table.row(&[&format!("{name} {percent} %{of}"), &less(sum)]);
        }
    }
    table.row(&["one container", &less(cost.per_container.as_deref().unwrap_or_default())]);
    table.row(&[&if cost.complete { "left".to_string() } else { "left, at most".to_string() }, &signed(left)]);
    let margin = percent(sell.margin_percent_exact.as_ref());
    match sell.left_exact.as_ref().is_some_and(|left| left.starts_with('-')) {
        true => table.after.push("It costs more than it brings.".to_string()),
        false if !margin.is_empty() => table.after.push(format!("That is {margin} of the price without tax.")),
        false => {}
    }
    if let (Some(_), Some(exact)) = (&sell.asked_margin_percent, sell.paid_exact.as_ref().and_then(|of| read(of))) {
        table.after.push(format!("It comes out at {}, and is brought up to the coin.", exact.to_significant(8)));
    }
    if let Some(most) = sell.paid_at_most.as_ref().filter(|most| *most != paid) {
        table.after.push(format!("Where the most is weighed to the pH: {most}."));
    }
    table
}
