//! What stage a batch is at, and the next thing to do with it: plain data.

use crate::quantity::Exact;
use smol_str::SmolStr;

/// The stage of a batch.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stage {
    /// Lines are weighed in.
    Weighing,
    /// The pH is brought to its window.
    Adjusting,
    /// The last reading lies beyond the far edge of the window.
    PastWindow,
    /// More went in than was held back, and something in the batch is off its target by it.
    OverReserve,
    /// What comes after the pH: the rest of the lines, the top-up, the last reading.
    Finishing,
    /// Containers are filled.
    Filled,
    /// It may be sold.
    Released,
    /// It may not.
    Rejected,
}

impl Stage {
    /// Its word in output.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Stage::Weighing => "weighing",
            Stage::Adjusting => "adjusting",
            Stage::PastWindow => "past-window",
            Stage::OverReserve => "over-reserve",
            Stage::Finishing => "finishing",
            Stage::Filled => "filled",
            Stage::Released => "released",
            Stage::Rejected => "rejected",
        }
    }
}

/// What to do.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Do {
    /// Heat to a temperature.
    Heat,
    /// Cool to a temperature.
    Cool,
    /// Weigh a line in.
    Weigh,
    /// Add some adjuster, or a correction.
    Add,
    /// Read the pH.
    Read,
    /// Read a buffer.
    CheckMeter,
    /// Leave it to itself.
    Wait,
    /// Top up with what is left of what was held back.
    TopUp,
    /// Fill.
    Fill,
    /// Release the filled batch.
    Release,
    /// Set it right before anything else; why says how.
    Stop,
    /// Nothing.
    Done,
}

impl Do {
    /// Its word in output.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Do::Heat => "heat",
            Do::Cool => "cool",
            Do::Weigh => "weigh",
            Do::Add => "add",
            Do::Read => "read",
            Do::CheckMeter => "check-meter",
            Do::Wait => "wait",
            Do::TopUp => "top-up",
            Do::Fill => "fill",
            Do::Release => "release",
            Do::Stop => "stop",
            Do::Done => "done",
        }
    }
}

/// The next thing to do.
#[derive(Clone, Debug)]
pub struct Next {
    /// What.
    pub what: Do,
    /// Of which material.
    pub material: Option<SmolStr>,
    /// How much, in grams.
    pub grams: Option<Exact>,
    /// To how many degrees Celsius.
    pub celsius: Option<Exact>,
    /// For how many seconds; none where the formula does not say how long.
    pub seconds: Option<Exact>,
    /// The pH of the buffer to read.
    pub buffer: Option<f64>,
    /// The number of the step of the formula that tells of it.
    pub step: Option<usize>,
    /// Why.
    pub why: String,
}

impl Next {
    /// Something to do, and why.
    pub(super) fn new(what: Do, why: impl Into<String>) -> Next {
        let why = why.into();
        Next { what, material: None, grams: None, celsius: None, seconds: None, buffer: None, step: None, why }
    }

    pub(super) fn of(self, material: SmolStr, grams: Exact) -> Next {
        Next { material: Some(material), grams: Some(grams), ..self }
    }

    pub(super) fn in_step(self, step: Option<usize>) -> Next {
        Next { step, ..self }
    }
}
