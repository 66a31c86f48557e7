//! Intervals, for strengths that are a range or not known.

use super::Exact;
use std::ops::{Add, Sub};

/// A figure that is not quite known, for arithmetic: it lies from `low` to `high`, both included, and a known figure is an
/// interval of one. What a figure is held against, and may be open on a side, is a [`Range`](super::Range).
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Interval {
    /// The least it can be.
    pub low: Exact,
    /// The most it can be.
    pub high: Exact,
}

impl Interval {
    /// A known figure.
    #[must_use]
    pub fn point(value: Exact) -> Interval {
        Interval { low: value.clone(), high: value }
    }

    /// From `low` to `high`.
    #[must_use]
    pub fn new(low: Exact, high: Exact) -> Interval {
        Interval { low, high }
    }

    /// Nought.
    #[must_use]
    pub fn zero() -> Interval {
        Interval::point(Exact::ZERO)
    }

    /// Whether the figure is known.
    #[must_use]
    pub fn is_point(&self) -> bool {
        self.low == self.high
    }

    /// Halfway between the ends.
    #[must_use]
    pub fn middle(&self) -> Exact {
        &(&self.low + &self.high) * &Exact::ratio(1, 2)
    }

    /// Each end multiplied by a figure that is not below nought.
    #[must_use]
    pub fn times(&self, factor: &Exact) -> Interval {
        Interval { low: &self.low * factor, high: &self.high * factor }
    }

    /// How the interval stands where each step of the reckoning is told: in ten digits at most.
    #[must_use]
    pub fn whole_text(&self) -> String {
        let (low, high) = (self.low.to_significant(10), self.high.to_significant(10));
        if self.is_point() { format!("{low} %") } else { format!("{low} % to {high} %") }
    }

    /// How the interval stands in a message: `70 %`, or `85 % to 90 %`.
    #[must_use]
    pub fn percent_text(&self) -> String {
        if self.is_point() { format!("{} %", self.low) } else { format!("{} % to {} %", self.low, self.high) }
    }
}

impl Add for &Interval {
    type Output = Interval;
    fn add(self, other: &Interval) -> Interval {
        Interval { low: &self.low + &other.low, high: &self.high + &other.high }
    }
}

impl Sub for &Interval {
    type Output = Interval;
    fn sub(self, other: &Interval) -> Interval {
        Interval { low: &self.low - &other.high, high: &self.high - &other.low }
    }
}
