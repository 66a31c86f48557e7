//! What stands behind a button: striking out, filling, and all that may happen beside the act that is next.

use super::act::{boxed, hidden};
use super::entry::{Kind, Slot};
use super::question::{Field, Printed};
use super::sight::BenchSight;
use crate::batch::{Do, Stage};
use crate::render::shown;
use maud::{Markup, html};

/// A panel.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Panel {
    /// The last statement struck out.
    Strike,
    /// The end of a batch.
    Fill,
    /// What happened beside.
    Else,
    /// One kind of statement, in one of the other two.
    Of(Kind),
}

/// What is offered behind "Something else", in its order.
const BESIDE: &[Offer] = &[
    Offer {
        kind: Kind::Removed,
        button: "Removed",
        says: "Something was taken out, or spilt.",
        enter: "Enter what was removed",
    },
    Offer { kind: Kind::Note, button: "Note", says: "Anything worth keeping.", enter: "Enter the note" },
    Offer {
        kind: Kind::Observed,
        button: "Observed",
        says: "What was seen, also weeks later.",
        enter: "Enter what was observed",
    },
    Offer { kind: Kind::Lot, button: "Lot", says: "The lot of a material.", enter: "Enter the lot" },
    Offer {
        kind: Kind::Weighed,
        button: "Weighed",
        says: "Another line of the formula was weighed in.",
        enter: "Enter the weight",
    },
    Offer {
        kind: Kind::Added,
        button: "Added",
        says: "More of something, or something else, with its reason.",
        enter: "Enter the addition",
    },
    Offer { kind: Kind::Reading, button: "Reading", says: "The pH was read.", enter: "Enter the reading" },
    Offer {
        kind: Kind::Strip,
        button: "Strip",
        says: "The pH was read by a strip, between two figures.",
        enter: "Enter the strip",
    },
    Offer { kind: Kind::Calibrated, button: "Calibrated", says: "A buffer was read.", enter: "Enter the buffer" },
    Offer { kind: Kind::Waited, button: "Waited", says: "It was left to itself.", enter: "Enter the time" },
    Offer { kind: Kind::Heated, button: "Heated", says: "It was made warm.", enter: "Enter the heat" },
    Offer { kind: Kind::Cooled, button: "Cooled", says: "It was let cool.", enter: "Enter the temperature" },
    Offer { kind: Kind::ToppedUp, button: "Topped up", says: "What was held back went in.", enter: "Enter the top-up" },
    Offer {
        kind: Kind::Complaint,
        button: "Complaint",
        says: "What somebody had to say of it.",
        enter: "Enter the complaint",
    },
    Offer { kind: Kind::Rejected, button: "Rejected", says: "The batch may not go out.", enter: "Reject the batch" },
    Offer {
        kind: Kind::Whole,
        button: "In the words of the record",
        says: "Any statement, as the record has it.",
        enter: "Enter the statement",
    },
];

/// What is offered behind "Fill".
const FILL: &[Offer] = &[
    Offer { kind: Kind::Yield, button: "Yield", says: "What came out in the end.", enter: "Enter the yield" },
    Offer { kind: Kind::Filled, button: "Filled", says: "Jars were filled, and counted.", enter: "Enter the jars" },
    Offer { kind: Kind::Retained, button: "Retained", says: "Some were kept back.", enter: "Enter what is retained" },
    Offer { kind: Kind::Released, button: "Released", says: "The batch may go out.", enter: "Release the batch" },
    Offer { kind: Kind::Sold, button: "Sold", says: "Some were sold.", enter: "Enter what was sold" },
];

/// Something that can be written down beside what is next.
struct Offer {
    kind: Kind,
    button: &'static str,
    says: &'static str,
    enter: &'static str,
}

impl Panel {
    /// Its word in an address.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Panel::Strike => "strike",
            Panel::Fill => "fill",
            Panel::Else => "else",
            Panel::Of(kind) => kind.word(),
        }
    }

    /// The panel of a word; none for any other.
    #[must_use]
    pub fn of(word: &str) -> Option<Panel> {
        match word {
            "strike" => Some(Panel::Strike),
            "fill" => Some(Panel::Fill),
            "else" => Some(Panel::Else),
            word => Kind::of(word).map(Panel::Of),
        }
    }

    /// Whether another stands open with this one: the one that it is in.
    fn opens(self, other: Panel) -> bool {
        let within =
            |offers: &[Offer]| matches!(self, Panel::Of(kind) if offers.iter().any(|offer| offer.kind == kind));
        self == other || (other == Panel::Fill && within(FILL)) || (other == Panel::Else && within(BESIDE))
    }
}

/// The buttons and what stands behind them.
pub fn panels(sight: &BenchSight<'_>) -> Markup {
    let view = sight.standing.as_ref().map(|standing| standing.view);
    let fills = view.is_some_and(|view| view.next.what == Do::Fill);
    let ended = view.is_some_and(|view| matches!(view.stage, Stage::Filled | Stage::Released));
    html! {
        form id="show" method="get" action=(sight.address) {}
        @if let Some(last) = &sight.last { p.last { "Last written: " code { (shown(last)) } } }
        div.row.more {
            @if fills || ended { (opener(sight, Panel::Fill, "Fill", fills)) }
            @if sight.last.is_some() { (opener(sight, Panel::Strike, "Strike out the last", false)) }
            (opener(sight, Panel::Else, "Something else", false))
        }
        @if let Some(last) = &sight.last { (strike(sight, last)) }
        @if fills || ended { (offers(sight, Panel::Fill, FILL)) }
        (offers(sight, Panel::Else, BESIDE))
    }
}

/// The button that opens a panel: by the script in place, without it by asking for the page with the panel open.
fn opener(sight: &BenchSight<'_>, panel: Panel, words: &str, is_first: bool) -> Markup {
    html! {
        button.first[is_first] type="submit" form="show" name="show" value=(panel.word()) data-panel=(panel.word())
            aria-expanded=(is_open(sight, panel)) aria-controls={ "panel-" (panel.word()) } { (words) }
    }
}

fn is_open(sight: &BenchSight<'_>, panel: Panel) -> bool {
    sight.panel.is_some_and(|open| open.opens(panel))
}

/// The last statement, struck out with its reason.
fn strike(sight: &BenchSight<'_>, last: &str) -> Markup {
    let reason = Field::of(Slot::Because, "Reason");
    html! {
        section.panel id="panel-strike" aria-label="Strike out the last" hidden[!is_open(sight, Panel::Strike)] {
            form method="post" action=(sight.address) autocomplete="off" data-act="struck" novalidate {
                p { "It stays readable, with its reason, and counts for nothing: " s { code { (shown(last)) } } }
                (hidden(sight, Kind::Struck))
                input type="hidden" name="statement" value=(last);
                (boxed(sight, Kind::Struck, "strike", &reason, false))
                button.first type="submit" { "Strike it out" }
            }
        }
    }
}

fn offers(sight: &BenchSight<'_>, panel: Panel, offers: &[Offer]) -> Markup {
    let words = if panel == Panel::Fill { "Fill" } else { "Something else" };
    html! {
        section.panel id={ "panel-" (panel.word()) } aria-label=(words) hidden[!is_open(sight, panel)] {
            @if let Some(filling) = sight.standing.as_ref().filter(|_| panel == Panel::Fill).and_then(|of| of.filling.as_ref()) {
                p { (shown(filling)) }
            }
            div.row.choices {
                @for offer in offers { (opener(sight, Panel::Of(offer.kind), offer.button, false)) }
            }
            @for offer in offers { (offered(sight, offer)) }
            @if panel == Panel::Else { (who()) }
        }
    }
}

fn offered(sight: &BenchSight<'_>, offer: &Offer) -> Markup {
    let panel = Panel::Of(offer.kind);
    html! {
        form.offer id={ "panel-" (panel.word()) } method="post" action=(sight.address) autocomplete="off"
            data-act=(offer.kind.word()) hidden[!is_open(sight, panel)] novalidate {
            p { (offer.says) }
            (hidden(sight, offer.kind))
            @if asks_material(offer.kind) { (material(sight, offer.kind)) }
            @for field in boxes(sight, offer.kind) { (boxed(sight, offer.kind, "beside", &field, false)) }
            button.first type="submit" { (offer.enter) }
            @if sight.answer.kind == Some(offer.kind) && matches!(sight.answer.notice, Some(super::Notice::Sure(_))) {
                button.sure type="submit" name="sure" value="1" { "Yes, I am sure" }
            }
        }
    }
}

fn asks_material(kind: Kind) -> bool {
    matches!(kind, Kind::Weighed | Kind::Added | Kind::Lot | Kind::ToppedUp)
}

/// A material of the plan, by what it is called; of an addition any other too, by its name.
fn material(sight: &BenchSight<'_>, kind: Kind) -> Markup {
    let id = format!("beside-{}-material", kind.word());
    let asked = sight.standing.as_ref().and_then(|standing| standing.question.material.as_ref());
    let chosen = sight.value(kind, Slot::Material, asked.map_or("", |material| material.name.as_str()));
    let all: Vec<Printed> = sight
        .standing
        .iter()
        .flat_map(|of| of.bench.plan.iter().map(|line| Printed::of(of.view, &line.material)))
        .collect();
    html! {
        div.field {
            label for=(id) { "Material" }
            @if kind == Kind::Added || all.is_empty() {
                input id=(id) type="text" name="material" list={ (id) "-all" } value=(chosen) autocapitalize="off" spellcheck="false"
                    aria-invalid=[sight.is_wrong(kind, Slot::Material).then_some("true")];
                datalist id={ (id) "-all" } { @for of in &all { option value=(of.name) { (shown(&of.title)) } } }
            } @else {
                select id=(id) name="material" {
                    @for of in &all { option value=(of.name) selected[of.name == chosen] { (shown(&of.title)) } }
                }
            }
        }
    }
}

/// The boxes of a form beside the act.
fn boxes(sight: &BenchSight<'_>, kind: Kind) -> Vec<Field> {
    let of = Field::of;
    let may = |slot, label| Field { may_be_empty: true, ..Field::of(slot, label) };
    let with = |field: Field, value: Option<String>| Field { value: value.unwrap_or_default(), ..field };
    match kind {
        Kind::Removed => vec![of(Slot::Grams, "Grams taken out"), of(Slot::Because, "Why")],
        Kind::Note => vec![of(Slot::Text, "What is to be kept")],
        Kind::Observed => vec![of(Slot::Text, "What was seen")],
        Kind::Complaint => vec![of(Slot::Text, "What was said")],
        Kind::Lot => vec![of(Slot::Code, "Code of the lot"), may(Slot::Expires, "Good until (2027-03-31)")],
        Kind::Weighed => vec![of(Slot::Grams, "Grams weighed")],
        Kind::Added => vec![of(Slot::Grams, "Grams added"), may(Slot::Because, "Why, where it is a correction")],
        Kind::Reading => vec![of(Slot::Ph, "pH read")],
        Kind::Strip => vec![of(Slot::Ph, "From pH"), of(Slot::PhHigh, "To pH")],
        Kind::Calibrated => {
            let buffer = sight.standing.as_ref().and_then(|of| of.bench.next.buffer).map(|ph| format!("{ph:.2}"));
            vec![with(of(Slot::Buffer, "On the buffer"), buffer), of(Slot::Ph, "The meter shows")]
        }
        Kind::Waited => vec![of(Slot::Minutes, "Minutes left")],
        Kind::Heated | Kind::Cooled => vec![of(Slot::Celsius, "°C reached")],
        Kind::ToppedUp => vec![may(Slot::Grams, "Grams put in"), may(Slot::Whole, "The whole weighs")],
        Kind::Yield => vec![of(Slot::Grams, "Grams that came out")],
        Kind::Filled => {
            let content = sight.standing.as_ref().and_then(|standing| standing.content.clone());
            let code = sight.batch.code.as_ref().map(ToString::to_string);
            vec![
                of(Slot::Count, "How many were filled"),
                with(of(Slot::Each, "Each holds"), content),
                with(may(Slot::Code, "Code on them"), code),
            ]
        }
        Kind::Retained => vec![of(Slot::Count, "How many are kept back")],
        Kind::Sold => vec![of(Slot::Count, "How many were sold"), may(Slot::To, "To whom")],
        Kind::Rejected => vec![of(Slot::Because, "Why")],
        Kind::Whole => vec![of(Slot::Statement, "Statement")],
        Kind::Released | Kind::Struck => Vec::new(),
    }
}

/// Who writes: the page keeps it, and it goes with each statement.
fn who() -> Markup {
    html! {
        div.field.who {
            label for="who" { "Your initials, to stand beside what you write" }
            input id="who" type="text" maxlength="40" autocapitalize="characters" data-who="";
        }
    }
}
