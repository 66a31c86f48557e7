//! The labels of a product as data: what JSON prints, and what the other forms are written from.

use super::DiagnosticJson;
use crate::label::{BatchState, Bound, Declaration, Entry, MarketLabel, Note, Paragraph, Settling};
use crate::quantity::Exact;
use crate::session::Labels;
use crate::workspace::Sources;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// The labels of a product. Percentages are exact: reduced fractions as text.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct LabelJson {
    /// `stillroom.label/1`.
    pub schema: String,
    /// The formula's name.
    pub formula: String,
    /// What the product is called.
    pub title: Option<String>,
    /// The formula's version.
    pub version: Option<String>,
    /// The batch; none where they are the labels of the formula.
    pub batch: Option<String>,
    /// The code on the jars; none where nothing says it yet.
    pub batch_code: Option<String>,
    /// The day that rules were read on.
    pub on: String,
    /// `as added` or `as formed`: what the ingredients speak of.
    pub basis: String,
    /// The label of each market.
    pub labels: Vec<MarketLabelJson>,
    /// What is not settled or not covered, and what else to take care of; never printed on a jar.
    pub cautions: Vec<String>,
    /// What bears on them and is not allowed: of the formula or the record, and of the labels.
    pub diagnostics: Vec<DiagnosticJson>,
}

/// The labels of several products.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct LabelsJson {
    /// `stillroom.labels/1`.
    pub schema: String,
    /// The labels of each product.
    pub labels: Vec<LabelJson>,
}

/// The label of a market.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct MarketLabelJson {
    /// The market.
    pub market: String,
    /// The ingredients as they are printed.
    pub text: String,
    /// The entries, in the order of print.
    pub entries: Vec<LabelEntryJson>,
    /// The colourants of a range of shades that it may contain.
    pub may_contain: Vec<String>,
    /// `proven` or `not-proven`.
    pub order: String,
    /// The pairs of names whose order is not proven: the one that stands first, and the other.
    pub unproven: Vec<[String; 2]>,
    /// The figures that would settle them.
    pub settles: Vec<SettlingJson>,
    /// The materials of which something is not disclosed.
    pub undisclosed: Vec<String>,
    /// The substances that have no name in this market.
    pub nameless: Vec<String>,
    /// What else there is to say of the ingredients.
    pub notes: Vec<LabelNoteJson>,
    /// What the label states.
    pub statements: Vec<StatementJson>,
    /// What a container holds.
    pub net: NetJson,
    /// How long it keeps.
    pub durability: DurabilityJson,
    /// What has to stand on it, and where.
    pub items: Vec<LabelItemJson>,
    /// What stands on the jar, a paragraph each, in the order of print; what is not known is a blank.
    pub jar: Vec<JarTextJson>,
}

/// An entry of the ingredients.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct LabelEntryJson {
    /// The name as it is printed.
    pub name: String,
    /// The substances behind it.
    pub substances: Vec<String>,
    /// `ordered`, `free`, `allergen` or `colourant`.
    pub part: String,
    /// The least there is of it, in percent.
    pub percent_low: String,
    /// The most there is of it, in percent.
    pub percent_high: String,
    /// Whether it surely has to be named.
    pub sure: bool,
}

/// A figure that would settle the order of two entries as it is printed: one of `at_most` and `at_least`.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct SettlingJson {
    /// The pair of names: the one that stands first, and the other.
    pub pair: [String; 2],
    /// The material it is asked of.
    pub material: String,
    /// The substance in it.
    pub substance: String,
    /// How much of it there may be at most, in percent of the material.
    pub at_most: Option<String>,
    /// How much of it there has to be at least, in percent of the material.
    pub at_least: Option<String>,
}

/// A remark on the ingredients.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct LabelNoteJson {
    /// Its kind: `exactly-one-percent`, `straddles-one-percent`, `allergen-at-threshold` and the like.
    pub code: String,
    /// What it speaks of.
    pub what: String,
}

/// A statement.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct StatementJson {
    /// Its words.
    pub text: String,
    /// `rule NAME`, or `formula`.
    pub from: String,
    /// Who says so.
    pub source: Option<String>,
}

/// A net quantity.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct NetJson {
    /// The declaration; none where nobody knows what a container holds.
    pub text: Option<String>,
    /// Whether the market asks for it.
    pub needed: bool,
    /// `g` or `mL`.
    pub unit: Option<String>,
    /// How high the figures have to be, in mm.
    pub figure_mm: Option<String>,
    /// How high the letters have to be on a panel of this size, in inches.
    pub letters_in: Option<String>,
    /// Whether the `e` may stand beside it.
    pub e_mark_allowed: Option<bool>,
    /// Whether a second declaration in the largest whole unit is asked for.
    pub second_unit_asked: Option<bool>,
    /// By how much one container may fall short, in its unit, as long as all of them do not on average.
    pub short_at_most: Option<String>,
}

/// How long a product keeps.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct DurabilityJson {
    /// `best-before`, `period-after-opening`, `missing` or `none-required`.
    pub kind: String,
    /// The date or the months; none where they are not known, as before a batch is made.
    pub text: Option<String>,
}

/// Something that a label has to say.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct LabelItemJson {
    /// What it is called.
    pub item: String,
    /// What it says: `not asked` where nothing is; none where nobody knows.
    pub text: Option<String>,
    /// Whether it stands on the container.
    pub container: bool,
    /// Whether it stands on the outer pack.
    pub outer: bool,
    /// Who asks for it.
    pub source: String,
}

/// A paragraph on the jar.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct JarTextJson {
    /// What it is.
    pub item: String,
    /// Its text.
    pub text: String,
}

impl LabelJson {
    /// The labels of a product as data.
    #[must_use]
    pub fn new(sources: &Sources, of: &Labels) -> LabelJson {
        let text = |text: &smol_str::SmolStr| text.to_string();
        LabelJson {
            schema: "stillroom.label/1".to_string(),
            formula: of.formula.name.to_string(),
            title: of.formula.title.as_ref().map(text),
            version: of.formula.version.as_ref().map(text),
            batch: of.batch.as_ref().map(|batch| batch.name.to_string()),
            batch_code: of.batch.as_ref().and_then(|batch| batch.code.clone()),
            on: of.day.to_string(),
            basis: of.labels.first().map_or("as added", |label| label.declaration.basis.words()).to_string(),
            labels: of.labels.iter().map(|label| market_label(label, of.formula.title.as_deref())).collect(),
            cautions: cautions(of),
            diagnostics: DiagnosticJson::all(sources, &[of.bearing.as_slice(), of.faults.as_slice()].concat()),
        }
    }

    /// What stands across a label of a batch that may not be sold yet.
    #[must_use]
    pub fn across(&self) -> Option<&str> {
        self.cautions.iter().find_map(|caution| caution.starts_with(NOT_RELEASED).then_some(NOT_RELEASED))
    }
}

/// What stands across a label of a batch that may not be sold yet.
const NOT_RELEASED: &str = "NOT RELEASED";

/// The cautions of all labels, each once; those that differ by market say which they are of.
fn cautions(of: &Labels) -> Vec<String> {
    let mut said: Vec<String> = Vec::new();
    let not_released = of.batch.as_ref().filter(|batch| batch.state != BatchState::Released);
    said.extend(not_released.map(|batch| format!("{NOT_RELEASED}: `{}` may not be sold yet.", batch.name)));
    if let Some(batch) = of.batch.as_ref().filter(|batch| !batch.waiting.is_empty()) {
        let names: Vec<String> = batch.waiting.iter().map(|name| format!("`{name}`")).collect();
        said.push(format!(
            "NOT ALL IN: nothing of {} is recorded, so the ingredients are not whole.",
            names.join(", ")
        ));
    }
    if let Some(batch) = of.batch.as_ref().filter(|batch| batch.fills.len() > 1) {
        let sizes: Vec<String> = batch.fills.iter().map(crate::label::Nominal::metric).collect();
        said.push(format!("The jars of this batch hold {}: each size has a label of its own.", sizes.join(", ")));
    }
    let gone = of.batch.as_ref().and_then(|batch| Some(batch.header_gone.as_ref()?.caution(&batch.name)));
    said.extend(gone);
    let all: Vec<&str> = of.labels.iter().flat_map(|label| &label.cautions).map(String::as_str).collect();
    for label in &of.labels {
        for caution in &label.cautions {
            let is_of_all = all.iter().filter(|other| *other == caution).count() == of.labels.len();
            let told = if is_of_all { caution.clone() } else { format!("`{}`: {caution}", label.market.word()) };
            if !said.contains(&told) {
                said.push(told);
            }
        }
    }
    said.extend(of.allowed.iter().map(|allowed| {
        format!("`{}` is allowed: {}. {}", allowed.diagnostic.code, allowed.because, allowed.diagnostic.message)
    }));
    said
}

fn market_label(of: &MarketLabel, title: Option<&str>) -> MarketLabelJson {
    let declaration = &of.declaration;
    let texts = |all: &[smol_str::SmolStr]| all.iter().map(ToString::to_string).collect();
    MarketLabelJson {
        market: of.market.word().to_string(),
        text: declaration.text(),
        entries: declaration.entries.iter().map(entry).collect(),
        may_contain: declaration.may_contain.clone(),
        order: if declaration.is_proven() { "proven" } else { "not-proven" }.to_string(),
        unproven: declaration.unproven.iter().map(|(first, then)| [first.clone(), then.clone()]).collect(),
        settles: settles(declaration),
        undisclosed: texts(&declaration.undisclosed),
        nameless: texts(&declaration.nameless),
        notes: declaration.notes.iter().map(note).collect(),
        statements: of.statements.iter().map(statement).collect(),
        net: net(of),
        durability: DurabilityJson { kind: of.life.kind.word().to_string(), text: of.life.text.clone() },
        items: of.items.iter().map(item).collect(),
        jar: of.paragraphs(title).iter().map(paragraph).collect(),
    }
}

fn entry(of: &Entry) -> LabelEntryJson {
    LabelEntryJson {
        name: of.name.clone(),
        substances: of.substances.iter().map(ToString::to_string).collect(),
        part: of.part.word().to_string(),
        percent_low: of.share.low.to_fraction(),
        percent_high: of.share.high.to_fraction(),
        sure: of.sure,
    }
}

fn settles(of: &Declaration) -> Vec<SettlingJson> {
    let one = |settles: &Settling| SettlingJson {
        pair: [settles.first.clone(), settles.then.clone()],
        material: settles.material.to_string(),
        substance: settles.substance.to_string(),
        at_most: match &settles.bound {
            Bound::AtMost(most) => Some(most.to_fraction()),
            Bound::AtLeast(_) => None,
        },
        at_least: match &settles.bound {
            Bound::AtLeast(least) => Some(least.to_fraction()),
            Bound::AtMost(_) => None,
        },
    };
    of.settles.iter().map(one).collect()
}

fn note(of: &Note) -> LabelNoteJson {
    LabelNoteJson { code: of.code.word().to_string(), what: of.what.clone() }
}

fn statement(of: &crate::label::Statement) -> StatementJson {
    let from = of.rule.as_ref().map_or("formula".to_string(), |rule| format!("rule {rule}"));
    StatementJson { text: of.text.clone(), from, source: of.source.clone() }
}

fn net(of: &MarketLabel) -> NetJson {
    let net = &of.net;
    NetJson {
        text: net.text.clone(),
        needed: net.needed,
        unit: net.unit.map(str::to_string),
        figure_mm: net.figure_mm.as_ref().map(Exact::to_fraction),
        letters_in: net.letters_in.as_ref().map(Exact::to_fraction),
        e_mark_allowed: net.e_mark_allowed,
        second_unit_asked: net.second_unit_asked,
        short_at_most: net.short_at_most.as_ref().map(Exact::to_fraction),
    }
}

fn item(of: &crate::label::Item) -> LabelItemJson {
    LabelItemJson {
        item: of.item.to_string(),
        text: of.text.clone(),
        container: of.container,
        outer: of.outer,
        source: of.source.to_string(),
    }
}

fn paragraph(of: &Paragraph) -> JarTextJson {
    JarTextJson { item: of.item.clone(), text: of.text.clone() }
}
