//! How many containers a batch fills, and what stays over.

use crate::quantity::Exact;

/// What a batch is filled into.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Filled {
    /// How many containers were asked for; none where nobody says.
    pub asked: Option<Exact>,
    /// How many there is enough for, or were filled.
    pub count: Exact,
    /// How many fewer that are than were asked for.
    pub short: Exact,
    /// What goes into each, in grams.
    pub each: Exact,
    /// What is left over, in grams; what stays in the pot is not in it.
    pub remains: Exact,
}

impl Filled {
    /// What a batch fills: never more than was asked for, and the last one never half.
    #[must_use]
    pub fn by_plan(grams: &Exact, loss: &Exact, each: &Exact, asked: Option<&Exact>) -> Option<Filled> {
        let there = grams * &(&Exact::ONE - &loss.hundredth());
        let enough = there.over(each)?.down_to_step(&Exact::ONE).max(Exact::ZERO);
        let count = asked.map_or(enough.clone(), |asked| enough.min(asked.clone()));
        Some(Filled::of(asked, count, each, &there))
    }

    /// What was filled, by the record, of what there was.
    #[must_use]
    pub fn by_record(there: &Exact, count: Exact, each: &Exact, asked: Option<&Exact>) -> Filled {
        Filled::of(asked, count, each, there)
    }

    fn of(asked: Option<&Exact>, count: Exact, each: &Exact, there: &Exact) -> Filled {
        Filled {
            short: asked.map_or(Exact::ZERO, |asked| (asked - &count).max(Exact::ZERO)),
            remains: there - &(&count * each),
            asked: asked.cloned(),
            each: each.clone(),
            count,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::Filled;
    use crate::quantity::Exact;

    #[test]
    fn the_last_container_is_never_half_and_none_is_filled_that_nobody_asked_for() {
        let batch = Exact::ratio(5928, 10);
        let fill = |each: (i64, i64), loss: i64, asked: Option<i64>| {
            let asked = asked.map(Exact::whole);
            let filled = Filled::by_plan(&batch, &Exact::whole(loss), &Exact::ratio(each.0, each.1), asked.as_ref());
            filled.map(|filled| (filled.count.to_fixed(0), filled.short.to_fixed(0), filled.remains.to_fraction()))
        };
        let text = |a: &str, b: &str, c: &str| Some((a.to_string(), b.to_string(), c.to_string()));
        assert_eq!(fill((95, 2), 0, Some(12)), text("12", "0", "114/5"));
        assert_eq!(fill((399, 8), 0, Some(12)), text("11", "1", "1767/40"));
        assert_eq!(fill((95, 2), 4, Some(12)), text("11", "1", "11647/250"));
        assert_eq!(fill((95, 2), 0, None), text("12", "0", "114/5"));
        assert_eq!(fill((600, 1), 0, Some(1)), text("0", "1", "2964/5"));
        assert_eq!(fill((0, 1), 0, Some(1)), None);
    }
}
