//! The labels of a product as a page of its own: nothing is fetched, and it prints as it stands.

use super::label::{LabelJson, MarketLabelJson};
use super::label_text::{DEFERENCE, heading, net_words, order_words, part_words, places, share};
use super::line;
use super::markup::in_markup;

/// How the page looks, on the screen and on paper.
const STYLE: &str = "body{font:15px/1.45 Arial,Helvetica,'Liberation Sans',sans-serif;color:#111;background:#fff;margin:2em \
auto;max-width:46em;padding:0 1em}.jar{border:1px solid #111;padding:1em;margin:1em 0}.jar p{margin:.35em 0}.jar .name{\
font-weight:bold;font-size:1.3em}.across{font-weight:bold;color:#b00020;border:2px solid #b00020;padding:.2em .5em;\
text-align:center}table{border-collapse:collapse;width:100%;margin:1em 0}th,td{border-bottom:1px solid #bbb;text-align:left;\
vertical-align:top;padding:.25em .5em .25em 0}td.figure{text-align:right;white-space:nowrap}section{break-after:page}\
section:last-of-type{break-after:auto}@media print{body{margin:0;max-width:none}.jar{break-inside:avoid}}";

/// Writes the labels of some products as one page.
#[must_use]
pub fn label_html(all: &[LabelJson]) -> String {
    let mut out = String::new();
    let title = all.first().map(|labels| labels.title.as_deref().unwrap_or(&labels.formula)).unwrap_or_default();
    line(&mut out, format_args!("<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">"));
    line(&mut out, format_args!("<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">"));
    line(&mut out, format_args!("<title>{}</title>\n<style>{STYLE}</style>\n</head>\n<body>", in_markup(title)));
    for labels in all {
        for label in &labels.labels {
            section(&mut out, labels, label);
        }
        if !labels.cautions.is_empty() {
            line(&mut out, format_args!("<h2>Cautions</h2>\n<ul>"));
            labels.cautions.iter().for_each(|caution| line(&mut out, format_args!("<li>{}</li>", in_markup(caution))));
            line(&mut out, format_args!("</ul>"));
        }
    }
    line(&mut out, format_args!("<p>{}</p>\n</body>\n</html>", in_markup(DEFERENCE)));
    out
}

fn section(out: &mut String, labels: &LabelJson, label: &MarketLabelJson) {
    line(out, format_args!("<section>\n<h2>Label, {}</h2>\n<div class=\"jar\">", in_markup(&label.market)));
    if let Some(words) = labels.across() {
        line(out, format_args!("<p class=\"across\">{}</p>", in_markup(words)));
    }
    for paragraph in &label.jar {
        let class = if paragraph.item == "name" { " class=\"name\"" } else { "" };
        line(out, format_args!("<p{class}>{}</p>", in_markup(&paragraph.text)));
    }
    line(out, format_args!("</div>\n<h3>Beside the label, not on it</h3>"));
    line(out, format_args!("<p>{}</p>", in_markup(&heading(labels, label))));
    entries(out, label);
    line(out, format_args!("<ul>"));
    for words in order_words(label).into_iter().chain(places(label)).chain(net_words(label)) {
        line(out, format_args!("<li>{}</li>", in_markup(&words)));
    }
    line(out, format_args!("</ul>"));
    items(out, label);
    line(out, format_args!("</section>"));
}

fn entries(out: &mut String, label: &MarketLabelJson) {
    line(out, format_args!("<table>\n<tr><th>Ingredient</th><th>Share</th><th></th></tr>"));
    for entry in &label.entries {
        line(
            out,
            format_args!(
                "<tr><td>{}</td><td class=\"figure\">{}</td><td>{}</td></tr>",
                in_markup(&entry.name),
                in_markup(&share(entry)),
                part_words(entry).trim()
            ),
        );
    }
    line(out, format_args!("</table>"));
}

fn items(out: &mut String, label: &MarketLabelJson) {
    line(out, format_args!("<table>\n<tr><th>Item</th><th>Text</th><th>Container</th><th>Outer pack</th><th>Source</th></tr>"));
    for item in &label.items {
        let yes = |is: bool| if is { "yes" } else { "no" };
        let text = item.text.clone().unwrap_or_else(|| format!("____ {}", item.item));
        line(
            out,
            format_args!(
                "<tr><td>{}</td><td>{}</td><td>{}</td><td>{}</td><td>{}</td></tr>",
                in_markup(&item.item),
                in_markup(&text),
                yes(item.container),
                yes(item.outer),
                in_markup(&item.source)
            ),
        );
    }
    line(out, format_args!("</table>"));
}
