//! What goes into a batch, line by line, and which raw materials that is: by the formula, or by the record.

use crate::batch::{Setting, Weights};
use crate::model::{Batch, DeclId, Formula, Happened, Line, LineAmount, LineMaterial, Material};
use crate::quantity::Exact;
use crate::resolve::Resolver;
use crate::sheet::Plan;
use indexmap::IndexMap;
use rustc_hash::{FxBuildHasher, FxHashMap};
use smol_str::SmolStr;
use std::sync::Arc;

/// What a gram of something is made of.
#[derive(Clone, Debug, Default)]
pub(super) struct MadeOf {
    /// Each raw material, with its share of the gram.
    pub parts: Vec<(Arc<Material>, Exact)>,
    /// What is weighed to a pH within a premix: nobody knows how much of it that takes.
    pub at_bench: Vec<SmolStr>,
    /// What nobody declares, with its share of the gram.
    pub unknown: Vec<(SmolStr, Exact)>,
}

/// What goes in of a line.
#[derive(Clone, Debug)]
pub(super) struct GoesIn {
    pub name: SmolStr,
    pub title: Option<SmolStr>,
    pub is_premix: bool,
    /// In grams; none for what is weighed to the pH.
    pub grams: Option<Exact>,
    /// The same as the sheet prints it, where it does.
    pub printed: Option<Exact>,
    /// The most that may go in, of what is weighed to the pH; none where nothing says it.
    pub most: Option<Exact>,
    /// The number of the line that it comes out of, for what is weighed to the pH.
    pub from: Option<usize>,
    pub made: Arc<MadeOf>,
}

/// What goes in by a plan.
pub(super) fn by_plan(formula: &Formula, plan: &Plan) -> Vec<GoesIn> {
    let mut memo = FxHashMap::default();
    let of = |(line, weight): (&Line, &crate::sheet::PlanLine)| {
        let from = formula.reserve_of(line).filter(|_| line.amount == LineAmount::AtBench);
        let held = from.and_then(|at| plan.lines.get(at)?.held.as_ref());
        GoesIn {
            most: held.map(|held| held.held_back.clone()),
            from,
            printed: weight.printed.clone(),
            ..goes_in(&line.name, line.material.as_ref(), weight.exact.clone(), &mut memo)
        }
    };
    formula.lines.iter().zip(&plan.lines).map(of).collect()
}

/// What went in by a record, what was taken out of the beaker since counted too: in the order of the formula, and then
/// what is no line of it.
pub(super) fn by_record(resolver: &Resolver<'_>, setting: &Setting<'_>, batch: &Batch) -> Vec<GoesIn> {
    let lines = setting.formula.lines.iter().map(|line| (line.name.clone(), Exact::ZERO));
    let mut all: IndexMap<SmolStr, Exact, FxBuildHasher> = lines.collect();
    let mut put = |name: &SmolStr, grams: &Exact| {
        let have = all.entry(name.clone()).or_insert(Exact::ZERO);
        *have = &*have + grams;
    };
    let mut beaker = Weights::default();
    for event in &batch.events {
        match &event.what {
            Happened::Weighed(material, grams) | Happened::Added(material, grams, _) => put(&material.text, grams),
            Happened::ToppedUp { material, grams: Some(grams), .. } => put(&material.text, grams),
            // Only the scale was read: at least what the beaker was short of went in.
            Happened::ToppedUp { material, to: Some(to), .. } => {
                let more = to - &beaker.total();
                put(&material.text, &more.max(Exact::ZERO));
            }
            _ => {}
        }
        let _ = beaker.take(&event.what);
    }
    let names = setting.resolver(resolver);
    let mut memo = FxHashMap::default();
    let weighed = all.into_iter().filter(|(_, grams)| !grams.is_zero());
    weighed
        .map(|(name, grams)| {
            let thing = names.weighs_out(batch.id.file, &name);
            goes_in(&name, thing.as_ref(), Some(grams), &mut memo)
        })
        .collect()
}

fn goes_in(name: &SmolStr, thing: Option<&LineMaterial>, grams: Option<Exact>, memo: &mut Memo) -> GoesIn {
    let title = match thing {
        Some(LineMaterial::Material(material)) => material.title.clone(),
        Some(LineMaterial::Premix(premix)) => premix.title.clone(),
        None => None,
    };
    GoesIn {
        name: name.clone(),
        title,
        is_premix: matches!(thing, Some(LineMaterial::Premix(_))),
        grams,
        printed: None,
        most: None,
        from: None,
        made: made_of(name, thing, memo),
    }
}

/// What each premix met so far is made of.
type Memo = FxHashMap<DeclId, Arc<MadeOf>>;

/// What a gram of a thing is made of. Premixes stand one in the other no deeper than `MAX_CHAIN`, and each is looked
/// into once.
fn made_of(name: &SmolStr, thing: Option<&LineMaterial>, memo: &mut Memo) -> Arc<MadeOf> {
    match thing {
        Some(LineMaterial::Material(material)) => {
            Arc::new(MadeOf { parts: vec![(Arc::clone(material), Exact::ONE)], ..MadeOf::default() })
        }
        Some(LineMaterial::Premix(premix)) => {
            if let Some(known) = memo.get(&premix.id) {
                return Arc::clone(known);
            }
            let made = Arc::new(premix_made_of(premix, memo));
            memo.insert(premix.id, Arc::clone(&made));
            made
        }
        None => Arc::new(MadeOf { unknown: vec![(name.clone(), Exact::ONE)], ..MadeOf::default() }),
    }
}

fn premix_made_of(premix: &Formula, memo: &mut Memo) -> MadeOf {
    let mut parts: IndexMap<DeclId, (Arc<Material>, Exact), FxBuildHasher> = IndexMap::default();
    let mut made = MadeOf::default();
    for line in &premix.lines {
        let Some(percent) = &line.percent else {
            made.at_bench.push(line.name.clone());
            continue;
        };
        let share = percent.hundredth();
        let inner = made_of(&line.name, line.material.as_ref(), memo);
        for (material, part) in &inner.parts {
            let known = parts.entry(material.id).or_insert_with(|| (Arc::clone(material), Exact::ZERO));
            known.1 = &known.1 + &(part * &share);
        }
        made.at_bench.extend(inner.at_bench.iter().cloned());
        made.unknown.extend(inner.unknown.iter().map(|(name, part)| (name.clone(), part * &share)));
    }
    made.parts = parts.into_values().collect();
    made
}
