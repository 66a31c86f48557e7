//! The labels of a product as plain text: first what can be pasted, then what stands beside it.

use super::label::{LabelEntryJson, LabelItemJson, LabelJson, MarketLabelJson, SettlingJson};
use super::line;
use super::screen::shown_data;
use crate::label::Bound;
use crate::quantity::Exact;

/// What every label for skin says at its end.
pub const DEFERENCE: &str = "A label is arithmetic and the words of rules, not a safety assessment. What may be sold \
and said is for local law and a qualified safety assessor to decide.";

/// Digits of a printed share.
const DIGITS: u32 = 4;

/// Digits of a range whose ends are alike with fewer.
const MOST_DIGITS: u32 = 7;

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
#[must_use]
pub fn heading(labels: &LabelJson, label: &MarketLabelJson) -> String {
    let version = labels.version.as_ref().map(|version| format!(" version {version}")).unwrap_or_default();
    let batch = labels.batch.as_ref().map(|batch| format!(", batch {batch}")).unwrap_or_default();
    format!(
        "{}{version}{batch}, {}, rules as on {}, ingredients {}.",
        labels.formula, label.market, labels.on, labels.basis
    )
}

/// The share of an entry: `1.5 to 2.5 %`.
#[must_use]
pub fn share(entry: &LabelEntryJson) -> String {
    let short = |figure: &str, digits: u32| {
        fraction(figure).map_or_else(|| figure.to_string(), |exact| exact.to_significant(digits))
    };
    let both = |digits: u32| (short(&entry.percent_low, digits), short(&entry.percent_high, digits));
    // Ends that differ are told apart, and where nobody can weigh the difference they are one figure.
    let apart = (DIGITS..=MOST_DIGITS).map(both).find(|(low, high)| low != high);
    apart.map_or_else(|| format!("{} %", both(DIGITS).0), |(low, high)| format!("{low} to {high} %"))
}

/// A fraction as JSON has it.
fn fraction(text: &str) -> Option<Exact> {
    match text.split_once('/') {
        Some((above, below)) => Exact::parse(above)?.over(&Exact::parse(below)?),
        None => Exact::parse(text),
    }
}

/// Why an entry stands where it does, with a blank before it; nothing where it stands by weight.
#[must_use]
pub fn part_words(entry: &LabelEntryJson) -> &'static str {
    match (entry.part.as_str(), entry.sure) {
        ("free", _) => "  (in any order)",
        ("allergen", true) => "  (allergen)",
        ("allergen", false) => "  (allergen, perhaps)",
        ("colourant", _) => "  (colour)",
        _ => "",
    }
}

/// Whether the order is proven, and what would settle it.
#[must_use]
pub fn order_words(label: &MarketLabelJson) -> Vec<String> {
    let mut words = Vec::new();
    if label.unproven.is_empty() {
        words.push("The order is proven.".to_string());
    }
    for pair in &label.unproven {
        let [first, then] = pair;
        let settled: Vec<String> = label.settles.iter().filter(|of| of.pair == *pair).filter_map(settled_by).collect();
        words.push(format!("Not proven: {first} before {then}.{}", settled.concat()));
    }
    for material in &label.undisclosed {
        words.push(format!("Not whole: {material} does not say all that it is made of."));
    }
    words
}

/// The figure that settles a pair, with a blank before it.
fn settled_by(settles: &SettlingJson) -> Option<String> {
    let bound = match (&settles.at_most, &settles.at_least) {
        (Some(most), _) => Bound::AtMost(fraction(most)?),
        (None, least) => Bound::AtLeast(fraction(least.as_ref()?)?),
    };
    Some(format!(" {} for {} in {} settles it.", bound.words(), settles.substance, settles.material))
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
    told.into_iter()
        .filter(|(_, names)| !names.is_empty())
        .map(|(where_to, names)| format!("{where_to}: {names}."))
        .collect()
}

/// How high the net quantity is printed, and how much may be missing.
#[must_use]
pub fn net_words(label: &MarketLabelJson) -> Vec<String> {
    let net = &label.net;
    let mut words = Vec::new();
    words.extend(net.figure_mm.as_ref().map(|height| format!("Figures of the net quantity: {height} mm or higher.")));
    words.extend(
        net.letters_in
            .as_ref()
            .map(|height| format!("Letters of the net quantity: {height} inch or higher, measured by a small o.")),
    );
    words.extend(net.short_at_most.as_deref().and_then(fraction).map(|short| {
        let unit = net.unit.as_deref().unwrap_or_default();
        format!(
            "One container may fall short by {} {unit}, as long as all of them do not on average.",
            short.to_significant(DIGITS)
        )
    }));
    words
}
