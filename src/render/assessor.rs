//! The assessor's file as data: what JSON prints, and what Markdown is written from.

use super::label::LabelJson;
use super::{DiagnosticJson, Ph};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// What `sheet --for assessor --format json` prints. Percentages are exact: reduced fractions as text.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct AssessorJson {
    /// `stillroom.assessor/1`.
    pub schema: String,
    /// The formula's name.
    pub formula: String,
    /// What the product is called.
    pub title: Option<String>,
    /// The formula's version.
    pub version: Option<String>,
    /// The digest of what it comes to.
    pub digest: String,
    /// The edition of the shelf.
    pub shelf: String,
    /// What it makes, and where on the body that goes.
    pub product: Vec<String>,
    /// Where it is sold.
    pub markets: Vec<String>,
    /// The batch; none where it is the file of the formula.
    pub batch: Option<AssessedBatchJson>,
    /// The day that rules were read on.
    pub on: String,
    /// Who says so.
    pub on_by: String,
    /// The formula, line by line, as it is weighed.
    pub lines: Vec<AssessedLineJson>,
    /// What is in it, ingredients first, the most of each first: an adjuster that is not weighed yet as anything up to
    /// what is held back for it.
    pub substances: Vec<AssessedSubstanceJson>,
    /// The least and the most that nobody has disclosed, in percent; none where all is.
    pub undisclosed_percent: Option<[String; 2]>,
    /// The same as it is printed.
    pub undisclosed: Option<String>,
    /// The raw materials.
    pub materials: Vec<AssessedMaterialJson>,
    /// The pH window, as the formula has it.
    pub ph_window: Option<String>,
    /// What is foreseen of the pH; none for a batch, and where nothing is known.
    pub ph: Option<Ph>,
    /// Why nothing preserves the water in it and none is asked for; none where something does, or there is no water.
    pub unpreserved: Option<String>,
    /// What is said of how long it keeps, what it is for and how it is used.
    pub stated: Vec<StatedFactJson>,
    /// What was complained of.
    pub complaints: Vec<ComplaintJson>,
    /// The labels; none where there are none.
    pub label: Option<LabelJson>,
    /// The rules that were looked at.
    pub rules: Vec<ReadRuleJson>,
    /// The markets that the shelf has no rules of.
    pub unread_markets: Vec<String>,
    /// What of it the rules of a market on the shelf do not speak of, though those that they grew out of do.
    pub left_open: Vec<LeftOpenJson>,
    /// What bears on it and is not allowed; what the labels state is none of it.
    pub diagnostics: Vec<DiagnosticJson>,
    /// What is allowed, with the reason.
    pub allowed: Vec<AllowedFactJson>,
    /// What the files do not say.
    pub missing: Vec<MissingFactJson>,
    /// What this file is not.
    pub cautions: Vec<String>,
}

/// A batch.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct AssessedBatchJson {
    /// Its name.
    pub name: String,
    /// The day it was begun.
    pub started: Option<String>,
    /// Each reading of the pH, as it is written.
    pub readings: Vec<String>,
    /// Everything else that was seen or corrected, as it is written.
    pub events: Vec<String>,
}

/// A line of the formula.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct AssessedLineJson {
    /// The material's or premix's name.
    pub material: String,
    /// What it is called.
    pub title: Option<String>,
    /// The phase.
    pub phase: String,
    /// What it is there for; `premix` of one.
    pub functions: Vec<String>,
    /// Its percentage as supplied, as it is printed; none for what is weighed to the pH.
    pub percent: Option<String>,
    /// The same, exact.
    pub percent_exact: Option<String>,
}

/// A substance.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct AssessedSubstanceJson {
    /// The key that files call it by.
    pub substance: String,
    /// Its INCI name.
    pub inci: Option<String>,
    /// Its CAS number.
    pub cas: Option<String>,
    /// Its colour index.
    pub colour_index: Option<String>,
    /// `ingredient`, `by nature` in a whole, or `trace`.
    pub presence: String,
    /// What it is there for.
    pub functions: Vec<String>,
    /// The least there is of it, in percent.
    pub percent_low_exact: String,
    /// The most.
    pub percent_high_exact: String,
    /// Both as they are printed.
    pub percent: String,
    /// What the formula asks for, without adjuster, beside what a batch has; as it is printed.
    pub formula_percent: Option<String>,
    /// The materials it comes in.
    pub materials: Vec<String>,
    /// Who says what it is.
    pub source: Option<String>,
}

/// A raw material.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct AssessedMaterialJson {
    /// Its name.
    pub material: String,
    /// What it is called.
    pub title: Option<String>,
    /// What it is there for.
    pub functions: Vec<String>,
    /// How much of it there is, in percent, as it is printed.
    pub percent: String,
    /// The least, exact.
    pub percent_low_exact: String,
    /// The most, exact.
    pub percent_high_exact: String,
    /// Who supplies it.
    pub supplier: Option<String>,
    /// Where its composition is from.
    pub sources: Vec<String>,
    /// What it is made of.
    pub contains: Vec<ContainedJson>,
    /// Its pH as it is supplied, as it is printed.
    pub ph: Option<String>,
    /// Its density in g/mL.
    pub density: Option<String>,
    /// What to take care of.
    pub cautions: Vec<String>,
    /// The lots of a batch.
    pub lots: Vec<AssessedLotJson>,
}

/// A substance in a raw material.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct ContainedJson {
    /// The substance.
    pub substance: String,
    /// Its INCI name.
    pub inci: Option<String>,
    /// Its CAS number.
    pub cas: Option<String>,
    /// `ingredient`, `by nature` in a whole, or `trace`.
    pub presence: String,
    /// How much of it, in percent, as it is printed; none where no figure is disclosed.
    pub percent: Option<String>,
}

/// A lot.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct AssessedLotJson {
    /// The code on it.
    pub lot: String,
    /// Its strength as measured, in percent.
    pub assay: Option<String>,
    /// The day it was opened.
    pub opened: Option<String>,
    /// Its last day.
    pub expires: Option<String>,
}

/// Something that the formula states.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct StatedFactJson {
    /// What: `function`, `directions`, `lasts`, `opened`, `packed in`, `warning`.
    pub what: String,
    /// As it is stated.
    pub says: String,
    /// Why.
    pub because: Option<String>,
}

/// A complaint.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct ComplaintJson {
    /// The batch.
    pub batch: String,
    /// What was said.
    pub says: String,
}

/// A rule that was looked at.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct ReadRuleJson {
    /// Its name.
    pub rule: String,
    /// Where it applies; everywhere where empty.
    pub markets: Vec<String>,
    /// How grave a breach is.
    pub level: String,
    /// From when on.
    pub from: Option<String>,
    /// Until when.
    pub until: Option<String>,
    /// Who says so.
    pub source: Option<String>,
    /// What came of it, the gravest of it: `not kept`, `not shown to be kept`, `statement missing on the label`,
    /// `allergen not named on the label`, `allowed`, `statement printed on the label`, `allergen named on the label`, or
    /// `nothing found against it`.
    pub outcome: String,
}

/// What a market's rules do not speak of.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct LeftOpenJson {
    /// The market.
    pub market: String,
    /// The substances.
    pub substances: Vec<String>,
}

/// Something that is allowed.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct AllowedFactJson {
    /// What.
    pub message: String,
    /// Why.
    pub because: String,
}

/// Something that the files do not say.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct MissingFactJson {
    /// Of what.
    pub of: String,
    /// What.
    pub what: String,
}
