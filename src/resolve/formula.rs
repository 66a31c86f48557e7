//! A formula made: every name looked up, every amount brought to a percentage, the composition added up.

use super::amounts::Figures;
use super::definition::{Definition, LineDef, MAX_CHAIN};
use super::name_set::NameSet;
use super::resolver::with_uses;
use super::ring::ring_fault;
use super::{Bounds, Resolved, Resolver, graph};
use crate::diagnostic::{Code, Diagnostic, Place, Sureness};
use crate::model::{
    Allowance, Basis, Composition, DeclId, Formula, HeaderLine, HeldBack, Line, LineAmount, LineMaterial, MakesSize,
    Phase, Scale, Step, Steps,
};
use crate::quantity::{Dimension, Exact};
use crate::syntax::tree::{FormulaStatement, Item, Name, PhaseStatement, Text, VariantStatement};
use crate::syntax::{RESERVED, nearest, nearest_of, reserved};
use rayon::prelude::*;
use rustc_hash::{FxHashMap, FxHashSet};
use smol_str::SmolStr;
use std::sync::Arc;

/// Formulas made at once are worth several threads from here on.
const WORTH_THREADS: usize = 64;

impl<'s> Resolver<'s> {
    /// Makes the formulas asked for and everything they rest on, each after its bases and premixes. Rings are told
    /// of whole; what is in one is not made.
    pub fn formulas(&self, wanted: &[DeclId], faults: &mut Vec<Diagnostic>) -> Vec<Arc<Resolved>> {
        // What is known already needs nothing to be made before it.
        let below = |id| if self.formulas.get(id).is_some() { Vec::new() } else { self.formulas_below(id) };
        let order = graph::order(wanted.iter().copied(), below);
        let mut ringed: FxHashSet<DeclId> = FxHashSet::default();
        for ring in &order.rings {
            let places: Vec<Place> = ring.iter().filter_map(|id| self.scopes.name_place(*id)).collect();
            let text = |place| self.sources.at(place).to_string();
            let what =
                if ring.len() == 1 { "This formula is in itself" } else { "Formulas are in each other in a ring" };
            faults.extend(
                ring_fault(Code::FormulaCycle, what, &places, text)
                    .map(|fault| fault.help("Take one of them out of the other.")),
            );
            ringed.extend(ring.iter().copied());
            ring.iter().for_each(|id| self.mark_names_used(*id));
        }
        let mut definitions: FxHashMap<DeclId, Definition<'s>> = FxHashMap::default();
        let needed: FxHashSet<DeclId> = order.sorted.iter().flat_map(|id| below(*id)).collect();
        let mut leaves = Vec::new();
        for id in &order.sorted {
            if ringed.contains(id) || self.formulas.get(*id).is_some() {
                continue;
            }
            if needed.contains(id) || self.base_of(*id).is_some() {
                self.make_formula(*id, &mut definitions, true);
            } else {
                leaves.push(*id);
            }
        }
        if leaves.len() >= WORTH_THREADS {
            leaves.par_iter().for_each(|id| self.make_formula(*id, &mut FxHashMap::default(), false));
        } else {
            leaves.iter().for_each(|id| self.make_formula(*id, &mut definitions, false));
        }
        wanted.iter().filter_map(|id| self.formulas.get(*id)).collect()
    }

    /// A formula that has been made.
    #[must_use]
    pub fn formula(&self, id: DeclId) -> Option<Arc<Resolved>> {
        self.formulas.get(id)
    }

    /// The formula a variant is of.
    pub(super) fn base_of(&self, id: DeclId) -> Option<DeclId> {
        let Some(Item::Variant(variant)) = self.scopes.item(id) else { return None };
        let base = self.scopes.find(id.file, NameSet::Weighable, &variant.base.text)?;
        self.is_formula(base).then_some(base)
    }

    fn is_formula(&self, id: DeclId) -> bool {
        matches!(self.scopes.item(id), Some(Item::Formula(_) | Item::Variant(_)))
    }

    /// The names that a formula's lines begin with, and the base of a variant.
    fn names_of(&self, id: DeclId) -> Vec<&'s Name> {
        let mut names: Vec<&'s Name> = Vec::new();
        let line = |statement: &'s PhaseStatement| match statement {
            PhaseStatement::Line(line) => Some(&line.material),
            _ => None,
        };
        match self.scopes.item(id) {
            Some(Item::Formula(formula)) => {
                for statement in &formula.statements {
                    if let FormulaStatement::Phase(phase) = statement {
                        names.extend(phase.statements.iter().filter_map(line));
                    }
                }
            }
            Some(Item::Variant(variant)) => {
                names.push(&variant.base);
                for statement in &variant.statements {
                    match statement {
                        VariantStatement::Swap { new, .. } => names.push(new),
                        VariantStatement::Phase(phase) => names.extend(phase.statements.iter().filter_map(line)),
                        _ => {}
                    }
                }
            }
            _ => {}
        }
        names
    }

    /// The formulas that a formula's lines name, and the base of a variant.
    fn formulas_below(&self, id: DeclId) -> Vec<DeclId> {
        let names = self.names_of(id);
        let found = names.iter().filter_map(|name| self.scopes.find(id.file, NameSet::Weighable, &name.text));
        let mut below: Vec<DeclId> = found.filter(|id| self.is_formula(*id)).collect();
        below.sort_unstable();
        below.dedup();
        below
    }

    /// What a formula names counts as used, also where the formula itself cannot be made.
    fn mark_names_used(&self, id: DeclId) {
        for name in self.names_of(id) {
            if let Some(found) = self.scopes.find(id.file, NameSet::Weighable, &name.text) {
                self.mark_used(found);
            }
        }
    }

    fn make_formula(&self, id: DeclId, definitions: &mut FxHashMap<DeclId, Definition<'s>>, keep: bool) {
        let ((), uses) = with_uses(|| self.make(id, definitions, keep));
        self.uses_of_formulas.put(id, Arc::new(uses));
    }

    fn make(&self, id: DeclId, definitions: &mut FxHashMap<DeclId, Definition<'s>>, keep: bool) {
        let mut faults = Vec::new();
        let base = self.base_of(id);
        if let (None, Some(Item::Variant(variant))) = (base, self.scopes.item(id)) {
            self.no_base(id, &variant.base, &mut faults);
        }
        if let Some(base) = base {
            self.mark_used(base);
        }
        let Some(definition) = self.definition(id, base.and_then(|base| definitions.get(&base)), &mut faults) else {
            return;
        };
        let formula = Arc::new(self.work_out(&definition, &mut faults));
        self.formulas.put(id, Arc::new(Resolved { formula, faults }));
        if keep {
            definitions.insert(id, definition);
        }
    }

    /// The definition of a formula, made again with all that it is a variant of. What is wrong in it has been told.
    pub(super) fn definition_alone(&self, id: DeclId) -> Option<Definition<'s>> {
        let mut chain = vec![id];
        while let Some(base) = chain.last().and_then(|last| self.base_of(*last)) {
            if chain.contains(&base) {
                return None;
            }
            chain.push(base);
        }
        let mut unheard = Vec::new();
        let step = |made: Option<Definition<'s>>, id: DeclId| self.definition(id, made.as_ref(), &mut unheard);
        chain.into_iter().rev().fold(None, step)
    }

    /// The words of the statements that did not parse. What they name counts as used, and a header line that one of
    /// them seems to open is not told of as missing: the fault is told, and one is enough.
    fn tear(&self, definition: &Definition<'s>, formula: &mut Formula) {
        if definition.unbased {
            formula.header_at_fault.extend(HeaderLine::ALL);
        }
        for (file, span) in &definition.broken {
            let text = span.of(self.sources.text(*file));
            for word in text.split(|c: char| !c.is_ascii_alphanumeric() && c != '-').filter(|word| !word.is_empty()) {
                if let Some(id) = self.scopes.find(*file, NameSet::Weighable, word) {
                    self.mark_used(id);
                }
                formula.broken_words.push(word.into());
            }
            let opener = text.split_whitespace().next().unwrap_or("");
            let a_phase = !nearest(opener, ["phase", "steps"].into_iter()).is_empty();
            if text.contains('{') && !a_phase {
                // Some block: whatever the head lacks may stand in it.
                formula.header_at_fault.extend(HeaderLine::ALL);
                continue;
            }
            let header = HeaderLine::from_word(opener).or_else(|| {
                let near = nearest(opener, HeaderLine::ALL.into_iter().map(HeaderLine::word));
                HeaderLine::from_word(near.first()?)
            });
            formula.header_at_fault.extend(header);
        }
    }

    fn no_base(&self, id: DeclId, base: &Name, faults: &mut Vec<Diagnostic>) {
        match self.scopes.find(id.file, NameSet::Weighable, &base.text) {
            Some(_) => {
                let place = Self::place(id.file, base);
                let message = format!("`{}` is no formula, so nothing can be a variant of it.", base.text);
                faults.push(Diagnostic::new(Code::NameUnknown, place, message));
            }
            None => {
                let fault = self.unknown(id.file, NameSet::Weighable, base);
                let message = format!("There is no formula called `{}` here.", base.text);
                faults.extend(fault.map(|fault| Diagnostic { message, ..fault }));
            }
        }
    }

    fn work_out(&self, definition: &Definition<'s>, faults: &mut Vec<Diagnostic>) -> Formula {
        let mut formula = blank(definition);
        self.tear(definition, &mut formula);
        formula.own_span =
            self.scopes.item(definition.id).map(|item| Place { file: definition.id.file, span: item.span() });
        formula.lines = definition.lines.iter().map(|line| self.line(line, faults)).collect();
        limit_depth(&mut formula, faults);
        let mut figures = Figures::new(self, definition);
        figures.work_out(&mut formula.lines, faults);
        {
            let figures = std::cell::RefCell::new(&mut figures);
            let names = |file, name: &Name, faults: &mut Vec<Diagnostic>| {
                figures.borrow_mut().figure(file, name, usize::MAX, faults)
            };
            self.fill_header(definition, &mut formula, &names, faults);
        }
        self.phases(definition, &mut figures, &mut formula, faults);
        bring_to_percent(&mut formula, faults);
        self.hold_backs(definition, &mut figures, &mut formula, faults);
        self.compose(&mut formula, faults);
        formula.steps = steps(definition);
        formula.ensures = self.ensures(definition, &mut figures, &formula, faults);
        formula.allows = allowances(definition);
        formula.rests_on = self.rests_on(definition, &formula);
        let premixes = formula.lines.iter().filter_map(|line| match &line.material {
            Some(LineMaterial::Premix(premix)) => Some(premix.bases.clone()),
            _ => None,
        });
        let inherited: Vec<DeclId> = premixes.flatten().collect();
        formula.bases.extend(inherited);
        faults.extend(figures.unused_lets().map(|(file, name)| unused_let(Self::place(file, name), &name.text)));
        formula
    }

    fn line(&self, definition: &LineDef<'s>, faults: &mut Vec<Diagnostic>) -> Line {
        let place = Self::place(definition.file, &definition.name);
        let whole = Place { file: definition.file, span: definition.whole };
        let amount_place = definition.amount.map_or(whole, |(file, amount, _)| Place { file, span: amount.span });
        let own = amount_place.file == whole.file && whole.span.holds(amount_place.span);
        let mut line = Line {
            name: definition.name.text.clone(),
            place,
            whole,
            amount_place,
            mark: if own { amount_place } else { place },
            phase: definition.phase,
            material: None,
            written: SmolStr::default(),
            asked: None,
            uses: Vec::new(),
            amount: LineAmount::Unknown,
            target: None,
            percent: None,
            hold_back: None,
            from: definition.from.map(|(file, name, _)| Box::new((name.text.clone(), Self::place(file, name)))),
            titrated: None,
            because: definition.because.map(|text| text.value.clone()),
            faulty: definition.amount.is_none(),
            near: Vec::new(),
        };
        if let Some((file, amount, _)) = definition.amount {
            line.written = crate::syntax::amount_text(amount, self.sources.text(file)).into();
            line.material = self.material_of_line(definition, &mut line, faults);
        } else {
            let visible = self.scopes.may_be_meant(definition.file, NameSet::Weighable);
            line.near = nearest_of(&line.name, visible.iter()).into_iter().map(Into::into).collect();
        }
        line
    }

    /// What a line weighs out.
    fn material_of_line(
        &self,
        definition: &LineDef<'s>,
        line: &mut Line,
        faults: &mut Vec<Diagnostic>,
    ) -> Option<LineMaterial> {
        let (file, name) = (definition.file, &definition.name);
        let material = match self.scopes.find(file, NameSet::Weighable, &name.text) {
            Some(id) => {
                self.mark_used(id);
                match self.scopes.item(id) {
                    Some(Item::Material(_)) => self.material(id).map(LineMaterial::Material),
                    Some(Item::Formula(_) | Item::Variant(_)) => {
                        self.formulas.get(id).map(|resolved| LineMaterial::Premix(Arc::clone(&resolved.formula)))
                    }
                    _ => {
                        let message = format!("`{}` is a figure (a `let`), not something to weigh.", name.text);
                        faults.push(
                            Diagnostic::new(Code::NameUnknown, line.place, message)
                                .help("A line begins with a material or a formula."),
                        );
                        None
                    }
                }
            }
            None => {
                let visible = self.scopes.may_be_meant(file, NameSet::Weighable);
                let near = nearest_of(&name.text, visible.iter());
                line.near = near.iter().map(SmolStr::new).collect();
                // One that is declared is told of where it is declared.
                if RESERVED.contains(&name.text.as_str()) {
                    faults.push(reserved(line.place, &name.text));
                } else {
                    faults.extend(self.unknown_beside(file, NameSet::Weighable, name, &near));
                }
                None
            }
        };
        line.faulty |= material.is_none();
        material
    }

    fn phases(
        &self,
        definition: &Definition<'s>,
        figures: &mut Figures<'_, 's>,
        formula: &mut Formula,
        faults: &mut Vec<Diagnostic>,
    ) {
        for phase in &definition.phases {
            let written = phase.heat.is_some() as u8 + phase.cool.is_some() as u8;
            let mut temperature = |at: Option<(crate::diagnostic::FileId, &'s crate::syntax::tree::Expression)>,
                                   what: &str| {
                let (file, expression) = at?;
                let figure = figures.evaluate(file, expression, usize::MAX, faults)?;
                if figure.dimension == Dimension::Temperature {
                    let (bounds, span) = (Bounds::temperature(), expression.span());
                    let celsius = self.evaluator(file).within(&bounds, span, Some(figure.value), faults)?;
                    return Some((celsius, Place { file, span }));
                }
                faults.push(self.evaluator(file).mismatch(
                    expression.span(),
                    what,
                    &[Dimension::Temperature],
                    figure.dimension,
                ));
                None
            };
            let heat = temperature(phase.heat, "`heat to`");
            let cool = temperature(phase.cool, "`cool to`");
            formula.phases.push(Phase {
                name: phase.name.clone(),
                title: phase.title.map(|title| title.value.clone()),
                heat_at_fault: heat.is_some() as u8 + cool.is_some() as u8 != written,
                heat,
                cool,
            });
        }
    }

    fn hold_backs(
        &self,
        definition: &Definition<'s>,
        figures: &mut Figures<'_, 's>,
        formula: &mut Formula,
        faults: &mut Vec<Diagnostic>,
    ) {
        // A weight held back stands against the formula's own batch, brought to whole steps.
        let batch = own_batch(formula);
        for (line, definition_line) in formula.lines.iter_mut().zip(&definition.lines) {
            if let Some((_, place)) =
                line.from.as_deref().filter(|_| !matches!(line.amount, LineAmount::AtBench | LineAmount::Unknown))
            {
                let message = format!("`{}` has an amount of its own, so it comes `from` nothing.", line.name);
                let fault = Diagnostic::new(Code::Syntax, *place, message);
                faults.push(fault.help("`from` says out of which line a `q.s. to pH` line comes."));
            }
            if let Some((name, _)) = line.from.as_deref_mut() {
                let written_at = definition_line.from.map_or(0, |(_, _, at)| at);
                *name = definition.current(name, written_at);
            }
            line.titrated = self.titrated(line, definition_line, faults).map(Box::new);
            let Some((file, expression, span, written_at)) = definition_line.hold_back else { continue };
            let place = Place { file, span };
            let Some(figure) = figures.evaluate(file, expression, written_at, faults) else {
                formula.total_known = false;
                continue;
            };
            let (percent, grams) = match figure.dimension {
                Dimension::Percent => (Some(figure.value.clone()), None),
                Dimension::Mass => {
                    let share = batch.as_ref().and_then(|batch| (&figure.value * &Exact::HUNDRED).over(batch));
                    (share, Some(figure.value.clone()))
                }
                other => {
                    let wanted = [Dimension::Percent, Dimension::Mass];
                    faults.push(self.evaluator(file).mismatch(expression.span(), "`hold back`", &wanted, other));
                    formula.total_known = false;
                    continue;
                }
            };
            if figure.value.is_zero() || figure.value.is_negative() {
                let (code, what) = if figure.value.is_zero() {
                    (Code::AmountZero, "nought")
                } else {
                    (Code::AmountNegative, "less than nothing")
                };
                faults.push(
                    Diagnostic::new(code, place, format!("`{}` holds back {what}.", line.name))
                        .help("Write how much waits, or take `hold back` out."),
                );
                formula.total_known = false;
                continue;
            }
            let written = crate::syntax::expression_text(expression, self.sources.text(file));
            line.hold_back = Some(Box::new(HeldBack { percent, grams, written, place }));
        }
    }

    /// Adds the composition up, without adjuster.
    fn compose(&self, formula: &mut Formula, faults: &mut Vec<Diagnostic>) {
        if !formula.total_known {
            return;
        }
        let mut composition = Composition::default();
        for line in &formula.lines {
            let Some(percent) = &line.percent else { continue };
            let known = match &line.material {
                Some(LineMaterial::Material(material)) if material.faulty => false,
                Some(material) => material.put_into(&mut composition, percent),
                None => false,
            };
            if !known {
                return;
            }
        }
        if composition.is_oversized() {
            let message = format!("The figures of `{}` grow past what can be carried exactly.", formula.name);
            let fault = Diagnostic::new(Code::NumberTooLong, formula.place, message);
            faults.push(fault.help("Premixes of premixes multiply their digits: write the inner ones with fewer."));
            return;
        }
        composition.parts.shrink_to_fit();
        composition.brought.shrink_to_fit();
        composition.traces.shrink_to_fit();
        formula.composition = Some(composition);
    }

    /// The declarations that a formula rests on, with all they rest on themselves.
    fn rests_on(&self, definition: &Definition<'s>, formula: &Formula) -> Vec<DeclId> {
        let mut all: Vec<DeclId> = vec![formula.id];
        all.extend(&definition.bases);
        for line in &formula.lines {
            match &line.material {
                Some(LineMaterial::Material(material)) => {
                    all.push(material.id);
                    let mut like = material.like;
                    while let Some(id) = like.filter(|id| !all.contains(id)) {
                        all.push(id);
                        like = self.material(id).and_then(|material| material.like);
                    }
                    all.extend(material.contains.iter().map(|component| component.substance));
                }
                Some(LineMaterial::Premix(premix)) => all.extend(&premix.rests_on),
                // A premix in a ring is not made: its fault bears all the same.
                None => all.extend(self.scopes.find(line.place.file, NameSet::Weighable, &line.name)),
            }
        }
        all.sort_unstable();
        all.dedup();
        all.shrink_to_fit();
        all
    }
}

fn steps(definition: &Definition<'_>) -> Option<Steps> {
    let (file, written, at) = definition.steps?;
    let step = |text: &Text| Step { text: text.value.clone(), place: Place { file, span: text.span } };
    let renames = definition.renames.get(at..).unwrap_or_default().to_vec();
    Some(Steps { steps: written.steps.iter().map(step).collect(), renames })
}

/// The note of a figure that nothing uses.
#[must_use]
pub fn unused_let(place: Place, name: &str) -> Diagnostic {
    Diagnostic::new(Code::LetUnused, place, format!("Nothing uses the figure `{name}`."))
        .help("Use it, or take it out.")
}

/// Counts how deep premixes stand in one another. One that is too deep is not looked into; it is told of where the
/// limit is passed, and no more above that.
fn limit_depth(formula: &mut Formula, faults: &mut Vec<Diagnostic>) {
    let depth_of = |line: &Line| match &line.material {
        Some(LineMaterial::Premix(premix)) => premix.depth + 1,
        _ => 0,
    };
    formula.depth = formula.lines.iter().map(depth_of).max().unwrap_or(0);
    // Where what is below has a fault of its own, that is told and this is not.
    let is_sound =
        |line: &Line| matches!(&line.material, Some(LineMaterial::Premix(premix)) if premix.composition.is_some());
    let passes_it = formula.depth == MAX_CHAIN + 1;
    for (at, line) in formula.lines.iter_mut().filter(|line| depth_of(line) > MAX_CHAIN).enumerate() {
        if passes_it && at == 0 && is_sound(line) {
            let message = format!("In `{}` premixes stand one in the other more than {MAX_CHAIN} deep.", line.name);
            let fault = Diagnostic::new(Code::ChainTooLong, line.place, message);
            faults.push(fault.help("Weigh its parts here, or make the premix of raw materials."));
        }
        line.material = None;
        line.faulty = true;
    }
}

fn blank(definition: &Definition<'_>) -> Formula {
    let place = Place { file: definition.id.file, span: definition.name.span };
    Formula {
        total_known: false,
        bases: definition.bases.clone(),
        incomplete: definition.incomplete,
        unbased: definition.unbased,
        removed: definition.removed.clone(),
        ..Formula::bare(definition.id, definition.name.text.clone(), place)
    }
}

fn allowances(definition: &Definition<'_>) -> Vec<Allowance> {
    definition
        .allows
        .iter()
        .map(|allow| Allowance {
            code: allow.allow.code.text.clone(),
            place: Place { file: allow.file, span: allow.allow.code.span },
            because: allow.allow.because.as_ref().map(|text| text.value.clone()),
            line: allow.line.and_then(|key| definition.lines.iter().position(|line| line.key == key)),
            stray: allow.stray,
        })
        .collect()
}

/// The basis of the amounts, the percentages, and whether the total may be spoken of.
fn bring_to_percent(formula: &mut Formula, faults: &mut Vec<Diagnostic>) {
    let written = |line: &Line| match line.amount {
        LineAmount::Percent(_) | LineAmount::QuantumSatis => Some(Basis::Percent),
        LineAmount::Weight(_) => Some(Basis::Weight),
        LineAmount::Parts(_) => Some(Basis::Parts),
        LineAmount::AtBench | LineAmount::Unknown => None,
    };
    let mut bases = formula.lines.iter().filter_map(|line| written(line).map(|basis| (basis, line)));
    if let Some((first, first_line)) = bases.next() {
        formula.basis = first;
        if let Some((other, line)) = bases.find(|(basis, _)| *basis != first) {
            formula.basis = Basis::Mixed;
            faults.push(mixed(formula, (first, first_line), (other, line)));
        }
    }
    let known = formula.lines.iter().all(|line| !line.faulty && line.amount != LineAmount::Unknown);
    let filling = formula.lines.iter().filter(|line| line.amount == LineAmount::QuantumSatis).count();
    if formula.incomplete || !known || filling > 1 || formula.basis == Basis::Mixed {
        percents_as_written(formula);
        return;
    }
    match formula.basis {
        Basis::Percent => percents(formula, filling == 1),
        _ => shares(formula),
    }
}

/// Where the total cannot be spoken of, the percentages written out are known all the same.
fn percents_as_written(formula: &mut Formula) {
    for line in &mut formula.lines {
        if let LineAmount::Percent(percent) = &line.amount {
            line.percent = Some(percent.clone());
        }
    }
}

fn percents(formula: &mut Formula, filled: bool) {
    percents_as_written(formula);
    let sum: Exact = formula.lines.iter().filter_map(|line| line.percent.as_ref()).sum();
    let left = &Exact::HUNDRED - &sum;
    formula.sum = Some(sum);
    let over = formula.lines.iter().any(|line| line.percent.as_ref().is_some_and(|percent| *percent > Exact::HUNDRED));
    formula.total_known = !over && (!filled || left.is_positive());
    if filled && left.is_positive() {
        for line in formula.lines.iter_mut().filter(|line| line.amount == LineAmount::QuantumSatis) {
            line.percent = Some(left.clone());
        }
    }
}

/// Weights and parts set proportions only.
fn shares(formula: &mut Formula) {
    let weight = |line: &Line| match &line.amount {
        LineAmount::Weight(value) | LineAmount::Parts(value) => Some(value.clone()),
        _ => None,
    };
    let total: Exact = formula.lines.iter().filter_map(weight).sum();
    for line in &mut formula.lines {
        line.percent = weight(line).and_then(|value| (&value * &Exact::HUNDRED).over(&total));
    }
    formula.sum = Some(Exact::HUNDRED);
    formula.total_known = total.is_positive();
}

fn mixed(formula: &Formula, (first, first_line): (Basis, &Line), (other, line): (Basis, &Line)) -> Diagnostic {
    let words = |basis: Basis, line: &Line| match basis {
        Basis::Weight => "by weight",
        Basis::Parts => "in parts",
        _ if line.amount == LineAmount::QuantumSatis => "as q.s., which goes with percentages",
        _ => "in percent",
    };
    let message = format!(
        "`{}` is written {}, and `{}` {}.",
        first_line.name,
        words(first, first_line),
        line.name,
        words(other, line)
    );
    let fault = Diagnostic::new(Code::MixedBasis, line.mark, message).and(first_line.mark, words(first, first_line));
    one_way(formula).map_or_else(
        || fault.clone().help("Write every line the same way; `makes` sets the weight of the batch."),
        |(place, amount, help)| fault.clone().help(help).fix(place, amount, Sureness::NeedsALook),
    )
}

/// The amount that would bring one line of a formula to the way the others are written, where the batch is known: a
/// weight among percentages as a percentage, and where all but what fills up is weighed, that as a weight.
fn one_way(formula: &Formula) -> Option<(Place, String, String)> {
    let batch = own_batch(formula)?;
    let is_filled = |line: &&Line| line.amount == LineAmount::QuantumSatis;
    let percents = formula.lines.iter().any(|line| matches!(line.amount, LineAmount::Percent(_)));
    let weights = || formula.lines.iter().filter_map(|line| Some((line, line.amount.weight()?)));
    if formula.lines.iter().any(|line| matches!(line.amount, LineAmount::Parts(_))) {
        return None;
    }
    let mut filled = formula.lines.iter().filter(is_filled);
    if !percents && let (Some(line), None) = (filled.next(), filled.next()) {
        let left = &batch - &weights().map(|(_, grams)| grams.clone()).sum::<Exact>();
        let help = format!("All else is weighed: of {batch} g there are `{left} g` left for `{}`.", line.name);
        return left.is_positive().then(|| (line.mark, format!("{left} g"), help));
    }
    let (line, grams) = weights().find(|(line, _)| line.target.is_none())?;
    let share = (grams * &Exact::HUNDRED).over(&batch)?;
    let share = share.to_significant(6);
    let help = format!("Write every line the same way: of {batch} g, {grams} g of `{}` is `{share} %`.", line.name);
    Some((line.mark, format!("{share} %"), help))
}

/// The batch of the formula itself in grams, brought to whole steps; for a formula by weight without `makes`, the
/// sum of its lines.
fn own_batch(formula: &Formula) -> Option<Exact> {
    let step = finest(&formula.scales);
    match &formula.makes {
        Some(makes) => batch_grams(makes, formula.density.as_ref(), &step),
        None if formula.basis == Basis::Weight => {
            let grams = formula.lines.iter().map(|line| match &line.amount {
                LineAmount::Weight(grams) => grams.clone(),
                _ => Exact::ZERO,
            });
            Some(grams.sum::<Exact>().to_step(&step)).filter(Exact::is_positive)
        }
        None => None,
    }
}

/// The finest step of some scales; 0.01 g where there are none.
#[must_use]
pub fn finest(scales: &[Scale]) -> Exact {
    scales.iter().map(|scale| scale.step.clone()).min().unwrap_or_else(|| Exact::ratio(1, 100))
}

/// A batch in grams, brought to whole steps: a weight half to even, containers up. None where a volume has no density.
#[must_use]
pub fn batch_grams(makes: &MakesSize, density: Option<&Exact>, step: &Exact) -> Option<Exact> {
    let each = match (&makes.grams, &makes.millilitres) {
        (Some(grams), _) => grams.clone(),
        (None, Some(millilitres)) => millilitres * density?,
        (None, None) => return None,
    };
    let count = makes.count.clone().unwrap_or(Exact::ONE);
    let plus = makes.plus.as_ref().map_or(Exact::ONE, |plus| &Exact::ONE + &plus.hundredth());
    let grams = &(&each * &count) * &plus;
    let containers = makes.count.is_some() || makes.millilitres.is_some();
    Some(if containers { grams.up_to_step(step) } else { grams.to_step(step) })
}
