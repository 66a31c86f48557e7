//! A formula out of the plan that was frozen into a record: the record stands alone when the formula has moved on.
//!
//! What the plan says goes before all else: a material, premix or substance of a name that it declares is what it was
//! then, whatever became of the one in the files. What it does not declare was the shelf's. Only a plan that an older
//! program froze may name what neither has: that is looked up where it is still declared.

use super::plan_names::PlanNames;
use super::{NameSet, Resolved, Resolver, graph};
use crate::diagnostic::{Code, Diagnostic};
use crate::model::{
    Batch, Composition, DeclId, Formula, FrozenLine, FrozenPlan, FrozenTarget, HeldBack, Line, LineAmount, Phase,
    Steps, Target,
};
use crate::quantity::Exact;
use crate::syntax::tree::{Item, Name};
use rustc_hash::{FxHashMap, FxHashSet};
use smol_str::SmolStr;
use std::sync::Arc;

impl<'s> Resolver<'s> {
    /// The formula of the plan frozen into a batch, as its lots were measured, and the names as the plan has them. None
    /// where there is no plan, or a percentage of it is not known.
    #[must_use]
    pub fn frozen_formula(&self, batch: &Batch) -> Option<(Resolver<'s>, Formula)> {
        let plan = batch.plan.as_ref()?;
        if !plan.is_complete() {
            return None;
        }
        let nominal = self.with_plan(batch.id)?;
        nominal.make_premixes(plan, None);
        nominal.make_named(batch);
        let assays = nominal.assays(batch);
        if assays.is_empty() {
            let formula = nominal.formula_of_plan(batch, plan, None);
            return Some((nominal, formula));
        }
        let assayed = self.with_plan(batch.id)?;
        for (id, material) in assays {
            assayed.made.materials.put(id, Some(Arc::new(material)));
        }
        assayed.make_premixes(plan, Some(&nominal));
        assayed.make_named(batch);
        let formula = assayed.formula_of_plan(batch, plan, Some(&nominal));
        Some((assayed, formula))
    }

    /// The names of the session with those of the batch's plan before them; none where it has no plan.
    #[must_use]
    pub fn with_plan(&self, batch: DeclId) -> Option<Resolver<'s>> {
        let Some(Item::Batch(declared)) = self.scopes.item(batch) else { return None };
        Some(self.with_own_names(Some(PlanNames::new(batch.file, declared.plan()?))))
    }

    /// Looks at what the plan of a batch declares, for the sake of its faults. A name that is unknown is none of them: a
    /// plan that an older program froze may outlive what it names.
    pub(super) fn check_plan(&self, batch: DeclId, faults: &mut Vec<Diagnostic>) {
        // Of what does not parse, that is told, and no more.
        let is_sound =
            matches!(self.scopes.item(batch), Some(Item::Batch(of)) if of.plan().is_some_and(|plan| !plan.is_faulty));
        let Some(names) = self.with_plan(batch).filter(|_| is_sound) else { return };
        let mut found = Vec::new();
        for id in names.scopes.declared_in_plan() {
            names.check_substance(id, &mut found);
            names.check_material(id, &mut found);
        }
        faults.extend(found.into_iter().filter(|fault| fault.code != Code::NameUnknown));
    }

    /// Makes every premix of a plan after those within it. One that is in itself stays unknown.
    fn make_premixes(&self, plan: &FrozenPlan, nominal: Option<&Resolver<'_>>) {
        let numbers = plan.premixes.iter().enumerate().map(|(number, premix)| (premix.id, number));
        let numbers: FxHashMap<DeclId, usize> = numbers.collect();
        let below = |number: usize| -> Vec<usize> {
            let lines = plan.premixes.get(number).map(|premix| premix.lines.as_slice()).unwrap_or_default();
            let found = lines
                .iter()
                .filter_map(|line| self.scopes.find(line.material.place.file, NameSet::Weighable, &line.material.text));
            found.filter_map(|id| numbers.get(&id).copied()).collect()
        };
        let order = graph::order(0..plan.premixes.len(), below);
        let ringed: FxHashSet<usize> = order.rings.into_iter().flatten().collect();
        let sound = order.sorted.iter().filter(|number| !ringed.contains(number));
        for premix in sound.filter_map(|number| plan.premixes.get(*number)) {
            let lines = self.lines_of_plan(&premix.lines, nominal);
            let formula = Formula {
                title: premix.title.clone(),
                composition: composition(&lines),
                lines,
                ..Formula::bare(premix.id, premix.name.text.clone(), premix.name.place)
            };
            self.formulas.put(premix.id, Arc::new(Resolved { formula: Arc::new(formula), faults: Vec::new() }));
        }
    }

    fn formula_of_plan(&self, batch: &Batch, plan: &FrozenPlan, nominal: Option<&Resolver<'_>>) -> Formula {
        let mut lines = self.lines_of_plan(&plan.lines, nominal);
        let phases: Vec<Phase> = match plan.phases.is_empty() {
            false => plan.phases.clone(),
            true => {
                // An older plan keeps the order of the lines alone: what stands after the adjuster comes after it.
                let adjuster = plan.lines.iter().rposition(|line| line.at_bench);
                for (number, line) in lines.iter_mut().enumerate() {
                    line.phase = usize::from(adjuster.is_some_and(|adjuster| number > adjuster));
                }
                ["A", "B"].map(unopened).to_vec()
            }
        };
        let named = batch.formula.as_ref();
        let name = named.map_or_else(|| batch.name.clone(), |named| named.text.clone());
        Formula {
            title: plan.title.clone(),
            version: batch.version.as_ref().map(|version| version.text.clone()).or_else(|| plan.version.clone()),
            products: plan.products.clone(),
            markets: plan.markets.clone(),
            density: plan.density.clone(),
            scales: plan.scales.clone(),
            meter: plan.meter.clone(),
            window: plan.window.clone(),
            phases,
            steps: (!plan.steps.is_empty()).then(|| Steps { steps: plan.steps.clone(), renames: Vec::new() }),
            composition: composition(&lines),
            lines,
            ..Formula::bare(batch.id, name, named.map_or(batch.place, |named| named.place))
        }
    }

    /// Lines as the plan has them. Where lots were measured, what was asked for by a strength follows it, against that
    /// of `nominal`, and the line that fills up makes up for that.
    fn lines_of_plan(&self, frozen: &[FrozenLine], nominal: Option<&Resolver<'_>>) -> Vec<Line> {
        let mut lines: Vec<Line> = frozen.iter().map(|line| self.line_of_plan(line)).collect();
        let mut moved = Exact::ZERO;
        for (line, frozen) in lines.iter_mut().zip(frozen) {
            line.target = frozen.by.as_ref().and_then(|by| self.target_of(by, line)).map(Box::new);
            let was = nominal.zip(frozen.by.as_ref());
            let was = was.and_then(|(nominal, by)| nominal.target_of(by, &nominal.line_of_plan(frozen)));
            if let (Some(now), Some(was), Some(percent)) = (&line.target, was, &line.percent)
                && let Some(follows) = (percent * &was.strength.middle()).over(&now.strength.middle())
            {
                moved = &moved + &(&follows - percent);
                set_percent(line, follows);
            }
        }
        for (line, frozen) in lines.iter_mut().zip(frozen) {
            if let Some(percent) = line.percent.as_ref().filter(|_| frozen.fills) {
                line.percent = Some(percent - &moved);
            }
        }
        lines
    }

    fn target_of(&self, by: &FrozenTarget, line: &Line) -> Option<Target> {
        let mut unheard = Vec::new();
        match by {
            FrozenTarget::Active => self.active_strength(line, line.place, &mut unheard),
            FrozenTarget::Of(substance) => {
                let name = Name { text: substance.text.clone(), span: substance.place.span };
                self.strength_of(line.place.file, &name, line, line.place, &mut unheard)
            }
        }
    }

    fn line_of_plan(&self, line: &FrozenLine) -> Line {
        let place = line.material.place;
        let amount = match &line.percent {
            _ if line.at_bench => LineAmount::AtBench,
            _ if line.fills => LineAmount::QuantumSatis,
            Some(percent) => LineAmount::Percent(percent.clone()),
            None => LineAmount::Unknown,
        };
        let written = match &line.percent {
            Some(percent) => format!("{} %", percent.to_significant(10)),
            None => "q.s. to pH".to_string(),
        };
        Line {
            name: line.material.text.clone(),
            place,
            whole: place,
            amount_place: place,
            mark: place,
            phase: line.phase.unwrap_or(0),
            material: self.weighs_out(place.file, &line.material.text),
            written: written.into(),
            asked: line.percent.clone(),
            uses: Vec::new(),
            amount,
            target: None,
            percent: line.percent.clone().filter(|_| !line.at_bench),
            hold_back: line.held_back.clone().map(|held| {
                Box::new(HeldBack {
                    written: format!("{} %", held.to_significant(10)),
                    percent: Some(held),
                    grams: None,
                    place,
                })
            }),
            from: line.from.clone().map(|from| Box::new((from, place))),
            titrated: line.titrated.clone().map(Box::new),
            because: None,
            faulty: false,
            near: Vec::new(),
        }
    }
}

fn set_percent(line: &mut Line, percent: Exact) {
    line.written = format!("{} %", percent.to_significant(10)).into();
    line.asked = Some(percent.clone());
    line.amount = LineAmount::Percent(percent.clone());
    line.percent = Some(percent);
}

/// A phase that opens with no temperature.
fn unopened(name: &'static str) -> Phase {
    Phase { name: SmolStr::new_static(name), title: None, heat: None, cool: None, heat_at_fault: false }
}

/// What lines come to; none where a figure outgrows what is carried on, as a plan that nobody froze could have it.
fn composition(lines: &[Line]) -> Option<Composition> {
    let mut all = Composition::default();
    for line in lines {
        let Some(percent) = &line.percent else { continue };
        if line.material.as_ref().is_some_and(|material| !material.put_into(&mut all, percent)) {
            return None;
        }
    }
    (!all.is_oversized()).then_some(all)
}
