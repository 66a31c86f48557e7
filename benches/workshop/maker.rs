//! A maker at the bench: as the advisor tells her, or by one of two habits of the trade.

use super::chance::Chance;
use super::meter::typed_wrong;
use super::{Batch, STEP};
use stillroom::batch::advise::{
    Advice, Cause, MeterEvent, Observation, Situation, Verdict, advise, is_shown_right, settings,
};

/// No maker reads more often than this.
const PATIENCE: usize = 60;
/// The smallest addition that can be made, in grams.
const SMALLEST: f64 = 0.03;
/// Nor puts a batch to the test more often.
const TESTS: usize = 4;
/// Two readings that differ by less than this make no line, in pH.
const TELLS: f64 = 0.1;

/// How a batch ended.
#[derive(Clone, Debug, Default)]
pub struct End {
    /// The last reading was in the window, less what the meter was known to show too much.
    pub reading_inside: bool,
    /// The true pH was.
    pub truly_inside: bool,
    /// The true pH was past the far edge at some time.
    pub overshot: bool,
    /// A reading was, less what the meter was known to show too much.
    pub read_past: bool,
    /// The additions made.
    pub additions: usize,
    /// More base was needed than there was.
    pub out_of_reserve: bool,
    /// It was doubted at some time.
    pub doubted: bool,
    /// A buffer was asked for.
    pub buffer_asked: bool,
    /// The causes that were named the last time that any was.
    pub named: Vec<Cause>,
    /// The chance of being inside that was told at the end.
    pub told_inside: f64,
}

/// A batch under way.
pub struct Bench {
    batch: Batch,
    chance: Chance,
    pub situation: Situation,
    events: Vec<MeterEvent>,
    /// The adjuster in it in truth, in grams.
    poured: f64,
    tests: usize,
    pub end: End,
}

impl Bench {
    pub fn new((batch, chance): &(Batch, Chance), by_chemistry: bool) -> Bench {
        let blank = stillroom::chemistry::Mixture::default;
        let situation = Situation {
            now: if by_chemistry { batch.plan.clone() } else { blank() },
            adjuster_per_gram: if by_chemistry { batch.base.clone() } else { blank() },
            left_grams: batch.reserve,
            step: STEP,
            window: stillroom::quantity::Range::new(Some(batch.window.0), Some(batch.window.1)),
            ..Situation::default()
        };
        Bench {
            batch: batch.clone(),
            chance: chance.clone(),
            situation,
            events: Vec::new(),
            poured: 0.0,
            tests: 0,
            end: End::default(),
        }
    }

    /// Reads the pH.
    pub fn read(&mut self) -> f64 {
        let shown = self.batch.meter.shows(self.batch.truth(self.poured), &mut self.chance);
        let slips = self.batch.slip.is_some_and(|number| number == self.situation.readings.len());
        let reading = if slips { typed_wrong(shown, &mut self.chance) } else { shown };
        if slips {
            self.batch.slip = None;
        }
        self.situation.readings.push(Observation {
            without_adjuster: self.situation.now.clone(),
            adjuster_grams: self.situation.adjuster_now,
            reading,
            error: 0.05,
            written: format!("reading pH {reading}"),
        });
        self.events.push(MeterEvent::Read);
        self.end.read_past |= !slips && self.batch.lies(self.corrected(reading)).is_gt();
        reading
    }

    /// A reading less what the meter is known to show too much.
    fn corrected(&self, reading: f64) -> f64 {
        // To the hundredth that is read.
        ((reading - self.situation.meter_shows_more()) * 100.0).round() / 100.0
    }

    /// Adds so much adjuster by the scale.
    pub fn add(&mut self, grams: f64) {
        self.poured += (grams + STEP * self.chance.normal()).max(0.0);
        self.situation.adjuster_now += grams;
        self.situation.left_grams -= grams;
        self.end.additions += 1;
        self.end.overshot |= self.batch.lies(self.batch.truth(self.poured)).is_gt();
    }

    /// Reads a buffer, and writes it down.
    pub fn read_buffer(&mut self, buffer: f64) {
        let shown = self.batch.meter.shows(buffer, &mut self.chance);
        self.write_buffer(buffer, shown);
    }

    fn write_buffer(&mut self, buffer: f64, shown: f64) {
        self.events.push(MeterEvent::Buffer(buffer, shown));
        (self.situation.earlier, self.situation.calibrations) = settings(self.events.iter().copied());
        // Shown right, the record asks for another reading.
        if is_shown_right(buffer, shown) {
            self.read();
        }
    }

    /// Does as she is told until it is said that the batch is inside, or that nothing helps. Without a buffer she goes by
    /// the reading where one is asked for.
    pub fn follow(mut self, has_buffer: bool) -> End {
        self.read();
        for _ in 0..PATIENCE {
            let advice = advise(&self.situation);
            self.note(&advice);
            match advice.verdict {
                Verdict::Add => {
                    self.add(advice.next.map_or(0.0, |next| next.grams));
                    self.read();
                }
                Verdict::ReadFirst => {
                    self.read();
                }
                Verdict::CheckMeter { buffer } => {
                    self.end.buffer_asked = true;
                    if !has_buffer {
                        break;
                    }
                    self.read_buffer(buffer);
                }
                Verdict::Doubtful if self.test(&advice) => {}
                Verdict::OutOfReserve => {
                    self.end.out_of_reserve = true;
                    break;
                }
                Verdict::Inside | Verdict::PastFarEdge | Verdict::Doubtful => break,
            }
        }
        self.ended()
    }

    /// What is said of the batch on the way.
    fn note(&mut self, advice: &Advice) {
        self.end.doubted |= !advice.honest || !advice.doubts.is_empty();
        let named: Vec<Cause> = advice.doubts.iter().map(|doubt| doubt.cause).collect();
        if !named.is_empty() {
            self.end.named = named;
        }
        self.end.told_inside = advice.ph_true.map_or(0.0, |truth| truth.inside);
    }

    /// Does what is to decide a doubt, where a maker at the bench can; says whether she did. What was no help a few times
    /// she does not do again.
    fn test(&mut self, advice: &Advice) -> bool {
        let Some(doubt) = advice.doubts.first().filter(|_| self.tests < TESTS) else { return false };
        self.tests += 1;
        if let Cause::Slip { reading } = doubt.cause {
            self.situation.readings.remove(reading - 1);
            let read = self.events.iter().enumerate().filter(|(_, event)| **event == MeterEvent::Read);
            let at = read.map(|(at, _)| at).nth(reading - 1).unwrap();
            self.events.remove(at);
            (self.situation.earlier, self.situation.calibrations) = settings(self.events.iter().copied());
            self.read();
            return true;
        }
        let words: Vec<&str> = doubt.test.split(' ').collect();
        match words.as_slice() {
            ["add", grams, "g:", ..] => {
                self.add(grams.parse().unwrap());
                self.read();
                true
            }
            ["set", "the", "meter", "to", "the", "buffer", "of", "pH", buffer, ..] => {
                let buffer = buffer.trim_end_matches(',').parse().unwrap();
                self.batch.meter.set(buffer);
                self.write_buffer(buffer, buffer);
                true
            }
            _ => false,
        }
    }

    /// The same until there are three readings: the advice then.
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
        while self.is_short() && self.has(step) {
            self.add(step);
        }
        self.ended()
    }

    /// A small step first, then a straight line through the last two readings to the middle of the window.
    pub fn by_straight_line(mut self) -> End {
        let middle = f64::midpoint(self.batch.window.0, self.batch.window.1);
        let mut before: Option<(f64, f64)> = None;
        while self.is_short() {
            let reading = self.situation.readings.last().unwrap().reading;
            let grams = self.situation.adjuster_now;
            // A line through two readings that hardly differ points anywhere, and no maker goes by it.
            let told = before.filter(|(_, reading_before)| (reading - reading_before).abs() >= TELLS);
            let line = told.map(|(grams_before, reading_before)| {
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

    /// Reads, and says whether it is short of the window.
    fn is_short(&mut self) -> bool {
        let reading = self.read();
        self.batch.lies(reading).is_lt()
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
        let last = self.situation.readings.last().map_or(f64::NAN, |last| last.reading);
        self.end.reading_inside = self.batch.lies(self.corrected(last)).is_eq();
        self.end.truly_inside = self.batch.lies(self.batch.truth(self.poured)).is_eq();
        self.end
    }
}
