//! Ranges that may be open on a side: pH windows, usages, what rules ask for, and what doses may come to.

use super::Exact;
use super::Interval;

/// All figures from `low` to `high`, both included; a side that is none is open. What is reckoned with as one figure
/// that is not quite known is an [`Interval`].
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Range<T> {
    /// The lower edge.
    pub low: Option<T>,
    /// The upper edge.
    pub high: Option<T>,
}

/// How a range lies to another.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Overlap<T> {
    /// They share nothing.
    None,
    /// They share this much.
    Part(Range<T>),
    /// All of the first lies in the second.
    Whole,
}

impl<T> Range<T> {
    /// From `low` to `high`.
    #[must_use]
    pub fn new(low: Option<T>, high: Option<T>) -> Range<T> {
        Range { low, high }
    }

    /// Both edges, each by the same function.
    pub fn map<U>(&self, each: impl Fn(&T) -> U) -> Range<U> {
        Range { low: self.low.as_ref().map(&each), high: self.high.as_ref().map(&each) }
    }

    /// `3 to 5`, `at least 3`, `at most 5`, each edge written by `each`; none where both sides are open.
    pub fn text(&self, each: impl Fn(&T) -> String) -> Option<String>
    where
        T: PartialEq,
    {
        Some(match (&self.low, &self.high) {
            (Some(low), Some(high)) if low == high => each(low),
            (Some(low), Some(high)) => format!("{} to {}", each(low), each(high)),
            (Some(low), None) => format!("at least {}", each(low)),
            (None, Some(high)) => format!("at most {}", each(high)),
            (None, None) => return None,
        })
    }
}

impl<T: PartialOrd> Range<T> {
    /// The lower edge, where a figure lies below it.
    pub fn edge_above(&self, figure: &T) -> Option<&T> {
        self.low.as_ref().filter(|low| figure < *low)
    }

    /// The upper edge, where a figure lies above it.
    pub fn edge_below(&self, figure: &T) -> Option<&T> {
        self.high.as_ref().filter(|high| figure > *high)
    }

    /// Whether a figure lies in it.
    pub fn contains(&self, figure: &T) -> bool {
        self.edge_above(figure).is_none() && self.edge_below(figure).is_none()
    }

    /// Whether its edges stand the wrong way round.
    #[must_use]
    pub fn is_reversed(&self) -> bool {
        matches!((&self.low, &self.high), (Some(low), Some(high)) if low > high)
    }

    /// Whether it has a figure in common with another.
    #[must_use]
    pub fn meets(&self, other: &Range<T>) -> bool {
        let over = |low: &Option<T>, high: &Option<T>| matches!((low, high), (Some(low), Some(high)) if low > high);
        !over(&self.low, &other.high) && !over(&other.low, &self.high)
    }

    /// Whether all of it lies in another; an open side reaches past any edge.
    #[must_use]
    pub fn lies_within(&self, other: &Range<T>) -> bool {
        other.low.as_ref().is_none_or(|edge| self.low.as_ref().is_some_and(|low| low >= edge))
            && other.high.as_ref().is_none_or(|edge| self.high.as_ref().is_some_and(|high| high <= edge))
    }

    /// How it lies to another.
    #[must_use]
    pub fn overlap(&self, other: &Range<T>) -> Overlap<T>
    where
        T: Clone,
    {
        if !self.meets(other) {
            Overlap::None
        } else if self.lies_within(other) {
            Overlap::Whole
        } else {
            Overlap::Part(self.intersection(other))
        }
    }

    /// What it has in common with one that it meets: of each side the inner edge.
    fn intersection(&self, other: &Range<T>) -> Range<T>
    where
        T: Clone,
    {
        let inner = |one: &Option<T>, two: &Option<T>, is_inner: fn(&T, &T) -> bool| match (one, two) {
            (Some(one), Some(two)) => Some(if is_inner(one, two) { one.clone() } else { two.clone() }),
            (one, two) => one.clone().or_else(|| two.clone()),
        };
        Range {
            low: inner(&self.low, &other.low, |one, two| one >= two),
            high: inner(&self.high, &other.high, |one, two| one <= two),
        }
    }
}

impl Range<f64> {
    /// Halfway between the edges; none where a side is open.
    #[must_use]
    pub fn middle(&self) -> Option<f64> {
        Some(f64::midpoint(self.low?, self.high?))
    }

    /// The edge met first, and the last, by what goes up (`direction` above nought) or down.
    #[must_use]
    pub fn edges_towards(&self, direction: f64) -> (Option<f64>, Option<f64>) {
        if direction > 0.0 { (self.low, self.high) } else { (self.high, self.low) }
    }
}

impl Range<Exact> {
    /// The same in floating point.
    #[must_use]
    pub fn to_f64(&self) -> Range<f64> {
        self.map(Exact::to_f64)
    }
}

impl From<&Interval> for Range<Exact> {
    fn from(interval: &Interval) -> Range<Exact> {
        Range { low: Some(interval.low.clone()), high: Some(interval.high.clone()) }
    }
}

#[cfg(test)]
mod tests {
    use super::{Overlap, Range};

    /// Every range with edges 0 to 4, open sides too, that does not stand the wrong way round.
    fn all() -> Vec<Range<u32>> {
        let edges = || (0..5).map(Some).chain([None]);
        let ranges = edges().flat_map(|low| edges().map(move |high| Range { low, high }));
        ranges.filter(|range| !range.is_reversed()).collect()
    }

    #[test]
    fn ranges_lie_to_one_another_as_the_figures_in_them_do() {
        for one in all() {
            for two in all() {
                // An open side reaches past any edge: figures beyond 4 stand for it above, and 0 is shifted for below.
                let shift = |range: &Range<u32>| range.map(|edge| edge + 1);
                let (one, two) = (shift(&one), shift(&two));
                let shared: Vec<u32> = (0..7).filter(|n| one.contains(n) && two.contains(n)).collect();
                let whole = (0..7).filter(|n| one.contains(n)).count() == shared.len();
                match one.overlap(&two) {
                    Overlap::None => assert!(shared.is_empty(), "{one:?} {two:?}"),
                    Overlap::Whole => assert!(whole, "{one:?} {two:?}"),
                    Overlap::Part(part) => {
                        assert!(!whole, "{one:?} {two:?}");
                        assert_eq!(
                            (0..7).filter(|n| part.contains(n)).collect::<Vec<u32>>(),
                            shared,
                            "{one:?} {two:?}"
                        );
                    }
                }
            }
        }
    }
}
