//! What a qualified safety assessor is given of a product: all that the files say of it, and what they do not say. It
//! judges nothing.

mod contents;
mod missing;
mod rules;

use super::labels::{LabelOrder, Labels};
use super::report::{FormulaReport, Report};
use crate::batch::Setting;
use crate::check::allow::Allowed;
use crate::diagnostic::Diagnostic;
use crate::label::Jar;
use crate::model::{Batch, Component, DeclId, Formula, Happened, Lot, Material};
use crate::quantity::Interval;
use crate::resolve::Resolver;
use crate::sheet::BatchOrder;
use crate::shelf;
use crate::syntax::vocabulary::{Market, Role};
use contents::{as_today, materials, substances};
use missing::missing;
use rules::Reading;
use smol_str::SmolStr;
use std::sync::Arc;

/// What an assessor is given of a product.
#[derive(Debug)]
pub struct AssessorFile {
    /// The formula, with what a batch has of it.
    pub formula: Arc<Formula>,
    /// The batch; none where it is the file of the formula.
    pub batch: Option<Batch>,
    /// The day that rules were read on, and who says so.
    pub day: (SmolStr, &'static str),
    /// What is in it, the most first: an adjuster that is not weighed yet as anything up to what is held back.
    pub substances: Vec<AssessedSubstance>,
    /// What of it nobody has disclosed, in percent; none where all is disclosed.
    pub undisclosed: Option<Interval>,
    /// The raw materials, in the order of the formula.
    pub materials: Vec<AssessedMaterial>,
    /// Its labels; none where there are none.
    pub labels: Option<Labels>,
    /// The rules that were looked at.
    pub rules: Vec<ReadRule>,
    /// The markets that the shelf has no rules of.
    pub unread_markets: Vec<Market>,
    /// What the market that one grew out of binds, and its own rules on the shelf do not speak of.
    pub left_open: Vec<(Market, Vec<String>)>,
    /// What was complained of in its batches: the batch, and the words.
    pub complaints: Vec<(SmolStr, SmolStr)>,
    /// What bears on it and is not allowed; what its labels state is none of it.
    pub told: Vec<Diagnostic>,
    /// What is allowed, with the reason.
    pub allowed: Vec<(String, String)>,
    /// What the files do not say.
    pub missing: Vec<MissingFact>,
}

/// How something is in a product.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Presence {
    /// As an ingredient.
    Ingredient,
    /// By nature, in a whole that is the ingredient.
    Brought,
    /// As an impurity.
    Trace,
}

impl Presence {
    /// The word for it.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Presence::Ingredient => "ingredient",
            Presence::Brought => "by nature",
            Presence::Trace => "trace",
        }
    }
}

/// A substance by the names it has.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NamedSubstance {
    /// The key that files call it by.
    pub key: String,
    /// Its INCI name.
    pub inci: Option<String>,
    /// Its CAS number.
    pub cas: Option<String>,
    /// Its colour index.
    pub colour_index: Option<String>,
    /// Who says so.
    pub source: Option<String>,
}

/// A substance in a product.
#[derive(Clone, Debug)]
pub struct AssessedSubstance {
    /// Its names.
    pub named: NamedSubstance,
    /// How it is in it.
    pub presence: Presence,
    /// How much of it, in percent.
    pub share: Interval,
    /// How much of it the formula asks for, without adjuster, beside what a batch has.
    pub target: Option<Interval>,
    /// The materials that it comes in.
    pub from: Vec<SmolStr>,
    /// What those are there for.
    pub functions: Vec<Role>,
}

/// A raw material of a product.
#[derive(Clone, Debug)]
pub struct AssessedMaterial {
    /// The material.
    pub material: Arc<Material>,
    /// How much of it there is, in percent, through premixes too.
    pub share: Interval,
    /// What it is made of: each with its names, how it is there, and how much of it, in percent.
    pub parts: Vec<(NamedSubstance, Presence, Component)>,
    /// Who says so.
    pub sources: Vec<SmolStr>,
    /// The lots of a batch.
    pub lots: Vec<Lot>,
}

/// A rule that was looked at.
#[derive(Clone, Debug)]
pub struct ReadRule {
    /// Its name.
    pub name: SmolStr,
    /// Where it applies; everywhere where empty.
    pub markets: Vec<Market>,
    /// How grave a breach is.
    pub level: &'static str,
    /// From when on.
    pub from: Option<SmolStr>,
    /// Until when.
    pub until: Option<SmolStr>,
    /// Who says so.
    pub source: Option<SmolStr>,
    /// What came of it.
    pub outcome: RuleFound,
}

/// What came of a rule, the gravest first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum RuleFound {
    /// A limit of it is broken, or what it forbids is there.
    NotKept,
    /// It cannot be shown that it is kept.
    NotShown,
    /// It asks for a statement that no label has.
    StatementMissing,
    /// It has an allergen named that some label does not name.
    AllergenNotNamed,
    /// What is against it is allowed, with a reason.
    Allowed,
    /// The statement that it asks for stands on the label.
    StatementPrinted,
    /// The allergen that it has named is named on the label.
    AllergenNamed,
    /// Nothing was found against it.
    NothingFound,
}

impl RuleFound {
    /// The words for it.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            RuleFound::NotKept => "not kept",
            RuleFound::NotShown => "not shown to be kept",
            RuleFound::StatementMissing => "statement missing on the label",
            RuleFound::AllergenNotNamed => "allergen not named on the label",
            RuleFound::Allowed => "allowed",
            RuleFound::StatementPrinted => "statement printed on the label",
            RuleFound::AllergenNamed => "allergen named on the label",
            RuleFound::NothingFound => "nothing found against it",
        }
    }
}

/// Something that the files do not say.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct MissingFact {
    /// What it is missing of.
    pub of: String,
    /// What is missing.
    pub what: String,
}

impl Report<'_> {
    /// The assessor's file of a formula. None where what is in it is not known.
    #[must_use]
    pub fn assessor_file(&self, of: &FormulaReport, order: &BatchOrder) -> Option<AssessorFile> {
        let jar = Jar::of_formula(&of.formula)?;
        let bearing = Bearing { told: of.diagnostics.clone(), allowed: &of.allowed };
        let labels = self.labels(of, order, &LabelOrder::default()).ok();
        Some(self.gathered(&self.resolver, &jar, None, order, bearing, labels))
    }

    /// The assessor's file of a batch as it was made. None where what is in it is not known.
    #[must_use]
    pub fn assessor_file_of_batch(&self, batch: &Batch, order: &BatchOrder) -> Option<AssessorFile> {
        let (mut jar, setting): (Jar, Setting<'_>) = Jar::of_batch(&self.resolver, batch)?;
        let names = setting.resolver(&self.resolver);
        as_today(&self.resolver, batch, &mut jar);
        let labels = self.labels_of_batch(batch, order, &LabelOrder::default()).ok();
        let bearing = Bearing { told: self.of_batch(batch).cloned().collect(), allowed: &[] };
        let mut file = self.gathered(names, &jar, Some(batch), order, bearing, labels);
        let asked = setting.formula.composition.as_ref();
        for of in &mut file.substances {
            let ids = asked.into_iter().flat_map(|asked| asked.counted());
            let same = |id: DeclId| names.substance(id).is_some_and(|of_id| of_id.name == of.named.key.as_str());
            of.target = ids.filter(|(id, _)| same(*id)).map(|(_, share)| share.clone()).next();
        }
        Some(file)
    }

    fn gathered(
        &self,
        names: &Resolver<'_>,
        jar: &Jar,
        batch: Option<&Batch>,
        order: &BatchOrder,
        bearing: Bearing<'_>,
        labels: Option<Labels>,
    ) -> AssessorFile {
        let formula = Arc::clone(&jar.formula);
        let (day, who) = order.day(&formula);
        let (substances, undisclosed) = substances(names, jar);
        let materials = materials(names, jar, batch);
        let markets: Vec<Market> = formula.markets.iter().map(|(market, _)| *market).collect();
        let open = |market: &Market| {
            let open = names.left_open(&formula, *market, &day);
            let open: Vec<String> = open.into_iter().map(|id| names.substance_name(id)).collect();
            (!open.is_empty()).then_some((*market, open))
        };
        let missing = missing(&formula, batch, &substances, &materials);
        // A drug has no label: what rules ask of one is then missing.
        let labels = labels.filter(|labels| !labels.labels.is_empty());
        let reading =
            Reading { names, jar, day: &day, told: &bearing.told, allowed: bearing.allowed, labels: labels.as_ref() };
        let (rules, told) = reading.of_rules();
        AssessorFile {
            rules,
            labels,
            unread_markets: markets.iter().copied().filter(|market| !shelf::has_rules(*market)).collect(),
            left_open: markets.iter().filter_map(open).collect(),
            complaints: self.complaints(&formula, batch),
            allowed: bearing.allowed.iter().map(allowed).collect(),
            told,
            batch: batch.cloned(),
            day: (day, who),
            substances,
            undisclosed,
            materials,
            missing,
            formula,
        }
    }

    /// What was complained of in the batches of a formula, or in one of them.
    fn complaints(&self, formula: &Formula, batch: Option<&Batch>) -> Vec<(SmolStr, SmolStr)> {
        let all = match batch {
            Some(batch) => vec![batch.clone()],
            None => self.resolver.sources.files.iter().flat_map(|source| self.resolver.batches_of(source)).collect(),
        };
        let own = all.into_iter().filter(|batch| batch.formula.as_ref().is_some_and(|of| of.text == formula.name));
        let said = own.flat_map(|batch| {
            let name = batch.name.clone();
            batch.events.into_iter().filter_map(move |event| match event.what {
                Happened::Complaint(words) => Some((name.clone(), words)),
                _ => None,
            })
        });
        said.collect()
    }
}

/// What bears on a product.
struct Bearing<'b> {
    told: Vec<Diagnostic>,
    allowed: &'b [Allowed],
}

fn allowed(of: &Allowed) -> (String, String) {
    (format!("{}: {}", of.diagnostic.code, of.diagnostic.message), of.because.clone())
}
