//! What the advisor is told of a batch, and what it answers: plain data.

use super::meter::shows_more;
use crate::chemistry::Mixture;
use crate::quantity::Range;

/// A reading, with the beaker at that moment, less what was taken out of it since.
#[derive(Clone, Debug)]
pub struct Observation {
    /// All that was weighed so far but the adjuster, in mol and kg.
    pub without_adjuster: Mixture,
    /// The adjuster in it, in grams, on top of all else.
    pub adjuster_grams: f64,
    /// What was read, in pH; the middle of a strip's range.
    pub reading: f64,
    /// Its own error in pH, as a deviation: 0.05 for a meter unless declared, half the range of a strip.
    pub error: f64,
    /// The statement that it stands in, as it is written: "reading pH 3.40".
    pub written: String,
}

impl Observation {
    /// Whether nothing came into the beaker since this reading.
    #[must_use]
    pub fn is_of_now(&self, situation: &Situation) -> bool {
        // A millionth of a gram, or of a mol, is nothing that anyone weighed.
        let same = |one: f64, other: f64| (one - other).abs() < 1e-6;
        let parts = |mixture: &Mixture| {
            let families = mixture.families.iter().map(|family| family.moles);
            let ions = mixture.ions.iter().map(|ion| ion.moles);
            families.chain(ions).chain([mixture.water_kg, mixture.hydroxide]).collect::<Vec<f64>>()
        };
        let (then, now) = (parts(&self.without_adjuster), parts(&situation.now));
        same(self.adjuster_grams, situation.adjuster_now)
            && then.len() == now.len()
            && then.iter().zip(&now).all(|(one, other)| same(*one, *other))
    }
}

/// A setting of the meter that was given up for another.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct MeterSetting {
    /// How many of the readings were read at it.
    pub readings: usize,
    /// Buffers read at it: the buffer's pH, and what the meter showed.
    pub calibrations: Vec<(f64, f64)>,
}

/// A batch as it stands.
#[derive(Clone, Debug, Default)]
pub struct Situation {
    /// The readings, in their order.
    pub readings: Vec<Observation>,
    /// How the meter was set before it was set as it is now; empty where it was not set anew. The first readings were
    /// read so, and what is off in the meter then and now has nothing to do with one another.
    pub earlier: Vec<MeterSetting>,
    /// Buffers read as the meter is set now: the buffer's pH, and what the meter showed. One that was set to a buffer
    /// shows the buffer's pH.
    pub calibrations: Vec<(f64, f64)>,
    /// All that is in the beaker now but the adjuster.
    pub now: Mixture,
    /// The adjuster in it now, in grams.
    pub adjuster_now: f64,
    /// What a gram of adjuster brings.
    pub adjuster_per_gram: Mixture,
    /// The adjuster that may still be added, in grams.
    pub left_grams: f64,
    /// No more than this at once, in grams, where nothing is known to hold the pH; none where something is.
    pub at_most: Option<f64>,
    /// The step of the scale, in grams.
    pub step: f64,
    /// The edges of the window; none where it is open.
    pub window: Range<f64>,
    /// Which families count as the acid; empty for all that are uncharged with every proton on.
    pub acid_families: Vec<u64>,
}

impl Situation {
    /// The setting that the meter is at now, by its number.
    #[must_use]
    pub fn setting_now(&self) -> usize {
        self.earlier.len()
    }

    /// By how much the meter as it is set now is known to show more than there is near the window.
    #[must_use]
    pub fn meter_shows_more(&self) -> f64 {
        shows_more(&self.calibrations, self.near_window())
    }

    /// The middle of the window, or the edge that it has; neutral without any.
    #[must_use]
    pub fn near_window(&self) -> f64 {
        near(self.window)
    }

    /// The batch as it stood at a reading.
    #[must_use]
    pub fn as_of(&self, reading: usize) -> Option<Situation> {
        let seen = self.readings.get(reading)?;
        Some(Situation {
            readings: self.readings.iter().take(reading + 1).cloned().collect(),
            now: seen.without_adjuster.clone(),
            adjuster_now: seen.adjuster_grams,
            left_grams: self.left_grams + self.adjuster_now - seen.adjuster_grams,
            ..self.clone()
        })
    }

    /// The setting that a reading was read at.
    #[must_use]
    pub fn setting_of(&self, reading: usize) -> usize {
        let mut before = 0_usize;
        let past = self.earlier.iter().take_while(|setting| {
            before = before.saturating_add(setting.readings);
            before <= reading
        });
        past.count()
    }

    /// The last reading, where it was read as the meter is set now, and of the beaker as it stands.
    #[must_use]
    pub fn fresh(&self) -> Option<&Observation> {
        let last = self.readings.last()?;
        let now = self.setting_of(self.readings.len() - 1) == self.setting_now();
        (now && last.is_of_now(self)).then_some(last)
    }
}

/// The middle of a window, or the edge that it has; neutral without any.
#[must_use]
pub fn near(window: Range<f64>) -> f64 {
    match (window.low, window.high) {
        (Some(low), Some(high)) => f64::midpoint(low, high),
        (Some(edge), None) | (None, Some(edge)) => edge,
        (None, None) => 7.0,
    }
}

/// An addition of adjuster, and the reading after it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Addition {
    /// How much, in grams: a multiple of the scale's step.
    pub grams: f64,
    /// The reading expected.
    pub reading: f64,
    /// The reading is as good as surely above this: one in 200 is not.
    pub low: f64,
    /// And below this.
    pub high: f64,
}

/// What to do.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Verdict {
    /// Make the next addition.
    Add,
    /// The batch may be filled.
    Inside,
    /// Read the pH: it was not read yet, the beaker has changed since, or the last reading decides nothing.
    ReadFirst,
    /// Read a buffer before anything that cannot be undone: what it shows can change what to do.
    CheckMeter {
        /// Its pH.
        buffer: f64,
    },
    /// The reading lies past the edge that is met last.
    PastFarEdge,
    /// No honest explanation fits the readings, or the true pH is as good as surely outside: do not fill.
    Doubtful,
    /// More is needed than is left of the adjuster.
    OutOfReserve,
}

/// A gross fault that the readings speak for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Cause {
    /// The meter shows more than there is.
    MeterHigh,
    /// It shows less.
    MeterLow,
    /// The adjuster is weaker than is written on it.
    BaseWeak,
    /// It is stronger.
    BaseStrong,
    /// There is less acid than was weighed.
    AcidWeak,
    /// There is more.
    AcidStrong,
    /// Something that nobody listed holds the pH.
    UnlistedBuffer,
    /// A reading was written down wrong: all else contradicts it.
    Slip {
        /// Which one, counted from 1.
        reading: usize,
    },
}

impl Cause {
    /// All that lie in what was weighed or in the meter.
    pub const ALL: [Cause; 7] = [
        Cause::MeterHigh,
        Cause::MeterLow,
        Cause::BaseWeak,
        Cause::BaseStrong,
        Cause::AcidWeak,
        Cause::AcidStrong,
        Cause::UnlistedBuffer,
    ];

    /// Its words in output.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Cause::MeterHigh => "meter reads high",
            Cause::MeterLow => "meter reads low",
            Cause::BaseWeak => "base weak",
            Cause::BaseStrong => "base strong",
            Cause::AcidWeak => "acid weak",
            Cause::AcidStrong => "acid strong",
            Cause::UnlistedBuffer => "unlisted buffer",
            Cause::Slip { .. } => "typed wrong",
        }
    }

    /// What it is about, in a word.
    #[must_use]
    pub fn subject(self) -> &'static str {
        match self {
            Cause::MeterHigh | Cause::MeterLow => "the meter",
            Cause::BaseWeak | Cause::BaseStrong => "the base",
            Cause::AcidWeak | Cause::AcidStrong => "the acid",
            Cause::UnlistedBuffer => "an unlisted buffer",
            Cause::Slip { .. } => "a slip",
        }
    }
}

/// A gross fault, weighed.
#[derive(Clone, Debug, PartialEq)]
pub struct Doubt {
    /// What it is.
    pub cause: Cause,
    /// How large, in words: "0.8 pH", "52 % of its strength".
    pub size: String,
    /// Its share of all explanations, 0 to 1.
    pub share: f64,
    /// The cheapest act that would decide it, in words.
    pub test: String,
    /// The buffer that it reads, where it reads one that was not read yet.
    pub buffer: Option<f64>,
}

/// The true pH of what is in the beaker, as far as readings, weights and chemistry tell it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TruePh {
    /// It lies above this and below `high` by 95 %.
    pub low: f64,
    /// Its middle.
    pub middle: f64,
    /// See `low`.
    pub high: f64,
    /// The chance that it lies in the window, 0 to 1.
    pub inside: f64,
}

/// The answer.
#[derive(Clone, Debug, PartialEq)]
pub struct Advice {
    /// What to add, where something is to be added.
    pub next: Option<Addition>,
    /// What to do.
    pub verdict: Verdict,
    /// The true pH now. None where nothing is known of it.
    pub ph_true: Option<TruePh>,
    /// Whether the batch is to be taken as inside: the last reading is of the beaker as it stands and lies in the window,
    /// less what the meter is known to show too much; the readings are no riddle; and no addition is worth the while.
    pub is_inside: bool,
    /// By how much the meter is known to show more than there is, by the buffers read as it is set now.
    pub meter_shows_more: f64,
    /// The gross faults that the readings speak for, the likeliest first.
    pub doubts: Vec<Doubt>,
    /// Whether an explanation without a gross fault fits the readings.
    pub honest: bool,
}
