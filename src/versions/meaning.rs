//! What a formula means, in names and figures alone, so that it can be held against another session's.

use super::change::ChangeKind;
use crate::quantity::{Exact, Interval};

/// What a formula means: no places, no layout, no numbers that hold for one session only.
#[derive(Clone, Debug, Default)]
pub struct FormulaMeaning {
    /// Its name.
    pub name: String,
    /// The batch of it that this is, as it was made; none for the formula itself.
    pub batch: Option<String>,
    /// The file it stands in, from the root of the workspace.
    pub file: String,
    /// Its version.
    pub version: Option<String>,
    /// The digest of what it comes to.
    pub digest: String,
    /// The formulas that it is a variant of.
    pub bases: Vec<String>,
    /// The lines of its header but the version, the pH and the warnings: the word, and what it says.
    pub header: Vec<NamedText>,
    /// What its header says of cost and price, and what it is packed in.
    pub paid: Vec<NamedText>,
    /// What follows for the jar: cost and price, declaration, what stands on it; empty where that was not asked for.
    pub sold: Vec<SoldMeaning>,
    /// Its pH window, as it is said.
    pub window: Option<String>,
    /// Its warnings for the label.
    pub warnings: Vec<String>,
    /// Its phases, with what each is called and the temperatures it is brought to.
    pub phases: Vec<PhaseMeaning>,
    /// Its lines, in the order of the bench.
    pub lines: Vec<LineMeaning>,
    /// Its steps.
    pub steps: Vec<String>,
    /// What it asks of itself, what it allows, and the rules at home that bind it.
    pub demands: Vec<NamedText>,
    /// Each raw material in it, through premixes.
    pub materials: Vec<MaterialMeaning>,
    /// Its composition without adjuster, in percent by substance.
    pub composition: Vec<(String, Interval)>,
    /// How much of it nobody has said.
    pub undisclosed: Option<Interval>,
    /// What is foreseen of its pH; none where that was not asked for, or nothing can be.
    pub foreseen: Option<ForecastMeaning>,
    /// What is told of it; empty where that was not asked for.
    pub told: Vec<FindingMeaning>,
}

/// Something with a name, and what it says.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NamedText {
    /// Which thing.
    pub what: String,
    /// Which side of it, where it has several.
    pub about: Option<String>,
    /// What it says.
    pub says: String,
}

/// What follows for the jar.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SoldMeaning {
    /// Which kind of change it is where it changes.
    pub kind: ChangeKind,
    /// What it says.
    pub said: NamedText,
}

/// A phase.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct PhaseMeaning {
    /// Its name.
    pub name: String,
    /// What it is called.
    pub title: Option<String>,
    /// The temperature it is heated to, in degrees Celsius.
    pub heat: Option<Exact>,
    /// The temperature it is cooled to.
    pub cool: Option<Exact>,
}

/// A line.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct LineMeaning {
    /// The material or premix.
    pub material: String,
    /// The phase it stands in.
    pub phase: String,
    /// What the amount speaks of.
    pub kind: AmountMeaning,
    /// The figure as it is asked for.
    pub asked: Option<Exact>,
    /// How that figure is worked out, where that is from other lines alone, so that it follows them.
    pub from_lines: Option<String>,
    /// Its percentage as supplied; none for what is weighed to the pH.
    pub percent: Option<Exact>,
    /// How much of its active that is, in percent of the batch, where the material has one.
    pub active: Option<(String, Exact)>,
    /// What is held back of it: the figure and its unit.
    pub held_back: Option<(Exact, &'static str)>,
    /// The line its weight comes out of.
    pub from: Option<String>,
    /// What a beaker test with it showed, as it is written.
    pub titrated: Option<String>,
    /// Why it is as it is.
    pub because: Option<String>,
    /// Its grams, where a batch was asked for.
    pub grams: Option<String>,
}

/// What an amount speaks of.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub enum AmountMeaning {
    /// Of the material as supplied.
    #[default]
    AsSupplied,
    /// Of its active, or of a named substance in it.
    Of(String),
    /// It fills up to 100 %.
    Fills,
    /// It is weighed until the pH is met.
    AtBench,
}

/// A raw material or a premix, as the formula's lines rest on it.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct MaterialMeaning {
    /// Its name.
    pub name: String,
    /// What it contains.
    pub parts: Vec<PartMeaning>,
    /// What it brings by nature.
    pub brings: Vec<PartMeaning>,
    /// Its lines, where it is a premix.
    pub lines: Vec<LineMeaning>,
    /// What else is known of it, and of the substances in it that are declared beside it.
    pub facts: Vec<NamedText>,
}

/// A component of a material.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PartMeaning {
    /// The substance.
    pub substance: String,
    /// How much of the material it is, in percent; none where nobody has said.
    pub strength: Option<Interval>,
    /// Whether it is what the others leave.
    pub remainder: bool,
}

/// What is foreseen of a formula's pH.
#[derive(Clone, Debug, PartialEq)]
pub struct ForecastMeaning {
    /// The pH before adjustment; none where that is too unsure for a figure.
    pub before: Option<f64>,
    /// The grams of each adjuster to the middle of the window, for 100 g of batch.
    pub doses: Vec<(String, f64)>,
}

/// A diagnostic, by what it is of and not by where it stands.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FindingMeaning {
    /// Its code.
    pub code: String,
    /// The material, or other thing, that it is told of; empty where that is the formula.
    pub of: String,
    /// The substances of the formula that it names beside that.
    pub substances: Vec<String>,
    /// What it says.
    pub message: String,
}
