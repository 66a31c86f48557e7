//! The steps of a formula as they are written. They are cut into text and names where someone asks for that.

use crate::diagnostic::{Place, Span};
use smol_str::SmolStr;
use std::borrow::Cow;

/// The steps of a formula.
#[derive(Clone, Debug, Default)]
pub struct Steps {
    /// Each step.
    pub steps: Vec<Step>,
    /// The swaps made since they were written: the name in them, and what is weighed in its stead.
    pub renames: Vec<(SmolStr, SmolStr)>,
}

/// A step as it is written.
#[derive(Clone, Debug)]
pub struct Step {
    /// What it says, names in braces.
    pub text: SmolStr,
    /// Where it stands, quotes included.
    pub place: Place,
}

/// A piece of a step.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum StepMark<'f> {
    /// Text.
    Text(Cow<'f, str>),
    /// `{name}`: what is weighed by that name now, and how much of it is meant.
    Name(&'f str, Portion<'f>),
    /// `{pH}`.
    Ph,
}

/// How much of a line a step speaks of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Portion<'f> {
    /// `{name}`: the line; where some of it is held back, its first weighing.
    Line,
    /// `{name first}`: the first weighing.
    First,
    /// `{name rest}`: what is held back.
    Rest,
    /// Other words after the name, which say nothing of a line.
    Unknown(&'f str),
}

/// A name in the braces of a step.
#[derive(Clone, Copy, Debug)]
pub struct StepName<'f> {
    /// The step.
    pub step: &'f Step,
    braces: Braces,
    /// The name, as it is called now: `pH` for the window.
    pub name: &'f str,
    /// How much of the line is meant.
    pub portion: Portion<'f>,
}

/// A pair of braces in the text of a step: where the first is, and where the text after the second begins.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Braces {
    start: usize,
    end: usize,
}

impl Steps {
    /// Each step, cut into its pieces.
    pub fn cut(&self) -> impl Iterator<Item = Vec<StepMark<'_>>> {
        self.steps.iter().map(|step| {
            let mut pieces = Vec::new();
            let mut from = 0;
            for braces in step.braces() {
                pieces.extend(text(step, from, braces.start));
                pieces.push(match self.name(step, braces) {
                    ("pH", _) => StepMark::Ph,
                    (name, portion) => StepMark::Name(name, portion),
                });
                from = braces.end;
            }
            pieces.extend(text(step, from, step.text.len()));
            pieces
        })
    }

    /// Every name in braces, `pH` among them, in the order they stand.
    pub fn names(&self) -> impl Iterator<Item = StepName<'_>> {
        let of_step = |step| Step::braces(step).map(move |braces| (step, braces));
        let all = self.steps.iter().flat_map(of_step);
        all.map(|(step, braces)| {
            let (name, portion) = self.name(step, braces);
            StepName { step, braces, name, portion }
        })
    }

    /// The name between braces, as it is called now, and how much of its line is meant.
    fn name<'f>(&'f self, step: &'f Step, braces: Braces) -> (&'f str, Portion<'f>) {
        let written = step.text.get(braces.start + 1..braces.end - 1).unwrap_or("").trim();
        let (name, more) = written.split_once(char::is_whitespace).unwrap_or((written, ""));
        if name == "pH" {
            return (written, Portion::Line);
        }
        let name = self.renames.iter().fold(name, |name, (old, new)| if name == old { new } else { name });
        let portion = match more.trim() {
            "" => Portion::Line,
            "first" => Portion::First,
            "rest" => Portion::Rest,
            other => Portion::Unknown(other),
        };
        (name, portion)
    }
}

impl Portion<'_> {
    /// As it stands after the name, with the blank before it.
    #[must_use]
    pub fn written(self) -> String {
        match self {
            Portion::Line => String::new(),
            Portion::First => " first".to_string(),
            Portion::Rest => " rest".to_string(),
            Portion::Unknown(words) => format!(" {words}"),
        }
    }
}

impl StepMark<'_> {
    /// As it is written in a step, names in braces.
    #[must_use]
    pub fn written(&self) -> String {
        match self {
            StepMark::Text(text) => text.replace('{', "{{"),
            StepMark::Name(name, portion) => format!("{{{name}{}}}", portion.written()),
            StepMark::Ph => "{pH}".to_string(),
        }
    }
}

impl Step {
    /// The braces that are closed; `{{` is a brace of the text.
    fn braces(&self) -> impl Iterator<Item = Braces> + use<'_> {
        let mut from = 0;
        std::iter::from_fn(move || {
            loop {
                let start = from + self.text.as_bytes().get(from..)?.iter().position(|byte| *byte == b'{')?;
                let inside = self.text.get(start + 1..)?;
                from = start + 2;
                if !inside.starts_with('{') {
                    // With none that closes after it, there is none after any other.
                    from = start + 2 + inside.find('}')?;
                    return Some(Braces { start, end: from });
                }
            }
        })
    }
}

impl StepName<'_> {
    /// Where the name stands, braces included, in the file with this text: escapes before it are counted with it.
    #[must_use]
    pub fn place(&self, source: &str) -> Place {
        let Place { file, span } = self.step.place;
        let typed = span.of(source);
        let (mut found, mut searched) = (0, 0);
        for braces in self.step.braces().take_while(|braces| braces.start <= self.braces.start) {
            let marker = self.step.text.get(braces.start..braces.end).unwrap_or("");
            let next = typed.get(searched..).and_then(|typed| typed.find(marker));
            found = next.map_or(0, |found| searched + found);
            searched = found + marker.len();
        }
        let start = span.start as usize + found;
        Place { file, span: Span::new(start, start + self.braces.end - self.braces.start) }
    }
}

/// A stretch of a step that has no name in it; none where it is empty.
fn text(step: &Step, from: usize, to: usize) -> Option<StepMark<'_>> {
    let text = step.text.get(from..to).filter(|text| !text.is_empty())?;
    Some(StepMark::Text(if text.contains("{{") { text.replace("{{", "{").into() } else { text.into() }))
}
