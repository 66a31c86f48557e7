//! The assessor's file made into data.

use super::assessor::{
    AllowedFactJson, AssessedBatchJson, AssessedLineJson, AssessedLotJson, AssessedMaterialJson, AssessedSubstanceJson,
    AssessorJson, ComplaintJson, ContainedJson, LeftOpenJson, MissingFactJson, ReadRuleJson, StatedFactJson,
};
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
            undisclosed: of.undisclosed.as_ref().map(share),
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

/// Digits of a printed percentage; each stands beside it exactly.
const DIGITS: u32 = 4;

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
        outcome: of.outcome.words().to_string(),
    }
}

fn missing(of: &MissingFact) -> MissingFactJson {
    MissingFactJson { of: of.of.clone(), what: of.what.clone() }
}
