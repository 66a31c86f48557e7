//! Two versions of one formula held side by side: everything but the lines.

use super::change::{Change, ChangeKind, Value};
use super::lines::lines;
use super::meaning::{
    FindingMeaning, FormulaMeaning, LineMeaning, MaterialMeaning, NamedText, PartMeaning, PhaseMeaning,
};
use crate::quantity::Interval;
use similar::{DiffOp, capture_diff_slices};

/// A foreseen pH or dose that moves by less is the same to whoever reads a meter or a scale.
const SEEN: f64 = 0.01;

/// What changed from one version to another: first what was edited, then what follows, then what is told.
#[must_use]
pub fn changes(old: &FormulaMeaning, new: &FormulaMeaning) -> Vec<Change> {
    let mut all = Vec::new();
    if old.version != new.version {
        all.push(Change::new(ChangeKind::Version, "version").words(old.version.as_deref(), new.version.as_deref()));
    }
    all.extend(named(ChangeKind::Header, &old.header, &new.header));
    all.extend(named(ChangeKind::Cost, &old.paid, &new.paid));
    if old.window != new.window {
        all.push(Change::new(ChangeKind::PhWindow, "pH").words(old.window.as_deref(), new.window.as_deref()));
    }
    all.extend(phases(&old.phases, &new.phases));
    all.extend(lines(&old.lines, &new.lines));
    all.extend(materials(old, new));
    all.extend(named(ChangeKind::Rule, &old.demands, &new.demands));
    all.extend(warnings(&old.warnings, &new.warnings));
    all.extend(steps(&old.steps, &new.steps));
    all.extend(composition(old, new));
    all.extend(foreseen(old, new));
    all.extend(sold(old, new));
    all.extend(told(&old.told, &new.told));
    // Stable: what is alike keeps its order.
    all.sort_by_key(|change| change.follows);
    all
}

/// Things with names: those with the same name and side are held together, the first with the first.
fn named(kind: ChangeKind, old: &[NamedText], new: &[NamedText]) -> Vec<Change> {
    let mut all = Vec::new();
    let mut left: Vec<&NamedText> = old.iter().filter(|material| !new.contains(material)).collect();
    let change = |material: &NamedText| {
        let change = Change::new(kind, &material.what);
        material.about.iter().fold(change, |change, about| change.about(about))
    };
    for material in new.iter().filter(|material| !old.contains(material)) {
        let was = left.iter().position(|was| was.what == material.what && was.about == material.about);
        let was = was.map(|at| left.remove(at));
        all.push(change(material).words(was.map(|was| was.says.as_str()), Some(&material.says)));
    }
    all.extend(left.into_iter().map(|material| change(material).words(Some(&material.says), None)));
    all
}

fn phases(old: &[PhaseMeaning], new: &[PhaseMeaning]) -> Vec<Change> {
    let none = PhaseMeaning::default();
    let find = |all: &[PhaseMeaning], name: &str| all.iter().find(|phase| phase.name == name).cloned();
    let mut names: Vec<&str> = old.iter().chain(new).map(|phase| phase.name.as_str()).collect();
    let mut seen = rustc_hash::FxHashSet::default();
    names.retain(|name| seen.insert(*name));
    let mut all = Vec::new();
    for name in names {
        let (was, is) = (find(old, name).unwrap_or(none.clone()), find(new, name).unwrap_or(none.clone()));
        let change = |about: &str| Change::new(ChangeKind::Header, "phase").about(about).within(name);
        if was.title != is.title {
            all.push(change("title").words(was.title.as_deref(), is.title.as_deref()));
        }
        for (about, was, is) in [("heat to", &was.heat, &is.heat), ("cool to", &was.cool, &is.cool)] {
            if was != is {
                all.push(change(about).figures(was.as_ref(), is.as_ref(), "°C"));
            }
        }
    }
    all
}

/// The materials that both versions have: strengths, and other facts.
fn materials(old: &FormulaMeaning, new: &FormulaMeaning) -> Vec<Change> {
    let mut all: Vec<Change> = Vec::new();
    for (at, is) in new.materials.iter().enumerate() {
        // Two files may call two materials alike, one of them inside a premix: the first is held against the first.
        let alike = |one: &&MaterialMeaning| one.name == is.name;
        let number = new.materials.iter().take(at).filter(alike).count();
        let Some(was) = old.materials.iter().filter(alike).nth(number).filter(|was| *was != is) else { continue };
        for change in material(was, is) {
            // A substance that is in several materials is told of once.
            if !all.contains(&change) {
                all.push(change);
            }
        }
    }
    all
}

/// What changed in one material: strengths, and other facts.
#[must_use]
pub fn material(was: &MaterialMeaning, is: &MaterialMeaning) -> Vec<Change> {
    let mut all = strengths(&is.name, &was.parts, &is.parts);
    let brought = strengths(&is.name, &was.brings, &is.brings).into_iter();
    all.extend(brought.map(|change| Change { about: change.about.map(|name| format!("brings {name}")), ..change }));
    all.extend(premix(&is.name, &was.lines, &is.lines));
    all.extend(named(ChangeKind::Material, &was.facts, &is.facts));
    all
}

/// What changed in the components of a material.
fn strengths(material: &str, was: &[PartMeaning], is: &[PartMeaning]) -> Vec<Change> {
    let find = |all: &[PartMeaning], substance: &str| all.iter().find(|part| part.substance == substance).cloned();
    let gone = was.iter().filter(|part| find(is, &part.substance).is_none());
    let changed = is.iter().chain(gone).filter_map(|part| {
        let (before, now) = (find(was, &part.substance), find(is, &part.substance));
        strength(material, &part.substance, before.as_ref(), now.as_ref())
    });
    changed.collect()
}

/// What changed in how a premix is made. Where its lines stand is the premix's own affair.
fn premix(name: &str, was: &[LineMeaning], is: &[LineMeaning]) -> Vec<Change> {
    let amounts = lines(was, is).into_iter().filter(|change| {
        let of_amount = change.kind == ChangeKind::Adjuster && change.about.is_none();
        of_amount || matches!(change.kind, ChangeKind::LineAdded | ChangeKind::LineRemoved | ChangeKind::Amount)
    });
    let of_premix = |change: Change| Change {
        kind: ChangeKind::Material,
        about: Some(change.what),
        what: name.to_string(),
        phase: None,
        of_premix: true,
        old_position: None,
        new_position: None,
        ..change
    };
    amounts.map(of_premix).collect()
}

fn strength(
    material: &str,
    substance: &str,
    before: Option<&PartMeaning>,
    now: Option<&PartMeaning>,
) -> Option<Change> {
    let says = |part: &PartMeaning| match &part.strength {
        Some(strength) => Value::Range(strength.clone()),
        None => Value::Words("not disclosed".to_string()),
    };
    // What the others leave says nothing of its own.
    if [before, now].into_iter().flatten().all(|part| part.remainder) {
        return None;
    }
    let (old, new) = (before.map(says), now.map(says));
    let change = Change::new(ChangeKind::Strength, material).about(substance).ranges(None, None);
    (old != new).then_some(Change { old, new, ..change })
}

fn warnings(old: &[String], new: &[String]) -> Vec<Change> {
    let change = || Change::new(ChangeKind::Statement, "warning");
    let gone = old.iter().filter(|text| !new.contains(text)).map(|text| change().words(Some(text), None));
    let come = new.iter().filter(|text| !old.contains(text)).map(|text| change().words(None, Some(text)));
    gone.chain(come).collect()
}

fn steps(old: &[String], new: &[String]) -> Vec<Change> {
    let mut all = Vec::new();
    for difference in capture_diff_slices(similar::Algorithm::Myers, old, new) {
        let (was, is) = match difference {
            DiffOp::Equal { .. } => continue,
            other => (other.old_range(), other.new_range()),
        };
        let both = was.len().max(is.len());
        for number in 0..both {
            let before = (number < was.len()).then_some(was.start + number);
            let now = (number < is.len()).then_some(is.start + number);
            let text = |all: &'_ [String], at: Option<usize>| at.and_then(|at| all.get(at)).cloned();
            let position = |at: Option<usize>| at.map(|at| at + 1);
            let shown = position(now).or(position(before)).unwrap_or_default().to_string();
            let change = Change::new(ChangeKind::CommitStep, shown);
            let change = change.words(text(old, before).as_deref(), text(new, now).as_deref());
            all.push(change.positions(position(before), position(now)));
        }
    }
    all
}

fn composition(old: &FormulaMeaning, new: &FormulaMeaning) -> Vec<Change> {
    let share = |of: &FormulaMeaning, substance: &str| -> Option<Interval> {
        of.composition.iter().find(|(name, _)| name == substance).map(|(_, share)| share.clone())
    };
    let mut names: Vec<&str> = new.composition.iter().chain(&old.composition).map(|(name, _)| name.as_str()).collect();
    let mut seen = rustc_hash::FxHashSet::default();
    names.retain(|name| seen.insert(*name));
    let mut all = Vec::new();
    let mut tell = |name: &str, was: Option<Interval>, is: Option<Interval>| {
        if was != is {
            all.push(Change::new(ChangeKind::Composition, name).ranges(was.as_ref(), is.as_ref()).following(true));
        }
    };
    for name in names {
        tell(name, share(old, name), share(new, name));
    }
    tell("not disclosed", old.undisclosed.clone(), new.undisclosed.clone());
    all
}

fn foreseen(old: &FormulaMeaning, new: &FormulaMeaning) -> Vec<Change> {
    let mut all = Vec::new();
    let seen = |was: Option<f64>, is: Option<f64>| match (was, is) {
        (Some(was), Some(is)) => (was - is).abs() >= SEEN,
        (was, is) => was.is_some() != is.is_some(),
    };
    let text = |figure: Option<f64>| figure.map(|figure| format!("{figure:.2}"));
    let before = |of: &FormulaMeaning| of.foreseen.as_ref().and_then(|foreseen| foreseen.before);
    let (was, is) = (before(old), before(new));
    if seen(was, is) {
        let change = Change::new(ChangeKind::PredictedPh, "pH").about("before adjustment");
        all.push(change.words(text(was).as_deref(), text(is).as_deref()).following(true));
    }
    let dose = |of: &FormulaMeaning, name: &str| {
        let doses = of.foreseen.iter().flat_map(|foreseen| &foreseen.doses);
        doses.into_iter().find(|(material, _)| material == name).map(|(_, grams)| *grams)
    };
    for (name, is) in new.foreseen.iter().flat_map(|foreseen| &foreseen.doses) {
        let was = dose(old, name);
        if seen(was, Some(*is)) && was.is_some() {
            let change = Change::new(ChangeKind::Adjuster, name).about("foreseen for 100 g");
            let mut change = change.words(text(was).as_deref(), text(Some(*is)).as_deref()).following(true);
            change.unit = Some("g");
            all.push(change);
        }
    }
    all
}

/// What follows for the jar: cost and price, the declaration, what stands on it.
fn sold(old: &FormulaMeaning, new: &FormulaMeaning) -> Vec<Change> {
    let of = |side: &FormulaMeaning, kind: ChangeKind| -> Vec<NamedText> {
        side.sold.iter().filter(|sold| sold.kind == kind).map(|sold| sold.said.clone()).collect()
    };
    let kinds = [ChangeKind::Cost, ChangeKind::Declaration, ChangeKind::Statement];
    let changes = kinds.into_iter().flat_map(|kind| named(kind, &of(old, kind), &of(new, kind)));
    changes.map(|change| change.following(true)).collect()
}

/// Each code of each thing, and of what is named beside it, once for each time it is told: what has a fellow on the other
/// side is not spoken of.
fn told(old: &[FindingMeaning], new: &[FindingMeaning]) -> Vec<Change> {
    let mut left: Vec<&FindingMeaning> = old.iter().collect();
    let mut come: Vec<&FindingMeaning> = new.iter().collect();
    // The nearest fellow first, so that none is taken that another one is nearer to.
    let fellows: [fn(&FindingMeaning, &FindingMeaning) -> bool; 3] = [
        |was, is| was.message == is.message,
        |was, is| was.substances == is.substances,
        |was, is| was.substances.iter().any(|name| is.substances.contains(name)),
    ];
    for fellow in fellows {
        come.retain(|is| {
            let alike = |was: &&FindingMeaning| was.code == is.code && was.of == is.of && fellow(was, is);
            left.iter().position(alike).map(|at| left.remove(at)).is_none()
        });
    }
    let change = |kind, told: &FindingMeaning| {
        let change = Change::new(kind, &told.code).following(true);
        if told.of.is_empty() { change } else { change.about(&told.of) }
    };
    let gone = left.into_iter().map(|told| change(ChangeKind::DiagnosticGone, told).words(Some(&told.message), None));
    let come = come.into_iter().map(|told| change(ChangeKind::DiagnosticAdded, told).words(None, Some(&told.message)));
    gone.chain(come).collect()
}
