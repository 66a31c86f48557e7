//! A weight that is far from what is asked for: rather a slip of the pen than of the hand.

use crate::batch::{Do, Ledger, Setting, View};
use crate::diagnostic::FileId;
use crate::model;
use crate::quantity::{Dimension, Exact};
use crate::session::Report;
use crate::syntax::parse;
use crate::syntax::tree::{Batch, BatchEntry, Item, Quantity};

/// A weight far off.
pub struct OffPlan {
    /// The statement, as it would be struck.
    statement: String,
    /// The material.
    material: String,
    /// What is to be written down, in grams.
    grams: String,
    /// What it is held against.
    against: Against,
    /// Whether it is too little.
    too_little: bool,
    /// Whether no check tells of it by itself: of a line weighed in too little none does until the batch is filled, of an
    /// addition and a top-up none says how far they are from what was asked for.
    pub is_untold: bool,
}

/// What a weight is held against, in grams as they are printed.
enum Against {
    /// What is asked for now.
    Asked(String),
    /// What is left of the water held back.
    Left(String),
}

/// What a statement puts in.
enum PutIn {
    Weighed(Exact),
    /// Whether it is a correction, which gives its reason.
    Added(Exact, bool),
    ToppedUp {
        grams: Option<Exact>,
        to: Option<Exact>,
    },
}

impl OffPlan {
    /// What a statement puts in, where that is far off what is asked for: more than a fifth off what is still asked of a
    /// line; more than eight times what is to be added now, or more than all that is left for adjuster where nothing is; a fifth
    /// more than is still to be topped up, or than the whole is to weigh. None where it is not, or nobody knows what is
    /// asked. That so much is rather a slip is common practice, no source.
    #[must_use]
    pub fn of(report: &Report<'_>, batch: &Batch, statement: &str) -> Option<OffPlan> {
        let (material, put_in) = put_in(statement)?;
        let source = report.resolver.sources.files.first()?;
        let record = report.resolver.batches_of(source).into_iter().find(|record| record.name == batch.name.text)?;
        let setting = Setting::of(&report.resolver, &record)?;
        let ledger = Ledger::of(&setting.formula, &setting.plan, &record);
        match &put_in {
            PutIn::Weighed(grams) => weighed_off(&ledger, &material, grams),
            PutIn::Added(grams, is_correction) => {
                let known = Known { report, record: &record, setting: &setting, ledger: &ledger };
                added_off(&known, &material, grams, *is_correction)
            }
            PutIn::ToppedUp { grams, to } => topped_up_off(&ledger, &material, grams.as_ref(), to.as_ref()),
        }
    }

    /// As it is asked back.
    #[must_use]
    pub fn asked_back(&self) -> String {
        match &self.against {
            Against::Asked(asked) => format!("{} g for {asked} g: sure?", self.grams),
            Against::Left(left) => format!("{} g, and {left} g is left of what is held back: sure?", self.grams),
        }
    }

    /// As a question at a terminal.
    #[must_use]
    pub fn question(&self) -> String {
        format!("{} 1 yes, Enter alone no: ", self.asked_back())
    }

    /// As it is told where nobody can be asked.
    #[must_use]
    pub fn told(&self) -> String {
        let of = match &self.against {
            Against::Asked(asked) => format!("{} g of `{}` for {asked} g.", self.grams, self.material),
            Against::Left(left) => {
                format!("{} g of `{}`, and {left} g is left of what is held back.", self.grams, self.material)
            }
        };
        let slip = format!("`struck {} because \"typed wrong\"`", self.statement);
        match self.too_little {
            true => format!("{of} If there is more to come, go on; a slip is struck out: {slip}.\n"),
            false => format!("{of} A slip is struck out: {slip}.\n"),
        }
    }
}

/// A fifth of what is asked for, and no less than a step of the scale.
fn slack(asked: &Exact, step: &Exact) -> Exact {
    (asked * &Exact::ratio(1, 5)).max(step.clone())
}

fn weighed_off(ledger: &Ledger, material: &str, grams: &Exact) -> Option<OffPlan> {
    let line = ledger.lines.iter().find(|line| line.name == material && line.planned.is_some())?;
    let asked = line.missing();
    let off = grams - &asked;
    if off.abs() <= slack(&asked, &line.step) {
        return None;
    }
    let too_little = off.is_negative();
    let grams = ledger.grams(grams);
    Some(OffPlan {
        statement: format!("weighed {material} {grams} g"),
        material: material.to_string(),
        grams,
        against: Against::Asked(ledger.grams(&asked)),
        too_little,
        is_untold: too_little,
    })
}

/// A batch that is added to.
struct Known<'k, 's> {
    report: &'k Report<'s>,
    record: &'k model::Batch,
    setting: &'k Setting<'s>,
    ledger: &'k Ledger,
}

/// Less than is asked for is no slip: who adds in portions comes nearer.
fn added_off(known: &Known<'_, '_>, material: &str, grams: &Exact, is_correction: bool) -> Option<OffPlan> {
    /// So many steps more are no slip, however little is asked for.
    const STEPS: i64 = 5;
    /// So many times what is asked for is a point in the wrong place, and not a hand that was too quick: what went past the
    /// window is written down as it is.
    const TIMES: i64 = 8;
    let Known { report, record, setting, ledger } = *known;
    let view = View::of(&report.resolver, record)?;
    let steps = ledger.step_of(material) * &Exact::whole(STEPS);
    let is_asked = view.next.what == Do::Add && view.next.material.as_deref() == Some(material);
    let asked = view.next.grams.clone().filter(|_| is_asked);
    let (most, against) = if let Some(asked) = asked {
        let most = (&asked * &Exact::whole(TIMES)).max(&asked + &steps);
        (most, Against::Asked(ledger.grams(&asked)))
    } else {
        let is_adjuster = setting.formula.adjusters().any(|line| line.name == material);
        let left = ledger.reserve_of(material).filter(|_| is_adjuster && !is_correction)?.room();
        if !left.is_positive() {
            return None;
        }
        (&left + &steps, Against::Left(ledger.grams(&left)))
    };
    let is_far = *grams > most;
    let grams = ledger.grams(grams);
    is_far.then(|| OffPlan {
        statement: format!("added {material} {grams} g"),
        material: material.to_string(),
        grams,
        against,
        too_little: false,
        is_untold: true,
    })
}

/// By sum, more than is still to go in; less is a portion of it. By the scale, another weight of the whole.
fn topped_up_off(ledger: &Ledger, material: &str, grams: Option<&Exact>, to: Option<&Exact>) -> Option<OffPlan> {
    let whole = &ledger.whole() - &ledger.to_come();
    let off = |far: &Exact, asked: &Exact| {
        let printed = |part: Option<&Exact>, word: &str| {
            part.map(|part| format!("{word} {} g", ledger.grams(part))).unwrap_or_default()
        };
        OffPlan {
            statement: format!("topped-up {material}{}{}", printed(grams, ""), printed(to, " to")),
            material: material.to_string(),
            grams: ledger.grams(far),
            against: Against::Asked(ledger.grams(asked)),
            too_little: far < asked,
            is_untold: true,
        }
    };
    let is_whole_off = |to: &&Exact| whole.is_positive() && (*to - &whole).abs() > slack(&whole, &ledger.step);
    if let Some(to) = to.filter(is_whole_off) {
        return Some(off(to, &whole));
    }
    let grams = grams?;
    let (_, asked) = ledger.top_ups().into_iter().find(|(name, asked)| name == material && asked.is_positive())?;
    let slack = match ledger.top_up_to() {
        // What evaporated goes back too, and nobody knows how much that is: less than a fifth of the whole.
        Some(whole) if ledger.water.as_deref() == Some(material) => {
            slack(&asked, &ledger.step).max(&whole * &Exact::ratio(1, 5))
        }
        _ => slack(&asked, &ledger.step),
    };
    (*grams > &asked + &slack).then(|| off(grams, &asked))
}

/// The material of a statement that puts something in, and how much.
fn put_in(statement: &str) -> Option<(String, PutIn)> {
    let parsed = parse(FileId(u32::MAX), &format!("batch b {{\n{statement}\n}}\n"));
    let entry = match parsed.tree.items.into_iter().next()? {
        Item::Batch(batch) => batch.entries.into_iter().next()?.entry,
        _ => return None,
    };
    match entry {
        BatchEntry::Weighed(material, quantity) => {
            Some((material.text.to_string(), PutIn::Weighed(grams_of(quantity)?)))
        }
        BatchEntry::Added(material, quantity, because) => {
            Some((material.text.to_string(), PutIn::Added(grams_of(quantity)?, because.is_some())))
        }
        BatchEntry::ToppedUp { material, weight, to: true, .. } => {
            Some((material.text.to_string(), PutIn::ToppedUp { grams: None, to: Some(grams_of(weight)?) }))
        }
        BatchEntry::ToppedUp { material, weight, to: false, whole } => {
            let put_in = PutIn::ToppedUp { grams: Some(grams_of(weight)?), to: whole.and_then(grams_of) };
            Some((material.text.to_string(), put_in))
        }
        _ => None,
    }
}

fn grams_of(quantity: Quantity) -> Option<Exact> {
    let Quantity { value: Some(value), unit, .. } = quantity else { return None };
    (unit.dimension() == Dimension::Mass).then(|| unit.to_base(&value))
}
