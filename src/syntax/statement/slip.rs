//! Statements that can be meant in one way only, and are written another way here: a name with a blank in it, a colon
//! after a name, a range with a dash. Each is told of whole, and only where the grammar takes what is offered for it.

use super::fault::{Broken, is_name};
use super::loose::{self, Loose, Note};
use crate::diagnostic::{Code, Diagnostic, Place, Sureness};
use crate::quantity::Exact;
use crate::syntax::context::Context;
use crate::syntax::grammar::Grammar;
use pest::Parser as _;

impl Broken<'_> {
    /// The fault of a statement that is loosely written, with what is written in its stead.
    pub(super) fn slip(&self) -> Option<Diagnostic> {
        match self.context {
            Context::Phase => self.temperature().or_else(|| self.lines()),
            Context::VariantPhase => self.lines().or_else(|| self.in_phase_of_variant()),
            Context::Variant => self.in_variant().or_else(|| self.one_ph()).or_else(|| self.field()),
            Context::Formula => self.one_ph().or_else(|| self.field()),
            Context::Material | Context::Substance | Context::Maker => self.field(),
            _ => None,
        }
    }

    fn is_sound(&self, text: &str) -> bool {
        Grammar::parse(self.context.rule(), text).is_ok()
    }

    /// `heat 75` or `cool 40 °C`: a temperature without the `to` before it.
    fn temperature(&self) -> Option<Diagnostic> {
        let text = self.text.trim_end();
        let (first, rest) = loose::first_word(text);
        let rest = rest.trim_start();
        if !matches!(first, "heat" | "cool") || !rest.starts_with(|letter: char| letter.is_ascii_digit()) {
            return None;
        }
        let unit = if rest.ends_with(|letter: char| letter.is_ascii_digit()) { " °C" } else { "" };
        let whole = format!("{first} to {rest}{unit}");
        let message = format!("`{}` lacks the `to` before its temperature.", cut(text));
        let help = format!("Write `{}`.", cut(&whole));
        self.is_sound(&whole).then(|| self.offered(message, help, whole.clone()))
    }

    /// One line, or several that commas at their ends hold together.
    fn lines(&self) -> Option<Diagnostic> {
        let mut notes: Vec<Note> = Vec::new();
        let mut mended: Vec<String> = Vec::new();
        for written in self.text.split('\n') {
            let (body, comment) = written.split_at(loose::comment_start(written));
            let (indent, body) = body.split_at(body.len() - body.trim_start().len());
            let (kept, blanks) = body.split_at(body.trim_end().len());
            if kept.is_empty() {
                mended.push(written.to_string());
                continue;
            }
            let line = loose::line(kept);
            let text = line.as_ref().map_or(kept, |line| line.text.as_str());
            if !self.is_sound(text) {
                return None;
            }
            mended.push(format!("{indent}{text}{blanks}{comment}"));
            let new = line.map(|line| line.notes).unwrap_or_default();
            notes.extend(new.into_iter().filter(|note| !notes.contains(note)).collect::<Vec<_>>());
        }
        // Letters of a name alone are told of as that.
        if notes.is_empty() || notes.iter().all(|note| matches!(note, Note::Letters)) {
            return None;
        }
        Some(self.rewritten(&Loose { text: mended.join("\n"), notes }))
    }

    fn field(&self) -> Option<Diagnostic> {
        let openers = self.context.openers();
        let mended = loose::field(self.text, &openers)?;
        self.is_sound(&mended.text).then(|| self.rewritten(&mended))
    }

    /// A pH that is one figure: the window around it that a maker can hold, by what the meter tells apart.
    fn one_ph(&self) -> Option<Diagnostic> {
        let figure = loose::one_ph(self.text)?;
        let window = ph_window(&figure, self.meter.as_ref());
        let text = self.text.trim_end();
        let message = format!("A pH is a window, from one figure to another, and `{}` is one figure.", cut(text));
        let place = self.place(0, text.len());
        Some(
            Diagnostic::new(Code::Syntax, place, message)
                .help(format!("Write the window that you accept, such as `{window}`."))
                .fix(place, window, Sureness::NeedsALook),
        )
    }

    /// `remove` of several, of a phase or with an amount; `swap` with another word; a line by itself.
    fn in_variant(&self) -> Option<Diagnostic> {
        let text = self.text.trim_end();
        let (first, rest) = loose::first_word(text);
        match first {
            "remove" => self.removal(rest),
            "swap" => {
                let mended = loose::swap(rest)?;
                self.is_sound(&mended.text).then(|| self.rewritten(&mended))
            }
            "set" => {
                let mended = loose::line(text)?;
                self.is_sound(&mended.text).then(|| self.rewritten(&mended))
            }
            "add" => {
                let inner = loose::line(text).map_or_else(|| text.to_string(), |line| line.text);
                let sound = Grammar::parse(Context::VariantPhase.rule(), &inner).is_ok();
                let whole = format!("phase A {{ {inner} }}");
                sound.then(|| {
                    let help = format!("Write `{}`, with the name of the phase that it goes into.", cut(&whole));
                    self.offered("`add` stands in a phase of the variant.".to_string(), help, whole)
                })
            }
            _ if self.context.openers().contains(&first) => None,
            _ => {
                let line = loose::line(text).map_or_else(|| text.to_string(), |line| line.text);
                let set = format!("set {line}");
                let is_line = Grammar::parse(Context::Phase.rule(), &line).is_ok() && self.is_sound(&set);
                is_line.then(|| {
                    let help = format!(
                        "Write `{}` for another amount of it; a new one goes in by `phase A {{ add … }}`.",
                        cut(&set)
                    );
                    self.offered("A line does not stand in a variant by itself.".to_string(), help, set.clone())
                })
            }
        }
    }

    fn removal(&self, rest: &str) -> Option<Diagnostic> {
        if loose::first_word(rest).0 == "phase" {
            let message = "A phase is not removed as one: it goes when its lines go.";
            let place = self.place(0, self.text.trim_end().len());
            let help = "Write one `remove` for each of its lines, such as `remove glycerin`.";
            return Some(Diagnostic::new(Code::Syntax, place, message).help(help));
        }
        let mended = loose::removal(rest)?;
        mended.text.lines().all(|line| self.is_sound(line.trim_start())).then(|| self.rewritten(&mended))
    }

    /// A line without `add`, and `remove` or `set`, in a phase of a variant.
    fn in_phase_of_variant(&self) -> Option<Diagnostic> {
        let text = self.text.trim_end();
        let (first, rest) = loose::first_word(text);
        if matches!(first, "remove" | "set" | "swap") {
            let message = format!("`{first}` stands in the variant itself, and not in a phase of it.");
            let help = format!("Write `{}` outside `phase … {{ }}`.", cut(text));
            let place = self.place(0, first.len());
            return Some(Diagnostic::new(Code::Syntax, place, message).help(help));
        }
        let line = loose::line(text).map_or_else(|| text.to_string(), |line| line.text);
        let added = format!("add {line}");
        let is_line = !rest.is_empty() && is_name(loose::first_word(&line).0) && self.is_sound(&added);
        is_line.then(|| {
            let message = "A phase of a variant adds lines, and each begins with `add`.".to_string();
            self.offered(message, format!("Write `{}`.", cut(&added)), added.clone())
        })
    }

    /// The whole statement, and what may be written in its stead.
    fn offered(&self, message: String, help: String, replacement: String) -> Diagnostic {
        let place = self.place(0, self.text.trim_end().len());
        Diagnostic::new(Code::Syntax, place, message).help(help).fix(place, replacement, Sureness::NeedsALook)
    }

    /// The fault of a statement that is written again as it is written here.
    fn rewritten(&self, mended: &Loose) -> Diagnostic {
        let (old, new) = (self.text, mended.text.as_str());
        let (start, end, cut_at) = changed(old, new);
        let place = self.place(start, end);
        let replacement = new.get(start..cut_at).unwrap_or("").to_string();
        let sure = mended.notes.iter().all(|note| note.is_sure());
        let sureness = if sure { Sureness::Safe } else { Sureness::NeedsALook };
        let mut notes = mended.notes.clone();
        notes.sort_by_key(|note| *note == Note::End);
        let message = match notes.as_slice() {
            [only] => only.sentence().to_string(),
            several => {
                let parts: Vec<&str> = several.iter().map(|note| note.part()).collect();
                format!("This is written another way here: {}.", parts.join(", "))
            }
        };
        let lines = new.trim_end().lines().count();
        let help = match lines {
            0 | 1 => format!("Write `{}`.", cut(new.trim_end())),
            _ => {
                let first = new.lines().next().unwrap_or("").trim_end();
                let which = if mended.notes.contains(&Note::SeveralAtOnce) { "each by itself" } else { "each line so" };
                format!("Write `{}`, and {which}.", cut(first))
            }
        };
        let primary = self.first_line_of(place, start, end);
        Diagnostic::new(Code::Syntax, primary, message).help(help).fix(place, replacement, sureness)
    }

    /// Of a stretch over several lines the part on its first.
    fn first_line_of(&self, place: Place, start: usize, end: usize) -> Place {
        let length = self.text.get(start..end).and_then(|text| text.find(['\r', '\n']));
        length.map_or(place, |length| self.place(start, start + length.max(1)))
    }
}

/// Where two texts begin to differ and where they cease to, each brought out to whole words: in the first, and the end
/// in the second.
fn changed(old: &str, new: &str) -> (usize, usize, usize) {
    let same = old.char_indices().zip(new.chars()).find(|((_, a), b)| a != b).map(|((at, _), _)| at);
    let mut start = same.unwrap_or_else(|| old.len().min(new.len()));
    while let Some(before) = old.get(..start).and_then(|head| head.chars().next_back()).filter(|c| !c.is_whitespace()) {
        start -= before.len_utf8();
    }
    let (tail_old, tail_new) = (old.get(start..).unwrap_or(""), new.get(start..).unwrap_or(""));
    let mut back = 0;
    for (a, b) in tail_old.chars().rev().zip(tail_new.chars().rev()) {
        if a != b {
            break;
        }
        back += a.len_utf8();
    }
    let mut end = old.len() - back;
    while let Some(next) = old.get(end..).and_then(|rest| rest.chars().next()).filter(|c| !c.is_whitespace()) {
        end += next.len_utf8();
    }
    (start, end, (new.len() + end).saturating_sub(old.len()))
}

/// A window around a figure: twice what the meter is good to on either side, and 0.2 at the least.
fn ph_window(figure: &Exact, meter: Option<&Exact>) -> String {
    let least = Exact::ratio(1, 5);
    let twice = meter.map_or(least.clone(), |error| error * &Exact::whole(2));
    let half = if twice < least { least } else { twice };
    let (low, high) = (figure - &half, figure + &half);
    let low = if low.is_negative() { Exact::ZERO } else { low };
    let highest = Exact::whole(14);
    format!("pH {low} to {}", if high > highest { highest } else { high })
}

/// A text that is shown: with one blank between words, and cut where it is long.
fn cut(text: &str) -> String {
    let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
    match text.char_indices().nth(80) {
        None => text,
        Some((at, _)) => format!("{}…", text.get(..at).unwrap_or("")),
    }
}
