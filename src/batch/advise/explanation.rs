//! Explanations of readings: what strength, assay, buffer and meter may really be, drawn from what is likely.

use super::priors::{self, Gross};
use super::sequence::{normal, point};
use super::situation::Cause;
use std::sync::{Arc, OnceLock};

/// How many explanations without a gross fault are tried, and how many of each with one.
const PLAIN: u32 = 2400;
const OF_EACH: u32 = 450;

/// A weak acid of which nothing is known.
#[derive(Clone, Copy, Debug)]
pub struct Unknown {
    /// The adjuster that neutralises all of it, in grams.
    pub whole: f64,
    /// The share that was neutralised before the first gram.
    pub before: f64,
    /// Its constant over its molality: 10^-5 for much of a weak one, 0.03 for a little of a strong one.
    pub weakness: f64,
}

/// One way in which things may really be.
#[derive(Clone, Copy, Debug)]
pub struct Explanation {
    /// The gross fault in it.
    pub cause: Option<Cause>,
    /// The acid there is more than was weighed, as a share of it.
    pub more_acid: f64,
    /// The strength of the adjuster above what is written on it, as a share of it.
    pub more_strength: f64,
    /// An unlisted buffer, in mol per kg of water, and ten to the power of its pKa.
    pub buffer: f64,
    /// See there.
    pub per_buffer_constant: f64,
    /// How far the meter is off, in pH, beside its usual offset.
    pub meter: f64,
    /// The setting at which it is off; none where it is so at all of them.
    pub meter_at: Option<usize>,
    /// Whether a buffer shows that.
    pub shown_by_buffers: bool,
    /// Without chemistry: the acid that there is.
    pub unknown: Unknown,
    /// Its share before anything was read.
    pub share: f64,
}

/// All explanations that are tried, with chemistry. A meter may be off at any of the settings that it had, and only what
/// a buffer does not show goes on through all of them. One that was off, and is set anew, is no fault any more.
#[must_use]
pub fn all(setting_now: usize) -> Arc<[Explanation]> {
    /// Those of a meter that was never set anew, as most are.
    static OF_ONE_SETTING: OnceLock<Arc<[Explanation]>> = OnceLock::new();
    match setting_now {
        0 => Arc::clone(OF_ONE_SETTING.get_or_init(|| drawn(0).into())),
        _ => drawn(setting_now).into(),
    }
}

fn drawn(setting_now: usize) -> Vec<Explanation> {
    let gross: f64 = Cause::ALL.into_iter().map(|cause| of(cause).share).sum();
    let plain = (0..PLAIN).map(|number| draw(None, point(number), (1.0 - gross) / f64::from(PLAIN)));
    let faulty = Cause::ALL.into_iter().flat_map(|cause| {
        (0..OF_EACH).map(move |number| draw(Some(cause), point(number), of(cause).share / f64::from(OF_EACH)))
    });
    let mut all: Vec<Explanation> = plain.collect();
    for mut explanation in faulty {
        if explanation.meter != 0.0 {
            let hidden = Explanation {
                shown_by_buffers: false,
                share: explanation.share * priors::HIDDEN_FROM_BUFFERS,
                ..explanation
            };
            all.push(hidden);
            explanation.share *= 1.0 - priors::HIDDEN_FROM_BUFFERS;
            let earlier = (0..setting_now).map(|setting| (setting, None));
            all.extend(earlier.chain([(setting_now, explanation.cause)]).map(|(setting, cause)| Explanation {
                meter_at: Some(setting),
                cause,
                ..explanation
            }));
        } else {
            all.push(explanation);
        }
    }
    all
}

fn of(cause: Cause) -> Gross {
    match cause {
        Cause::MeterHigh | Cause::MeterLow => priors::METER,
        Cause::BaseWeak => priors::BASE_WEAK,
        Cause::BaseStrong => priors::BASE_STRONG,
        Cause::AcidWeak => priors::ACID_WEAK,
        Cause::AcidStrong => priors::ACID_STRONG,
        Cause::UnlistedBuffer => priors::UNLISTED,
        // A slip bends no reading but its own, and is weighed beside the explanations.
        Cause::Slip { .. } => Gross { share: 0.0, from: 0.0, to: 0.0 },
    }
}

fn draw(cause: Option<Cause>, [strength, assay, buffer, pka, size]: [f64; 5], share: f64) -> Explanation {
    let (least_pka, most_pka) = priors::BUFFER_PKA;
    let mut drawn = Explanation {
        cause,
        more_acid: priors::ASSAY.0 + priors::ASSAY.1 * normal(assay) - 1.0,
        more_strength: priors::STRENGTH.0 + priors::STRENGTH.1 * normal(strength) - 1.0,
        buffer: priors::BUFFER * buffer * buffer,
        per_buffer_constant: 10f64.powf(least_pka + pka * (most_pka - least_pka)),
        meter: 0.0,
        meter_at: None,
        shown_by_buffers: true,
        unknown: Unknown { whole: 1.0, before: 0.0, weakness: 1e-3 },
        share,
    };
    let Some(cause) = cause else { return drawn };
    let gross = of(cause);
    let size = gross.from + size * (gross.to - gross.from);
    match cause {
        Cause::MeterHigh => drawn.meter = size,
        Cause::MeterLow => drawn.meter = -size,
        Cause::BaseWeak | Cause::BaseStrong => drawn.more_strength = size - 1.0,
        Cause::AcidWeak | Cause::AcidStrong => drawn.more_acid = size - 1.0,
        Cause::UnlistedBuffer => drawn.buffer = size,
        Cause::Slip { .. } => {}
    }
    drawn
}

/// Explanations without any chemistry. `most` is the adjuster that there is in all, in grams: it is taken for somewhere
/// near what is needed, as makers hold back so much.
#[must_use]
pub fn blind(most: f64) -> Arc<[Explanation]> {
    let drawn = (0..PLAIN).map(|number| {
        let [whole, before, weakness, ..] = point(number);
        let unknown = Unknown {
            whole: most * 10f64.powf(-0.7 + 1.4 * whole),
            before: 0.5 * before.powi(4),
            weakness: 10f64.powf(-5.0 + 3.5 * weakness),
        };
        Explanation { unknown, share: 1.0 / f64::from(PLAIN), ..Explanation::plain() }
    });
    drawn.collect()
}

impl Explanation {
    /// How far the meter is off at a setting.
    #[must_use]
    pub fn meter_at(&self, setting: usize) -> f64 {
        if self.meter_at.is_none_or(|own| own == setting) { self.meter } else { 0.0 }
    }

    /// That everything is as it is written.
    #[must_use]
    pub fn plain() -> Explanation {
        Explanation { more_acid: 0.0, more_strength: 0.0, buffer: 0.0, ..draw(None, [0.5; 5], 1.0) }
    }
}
