//! Materials made from their declarations and those they are `like`.

use super::bounds::zero;
use super::name_set::NameSet;
use super::plan_names::is_of_plan;
use super::ring::ring_fault;
use super::substance::{FieldKind, SeenFields, said};
use super::{Bounds, Evaluator, Resolver, bounds};
use crate::diagnostic::{Code, Diagnostic, FileId, Place};
use crate::model::{Component, Content, DeclId, Material, MeasuredPh, Pack, PhRange, Stated, Temperature, Usage};
use crate::quantity::{Dimension, Exact, Interval};
use crate::shelf;
use crate::syntax::tree::{self, Expression, Fact, Item, MaterialField, Name, Strength};
use crate::syntax::vocabulary::Product;
use std::mem::discriminant;
use std::sync::Arc;

/// How far an inherited strength by volume is looked for.
const MAX_LIKE: usize = 1000;

impl Resolver<'_> {
    /// The material of a declaration; made the first time it is asked for. What is wrong in a declaration on
    /// disk is told of by [`Resolver::check_material`] alone, once.
    #[must_use]
    pub fn material(&self, id: DeclId) -> Option<Arc<Material>> {
        if let Some(known) = self.made.materials.get(id) {
            return known;
        }
        let made = self.make_material(id, &mut Vec::new()).map(Arc::new);
        self.made.materials.put(id, made.clone());
        made
    }

    /// The component that `active` speaks of: the one marked, or the only one that is not water. None where there are
    /// several.
    #[must_use]
    pub fn active_of<'m>(&self, material: &'m Material) -> Option<&'m Component> {
        let marked = material.contains.iter().any(|component| component.active);
        let mut candidates = material.contains.iter().filter(|component| match marked {
            true => component.active,
            false => !self.substance(component.substance).is_some_and(|substance| substance.is_water()),
        });
        let only = candidates.next()?;
        candidates.next().is_none().then_some(only)
    }

    /// The strength of a material's active in percent, at the middle of a range; none where it is not known.
    #[must_use]
    pub fn active_strength_of(&self, material: &Material) -> Option<Exact> {
        let active = self.active_of(material).filter(|component| !component.undisclosed)?;
        Some(active.strength.middle()).filter(Exact::is_positive)
    }

    /// Makes a material for the sake of its faults.
    pub fn check_material(&self, id: DeclId, faults: &mut Vec<Diagnostic>) {
        let made = self.make_material(id, faults).map(Arc::new);
        self.made.materials.put(id, made);
    }

    /// Makes a material from the one it is like, if any, and its own fields. Those in between are kept too, so
    /// that a long chain is walked once.
    fn make_material(&self, id: DeclId, faults: &mut Vec<Diagnostic>) -> Option<Material> {
        let (lineage, mut made) = self.lineage(id, faults)?;
        for (at, step) in lineage.iter().enumerate().rev() {
            let Some(Item::Material(declared)) = self.scopes.item(*step) else { continue };
            let mut unheard = Vec::new();
            let like = made.as_ref().map(|base| base.id);
            let mut material = made.take().unwrap_or_else(|| blank(*step, declared));
            material.id = *step;
            material.name = declared.name.text.clone();
            material.place = Self::place(step.file, &declared.name);
            material.like = like;
            self.own_fields(*step, declared, &mut material, if at == 0 { faults } else { &mut unheard });
            if at > 0 {
                self.made.materials.put(*step, Some(Arc::new(material.clone())));
            }
            made = Some(material);
        }
        made
    }

    /// A declaration and those it is like, itself first, up to one that is made already, which comes beside. A
    /// ring is told of and gives nothing.
    fn lineage(&self, id: DeclId, faults: &mut Vec<Diagnostic>) -> Option<(Vec<DeclId>, Option<Material>)> {
        let mut lineage = vec![id];
        let mut seen = rustc_hash::FxHashSet::from_iter([id]);
        let mut current = id;
        while let Some(Item::Material(declared)) = self.scopes.item(current) {
            let Some(like) = &declared.like else { break };
            // `material X like X` is like the X that the file uses.
            let found = match like.text == declared.name.text {
                true => self.scopes.find_used(current.file, NameSet::Weighable, &like.text),
                false => self.scopes.find(current.file, NameSet::Weighable, &like.text),
            };
            let Some(next) = found else {
                if current == id {
                    faults.extend(self.unknown(current.file, NameSet::Weighable, like));
                }
                break;
            };
            self.mark_used(next);
            if !matches!(self.scopes.item(next), Some(Item::Material(_))) {
                if current == id {
                    faults.push(not_a_material(current.file, like));
                }
                break;
            }
            if !seen.insert(next) {
                let from = lineage.iter().position(|known| *known == next).unwrap_or(0);
                faults.extend(self.like_ring(id, lineage.get(from..).unwrap_or_default()));
                return None;
            }
            if let Some(known) = self.made.materials.get(next) {
                return Some((lineage, known.map(|known| (*known).clone())));
            }
            lineage.push(next);
            current = next;
        }
        Some((lineage, None))
    }

    /// Told once, by the material of the ring that stands first.
    fn like_ring(&self, id: DeclId, ring: &[DeclId]) -> Option<Diagnostic> {
        if ring.iter().min() != Some(&id) {
            return None;
        }
        let places: Vec<Place> = ring.iter().filter_map(|id| self.scopes.name_place(*id)).collect();
        let text = |place| self.sources.at(place).to_string();
        let fault = ring_fault(Code::LikeCycle, "Materials are like each other in a ring", &places, text)?;
        Some(fault.help("Write one of them out in full."))
    }

    fn own_fields(&self, id: DeclId, declared: &tree::Material, made: &mut Material, faults: &mut Vec<Diagnostic>) {
        let mut seen = SeenFields::default();
        let mut fresh: Vec<FieldKind> = Vec::new();
        for fact in &declared.facts {
            seen.note(id, fact, once(&fact.field), faults);
            let kind = FieldKind::Material(discriminant(&fact.field));
            if !fresh.contains(&kind) {
                fresh.push(kind);
                forget(&fact.field, made);
            }
            self.material_fact(id, fact, made, faults);
        }
        let says_contains = declared.facts.iter().any(|fact| matches!(fact.field, MaterialField::Contains(_)));
        let says_density = declared.facts.iter().any(|fact| matches!(fact.field, MaterialField::Density(_)));
        if says_contains || (declared.like.is_none() && made.contains.is_empty()) {
            made.contains_from_shelf = shelf::FILES.get(id.file.0 as usize).is_some();
            self.components(id, declared, made, faults);
        } else if says_density {
            // Strengths by volume rest on the density: worked out again with the new one where they are inherited.
            self.inherited_components(id, declared, made, faults);
        }
    }

    fn material_fact(&self, id: DeclId, fact: &Fact<MaterialField>, made: &mut Material, faults: &mut Vec<Diagnostic>) {
        let file = id.file;
        let evaluator = self.evaluator(file);
        let place = Place { file, span: fact.span };
        let mut names = |name: &Name, faults: &mut Vec<Diagnostic>| self.figure_at_file_level(file, name, faults);
        let mut want = |expression: &Expression, what: &str, wanted: &[Dimension], faults: &mut Vec<Diagnostic>| {
            evaluator.want(expression, what, wanted, &mut names, faults)
        };
        let stated = match &fact.field {
            MaterialField::Phase(_) => Some(Stated::Phase),
            MaterialField::Hlb(_) => Some(Stated::Hlb),
            MaterialField::RequiredHlb(_) => Some(Stated::RequiredHlb),
            MaterialField::Keeps(_) => Some(Stated::Keeps),
            MaterialField::Protects(_) => Some(Stated::Protects),
            _ => None,
        };
        if let Some(stated) = stated {
            made.stated.retain(|(known, _)| *known != stated);
            made.stated.push((stated, place));
        }
        match &fact.field {
            MaterialField::Name(text) => made.title = Some(said(text)),
            MaterialField::Contains(_) => {}
            MaterialField::Role(roles) => made.roles.clone_from(roles),
            MaterialField::Phase(phase) => made.phase = Some(*phase),
            MaterialField::Use(written) => {
                let ends = evaluator.range(&written.range, "`use`", &[Dimension::Percent], &mut names, faults);
                let ends = evaluator.ends_within(&Bounds::share(), &written.range, ends, faults);
                let products = written.products.clone();
                let usage = ends.map(|range| Usage { range, active: written.active.is_some(), products, place });
                made.usages.extend(usage);
            }
            MaterialField::WorksIn(range) => {
                let ends = evaluator.range(range, "`works in pH`", &[Dimension::Plain], &mut names, faults);
                let ends = evaluator.ends_within(&Bounds::ph(), range, ends, faults);
                made.works_in = ends.map(|range| PhRange { range, place });
            }
            MaterialField::StaysBelow(at) => {
                let celsius = want(at, "`stays below`", &[Dimension::Temperature], faults);
                let celsius = evaluator.within(&Bounds::temperature(), at.span(), celsius, faults);
                made.stays_below = celsius.map(|celsius| Temperature { celsius, place });
            }
            MaterialField::Needs(at) => {
                let celsius = want(at, "`needs`", &[Dimension::Temperature], faults);
                let celsius = evaluator.within(&Bounds::temperature(), at.span(), celsius, faults);
                made.needs = celsius.map(|celsius| Temperature { celsius, place });
            }
            MaterialField::Dissolves(dissolves) => made.dissolves.extend(self.dissolves(id, dissolves, faults)),
            MaterialField::Hydrates(time) => {
                let figure = want(time, "`hydrates`", &[Dimension::Time], faults);
                made.hydrates = evaluator.within(&Bounds::wait(), time.span(), figure, faults);
            }
            MaterialField::Hlb(hlb) => {
                let figure = want(hlb, "`hlb`", &[Dimension::Plain], faults);
                made.hlb = evaluator.within(&Bounds::hlb(), hlb.span(), figure, faults);
            }
            MaterialField::RequiredHlb(hlb) => {
                let figure = want(hlb, "`required-hlb`", &[Dimension::Plain], faults);
                made.required_hlb = evaluator.within(&Bounds::hlb(), hlb.span(), figure, faults);
            }
            MaterialField::Keeps(time) => {
                made.keeps = evaluator.duration(time, "`keeps`", &mut names, faults);
            }
            MaterialField::Protects(microbes) => made.protects.clone_from(microbes),
            MaterialField::Avoid(avoid) => made.avoids.extend(self.avoid(file, avoid, place, faults)),
            MaterialField::AsSupplied(written) => {
                let (low, high) = (&written.low, &written.high);
                let at = written.at.as_ref().map(|at| {
                    let figure = want(at, "`as supplied … at`", &[Dimension::Percent], faults);
                    evaluator.within(&Bounds::share(), at.span(), figure, faults)
                });
                let ends = match low.span == high.span {
                    true => vec![low],
                    false => vec![low, high],
                };
                let ends: Option<Vec<Exact>> = ends
                    .into_iter()
                    .map(|end| evaluator.within(&Bounds::ph(), end.span, end.value.clone(), faults))
                    .collect();
                let ends = ends.and_then(|ends| Some((ends.first()?.clone(), ends.last()?.clone())));
                let span = low.span.to(high.span);
                let ph = ends.map(|(low, high)| evaluator.rising(span, low, high, faults));
                let capacity = written.capacity.as_ref().map(|of| self.capacity(file, of, faults));
                // A dilution or a capacity at fault makes the whole statement worthless.
                made.measured_ph = match (ph, at, capacity) {
                    (_, Some(None), _) | (_, _, Some(None)) | (None, ..) => None,
                    (Some(ph), at, capacity) => Some(MeasuredPh { ph, at: at.flatten(), capacity: capacity.flatten() }),
                };
            }
            MaterialField::Density(density) => {
                let figure = want(density, "`density`", &[Dimension::Density], faults);
                if figure.as_ref().is_some_and(Exact::is_zero) {
                    faults.push(zero(place, "A density"));
                }
                let figure = figure.filter(|figure| !figure.is_zero());
                made.density = evaluator.within(&Bounds::density(), density.span(), figure, faults);
            }
            MaterialField::Price(breaks) => {
                for price in breaks {
                    for (quantity, what, wanted) in [
                        (&price.price, "A price", &[Dimension::Money][..]),
                        (&price.per, "`per`", &[Dimension::Mass, Dimension::Volume][..]),
                    ] {
                        if let Some(figure) =
                            evaluator.quantity(quantity).filter(|figure| !wanted.contains(&figure.dimension))
                        {
                            faults.push(evaluator.mismatch(quantity.span, what, wanted, figure.dimension));
                        }
                    }
                    if price.per.value.as_ref().is_some_and(Exact::is_zero) {
                        faults.push(zero(Place { file, span: price.per.span }, "A price for an amount"));
                    }
                    made.packs.extend(pack(&evaluator, price));
                }
            }
            MaterialField::Brings(brought) => made.brings = self.brought(id, brought, made, faults),
            MaterialField::Also(names) => made.also = names.iter().map(said).collect(),
            MaterialField::Does(doings) => made.does.clone_from(doings),
            MaterialField::Melts(range) => {
                let ends = evaluator.range(range, "`melts`", &[Dimension::Temperature], &mut names, faults);
                made.melts = evaluator.ends_within(&Bounds::temperature(), range, ends, faults);
            }
            MaterialField::Bears(borne, range) => {
                let ends = evaluator.range(range, "`bears`", &[Dimension::Percent], &mut names, faults);
                let ends = evaluator.ends_within(&Bounds::share(), range, ends, faults);
                made.bears.extend(ends.and_then(|range| range.high).map(|most| (*borne, most, place)));
            }
            MaterialField::TurnsRancid => made.turns_rancid = Some(place),
            MaterialField::Caution(text) => made.cautions.push(said(text)),
            MaterialField::Note(text) => made.notes.push(said(text)),
            MaterialField::Supplier(text) => made.supplier = Some(said(text)),
            MaterialField::Source(_) => {}
        }
    }

    /// The `contains` that a material has from one it is like, worked out with its own density.
    fn inherited_components(
        &self,
        id: DeclId,
        declared: &tree::Material,
        made: &mut Material,
        faults: &mut Vec<Diagnostic>,
    ) {
        let mut current = (id, declared);
        for _ in 0..MAX_LIKE {
            let (id, declared) = current;
            let Some(like) = &declared.like else { return };
            let found = match like.text == declared.name.text {
                true => self.scopes.find_used(id.file, NameSet::Weighable, &like.text),
                false => self.scopes.find(id.file, NameSet::Weighable, &like.text),
            };
            let Some(found) = found else { return };
            let Some(Item::Material(base)) = self.scopes.item(found) else { return };
            if base.facts.iter().any(|fact| matches!(fact.field, MaterialField::Contains(_))) {
                self.components(found, base, made, faults);
                return;
            }
            current = (found, base);
        }
    }

    /// `contains`, or the substance of the same name at 100 %.
    fn components(&self, id: DeclId, declared: &tree::Material, made: &mut Material, faults: &mut Vec<Diagnostic>) {
        let before = faults.len();
        made.contains.clear();
        made.traces.clear();
        made.in_order = false;
        made.undisclosed = Interval::zero();
        let written = declared.facts.iter().find_map(|fact| match &fact.field {
            MaterialField::Contains(components) => Some((components, fact.span)),
            _ => None,
        });
        match written {
            // A `contains` that did not parse is told of as that, and leaves the strength unknown.
            None if self.tore_contains(id, declared) => made.faulty = true,
            None => {
                if let Some(substance) = self.own_substance(id, declared, faults) {
                    let place = Self::place(id.file, &declared.name);
                    let strength = Interval::point(Exact::HUNDRED);
                    made.contains.push(Component {
                        substance,
                        strength,
                        undisclosed: false,
                        remainder: false,
                        active: false,
                        place,
                    });
                }
                made.faulty = made.contains.is_empty();
            }
            Some((components, span)) => {
                self.written_components(id, components, made, faults);
                made.in_order = components.iter().any(|component| matches!(component.strength, Strength::InOrder(..)));
                let unknown = components.len() != made.contains.len() + made.traces.len();
                if !unknown && made.contains.is_empty() {
                    faults.push(nothing_but_traces(Place { file: id.file, span }, &made.name));
                }
                made.faulty = unknown || faults.len() > before;
                if !made.faulty {
                    // A plan may have rounded its figures: what is over by no more than that is no fault.
                    let hair = if is_of_plan(id) { Exact::ratio(1, 1_000_000_000_000_000) } else { Exact::ZERO };
                    close(Place { file: id.file, span }, components, &hair, made, faults);
                }
                made.faulty |= faults.len() > before;
            }
        }
    }

    fn tore_contains(&self, id: DeclId, declared: &tree::Material) -> bool {
        let text = self.sources.text(id.file);
        let opener = |span: &crate::diagnostic::Span| span.of(text).split_whitespace().next().unwrap_or("").to_string();
        declared
            .broken
            .iter()
            .any(|span| !crate::syntax::nearest(&opener(span), std::iter::once("contains")).is_empty())
    }

    /// What a whole has in it by nature: each a part of it that is no more than the whole.
    fn brought(
        &self,
        id: DeclId,
        components: &[tree::Component],
        made: &Material,
        faults: &mut Vec<Diagnostic>,
    ) -> Vec<Component> {
        let mut whole = Material { contains: Vec::new(), traces: Vec::new(), ..made.clone() };
        self.written_components(id, components, &mut whole, faults);
        let least: Exact = whole.contains.iter().map(|part| part.strength.low.clone()).sum();
        let first = components.first().zip(components.last());
        if let Some((first, last)) = first.filter(|_| least > Exact::HUNDRED) {
            let place = Place { file: id.file, span: first.span.to(last.span) };
            let message = format!("What `{}` brings adds to {least} %, more than the whole of it.", made.name);
            let help = "Check the figures against the supplier's papers.";
            faults.push(Diagnostic::new(Code::StrengthOver100, place, message).help(help));
        }
        whole.contains
    }

    /// The substance of a material's own name.
    fn own_substance(&self, id: DeclId, declared: &tree::Material, faults: &mut Vec<Diagnostic>) -> Option<DeclId> {
        let name = &declared.name;
        let found = self.scopes.find(id.file, NameSet::Substance, &name.text);
        match found {
            Some(found) => self.mark_used(found),
            None => faults.extend(self.unknown(id.file, NameSet::Substance, name).map(|fault| {
                let message = format!("`{}` does not say what it contains, and no substance has its name.", name.text);
                let help = format!(
                    "Write `contains …`, or declare the substance: `substance {} {{ inci \"…\" }}`.",
                    name.text
                );
                Diagnostic { message, fix: None, ..fault }.help(help)
            })),
        }
        found
    }

    fn written_components(
        &self,
        id: DeclId,
        components: &[tree::Component],
        made: &mut Material,
        faults: &mut Vec<Diagnostic>,
    ) {
        let mut met: Vec<(DeclId, Place)> = Vec::new();
        for component in components {
            let Some(substance) = self.look_up(id.file, NameSet::Substance, &component.substance, faults) else {
                continue;
            };
            let strength = match &component.strength {
                Strength::Figure(figure) => self.strength(id, figure, substance, made, faults).map(Interval::point),
                Strength::Range(low, high) => self.strength_range(id, low, high, substance, made, faults),
                Strength::Remainder(_) => Some(Interval::zero()),
                Strength::Undisclosed => Some(Interval::new(Exact::ZERO, Exact::HUNDRED)),
                Strength::InOrder(at, all) => Some(in_order(*at, *all)),
            };
            let Some(strength) = strength else { continue };
            let place = Place { file: id.file, span: component.span };
            let first = met.iter().find(|(known, _)| *known == substance);
            let twice = first.map(|(_, first)| {
                let message = format!("`{}` stands twice in this `contains`.", component.substance.text);
                Diagnostic::new(Code::HeaderTwice, place, message)
                    .and(*first, "it stands here first")
                    .help("Write each substance once, with its whole strength.")
            });
            met.push((substance, place));
            if let Some(fault) = twice {
                faults.push(fault);
                continue;
            }
            faults.extend(bounds::strength_fault(place, &strength));
            if let (Some(trace), Strength::Remainder(_)) = (component.trace, &component.strength) {
                faults.push(no_trace(Place { file: id.file, span: trace }));
                continue;
            }
            let list = if component.trace.is_some() { &mut made.traces } else { &mut made.contains };
            list.push(Component {
                substance,
                strength,
                undisclosed: matches!(component.strength, Strength::Undisclosed | Strength::InOrder(..)),
                remainder: matches!(component.strength, Strength::Remainder(_)),
                active: component.active.is_some(),
                place,
            });
        }
    }

    fn strength_range(
        &self,
        id: DeclId,
        low: &Expression,
        high: &Expression,
        substance: DeclId,
        made: &Material,
        faults: &mut Vec<Diagnostic>,
    ) -> Option<Interval> {
        // `85 to 90 %`: the unit of the upper end is the lower end's too.
        let low = match (low, high) {
            (Expression::Quantity(bare), Expression::Quantity(with)) if bare.unit == crate::quantity::Unit::None => {
                &Expression::Quantity(tree::Quantity { unit: with.unit, ..bare.clone() })
            }
            _ => low,
        };
        let low = self.strength(id, low, substance, made, faults)?;
        let high = self.strength(id, high, substance, made, faults)?;
        Some(if low <= high { Interval::new(low, high) } else { Interval::new(high, low) })
    }

    /// A strength in percent by weight, from whichever unit it is written in.
    fn strength(
        &self,
        id: DeclId,
        figure: &Expression,
        substance: DeclId,
        made: &Material,
        faults: &mut Vec<Diagnostic>,
    ) -> Option<Exact> {
        let evaluator = self.evaluator(id.file);
        let mut names = |name: &Name, faults: &mut Vec<Diagnostic>| self.figure_at_file_level(id.file, name, faults);
        let found = evaluator.evaluate(figure, &mut names, faults)?;
        let place = Place { file: id.file, span: figure.span() };
        let needs_density = || {
            Diagnostic::new(Code::DensityMissing, place, "A strength by volume needs the material's density.")
                .help("Add `density … g/mL` to the material.")
        };
        match found.dimension {
            Dimension::Percent => Some(found.value),
            // Grams in 100 mL, over the grams that 100 mL weigh.
            Dimension::PercentWeightInVolume => match &made.density {
                Some(density) => found.value.over(density),
                None => {
                    faults.push(needs_density());
                    None
                }
            },
            // mol/L times g/mol is grams in 1 L, which weighs 1000 times the density in g/mL: a tenth of it is percent.
            Dimension::Molarity => {
                let Some(density) = &made.density else {
                    faults.push(needs_density());
                    return None;
                };
                let Some(molar_mass) = self.substance(substance).and_then(|substance| substance.molar_mass.clone())
                else {
                    let fault = Diagnostic::new(
                        Code::StrengthMissing,
                        place,
                        "Moles per litre need the substance's molar mass.",
                    );
                    faults.push(fault.help("Add `molar-mass … g/mol` to the substance."));
                    return None;
                };
                (&found.value * &molar_mass).over(&(density * &Exact::whole(10)))
            }
            Dimension::PercentByVolume => self.by_volume(&found.value, substance, place, faults),
            other => {
                faults.push(evaluator.mismatch(figure.span(), "A strength", &[Dimension::Percent], other));
                None
            }
        }
    }

    /// Percent by volume of ethanol in water, from the shelf's table, straight between its rows.
    fn by_volume(
        &self,
        percent: &Exact,
        substance: DeclId,
        place: Place,
        faults: &mut Vec<Diagnostic>,
    ) -> Option<Exact> {
        let ethanol = self.substance(substance).is_some_and(|substance| substance.is_ethanol());
        if !ethanol {
            let fault = Diagnostic::new(Code::UnitMismatch, place, "`% v/v` is known for ethanol in water only.");
            faults.push(fault.help("Write the strength by weight, or `% w/v` with the material's density."));
            return None;
        }
        if let Some(fault) = bounds::strength_fault(place, &Interval::point(percent.clone())) {
            faults.push(fault);
            return None;
        }
        if *percent > Exact::HUNDRED {
            let message = format!("No strength by volume is over 100 %, and this is {percent} %.");
            faults.push(
                Diagnostic::new(Code::StrengthOver100, place, message)
                    .help("Check the figure against the supplier's papers."),
            );
            // Taken for pure, so that nothing else is told of it.
            return Some(Exact::HUNDRED);
        }
        shelf::ethanol_by_weight(percent)
    }
}

/// How much there can be of what stands at a place by weight: no more than its share with those before it, and of the
/// first no less than an even share.
fn in_order(at: u32, all: u32) -> Interval {
    let share = |of: u32| Exact::ratio(100, i64::from(of.max(1)));
    let least = if at == 1 { share(all) } else { Exact::ZERO };
    Interval::new(least, share(at))
}

fn no_trace(place: Place) -> Diagnostic {
    Diagnostic::new(Code::FigureImpossible, place, "What the others leave is no trace.")
        .help("Write how much of it there may be, such as `10 ppm trace`.")
}

fn nothing_but_traces(place: Place, name: &str) -> Diagnostic {
    let message = format!("`{name}` has nothing in it here but traces.");
    Diagnostic::new(Code::StrengthMissing, place, message)
        .help("Write what it is made of too: impurities are no part of the whole.")
}

/// Adds up what is written, gives the remainder what is left, and tells of more than 100 %.
/// By so much as `hair` more is none.
fn close(
    place: Place,
    components: &[tree::Component],
    hair: &Exact,
    made: &mut Material,
    faults: &mut Vec<Diagnostic>,
) {
    // All that it has is named, and none of them has a figure.
    if made.in_order {
        return;
    }
    let parts = components.iter().filter(|component| component.trace.is_none());
    let mut remainders =
        parts.enumerate().filter(|(_, component)| matches!(component.strength, Strength::Remainder(_)));
    let remainder = remainders.next().map(|(at, _)| at);
    if let Some((_, second)) = remainders.next() {
        let fault = Diagnostic::new(
            Code::HeaderTwice,
            Place { file: place.file, span: second.span },
            "`remainder` stands twice here.",
        );
        faults.push(fault.help("Only one component can be what the others leave."));
        return;
    }
    let sum = made.contains.iter().enumerate().filter(|(at, _)| Some(*at) != remainder);
    let (low, high) = sum.fold((Exact::ZERO, Exact::ZERO), |(low, high), (_, component)| {
        (&low + &component.strength.low, &high + &component.strength.high)
    });
    if low > &Exact::HUNDRED + hair {
        let over = &low - &Exact::HUNDRED;
        let message = format!("The strengths of `{}` add to {low} %, {over} % more than there is.", made.name);
        faults.push(
            Diagnostic::new(Code::StrengthOver100, place, message)
                .help("Check the figures against the supplier's papers."),
        );
        return;
    }
    let left = |of: &Exact| (&Exact::HUNDRED - of).max(Exact::ZERO);
    let left = Interval::new(left(&high), left(&low));
    match remainder.and_then(|at| made.contains.get_mut(at)) {
        Some(component) => component.strength = left,
        None => made.undisclosed = left,
    }
}

fn not_a_material(file: FileId, name: &Name) -> Diagnostic {
    let place = Place { file, span: name.span };
    Diagnostic::new(Code::NameUnknown, place, format!("`{}` is no material.", name.text))
        .help("`like` takes the fields of another material.")
}

/// Fields that may stand several times are many; the others are one each.
fn once(field: &MaterialField) -> FieldKind {
    match field {
        MaterialField::Price(_)
        | MaterialField::Avoid(_)
        | MaterialField::Caution(_)
        | MaterialField::Note(_)
        | MaterialField::Dissolves(_) => FieldKind::Many,
        MaterialField::Use(written) => FieldKind::Use(product_set(&written.products)),
        MaterialField::Bears(borne, _) => FieldKind::Bears(*borne),
        other => FieldKind::Material(discriminant(other)),
    }
}

/// The kinds of product as a set, whatever order they were written in.
fn product_set(products: &[Product]) -> u32 {
    products.iter().fold(0, |set, product| set | 1 << (*product as u32))
}

/// A field restated takes the place of all that was inherited under it.
fn forget(field: &MaterialField, made: &mut Material) {
    match field {
        MaterialField::Caution(_) => made.cautions.clear(),
        MaterialField::Note(_) => made.notes.clear(),
        MaterialField::Dissolves(_) => made.dissolves.clear(),
        MaterialField::Avoid(_) => made.avoids.clear(),
        MaterialField::Use(_) => made.usages.clear(),
        MaterialField::Price(_) => made.packs.clear(),
        MaterialField::Bears(..) => made.bears.clear(),
        _ => {}
    }
}

/// A pack and its price; none where a figure of it is at fault.
fn pack(evaluator: &Evaluator<'_>, written: &tree::PriceBreak) -> Option<Pack> {
    let price = evaluator.money(&written.price, "A price", &mut Vec::new())?;
    let amount = evaluator.quantity(&written.per).filter(|amount| amount.value.is_positive())?;
    let size = match amount.dimension {
        Dimension::Mass => Content::Grams(amount.value),
        Dimension::Volume => Content::Millilitres(amount.value),
        _ => return None,
    };
    let place = Place { file: evaluator.file, span: written.price.span.to(written.per.span) };
    Some(Pack { price, size, place })
}

fn blank(id: DeclId, declared: &tree::Material) -> Material {
    Material {
        id,
        name: declared.name.text.clone(),
        place: Place { file: id.file, span: declared.name.span },
        title: None,
        contains: Vec::new(),
        in_order: false,
        traces: Vec::new(),
        undisclosed: Interval::zero(),
        faulty: false,
        roles: Vec::new(),
        phase: None,
        usages: Vec::new(),
        works_in: None,
        stays_below: None,
        needs: None,
        dissolves: Vec::new(),
        hydrates: None,
        hlb: None,
        required_hlb: None,
        keeps: None,
        protects: Vec::new(),
        avoids: Vec::new(),
        brings: Vec::new(),
        also: Vec::new(),
        does: Vec::new(),
        melts: None,
        bears: Vec::new(),
        turns_rancid: None,
        density: None,
        measured_ph: None,
        cautions: Vec::new(),
        notes: Vec::new(),
        packs: Vec::new(),
        supplier: None,
        like: None,
        contains_from_shelf: false,
        stated: Vec::new(),
    }
}
