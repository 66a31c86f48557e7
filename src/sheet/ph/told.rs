//! What of a forecast is told as a figure: one that is too unsure to weigh by is none, and a beaker test takes its place.

use super::doses::Doses;
use super::outlook::{AdjusterOutlook, Outlook};
use crate::quantity::Range;

/// A pH that may be off by more than this, either way, is no figure (our own choice, no source).
pub const VAGUE: f64 = 0.9;
/// Nor is a dose of which the most is more than so many times the least (our own choice, no source).
pub const WIDE: f64 = 10.0;

/// What a pH may be off by, by what it comes from.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct PhUncertainty {
    /// The meter, the constants, and where the model leaves its ground.
    pub common: f64,
    /// Strengths that are ranges.
    pub strengths: f64,
    /// Traces of acid and base.
    pub traces: f64,
    /// Materials without acid-base data.
    pub missing: f64,
    /// The difference of the two models.
    pub models: f64,
}

impl PhUncertainty {
    /// All of it.
    #[must_use]
    pub fn all(&self) -> f64 {
        self.common + self.strengths + self.traces + self.missing + self.models
    }

    /// What most of it comes from, in words that follow the figures; none where it is narrow enough for a figure.
    #[must_use]
    pub fn why_vague(&self) -> Option<&'static str> {
        if self.all() <= VAGUE {
            return None;
        }
        let most =
            [self.common, self.strengths, self.traces, self.missing, self.models].into_iter().fold(0.0, f64::max);
        Some(match most {
            most if most == self.missing => {
                "Where its pH begins is not foreseen: what has no acid-base data decides it."
            }
            most if most == self.traces => {
                "Where its pH begins is not foreseen: so little holds it there that traces decide."
            }
            most if most == self.strengths => {
                "Where its pH begins is not foreseen: what its materials hold of acid and base is too wide a range."
            }
            _ => "Where its pH begins is not foreseen: the model is on weak ground here.",
        })
    }
}

/// What is said of a batch of which a beaker test tells how it ends and not how it begins.
const UNREAD: &str = "Where its pH begins is not foreseen: the beaker test has no reading before the first addition.";

impl Outlook {
    /// The pH before adjustment and how far it may be off: as read in a beaker, else as foreseen; none where it is too
    /// unsure for a figure.
    #[must_use]
    pub fn told_before(&self) -> Option<(f64, f64)> {
        let foreseen = || Some((self.before.as_ref()?.ph, self.before_uncertainty));
        self.before_read.or_else(|| foreseen().filter(|(_, give)| *give <= VAGUE))
    }

    /// Why no figure is told of the pH before adjustment; none where one is, or nothing is foreseen at all.
    #[must_use]
    pub fn why_vague(&self) -> Option<&'static str> {
        if self.before.is_none() || self.told_before().is_some() {
            return None;
        }
        if self.solution.read_at.is_empty() { self.before_parts.why_vague() } else { Some(UNREAD) }
    }
}

impl AdjusterOutlook {
    /// The doses that are told as figures, near, middle and far.
    #[must_use]
    pub fn told(&self) -> Doses {
        let [near, middle, far] = self.ranges;
        let [near_read, middle_read, far_read] = self.read;
        let all = [
            (self.doses.near, near, near_read),
            (self.doses.middle, middle, middle_read),
            (self.doses.far, far, far_read),
        ];
        let weighable = |(dose, range, read): (Option<f64>, Option<Range<f64>>, bool)| {
            dose.filter(|dose| read || is_weighable(*dose, range))
        };
        let any = all.into_iter().any(|of| weighable(of).is_some_and(|dose| dose > 0.0));
        // Nothing is needed to an edge that is passed: that stands beside a figure, and is none by itself unless it was
        // read.
        let told = |of: (Option<f64>, Option<Range<f64>>, bool)| {
            weighable(of).filter(|dose| of.2 || any || *dose == 0.0 && is_nought(of.1))
        };
        let [near, middle, far] = all.map(told);
        Doses { near, middle, far }
    }

    /// The places in the window to which it leads by a dose that is not told.
    #[must_use]
    pub fn untold(&self) -> Vec<&'static str> {
        let told = self.told();
        let all = [
            ("the near edge", self.doses.near, told.near),
            ("the middle", self.doses.middle, told.middle),
            ("the far edge", self.doses.far, told.far),
        ];
        let untold = all.into_iter().filter(|(_, dose, told)| dose.is_some() && told.is_none());
        untold.map(|(to, ..)| to).collect()
    }

    /// Whether it leads to the window, or may, and none of its doses is sure enough to weigh by.
    #[must_use]
    pub fn is_untold(&self) -> bool {
        let leads = [self.doses.near, self.doses.middle, self.doses.far].iter().any(Option::is_some);
        (leads && !self.leads_away || self.leads_away && self.may_lead) && self.told() == Doses::default()
    }
}

/// Grams per 100 g that no scale at a bench tells from nothing.
const NOUGHT: f64 = 1e-4;

fn is_nought(range: Option<Range<f64>>) -> bool {
    range.is_none_or(|range| range.high.is_some_and(|high| high < NOUGHT))
}

fn is_weighable(dose: f64, range: Option<Range<f64>>) -> bool {
    dose == 0.0 || range.is_some_and(|range| !is_wide(&range))
}

/// Whether the range of a dose is too wide for a figure.
#[must_use]
pub fn is_wide(range: &Range<f64>) -> bool {
    match range {
        Range { low: Some(low), high: Some(high) } => *high > WIDE * low,
        _ => true,
    }
}
