//! What is on hand of one thing: the last count, and all that came and went since.
//!
//! A count holds for the end of its day: what came and went on that day was there, or gone, when it was counted. The lots
//! are followed beside the sum, and always add up to it. What is drawn without a word of its lot is taken from the oldest
//! that is not past its day (common practice, no source); what a count finds missing has gone the same way, and what it
//! finds over has no lot.

use crate::diagnostic::Place;
use crate::quantity::Exact;
use smol_str::SmolStr;

/// What happened to what is on hand, in the order in which it counts within a day.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Movement {
    /// It was bought.
    Bought,
    /// It came out of a batch of its own.
    Made,
    /// It went into a batch.
    Used,
    /// It was spent otherwise.
    Spent,
    /// It was counted.
    Counted,
}

/// Something that happened to what is on hand of one thing.
#[derive(Clone, Debug)]
pub struct Moved {
    /// What.
    pub what: Movement,
    /// The day; none where nobody says it, and then it is after all that has one.
    pub day: Option<SmolStr>,
    /// How much: grams, or how many.
    pub amount: Exact,
    /// The lot that came, by all codes that it bears; or the lots that it may have been taken from.
    pub lots: Vec<SmolStr>,
    /// The last day of the lot that came.
    pub expires: Option<SmolStr>,
    /// Where it was bought.
    pub from: Option<SmolStr>,
    /// The batch in whose record it stands.
    pub batch: Option<SmolStr>,
    /// As it is written.
    pub said: String,
    /// Where it stands.
    pub place: Place,
}

/// What is on hand of one lot.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Lot {
    /// The code on it; none where nobody says it.
    pub code: Option<SmolStr>,
    /// The other codes that it bears.
    pub also: Vec<SmolStr>,
    /// How much of it is left.
    pub amount: Exact,
    /// The day it came; none for what a count found.
    pub since: Option<SmolStr>,
    /// Its last day.
    pub expires: Option<SmolStr>,
    /// Where it was bought.
    pub from: Option<SmolStr>,
}

/// What is on hand of one thing.
#[derive(Clone, Debug, Default)]
pub struct Account {
    /// What there is by the sum: below nought where more went than came.
    pub sum: Exact,
    /// The day of the count that it begins with; none where it was never counted.
    pub counted: Option<SmolStr>,
    /// What it follows from: the last count and what happened since, in the order of the days.
    pub follows_from: Vec<Moved>,
    /// What is left of each lot, the oldest first.
    pub lots: Vec<Lot>,
    /// Where it was bought last.
    pub bought_from: Option<SmolStr>,
    /// What had gone beyond all that there was, each time before something came or the end: how much, and by which day.
    pub lacked: Vec<Lacked>,
    /// What was drawn beyond all lots since.
    owed: Exact,
}

/// What had gone beyond all that there was when something came.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Lacked {
    /// How much.
    pub amount: Exact,
    /// The day of what came.
    pub until: Option<SmolStr>,
}

impl Account {
    /// What is on hand at the end of a day.
    #[must_use]
    pub fn at(mut moved: Vec<Moved>, day: &str) -> Account {
        moved.retain(|moved| moved.day.as_deref().is_none_or(|on| on <= day));
        // What has no day comes last.
        moved.sort_by(|one, other| {
            let key = |moved: &Moved| (moved.day.is_none(), moved.day.clone(), moved.what);
            key(one).cmp(&key(other))
        });
        let mut account = Account::default();
        for moved in moved {
            account.take_up(moved);
        }
        account.lots.retain(|lot| lot.amount.is_positive());
        account
    }

    fn take_up(&mut self, moved: Moved) {
        if moved.from.is_some() {
            self.bought_from.clone_from(&moved.from);
        }
        match moved.what {
            Movement::Bought | Movement::Made => {
                self.forgive(moved.day.as_ref());
                self.sum = &self.sum + &moved.amount;
                self.come(&moved);
            }
            Movement::Used | Movement::Spent => {
                self.sum = &self.sum - &moved.amount;
                self.go(&moved.amount, &moved.lots, moved.day.as_deref());
            }
            Movement::Counted => {
                self.sum = moved.amount.clone();
                self.counted.clone_from(&moved.day);
                self.follows_from.clear();
                self.lacked.clear();
                self.find(&moved);
            }
        }
        self.follows_from.push(moved);
    }

    /// Where more went than came, there was nothing: what comes now pays for none of it. Of what was kept by then it is
    /// told.
    fn forgive(&mut self, until: Option<&SmolStr>) {
        if !self.sum.is_negative() {
            return;
        }
        if self.is_kept() {
            self.lacked.push(Lacked { amount: self.sum.abs(), until: until.cloned() });
        }
        self.sum = Exact::ZERO;
        self.owed = Exact::ZERO;
    }

    fn come(&mut self, moved: &Moved) {
        let amount = moved.amount.clone();
        let code = moved.lots.first();
        let known = self.lots.iter_mut().find(|lot| code.is_some_and(|code| lot.bears(code)));
        if let Some(lot) = known {
            lot.amount = &lot.amount + &amount;
            lot.expires = [&lot.expires, &moved.expires].into_iter().flatten().min().cloned();
            return;
        }
        self.lots.push(Lot {
            code: code.cloned(),
            also: moved.lots.iter().skip(1).cloned().collect(),
            amount,
            since: moved.day.clone(),
            expires: moved.expires.clone(),
            from: moved.from.clone(),
        });
    }

    /// Takes an amount out of the lots: those that are named, then what has no code, then the oldest that is not past its
    /// day, then what is.
    fn go(&mut self, amount: &Exact, named: &[SmolStr], day: Option<&str>) {
        let mut left = amount.clone();
        let mut order: Vec<&mut Lot> = self.lots.iter_mut().collect();
        // The order of age stays where nothing else tells them apart.
        order.sort_by_key(|lot| {
            let rank = named.iter().position(|code| lot.bears(code)).unwrap_or(named.len());
            (rank, !named.is_empty() && lot.code.is_some(), lot.is_past(day))
        });
        for lot in order {
            let taken = left.clone().min(lot.amount.clone());
            lot.amount = &lot.amount - &taken;
            left = &left - &taken;
        }
        self.owed = &self.owed + &left;
    }

    /// A count settles what there is.
    fn find(&mut self, moved: &Moved) {
        let held: Exact = self.lots.iter().map(|lot| &lot.amount).sum();
        self.owed = Exact::ZERO;
        if moved.amount < held {
            self.go(&(&held - &moved.amount), &[], moved.day.as_deref());
            return;
        }
        let over = &moved.amount - &held;
        let nameless = |lot: &&mut Lot| lot.code.is_none() && lot.since.is_none();
        match self.lots.iter_mut().find(nameless) {
            Some(lot) => lot.amount = &lot.amount + &over,
            // Nobody knows how old it is: it is used first.
            None => self.lots.insert(0, Lot::nameless(over)),
        }
    }

    /// What there is: nothing, where more went than came.
    #[must_use]
    pub fn on_hand(&self) -> Exact {
        self.sum.clone().max(Exact::ZERO)
    }

    /// Whether more went than came, so that something was never written down.
    #[must_use]
    pub fn is_below_nothing(&self) -> bool {
        self.sum.is_negative()
    }

    /// Whether it was ever counted, bought or made: what was only used is not kept track of.
    #[must_use]
    pub fn is_kept(&self) -> bool {
        self.follows_from.iter().any(|moved| !matches!(moved.what, Movement::Used | Movement::Spent))
    }

    /// What is past its day.
    #[must_use]
    pub fn past(&self, day: &str) -> Exact {
        self.lots.iter().filter(|lot| lot.is_past(Some(day))).map(|lot| &lot.amount).sum()
    }

    /// What there is that is not past its day.
    #[must_use]
    pub fn usable(&self, day: &str) -> Exact {
        &self.on_hand() - &self.past(day)
    }
}

impl Lot {
    fn nameless(amount: Exact) -> Lot {
        Lot { code: None, also: Vec::new(), amount, since: None, expires: None, from: None }
    }

    /// Whether it bears a code.
    #[must_use]
    pub fn bears(&self, code: &str) -> bool {
        self.code.iter().chain(&self.also).any(|own| own.eq_ignore_ascii_case(code))
    }

    /// Whether it is past its last day, which is its own still. Days are written so that their order is that of letters.
    #[must_use]
    pub fn is_past(&self, day: Option<&str>) -> bool {
        self.expires.as_deref().zip(day).is_some_and(|(expires, day)| expires < day)
    }

    /// What is left of it in grams, since when it is here and until when it may be used, as on a day.
    #[must_use]
    pub fn left_by(&self, day: &str) -> String {
        let until = match &self.expires {
            Some(expires) if self.is_past(Some(day)) => format!(", past its day since {expires}"),
            Some(expires) => format!(", to {expires}"),
            None => String::new(),
        };
        let since = self.since.as_ref().map(|since| format!(", since {since}")).unwrap_or_default();
        format!("{} g left{since}{until}", self.amount)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diagnostic::{FileId, Span};
    use proptest::prelude::*;

    fn moved(what: Movement, day: Option<u32>, amount: i64, lot: Option<&str>, expires: Option<u32>) -> Moved {
        Moved {
            what,
            day: day.map(date),
            amount: Exact::whole(amount),
            lots: lot.into_iter().map(SmolStr::new).collect(),
            expires: expires.map(date),
            from: None,
            batch: None,
            said: String::new(),
            place: Place { file: FileId(0), span: Span { start: 0, end: 0 } },
        }
    }

    fn date(day: u32) -> SmolStr {
        SmolStr::new(format!("2026-11-{day:02}"))
    }

    fn at(moved: Vec<Moved>, day: u32) -> Account {
        Account::at(moved, &date(day))
    }

    fn lots(account: &Account) -> Vec<(&str, String)> {
        account.lots.iter().map(|lot| (lot.code.as_deref().unwrap_or("-"), lot.amount.to_string())).collect()
    }

    use Movement::{Bought, Counted, Made, Spent, Used};

    #[test]
    fn a_count_holds_for_the_end_of_its_day() {
        let all = || {
            vec![
                moved(Counted, Some(5), 1000, None, None),
                moved(Bought, Some(5), 500, None, None),
                moved(Used, Some(5), 390, None, None),
                moved(Used, Some(6), 100, None, None),
                moved(Counted, Some(3), 7, None, None),
            ]
        };
        let account = at(all(), 30);
        assert_eq!((account.sum.to_string(), account.counted.clone()), ("900".to_string(), Some(date(5))));
        assert_eq!(account.follows_from.len(), 2);
        // As it was before.
        assert_eq!(at(all(), 5).sum.to_string(), "1000");
        assert_eq!(at(all(), 4).sum.to_string(), "7");
        assert!(at(all(), 2).sum.is_zero());
    }

    #[test]
    fn what_is_named_is_drawn_first_and_then_the_oldest_that_is_not_past_its_day() {
        let bought = || {
            vec![
                moved(Bought, Some(1), 100, Some("A"), Some(8)),
                moved(Bought, Some(2), 100, Some("B"), None),
                moved(Bought, Some(3), 100, Some("C"), None),
            ]
        };
        let with = |more: Moved| at([bought(), vec![more]].concat(), 30);
        assert_eq!(lots(&with(moved(Used, Some(4), 130, None, None))), [("B", "70".into()), ("C", "100".into())]);
        assert_eq!(
            lots(&with(moved(Used, Some(9), 130, None, None))),
            [("A", "100".into()), ("C", "70".into())],
            "A is past its day by then"
        );
        assert_eq!(lots(&with(moved(Used, Some(4), 130, Some("c"), None))), [("A", "70".into()), ("B", "100".into())]);
        // A count that finds less has lost the oldest; one that finds more has found what has no lot.
        assert_eq!(lots(&with(moved(Counted, Some(4), 150, None, None))), [("B", "50".into()), ("C", "100".into())]);
        let more = with(moved(Counted, Some(4), 310, None, None));
        assert_eq!(lots(&more).first(), Some(&("-", "10".into())));
        assert_eq!((more.past(&date(8)).to_string(), more.past(&date(9)).to_string()), ("0".into(), "100".into()));
        assert_eq!(more.usable(&date(9)).to_string(), "210");
    }

    #[test]
    fn what_goes_below_nothing_is_told_and_taken_out_of_nothing_that_comes() {
        let gone = || vec![moved(Bought, Some(1), 50, Some("A"), None), moved(Used, Some(2), 80, None, None)];
        let below = at(gone(), 30);
        assert!(below.is_below_nothing() && below.on_hand().is_zero() && below.lots.is_empty());
        let good = at([gone(), vec![moved(Made, Some(3), 100, Some("B"), None)]].concat(), 30);
        assert_eq!((good.sum.to_string(), lots(&good)), ("100".to_string(), vec![("B", "100".into())]));
        assert_eq!(good.lacked, [Lacked { amount: Exact::whole(30), until: Some(date(3)) }]);
        // A count settles it, and what went before anything was kept is not told of.
        let settled = at([gone(), vec![moved(Counted, Some(4), 10, None, None)]].concat(), 30);
        assert!(settled.lacked.is_empty() && !settled.is_below_nothing());
        let early = vec![moved(Used, Some(1), 80, None, None), moved(Bought, Some(2), 50, None, None)];
        let early = at(early, 30);
        assert_eq!((early.sum.to_string(), early.lacked.len()), ("50".to_string(), 0));
        assert!(!at(vec![moved(Used, Some(2), 80, None, None)], 30).is_kept());
    }

    fn any_moved() -> impl Strategy<Value = Moved> {
        let what =
            prop_oneof![Just(Counted), Just(Bought), Just(Bought), Just(Made), Just(Used), Just(Used), Just(Spent)];
        let day = prop_oneof![9 => (1u32..20).prop_map(Some), 1 => Just(None)];
        let lot = prop_oneof![Just(None), Just(Some("A")), Just(Some("B")), Just(Some("C"))];
        (what, day, 0i64..200, lot, proptest::option::of(1u32..30)).prop_map(|(what, day, amount, lot, expires)| {
            let is_undated = day.is_none() && what != Used;
            moved(what, if is_undated { Some(1) } else { day }, amount, lot, expires)
        })
    }

    /// By hand: a heap from which each day is taken what went, and to which is put what came; whoever counts sees the heap
    /// of the evening.
    fn by_hand(all: &[Moved], last: u32) -> i64 {
        let grams = |moved: &Moved| i64::from(moved.amount.to_u32().unwrap());
        let mut heap = 0;
        let mut evening = |today: &[&Moved]| {
            let mut in_order = today.to_vec();
            in_order.sort_by_key(|moved| moved.what);
            for moved in in_order {
                // A heap that is gone is no debt of what comes.
                heap = match moved.what {
                    Bought | Made => heap.max(0) + grams(moved),
                    Used | Spent => heap - grams(moved),
                    Counted => heap,
                };
            }
            heap = today.iter().rfind(|moved| moved.what == Counted).map_or(heap, |moved| grams(moved));
        };
        for day in 1..=last {
            evening(&all.iter().filter(|moved| moved.day == Some(date(day))).collect::<Vec<_>>());
        }
        evening(&all.iter().filter(|moved| moved.day.is_none()).collect::<Vec<_>>());
        heap
    }

    proptest! {
        /// Nothing is counted twice, and nothing is left out: the sum is that of the heap, and the lots are all of it.
        #[test]
        fn the_sum_is_that_of_the_heap_and_the_lots_add_up_to_it(
            all in proptest::collection::vec(any_moved(), 0..25), last in 1u32..25,
        ) {
            let account = at(all.clone(), last);
            prop_assert_eq!(account.sum.clone(), Exact::whole(by_hand(&all, last)));
            let held: Exact = account.lots.iter().map(|lot| &lot.amount).sum();
            prop_assert!(account.lots.iter().all(|lot| lot.amount.is_positive()));
            prop_assert_eq!(&held - &account.owed, account.sum.clone());
            prop_assert_eq!(held, account.on_hand());
            prop_assert!(!account.usable(&date(last)).is_negative());
        }
    }
}
