//! The bench: one act of a batch at a time, for a phone that is propped against a jar.

use crate::batch::View;
use crate::batch::writing::last_entry;
use crate::model::{Batch, Formula, Happened};
use crate::page::{CurveReading, PhDrawing, curve, named, prose};
use crate::quantity::Exact;
use crate::render::{BenchJson, shown};
use crate::resolve::Resolver;
use crate::server::address;
use crate::server::answer::Page;
use crate::server::bench::{Answer, BenchSight, Kind, LotOnHand, Panel, Standing, bench_body, lots_on_hand};
use crate::server::inside::Inside;
use crate::server::pages::text::unread_record;
use crate::server::refusal::Refusal;
use crate::server::routes::Asked;
use crate::server::workroom::Workroom;
use crate::session::Report;
use crate::sheet::BatchOrder;
use crate::sheet::ph::{MODEL, outlook};
use crate::syntax::one_blank;
use crate::syntax::tree::{Batch as Written, BatchEntry, Item};
use crate::workspace::Source;
use maud::{Markup, html};

/// The page of a batch, by its file and its name.
///
/// # Errors
/// What is no batch of the folder.
pub fn show(workroom: &Workroom, file: &str, name: &str, asked: &Asked) -> Result<Page, Refusal> {
    let panel = asked.get("show").and_then(|word| Panel::of(word));
    seen(workroom, &workroom.inside(file)?, name, panel, Answer::default())
}

/// The page as it is after an answer.
///
/// # Errors
/// What is no batch of the folder.
pub fn seen(
    workroom: &Workroom,
    file: &Inside,
    name: &str,
    panel: Option<Panel>,
    answer: Answer,
) -> Result<Page, Refusal> {
    let version = workroom.read(file)?.version;
    let today = workroom.now().day;
    let address = address::batch(file.name(), name);
    let page = workroom.saved(|session| {
        let report = session.check(&BatchOrder::default());
        let (source, batch) = match found(&report, file, name) {
            Ok(found) => found,
            Err(none) => return source_of(&report, file).and_then(|of| unread_record(of, file, name)).ok_or(none),
        };
        let view = View::with(&report.resolver, &batch, None, report.unfit(&batch));
        let bench = view.as_ref().map(|view| BenchJson::new(&batch, view, Vec::new()));
        let standing = view.as_ref().zip(bench.as_ref()).map(|(view, bench)| {
            let standing = Standing::of(&batch, view, bench).with_fill(&report.resolver);
            let standing = standing.with_care(&report.resolver, &batch);
            Standing { curve: drawn(&report.resolver, &batch, view), ..standing }
        });
        let lots = standing.as_ref().map(|standing| lots(&report.resolver, &batch, standing, &today));
        let is_asked = |panel: Panel| {
            let asked = standing.as_ref().and_then(|standing| standing.question.kind);
            matches!(panel, Panel::Of(kind) if asked == Some(kind))
        };
        // What was typed into the form of the act stays there.
        let panel = panel.filter(|panel| answer.notice.is_none() || !is_asked(*panel));
        let sight = BenchSight {
            address: &address,
            file: file.name(),
            version: version.digits(),
            faults: report.of_batch(&batch).map(|fault| (fault.level.word(), fault.message.clone())).collect(),
            entries: written(source, name).map(|batch| entries(source, batch)).unwrap_or_default(),
            last: written(source, name).and_then(|batch| last_entry(&source.text, batch)),
            lots: lots.unwrap_or_default(),
            batch: &batch,
            standing,
            panel,
            answer,
        };
        let lead = lead(workroom, &report, &batch, sight.standing.as_ref());
        let title = title(&batch, sight.standing.as_ref());
        Ok(Page {
            lead,
            scripts: &["watch.js", "bench.js"],
            version: Some(version.clone()),
            ..Page::new(title, "bench-page", bench_body(&sight))
        })
    });
    let past = workroom.held_against(name);
    page.map(|page| Page {
        lead: html! { (page.lead) @if let Some(past) = &past { p { "Held against " (prose(past)) "." } } },
        ..page
    })
}

/// A batch of a file, as it stands on the disk.
fn found<'r>(report: &Report<'r>, file: &Inside, name: &str) -> Result<(&'r Source, Batch), Refusal> {
    let batch = source_of(report, file).and_then(|source| {
        let batch = report.resolver.batches_of(source).into_iter().find(|batch| batch.name == name)?;
        Some((source, batch))
    });
    batch.ok_or_else(|| {
        let (name, file) = (shown(name), shown(file.name()));
        Refusal::not_found(format!("There is no batch `{name}` in `{file}`."))
    })
}

/// A file among those that were read.
fn source_of<'r>(report: &Report<'r>, file: &Inside) -> Option<&'r Source> {
    report.resolver.sources.files.iter().find(|source| source.absolute == file.path())
}

/// The record as it is written.
fn written<'s>(source: &'s Source, name: &str) -> Option<&'s Written> {
    source.tree.items.iter().find_map(|item| match item {
        Item::Batch(batch) if batch.name.text == name => Some(batch),
        _ => None,
    })
}

/// Every statement of a record but its plan.
fn entries(source: &Source, batch: &Written) -> Vec<String> {
    let own = batch.entries.iter().filter(|entry| !matches!(entry.entry, BatchEntry::Plan(_)));
    own.filter_map(|entry| source.text.get(entry.span.range())).map(|text| one_blank(text).to_string()).collect()
}

/// The lots on hand of what is asked for, where none of it is written down yet.
fn lots(resolver: &Resolver<'_>, batch: &Batch, standing: &Standing<'_>, today: &str) -> Vec<LotOnHand> {
    let asks = matches!(standing.question.kind, Some(Kind::Weighed | Kind::Added | Kind::ToppedUp));
    let Some(material) = standing.question.material.as_ref().filter(|_| asks) else { return Vec::new() };
    if batch.lots.iter().any(|lot| lot.material.text == material.name) {
        return Vec::new();
    }
    lots_on_hand(resolver, &material.name, today)
}

/// The curve that is foreseen, with the readings on it.
fn drawn(resolver: &Resolver<'_>, batch: &Batch, view: &View<'_>) -> Option<Markup> {
    let setting = &view.setting;
    let readings = doses_read(batch, &setting.formula);
    let most = readings.iter().map(|reading| reading.grams).fold(0.0, f64::max);
    let foreseen = outlook(setting.resolver(resolver), &setting.formula, MODEL);
    let drawing = PhDrawing::of(&setting.formula, foreseen.as_ref(), &setting.plan.batch, most)?;
    Some(curve(&drawing, &readings))
}

/// Each reading with what of the adjuster was in.
fn doses_read(batch: &Batch, formula: &Formula) -> Vec<CurveReading> {
    let mut added = Exact::ZERO;
    let mut readings = Vec::new();
    for event in &batch.events {
        match &event.what {
            Happened::Added(material, grams, None) if formula.adjusters().any(|line| line.name == material.text) => {
                added = &added + grams;
            }
            Happened::Read(reading) => {
                readings.push(CurveReading { grams: added.to_f64(), ph: reading.middle().to_f64() });
            }
            _ => {}
        }
    }
    readings
}

/// Batch and formula.
fn title(batch: &Batch, standing: Option<&Standing<'_>>) -> String {
    let formula = standing.map(|standing| &standing.view.setting.formula);
    match formula {
        Some(formula) => match formula.title.as_ref().filter(|title| **title != formula.name) {
            Some(title) => format!("{} · {title} ({})", batch.name, formula.name),
            None => format!("{} · {}", batch.name, formula.name),
        },
        None => match &batch.formula {
            Some(formula) => format!("{} · {}", batch.name, formula.text),
            None => batch.name.to_string(),
        },
    }
}

/// The version, the code on the jars, and the way to the formula.
fn lead(workroom: &Workroom, report: &Report<'_>, batch: &Batch, standing: Option<&Standing<'_>>) -> Markup {
    let name = batch.formula.as_ref().map(|formula| formula.text.as_str());
    let home = name.and_then(|name| {
        let mut formulas = report.formulas.iter();
        let formula = formulas.find(|formula| formula.formula.name == name)?;
        let path = &report.resolver.sources.home(formula.formula.id.file)?.absolute;
        Some(address::formula(&workroom.name_of(path)?, name))
    });
    let version = standing.and_then(|standing| standing.bench.version.clone());
    html! {
        p {
            @if let Some(home) = home { a href=(home) { "Formula" } } @else { "Formula" }
            @if let Some(version) = &version { " version " (named(version)) }
            @if let Some(code) = &batch.code { ", code " (named(code)) }
        }
    }
}
