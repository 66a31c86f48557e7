//! What the act rests on: the beaker, the readings, the doubt and what decides it, the record so far.

use super::act::{boxed, hidden};
use super::entry::{Kind, Slot};
use super::question::{Field, Printed};
use super::sight::{BenchSight, Standing};
use crate::batch::advise::{Cause, Doubt};
use crate::model::{Batch, Event, Happened};
use crate::page::{named, prose};
use crate::quantity::Exact;
use crate::render::{BenchJson, BenchReserve, shown};
use crate::server::address;
use maud::{Markup, html};

/// What the readings make one doubt, with the act that would decide it.
pub fn doubt(sight: &BenchSight<'_>, standing: &Standing<'_>) -> Markup {
    let doubts: Vec<&Doubt> = standing.view.advice.iter().flat_map(|advice| &advice.doubts).collect();
    let Some(first) = doubts.first() else { return html! {} };
    html! {
        section.card aria-labelledby="doubt" {
            h2 id="doubt" { "Doubt" }
            ul.said {
                @for doubt in &doubts {
                    li.warning {
                        span.level { (doubt_words(doubt)) }
                        span.help { "To decide it: " (prose(&super::reason::without_statements(&doubt.test))) }
                    }
                }
            }
            (decides(sight, standing, first))
        }
    }
}

fn doubt_words(of: &Doubt) -> String {
    format!("{}, {} ({:.0} in 100)", capital(of.cause.words()), of.size, of.share * 100.0)
}

fn capital(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map(|first| first.to_uppercase().chain(letters).collect()).unwrap_or_default()
}

/// The form of the act that decides the likeliest doubt; none where the act that is next is that one.
fn decides(sight: &BenchSight<'_>, standing: &Standing<'_>, doubt: &Doubt) -> Markup {
    if standing.question.kind == Some(Kind::Calibrated) {
        return html! {};
    }
    if let Cause::Slip { reading } = doubt.cause {
        let Some(said) = nth_reading(sight.batch, reading) else { return html! {} };
        let reason = Field { value: "typed wrong".to_string(), ..Field::of(Slot::Because, "Why it is struck") };
        return html! {
            form.decide method="post" action=(sight.address) autocomplete="off" data-act="struck" novalidate {
                (hidden(sight, Kind::Struck))
                input type="hidden" name="statement" value=(said);
                (boxed(sight, Kind::Struck, "doubt", &reason, false))
                button type="submit" { "Strike out reading " (reading) }
            }
        };
    }
    let Some(buffer) = doubt.buffer else { return html! {} };
    let boxes = [
        Field { value: format!("{buffer:.2}"), ..Field::of(Slot::Buffer, "The buffer") },
        Field::of(Slot::Ph, "What the meter shows"),
    ];
    html! {
        form.decide method="post" action=(sight.address) autocomplete="off" data-act="calibrated" novalidate {
            (hidden(sight, Kind::Calibrated))
            @for field in &boxes { (boxed(sight, Kind::Calibrated, "doubt", field, false)) }
            button type="submit" { "Enter what the buffer reads" }
        }
    }
}

/// The words of a reading, counted from 1, with its stamps where it has any: so that no other like it is struck.
fn nth_reading(batch: &Batch, number: usize) -> Option<String> {
    let (at, ..) = batch.readings().nth(number.checked_sub(1)?)?;
    let event = batch.events.get(at)?;
    let on = event.on.as_ref().map(|day| format!(" on {day}")).unwrap_or_default();
    let hour = event.at.as_ref().map(|hour| format!(" at {hour}")).unwrap_or_default();
    Some(format!("{}{on}{hour}", event.said))
}

/// What is in the beaker.
pub fn beaker(standing: &Standing<'_>) -> Markup {
    let (view, bench) = (standing.view, standing.bench);
    let in_it = view.ledger.grams(&view.ledger.weights.total());
    html! {
        section.card aria-labelledby="beaker" {
            h2 id="beaker" { "Beaker" }
            dl.facts {
                dt { "In it now" } dd { strong { (in_it) " g" } }
                @if is_more_than_nothing(&bench.held_back_g) {
                    dt { "Held back" } dd { (bench.held_back_g) " g" }
                    @if let Some(lacking) = bench.weighed_before_g.strip_prefix('-') {
                        @if is_more_than_nothing(lacking) { dt { "Weighed too little" } dd { (lacking) " g" } }
                    } @else if is_more_than_nothing(&bench.weighed_before_g) {
                        dt { "In of that already" } dd { (bench.weighed_before_g) " g" }
                    }
                    dt { "Used of that" } dd { (bench.adjuster_used_g) " g" }
                    dt { "Left of that" } dd { (bench.left_of_reserve_g) " g" }
                    @if is_more_than_nothing(&bench.over_reserve_g) { dt { "Over it" } dd { (bench.over_reserve_g) " g" } }
                }
                dt { "To top up" } dd { (bench.top_up_g) " g" }
                @if let Some(whole) = &bench.top_up_to_g { dt { "Then it weighs" } dd { (whole) " g, by the scale" } }
            }
            @if bench.reserves.len() > 1 { (reserves(standing, &bench.reserves)) }
            (setbacks(bench))
            (lines(standing))
        }
    }
}

fn reserves(standing: &Standing<'_>, all: &[BenchReserve]) -> Markup {
    html! {
        div.scroll {
            table {
                caption { "Held back, one by one" }
                thead { tr { th scope="col" { "Material" } th.figure scope="col" { "Left, g" } th.figure scope="col" { "To top up, g" } } }
                tbody {
                    @for of in all {
                        tr {
                            th scope="row" { (named(&Printed::of(standing.view, &of.material).title)) }
                            td.figure { (of.left_g) } td.figure { (of.top_up_g) }
                        }
                    }
                }
            }
        }
    }
}

fn setbacks(bench: &BenchJson) -> Markup {
    let told = bench.setback_words();
    html! { @if !told.is_empty() { ul.said { @for words in &told { li.advice { (prose(&capital(words))) } } } } }
}

fn lines(standing: &Standing<'_>) -> Markup {
    html! {
        table {
            caption { "Lines" }
            thead { tr { th scope="col" { "Material" } th.figure scope="col" { "To weigh, g" } th.figure scope="col" { "In, g" } } }
            tbody {
                @for line in &standing.bench.plan {
                    tr.done[line.weighed_g.is_some()] {
                        th scope="row" {
                            @if line.weighed_g.is_some() { span aria-hidden="true" { "✓ " } }
                            (named(&Printed::of(standing.view, &line.material).title))
                        }
                        td.figure { (line.grams.as_deref().unwrap_or("to pH")) }
                        td.figure { (line.weighed_g.as_deref().unwrap_or("")) }
                    }
                }
            }
        }
    }
}

fn is_more_than_nothing(figure: &str) -> bool {
    figure.chars().any(|digit| !matches!(digit, '0' | '.'))
}

/// The curve with the readings on it, and each reading.
pub fn readings(batch: &Batch, standing: &Standing<'_>) -> Markup {
    let bench = standing.bench;
    if bench.ph_window.iter().all(Option::is_none) && batch.readings().next().is_none() {
        return html! {};
    }
    html! {
        section.card aria-labelledby="readings" {
            h2 id="readings" { "Readings" }
            @if let Some(truth) = &bench.ph_true { p { (capital(&truth.words())) "." } }
            @if let Some(counts) = bench.ph_counts_as { p { "The last reading counts as " (format!("{counts:.2}")) ", by the buffer." } }
            @if let Some(curve) = &standing.curve { figure { (curve) } }
            (read(batch, standing))
        }
    }
}

fn read(batch: &Batch, standing: &Standing<'_>) -> Markup {
    let rows = reading_rows(batch, standing);
    html! {
        @if rows.is_empty() { p.soft { "Nothing was read yet." } }
        @else {
            div.scroll {
                table {
                    thead { tr { th scope="col" { "No." } th.figure scope="col" { "Adjuster in, g" } th scope="col" { "pH read" } th scope="col" { "When" } } }
                    tbody {
                        @for (number, row) in rows.iter().enumerate() {
                            tr { th scope="row" { (number + 1) } td.figure { (row.adjuster) } td.read { strong { (shown(&row.read)) } } td.when { (shown(&row.when)) } }
                        }
                    }
                }
            }
        }
    }
}

/// A reading in the table.
struct ReadingRow {
    adjuster: String,
    read: String,
    when: String,
}

fn reading_rows(batch: &Batch, standing: &Standing<'_>) -> Vec<ReadingRow> {
    let formula = &standing.view.setting.formula;
    let mut added = Exact::ZERO;
    let mut rows = Vec::new();
    for event in &batch.events {
        match &event.what {
            Happened::Added(material, grams, None) if formula.adjusters().any(|line| line.name == material.text) => {
                added = &added + grams;
            }
            Happened::Read(_) => rows.push(ReadingRow {
                adjuster: standing.view.ledger.grams(&added),
                read: event.said.strip_prefix("reading").unwrap_or(&event.said).trim().to_string(),
                when: when(event),
            }),
            _ => {}
        }
    }
    rows
}

fn when(event: &Event) -> String {
    [&event.on, &event.at].into_iter().flatten().map(ToString::to_string).collect::<Vec<_>>().join(" ")
}

/// What is wrong with the record.
pub fn faults(sight: &BenchSight<'_>) -> Markup {
    html! {
        @if !sight.faults.is_empty() {
            section.card aria-labelledby="faults" {
                h2 id="faults" { "What is told of the record" }
                ul.said {
                    @for (level, words) in &sight.faults {
                        li class=(level) { span.level { (capital(level)) } ": " (prose(words)) }
                    }
                }
                @if sight.faults.iter().any(|(level, _)| *level == "error") {
                    p { a.button href=(address::formula(sight.file, &sight.batch.name)) { "Mend it in its text" } }
                }
            }
        }
    }
}

/// So many of the latest statements are shown at once; the rest stands behind a fold.
const LATEST: usize = 12;

/// The record so far, as it stands in the file, the latest first.
pub fn written(sight: &BenchSight<'_>) -> Markup {
    let latest: Vec<&String> = sight.entries.iter().rev().collect();
    let (new, old) = latest.split_at_checked(LATEST).unwrap_or((&latest, &[]));
    html! {
        section.card aria-labelledby="record" {
            h2 id="record" { "Record" }
            ol.record reversed start=(latest.len()) { @for entry in new { (statement(entry)) } }
            @if !old.is_empty() {
                details {
                    summary { "The " (old.len()) " before" }
                    ol.record reversed start=(old.len()) { @for entry in old { (statement(entry)) } }
                }
            }
        }
    }
}

/// A statement as it is written; of one that was struck out, its reason stands beside what is struck.
fn statement(entry: &str) -> Markup {
    let struck = entry.strip_prefix("struck ").and_then(|rest| rest.rsplit_once(" because "));
    html! {
        li {
            @match struck {
                Some((statement, because)) => { "struck " s { (named(statement)) } " because " (named(because)) },
                None => (named(entry)),
            }
        }
    }
}
