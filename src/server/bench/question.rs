//! The one act that the page asks for: its sentence, the figure in large type, the boxes, and the statement it becomes.

use super::entry::{Kind, Slot};
use super::reason::without_statements;
use crate::batch::{Do, View};
use crate::model::{Batch, Event, Happened, LineMaterial};
use crate::render::{BenchAddition, BenchJson};

/// What is asked.
#[derive(Clone, Debug, PartialEq)]
pub struct Question {
    /// What to do.
    pub what: Do,
    /// What the answer writes; none where nothing is to be typed.
    pub kind: Option<Kind>,
    /// The sentence up to the material.
    pub opening: String,
    /// The material.
    pub material: Option<Printed>,
    /// The sentence after the material.
    pub closing: String,
    /// The weight or temperature alone.
    pub figure: Option<Figure>,
    /// The boxes, the first of them for the figure.
    pub fields: Vec<Field>,
    /// What is to be expected of it.
    pub expected: Option<String>,
    /// Why.
    pub why: String,
    /// The step of the formula that tells of it.
    pub step: Option<String>,
    /// What is waited for.
    pub wait: Option<Wait>,
}

/// A material as the sheet prints it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Printed {
    /// Its name in the record.
    pub name: String,
    /// What it is called.
    pub title: String,
}

/// A figure in large type.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Figure {
    /// The digits.
    pub digits: String,
    /// The unit behind them.
    pub unit: &'static str,
}

/// A box to type into.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Field {
    /// Which.
    pub slot: Slot,
    /// What it is called.
    pub label: &'static str,
    /// What stands in it at first.
    pub value: String,
    /// Whether it may stay empty.
    pub may_be_empty: bool,
}

/// What is waited for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Wait {
    /// For how many minutes; none where the formula does not say how long.
    pub minutes: Option<String>,
    /// The day and the hour from which it counts by the record: `2026-11-28T14:05`; none where the record has none.
    pub since: Option<String>,
    /// How much was done before it began: another wait has another number.
    pub after: usize,
}

impl Question {
    /// What is asked of a batch as it stands.
    #[must_use]
    pub fn of(batch: &Batch, view: &View<'_>, bench: &BenchJson) -> Question {
        let next = &bench.next;
        let grams = || next.grams.clone().map(|digits| Figure { digits, unit: "g" });
        let celsius = || next.celsius.clone().map(|digits| Figure { digits, unit: "°C" });
        let plain = Question {
            what: view.next.what,
            kind: None,
            opening: String::new(),
            material: next.material.as_deref().map(|name| Printed::of(view, name)),
            closing: String::new(),
            figure: None,
            fields: Vec::new(),
            expected: None,
            why: without_statements(&next.why),
            step: next.step.clone(),
            wait: None,
        };
        match view.next.what {
            Do::Heat => plain.asks(Kind::Heated, "Heat to", celsius(), vec![Field::of(Slot::Celsius, "°C")]),
            Do::Cool => plain.asks(Kind::Cooled, "Let it cool to", celsius(), vec![Field::of(Slot::Celsius, "°C")]),
            Do::Weigh => plain.asks(Kind::Weighed, "Weigh in", grams(), vec![Field::of(Slot::Grams, "Grams")]),
            Do::Add => {
                let expected = bench.next_addition.as_ref().map(expected);
                Question { expected, ..plain.asks(Kind::Added, "Add", grams(), added(view, next.material.as_deref())) }
            }
            Do::Read => {
                let asks = plain.asks(Kind::Reading, "Read the pH", None, vec![Field::of(Slot::Ph, "pH")]);
                Question { expected: window(&bench.ph_window), ..asks }
            }
            Do::CheckMeter => {
                let buffer = next.buffer.map(|buffer| format!("{buffer:.2}")).unwrap_or_default();
                let boxes = vec![
                    Field::of(Slot::Ph, "pH"),
                    Field { value: buffer.clone(), ..Field::of(Slot::Buffer, "Buffer") },
                ];
                let figure = Figure { digits: buffer, unit: "pH" };
                plain.asks(Kind::Calibrated, "Check the meter: read the buffer of", Some(figure), boxes)
            }
            Do::Wait => {
                let figure = next.minutes.clone().map(|digits| Figure { digits, unit: "min" });
                let opening = if figure.is_some() { "Leave it for" } else { "Leave it to itself" };
                let asks = plain.asks(Kind::Waited, opening, figure, vec![Field::of(Slot::Minutes, "Minutes")]);
                Question { wait: Some(wait(batch, next.minutes.clone())), ..asks }
            }
            Do::TopUp => top_up(plain, view, bench),
            Do::Fill => Question { opening: "Fill the jars".to_string(), ..plain },
            Do::Release => Question {
                expected: Some(RELEASES.to_string()),
                ..plain.asks(Kind::Released, "Release the batch, or reject it", None, Vec::new())
            },
            Do::Stop => Question { opening: "Stop".to_string(), ..plain },
            Do::Done => Question { opening: "Nothing more is to be done".to_string(), ..plain },
        }
    }

    fn asks(self, kind: Kind, opening: &str, figure: Option<Figure>, fields: Vec<Field>) -> Question {
        Question { kind: Some(kind), opening: opening.to_string(), figure, fields, ..self }
    }

    /// The act in one sentence.
    #[must_use]
    pub fn sentence(&self) -> String {
        let material = self.material.as_ref().map(|material| material.title.clone());
        let figure = self.figure.as_ref().map(Figure::words);
        let opening = Some(self.opening.clone()).filter(|opening| !opening.is_empty());
        let closing = Some(self.closing.clone()).filter(|closing| !closing.is_empty());
        let parts: Vec<String> = [opening, material, closing, figure].into_iter().flatten().collect();
        format!("{}.", parts.join(" "))
    }
}

impl Printed {
    /// A material by what the formula calls it on a sheet; by its name where it is none of the formula's.
    #[must_use]
    pub fn of(view: &View<'_>, name: &str) -> Printed {
        let line = view.setting.formula.lines.iter().find(|line| line.name == name);
        let title = line.and_then(|line| match line.material.as_ref()? {
            LineMaterial::Material(material) => material.title.as_ref(),
            LineMaterial::Premix(premix) => premix.title.as_ref(),
        });
        Printed { name: name.to_string(), title: title.map_or(name, |title| title.as_str()).to_string() }
    }
}

impl Figure {
    /// The figure with its unit, as it is read aloud.
    #[must_use]
    pub fn words(&self) -> String {
        if self.unit == "pH" { format!("pH {}", self.digits) } else { format!("{} {}", self.digits, self.unit) }
    }
}

impl Field {
    /// An empty box that has to be filled.
    #[must_use]
    pub fn of(slot: Slot, label: &'static str) -> Field {
        Field { slot, label, value: String::new(), may_be_empty: false }
    }
}

/// The boxes of an addition: what no line is weighed to the pH with is a correction, and a reason goes with it.
fn added(view: &View<'_>, material: Option<&str>) -> Vec<Field> {
    let grams = Field::of(Slot::Grams, "Grams");
    let is_adjuster =
        material.is_some_and(|material| view.setting.formula.adjusters().any(|line| line.name == material));
    if is_adjuster {
        return vec![grams];
    }
    let is_led_back = view.back.as_ref().and_then(|back| back.as_ref().ok());
    let is_led_back = is_led_back.is_some_and(|back| material == Some(back.material.as_str()));
    let why = if is_led_back { "past the window, led back" } else { "over the reserve, to the larger batch" };
    vec![grams, Field { value: why.to_string(), ..Field::of(Slot::Because, "Why") }]
}

/// A top-up: by sum, or after heat until the scale shows the weight of the whole.
fn top_up(plain: Question, view: &View<'_>, bench: &BenchJson) -> Question {
    let is_water = |name: &str| view.ledger.water.as_deref() == Some(name);
    let by_sum = view.ledger.reserves.iter().any(|of| is_water(of.material.as_str()) && of.topped_up().is_positive());
    let of_water = plain.material.as_ref().is_some_and(|material| is_water(&material.name));
    match bench.top_up_to_g.clone().filter(|_| of_water && !by_sum) {
        Some(digits) => {
            // What the scale shows is typed first; how much water that took, where it was weighed.
            let put_in = Field { may_be_empty: true, ..Field::of(Slot::Grams, "Put in, where you weighed it") };
            let boxes = vec![Field::of(Slot::Whole, "Grams"), put_in];
            let figure = Some(Figure { digits, unit: "g" });
            let asks = plain.asks(Kind::ToppedUp, "Top up with", figure, boxes);
            Question { closing: "until the whole weighs".to_string(), ..asks }
        }
        None => {
            let figure = bench.next.grams.clone().map(|digits| Figure { digits, unit: "g" });
            plain.asks(Kind::ToppedUp, "Top up with", figure, vec![Field::of(Slot::Grams, "Grams")])
        }
    }
}

/// What the button does where a batch is to be released.
const RELEASES: &str =
    "“Write down” releases it, and asks once more before. To reject it: “Something else”, then “Rejected”.";

/// What the meter is to show after an addition.
fn expected(of: &BenchAddition) -> String {
    format!("It is to read about {:.2} then ({:.2} to {:.2}).", of.ph_expected, of.ph_low, of.ph_high)
}

/// The window, in a sentence.
fn window(edges: &[Option<String>; 2]) -> Option<String> {
    Some(match edges {
        [Some(low), Some(high)] => format!("It is to lie between {low} and {high}."),
        [Some(low), None] => format!("It is to lie above {low}."),
        [None, Some(high)] => format!("It is to lie below {high}."),
        [None, None] => return None,
    })
}

/// What the formula asks to wait for, counted from the last thing that was done; a note begins no wait anew.
fn wait(batch: &Batch, minutes: Option<String>) -> Wait {
    let is_done = |event: &&Event| {
        !matches!(
            event.what,
            Happened::Note(_) | Happened::Observed(_) | Happened::Complaint(_) | Happened::Calibrated { .. }
        )
    };
    let done = || batch.events.iter().filter(is_done);
    let since = done().next_back().and_then(|last| Some(format!("{}T{}", last.on.as_ref()?, last.at.as_ref()?)));
    Wait { minutes, since, after: done().count() }
}
