//! One change between two versions of a formula.

use super::words;
use crate::quantity::{Exact, Interval};

/// A change. What is edited stands beside what follows from it.
#[derive(Clone, Debug, PartialEq)]
pub struct Change {
    /// Which kind.
    pub kind: ChangeKind,
    /// Of what: a material, a substance, a word of the header, the number of a step, a code.
    pub what: String,
    /// Which side of it: the substance of a strength, the fact of a material.
    pub about: Option<String>,
    /// The phase it stands in.
    pub phase: Option<String>,
    /// What was; none where there was nothing.
    pub old: Option<Value>,
    /// What is; none where there is nothing.
    pub new: Option<Value>,
    /// The unit of both.
    pub unit: Option<&'static str>,
    /// Whether it follows from what someone edited, and is no edit itself.
    pub follows: bool,
    /// Whether it is of a line of a premix behind the formula's line.
    pub of_premix: bool,
    /// Its place among the lines or steps before, counted from 1.
    pub old_position: Option<usize>,
    /// Its place among those now.
    pub new_position: Option<usize>,
    /// The grams before and now, where a batch was asked for.
    pub grams: (Option<String>, Option<String>),
}

/// What was, or what is.
#[derive(Clone, Debug, PartialEq)]
pub enum Value {
    /// A figure.
    Figure(Exact),
    /// A range, or a figure of which nobody knows more than a range.
    Range(Interval),
    /// Words.
    Words(String),
}

impl Value {
    /// Exactly, for programs: a reduced fraction, two of them with `to` between, or the words.
    #[must_use]
    pub fn exact(&self) -> String {
        match self {
            Value::Figure(figure) => figure.to_fraction(),
            Value::Range(range) => words::interval(range),
            Value::Words(words) => words.clone(),
        }
    }
}

/// The kinds of change.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum ChangeKind {
    /// The version.
    Version,
    /// A line that was not there.
    LineAdded,
    /// A line that is there no more.
    LineRemoved,
    /// A line in another place, or another phase.
    LineMoved,
    /// How much of a material goes in, as supplied.
    Amount,
    /// How much of an active that is.
    Active,
    /// How strong a material is, behind its line.
    Strength,
    /// What is held back.
    Reserve,
    /// What is weighed until the pH is met: what it is, where it comes from, how much is foreseen.
    Adjuster,
    /// The pH that is asked for.
    PhWindow,
    /// The pH that is foreseen before adjustment.
    PredictedPh,
    /// A line of the header, or of a phase's head.
    Header,
    /// A step.
    CommitStep,
    /// How much of a substance the whole has.
    Composition,
    /// Something is told that was not.
    DiagnosticAdded,
    /// Something is told no more.
    DiagnosticGone,
    /// A warning or a reason: words for whoever reads; and what stands on the jar beside the ingredients.
    Statement,
    /// What is paid and asked, and what a container costs.
    Cost,
    /// The ingredients on the jar, in their order.
    Declaration,
    /// Another fact of a material behind its line, or of a substance in it.
    Material,
    /// A rule at home, an `ensure`, an `allow`.
    Rule,
}

impl ChangeKind {
    /// The kind as it is written.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            ChangeKind::Version => "version",
            ChangeKind::LineAdded => "line-added",
            ChangeKind::LineRemoved => "line-removed",
            ChangeKind::LineMoved => "line-moved",
            ChangeKind::Amount => "amount",
            ChangeKind::Active => "active",
            ChangeKind::Strength => "strength",
            ChangeKind::Reserve => "reserve",
            ChangeKind::Adjuster => "adjuster",
            ChangeKind::PhWindow => "ph-window",
            ChangeKind::PredictedPh => "predicted-ph",
            ChangeKind::Header => "header",
            ChangeKind::CommitStep => "step",
            ChangeKind::Composition => "composition",
            ChangeKind::DiagnosticAdded => "diagnostic-added",
            ChangeKind::DiagnosticGone => "diagnostic-gone",
            ChangeKind::Statement => "statement",
            ChangeKind::Cost => "cost",
            ChangeKind::Declaration => "declaration",
            ChangeKind::Material => "material",
            ChangeKind::Rule => "rule",
        }
    }
}

impl Change {
    /// A change of a kind, of something: an edit, with nothing yet before or after it.
    #[must_use]
    pub fn new(kind: ChangeKind, what: impl Into<String>) -> Change {
        Change {
            kind,
            what: what.into(),
            about: None,
            phase: None,
            old: None,
            new: None,
            unit: None,
            follows: false,
            of_premix: false,
            old_position: None,
            new_position: None,
            grams: (None, None),
        }
    }

    /// Which side of it.
    #[must_use]
    pub fn about(mut self, about: impl Into<String>) -> Change {
        self.about = Some(about.into());
        self
    }

    /// Where it stands.
    #[must_use]
    pub fn within(mut self, phase: &str) -> Change {
        self.phase = Some(phase.to_string());
        self
    }

    /// From one figure to another, in a unit.
    #[must_use]
    pub fn figures(mut self, old: Option<&Exact>, new: Option<&Exact>, unit: &'static str) -> Change {
        self.old = old.cloned().map(Value::Figure);
        self.new = new.cloned().map(Value::Figure);
        self.unit = Some(unit);
        self
    }

    /// From one range to another, in percent.
    #[must_use]
    pub fn ranges(mut self, old: Option<&Interval>, new: Option<&Interval>) -> Change {
        self.old = old.cloned().map(Value::Range);
        self.new = new.cloned().map(Value::Range);
        self.unit = Some("%");
        self
    }

    /// From some words to others.
    #[must_use]
    pub fn words(mut self, old: Option<&str>, new: Option<&str>) -> Change {
        self.old = old.map(|old| Value::Words(old.to_string()));
        self.new = new.map(|new| Value::Words(new.to_string()));
        self
    }

    /// It follows from an edit.
    #[must_use]
    pub fn following(mut self, follows: bool) -> Change {
        self.follows = follows;
        self
    }

    /// Its place before and now.
    #[must_use]
    pub fn positions(mut self, old: Option<usize>, new: Option<usize>) -> Change {
        (self.old_position, self.new_position) = (old, new);
        self
    }

    /// Whether it changes the formula itself, so that it needs a new version: not the version, nor what follows, nor a
    /// reason for the reader, nor what it costs; nor what is only known of a material, or asked by a rule that others share.
    #[must_use]
    pub fn is_of_substance(&self) -> bool {
        let about = self.about.as_deref();
        !self.follows
            && match self.kind {
                ChangeKind::Version | ChangeKind::Cost => false,
                ChangeKind::Statement => about != Some("because"),
                ChangeKind::Material => self.of_premix,
                ChangeKind::Rule => about != Some("rule"),
                _ => true,
            }
    }
}
