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
    /// `{name}`: what is weighed by that name now.
    Name(&'f str),
    /// `{pH}`.
    Ph,
}

/// A name in the braces of a step.
#[derive(Clone, Copy, Debug)]
pub struct StepName<'f> {
    /// The step.
    pub step: &'f Step,
    braces: Braces,
    /// The name, as it is called now: `pH` for the window.
    pub name: &'f str,
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
                    "pH" => StepMark::Ph,
                    name => StepMark::Name(name),
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
        all.map(|(step, braces)| StepName { step, braces, name: self.name(step, braces) })
    }

    /// The name between braces, as it is called now.
    fn name<'f>(&'f self, step: &'f Step, braces: Braces) -> &'f str {
        let written = step.text.get(braces.start + 1..braces.end - 1).unwrap_or("").trim();
        if written == "pH" {
            return written;
        }
        self.renames.iter().fold(written, |name, (old, new)| if name == old { new } else { name })
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
