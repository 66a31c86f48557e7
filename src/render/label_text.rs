//! The labels of a product as plain text: first what can be pasted, then what stands beside it.

use super::label::{LabelEntryJson, LabelItemJson, LabelJson, MarketLabelJson};
use super::line;
use super::screen::shown_data;
use crate::quantity::Exact;

/// What every label for skin says at its end.
pub(super) const DEFERENCE: &str = "A label is arithmetic and the words of rules, not a safety assessment. What may be sold \
and said is for local law and a qualified safety assessor to decide.";

/// Digits of a printed share.
const DIGITS: u32 = 4;

/// Writes the labels of a product as plain text.
#[must_use]
pub fn label_text(labels: &LabelJson) -> String {
    let labels = &shown_data(labels);
    let mut out = String::new();
    let several = labels.labels.len() > 1;
    for (at, label) in labels.labels.iter().enumerate() {
        if at > 0 {
            line(&mut out, format_args!(""));
        }
        if several {
            line(&mut out, format_args!("[{}]", label.market));
        }
        across(&mut out, labels);
        for paragraph in &label.jar {
            line(&mut out, format_args!("{}", paragraph.text));
        }
        across(&mut out, labels);
        beside(&mut out, labels, label);
    }
    if !labels.cautions.is_empty() {
        line(&mut out, format_args!(""));
    }
    for caution in &labels.cautions {
        line(&mut out, format_args!("! {caution}"));
    }
    line(&mut out, format_args!("\n{DEFERENCE}"));
    out
}

fn across(out: &mut String, labels: &LabelJson) {
    if let Some(words) = labels.across() {
        line(out, format_args!("*** {words} ***"));
    }
}

/// What stands beside a label and not on it.
fn beside(out: &mut String, labels: &LabelJson, label: &MarketLabelJson) {
    line(out, format_args!("\nBeside the label, not on it: {}", heading(labels, label)));
    let widest = label.entries.iter().map(|entry| share(entry).chars().count()).max().unwrap_or(0);
    for entry in &label.entries {
        line(out, format_args!("  {:>widest$}  {}{}", share(entry), entry.name, part_words(entry)));
    }
    for words in order_words(label) {
        line(out, format_args!("  {words}"));
    }
    for words in places(label).into_iter().chain(net_words(label)) {
        line(out, format_args!("  {words}"));
    }
    for statement in label.statements.iter().filter(|statement| statement.from != "formula") {
        line(out, format_args!("  Asked for by {}: {}", statement.from, statement.text));
        if let Some(source) = &statement.source {
            line(out, format_args!("    {source}"));
        }
    }
}

/// Of what and of when a label is.
pub(super) fn heading(labels: &LabelJson, label: &MarketLabelJson) -> String {
    let version = labels.version.as_ref().map(|version| format!(" version {version}")).unwrap_or_default();
    let batch = labels.batch.as_ref().map(|batch| format!(", batch {batch}")).unwrap_or_default();
    format!(
        "{}{version}{batch}, {}, rules as on {}, ingredients {}.",
        labels.formula, label.market, labels.on, labels.basis
    )
}

/// The share of an entry: `1.5 to 2.5 %`.
pub(super) fn share(entry: &LabelEntryJson) -> String {
    let short = |figure: &str| fraction(figure).map_or_else(|| figure.to_string(), |exact| exact.to_significant(DIGITS));
    let (low, high) = (short(&entry.percent_low), short(&entry.percent_high));
    if entry.percent_low == entry.percent_high { format!("{low} %") } else { format!("{low} to {high} %") }
}

/// A fraction as JSON has it.
fn fraction(text: &str) -> Option<Exact> {
    match text.split_once('/') {
        Some((above, below)) => Exact::parse(above)?.over(&Exact::parse(below)?),
        None => Exact::parse(text),
    }
}

/// Why an entry stands where it does, with a blank before it; nothing where it stands by weight.
pub(super) fn part_words(entry: &LabelEntryJson) -> &'static str {
    match (entry.part.as_str(), entry.sure) {
        ("free", _) => "  (in any order)",
        ("allergen", true) => "  (allergen)",
        ("allergen", false) => "  (allergen, perhaps)",
        ("colourant", _) => "  (colour)",
        _ => "",
    }
}

/// Whether the order is proven, and what would settle it.
pub(super) fn order_words(label: &MarketLabelJson) -> Vec<String> {
    let mut words = Vec::new();
    if label.unproven.is_empty() {
        words.push("The order is proven.".to_string());
    }
    for [first, then] in &label.unproven {
        words.push(format!("Not proven: {first} before {then}."));
    }
    for settles in &label.settles {
        let at_most = fraction(&settles.at_most).map_or_else(|| settles.at_most.clone(), |exact| cut(&exact));
        words.push(format!(
            "A figure of {at_most} % or less for {} in {} settles it.",
            settles.substance, settles.material
        ));
    }
    for material in &label.undisclosed {
        words.push(format!("Not whole: {material} does not say all that it is made of."));
    }
    words
}

/// A figure to ask for, cut down so that it settles what it is to settle.
fn cut(figure: &Exact) -> String {
    figure.down_to_step(&Exact::ratio(1, 100_000)).to_string()
}

/// What stands on the container, and what on the outer pack.
pub(super) fn places(label: &MarketLabelJson) -> Vec<String> {
    let named = |is_it: &dyn Fn(&LabelItemJson) -> bool| {
        label.items.iter().filter(|item| is_it(item)).map(|item| item.item.as_str()).collect::<Vec<_>>().join(", ")
    };
    let told = [
        ("On the container and on the outer pack", named(&|item| item.container && item.outer)),
        ("On the outer pack; without one, on the container", named(&|item| !item.container && item.outer)),
        ("Not asked for", named(&|item| !item.container && !item.outer)),
    ];
    told.into_iter().filter(|(_, names)| !names.is_empty()).map(|(where_to, names)| format!("{where_to}: {names}.")).collect()
}

/// How high the net quantity is printed, and how much may be missing.
pub(super) fn net_words(label: &MarketLabelJson) -> Vec<String> {
    let net = &label.net;
    let mut words = Vec::new();
    words.extend(net.figure_mm.as_ref().map(|height| format!("Figures of the net quantity: {height} mm or higher.")));
    words.extend(net.letters_in.as_ref().map(|height| {
        format!("Letters of the net quantity: {height} inch or higher, measured by a small o.")
    }));
    words.extend(net.short_at_most.as_deref().and_then(fraction).map(|short| {
        let unit = net.unit.as_deref().unwrap_or_default();
        format!("One container may fall short by {} {unit}, as long as all of them do not on average.", short.to_significant(DIGITS))
    }));
    words
}
