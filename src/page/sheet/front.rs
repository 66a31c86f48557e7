//! The side of a sheet that is worked by: what to take care of, what is weighed, the readings, the steps, and what came
//! of it.

use super::bench::SheetBench;
use crate::page::{named, prose};
use crate::render::{
    ADDITION_ROWS, Blank, Sheet, SheetLine, SheetPhase, after_blanks, before_filling, called, for_maker, gathered,
    held_words, holding, lines_of, outcome_blanks, ready, sheet_window,
};
use maud::{Markup, html};

/// The working side.
pub(super) struct Front<'a> {
    /// The sheet, fit to be shown.
    pub sheet: &'a Sheet,
    /// Its steps as they are written: one may run over lines.
    pub steps: &'a [String],
    /// What the script goes by.
    pub bench: Option<&'a SheetBench>,
    /// Which sheet of the page it is.
    pub number: usize,
}

/// What stands below the name.
pub(super) fn lead(sheet: &Sheet) -> Markup {
    let version = sheet.version.as_ref().map(|version| format!(", version {version}")).unwrap_or_default();
    html! {
        p.lead {
            span { code { (named(&sheet.formula)) } (version) }
            span { strong { (sheet.batch_g) " g" } " (" (sheet.asked) ")" }
            @if let Some(window) = sheet_window(sheet) { span { "pH " (window) } }
        }
    }
}

impl Front<'_> {
    pub(super) fn markup(&self) -> Markup {
        html! {
            (self.who())
            (self.care())
            (self.before())
            (self.weigh())
            div.work { (self.ph()) (self.steps()) }
            (self.outcome())
            @if self.bench.is_some() { (record()) }
        }
    }

    fn id(&self, name: &str) -> String {
        format!("s{}-{name}", self.number)
    }

    /// A blank with its words above it.
    fn blank(&self, name: &str, words: &str, kind: &str, value: &str) -> Markup {
        let id = self.id(name);
        html! {
            div.blank-field {
                label for=(id) { (words) }
                input id=(id) data-keep=(name) type=(if kind == "date" { "date" } else { "text" }) inputmode=[(kind == "figure").then_some("decimal")]
                    value=[(!value.is_empty()).then_some(value)] autocomplete="off" spellcheck="false";
            }
        }
    }

    fn who(&self) -> Markup {
        let made_on = self.sheet.keeps.as_ref().and_then(|keeps| keeps.made_on.as_deref()).unwrap_or_default();
        html! {
            section.who aria-label="Batch" {
                (self.blank("code", "Batch code", "text", self.sheet.batch_code.as_deref().unwrap_or_default()))
                (self.blank("made-on", "Made on", "date", made_on))
                (self.blank("made-by", "Made by", "text", ""))
            }
            @if self.sheet.batch_g != self.sheet.asked_g {
                p { "The weights on these scales add to " (self.sheet.batch_g) " g; " (self.sheet.asked_g) " g were asked for." }
            }
        }
    }

    fn care(&self) -> Markup {
        let sheet = self.sheet;
        if sheet.cautions.is_empty() && sheet.warnings().next().is_none() {
            return html! {};
        }
        html! {
            section.care aria-label="Take care" {
                h2 { "Take care" }
                ul {
                    @for of in sheet.warnings() { li { strong { "Warning" } " (" (of.code) "): " (prose(&of.message)) } }
                    @for (of, texts) in gathered(&sheet.cautions) {
                        li { @if !of.is_empty() { strong { (named(of)) } ": " } (named(&texts.join(" "))) }
                    }
                }
            }
        }
    }

    fn tick(&self, name: &str, words: &Markup) -> Markup {
        let id = self.id(name);
        html! { li { span.tick { input type="checkbox" id=(id) data-keep=(name); } label for=(id) { (words) } } }
    }

    fn before(&self) -> Markup {
        let made_ready = ready(self.sheet);
        html! {
            section aria-label="Before you start" {
                h2 { "Before you start" }
                ul.ticks {
                    @for (name, words) in &made_ready.ticks { (self.tick(name, &html! { (words) })) }
                    @if let Some((words, buffer)) = &made_ready.meter {
                        (self.tick("ready-meter", &html! { (words) }))
                        li.buffer {
                            @let id = self.id("buffer");
                            label for=(id) { "It shows the buffer of pH " (buffer) " as" }
                            input id=(id) data-keep="buffer" data-buffer=(buffer) type="text" inputmode="decimal" autocomplete="off";
                        }
                    }
                }
            }
        }
    }

    fn weigh(&self) -> Markup {
        let mut at = 0_usize;
        html! {
            section aria-label="What is weighed" {
                table.weigh role="table" {
                    caption { "Weigh" }
                    // Roles as they are by themselves: on a phone the rows are laid out anew, and stay rows.
                    thead role="rowgroup" { tr role="row" {
                        th role="columnheader" scope="col" { span.unseen { "Done" } }
                        th role="columnheader" scope="col" { "Material" }
                        th.figure.share role="columnheader" scope="col" { "%" }
                        th.figure role="columnheader" scope="col" { "Weigh now, g" }
                        th role="columnheader" scope="col" { span.entries { span { "Lot" } span { "Weighed, g" } } }
                    } }
                    @for (number, phase) in self.sheet.phases.iter().enumerate() {
                        @if !phase.lines.is_empty() {
                            tbody role="rowgroup" {
                                (self.phase(number, phase))
                                @for line in &phase.lines { (self.line(line, at)) ({ at += 1; "" }) }
                            }
                        }
                    }
                    tfoot role="rowgroup" { tr role="row" {
                        td role="cell" {} th role="rowheader" scope="row" { "All weights together" } td.share role="cell" {}
                        td.grams role="cell" { (self.sheet.total_g) } td role="cell" { "g" }
                    } }
                }
                (self.held_back())
            }
        }
    }

    fn phase(&self, number: usize, phase: &SheetPhase) -> Markup {
        let temperature = |name: &str, word: &str, asked: &Option<String>| {
            html! {
                @if let Some(asked) = asked {
                    @let id = self.id(&format!("{name}-{number}"));
                    span.reach {
                        strong { (word) " to " (asked) " °C" } ", "
                        label for=(id) { "reached" }
                        input id=(id) data-keep=(format!("{name}-{number}")) type="text" inputmode="decimal" autocomplete="off"
                            aria-label=(format!("{} reached, °C", phase.name));
                        " °C"
                    }
                }
            }
        };
        html! {
            tr.phase role="row" { th role="rowheader" colspan="5" scope="rowgroup" {
                span.phase-name { (named(&phase.name)) @if let Some(title) = &phase.title { " · " (named(title)) } }
                (temperature("heated", "heat", &phase.heat_c))
                (temperature("cooled", "cool", &phase.cool_c))
            } }
        }
    }

    fn line(&self, line: &SheetLine, at: usize) -> Markup {
        let called = called(line);
        html! {
            tr id=(self.id(&format!("line-{at}"))) role="row" data-line=(at) {
                td.box role="cell" {
                    @if line.at_bench { span.soft aria-hidden="true" { "·" } }
                    @else { label.tick { input type="checkbox" data-keep=(format!("tick-{at}")) aria-label=(format!("{called} weighed")); } }
                }
                th role="rowheader" scope="row" {
                    (named(called))
                    @if let Some(because) = &line.because { span.because { (prose(because)) } }
                }
                td.figure.share role="cell" { (line.percent.as_deref().map_or_else(|| "to pH".to_string(), for_maker)) }
                td.grams role="cell" {
                    @match (&line.first_weighing_g, &line.grams) {
                        (Some(first), _) => { (first) span.first { " first" } }
                        (None, Some(grams)) => (grams),
                        (None, None) => span.soft { "at the bench" },
                    }
                }
                td role="cell" { span.entries {
                    input type="text" data-keep=(format!("lot-{at}")) aria-label=(format!("{called}, lot")) placeholder="lot" autocomplete="off" spellcheck="false";
                    @if line.at_bench { span.soft { "see Readings" } }
                    @else { input type="text" inputmode="decimal" data-keep=(format!("grams-{at}")) aria-label=(format!("{called}, g")) placeholder="g" autocomplete="off"; }
                } }
            }
        }
    }

    fn held_back(&self) -> Markup {
        html! {
            @for line in holding(self.sheet) {
                @let (of, after) = held_words(line);
                p.held { strong { (line.held_back_g.as_deref().unwrap_or_default()) " g" } (of) (named(called(line))) (after) }
            }
        }
    }

    fn ph(&self) -> Markup {
        let adjusters: Vec<&SheetLine> = lines_of(self.sheet).filter(|line| line.at_bench).collect();
        let words = self.sheet.ph.iter().flat_map(|ph| &ph.words);
        let test: Vec<&String> = self.sheet.ph.iter().flat_map(|ph| &ph.beaker_test).collect();
        if adjusters.is_empty() && self.sheet.ph.as_ref().is_none_or(|ph| ph.words.is_empty()) {
            return html! {};
        }
        html! {
            section.ph aria-label="pH" {
                @if adjusters.is_empty() { h2 { "The pH" } } @else {
                    h2 { "Bring to the window" @if let Some(window) = sheet_window(self.sheet) { ": pH " (window) } }
                    p { @for adjuster in &adjusters { (named(called(adjuster))) @if let Some(from) = &adjuster.from { ", out of the " code { (named(from)) } " held back" } "; " }
                        "a little at a time: weigh what goes in, stir, wait, read. The meter decides." }
                }
                ul.foreseen { @for words in words { li { (prose(words)) } } }
                @if let Some((what_for, steps)) = test.split_first() {
                    p { (prose(what_for)) }
                    ul { @for step in steps { li { (prose(step)) } } }
                }
                @if !adjusters.is_empty() { (self.readings()) }
            }
        }
    }

    fn readings(&self) -> Markup {
        let figure = |name: String, words: &str| html! { input type="text" inputmode="decimal" data-keep=(name) aria-label=(words) autocomplete="off"; };
        let held = holding(self.sheet).next();
        html! {
            table.readings {
                caption { "Readings" }
                thead { tr { th scope="col" { "Row" } th scope="col" { "Added, g" } th scope="col" { "In all, g" } th scope="col" { "pH read" } } }
                tbody {
                    tr { th scope="row" { "before any" } td { "—" } td { "0" } td { (figure("ph-0".to_string(), "pH read")) } }
                    @for row in 1..=ADDITION_ROWS {
                        tr {
                            th scope="row" { (row) }
                            td { (figure(format!("added-{row}"), "Added, g")) }
                            td.sum data-sum=(row) {}
                            td { (figure(format!("ph-{row}"), "pH read")) }
                        }
                    }
                }
            }
            div.status.screen-only role="status" aria-label="Next addition" data-says="next" { "Read the pH before any is added." }
            div.status role="status" aria-label="Top up" data-says="top-up" {
                @if let Some(held) = held {
                    "Top up with " (named(called(held))) ": " strong { (held.held_back_g.as_deref().unwrap_or_default()) " g" }
                    " less all that was added = " span.blank {} " g"
                } @else { "Nothing is held back." }
            }
        }
    }

    fn steps(&self) -> Markup {
        html! {
            @if !self.steps.is_empty() {
                section.steps aria-label="Steps" {
                    h2 { "Steps" }
                    ol {
                        @for (number, step) in self.steps.iter().enumerate() {
                            (self.tick(&format!("step-{number}"), &html! {
                                @for (at, line) in step.split('\n').enumerate() { @if at > 0 { br; } (named(line)) }
                            }))
                        }
                    }
                }
            }
        }
    }

    fn outcome(&self) -> Markup {
        let sheet = self.sheet;
        let blank = |of: &Blank| self.blank(of.name, &of.words, if of.is_figure { "figure" } else { "text" }, "");
        html! {
            section.outcome aria-label="What came of it" {
                h2 { "Before filling" }
                ul.ticks { @for (name, words) in before_filling() { (self.tick(name, &html! { (words) })) } }
                div.blanks { @for of in outcome_blanks(sheet) { (blank(&of)) } }
                @if let Some(fill) = &sheet.fill { p { (prose(&fill.words())) } }
                @if let Some(keeps) = &sheet.keeps { p { (keeps.words()) } }
                @if let Some(unpreserved) = &sheet.unpreserved { p { (prose(unpreserved)) } }
                div.blanks.after { @for of in after_blanks() { (blank(&of)) } }
            }
        }
    }
}

/// What hands the record out. It works by the script alone, and without one says so.
fn record() -> Markup {
    html! {
        section.record.screen-only aria-label="Record" {
            h2 { "The record" }
            p { "What is typed here stays on this device. Hand it out as text, and paste it into the file of the formula, or save it as a file beside it." }
            noscript { p.said.warning { "This page cannot keep or add up anything, as scripts are switched off in this browser. It prints all the same." } }
            div.row {
                button.first type="button" data-does="copy" { "Copy the record" }
                button type="button" data-does="save" { "Save the record" }
                button type="button" data-does="anew" { "Start anew" }
            }
            p.kept role="status" data-says="kept" {}
            details { summary { "The record as text" } textarea.code readonly aria-label="The record as text" data-says="record" spellcheck="false" {} }
        }
        a.next-act.screen-only href="#content" data-says="act" hidden {}
    }
}
