//! A formula out of the plan that was frozen into a record: the record stands alone when the formula has moved on.

use super::Resolver;
use crate::model::{
    Basis, Batch, Composition, DeclId, Formula, FrozenLine, FrozenPlan, HeldBack, LabelFacts, Line, LineAmount, Phase,
    Thing,
};
use crate::quantity::Exact;
use crate::resolve::NameSet;
use smol_str::SmolStr;
use std::sync::Arc;

impl Resolver<'_> {
    /// The formula of the plan frozen into a batch; none where there is none, or a percentage of it is not known. What
    /// its materials are made of is looked up where they are still declared.
    #[must_use]
    pub fn frozen_formula(&self, batch: &Batch) -> Option<Formula> {
        let plan = batch.plan.as_ref()?;
        let percents = self.percents(batch, plan)?;
        // A plan keeps the order of the lines and not their phases: what stands after the adjuster comes after it.
        let adjuster = plan.lines.iter().rposition(|line| line.at_bench);
        let phase = |number: usize| usize::from(adjuster.is_some_and(|adjuster| number > adjuster));
        let lines = plan.lines.iter().zip(&percents).enumerate();
        let lines: Vec<Line> = lines
            .map(|(number, (line, percent))| Line { phase: phase(number), ..self.frozen(batch.id, line, percent) })
            .collect();
        let composition = composition(&lines);
        let named = batch.formula.as_ref();
        Some(Formula {
            id: batch.id,
            name: named.map_or_else(|| batch.name.clone(), |named| named.text.clone()),
            place: named.map_or(batch.place, |named| named.place),
            own_span: None,
            title: None,
            version: batch.version.as_ref().map(|version| version.text.clone()),
            products: Vec::new(),
            markets: Vec::new(),
            makes: None,
            density: None,
            scales: plan.scales.clone(),
            meter: plan.meter.clone(),
            window: plan.window.clone(),
            date: None,
            water_activity: None,
            warnings: Vec::new(),
            label: LabelFacts::default(),
            phases: ["A", "B"].map(phase_of).to_vec(),
            lines,
            basis: Basis::Percent,
            total_known: true,
            sum: None,
            composition: Some(composition),
            steps: None,
            ensures: Vec::new(),
            allows: Vec::new(),
            rests_on: Vec::new(),
            bases: Vec::new(),
            incomplete: false,
            unbased: false,
            header_at_fault: Vec::new(),
            torn_words: Vec::new(),
        })
    }

    /// The percentage of each line, none for what is weighed to the pH. Where a lot was measured, a line asked for by
    /// its active follows it, and the line that fills up makes up for that.
    fn percents(&self, batch: &Batch, plan: &FrozenPlan) -> Option<Vec<Option<Exact>>> {
        let mut percents = Vec::with_capacity(plan.lines.len());
        let mut moved = Exact::ZERO;
        for line in &plan.lines {
            let Some(frozen) = line.percent.clone() else {
                if !line.at_bench {
                    return None;
                }
                percents.push(None);
                continue;
            };
            let now = self.by_assay(batch, line, &frozen).unwrap_or_else(|| frozen.clone());
            moved = &moved + &(&now - &frozen);
            percents.push(Some(now));
        }
        for (line, percent) in plan.lines.iter().zip(&mut percents) {
            if line.fills {
                *percent = percent.as_ref().map(|filling| filling - &moved);
            }
        }
        Some(percents)
    }

    /// The percentage of a line asked for by its active, by the strength that its lot was measured at.
    fn by_assay(&self, batch: &Batch, line: &FrozenLine, frozen: &Exact) -> Option<Exact> {
        let lot = batch.lots.iter().find(|lot| lot.material.text == line.material.text && lot.assay.is_some())?;
        let assay = lot.assay.as_ref().filter(|_| line.active)?;
        let id = self.scopes.find(batch.id.file, NameSet::Thing, &line.material.text)?;
        let nominal = self.active_strength_of(self.material(id)?.as_ref())?;
        (frozen * &nominal).over(assay)
    }

    fn frozen(&self, batch: DeclId, line: &FrozenLine, percent: &Option<Exact>) -> Line {
        let place = line.material.place;
        let amount = match percent {
            _ if line.at_bench => LineAmount::AtBench,
            _ if line.fills => LineAmount::QuantumSatis,
            Some(percent) => LineAmount::Percent(percent.clone()),
            None => LineAmount::Unknown,
        };
        Line {
            name: line.material.text.clone(),
            place,
            whole: place,
            amount_place: place,
            mark: place,
            phase: 0,
            thing: self.thing_of(batch, &line.material.text),
            written: percent.as_ref().map_or_else(|| "q.s. to pH".to_string(), |percent| format!("{percent} %")),
            asked: percent.clone(),
            uses: Vec::new(),
            amount,
            target: None,
            percent: percent.clone(),
            hold_back: line.held_back.clone().map(|held| HeldBack {
                written: format!("{held} %"),
                percent: Some(held),
                grams: None,
                place,
            }),
            from: line.from.clone().map(|from| (from, place)),
            because: None,
            faulty: false,
            near: Vec::new(),
        }
    }

    /// What a name of a record weighs out, where it is still declared.
    fn thing_of(&self, batch: DeclId, name: &str) -> Option<Thing> {
        let id = self.scopes.find(batch.file, NameSet::Thing, name)?;
        match self.formula(id) {
            Some(premix) => Some(Thing::Premix(Arc::clone(&premix.formula))),
            None => self.material(id).map(Thing::Material),
        }
    }
}

fn phase_of(name: &'static str) -> Phase {
    Phase { name: SmolStr::new_static(name), title: None, heat: None, cool: None, heat_at_fault: false }
}

fn composition(lines: &[Line]) -> Composition {
    let mut all = Composition::default();
    for line in lines {
        let Some(percent) = &line.percent else { continue };
        match &line.thing {
            Some(Thing::Material(material)) => {
                let parts = material.contains.iter().map(|part| (part.substance, &part.strength));
                all.put(percent, parts, Some(&material.undisclosed));
            }
            Some(Thing::Premix(premix)) => {
                if let Some(inner) = &premix.composition {
                    all.put(percent, inner.parts.iter().map(|(id, share)| (*id, share)), inner.undisclosed.as_ref());
                }
            }
            None => {}
        }
    }
    all
}
