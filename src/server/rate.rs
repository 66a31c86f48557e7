//! How much is taken at once and in a while: what comes beyond it is turned away with a word, and costs next to nothing.

use std::sync::{Mutex, PoisonError};
use std::time::Instant;

/// So many requests may come all at once.
const AT_ONCE: f64 = 300.0;
/// And so many a second after that.
const A_SECOND: f64 = 60.0;

/// A measure of requests that fills up by itself.
pub struct Rate {
    left: Mutex<(f64, Instant)>,
}

impl Rate {
    /// A full one.
    pub fn new() -> Rate {
        Rate { left: Mutex::new((AT_ONCE, Instant::now())) }
    }

    /// Takes one request from it, where there is one left.
    pub fn takes(&self) -> bool {
        self.takes_at(Instant::now())
    }

    fn takes_at(&self, now: Instant) -> bool {
        let mut left = self.left.lock().unwrap_or_else(PoisonError::into_inner);
        let filled = left.0 + now.saturating_duration_since(left.1).as_secs_f64() * A_SECOND;
        let (filled, takes) = match filled.min(AT_ONCE) {
            filled if filled >= 1.0 => (filled - 1.0, true),
            filled => (filled, false),
        };
        *left = (filled, now);
        takes
    }
}

#[cfg(test)]
mod tests {
    use super::{A_SECOND, AT_ONCE, Rate};
    use std::time::{Duration, Instant};

    #[test]
    fn a_flood_is_turned_away_and_a_second_later_there_is_room() {
        let (rate, now) = (Rate::new(), Instant::now());
        let taken = (0..1000).filter(|_| rate.takes_at(now)).count();
        assert_eq!(taken as f64, AT_ONCE);
        let later = now + Duration::from_secs(1);
        let taken = (0..1000).filter(|_| rate.takes_at(later)).count();
        assert!((taken as f64 - A_SECOND).abs() <= 1.0, "{taken}");
    }
}
