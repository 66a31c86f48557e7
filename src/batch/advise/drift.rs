//! What shifts readings without bending them: the meter's usual offset and slope, and the chemistry's own error. All
//! of it normal and straight, so that it is worked out exactly beside every explanation, and not tried point by point.

use super::explanation::Explanation;
use super::priors;
use super::situation::Situation;
use super::titration::Titration;

/// Figures in a fixed order: the meter's offset, its slope less 1, the chemistry's level, its change along the
/// titration, and where between the two models of activity the truth lies.
pub type Latent = [f64; 5];
/// The covariances of the latent figures.
pub type Spread = [Latent; 5];

/// Without chemistry nothing is known of the level of the pH, in pH: middle and deviation.
const BLIND_LEVEL: (f64, f64) = (6.0, 6.0);
/// Without chemistry the curve may change so much along the titration, in pH per pH.
const BLIND_DRIFT: f64 = 0.05;

/// A reading of the batch or of a buffer, as a line in the latent figures.
#[derive(Clone, Copy, Debug)]
struct LinearObservation {
    /// How much of each figure is in it.
    of: Latent,
    /// What was read, less what is known.
    read: f64,
    /// Which reading of the batch; none for a buffer.
    number: Option<usize>,
    /// The setting of the meter.
    setting: usize,
    /// How far the latent figures are moved by a unit of surprise.
    gain: Latent,
    /// The variance of the surprise,
    variance: f64,
    /// its logarithm,
    log_variance: f64,
    /// and its root.
    deviation: f64,
}

/// The latent figures after all readings; their spread is the same under every explanation.
#[derive(Clone, Debug)]
pub struct Drift {
    lines: Vec<LinearObservation>,
    before: Latent,
    prior: Spread,
    spread: Spread,
    setting_now: usize,
}

/// What an explanation makes of the readings.
#[derive(Clone, Copy, Debug)]
pub struct Fit {
    /// The latent figures.
    pub latent: Latent,
    /// The logarithm of how likely the readings are, but for a constant of each.
    pub log_chance: f64,
    /// The largest surprise, in deviations.
    pub worst: f64,
}

impl Drift {
    /// The latent figures of a batch, by all readings but one, where one is left out.
    #[must_use]
    pub fn of(situation: &Situation, titration: &Titration, left_out: Option<usize>) -> Drift {
        let mut drift = Drift::before(titration.is_known());
        let counted = |number: usize| left_out != Some(number);
        let mut last = situation.readings.iter().enumerate().rev().filter(|(number, _)| counted(*number));
        let last = last.next().map_or(0.0, |(_, last)| last.reading);
        let mut readings = situation.readings.iter().enumerate().peekable();
        let buffers = situation.earlier.iter().map(|earlier| &earlier.calibrations).chain([&situation.calibrations]);
        for (setting, buffers) in buffers.enumerate() {
            if setting > 0 {
                drift.set_anew();
                drift.setting_now = setting;
            }
            for (buffer, shown) in buffers {
                let of = [1.0, buffer - 7.0, 0.0, 0.0, 0.0];
                drift.see(of, shown - buffer, None, setting, priors::BUFFER_READING);
            }
            while let Some((number, seen)) = readings.next_if(|(number, _)| situation.setting_of(*number) == setting) {
                if !counted(number) {
                    continue;
                }
                let of = [1.0, seen.reading - 7.0, 1.0, seen.reading - last, titration.apart_at(number)];
                drift.see(of, seen.reading, Some(number), setting, seen.error.max(priors::LEAST_NOISE));
            }
        }
        drift
    }

    fn before(known: bool) -> Drift {
        let (level, level_spread) = if known { (0.0, priors::CHEMISTRY) } else { BLIND_LEVEL };
        let along = if known { priors::CHEMISTRY_DRIFT } else { BLIND_DRIFT };
        let (slope, slope_spread) = priors::SLOPE;
        let (between, between_spread) = priors::BETWEEN_MODELS;
        let [mut offset, mut tilt, mut chemistry, mut change, mut model] = [[0.0; 5]; 5];
        offset[0] = priors::OFFSET * priors::OFFSET;
        tilt[1] = slope_spread * slope_spread;
        chemistry[2] = level_spread * level_spread;
        change[3] = along * along;
        model[4] = between_spread * between_spread;
        let prior = [offset, tilt, chemistry, change, model];
        let before = [0.0, slope - 1.0, level, 0.0, between];
        Drift { lines: Vec::new(), before, prior, spread: prior, setting_now: 0 }
    }

    /// The meter is set anew: its offset and slope are what they were before anything was read, and what is known of the
    /// chemistry stays.
    fn set_anew(&mut self) {
        let [offset, slope, ..] = self.prior;
        for row in &mut self.spread {
            (row[0], row[1]) = (0.0, 0.0);
        }
        (self.spread[0], self.spread[1]) = (offset, slope);
    }

    /// Takes a reading in: the spread shrinks by what it tells (Kalman 1960).
    fn see(&mut self, of: Latent, read: f64, number: Option<usize>, setting: usize, noise: f64) {
        let with = self.spread.map(|row| dot(&row, &of));
        let variance = dot(&with, &of) + noise * noise;
        let gain = with.map(|shared| shared / variance);
        for (row, own) in self.spread.iter_mut().zip(with) {
            for (cell, other) in row.iter_mut().zip(gain) {
                *cell -= own * other;
            }
        }
        let (log_variance, deviation) = (variance.ln(), variance.sqrt());
        self.lines.push(LinearObservation { of, read, number, setting, gain, variance, log_variance, deviation });
    }

    /// What an explanation makes of the readings, by the pH that it gives to each of them.
    #[inline]
    #[must_use]
    pub fn fit(&self, by: &Explanation, ph_at: impl Fn(usize) -> f64) -> Fit {
        let mut fit = Fit { latent: self.before, log_chance: 0.0, worst: 0.0 };
        let mut setting = 0;
        for line in &self.lines {
            if line.setting != setting {
                setting = line.setting;
                self.forget_meter(&mut fit.latent);
            }
            let known = match line.number {
                Some(number) => ph_at(number) + by.meter_at(setting),
                None if by.shown_by_buffers => by.meter_at(setting),
                None => 0.0,
            };
            let surprise = line.read - known - dot(&line.of, &fit.latent);
            fit.log_chance -= 0.5 * (surprise * surprise / line.variance + line.log_variance);
            fit.worst = fit.worst.max(surprise.abs() / line.deviation);
            let ([a, b, c, d, e], [v, w, x, y, z]) = (&mut fit.latent, &line.gain);
            *a += v * surprise;
            *b += w * surprise;
            *c += x * surprise;
            *d += y * surprise;
            *e += z * surprise;
        }
        if setting != self.setting_now {
            self.forget_meter(&mut fit.latent);
        }
        fit
    }

    /// What was learned of the meter's offset and slope holds at one setting alone.
    fn forget_meter(&self, latent: &mut Latent) {
        (latent[0], latent[1]) = (self.before[0], self.before[1]);
    }

    /// How many readings it rests on, those of buffers among them.
    #[must_use]
    pub fn count(&self) -> usize {
        self.lines.len()
    }

    /// The deviation of what is so much of each figure.
    #[must_use]
    pub fn deviation(&self, of: &Latent) -> f64 {
        deviation(&self.spread, of)
    }

    /// How the latent figures are spread: their covariances.
    #[must_use]
    pub fn spread(&self) -> Spread {
        self.spread
    }
}

/// The deviation of what is so much of each figure, where they are spread so.
#[inline]
#[must_use]
pub fn deviation(spread: &Spread, of: &Latent) -> f64 {
    let [a, b, c, d, e] = spread;
    dot(&[dot(a, of), dot(b, of), dot(c, of), dot(d, of), dot(e, of)], of).max(0.0).sqrt()
}

/// The sum of the products of two rows of figures.
#[inline]
#[must_use]
pub fn dot(one: &Latent, other: &Latent) -> f64 {
    // Written out, as it is reckoned some hundred thousand times for an advice.
    let ([a, b, c, d, e], [v, w, x, y, z]) = (one, other);
    a * v + b * w + c * x + d * y + e * z
}
