//! The labels of a product as Markdown: first what can be pasted, then what stands beside it.

use super::in_markdown::data_in_markdown;
use super::label::{LabelJson, MarketLabelJson};
use super::label_text::{DEFERENCE, heading, net_words, order_words, part_words, places, share};
use super::line;

/// The fields in which the program speaks, and backticks mark what is written in a file.
const SENTENCES: &[&str] = &["message", "cautions", "help"];

/// Writes the labels of a product as Markdown. Everything in it stands in the JSON.
#[must_use]
pub fn label_markdown(labels: &LabelJson) -> String {
    let labels = &data_in_markdown(labels, SENTENCES);
    let mut out = String::new();
    for label in &labels.labels {
        on_the_jar(&mut out, labels, label);
        beside(&mut out, labels, label);
    }
    if !labels.cautions.is_empty() {
        line(&mut out, format_args!("## Cautions\n"));
        labels.cautions.iter().for_each(|caution| line(&mut out, format_args!("- {caution}")));
        line(&mut out, format_args!(""));
    }
    line(&mut out, format_args!("{DEFERENCE}"));
    out
}

fn on_the_jar(out: &mut String, labels: &LabelJson, label: &MarketLabelJson) {
    line(out, format_args!("## Label, {}\n", label.market));
    if let Some(words) = labels.across() {
        line(out, format_args!("**{words}**\n"));
    }
    for paragraph in &label.jar {
        let strong = if paragraph.item == "name" { "**" } else { "" };
        line(out, format_args!("{strong}{}{strong}\n", paragraph.text));
    }
}

fn beside(out: &mut String, labels: &LabelJson, label: &MarketLabelJson) {
    line(out, format_args!("### Beside the label, not on it\n"));
    line(out, format_args!("{}\n", heading(labels, label)));
    line(out, format_args!("| Ingredient | Share | |"));
    line(out, format_args!("| --- | ---: | --- |"));
    for entry in &label.entries {
        line(out, format_args!("| {} | {} | {} |", entry.name, share(entry), part_words(entry).trim()));
    }
    line(out, format_args!(""));
    let words = order_words(label).into_iter().chain(places(label)).chain(net_words(label));
    words.for_each(|words| line(out, format_args!("- {words}")));
    line(out, format_args!("\n| Item | Text | Container | Outer pack | Source |"));
    line(out, format_args!("| --- | --- | --- | --- | --- |"));
    for item in &label.items {
        let yes = |is: bool| if is { "yes" } else { "no" };
        let blank = format!("\\_\\_\\_\\_ {}", item.item);
        let text = item.text.as_deref().unwrap_or(&blank);
        line(
            out,
            format_args!("| {} | {text} | {} | {} | {} |", item.item, yes(item.container), yes(item.outer), item.source),
        );
    }
    line(out, format_args!(""));
    for statement in &label.statements {
        let source = statement.source.as_ref().map(|source| format!(" ({source})")).unwrap_or_default();
        line(out, format_args!("- {}: “{}”{source}", statement.from, statement.text));
    }
    if !label.statements.is_empty() {
        line(out, format_args!(""));
    }
}
