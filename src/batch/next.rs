//! The next thing to do with a batch: in written order, and always a way on.

use super::act::{Do, Next, Stage};
use super::back::{NoWay, WayBack};
use super::ledger::Ledger;
use super::order::{Act, Placed, acts, done, due, last_step_of, reads_after_wait};
use super::reading::LastReading;
use super::short::BeyondReserve;
use crate::batch::advise::{Addition, Advice, Verdict, nearest_buffer};
use crate::model::{Batch, Formula, Happened};
use crate::quantity::Exact;
use smol_str::SmolStr;

/// Where a batch stands: all that decides what is next.
pub struct Standing<'a> {
    /// The formula.
    pub formula: &'a Formula,
    /// The record.
    pub batch: &'a Batch,
    /// The record beside the plan.
    pub ledger: &'a Ledger,
    /// The last reading; none where nothing was read yet.
    pub last: Option<&'a LastReading>,
    /// Whether the pH is in the window.
    pub inside: bool,
    /// Whether the last reading lies past the far edge, by the way its adjuster leads.
    pub beyond: bool,
    /// The line that is weighed to the pH.
    pub adjuster: Option<&'a SmolStr>,
    /// What the advisor says; none where nothing is weighed to a pH, or nothing was read yet.
    pub advice: Option<&'a Advice>,
    /// What leads back from past the far edge, or why nothing does.
    pub back: Option<&'a Result<WayBack, NoWay>>,
    /// The addition that is due though it is more than is left of what was held back.
    pub beyond_reserve: Option<&'a BeyondReserve>,
    /// What stands against releasing it: the worst error that is open; none where nothing is known to.
    pub unfit: Option<&'a str>,
}

/// Why it is read again though nothing went in.
const ANEW: &str = "The meter was set anew after the last reading: read the pH once more.";

impl Standing<'_> {
    /// The stage, and what is next.
    #[must_use]
    pub fn decide(&self) -> (Stage, Next) {
        let acts = acts(self.formula);
        let done = done(&acts, self.formula, self.batch, self.ledger);
        let stage = self.stage(&acts, &done);
        (stage, self.believed(self.next(stage, &acts, &done)))
    }

    fn has(&self, test: impl Fn(&Happened) -> bool) -> bool {
        self.batch.events.iter().any(|event| test(&event.what))
    }

    fn stage(&self, acts: &[Placed], done: &[bool]) -> Stage {
        if self.has(|what| matches!(what, Happened::Rejected(_))) {
            return Stage::Rejected;
        }
        if self.has(|what| matches!(what, Happened::Released)) {
            return Stage::Released;
        }
        if self.batch.is_filled() {
            return Stage::Filled;
        }
        if self.must_be_set_right() {
            return Stage::OverReserve;
        }
        let adjust = acts.iter().position(|placed| placed.act == Act::Adjust);
        let weighs = |placed: &Placed| matches!(placed.act, Act::Weigh | Act::Heat(_) | Act::Cool(_));
        let before = acts.iter().zip(done).take(adjust.unwrap_or(acts.len()));
        let waiting = before.filter(|(placed, done)| weighs(placed) && !**done).count() > 0;
        if waiting && !self.ledger.is_drawn_on() {
            return Stage::Weighing;
        }
        match (adjust, self.inside, self.beyond) {
            (None, ..) | (_, true, _) => Stage::Finishing,
            (_, false, true) => Stage::PastWindow,
            (_, false, false) => Stage::Adjusting,
        }
    }

    /// Whether more went in than was held back, by more than a trifle, and it was not set right.
    fn must_be_set_right(&self) -> bool {
        self.ledger.over().is_positive() && !self.ledger.is_trifle() && !self.ledger.is_set_right()
    }

    fn next(&self, stage: Stage, acts: &[Placed], done: &[bool]) -> Next {
        match stage {
            Stage::Released => return self.released(),
            Stage::Rejected => return Next::new(Do::Done, "The batch is rejected."),
            Stage::Filled => return self.release(),
            _ => {}
        }
        let mut last = Vec::new();
        for (placed, _) in acts.iter().zip(done).filter(|(_, done)| !**done) {
            let next = match &placed.act {
                Act::Heat(celsius) => Some(temperature(Do::Heat, celsius)),
                Act::Cool(celsius) => Some(temperature(Do::Cool, celsius)),
                Act::Weigh => self.weigh(placed, acts),
                Act::Adjust => self.adjust(false),
                // What waits after the last line waits for the top-up too.
                Act::Wait(time) if placed.phase == self.formula.phases.len() => {
                    last.push(wait(time.as_ref()).in_step(placed.step));
                    None
                }
                Act::Wait(time) => Some(wait(time.as_ref())),
            };
            if let Some(next) = next {
                let step = next.step.or(placed.step);
                return next.in_step(step);
            }
        }
        self.finish(last)
    }

    /// A filled batch goes out where no error is open.
    fn release(&self) -> Next {
        match self.unfit {
            None => Next::new(Do::Release, "The batch is filled: release it, or reject it."),
            Some(unfit) => {
                let why = format!(
                    "The batch is filled, and an error is open: {unfit} Put the record right if it is a slip of the pen; \
                     else reject it with its reason, `rejected because \"…\"`."
                );
                Next::new(Do::Stop, why)
            }
        }
    }

    /// A released batch is done, but for an error that is open.
    fn released(&self) -> Next {
        match self.unfit {
            None => Next::new(Do::Done, "The batch is released."),
            Some(unfit) => {
                let why = format!(
                    "The batch is released, and an error is open: {unfit} Put the record right if it is a slip of the pen; \
                     else call back what is out, and write `rejected because \"…\"`."
                );
                Next::new(Do::Stop, why)
            }
        }
    }

    fn weigh(&self, placed: &Placed, acts: &[Placed]) -> Option<Next> {
        let line = self.formula.lines.get(placed.line?)?;
        let own = self.ledger.lines.iter().find(|own| own.name == line.name)?;
        let why =
            if own.entries.is_empty() { "It is next in the formula." } else { "Some of it is in; this is the rest." };
        let grams = due(placed, acts, self.formula, self.ledger)?;
        Some(Next::new(Do::Weigh, why).of(own.name.clone(), grams))
    }

    /// What brings the pH into its window; none once it is there. `again` once everything else is in, where a reading from
    /// before that says nothing any more.
    fn adjust(&self, again: bool) -> Option<Next> {
        let Some(last) = self.last else {
            return Some(Next::new(Do::Read, "Stir, wait a minute, and read the pH before more goes in."));
        };
        if last.set_anew {
            return Some(Next::new(Do::Read, ANEW));
        }
        // What sets a batch right goes in all at once; it is read after the last of it.
        if self.inside && self.must_be_set_right() && self.is_being_set_right() {
            return None;
        }
        if last.stale && (again || last.adjusted_since || !self.inside) {
            let why = if again && !last.adjusted_since {
                "Read the pH once more: something went in after the last reading."
            } else {
                "Stir, wait a minute, and read the pH before more goes in."
            };
            return Some(Next::new(Do::Read, why));
        }
        if self.inside {
            return self.nearer_the_middle();
        }
        Some(if self.beyond { self.lead_back() } else { self.add() })
    }

    /// In the window by the reading, and not surely in truth: a little more, where that helps.
    fn nearer_the_middle(&self) -> Option<Next> {
        let (adjuster, advice) = self.adjuster.zip(self.advice)?;
        let addition = advice.next.as_ref().filter(|_| advice.verdict == Verdict::Add)?;
        let why = format!(
            "The reading is in the window, and the true pH only {} times in 100: a little more helps.",
            in_100(advice)
        );
        Some(Next::new(Do::Add, why).of(adjuster.clone(), self.in_steps(addition, adjuster)))
    }

    /// Past the far edge by the reading and as likely as not in the window in truth: a buffer first, where none was read yet.
    fn doubtfully_past(&self) -> Option<Next> {
        const PERHAPS: f64 = 0.5;
        let advice = self.advice.filter(|advice| advice.verdict == Verdict::PastFarEdge)?;
        let perhaps = advice.ph_true.is_some_and(|truth| truth.inside >= PERHAPS);
        if !perhaps || self.has(|what| matches!(what, Happened::Calibrated { .. })) {
            return None;
        }
        let buffer = nearest_buffer(self.last?.reading.middle().to_f64());
        let why = format!(
            "The reading is past the window, and the true pH may be in it, {} times in 100. Read the buffer of pH \
             {buffer:.2} before anything leads back, and write down what the meter shows: `calibrated pH {buffer:.2} reads …`.",
            in_100(advice)
        );
        Some(Next { buffer: Some(buffer), ..Next::new(Do::CheckMeter, why) })
    }

    /// Past the far edge: what leads back.
    fn lead_back(&self) -> Next {
        if let Some(next) = self.doubtfully_past() {
            return next;
        }
        let back = match self.back {
            Some(Ok(back)) => back,
            Some(Err(no_way)) => return Next::new(Do::Stop, format!("{} {TRIAL}", no_way.words())),
            None => {
                let why = "The pH is past the window: more of this adjuster only takes it further.";
                return Next::new(Do::Stop, format!("{why} {TRIAL}"));
            }
        };
        let what = if back.is_line { "of the formula's own leads" } else { "leads" };
        let reserve = if back.over_reserve {
            "It is more than is left of what was held back, so the batch will be over its weight"
        } else {
            "It comes out of what is held back"
        };
        let written = if back.is_adjuster {
            "and read again"
        } else {
            "write it down with its reason, `added … because \"…\"`, and read again"
        };
        let (least, most) = (self.ledger.grams(&back.whole.0), self.ledger.grams(&back.whole.1));
        let how_far = if back.is_part {
            format!(
                "back towards its middle. All of the way may take {least} to {most} g, and all of it at once might go past \
                 the other edge"
            )
        } else {
            format!("back to its middle, {least} to {most} g as far as can be told")
        };
        let why = format!("The pH is past the window: this much {what} {how_far}. {reserve}; {written}.");
        Next::new(Do::Add, why).of(back.material.clone(), back.grams.clone())
    }

    /// Some adjuster, as much as the advisor says.
    fn add(&self) -> Next {
        const SHORT: &str = "The reading is not in the window yet.";
        let Some(adjuster) = self.adjuster else {
            let why = "The pH is outside the window, and no line of the formula is weighed to bring it there.";
            return Next::new(Do::Stop, format!("{why} {TRIAL}"));
        };
        let advised = |addition: &Addition, why: &str| {
            Next::new(Do::Add, why).of(adjuster.clone(), self.in_steps(addition, adjuster))
        };
        match self.advice.map(|advice| (advice.verdict, advice.next)) {
            Some((_, Some(addition))) => advised(&addition, SHORT),
            Some((Verdict::OutOfReserve, None)) => match self.beyond_reserve {
                Some(beyond) => advised(&beyond.addition, &beyond.words(self.ledger)),
                None => Next::new(Do::Stop, format!("Nothing is left of what was held back. {TRIAL}")),
            },
            _ if self.is_read_twice() => self.a_little(adjuster),
            _ => Next::new(Do::Read, "Read the pH once more: the last reading decides nothing."),
        }
    }

    /// Whether the pH was read twice with nothing put in between: a third reading would tell no more.
    fn is_read_twice(&self) -> bool {
        let is_read = |what: &Happened| matches!(what, Happened::Read(_));
        let events = self.batch.events.iter().rev().map(|event| &event.what);
        events.take_while(|what| what.puts_in().is_none()).filter(|what| is_read(what)).count() >= 2
    }

    /// The least that is worth weighing, where the readings decide nothing: what it does tells more than another reading.
    fn a_little(&self, adjuster: &SmolStr) -> Next {
        let doubt = self.advice.and_then(|advice| advice.doubts.first());
        let doubt = doubt.map(|doubt| format!(" {} ({}): {}.", doubt.cause.words(), doubt.size, doubt.test));
        let grams = Exact::ratio(3, 100).up_to_step(self.ledger.step_of(adjuster));
        let why =
            format!("The readings decide nothing yet: a little, and read what it does.{}", doubt.unwrap_or_default());
        Next::new(Do::Add, why).of(adjuster.clone(), grams)
    }

    /// An addition to the step of the scale, which it is a multiple of.
    fn in_steps(&self, addition: &Addition, adjuster: &str) -> Exact {
        grams_of(addition, self.ledger.step_of(adjuster))
    }

    /// Everything is weighed, and the pH was in its window before that.
    fn finish(&self, waits: Vec<Next>) -> Next {
        let adjusts = self.formula.window.is_some();
        // What sets a batch right goes in all at once; it is read after the last of it.
        if let Some(next) = self.set_right().filter(|_| self.is_being_set_right()) {
            return next;
        }
        if adjusts && let Some(next) = self.adjust(true).filter(|next| next.what != Do::Read || !self.only_topped_up())
        {
            return next;
        }
        if let Some(next) = self.set_right().or_else(|| self.top_up_by_scale()).or_else(|| self.top_up()) {
            return next;
        }
        if adjusts && let Some(next) = self.adjust(true) {
            return next;
        }
        if let Some(next) = waits.into_iter().next() {
            return next;
        }
        if adjusts && let Some(next) = self.read_after_wait() {
            return next;
        }
        if let Some(unfit) = self.unfit {
            let why = format!(
                "Everything is in, and an error is open: {unfit} Set it right, put the record right if it is a slip of the \
                 pen, or write `rejected because \"…\"`."
            );
            return Next::new(Do::Stop, why);
        }
        let why = match adjusts {
            true => "Everything is in, and the pH is in its window.",
            false => "Everything is in.",
        };
        Next::new(Do::Fill, why)
    }

    /// The reading that a step asks for after its wait, where the last one is from before it.
    fn read_after_wait(&self) -> Option<Next> {
        let step = reads_after_wait(self.formula)?;
        let last = |test: fn(&Happened) -> bool| self.batch.events.iter().rposition(|event| test(&event.what));
        let waited = last(|what| matches!(what, Happened::Waited(_)))?;
        let read = last(|what| matches!(what, Happened::Read(_)));
        let why = "Read the pH once more: the step asks for it after the wait.";
        (read < Some(waited)).then(|| Next::new(Do::Read, why).in_step(Some(step)))
    }

    /// Whether nothing but a top-up came after the last reading: the next top-up, where there is one, comes before another.
    fn only_topped_up(&self) -> bool {
        let after = self.batch.events.iter().rev().take_while(|event| !matches!(event.what, Happened::Read(_)));
        let mut put_in = after.map(|event| &event.what).filter(|what| what.puts_in().is_some());
        put_in.all(|what| matches!(what, Happened::ToppedUp { .. }))
    }

    /// Whether the last thing that went in sets the batch right.
    fn is_being_set_right(&self) -> bool {
        let counts = |what: &Happened| what.puts_in().is_some() || matches!(what, Happened::Read(_));
        let last = self.batch.events.iter().rposition(|event| counts(&event.what));
        last.is_some() && self.ledger.set_right.last().map(|entry| entry.event) == last
    }

    /// Over the reserve: what makes a right batch of a larger size of it, one line after another.
    fn set_right(&self) -> Option<Next> {
        if !self.must_be_set_right() {
            return None;
        }
        let over = self.ledger.grams(&self.ledger.over());
        let Some((material, lacking)) = self.ledger.lacking().into_iter().next() else {
            let why = format!(
                "{over} g more went in than was held back, and no larger batch sets that right: reject it, or relabel it \
                 by what it is now."
            );
            return Some(Next::new(Do::Stop, why));
        };
        let why = format!(
            "{over} g more went in than was held back, and everything is too thin by it. With more of each line it is a \
             right batch of {} g; write it down with its reason, `added … because \"…\"`.",
            self.ledger.grams(&self.ledger.whole())
        );
        Some(Next::new(Do::Add, why).of(material, lacking))
    }

    /// What was held back and not used goes in, one line after another.
    fn top_up(&self) -> Option<Next> {
        let (material, grams) = self.ledger.top_ups().into_iter().find(|(_, grams)| self.is_weighable(grams))?;
        Some(self.top_up_with(material, grams))
    }

    fn top_up_with(&self, material: SmolStr, grams: Exact) -> Next {
        let why = "What was held back and not used goes in, so that the batch comes to its weight.";
        let step = last_step_of(self.formula, &material);
        Next::new(Do::TopUp, why).of(material, grams).in_step(step)
    }

    fn is_weighable(&self, grams: &Exact) -> bool {
        grams.to_step(&self.ledger.step).is_positive()
    }

    /// After heat nobody knows what evaporated, so that the scale has to say what is missing. What was topped up by sum
    /// already stays as it is.
    fn top_up_by_scale(&self) -> Option<Next> {
        let to = self.ledger.top_up_to()?;
        let material = self.ledger.water.clone()?;
        let is_water = |name: &SmolStr| *name == material;
        if self.ledger.reserves.iter().any(|reserve| is_water(&reserve.material) && reserve.topped_up().is_positive()) {
            return None;
        }
        // What else is held back has a weight of its own; the scale then says what is missing of the water.
        let mut top_ups = self.ledger.top_ups().into_iter().filter(|(_, grams)| self.is_weighable(grams));
        if let Some((other, grams)) = top_ups.find(|(name, _)| !is_water(name)) {
            return Some(self.top_up_with(other, grams));
        }
        let why = format!(
            "It was heated, so what evaporated goes back too: add {material} until the beaker holds {} g by the scale, not \
             by sum, and write down both, `topped-up {material} … g to {0} g`.",
            self.ledger.grams(&to)
        );
        let step = last_step_of(self.formula, &material);
        Some(Next::new(Do::TopUp, why).of(material, self.ledger.to_top_up()).in_step(step))
    }

    /// What is next, where the readings can be believed: nothing more goes in and nothing is filled until a doubt is
    /// settled, or the buffer is read that may change it.
    fn believed(&self, next: Next) -> Next {
        // A reading past the window that nobody can believe leads nowhere either.
        let goes_on =
            matches!(next.what, Do::Add | Do::Weigh | Do::TopUp | Do::Fill) || (next.what == Do::Stop && self.beyond);
        let Some(advice) = self.advice.filter(|_| goes_on) else { return next };
        if let Verdict::CheckMeter { buffer } = advice.verdict {
            return check_meter(advice, buffer);
        }
        if advice.verdict != Verdict::Doubtful {
            return next;
        }
        let test = advice.doubts.first().map_or("read a fresh buffer, and write it down", |doubt| doubt.test.as_str());
        let why =
            "The readings cannot come from this formula and these weights: settle the doubt before anything else.";
        Next::new(Do::Stop, format!("{why} To decide it: {}.", test.trim_end_matches('.'))).in_step(next.step)
    }
}

/// The meter is checked before anything that cannot be undone.
fn check_meter(advice: &Advice, buffer: f64) -> Next {
    let why = if advice.honest {
        format!("The reading is in the window, and the true pH only {} times in 100.", in_100(advice))
    } else {
        "The readings cannot come from this formula and these weights.".to_string()
    };
    let how = format!(
        "Read the buffer of pH {buffer:.2} before anything else, and write down what the meter shows: `calibrated pH \
         {buffer:.2} reads …`."
    );
    Next { buffer: Some(buffer), ..Next::new(Do::CheckMeter, format!("{why} {how}")) }
}

/// How often in a hundred the true pH lies in the window.
fn in_100(advice: &Advice) -> u32 {
    advice.ph_true.map_or(0, |truth| (truth.inside * 100.0).floor() as u32)
}

/// What is done where nothing can be foreseen. Common practice, no source.
const TRIAL: &str = "Try it on 20 g of the batch in a cup, a drop at a time; what leads it into the window there, times the \
                     weight of the batch over 20 g, does it here. Otherwise reject the batch.";

fn temperature(what: Do, celsius: &Exact) -> Next {
    let word = if what == Do::Heat { "heated" } else { "cooled" };
    let why = format!("The phase asks for it. Write down what was reached: `{word} {celsius} °C`.");
    Next { celsius: Some(celsius.clone()), ..Next::new(what, why) }
}

fn wait(seconds: Option<&Exact>) -> Next {
    Next {
        seconds: seconds.cloned(),
        ..Next::new(Do::Wait, "The formula asks for time. Write down how long it was: `waited …`.")
    }
}

/// An addition to the step of a scale, which it is a multiple of.
#[must_use]
pub fn grams_of(addition: &Addition, step: &Exact) -> Exact {
    let hundred_thousandths = (addition.grams * 1e5).round();
    Exact::ratio(hundred_thousandths as i64, 100_000).to_step(step)
}
