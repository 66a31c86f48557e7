//! The assessor's file as data.

use super::label::LabelJson;
use super::{DiagnosticJson, Ph};
use crate::model::{Batch, Component, Duration, Formula, Happened, Line, LineAmount, LineMaterial, Lot, ph_words};
use crate::quantity::{Exact, Interval};
use crate::session::{
    AssessedMaterial, AssessedSubstance, AssessorFile, MissingFact, NamedSubstance, Presence, ReadRule,
};
use crate::shelf;
use crate::syntax::vocabulary::{Market, Role};
use crate::workspace::Sources;
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
    /// What bears on it and is not allowed.
    pub diagnostics: Vec<DiagnosticJson>,
    /// What is allowed, with the reason.
    pub allowed: Vec<AllowedFactJson>,
    /// What the files do not say.
    pub missing: Vec<MissingFactJson>,
    /// What this file is not.
    pub cautions: Vec<String>,
}

/// Several of them.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct AssessorsJson {
    /// `stillroom.assessors/1`.
    pub schema: String,
    /// The files.
    pub files: Vec<AssessorJson>,
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
    /// `not kept`, `allowed` or `nothing found against it`.
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

/// What stands beside the file itself.
pub struct AssessorExtras {
    /// The digest of the formula.
    pub digest: String,
    /// What is foreseen of the pH.
    pub ph: Option<Ph>,
    /// Why nothing preserves it.
    pub unpreserved: Option<String>,
    /// Its labels.
    pub label: Option<LabelJson>,
}

/// What every file says of itself, before all else.
pub const NO_ASSESSMENT: &str = "This is a file for a qualified safety assessor, and no assessment: it puts together what \
the files of the maker say. Nothing in it says that the product is safe or lawful.";

impl AssessorJson {
    /// The file as data.
    #[must_use]
    pub fn new(sources: &Sources, of: &AssessorFile, extras: AssessorExtras) -> AssessorJson {
        let formula = &of.formula;
        let blanks = blanks(extras.label.as_ref());
        let label_cautions = extras.label.iter().flat_map(|label| label.cautions.iter().cloned());
        AssessorJson {
            schema: "stillroom.assessor/1".to_string(),
            formula: formula.name.to_string(),
            title: formula.title.as_ref().map(ToString::to_string),
            version: formula.version.as_ref().map(ToString::to_string),
            digest: extras.digest,
            shelf: shelf::EDITION.to_string(),
            product: formula.products.iter().map(|product| product.word().to_string()).collect(),
            markets: words(&formula.markets.iter().map(|(market, _)| *market).collect::<Vec<_>>()),
            batch: of.batch.as_ref().map(batch),
            on: of.day.0.to_string(),
            on_by: of.day.1.to_string(),
            lines: formula.lines.iter().map(|of| line(formula, of)).collect(),
            substances: of.substances.iter().map(substance).collect(),
            undisclosed_percent: of
                .undisclosed
                .as_ref()
                .map(|share| [share.low.to_fraction(), share.high.to_fraction()]),
            materials: of.materials.iter().map(material).collect(),
            ph_window: formula.window.as_ref().map(|window| ph_words(&window.range)),
            ph: extras.ph,
            unpreserved: extras.unpreserved,
            stated: stated(formula),
            complaints: of
                .complaints
                .iter()
                .map(|(batch, says)| ComplaintJson { batch: batch.to_string(), says: says.to_string() })
                .collect(),
            cautions: std::iter::once(NO_ASSESSMENT.to_string()).chain(label_cautions).collect(),
            label: extras.label,
            rules: of.rules.iter().map(rule).collect(),
            unread_markets: words(&of.unread_markets),
            left_open: of
                .left_open
                .iter()
                .map(|(market, open)| LeftOpenJson { market: market.word().to_string(), substances: open.clone() })
                .collect(),
            diagnostics: DiagnosticJson::all(sources, &of.told),
            allowed: of
                .allowed
                .iter()
                .map(|(message, because)| AllowedFactJson { message: message.clone(), because: because.clone() })
                .collect(),
            missing: of.missing.iter().map(missing).chain(blanks).collect(),
        }
    }
}

/// What the labels leave to be filled in, each once, with the markets that ask for it.
fn blanks(label: Option<&LabelJson>) -> Vec<MissingFactJson> {
    let mut found: Vec<(&str, Vec<&str>)> = Vec::new();
    for of in label.iter().flat_map(|label| &label.labels) {
        for item in of.items.iter().filter(|item| item.text.is_none()) {
            match found.iter_mut().find(|(known, _)| *known == item.item) {
                Some((_, markets)) => markets.push(&of.market),
                None => found.push((&item.item, vec![&of.market])),
            }
        }
    }
    let fact = |(item, markets): (&str, Vec<&str>)| MissingFactJson {
        of: format!("the label ({})", markets.join(", ")),
        what: item.to_string(),
    };
    found.into_iter().map(fact).collect()
}

fn words(markets: &[Market]) -> Vec<String> {
    markets.iter().map(|market| market.word().to_string()).collect()
}

fn roles(roles: &[Role]) -> Vec<String> {
    roles.iter().map(|role| role.word().to_string()).collect()
}

/// Digits of a printed percentage.
const DIGITS: u32 = 10;

/// A share as it is printed: both ends where they differ.
fn share(of: &Interval) -> String {
    let (low, high) = (of.low.to_significant(DIGITS), of.high.to_significant(DIGITS));
    if low == high { high } else { format!("{low} to {high}") }
}

fn batch(of: &Batch) -> AssessedBatchJson {
    let said = |pass: &dyn Fn(&Happened) -> bool| -> Vec<String> {
        let stamped = |event: &crate::model::Event| match &event.on {
            Some(on) => format!("{} ({on})", event.said),
            None => event.said.to_string(),
        };
        of.events.iter().filter(|event| pass(&event.what)).map(stamped).collect()
    };
    AssessedBatchJson {
        name: of.name.to_string(),
        started: of.started.as_ref().map(ToString::to_string),
        readings: said(&|what| matches!(what, Happened::Read(_))),
        events: said(&|what| {
            use Happened::{Added, Cooled, Filled, Heated, Observed, Rejected, Released, Removed, Yield};
            matches!(
                what,
                Added(..)
                    | Removed(..)
                    | Observed(_)
                    | Heated(_)
                    | Cooled(_)
                    | Yield(_)
                    | Filled { .. }
                    | Released
                    | Rejected(_)
            )
        }),
    }
}

fn line(formula: &Formula, of: &Line) -> AssessedLineJson {
    let (title, functions) = match &of.material {
        Some(LineMaterial::Material(material)) => (material.title.as_ref(), roles(&material.roles)),
        Some(LineMaterial::Premix(premix)) => (premix.title.as_ref(), vec!["premix".to_string()]),
        None => (None, Vec::new()),
    };
    let percent = of.percent.as_ref().filter(|_| of.amount != LineAmount::AtBench);
    AssessedLineJson {
        material: of.name.to_string(),
        title: title.map(ToString::to_string),
        phase: formula.phases.get(of.phase).map_or_else(String::new, |phase| phase.name.to_string()),
        functions,
        percent: percent.map(|percent| percent.to_significant(DIGITS)),
        percent_exact: percent.map(Exact::to_fraction),
    }
}

fn substance(of: &AssessedSubstance) -> AssessedSubstanceJson {
    let NamedSubstance { key, inci, cas, colour_index, source } = of.named.clone();
    AssessedSubstanceJson {
        substance: key,
        inci,
        cas,
        colour_index,
        source,
        presence: of.presence.word().to_string(),
        functions: roles(&of.functions),
        percent_low_exact: of.share.low.to_fraction(),
        percent_high_exact: of.share.high.to_fraction(),
        percent: share(&of.share),
        formula_percent: of.target.as_ref().map(share),
        materials: of.from.iter().map(ToString::to_string).collect(),
    }
}

fn material(of: &AssessedMaterial) -> AssessedMaterialJson {
    let material = &of.material;
    let ph = material.measured_ph.as_ref().map(|measured| {
        let at = measured.at.as_ref().map(|at| format!(", {at} % in water")).unwrap_or_default();
        format!("{}{at}", share(&measured.ph))
    });
    AssessedMaterialJson {
        material: material.name.to_string(),
        title: material.title.as_ref().map(ToString::to_string),
        functions: roles(&material.roles),
        percent: share(&of.share),
        percent_low_exact: of.share.low.to_fraction(),
        percent_high_exact: of.share.high.to_fraction(),
        supplier: material.supplier.as_ref().map(ToString::to_string),
        sources: of.sources.iter().map(ToString::to_string).collect(),
        contains: of.parts.iter().map(contained).collect(),
        ph,
        density: material.density.as_ref().map(ToString::to_string),
        cautions: material.cautions.iter().map(ToString::to_string).collect(),
        lots: of.lots.iter().map(lot).collect(),
    }
}

fn contained((named, presence, part): &(NamedSubstance, Presence, Component)) -> ContainedJson {
    ContainedJson {
        substance: named.key.clone(),
        inci: named.inci.clone(),
        cas: named.cas.clone(),
        presence: presence.word().to_string(),
        percent: (!part.undisclosed).then(|| share(&part.strength)),
    }
}

fn lot(of: &Lot) -> AssessedLotJson {
    AssessedLotJson {
        lot: of.code.to_string(),
        assay: of.assay.as_ref().map(ToString::to_string),
        opened: of.opened.as_ref().map(ToString::to_string),
        expires: of.expires.as_ref().map(ToString::to_string),
    }
}

/// What the head says of how long it keeps, what it is for, and how it is used.
fn stated(formula: &Formula) -> Vec<StatedFactJson> {
    let label = &formula.label;
    let fact =
        |what: &str, says: String, because: Option<String>| StatedFactJson { what: what.to_string(), says, because };
    let mut all = Vec::new();
    all.extend(label.function.iter().map(|says| fact("function", says.to_string(), None)));
    all.extend(label.directions.iter().map(|says| fact("directions", says.to_string(), None)));
    all.extend(formula.warnings.iter().map(|says| fact("warning", says.to_string(), None)));
    let because = label.lasts_because.as_ref().map(ToString::to_string);
    all.extend(label.lasts.iter().map(|time| fact("lasts", duration(time), because.clone())));
    all.extend(label.opened.iter().map(|time| fact("opened", duration(time), None)));
    let packed: Vec<&str> = formula.selling.packed_in.iter().map(|packing| packing.name.as_str()).collect();
    all.extend((!packed.is_empty()).then(|| fact("packed in", packed.join(", "), None)));
    all
}

fn duration(time: &Duration) -> String {
    match time {
        Duration::Months(months) => format!("{months} months"),
        Duration::Seconds(seconds) => {
            let days = seconds.over(&Exact::whole(86_400)).unwrap_or(Exact::ZERO);
            format!("{days} days")
        }
    }
}

fn rule(of: &ReadRule) -> ReadRuleJson {
    ReadRuleJson {
        rule: of.name.to_string(),
        markets: words(&of.markets),
        level: of.level.to_string(),
        from: of.from.as_ref().map(ToString::to_string),
        until: of.until.as_ref().map(ToString::to_string),
        source: of.source.as_ref().map(ToString::to_string),
        outcome: of.outcome.to_string(),
    }
}

fn missing(of: &MissingFact) -> MissingFactJson {
    MissingFactJson { of: of.of.clone(), what: of.what.clone() }
}
