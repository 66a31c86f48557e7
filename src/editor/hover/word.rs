//! What a word of the language means: a field, a word out of a list, a unit, a code.

use crate::diagnostic::{Code, Level};
use crate::quantity::{Dimension, Exact, Unit};
use crate::render::code_in_markdown;
use crate::resolve::capital;
use crate::syntax::Context;
use crate::syntax::fields::{self, Field};
use crate::syntax::vocabulary::{Borne, Charge, Doing, Mark, Market, MaterialPhase, Microbe, Product, Role};

/// The rows that tell of the statements of a block.
#[must_use]
pub fn rows_of(context: Context) -> Vec<&'static Field> {
    let tables: &[&[Field]] = match context {
        Context::File => &[fields::FILE],
        Context::Maker => &[fields::MAKER],
        Context::Container => &[fields::CONTAINER],
        Context::Stock => &[fields::STOCK],
        Context::Substance => &[fields::SUBSTANCE],
        Context::Material => &[fields::MATERIAL],
        Context::Formula => &[fields::FORMULA],
        Context::Phase | Context::VariantPhase => &[fields::PHASE],
        Context::Steps => &[fields::STEPS],
        Context::Variant => &[fields::VARIANT, fields::FORMULA],
        Context::Rule => &[fields::RULE],
        Context::Batch => &[fields::BATCH],
        Context::Plan => &[fields::PLAN],
    };
    tables.iter().flat_map(|table| table.iter()).collect()
}

/// The rows that tell of the parts of a statement.
fn parts_of(context: Context) -> Vec<&'static Field> {
    let tables: &[&[Field]] = match context {
        Context::Phase | Context::VariantPhase | Context::Variant | Context::Plan => &[fields::AMOUNT, fields::LINE],
        Context::Material | Context::Substance => &[fields::STRENGTH],
        Context::Rule => &[fields::CONDITION],
        Context::Formula => &[fields::MAKES, fields::PHASE],
        Context::Steps => &[fields::STEPS],
        _ => &[],
    };
    tables.iter().flat_map(|table| table.iter()).collect()
}

/// A field by the word that opens it. Of several with one word, those that begin as the statement does.
#[must_use]
pub fn about_field(context: Context, opener: &str, head: &str) -> Option<String> {
    let opens = |row: &&Field| match context {
        // A word of a plan may be the name of a line as well, so it opens no row of the table.
        Context::Plan => row.form.split(", ").any(|form| form.trim_matches('`').split(' ').next() == Some(opener)),
        _ => row.word == opener,
    };
    let rows: Vec<&Field> = rows_of(context).into_iter().filter(opens).collect();
    let second = head.split_whitespace().nth(1).unwrap_or_default();
    let begins = |row: &&&Field| plain_form(row).split_whitespace().nth(1) == Some(second);
    let same: Vec<&Field> = rows.iter().filter(begins).copied().collect();
    let rows = if same.is_empty() { rows } else { same };
    let told: Vec<String> = rows.into_iter().map(row).collect();
    (!told.is_empty()).then(|| told.join("\n\n"))
}

/// A word of the language anywhere in a statement, of which the first word and the text are known.
#[must_use]
pub fn about_keyword(context: Context, (opener, head): (&str, &str), word: &str) -> Option<String> {
    // In the text of a step the one word that is no name.
    if word == "pH" && (context == Context::Steps || (context == Context::Plan && opener == "step")) {
        return fields::STEPS.iter().find(|field| field.form == "`{pH}`").map(row);
    }
    let part = || {
        let has = |row: &&Field| plain_form(row).split_whitespace().any(|part| part == word);
        let begins = |row: &&Field| plain_form(row).split_whitespace().next() == Some(word);
        let parts = parts_of(context);
        parts.iter().copied().find(begins).or_else(|| parts.iter().copied().find(has)).map(row)
    };
    let field = || about_field(context, opener, head);
    if word == opener && !matches!(context, Context::Steps) { field().or_else(part) } else { part().or_else(field) }
}

/// How a field is written, without the marks of code.
fn plain_form(row: &Field) -> String {
    row.form.replace('`', "")
}

/// A row of a table, as a paragraph.
fn row(row: &Field) -> String {
    let mut text = format!("**{}**", row.form);
    let meaning = without_links(&row.meaning());
    if !meaning.is_empty() {
        text.push_str(&format!("\n\n{}", sentence(&meaning)));
    }
    for (what, said) in [("Stands", row.stands), ("Left out", row.default), ("Looked at by", row.checks)] {
        if !said.is_empty() && said != "—" {
            text.push_str(&format!("\n\n*{what}:* {}", without_links(said)));
        }
    }
    text
}

fn sentence(text: &str) -> String {
    let text = if text.starts_with('`') { text.to_string() } else { capital(text) };
    if text.ends_with(['.', '!', '?']) { text } else { format!("{text}.") }
}

/// Links lead to places in the documents: here their words are enough.
fn without_links(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut rest = text;
    while let Some((before, after)) = rest.split_once('[') {
        let Some((words, target)) = after.split_once("](") else { break };
        let Some((_, after)) = target.split_once(')') else { break };
        out.push_str(before);
        out.push_str(words);
        rest = after;
    }
    out.push_str(rest);
    out
}

/// A word out of the list that the first word of its statement asks for.
#[must_use]
pub fn about_listed(opener: &str, word: &str) -> Option<String> {
    let small = word.to_ascii_lowercase();
    let meaning = |list: &'static [(&'static str, &'static str)]| {
        list.iter().find(|(known, _)| *known == small).map(|(_, meaning)| *meaning)
    };
    let (what, meaning) = match opener {
        "role" => (Role::WHAT, meaning(Role::MEANINGS)),
        "does" => ("what it does", meaning(Doing::MEANINGS)),
        "product" | "use" => (Product::WHAT, meaning(Product::MEANINGS)),
        "market" | "responsible" => (Market::WHAT, meaning(Market::MEANINGS)),
        "protects" => (Microbe::WHAT, meaning(Microbe::MEANINGS)),
        "phase" => (MaterialPhase::WHAT, meaning(MaterialPhase::MEANINGS)),
        "charge" => (Charge::WHAT, meaning(Charge::MEANINGS)),
        "bears" => (Borne::WHAT, meaning(Borne::MEANINGS)),
        "level" => ("level", Level::from_word(&small).map(level_words)),
        _ => Mark::MEANINGS.iter().find(|(known, _)| *known == small).map(|(_, said)| ("mark", Some(*said)))?,
    };
    meaning.map(|meaning| format!("**{}** ({what})\n\n{meaning}", code_in_markdown(&small)))
}

fn level_words(level: Level) -> &'static str {
    match level {
        Level::Error => "No batch should be weighed.",
        Level::Warning => "Weigh with open eyes.",
        Level::Note => "Worth knowing.",
    }
}

/// A role or a charge that is to be kept apart.
pub(super) fn about_kept_apart(word: &str) -> Option<String> {
    about_listed("role", word).or_else(|| about_listed("charge", word))
}

/// `first` or `rest` in the braces of a step.
pub(super) fn about_part(word: &str) -> Option<String> {
    let form = format!("`{{name {word}}}`");
    fields::STEPS.iter().find(|field| field.form == form).map(row)
}

/// A unit: what it measures, and its exact size.
#[must_use]
pub fn about_unit(typed: &str) -> Option<String> {
    let word = typed.split_whitespace().collect::<Vec<_>>().join(" ");
    let unit = Unit::from_word(&word).or_else(|| Unit::from_word(&word.replacen('%', "% ", 1)))?;
    let dimension = unit.dimension();
    let base = match dimension {
        Dimension::Mass => "g",
        Dimension::Volume => "mL",
        Dimension::Density => "g/mL",
        Dimension::Percent => "%",
        Dimension::Time => "s",
        _ => "",
    };
    let mut text = format!("**{}**: {}.", code_in_markdown(&unit.to_string()), dimension.words());
    if !base.is_empty() && unit.to_string() != base {
        text.push_str(&format!(" 1 {unit} = {} {base}.", unit.to_base(&Exact::whole(1))));
    }
    if !dimension.remark().is_empty() {
        text.push_str(&format!(" {}.", capital(dimension.remark())));
    }
    Some(text)
}

/// The whole page of a code.
#[must_use]
pub fn about_code(code: Code) -> String {
    let entry = code.entry();
    let allowed = if entry.allowable { "may be allowed with a reason" } else { "cannot be allowed" };
    format!("{}\n\n*Level:* {}; {allowed}.", entry.page.trim(), entry.level.word())
}

/// What stands in the page of a code before its examples.
pub(super) fn about_fault(code: Code) -> String {
    let page = code.entry().page;
    let told = page.split("\n## Wrong").next().unwrap_or(page).trim();
    format!("{told}\n\n*More:* `stillroom explain {}`", code.entry().name)
}
