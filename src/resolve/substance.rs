//! Substances made from their declarations.

use super::bounds::zero;
use super::name_set::NameSet;
use super::{Bounds, Evaluator, Resolver};
use crate::diagnostic::{Code, Diagnostic, FileId, Place};
use crate::model::{AcidBase, AcidGroups, Binds, Composition, DeclId, MovesPka, Preserves, Salt, Substance};
use crate::quantity::{Dimension, Exact, Interval, Unit};
use crate::syntax::tree::{
    Dissolves, Expression, Fact, Item, Name, Number, Quantity, SubstanceField, Text, WrittenGroups, WrittenMove,
};
use crate::syntax::vocabulary::Borne;
use smol_str::SmolStr;
use std::mem::{Discriminant, discriminant};
use std::sync::Arc;

impl Resolver<'_> {
    /// The substance of a declaration; made the first time it is asked for. What is wrong in a declaration on
    /// disk is told of by [`Resolver::check_substance`] alone, once.
    #[must_use]
    pub fn substance(&self, id: DeclId) -> Option<Arc<Substance>> {
        if let Some(known) = self.made.substances.get(id) {
            return known;
        }
        let made = self.make_substance(id, &mut Vec::new()).map(Arc::new);
        self.made.substances.put(id, made.clone());
        made
    }

    /// Makes a substance for the sake of its faults.
    pub fn check_substance(&self, id: DeclId, faults: &mut Vec<Diagnostic>) {
        let made = self.make_substance(id, faults).map(Arc::new);
        self.made.substances.put(id, made);
        // Only now: what it is told beside may speak of it in turn.
        self.check_metals(id, faults);
    }

    fn make_substance(&self, id: DeclId, faults: &mut Vec<Diagnostic>) -> Option<Substance> {
        let Some(Item::Substance(declared)) = self.scopes.item(id) else { return None };
        let mut made = Substance {
            id,
            name: declared.name.text.clone(),
            place: Self::place(id.file, &declared.name),
            inci: None,
            us_name: None,
            colour_index: None,
            cas: None,
            molar_mass: None,
            acid_base: None,
            salt: None,
            binds: Vec::new(),
            hydroxide: None,
            falls_out_with: Vec::new(),
            moves: Vec::new(),
            hydrolyses_to: None,
            water: None,
            dissolves: Vec::new(),
            preserves: None,
            spoils_with_metals: false,
            feeds_microbes: false,
            phototoxic: None,
            marks: Vec::new(),
            charge: None,
            source: None,
        };
        let mut seen = SeenFields::default();
        for fact in &declared.facts {
            seen.note(id, fact, kind(&fact.field), faults);
            self.substance_fact(id, fact, &mut made, faults);
        }
        Some(made)
    }

    fn substance_fact(
        &self,
        id: DeclId,
        fact: &Fact<SubstanceField>,
        made: &mut Substance,
        faults: &mut Vec<Diagnostic>,
    ) {
        let evaluator = self.evaluator(id.file);
        let mut names = |name: &Name, faults: &mut Vec<Diagnostic>| self.figure_at_file_level(id.file, name, faults);
        match &fact.field {
            SubstanceField::Inci(text) => made.inci = Some(text.value.clone()),
            SubstanceField::UsName(text) => made.us_name = Some(text.value.clone()),
            SubstanceField::ColourIndex(text) => made.colour_index = Some(text.value.clone()),
            SubstanceField::Cas(text) => made.cas = Some(text.value.clone()),
            SubstanceField::Source(text) => made.source = Some(text.value.clone()),
            SubstanceField::MolarMass(quantity) => {
                if let Some(figure) = evaluator.quantity(quantity) {
                    if figure.dimension != Dimension::MolarMass {
                        faults.push(evaluator.mismatch(
                            quantity.span,
                            "`molar-mass`",
                            &[Dimension::MolarMass],
                            figure.dimension,
                        ));
                    } else if figure.value.is_zero() {
                        faults.push(zero(Place { file: id.file, span: quantity.span }, "A molar mass"));
                    } else {
                        made.molar_mass =
                            evaluator.within(&Bounds::molar_mass(), quantity.span, Some(figure.value), faults);
                    }
                }
            }
            SubstanceField::Acid(pka) => made.acid_base = pkas(&evaluator, pka, faults).map(AcidBase::Acid),
            SubstanceField::AcidGroups(groups) => {
                made.acid_base = self.acid_groups(id, groups, faults).map(|groups| AcidBase::Groups(Box::new(groups)));
            }
            SubstanceField::Base(pka) => made.acid_base = pkas(&evaluator, pka, faults).map(AcidBase::Base),
            SubstanceField::Ampholyte(pka, charge) => {
                let charge = whole_charge(&evaluator, charge, faults);
                let pka = pkas(&evaluator, pka, faults);
                made.acid_base = pka.zip(charge).map(|(pka, charge)| AcidBase::Ampholyte(pka, charge));
            }
            SubstanceField::StrongAcid => made.acid_base = Some(AcidBase::StrongAcid),
            SubstanceField::StrongBase => made.acid_base = Some(AcidBase::StrongBase),
            SubstanceField::Ion(charge) => {
                let figure = whole_charge(&evaluator, charge, faults);
                if figure.as_ref().is_some_and(Exact::is_zero) {
                    faults.push(zero(Place { file: id.file, span: charge.span }, "A charge"));
                }
                made.acid_base = figure.filter(|charge| !charge.is_zero()).map(AcidBase::Ion);
            }
            SubstanceField::Neutral => made.acid_base = Some(AcidBase::Neutral),
            SubstanceField::Salt { of, count, with } => {
                let of = self.look_up(id.file, NameSet::Substance, of, faults);
                let with = self.look_up(id.file, NameSet::Substance, with, faults);
                if count.value.as_ref().is_some_and(Exact::is_zero) {
                    faults.push(zero(Place { file: id.file, span: count.span }, "A salt with a count"));
                }
                let count = count.value.clone().filter(Exact::is_positive);
                if let Some(itself) = [of, with].into_iter().flatten().find(|part| *part == id) {
                    faults.extend(self.of_itself(itself, Place { file: id.file, span: fact.span }, "a salt"));
                    return;
                }
                if let (Some(of), Some(with), Some(count)) = (of, with, count) {
                    made.salt = Some(Salt { of, count, with });
                }
            }
            SubstanceField::BaseOf(metal, is_oxide) => {
                let metal = self.other(id, metal, faults);
                made.acid_base = metal.map(|metal| AcidBase::SolidBase(metal, *is_oxide));
            }
            SubstanceField::Binds(metal, log_k) => made.binds.extend(self.binds(id, metal, log_k, faults)),
            SubstanceField::Precipitates(with, low, high) => {
                let pksp = interval(&evaluator, &Bounds::pksp(), (low, high), faults);
                match with {
                    None => made.hydroxide = pksp,
                    Some(acid) => made.falls_out_with.extend(self.other(id, acid, faults).zip(pksp)),
                }
            }
            SubstanceField::Moves(of) => {
                made.moves.extend(self.moves(id, of, faults));
                made.moves.sort_by(|one, other| one.share.cmp(&other.share));
            }
            SubstanceField::HydrolysesTo(name) => {
                let into = self.look_up(id.file, NameSet::Substance, name, faults);
                if into == Some(id) {
                    faults.extend(self.of_itself(id, Place { file: id.file, span: fact.span }, "what comes"));
                }
                made.hydrolyses_to = into.filter(|into| *into != id);
            }
            SubstanceField::Water(percent) => {
                let water = evaluator.want(percent, "`water`", &[Dimension::Percent], &mut names, faults);
                made.water = evaluator.within(&Bounds::share(), percent.span(), water, faults);
            }
            SubstanceField::Dissolves(dissolves) => {
                made.dissolves.extend(self.dissolves(id, dissolves, faults));
            }
            SubstanceField::Preserves(least) => {
                let figure = evaluator.want(least, "`preserves`", &[Dimension::Percent], &mut names, faults);
                let least = evaluator.within(&Bounds::share(), least.span(), figure, faults);
                let source = fact.source.as_ref().map(|source| source.value.clone());
                made.preserves =
                    least.map(|least| Preserves { least, source, place: Place { file: id.file, span: fact.span } });
            }
            SubstanceField::SpoilsWithMetals => made.spoils_with_metals = true,
            SubstanceField::FeedsMicrobes => made.feeds_microbes = true,
            SubstanceField::Phototoxic(most) => {
                let figure = evaluator.want(most, "`phototoxic`", &[Dimension::Percent], &mut names, faults);
                let figure = evaluator.within(&Bounds::share(), most.span(), figure, faults);
                made.phototoxic = figure.map(|figure| (figure, Place { file: id.file, span: fact.span }));
            }
            SubstanceField::Mark(mark) => made.marks.push(*mark),
            SubstanceField::Charge(charge) => made.charge = Some(*charge),
        }
    }

    /// The acid groups of a polymer.
    fn acid_groups(&self, id: DeclId, written: &WrittenGroups, faults: &mut Vec<Diagnostic>) -> Option<AcidGroups> {
        let evaluator = self.evaluator(id.file);
        let capacity = self.capacity(id.file, &written.capacity, faults);
        if capacity.as_ref().is_some_and(|capacity| capacity.high.is_zero()) {
            let span = written.capacity.1.span();
            faults.push(zero(Place { file: id.file, span }, "A capacity"));
        }
        let capacity = capacity.filter(|capacity| !capacity.high.is_zero());
        let first = evaluator.within(&Bounds::pka(), written.first.span, written.first.value.clone(), faults);
        let last = evaluator.within(&Bounds::pka(), written.last.span, written.last.value.clone(), faults);
        let with = match &written.with {
            None => None,
            Some((count, ion)) => {
                let ion = self.look_up(id.file, NameSet::Substance, ion, faults)?;
                Some((count.value.clone()?, ion))
            }
        };
        let pka = evaluator.rising(written.first.span.to(written.last.span), first?, last?, faults);
        Some(AcidGroups { capacity: capacity?, pka, with })
    }

    /// How much acid or base something holds, in mol/kg.
    pub(super) fn capacity(
        &self,
        file: FileId,
        (low, high): &(Expression, Expression),
        faults: &mut Vec<Diagnostic>,
    ) -> Option<Interval> {
        let evaluator = self.evaluator(file);
        let mut names = |name: &Name, faults: &mut Vec<Diagnostic>| self.figure_at_file_level(file, name, faults);
        // `12.4 to 15.1 mmol/g`: the unit of the upper end is the lower end's too.
        let low = &match (low, high) {
            (Expression::Quantity(bare), Expression::Quantity(with)) if bare.unit == Unit::None => {
                Expression::Quantity(Quantity { unit: with.unit, ..bare.clone() })
            }
            _ => low.clone(),
        };
        let mut end = |of: &Expression, faults: &mut Vec<Diagnostic>| {
            let figure = evaluator.want(of, "`capacity`", &[Dimension::Molality], &mut names, faults);
            evaluator.within(&Bounds::capacity(), of.span(), figure, faults)
        };
        let low_end = end(low, faults);
        if low.span() == high.span() {
            return low_end.map(|end| Interval::new(end.clone(), end));
        }
        let high_end = end(high, faults)?;
        Some(evaluator.rising(low.span().to(high.span()), low_end?, high_end, faults))
    }

    /// The substance of a name, which is not the one that speaks.
    fn other(&self, id: DeclId, name: &Name, faults: &mut Vec<Diagnostic>) -> Option<DeclId> {
        let other = self.look_up(id.file, NameSet::Substance, name, faults)?;
        if other == id {
            faults.extend(self.of_itself(id, Self::place(id.file, name), "made"));
            return None;
        }
        Some(other)
    }

    /// `binds X log K N, N`.
    fn binds(&self, id: DeclId, metal: &Name, log_k: &[Number], faults: &mut Vec<Diagnostic>) -> Option<Binds> {
        let evaluator = self.evaluator(id.file);
        let metal = self.other(id, metal, faults);
        let read = log_k.iter().map(|of| evaluator.within(&Bounds::log_k(), of.span, of.value.clone(), faults));
        let log_k = read.collect::<Vec<_>>().into_iter().collect::<Option<_>>()?;
        Some(Binds { metal: metal?, log_k })
    }

    /// `moves pKa of acids by N to N, of bases by N to N at P`.
    fn moves(&self, id: DeclId, written: &WrittenMove, faults: &mut Vec<Diagnostic>) -> Option<MovesPka> {
        let mut names = |name: &Name, faults: &mut Vec<Diagnostic>| self.figure_at_file_level(id.file, name, faults);
        let evaluator = self.evaluator(id.file);
        let bounds = Bounds::pka_moved();
        let acids = interval(&evaluator, &bounds, (&written.acids.0, &written.acids.1), faults);
        let bases = interval(&evaluator, &bounds, (&written.bases.0, &written.bases.1), faults);
        let share = evaluator.want(&written.share, "`moves`", &[Dimension::Percent], &mut names, faults);
        let share = evaluator.within(&Bounds::share(), written.share.span(), share, faults)?;
        if share.is_zero() {
            faults.push(zero(Place { file: id.file, span: written.share.span() }, "A share of a solvent"));
            return None;
        }
        Some(MovesPka { share, acids: acids?, bases: bases? })
    }

    /// The fault of a substance that is said to come of itself.
    fn of_itself(&self, id: DeclId, place: Place, what: &str) -> Option<Diagnostic> {
        let Some(Item::Substance(declared)) = self.scopes.item(id) else { return None };
        let message = format!("`{}` cannot be {what} of itself.", declared.name.text);
        Some(Diagnostic::new(Code::NameUnknown, place, message).help("Name the other substance."))
    }

    /// How much of a substance has to be free to preserve, and its first pKa: what it says itself, else what the shelf
    /// says of the same substance. None where it preserves otherwise, or not at all.
    #[must_use]
    pub fn preserving_acid(&self, id: DeclId) -> Option<(Preserves, Exact)> {
        let own = self.substance(id)?;
        let twin = self.twin(&own);
        let known = || std::iter::once(&own).chain(twin.as_ref());
        let preserves = known().find_map(|substance| substance.preserves.clone())?;
        let pka = known().find_map(|substance| match &substance.acid_base {
            Some(AcidBase::Acid(pka)) => pka.first().cloned(),
            _ => None,
        });
        Some((preserves, pka?))
    }

    /// Whether metals spoil a substance: by what it says itself, or what the shelf says of the same substance.
    #[must_use]
    pub fn spoils_with_metals(&self, id: DeclId) -> bool {
        self.says(id, |substance| substance.spoils_with_metals)
    }

    /// Whether a substance is food for microbes: by what it says itself, or what the shelf says of the same.
    #[must_use]
    pub fn feeds_microbes(&self, id: DeclId) -> bool {
        self.says(id, |substance| substance.feeds_microbes)
    }

    /// The most of a substance that skin in sunlight bears, and where that stands: by what it says itself, or what the
    /// shelf says of the same.
    #[must_use]
    pub fn phototoxic(&self, id: DeclId) -> Option<(Exact, Place)> {
        let own = self.substance(id)?;
        own.phototoxic.clone().or_else(|| self.twin(&own)?.phototoxic.clone())
    }

    /// How far a solvent moves the pKa of what is dissolved, from the least share of it to the most: by what it says itself,
    /// or what the shelf says of the same.
    #[must_use]
    pub fn moves_pka(&self, id: DeclId) -> Vec<MovesPka> {
        let Some(own) = self.substance(id) else { return Vec::new() };
        if own.moves.is_empty() {
            self.twin(&own).map(|twin| twin.moves.clone()).unwrap_or_default()
        } else {
            own.moves.clone()
        }
    }

    fn says(&self, id: DeclId, fact: impl Fn(&Substance) -> bool) -> bool {
        let Some(own) = self.substance(id) else { return false };
        fact(&own) || self.twin(&own).is_some_and(|twin| fact(&twin))
    }

    /// `dissolves in X up to P`.
    pub(super) fn dissolves(
        &self,
        id: DeclId,
        dissolves: &Dissolves,
        faults: &mut Vec<Diagnostic>,
    ) -> Option<(SmolStr, Exact, Place)> {
        let mut names = |name: &Name, faults: &mut Vec<Diagnostic>| self.figure_at_file_level(id.file, name, faults);
        let evaluator = self.evaluator(id.file);
        let ends = evaluator.range(&dissolves.limit, "`dissolves`", &[Dimension::Percent], &mut names, faults);
        let high = evaluator.ends_within(&Bounds::solubility(), &dissolves.limit, ends, faults)?.high;
        Some((dissolves.solvent.text.clone(), high?, Place { file: id.file, span: dissolves.limit.span }))
    }

    /// How much of a substance is in a composition, its salts counted as it, at the middle of what is a range.
    #[must_use]
    pub fn total_of(&self, composition: &Composition, substance: DeclId) -> Exact {
        let counted = composition.parts.iter().filter_map(|(part, share)| {
            let factor = self.counts_as(*part, substance)??;
            Some(&share.middle() * &factor)
        });
        counted.sum()
    }

    /// The factor that counts one substance as another: 1 for itself, the ratio of molar masses for a salt of
    /// it. None where it is neither; none inside where a molar mass is missing.
    #[must_use]
    pub fn counts_as(&self, substance: DeclId, parent: DeclId) -> Option<Option<Exact>> {
        if substance == parent {
            return Some(Some(Exact::ONE));
        }
        let child = self.substance(substance)?;
        if child.salt.as_ref()?.of != parent {
            return None;
        }
        let parent = self.substance(parent)?;
        Some(match (&parent.molar_mass, &child.molar_mass) {
            (Some(parent), Some(child)) => parent.over(child),
            _ => None,
        })
    }
}

/// A range of figures, the lower end first.
fn interval(
    evaluator: &Evaluator<'_>,
    bounds: &Bounds,
    (low, high): (&Number, &Number),
    faults: &mut Vec<Diagnostic>,
) -> Option<Interval> {
    let low_figure = evaluator.within(bounds, low.span, low.value.clone(), faults);
    let high_figure = match low.span == high.span {
        true => low_figure.clone(),
        false => evaluator.within(bounds, high.span, high.value.clone(), faults),
    };
    Some(evaluator.rising(low.span.to(high.span), low_figure?, high_figure?, faults))
}

/// The pKa values of a list, where none is at fault.
fn pkas(evaluator: &Evaluator<'_>, list: &[Number], faults: &mut Vec<Diagnostic>) -> Option<Vec<Exact>> {
    let bounds = Bounds::pka();
    let read = list.iter().map(|number| evaluator.within(&bounds, number.span, number.value.clone(), faults));
    // All of them are looked at, not only those up to the first at fault.
    let read: Vec<Exact> = read.collect::<Vec<_>>().into_iter().collect::<Option<_>>()?;
    let falls = read.windows(2).position(|pair| matches!(pair, [before, after] if after < before));
    let Some((at, number)) = falls.and_then(|at| Some((read.get(at)?, list.get(at + 1)?))) else { return Some(read) };
    let place = Place { file: evaluator.file, span: number.span };
    let message =
        format!("The pKa after {at} is lower, and each proton of an acid is harder to take off than the one before.");
    faults.push(Diagnostic::new(Code::FigureImpossible, place, message).help("Write the values from low to high."));
    None
}

/// A charge, which is whole.
fn whole_charge(evaluator: &Evaluator<'_>, charge: &Number, faults: &mut Vec<Diagnostic>) -> Option<Exact> {
    let figure = evaluator.within(&Bounds::charge(), charge.span, charge.value.clone(), faults)?;
    if figure.decimals() == Some(0) {
        return Some(figure);
    }
    let place = Place { file: evaluator.file, span: charge.span };
    let message = format!("A charge of {figure} is in pieces: charges are whole.");
    faults.push(Diagnostic::new(Code::FigureImpossible, place, message).help("Write `+1`, `+2`, `-1` and the like."));
    None
}

/// The fields met so far in a block, to tell of one that stands twice.
#[derive(Default)]
pub(super) struct SeenFields {
    fields: Vec<(FieldKind, Place)>,
}

/// What counts as the same field. Several alternatives of one question are one (`acid`, `strong base`, `ion` …).
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum FieldKind {
    /// A field that may stand several times.
    Many,
    /// The acid-base facts.
    AcidBase,
    /// `use`, for one set of kinds of product.
    Use(u32),
    /// `bears`, for one thing.
    Bears(Borne),
    /// Any other field of a substance.
    Substance(Discriminant<SubstanceField>),
    /// Any other field of a material.
    Material(Discriminant<crate::syntax::tree::MaterialField>),
}

fn kind(field: &SubstanceField) -> FieldKind {
    match field {
        SubstanceField::Dissolves(_)
        | SubstanceField::Mark(_)
        | SubstanceField::Binds(..)
        | SubstanceField::Precipitates(Some(_), ..)
        | SubstanceField::Moves(_) => FieldKind::Many,
        SubstanceField::Acid(_)
        | SubstanceField::AcidGroups(_)
        | SubstanceField::Base(_)
        | SubstanceField::Ampholyte(..)
        | SubstanceField::StrongAcid
        | SubstanceField::StrongBase
        | SubstanceField::Ion(_)
        | SubstanceField::BaseOf(..)
        | SubstanceField::Neutral => FieldKind::AcidBase,
        other => FieldKind::Substance(discriminant(other)),
    }
}

impl SeenFields {
    pub(super) fn note<T>(&mut self, id: DeclId, fact: &Fact<T>, kind: FieldKind, faults: &mut Vec<Diagnostic>) {
        let place = Place { file: id.file, span: fact.span };
        if kind == FieldKind::Many {
            return;
        }
        match self.fields.iter().find(|(known, _)| *known == kind) {
            Some((_, first)) => faults.push(twice(place, *first, "This field")),
            None => self.fields.push((kind, place)),
        }
    }
}

/// The fault of something that may stand once.
pub(super) fn twice(place: Place, first: Place, what: &str) -> Diagnostic {
    Diagnostic::new(Code::HeaderTwice, place, format!("{what} stands twice in this block."))
        .and(first, "it stands here first")
        .help("Keep one of the two.")
}

/// The value of a text, for fields that are plain text.
pub(super) fn said(text: &Text) -> SmolStr {
    text.value.clone()
}
