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
    /// too much, with its adjuster, by what went over, and another by what was weighed too much of it. None where no
    /// reserve was overdrawn, or a line that holds back has no share.
    #[must_use]
    pub fn growth(&self) -> Option<Exact> {
        self.growth_with(None)
    }

    /// The same once so much more goes over the reserve of a line.
    #[must_use]
    pub fn growth_with(&self, more: Option<(&str, &Exact)>) -> Option<Exact> {
        let growth = self.growth_of_reserves(more)?;
        let heavy = self.lines.iter().filter_map(|line| self.need_of_heavy(line, &growth)).max();
        Some(heavy.map_or(growth.clone(), |heavy| heavy.max(growth)))
    }

    /// What the reserves alone ask for.
    fn growth_of_reserves(&self, more: Option<(&str, &Exact)>) -> Option<Exact> {
        let over = self.reserves.iter().map(|reserve| {
            let more = more.filter(|(name, _)| *name == reserve.material).map(|(_, grams)| grams.clone());
            (&reserve.material, &reserve.over() + &more.unwrap_or(Exact::ZERO))
        });
        let each = over.filter(|(_, over)| over.is_positive()).map(|(material, over)| self.grown(material, over));
        each.collect::<Option<Vec<Exact>>>()?.into_iter().max().filter(Exact::is_positive)
    }

    /// By how much the batch has to grow for what went over one reserve. What led back of a line's own material is that
    /// line's share of the larger batch first, and only the rest of it stands in the place of what holds back.
    fn grown(&self, material: &SmolStr, over: Exact) -> Option<Exact> {
        let line = self.lines.iter().find(|line| line.name == *material)?;
        let of_reserve = line.percent.clone().max(Exact::ZERO);
        // Each line that was corrected with its own has either all of its share by that, or no more than went in.
        let mut covers: Vec<(&LedgerLine, Exact, bool)> =
            self.lines.iter().map(|line| (line, self.corrected_with(line), true)).collect();
        covers.retain(|(_, corrected, _)| corrected.is_positive() && self.holds_corrections(material));
        let mut growth = (&over * &Exact::HUNDRED).over(&of_reserve)?;
        for _ in 0..=covers.len() {
            let (mut percent, mut weight) = (of_reserve.clone(), over.clone());
            for (line, corrected, is_all) in &covers {
                if *is_all {
                    percent = &percent + &line.percent;
                    weight = &weight + &line.beyond(&self.stays);
                } else {
                    weight = &weight - corrected;
                }
            }
            growth = (&weight * &Exact::HUNDRED).over(&percent)?;
            let need = |line: &LedgerLine| &(&line.percent.hundredth() * &growth) - &line.beyond(&self.stays);
            let before = covers.iter().map(|(.., is_all)| *is_all).collect::<Vec<bool>>();
            covers.retain(|(line, ..)| need(line).is_positive());
            covers.iter_mut().for_each(|(line, corrected, is_all)| *is_all &= need(line) <= *corrected);
            if covers.iter().map(|(.., is_all)| *is_all).eq(before) {
                break;
            }
        }
        Some(growth)
    }

    /// What went in of a fixed line's material as a correction, and is in the beaker.
    fn corrected_with(&self, line: &LedgerLine) -> Exact {
        let there = self.weights.parts.get(&line.name).filter(|_| line.planned.is_some());
        let there = there.filter(|_| self.own_reserve(line).is_none());
        there.map_or(Exact::ZERO, |there| line.corrected(there))
    }

    /// Whether what corrects a line comes out of this reserve.
    fn holds_corrections(&self, material: &SmolStr) -> bool {
        let source = self.reserves.get(self.sources.first().map_or(0, |(_, reserve)| *reserve));
        source.is_some_and(|source| source.material == *material)
    }

    /// What of corrections with a line's own is no more than the share of that line in a batch that grows.
    fn covered(&self, growth: &Exact) -> Exact {
        let each = self.lines.iter().map(|line| {
            let need = &(&line.percent.hundredth() * growth) - &line.beyond(&self.stays);
            self.corrected_with(line).min(need.max(Exact::ZERO))
        });
        each.sum()
    }

    /// By how much the batch has to grow for what was weighed too much of a line, by more than weighing explains, to be
    /// its share. None where it is no more than that in a batch that grows by so much, and of what holds back.
    fn need_of_heavy(&self, line: &LedgerLine, growth: &Exact) -> Option<Exact> {
        let planned =
            line.planned.as_ref().filter(|_| line.percent.is_positive() && self.own_reserve(line).is_none())?;
        let there = &(planned * &self.stays) + &line.beyond(&self.stays);
        let share = &line.percent.hundredth() * &(&self.size() + growth);
        let is_right = &there - &share <= share.hundredth().max(line.step.clone());
        let whole = (&there * &Exact::HUNDRED).over(&line.percent).filter(|_| !is_right)?;
        Some(&whole - &self.size())
    }

    fn own_reserve(&self, line: &LedgerLine) -> Option<&Reserve> {
        self.reserves.iter().find(|reserve| reserve.material == line.name && !reserve.held_back().is_zero())
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
            // What went in of its adjuster takes the place of what holds back.
            let used = self.own_reserve(line).map_or(Exact::ZERO, |reserve| reserve.used().clone());
            let there = self.weights.parts.get(&line.name)? + &used;
            (&there * &Exact::HUNDRED).over(&(&line.percent * &self.stays))
        });
        each.max().map(|grams| grams.up_to_step(&self.step)).filter(|grams| *grams > self.batch)
    }

    /// What is asked of a line in all, in the larger batch that it may have become; of one that is not right yet, in the
    /// one that what went over its reserve asks for.
    #[must_use]
    pub fn asked_now(&self, line: &LedgerLine) -> Option<Exact> {
        let growth = if self.is_set_right() { self.growth() } else { self.growth_of_reserves(None) };
        let growth = growth.unwrap_or(Exact::ZERO);
        Some(line.asked.as_ref()? + &self.share_of_growth(line, &growth))
    }

    /// What a line takes in all to be right in the larger batch, beyond what was planned of it.
    fn share_of_growth(&self, line: &LedgerLine, growth: &Exact) -> Exact {
        let share = (&line.percent.hundredth() * growth).to_step(&self.step);
        let Some(own) = self.reserves.iter().find(|reserve| reserve.material == line.name) else { return share };
        let covered = if self.holds_corrections(&line.name) { self.covered(growth) } else { Exact::ZERO };
        (&share - &(&own.over() - &covered)).max(Exact::ZERO)
    }

    /// What of that is still to go in.
    fn to_set_right(&self, line: &LedgerLine, growth: &Exact) -> Exact {
        // Of what holds back, a heavy hand is in what went over.
        let beyond = match self.own_reserve(line) {
            Some(_) => line.righted().clone(),
            None => &line.beyond(&self.stays) + &self.corrected_with(line),
        };
        (&self.share_of_growth(line, growth) - &beyond).max(Exact::ZERO)
    }

    /// What of a correction with a material sets the batch right.
    pub(super) fn sets_right(&self, name: &str) -> Exact {
        let line = self.lines.iter().find(|line| line.name == name);
        line.zip(self.growth()).map_or(Exact::ZERO, |(line, growth)| self.to_set_right(line, &growth))
    }
}
