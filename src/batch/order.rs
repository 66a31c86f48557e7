//! What is to be done at the bench, in the order in which the formula writes it, and what of it is done.

use super::ledger::Ledger;
use crate::model::{Batch, Formula, Happened, LineAmount, Portion, StepMark, Steps};
use crate::quantity::Exact;

/// A temperature that is this near, in degrees Celsius, is reached. Common practice, no source.
const REACHED: i64 = 2;

/// Something to be done.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Act {
    /// Heat to so many degrees Celsius.
    Heat(Exact),
    /// Cool to so many.
    Cool(Exact),
    /// Weigh a line in.
    Weigh,
    /// Bring the pH into its window with the adjuster.
    Adjust,
    /// Leave it to itself for so many seconds; none where the step does not say how long.
    Wait(Option<Exact>),
}

/// An act, and where it belongs.
#[derive(Clone, Debug)]
pub struct Placed {
    /// The act.
    pub act: Act,
    /// The number of its phase.
    pub phase: usize,
    /// The number of its line, of a weighing and of adjuster.
    pub line: Option<usize>,
    /// The number of the step that tells of it.
    pub step: Option<usize>,
}

/// The acts of a formula, in written order; what waits after the last line comes last.
#[must_use]
pub fn acts(formula: &Formula) -> Vec<Placed> {
    let steps = cut(formula);
    let waits = waits(formula, &steps);
    let step_of = |number: usize| step_of(formula, &steps, number);
    let adjuster = formula.window.as_ref().and_then(|_| formula.lines.iter().position(is_at_bench));
    let mut all = Vec::new();
    for (phase, opened) in formula.phases.iter().enumerate() {
        let mut lines = formula.lines.iter().enumerate().filter(|(_, line)| line.phase == phase).peekable();
        let first = lines.peek().map(|(number, _)| *number);
        let step = first.and_then(step_of);
        let temperature = |act: Act| Placed { act, phase, line: None, step };
        all.extend(opened.heat.iter().map(|(celsius, _)| temperature(Act::Heat(celsius.clone()))));
        all.extend(opened.cool.iter().map(|(celsius, _)| temperature(Act::Cool(celsius.clone()))));
        for (number, line) in lines {
            let own = |act| Placed { act, phase, line: Some(number), step: step_of(number) };
            if !is_at_bench(line) {
                all.push(own(Act::Weigh));
            } else if adjuster == Some(number) {
                all.push(own(Act::Adjust));
            }
            let here = waits.iter().filter(|(after, ..)| *after == Some(number));
            all.extend(here.map(|(_, step, time)| Placed {
                act: Act::Wait(time.clone()),
                phase,
                line: None,
                step: Some(*step),
            }));
        }
    }
    let phase = formula.phases.len();
    let last = waits.into_iter().filter(|(after, ..)| after.is_none());
    all.extend(last.map(|(_, step, time)| Placed { act: Act::Wait(time), phase, line: None, step: Some(step) }));
    all
}

fn is_at_bench(line: &crate::model::Line) -> bool {
    line.amount == LineAmount::AtBench
}

type Cut<'f> = Vec<StepMark<'f>>;

fn cut(formula: &Formula) -> Vec<Cut<'_>> {
    formula.steps.iter().flat_map(Steps::cut).collect()
}

/// The first step that names a line, or its first weighing.
fn step_of(formula: &Formula, steps: &[Cut<'_>], line: usize) -> Option<usize> {
    let name = &formula.lines.get(line)?.name;
    steps.iter().position(|step| portions(step).any(|(named, portion)| named == name && portion != Portion::Rest))
}

/// The last step that tells of the rest of a material; else the last that names it.
#[must_use]
pub fn last_step_of(formula: &Formula, name: &str) -> Option<usize> {
    let steps = cut(formula);
    let last = |is: &dyn Fn(Portion<'_>) -> bool| {
        steps.iter().rposition(|step| portions(step).any(|(named, portion)| named == name && is(portion)))
    };
    last(&|portion| portion == Portion::Rest).or_else(|| last(&|_| true))
}

fn portions<'m>(step: &'m [StepMark<'_>]) -> impl Iterator<Item = (&'m str, Portion<'m>)> {
    step.iter().filter_map(|mark| match mark {
        StepMark::Name(name, portion) => Some((*name, *portion)),
        StepMark::Text(_) | StepMark::Ph => None,
    })
}

fn names<'m>(step: &'m [StepMark<'_>]) -> impl Iterator<Item = &'m str> {
    portions(step).map(|(name, _)| name)
}

/// The steps that only wait, each with the line it comes after: the last of those that the steps before it name. None
/// where that is the last line of all, or no line is named before it.
fn waits(formula: &Formula, steps: &[Cut<'_>]) -> Vec<(Option<usize>, usize, Option<Exact>)> {
    let mut last: Option<usize> = None;
    let mut all = Vec::new();
    for (number, step) in steps.iter().enumerate() {
        if let Some(time) = only_waits(step) {
            let after = last.filter(|line| line + 1 < formula.lines.len());
            all.push((after, number, time));
        }
        let named = names(step).filter_map(|name| formula.lines.iter().rposition(|line| line.name == name));
        last = last.into_iter().chain(named).max();
    }
    all
}

/// The words that a wait begins with.
const BEGINS: [&str; 7] = ["wait", "leave", "let", "rest", "stand", "allow", "keep"];
/// What a sentence goes on with.
const GOES_ON: [&str; 4] = [" then ", "; ", ". ", ", then "];

/// The text of a step, without its names, in small letters.
fn text_of(step: &[StepMark<'_>]) -> String {
    let texts = step.iter().filter_map(|mark| if let StepMark::Text(text) = mark { Some(text.as_ref()) } else { None });
    let text: String = texts.collect();
    text.trim().trim_end_matches('.').to_lowercase()
}

/// Whether a step waits and puts nothing in, and for how many seconds, as far as it says: it begins with a word for it and
/// tells a time. What it goes on with, as with a reading, names no material: that would be another act.
fn only_waits(step: &[StepMark<'_>]) -> Option<Option<Exact>> {
    let text = text_of(step);
    let end = GOES_ON.iter().filter_map(|more| text.find(more)).min();
    let most = if end.is_some() { 0 } else { 1 };
    if names(step).count() > most {
        return None;
    }
    time_of_wait(text.get(..end.unwrap_or(text.len()))?)
}

/// How long a sentence has something left to itself, in seconds, as far as it says; none where it is no wait.
fn time_of_wait(sentence: &str) -> Option<Option<Exact>> {
    let first = sentence.split(|letter: char| !letter.is_alphabetic()).next()?;
    if !BEGINS.contains(&first) {
        return None;
    }
    if sentence.contains("overnight") {
        return Some(None);
    }
    time_in(sentence).map(Some)
}

/// Whether the last step that waits asks for the pH after it.
#[must_use]
pub fn reads_after_wait(formula: &Formula) -> Option<usize> {
    const READS: [&str; 4] = ["read", "check", "measure", "test"];
    let steps = cut(formula);
    let number = steps.iter().rposition(|step| only_waits(step).is_some())?;
    let step = steps.get(number)?;
    let text = text_of(step);
    let words = || text.split(|letter: char| !letter.is_alphanumeric());
    let is_of_ph = step.iter().any(|mark| matches!(mark, StepMark::Ph)) || words().any(|word| word == "ph");
    (is_of_ph && words().any(|word| READS.contains(&word))).then_some(number)
}

/// The steps that stand before the jars and of which a record does not say that they are done: from the last that names a
/// material on, and each before it that has something left to itself within it.
#[must_use]
pub fn before_the_jars(formula: &Formula) -> Vec<usize> {
    let steps = cut(formula);
    let last = steps.iter().rposition(|step| names(step).next().is_some()).unwrap_or(0);
    let waits_within = |step: &Cut<'_>| {
        let text = text_of(step);
        only_waits(step).is_none()
            && text
                .split([';', '.', ','])
                .map(|part| part.trim().trim_start_matches("and ").trim_start_matches("then "))
                .any(|part| time_of_wait(part).is_some())
    };
    let stands = |(number, step): (usize, &Cut<'_>)| (number >= last || waits_within(step)).then_some(number);
    steps.iter().enumerate().filter_map(stands).collect()
}

/// The first length of time in a text, in seconds: `30 min`, `1 h`, `24 hours`.
fn time_in(text: &str) -> Option<Exact> {
    let words: Vec<&str> = text.split_whitespace().collect();
    words.windows(2).find_map(|pair| {
        let [figure, unit] = pair else { return None };
        let seconds = match unit.trim_matches(|letter: char| !letter.is_alphabetic()) {
            "s" | "second" | "seconds" => 1,
            "min" | "minute" | "minutes" => 60,
            "h" | "hour" | "hours" => 3600,
            "d" | "day" | "days" => 86_400,
            _ => return None,
        };
        // Of a range the least is what has to be waited.
        let figure = Exact::parse(figure)?;
        Some(&figure * &Exact::whole(seconds)).filter(Exact::is_positive)
    })
}

/// Which acts are done. A temperature or a wait is done where the record says so, or what comes in a later phase has
/// begun without it.
#[must_use]
pub fn done(acts: &[Placed], formula: &Formula, batch: &Batch, ledger: &Ledger) -> Vec<bool> {
    let begun = begun(acts, formula, ledger);
    let mut from = 0_usize;
    acts.iter()
        .map(|placed| {
            let found = match &placed.act {
                Act::Weigh => return due(placed, acts, formula, ledger).is_none(),
                // Whether the pH is where it is to be is for the readings to say.
                Act::Adjust => return false,
                Act::Heat(celsius) => reached(batch, from, |what| match what {
                    Happened::Heated(found) => *found >= celsius - &Exact::whole(REACHED),
                    _ => false,
                }),
                Act::Cool(celsius) => reached(batch, from, |what| match what {
                    Happened::Cooled(found) => *found <= celsius + &Exact::whole(REACHED),
                    _ => false,
                }),
                Act::Wait(time) => waited(batch, from.max(entered(placed, acts, formula, ledger)), time.as_ref()),
            };
            if let Some(at) = found {
                from = at + 1;
            }
            found.is_some() || begun.is_some_and(|begun| placed.phase < begun)
        })
        .collect()
}

/// The last phase of which anything went in.
fn begun(acts: &[Placed], formula: &Formula, ledger: &Ledger) -> Option<usize> {
    let has = |placed: &&Placed| {
        let line = placed.line.and_then(|number| formula.lines.get(number));
        let line = line.and_then(|line| ledger.lines.iter().find(|own| own.name == line.name));
        line.is_some_and(|line| !line.entries.is_empty())
    };
    acts.iter().filter(has).map(|placed| placed.phase).max()
}

fn reached(batch: &Batch, from: usize, is: impl Fn(&Happened) -> bool) -> Option<usize> {
    batch.events.iter().enumerate().skip(from).find(|(_, event)| is(&event.what)).map(|(number, _)| number)
}

/// The event with which so much time was left to it.
fn waited(batch: &Batch, from: usize, time: Option<&Exact>) -> Option<usize> {
    let mut sum = Exact::ZERO;
    batch.events.iter().enumerate().skip(from).find_map(|(number, event)| {
        let Happened::Waited(seconds) = &event.what else { return None };
        sum = &sum + seconds;
        time.is_none_or(|time| sum >= *time).then_some(number)
    })
}

/// The event after which a wait counts: the first weighing of the line before it.
fn entered(wait: &Placed, acts: &[Placed], formula: &Formula, ledger: &Ledger) -> usize {
    let before = acts.iter().take_while(|placed| !std::ptr::eq(*placed, wait));
    let line = before.filter_map(|placed| placed.line).last().and_then(|number| formula.lines.get(number));
    let own = line.and_then(|line| ledger.lines.iter().find(|own| own.name == line.name));
    own.and_then(|own| own.entries.first()).map_or(0, |entry| entry.event + 1)
}

/// What is to be weighed of a line now; none where it is in. Of lines of one material the later ones wait for their turn.
#[must_use]
pub fn due(placed: &Placed, acts: &[Placed], formula: &Formula, ledger: &Ledger) -> Option<Exact> {
    let line = formula.lines.get(placed.line?)?;
    let own = ledger.lines.iter().find(|own| own.name == line.name)?;
    let missing = own.missing();
    let later = acts.iter().filter(|other| other.act == Act::Weigh && other.line > placed.line);
    let later = later.filter_map(|other| formula.lines.get(other.line?)).filter(|other| other.name == line.name);
    let share: Exact = later.filter_map(|other| other.percent.clone()).sum();
    if share.is_zero() {
        return missing.is_positive().then_some(missing);
    }
    let waits = &(&share.hundredth() * &ledger.size());
    let due = (&missing - waits).to_step(&own.step);
    let little = (&ledger.size() * &line.percent.clone()?.hundredth()).hundredth().max(own.step.clone());
    (due > little).then_some(due)
}

#[cfg(test)]
mod tests {
    use super::{StepMark, only_waits};
    use crate::quantity::Exact;
    use std::borrow::Cow;

    fn waits(text: &'static str) -> Option<Option<Exact>> {
        only_waits(&[StepMark::Text(Cow::Borrowed(text))])
    }

    #[test]
    fn a_step_that_begins_with_a_wait_is_one_whatever_it_goes_on_with() {
        let hours = |hours: i64| Some(Some(Exact::whole(hours * 3600)));
        for (text, wanted) in [
            ("Leave it 1 h.", hours(1)),
            ("Leave it 24 h; then check the pH.", hours(24)),
            ("Let it stand for 2 h. Read the pH again.", hours(2)),
            ("Wait 24 h, then read the pH once more.", hours(24)),
            ("Let it stand overnight; stir.", Some(None)),
            ("Let it cool; wait 1 h.", None),
            ("Check the pH, and leave it 1 h.", None),
            ("Stir for 1 h.", None),
        ] {
            assert_eq!(waits(text), wanted, "{text}");
        }
        // What goes on with a material is another act, and is asked for by itself.
        let with_a_name = [
            StepMark::Text(Cow::Borrowed("Leave it 1 h, then stir in ")),
            StepMark::Name("glycerin", super::Portion::Line),
        ];
        assert_eq!(only_waits(&with_a_name), None);
    }
}
