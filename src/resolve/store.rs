//! What is to be made and what the store room holds, made from their declarations.

use super::bounds::zero;
use super::name_set::NameSet;
use super::{Resolver, is_formula, makes_size};
use crate::diagnostic::{Code, Diagnostic, Place};
use crate::model::{DeclId, Planned, StockEntry, Stocked};
use crate::quantity::{Dimension, Exact};
use crate::syntax::tree::{self, Item, Name, Stock};
use crate::syntax::vocabulary::StockWord;
use smol_str::SmolStr;

impl Resolver<'_> {
    /// Every batch that is planned, in the order of the files.
    #[must_use]
    pub fn planned(&self) -> Vec<Planned> {
        let all = self.all(|item| matches!(item, Item::Planned(_)));
        let made = all.into_iter().filter_map(|id| match self.scopes.item(id) {
            Some(Item::Planned(declared)) => self.make_planned(id, declared, &mut Vec::new()),
            _ => None,
        });
        made.collect()
    }

    /// Everything that is said of the store room, in the order of the files.
    #[must_use]
    pub fn store(&self) -> Vec<StockEntry> {
        let mut entries = Vec::new();
        for id in self.all(|item| matches!(item, Item::Stock(_))) {
            let Some(Item::Stock(stock)) = self.scopes.item(id) else { continue };
            entries.extend(stock.entries.iter().filter_map(|entry| self.stock_entry(id, entry, &mut Vec::new())));
        }
        entries
    }

    /// The last day of a lot by the store room, and where that stands: the earliest that any purchase of it says.
    #[must_use]
    pub fn expiry_of_lot(&self, thing: &str, code: &str) -> Option<(SmolStr, Place)> {
        let mut found: Vec<(SmolStr, Place)> = Vec::new();
        for id in self.all(|item| matches!(item, Item::Stock(_))) {
            let Some(Item::Stock(stock)) = self.scopes.item(id) else { continue };
            let is_it = |entry: &&tree::StockEntry| {
                let lot = entry.lot.as_ref().is_some_and(|lot| lot.value.eq_ignore_ascii_case(code));
                lot && entry.what == StockWord::Bought && entry.name.text == thing
            };
            let bought = stock.entries.iter().filter(is_it).filter_map(|entry| entry.expires.as_ref());
            found.extend(bought.map(|(day, span)| (day.clone(), Place { file: id.file, span: *span })));
        }
        found.into_iter().min_by(|(one, _), (other, _)| one.cmp(other))
    }

    pub(super) fn check_planned(&self, id: DeclId, planned: &tree::Planned, faults: &mut Vec<Diagnostic>) {
        let _ = self.make_planned(id, planned, faults);
    }

    fn make_planned(&self, id: DeclId, planned: &tree::Planned, faults: &mut Vec<Diagnostic>) -> Option<Planned> {
        let evaluator = self.evaluator(id.file);
        let mut names = |name: &Name, faults: &mut Vec<Diagnostic>| self.figure_at_file_level(id.file, name, faults);
        let makes = makes_size(&evaluator, &planned.makes, ("`planned`", true), &mut names, faults);
        let Some(found) = self.scopes.find(id.file, NameSet::Weighable, &planned.name.text) else {
            let fault = self.unknown(id.file, NameSet::Weighable, &planned.name);
            faults.extend(fault.map(|fault| {
                match fault.fix {
                    Some(_) => fault,
                    None => Diagnostic {
                        message: format!("There is no formula called `{}` here.", planned.name.text),
                        ..fault
                    }
                    .help("`use` the file that has it, or take this line out."),
                }
            }));
            return None;
        };
        self.mark_used(found);
        if !self.scopes.item(found).is_some_and(is_formula) {
            let place = Self::place(id.file, &planned.name);
            let message = format!("`{}` is no formula, and nothing else is made.", planned.name.text);
            faults.push(
                Diagnostic::new(Code::NameUnknown, place, message).help("Name a formula, a variant or a premix."),
            );
            return None;
        }
        let place = Place { file: id.file, span: planned.span };
        Some(Planned { formula: found, name: planned.name.text.clone(), makes: makes?, place })
    }

    pub(super) fn check_stock(&self, id: DeclId, stock: &Stock, faults: &mut Vec<Diagnostic>) {
        for entry in &stock.entries {
            self.dated(id, entry, faults);
            let _ = self.stock_entry(id, entry, faults);
        }
        self.counted_twice(id, stock, faults);
    }

    /// Two counts of one thing on one day: nobody knows which of them holds.
    fn counted_twice(&self, id: DeclId, stock: &Stock, faults: &mut Vec<Diagnostic>) {
        let counts: Vec<&tree::StockEntry> =
            stock.entries.iter().filter(|entry| entry.what == StockWord::Counted).collect();
        for (at, entry) in counts.iter().enumerate() {
            let same = |other: &&&tree::StockEntry| other.name.text == entry.name.text && other.on == entry.on;
            let Some(first) = counts.iter().take(at).find(same) else { continue };
            let day = entry.on.as_deref().unwrap_or_default();
            let message = format!("`{}` is counted twice on {day}.", entry.name.text);
            faults.push(
                Diagnostic::new(Code::HeaderTwice, Place { file: id.file, span: entry.span }, message)
                    .and(Place { file: id.file, span: first.span }, "it is counted here first")
                    .help("Keep the later count; what went in between is `bought` or `spent`."),
            );
        }
    }

    /// What has no day cannot be told before or after a count, and what is gone without a reason is a hole.
    fn dated(&self, id: DeclId, entry: &tree::StockEntry, faults: &mut Vec<Diagnostic>) {
        let place = Place { file: id.file, span: entry.span };
        let word = entry.what.word();
        if entry.on.is_none() {
            let message = format!("This does not say on which day `{}` was {word}.", entry.name.text);
            faults.push(Diagnostic::new(Code::Syntax, place, message).help("Add the day: `on 2026-11-20`."));
        }
        if entry.what == StockWord::Spent && entry.because.is_none() {
            let message = format!("This does not say what became of `{}`.", entry.name.text);
            faults.push(Diagnostic::new(Code::Syntax, place, message).help("Add the reason: `because \"…\"`."));
        }
    }

    fn stock_entry(&self, id: DeclId, entry: &tree::StockEntry, faults: &mut Vec<Diagnostic>) -> Option<StockEntry> {
        let paid = entry.paid.as_ref().map(|paid| self.evaluator(id.file).money(paid, "`for`", faults));
        let of = self.stocked(id, entry, faults)?;
        let amount = self.amount_of(id, entry, of, faults)?;
        if amount.is_zero() && entry.what != StockWord::Counted {
            faults.push(zero(Place { file: id.file, span: entry.amount.span }, "An amount"));
            return None;
        }
        Some(StockEntry {
            word: entry.what,
            of,
            name: entry.name.text.clone(),
            name_place: Self::place(id.file, &entry.name),
            amount,
            on: entry.on.clone()?,
            lot: entry.lot.as_ref().map(|lot| lot.value.clone()),
            paid: match paid {
                Some(paid) => Some(paid?),
                None => None,
            },
            from: entry.from.as_ref().map(|from| from.value.clone()),
            expires: entry.expires.as_ref().map(|(day, _)| day.clone()),
            because: entry.because.as_ref().map(|because| because.value.clone()),
            place: Place { file: id.file, span: entry.span },
        })
    }

    /// What a statement of the store room speaks of: of what is counted in pieces a container, else what is weighed.
    fn stocked(&self, id: DeclId, entry: &tree::StockEntry, faults: &mut Vec<Diagnostic>) -> Option<Stocked> {
        let name = &entry.name;
        let container = self.scopes.find(id.file, NameSet::Container, &name.text);
        let weighed = self.scopes.find(id.file, NameSet::Weighable, &name.text);
        let in_pieces = entry.amount.unit.dimension() == Dimension::Plain;
        let found = match (container, weighed) {
            (Some(container), None) => Some(container),
            (Some(container), Some(_)) if in_pieces => Some(container),
            (_, Some(weighed)) => Some(weighed),
            (None, None) => None,
        };
        let Some(found) = found else {
            faults.extend(self.unknown(id.file, NameSet::Weighable, name));
            return None;
        };
        self.mark_used(found);
        match self.scopes.item(found) {
            Some(Item::Container(_)) => Some(Stocked::Container(found)),
            Some(Item::Material(_)) => Some(Stocked::Material(found)),
            Some(item) if is_formula(item) => Some(Stocked::Premix(found)),
            _ => {
                let message = format!("`{}` is a figure, and no store room holds it.", name.text);
                let fault = Diagnostic::new(Code::NameUnknown, Self::place(id.file, name), message);
                faults.push(fault.help("Name a material, a premix or a container."));
                None
            }
        }
    }

    /// How much it is: grams of what is weighed, a whole number of containers.
    fn amount_of(
        &self,
        id: DeclId,
        entry: &tree::StockEntry,
        of: Stocked,
        faults: &mut Vec<Diagnostic>,
    ) -> Option<Exact> {
        let evaluator = self.evaluator(id.file);
        let figure = evaluator.quantity(&entry.amount)?;
        let word = format!("`{}`", entry.what.word());
        let mismatch = |wanted: &[Dimension]| evaluator.mismatch(entry.amount.span, &word, wanted, figure.dimension);
        let place = Place { file: id.file, span: entry.amount.span };
        match (of, figure.dimension) {
            (Stocked::Container(_), Dimension::Plain) if figure.value.decimals() == Some(0) => Some(figure.value),
            (Stocked::Container(_), Dimension::Plain) => {
                let message = format!("Containers are counted in whole numbers, and this is {}.", figure.value);
                let fault = Diagnostic::new(Code::UnitMismatch, place, message);
                faults.push(fault.help("Write how many there were."));
                None
            }
            (Stocked::Container(_), _) => {
                let message = format!("`{}` is a container, and containers are counted.", entry.name.text);
                let fault = Diagnostic::new(Code::UnitMismatch, place, message);
                faults.push(fault.help("Write how many there were, without a unit."));
                None
            }
            (_, Dimension::Mass) => Some(figure.value),
            (Stocked::Material(material), Dimension::Volume) => {
                let density = self.material(material).and_then(|material| material.density.clone());
                if density.is_none() {
                    let message = format!("`{}` stands here by volume, and its density is not known.", entry.name.text);
                    let fault = Diagnostic::new(Code::DensityMissing, place, message);
                    faults.push(fault.help("Write the weight, or add `density … g/mL` to the material."));
                }
                Some(&figure.value * &density?)
            }
            _ => {
                faults.push(mismatch(&[Dimension::Mass]));
                None
            }
        }
    }
}
