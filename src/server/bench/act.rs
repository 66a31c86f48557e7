//! The act itself: what is to be done, in large type; the box for the figure; the button that writes it down.

use super::entry::{Kind, Slot};
use super::jars::before;
use super::question::{Field, Figure, Printed, Question, Wait};
use super::sight::{BenchSight, Notice, Standing};
use crate::batch::{Do, Stage};
use crate::page::{named, prose};
use crate::render::shown;
use maud::{Markup, html};

/// The act that is next, and all that is needed for it.
pub fn act(sight: &BenchSight<'_>) -> Markup {
    let Some(standing) = &sight.standing else {
        return html! {
            section.next-act role="status" aria-label="Next" {
                p.ask { "This batch can be held against no formula: what is told of the record below says why." }
            }
            (sight.said())
        };
    };
    let question = &standing.question;
    html! {
        section.next-act role="status" aria-label="Next" {
            p.where-it-is { (stage(standing)) }
            (sentence(question))
            @if let Some(expected) = &question.expected { p.expected { (expected) } }
            @if is_worth_saying(question) { p.why { (prose(&question.why)) } }
        }
        (care(standing))
        @if let Some(wait) = &question.wait { (timer(sight, wait)) }
        (sight.said())
        (answer_form(sight, question))
        (lots(sight, standing))
        (before(standing))
        @if let Some(step) = &question.step {
            details.step { summary { "The step on the sheet" } p { (shown(step)) } }
        }
    }
}

/// The stage and how far the weighing is.
fn stage(standing: &Standing<'_>) -> String {
    let lines = || standing.bench.plan.iter().filter(|line| line.grams.is_some());
    let weighed = lines().filter(|line| line.weighed_g.is_some()).count();
    let words = match standing.view.stage {
        Stage::Weighing => "Weighing",
        Stage::Adjusting => "Adjusting the pH",
        Stage::PastWindow => "Past the window",
        Stage::OverReserve => "Over the reserve",
        Stage::Finishing => "Finishing",
        Stage::Filled => "Filled",
        Stage::Released => "Released",
        Stage::Rejected => "Rejected",
    };
    match lines().count() {
        all if weighed < all => format!("{words}: {weighed} of {all} weighed"),
        _ => words.to_string(),
    }
}

/// That a line is next because it is next need not be said.
fn is_worth_saying(question: &Question) -> bool {
    !matches!(question.what, Do::Weigh | Do::Heat | Do::Cool | Do::Wait | Do::Release | Do::Done)
        || question.why.starts_with("Some of it")
}

fn sentence(question: &Question) -> Markup {
    let is_bare = question.figure.is_none() && question.material.is_none();
    html! {
        p.ask.bare[is_bare] {
            (question.opening)
            @if let Some(material) = &question.material { " " strong.material { (named(&material.title)) } }
            @if !question.closing.is_empty() { " " (question.closing) }
            @if question.figure.is_none() { "." }
        }
        @if let Some(figure) = &question.figure { p.large { (large(figure)) } }
    }
}

fn large(figure: &Figure) -> Markup {
    html! {
        @if figure.unit == "pH" { span.unit { "pH " } (figure.digits) }
        @else { (figure.digits) span.unit { " " (figure.unit) } }
    }
}

/// What to take care of with what goes in next: before it is in the hand, and not only on the sheet.
fn care(standing: &Standing<'_>) -> Markup {
    html! {
        @if !standing.care.is_empty() {
            div.care id="care" role="note" aria-label="Take care" {
                @for (of, texts) in &standing.care { p { strong { (named(of)) } ": " (named(&texts.join(" "))) } }
            }
        }
    }
}

/// What waits: the page counts, from the hour that the record has or from when it first showed this.
fn timer(sight: &BenchSight<'_>, wait: &Wait) -> Markup {
    html! {
        div.timer role="timer" aria-label="Wait" data-minutes=[wait.minutes.as_deref()] data-since=[wait.since.as_deref()]
            data-key={ (sight.address) "#" (wait.after) } {
            p.clock { @if let Some(minutes) = &wait.minutes { (minutes) " min" } @else { "As long as it takes" } }
            p.until {}
        }
        p.unseen data-wait-over="" role="status" aria-label="Wait over" {}
    }
}

/// The form by which the act is answered; none where there is nothing to type and nothing to write.
fn answer_form(sight: &BenchSight<'_>, question: &Question) -> Markup {
    let Some(kind) = question.kind else { return html! {} };
    let sure = matches!(&sight.answer.notice, Some(Notice::Sure(_)) if sight.answer.kind == Some(kind));
    html! {
        form.answer method="post" action=(sight.address) autocomplete="off" data-act=(kind.word())
            data-draft={ (kind.word()) "#" (sight.batch.events.len()) } novalidate {
            (hidden(sight, kind))
            @if let Some(Printed { name, .. }) = &question.material { input type="hidden" name="material" value=(name); }
            @for (number, field) in question.fields.iter().enumerate() { (boxed(sight, kind, "now", field, number == 0)) }
            button.first.write type="submit" { "Write down" }
            @if sure {
                button.sure type="submit" name="sure" value="1" { "Yes, I am sure" }
            }
        }
    }
}

/// What goes with every form: the kind of the statement, and the version of the file that was read.
pub(super) fn hidden(sight: &BenchSight<'_>, kind: Kind) -> Markup {
    html! {
        input type="hidden" name="kind" value=(kind.word());
        input type="hidden" name="version" value=(sight.version);
    }
}

/// A box with its name. `place` keeps the boxes of several forms apart.
pub(super) fn boxed(sight: &BenchSight<'_>, kind: Kind, place: &str, field: &Field, is_main: bool) -> Markup {
    let id = format!("{place}-{}-{}", kind.word(), field.slot.word());
    let is_wrong = sight.is_wrong(kind, field.slot);
    let has_care = is_main && place == "now" && sight.standing.as_ref().is_some_and(|of| !of.care.is_empty());
    let described = match (is_wrong, has_care) {
        (true, _) => Some("said"),
        (false, true) => Some("care"),
        (false, false) => None,
    };
    let is_text = matches!(
        field.slot,
        Slot::Because
            | Slot::Text
            | Slot::To
            | Slot::Code
            | Slot::Each
            | Slot::Statement
            | Slot::Material
            | Slot::Expires
    );
    html! {
        div.field.main[is_main].figure-box[!is_text] {
            label for=(id) { (field.label) }
            input id=(id) type="text" name=(field.slot.word()) value=(sight.value(kind, field.slot, &field.value))
                inputmode=(if is_text { "text" } else { "decimal" }) data-main[is_main && place == "now"]
                autocapitalize="off" spellcheck="false" aria-invalid=[is_wrong.then_some("true")]
                aria-describedby=[described] required[!field.may_be_empty];
        }
    }
}

/// What is said of the last answer.
pub(super) fn notice(sight: &BenchSight<'_>) -> Markup {
    match &sight.answer.notice {
        None => html! { div id="said" {} },
        Some(Notice::Written(told)) => html! {
            div id="said" {
                @for words in told { p.said.advice { span.level { "Note" } ": " (prose(words)) } }
            }
        },
        Some(Notice::Refused(told)) => html! {
            div id="said" role="alert" {
                div.said.error {
                    span.level { "Nothing was written" }
                    @for (number, words) in told.iter().enumerate() {
                        @if number == 0 { ": " (prose(words)) } @else { p.help { (prose(words)) } }
                    }
                }
            }
        },
        Some(Notice::Sure(question)) => html! {
            div id="said" role="alert" {
                p.said.warning { span.level { "Asked back" } ": " (prose(question)) }
            }
        },
        Some(Notice::Changed(statement)) if sight.stands(statement) => html! {
            div id="said" { p.said.advice { span.level { "It stands in the record" } ": " code { (shown(statement)) } } }
        },
        Some(Notice::Changed(_)) => html! {
            div id="said" role="alert" {
                div.said.warning {
                    span.level { "The record has changed meanwhile" }
                    ": nothing was written, and what you typed is still here. The last that stands in it:"
                    ul { @for words in sight.entries.iter().rev().take(3) { li { code { (shown(words)) } } } }
                }
            }
        },
    }
}

/// The lot of the material that is asked for: those on hand by one tap, any other by its code.
fn lots(sight: &BenchSight<'_>, standing: &Standing<'_>) -> Markup {
    let question = &standing.question;
    let Some(material) = question.material.as_ref().filter(|_| question.kind != Some(Kind::Released)) else {
        return html! {};
    };
    let of_it = || sight.batch.lots.iter().filter(|lot| lot.material.text == material.name);
    if let Some(last) = of_it().next_back() {
        return html! {
            p.lot-known { "Lot " strong { (named(&last.code)) } @if let Some(day) = &last.expires { ", good until " (day) } }
        };
    }
    if sight.lots.is_empty() {
        return html! {
            p.lot-known {
                "No lot yet. "
                button type="submit" form="show" name="show" value="lot" data-panel="lot" { "Lot" }
            }
        };
    }
    html! {
        fieldset.lots {
            legend { "Which lot? The oldest first" }
            @for lot in &sight.lots {
                form method="post" action=(sight.address) data-act="lot" {
                    (hidden(sight, Kind::Lot))
                    input type="hidden" name="material" value=(material.name);
                    input type="hidden" name="code" value=(lot.code);
                    @if let Some(day) = &lot.expires { input type="hidden" name="expires" value=(day); }
                    button.lot type="submit" { "Lot " strong { (named(&lot.code)) } span { (shown(&lot.words)) } }
                }
            }
            button type="submit" form="show" name="show" value="lot" data-panel="lot" { "Another lot" }
        }
    }
}
