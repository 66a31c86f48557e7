//! A batch over its reserve: what makes a right batch of a larger size of it.

use super::{Ledger, LedgerLine, Reserve};
use crate::quantity::Exact;
use smol_str::SmolStr;

/// What thins a batch by no more than this, in percent of itself, is a trifle. Common practice, no source.
const TRIFLE: i64 = 2;

impl Ledger {
    /// By how much the reserves were overdrawn.
    #[must_use]
    pub fn over(&self) -> Exact {
        self.reserves.iter().map(Reserve::over).sum()
    }

    /// By how much everything is too thin as long as nothing is set right, in percent of itself.
    #[must_use]
    pub fn thinner_percent(&self) -> Exact {
        let over = self.over();
        (&over * &Exact::HUNDRED).over(&(&self.size() + &over)).unwrap_or(Exact::ZERO)
    }

    /// Whether a batch over its reserve is so by too little to be set right: nothing leaves its target by more than 2 % of
    /// itself.
    #[must_use]
    pub fn is_trifle(&self) -> bool {
        self.thinner_percent() <= Exact::whole(TRIFLE)
    }

    /// By how much the batch has to grow, over its weight, for each line to have its share of it: a reserve's line has
    /// too much, with its adjuster, by what went over. None where nothing did, or a line that holds back has no share.
    #[must_use]
    pub fn growth(&self) -> Option<Exact> {
        let over = self.reserves.iter().filter(|reserve| reserve.over().is_positive());
        let each = over.map(|reserve| {
            let line = self.lines.iter().find(|line| line.name == reserve.material)?;
            (&reserve.over() * &Exact::HUNDRED).over(&line.percent.clone().max(Exact::ZERO))
        });
        each.collect::<Option<Vec<Exact>>>()?.into_iter().max().filter(Exact::is_positive)
    }

    /// Over the reserve: what is still to be weighed in of each line for a right batch of a larger size.
    #[must_use]
    pub fn lacking(&self) -> Vec<(SmolStr, Exact)> {
        let Some(growth) = self.growth() else { return Vec::new() };
        let lacking = self.lines.iter().map(|line| (line.name.clone(), self.to_set_right(line, &growth)));
        lacking.filter(|(_, grams)| *grams >= self.step).collect()
    }

    /// Whether a batch that went over its reserve has been made a right one of a larger size.
    #[must_use]
    pub fn is_set_right(&self) -> bool {
        self.growth().is_some() && self.lacking().is_empty()
    }

    /// The larger batch in which nothing that is in already is too much; none where nothing is too much in this one.
    #[must_use]
    pub fn larger(&self) -> Option<Exact> {
        let planned = self.lines.iter().filter(|line| line.planned.is_some());
        let each = planned.filter_map(|line| {
            let there = self.weights.parts.get(&line.name)?;
            (there * &Exact::HUNDRED).over(&(&line.percent * &self.stays))
        });
        each.max().map(|grams| grams.up_to_step(&self.step)).filter(|grams| *grams > self.batch)
    }

    /// What is asked of a line in all, in the larger batch that it may have become.
    #[must_use]
    pub fn asked_now(&self, line: &LedgerLine) -> Option<Exact> {
        let growth = self.growth().unwrap_or(Exact::ZERO);
        Some(line.asked.as_ref()? + &self.share_of_growth(line, &growth))
    }

    /// What a line takes in all to be right in the larger batch, beyond what was planned of it.
    fn share_of_growth(&self, line: &LedgerLine, growth: &Exact) -> Exact {
        let share = (&line.percent.hundredth() * growth).to_step(&self.step);
        let own = self.reserves.iter().find(|reserve| reserve.material == line.name).map(Reserve::over);
        own.map_or(share.clone(), |over| (&share - &over).max(Exact::ZERO))
    }

    /// What of that is still to go in.
    fn to_set_right(&self, line: &LedgerLine, growth: &Exact) -> Exact {
        (&self.share_of_growth(line, growth) - &line.beyond(&self.stays)).max(Exact::ZERO)
    }

    /// What of a correction with a material sets the batch right.
    pub(super) fn sets_right(&self, name: &str) -> Exact {
        let line = self.lines.iter().find(|line| line.name == name);
        line.zip(self.growth()).map_or(Exact::ZERO, |(line, growth)| self.to_set_right(line, &growth))
    }
}
