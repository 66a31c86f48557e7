//! A maker at the bench: as the advisor tells her, or by one of two habits of the trade.

use super::chance::Chance;
use super::{Batch, STEP};
use stillroom::batch::advise::{Advice, Observation, Situation, Verdict, advise};

/// No maker reads more often than this.
const PATIENCE: usize = 60;
/// The smallest addition that can be made, in grams.
const SMALLEST: f64 = 0.03;

/// Two readings that differ by less than this make no line, in pH.
const TELLS: f64 = 0.1;

/// How a batch ended.
#[derive(Clone, Copy, Debug, Default)]
pub struct End {
    /// The last reading was in the window.
    pub reading_inside: bool,
    /// The true pH was.
    pub truly_inside: bool,
    /// A reading was past the far edge at some time.
    pub overshot: bool,
    /// The additions made.
    pub additions: usize,
    /// More base was needed than there was.
    pub out_of_reserve: bool,
    /// It was doubted at the end.
    pub doubted: bool,
    /// Buffers were read on the way.
    pub buffers_read: bool,
}

/// A batch under way.
pub struct Bench<'b> {
    batch: &'b Batch,
    chance: Chance,
    pub situation: Situation,
    /// The base in it in truth, in grams.
    poured: f64,
    pub end: End,
}

impl<'b> Bench<'b> {
    pub fn new((batch, chance): &'b (Batch, Chance), by_chemistry: bool) -> Bench<'b> {
        let blank = stillroom::chemistry::Mixture::default;
        let situation = Situation {
            calibrations: if batch.calibrated { vec![(4.0, 4.0), (7.0, 7.0)] } else { Vec::new() },
            now: if by_chemistry { batch.plan.clone() } else { blank() },
            adjuster_per_gram: if by_chemistry { batch.base.clone() } else { blank() },
            left_grams: batch.reserve,
            step: STEP,
            window: stillroom::quantity::Range::new(Some(batch.window.0), Some(batch.window.1)),
            ..Situation::default()
        };
        Bench { batch, chance: chance.clone(), situation, poured: 0.0, end: End::default() }
    }

    /// Reads the pH.
    pub fn read(&mut self) -> f64 {
        let reading = self.batch.shows(self.batch.truth(self.poured), &mut self.chance);
        self.situation.readings.push(Observation {
            without_adjuster: self.situation.now.clone(),
            adjuster_grams: self.situation.adjuster_now,
            reading,
            error: 0.05,
        });
        self.end.overshot |= reading > self.batch.window.1;
        reading
    }

    /// Adds so much base by the scale.
    pub fn add(&mut self, grams: f64) {
        self.poured += (grams + STEP * self.chance.normal()).max(0.0);
        self.situation.adjuster_now += grams;
        self.situation.left_grams -= grams;
        self.end.additions += 1;
    }

    /// Reads two buffers.
    fn read_buffers(&mut self) {
        self.end.buffers_read = true;
        for buffer in [4.0, 7.0] {
            let shown = self.batch.shows(buffer, &mut self.chance);
            self.situation.calibrations.push((buffer, shown));
        }
    }

    /// Does as she is told until it is said that the batch is inside, or that nothing helps.
    pub fn follow(mut self) -> End {
        self.read();
        for _ in 0..PATIENCE {
            let advice = advise(&self.situation);
            match advice.verdict {
                Verdict::Add => {
                    self.add(advice.next.map_or(0.0, |next| next.grams));
                    self.read();
                }
                Verdict::ReadFirst => {
                    self.read();
                }
                Verdict::Doubtful if !self.end.buffers_read => self.read_buffers(),
                Verdict::Doubtful => {
                    self.end.doubted = true;
                    break;
                }
                Verdict::OutOfReserve => {
                    self.end.out_of_reserve = true;
                    break;
                }
                Verdict::Inside | Verdict::PastFarEdge => break,
            }
        }
        self.ended()
    }

    /// The same until there are three readings: the advice then, and the first doubt on the way.
    pub fn three_readings(mut self) -> Advice {
        self.read();
        let mut advice = advise(&self.situation);
        while self.situation.readings.len() < 3 {
            // Where it is doubted already, or thought done, a small addition more asks the beaker once again.
            let grams = advice.next.map_or((0.02 * self.batch.reserve / STEP).round() * STEP, |next| next.grams);
            self.add(grams.max(SMALLEST));
            self.read();
            advice = advise(&self.situation);
        }
        advice
    }

    /// A fixed small step, 0.4 % of the batch, until the reading is inside or past.
    pub fn by_small_steps(mut self) -> End {
        let step = self.small_step();
        while self.read() < self.batch.window.0 && self.has(step) {
            self.add(step);
        }
        self.ended()
    }

    /// A small step first, then a straight line through the last two readings to the middle of the window.
    pub fn by_straight_line(mut self) -> End {
        let middle = f64::midpoint(self.batch.window.0, self.batch.window.1);
        let mut before = None;
        loop {
            let reading = self.read();
            if reading >= self.batch.window.0 {
                break;
            }
            let grams = self.situation.adjuster_now;
            // A line through two readings that hardly differ points anywhere, and no maker goes by it.
            let told = before.filter(|(_, reading_before)| reading - reading_before >= TELLS);
            let line = told.map(|(grams_before, reading_before): (f64, f64)| {
                (middle - reading) * (grams - grams_before) / (reading - reading_before)
            });
            let step = line.unwrap_or_else(|| self.small_step());
            let step = ((step / STEP).round() * STEP).max(SMALLEST);
            before = Some((grams, reading));
            if !self.has(step) {
                break;
            }
            self.add(step);
        }
        self.ended()
    }

    fn small_step(&self) -> f64 {
        (0.004 * self.batch.grams / STEP).round() * STEP
    }

    fn has(&mut self, grams: f64) -> bool {
        let has = self.situation.left_grams >= grams && self.end.additions < 1000;
        self.end.out_of_reserve |= !has;
        has
    }

    fn ended(mut self) -> End {
        let (low, high) = self.batch.window;
        let inside = |ph: f64| (low..=high).contains(&ph);
        self.end.reading_inside = self.situation.readings.last().is_some_and(|last| inside(last.reading));
        self.end.truly_inside = inside(self.batch.truth(self.poured));
        self.end
    }
}
