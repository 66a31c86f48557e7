//! What is known of a declaration: its facts with their sources, or what a formula comes to.

use super::Asked;
use crate::diagnostic::{FileId, Span};
use crate::editor::navigate::links;
use crate::editor::occurrences::{Meaning, Names};
use crate::lookup::{KnownFact, facts_of, files, kind_word};
use crate::model::DeclId;
use crate::quantity::Dimension;
use crate::render::{code_in_markdown, in_markdown, sentence_in_markdown, sheet};
use crate::resolve::NameSet;
use crate::syntax::one_blank;
use crate::syntax::tree::Item;

/// So many materials may be like one another, as far as facts are looked for.
const MOST_LIKE: usize = 32;

/// What is known of what a name stands for.
#[must_use]
pub fn about(asked: &Asked<'_>, meaning: &Meaning) -> Option<String> {
    let names = asked.names;
    match meaning {
        Meaning::Declared(id) => about_item(asked, *id),
        Meaning::Let(_, name) => {
            let value = value_of(asked, meaning);
            let written = written(names, meaning)?;
            Some(format!("**{}**: a figure\n\n{written}{value}", code_in_markdown(name)))
        }
        Meaning::Phase(id, name) => {
            let report = asked.report.formulas.iter().find(|report| report.formula.id == *id);
            let phase = report.and_then(|report| report.formula.phases.iter().find(|phase| phase.name == *name));
            let title = phase.and_then(|phase| phase.title.as_ref()).map(|title| format!(": {}", in_markdown(title)));
            Some(format!("**Phase {}**{}", code_in_markdown(name), title.unwrap_or_default()))
        }
        Meaning::Planned(_, name, substance) => {
            let what = if *substance { "substance" } else { "material" };
            Some(format!("**{}**: a {what} as the plan of this batch writes it down", code_in_markdown(name)))
        }
    }
}

/// What a figure comes to, where some line uses it.
fn value_of(asked: &Asked<'_>, meaning: &Meaning) -> String {
    let declared = asked.names.declared_at(meaning);
    let lines = asked.report.formulas.iter().flat_map(|report| &report.formula.lines);
    let found = lines.flat_map(|line| &line.uses).find(|used| Some(used.place) == declared);
    found.map(|used| format!("\n\n= {}{}", used.value.to_significant(10), used.mark)).unwrap_or_default()
}

/// A declaration that is a line, as it is written.
fn written(names: &Names<'_>, meaning: &Meaning) -> Option<String> {
    let name = names.declared_at(meaning)?;
    let survey = names.survey(name.file);
    let statement = survey.statements.get(survey.statement_at(name.span.start)?)?;
    Some(code_in_markdown(&one_blank(statement.head.of(names.sources.text(name.file)).trim())))
}

fn about_item(asked: &Asked<'_>, id: DeclId) -> Option<String> {
    let names = asked.names;
    let item = names.scopes.item(id)?;
    let name = item.name()?;
    let (what, body) = match item {
        Item::Let(_) => {
            let figure = asked.report.resolver.let_figure(id);
            let value = figure.map(|figure| {
                let unit = match figure.dimension {
                    Dimension::Percent => " %",
                    Dimension::Mass => " g",
                    Dimension::Volume => " mL",
                    Dimension::Density => " g/mL",
                    Dimension::Temperature => " °C",
                    Dimension::Time => " s",
                    _ => "",
                };
                format!("\n\n= {}{unit}", figure.value.to_significant(10))
            });
            let written = written(names, &Meaning::Declared(id))?;
            ("figure", format!("{written}{}", value.unwrap_or_default()))
        }
        Item::Formula(_) => ("formula", about_formula(asked, id)),
        Item::Variant(variant) => {
            let of = format!("Of {}.\n\n", code_in_markdown(&variant.base.text));
            ("variant", format!("{of}{}", about_formula(asked, id)))
        }
        Item::Container(container) => {
            let text = names.sources.text(id.file);
            ("container", code_in_markdown(&one_blank(container.span.of(text))))
        }
        Item::Batch(_) => ("batch", String::new()),
        Item::Substance(_) => ("substance", facts(names, id)),
        Item::Material(_) => ("material", facts(names, id)),
        Item::Group(_) => ("group", facts(names, id)),
        Item::Rule(_) => ("rule", facts(names, id)),
        _ => return None,
    };
    let from = match names.sources.home(id.file) {
        Some(_) => String::new(),
        None => " of the shelf".to_string(),
    };
    Some(format!("**{}**: a {what}{from}\n\n{body}", code_in_markdown(&name.text)).trim().to_string())
}

/// Every fact, a line each, with its source; one that all share stands at the end.
fn facts(names: &Names<'_>, id: DeclId) -> String {
    let known = known(names, id);
    let mut sources: Vec<String> = known.iter().filter_map(source_words).collect();
    sources.sort_unstable();
    sources.dedup();
    let shared = sources.len() == 1 && known.iter().all(|fact| fact.source.is_some());
    let mut lines: Vec<String> = known
        .iter()
        .map(|fact| {
            let source = source_words(fact).filter(|_| !shared).map(|source| format!(" *({source})*"));
            format!("- {}: {}{}", fact.about, in_markdown(&fact.says), source.unwrap_or_default())
        })
        .collect();
    if let Some(source) = sources.first().filter(|_| shared) {
        lines.push(format!("\nSource: {source}"));
    }
    lines.join("\n")
}

fn source_words(fact: &KnownFact) -> Option<String> {
    fact.source.as_ref().map(|source| in_markdown(&source.text))
}

/// The facts of a declaration, with those of the material it is like that it does not restate.
pub(in crate::editor) fn known(names: &Names<'_>, id: DeclId) -> Vec<KnownFact> {
    let mut all: Vec<KnownFact> = Vec::new();
    let mut next = Some(id);
    for _ in 0..MOST_LIKE {
        let Some((id, item)) = next.and_then(|id| Some((id, names.scopes.item(id)?))) else { break };
        let restated: Vec<&str> = all.iter().map(|fact| fact.field).filter(|field| *field != "like").collect();
        let own = facts_of(item, names.sources.text(id.file)).unwrap_or_default();
        let new: Vec<KnownFact> = own.into_iter().filter(|fact| !restated.contains(&fact.field)).collect();
        all.extend(new);
        next = like(names, id, item);
    }
    all
}

fn like(names: &Names<'_>, id: DeclId, item: &Item) -> Option<DeclId> {
    let Item::Material(material) = item else { return None };
    let like = material.like.as_ref()?;
    let found = match like.text == material.name.text {
        true => names.scopes.find_used(id.file, NameSet::Weighable, &like.text),
        false => names.scopes.find(id.file, NameSet::Weighable, &like.text),
    };
    found.filter(|found| *found != id)
}

/// The title, the batch, the window and what is foreseen of a formula.
fn about_formula(asked: &Asked<'_>, id: DeclId) -> String {
    let Some(report) = asked.report.formulas.iter().find(|report| report.formula.id == id) else {
        return String::new();
    };
    let formula = &report.formula;
    let mut lines: Vec<String> = Vec::new();
    lines.extend(formula.title.as_ref().map(|title| in_markdown(title)));
    lines.extend(formula.version.as_ref().map(|version| format!("Version {}", in_markdown(version))));
    if let Some(sheet) = sheet(asked.names.sources, asked.report, report, asked.order) {
        lines.push(format!("Batch of {} g", sheet.total_g));
        if let Some(ph) = &sheet.ph {
            if let [Some(low), Some(high)] = &ph.window {
                lines.push(format!("pH {low} to {high}"));
            }
            lines.extend(ph.words.iter().map(|words| sentence_in_markdown(words)));
        }
    }
    let lines: Vec<String> = lines.into_iter().map(|line| format!("- {line}")).collect();
    lines.join("\n")
}

/// A file after `use`: what it is about, and how much it has.
pub(super) fn about_file(asked: &Asked<'_>, file: FileId, span: Span, typed: &str) -> Option<String> {
    if let Some(name) = typed.strip_prefix("shelf/") {
        let found = files().into_iter().find(|file| file.name == name)?;
        let counts = found.counts.iter().filter(|(_, count)| *count > 0);
        let counts: Vec<String> = counts
            .map(|(kind, count)| format!("{count} {}{}", kind_word(*kind), if *count == 1 { "" } else { "s" }))
            .collect();
        let about = in_markdown(found.about);
        return Some(format!("**{}** of the shelf\n\n{about}\n\n{}", code_in_markdown(name), counts.join(", ")));
    }
    let link = links(asked.names, file).into_iter().find(|link| link.span == span)?;
    let source = asked.names.sources.home(link.to)?;
    let declared: Vec<String> =
        source.tree.items.iter().filter_map(Item::name).take(24).map(|name| code_in_markdown(&name.text)).collect();
    Some(format!("**{}**\n\n{}", in_markdown(&asked.names.sources.path(link.to)), declared.join(", ")))
}
