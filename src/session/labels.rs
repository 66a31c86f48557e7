//! The labels of a formula, or of a batch of it: what stands in the way of them, what is wrong with them, what of that is
//! allowed.

use super::report::{FormulaReport, Report};
use crate::check::allow::{self, Allowed};
use crate::check::{CheckContext, CheckOptions, drug_claim};
use crate::diagnostic::{Code, Diagnostic, Family};
use crate::label::{
    BatchState, GoneHeader, Jar, LabelSubject, LabelledBatch, Layout, MarketLabel, Nominal, Panel, Seller, counted,
    faults, fit,
};
use crate::model::{Batch, Composition, Formula};
use crate::resolve::Resolver;
use crate::sheet::BatchOrder;
use crate::syntax::vocabulary::Market;
use rustc_hash::FxHashSet;
use smol_str::SmolStr;
use std::sync::Arc;

/// What is asked of labels beside what the files say.
#[derive(Clone, Debug, Default)]
pub struct LabelOrder {
    /// One market in place of those of the formula.
    pub market: Option<Market>,
    /// The size of a label, in mm.
    pub panel: Option<Panel>,
}

/// The labels of a product.
#[derive(Debug)]
pub struct Labels {
    /// The formula, with what a batch has of it.
    pub formula: Arc<Formula>,
    /// The batch; none where they are those of the formula.
    pub batch: Option<LabelledBatch>,
    /// The day that rules were read on.
    pub day: SmolStr,
    /// The label of each market.
    pub labels: Vec<MarketLabel>,
    /// How each of them lies on its millimetres, where a size is asked for.
    pub layouts: Vec<Layout>,
    /// Where the product is no cosmetic, so that no label is printed, and why.
    pub drugs: Vec<(Market, Diagnostic)>,
    /// What else bears on them: what is told of the formula, or of the record. What a label says itself is left out.
    pub bearing: Vec<Diagnostic>,
    /// What is wrong with the labels and not allowed.
    pub faults: Vec<Diagnostic>,
    /// What is allowed.
    pub allowed: Vec<Allowed>,
}

/// Why there are no labels.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NoLabels {
    /// It is for the bench, not for skin.
    Stock,
    /// No market is named, in the formula or by the order.
    NoMarket,
    /// The batch was rejected.
    Rejected,
    /// What is in it is not known: its faults have been told.
    NotKnown,
}

/// What labels are of.
struct Of<'l, 's> {
    names: &'l Resolver<'s>,
    jar: Jar,
    counted: Option<Composition>,
    nominal: Option<Nominal>,
    batch: Option<LabelledBatch>,
    bearing: Vec<Diagnostic>,
}

impl Report<'_> {
    /// The labels of a formula that no error bears on.
    ///
    /// # Errors
    /// Why there are none.
    pub fn labels(&self, of: &FormulaReport, order: &BatchOrder, ask: &LabelOrder) -> Result<Labels, NoLabels> {
        let formula = &of.formula;
        if formula.is_stock() {
            return Err(NoLabels::Stock);
        }
        let of = Of {
            names: &self.resolver,
            jar: Jar::of_formula(formula).ok_or(NoLabels::NotKnown)?,
            counted: formula.composition.clone(),
            nominal: Nominal::of(&self.resolver, formula, order.makes(formula)),
            batch: None,
            bearing: of.diagnostics.iter().filter(|fault| !says_itself(fault)).cloned().collect(),
        };
        self.labels_of(of, order, ask)
    }

    /// The labels of a batch as it was made.
    ///
    /// # Errors
    /// Why there are none.
    pub fn labels_of_batch(&self, batch: &Batch, order: &BatchOrder, ask: &LabelOrder) -> Result<Labels, NoLabels> {
        let maker = self.resolver.maker(batch.id.file);
        let mut labelled = LabelledBatch::of(batch, maker.as_ref().and_then(|maker| maker.code.as_ref()));
        if matches!(labelled.state, BatchState::Rejected(_)) {
            return Err(NoLabels::Rejected);
        }
        let (jar, setting) = Jar::of_batch(&self.resolver, batch).ok_or(NoLabels::NotKnown)?;
        if jar.formula.is_stock() {
            return Err(NoLabels::Stock);
        }
        let declared = self.resolver.formula_of_batch(batch).map(|declared| Arc::clone(&declared.formula));
        labelled.waiting.clone_from(&jar.waiting);
        labelled.header_gone = GoneHeader::of(batch, declared.as_deref());
        let declared = declared.filter(|_| labelled.header_gone.is_none());
        let made = declared.as_ref().and_then(|of| Nominal::of(&self.resolver, of, of.makes.as_ref()));
        // Of jars of several sizes the label is that of the size the formula speaks of, or else of the first.
        let filled =
            labelled.fills.iter().find(|fill| Some(*fill) == made.as_ref()).or(labelled.fills.first()).cloned();
        let of = Of {
            names: setting.resolver(&self.resolver),
            jar,
            counted: counted(&self.resolver, batch, &setting),
            nominal: filled.or(made),
            batch: Some(labelled),
            bearing: self.of_batch(batch).cloned().collect(),
        };
        self.labels_of(of, order, ask)
    }

    fn labels_of(&self, of: Of<'_, '_>, order: &BatchOrder, ask: &LabelOrder) -> Result<Labels, NoLabels> {
        let formula = Arc::clone(&of.jar.formula);
        let markets: Vec<Market> = match ask.market {
            Some(market) => vec![market],
            None => formula.markets.iter().map(|(market, _)| *market).collect(),
        };
        if markets.is_empty() {
            return Err(NoLabels::NoMarket);
        }
        let (day, _) = order.day(&formula);
        let seller = self.resolver.maker(formula.id.file).as_ref().map(Seller::from).unwrap_or_default();
        let drugs: Vec<(Market, Diagnostic)> =
            markets.iter().filter_map(|market| self.drug(&formula, *market, order)).collect();
        let subject = LabelSubject {
            names: of.names,
            jar: &of.jar,
            counted: of.counted.as_ref(),
            seller: &seller,
            nominal: of.nominal.as_ref(),
            batch: of.batch.as_ref(),
            panel: ask.panel.as_ref(),
            day: &day,
        };
        let cosmetic = markets.iter().filter(|market| !drugs.iter().any(|(drug, _)| drug == *market));
        let labels: Vec<MarketLabel> = cosmetic.map(|market| MarketLabel::of(&subject, *market)).collect();
        let mut found = faults(of.names, &formula, &labels);
        let batch = of.batch.as_ref();
        let gone = batch.and_then(|batch| Some(batch.header_gone.as_ref()?.fault(&batch.name, &formula)));
        found.extend(gone.filter(|_| !labels.is_empty()));
        let mut layouts = Vec::new();
        if let Some(panel) = &ask.panel {
            for label in &labels {
                let (layout, fault) = fit(&formula, label, panel);
                layouts.push(layout);
                found.extend(fault);
            }
        }
        let mut used = FxHashSet::default();
        let (mut faults, allowed) = allow::quiet(&formula, found, &mut used);
        if ask.market.is_none() {
            allow::unused_of_labels(&formula, &used, &mut faults);
        }
        Ok(Labels { formula, batch: of.batch, day, labels, layouts, drugs, bearing: of.bearing, faults, allowed })
    }

    /// Why a product is a drug in a market and no cosmetic, where its formula does not allow the claim.
    fn drug(&self, formula: &Formula, market: Market, order: &BatchOrder) -> Option<(Market, Diagnostic)> {
        if market != Market::Us {
            return None;
        }
        let place =
            formula.markets.iter().find(|(known, _)| *known == market).map_or(formula.place, |(_, place)| *place);
        let sold = Formula { markets: vec![(market, place)], ..formula.clone() };
        let asked = CheckOptions { needs_weight: false, foresees: false, keeps_forecast: false };
        let found = drug_claim(&CheckContext::new(&sold, &self.resolver, order, None, asked));
        let (left, _) = allow::quiet(formula, found, &mut FxHashSet::default());
        left.into_iter().next().map(|fault| (market, fault))
    }
}

/// Whether a label says a fault of a formula itself, so that it need not be told of beside it.
#[must_use]
pub fn says_itself(fault: &Diagnostic) -> bool {
    matches!(fault.code, Code::RuleNeedsStatement | Code::DeclareAllergen) && fault.code.family() == Family::Rule
}
