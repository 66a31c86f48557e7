//! The window is not reached, and nothing is left of what was held back: the addition all the same, and what it does.

use super::advice::situation;
use super::ledger::Ledger;
use super::made::{Finished, finished};
use super::next::grams_of;
use super::setting::Setting;
use crate::batch::advise::{Addition, Advice, Situation, Verdict, advise};
use crate::model::{Batch, LineMaterial};
use crate::quantity::Exact;
use crate::resolve::{NameSet, Resolver};
use crate::syntax::vocabulary::Role;

/// An addition that takes the batch over its weight.
#[derive(Clone, Debug)]
pub struct BeyondReserve {
    /// The addition.
    pub addition: Addition,
    /// How far over its weight that takes the batch, in grams.
    pub over: Exact,
    /// The right batch of a larger size that it can be made, in grams; none where nothing makes one.
    pub larger: Option<Exact>,
    /// The actives, and what the preservatives bring, in the finished batch with it.
    pub after: Vec<Finished>,
}

/// The addition that is due where too little is left for it; none elsewhere, or where nothing is known of it.
#[must_use]
pub fn beyond_reserve(
    resolver: &Resolver<'_>,
    setting: &Setting<'_>,
    batch: &Batch,
    ledger: &Ledger,
    advice: &Advice,
) -> Option<BeyondReserve> {
    if advice.verdict != Verdict::OutOfReserve {
        return None;
    }
    let situation = situation(resolver, setting, batch, ledger)?;
    let adjuster = super::adjuster_of(setting)?;
    let line = ledger.lines.iter().find(|line| line.name == adjuster)?;
    // As if a tenth of the batch were still held back.
    let more = Situation { left_grams: ledger.batch.to_f64() / 10.0, ..situation };
    let addition = advise(&more).next?;
    let grams = grams_of(&addition, &line.step);
    let reserve = ledger.reserve_of(&adjuster)?;
    let over = &(&grams - &reserve.room()) + &reserve.over();
    let more = &over - &reserve.over();
    let growth = ledger.growth_with(Some((&reserve.material, &more)));
    let names = setting.resolver(resolver);
    let id = names.scopes.find(batch.id.file, NameSet::Weighable, &adjuster)?;
    let preservatives: Vec<&str> = preservatives(setting);
    let dose = Some((adjuster.as_str(), id, &grams));
    Some(BeyondReserve {
        after: finished(names, &setting.formula, batch, ledger, dose, &preservatives, Some(addition.reading)),
        larger: growth.filter(|_| over.is_positive()).map(|growth| &ledger.size() + &growth),
        over: over.max(Exact::ZERO),
        addition,
    })
}

fn preservatives<'f>(setting: &'f Setting<'_>) -> Vec<&'f str> {
    let preserves = |thing: &LineMaterial| match thing {
        LineMaterial::Material(material) => material.roles.contains(&Role::Preservative),
        LineMaterial::Premix(premix) => premix.has_role(Role::Preservative),
    };
    let lines = setting.formula.lines.iter().filter(|line| line.material.as_ref().is_some_and(preserves));
    lines.map(|line| line.name.as_str()).collect()
}

impl BeyondReserve {
    /// What it does, for the bench.
    pub(super) fn words(&self, ledger: &Ledger) -> String {
        let grams = |weight: &Exact| ledger.grams(weight);
        let share = |percent: &Exact| percent.to_significant(3);
        let held = self.after.iter().map(|of| format!("{} {} % for {} %", of.name, share(&of.made), share(&of.target)));
        let held = held.collect::<Vec<_>>().join(", ");
        let held = if held.is_empty() { String::new() } else { format!(": then {held}") };
        let larger = self
            .larger
            .as_ref()
            .map(|larger| format!(" More of each line makes it a right batch of {} g.", grams(larger)));
        format!(
            "More is needed than is left of what was held back. It takes the batch {} g over its weight{held}.{}",
            grams(&self.over),
            larger.unwrap_or_default()
        )
    }
}
