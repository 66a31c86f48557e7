//! How long a product keeps, as a label says it: a date up to thirty months, else how long once it is open.

use crate::model::Duration;
use crate::quantity::Exact;
use crate::syntax::vocabulary::Market;
use jiff::civil::Date;
use jiff::{Span, ToSpan as _};

/// The longest life that still asks for a date, in months: "more than 30" is free of it (Regulation (EC) No 1223/2009,
/// Art. 19(1)(c)).
const DATED: i64 = 30;

/// The most days that a month has: so many always are one.
const MONTH_DAYS: i64 = 31;

/// The seconds of a day.
const DAY: i64 = 86_400;

/// What a label says of how long a product keeps.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Life {
    /// Which way it is said.
    pub kind: LifeKind,
    /// The date as it is printed, `10/2027`, or the time once open, `6M`; none where it is not known.
    pub text: Option<String>,
}

/// Which way a label says how long a product keeps.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LifeKind {
    /// By a date.
    BestBefore,
    /// By how long it keeps once open.
    AfterOpening,
    /// It has to say so and nobody has.
    Missing,
    /// The market asks for neither.
    NoneRequired,
}

impl LifeKind {
    /// As JSON has it.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            LifeKind::BestBefore => "best-before",
            LifeKind::AfterOpening => "period-after-opening",
            LifeKind::Missing => "missing",
            LifeKind::NoneRequired => "none-required",
        }
    }
}

impl Life {
    /// The words on the jar, with a blank where the date is not known before a batch is made.
    #[must_use]
    pub fn words(&self) -> Option<String> {
        match (self.kind, &self.text) {
            (LifeKind::BestBefore, Some(date)) => Some(format!("Best used before the end of {date}")),
            (LifeKind::AfterOpening, Some(time)) => Some(format!("Sign of the open jar, {time}")),
            _ => None,
        }
    }
}

/// How long a product keeps in a market: `lasts` unopened, `opened` once open, begun on a day where there is a batch.
#[must_use]
pub fn life(market: Market, lasts: Option<&Duration>, opened: Option<&Duration>, started: Option<&str>) -> Life {
    if market == Market::Us {
        return Life { kind: LifeKind::NoneRequired, text: None };
    }
    match lasts {
        None => Life { kind: LifeKind::Missing, text: None },
        Some(lasts) if is_dated(lasts) => {
            Life { kind: LifeKind::BestBefore, text: started.and_then(|started| best_before(started, lasts)) }
        }
        Some(_) => match opened.and_then(once_open) {
            Some(text) => Life { kind: LifeKind::AfterOpening, text: Some(text) },
            None => Life { kind: LifeKind::Missing, text: None },
        },
    }
}

/// Whether it asks for a date. What is counted in days is over thirty months only once it is more than so many months
/// can have.
fn is_dated(lasts: &Duration) -> bool {
    match lasts {
        Duration::Months(months) => *months <= Exact::whole(DATED),
        Duration::Seconds(seconds) => *seconds <= Exact::whole(DATED * MONTH_DAYS * DAY),
    }
}

/// The last month that is over when the product is, or the day itself where no month is: nothing is promised beyond. A
/// time in months ends on the day of the month that it began on, or on the last where there is no such day (Regulation
/// (EEC, Euratom) No 1182/71, Art. 3(2)(c), from memory).
fn best_before(started: &str, lasts: &Duration) -> Option<String> {
    let start = started.parse::<Date>().ok()?;
    let end = start.checked_add(span(lasts)?).ok()?;
    let whole = if end == end.last_of_month() { end } else { end.first_of_month().checked_sub(1.day()).ok()? };
    Some(match whole > start {
        true => format!("{:02}/{:04}", whole.month(), whole.year()),
        false => format!("{:02}/{:02}/{:04}", end.day(), end.month(), end.year()),
    })
}

/// A time by the calendar, cut down to whole months or days.
fn span(lasts: &Duration) -> Option<Span> {
    let one = Exact::whole(1);
    match lasts {
        Duration::Months(months) => Span::new().try_months(months.down_to_step(&one).to_u32()?).ok(),
        Duration::Seconds(seconds) => {
            let days = seconds.over(&Exact::whole(DAY))?.down_to_step(&one);
            Span::new().try_days(days.to_u32()?).ok()
        }
    }
}

/// The time beside the sign of the open jar: whole months, `6M`; days where it is less than one. None where it is less
/// than a day.
fn once_open(opened: &Duration) -> Option<String> {
    let one = Exact::whole(1);
    let months = match opened {
        Duration::Months(months) => months.down_to_step(&one),
        Duration::Seconds(seconds) => seconds.over(&Exact::whole(DAY * MONTH_DAYS))?.down_to_step(&one),
    };
    if months.is_positive() {
        return Some(format!("{months}M"));
    }
    let Duration::Seconds(seconds) = opened else { return None };
    let days = seconds.over(&Exact::whole(DAY))?.down_to_step(&one);
    days.is_positive().then(|| format!("{days} d"))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn months(count: i64) -> Duration {
        Duration::Months(Exact::whole(count))
    }

    fn days(count: i64) -> Duration {
        Duration::Seconds(Exact::whole(count * DAY))
    }

    fn said(lasts: &Duration, started: &str) -> (LifeKind, Option<String>) {
        let life = life(Market::Eu, Some(lasts), Some(&months(6)), Some(started));
        (life.kind, life.text)
    }

    #[test]
    fn d1_a_date_up_to_and_with_thirty_months() {
        assert_eq!(said(&months(30), "2026-11-20"), (LifeKind::BestBefore, Some("04/2029".to_string())));
    }

    #[test]
    fn d2_the_open_jar_over_thirty_months() {
        assert_eq!(said(&months(31), "2026-11-20"), (LifeKind::AfterOpening, Some("6M".to_string())));
        let none = life(Market::Eu, Some(&months(36)), None, None);
        assert_eq!((none.kind, none.text), (LifeKind::Missing, None));
        // 930 days are thirty months at the longest.
        assert_eq!(said(&days(930), "2026-11-20").0, LifeKind::BestBefore);
        assert_eq!(said(&days(931), "2026-11-20").0, LifeKind::AfterOpening);
    }

    #[test]
    fn d2_the_open_jar_never_says_more_than_it_keeps() {
        assert_eq!(once_open(&days(90)).as_deref(), Some("2M"));
        assert_eq!(once_open(&days(93)).as_deref(), Some("3M"));
        assert_eq!(once_open(&days(20)).as_deref(), Some("20 d"));
        assert_eq!(once_open(&Duration::Seconds(Exact::whole(60))), None);
    }

    #[test]
    fn d4_a_month_is_printed_only_if_it_is_over_by_then() {
        let text = |lasts: &Duration, started: &str| said(lasts, started).1.unwrap();
        assert_eq!(text(&months(12), "2026-11-20"), "10/2027");
        assert_eq!(text(&months(12), "2026-12-01"), "11/2027");
        // The last hour of the last of the month is over with the month.
        assert_eq!(text(&months(12), "2026-11-30"), "11/2027");
        assert_eq!(text(&months(12), "2026-11-29"), "10/2027");
        // A day that the month does not have is its last.
        assert_eq!(text(&months(3), "2026-11-30"), "02/2027");
        assert_eq!(text(&months(15), "2026-11-30"), "02/2028");
    }

    #[test]
    fn d4_the_day_itself_where_no_month_is_over() {
        let text = |lasts: &Duration, started: &str| said(lasts, started).1.unwrap();
        assert_eq!(text(&days(14), "2026-11-05"), "19/11/2026");
        assert_eq!(text(&days(40), "2026-11-05"), "30/11/2026".get(3..).unwrap());
        assert_eq!(text(&days(14), "2026-11-30"), "14/12/2026");
    }

    #[test]
    fn d5_nothing_is_worked_out_where_nobody_says_how_long_it_keeps() {
        let none = life(Market::Eu, None, Some(&months(6)), Some("2026-11-20"));
        assert_eq!((none.kind, none.text), (LifeKind::Missing, None));
    }

    #[test]
    fn d6_none_is_asked_for_in_the_us() {
        let none = life(Market::Us, None, None, None);
        assert_eq!((none.kind, none.text), (LifeKind::NoneRequired, None));
    }

    #[test]
    fn without_a_batch_the_date_is_a_blank() {
        let life = life(Market::Uk, Some(&months(12)), None, None);
        assert_eq!((life.kind, life.text), (LifeKind::BestBefore, None));
    }

    #[test]
    fn a_day_past_every_calendar_is_none() {
        assert_eq!(best_before("9999-12-01", &months(12)), None);
        assert_eq!(best_before("soon", &months(12)), None);
    }
}
