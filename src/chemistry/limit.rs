//! Where figures lead that come nearer to something by the same share each time.

/// The last two figures, and how many there have been.
pub struct Limit {
    before: [f64; 2],
    seen: u8,
}

impl Limit {
    /// Of figures of which this is the first.
    pub fn from(first: f64) -> Limit {
        Limit { before: [0.0, first], seen: 1 }
    }

    /// Where they lead, told at every third (Aitken); the figure itself where not.
    pub fn after(&mut self, figure: f64) -> f64 {
        let [first, second] = self.before;
        if self.seen < 2 {
            self.before = [second, figure];
            self.seen += 1;
            return figure;
        }
        let (last, bend) = (figure - second, (figure - second) - (second - first));
        let limit = figure - last * last / bend;
        // Shares that grow lead nowhere.
        let grows = last.abs() >= (second - first).abs();
        let limit = if grows || !limit.is_finite() { figure } else { limit };
        *self = Limit::from(limit);
        limit
    }
}

#[cfg(test)]
mod tests {
    use super::Limit;

    /// By hand: 1 + 1/3 + 1/9 and on leads to 1.5.
    #[test]
    fn a_series_has_a_limit() {
        let mut limit = Limit::from(1.0);
        assert_eq!(limit.after(4.0 / 3.0), 4.0 / 3.0);
        assert!((limit.after(13.0 / 9.0) - 1.5).abs() < 1e-14);
    }

    #[test]
    fn what_stays_is_its_own_limit() {
        let mut limit = Limit::from(0.25);
        assert_eq!([0.25; 5].map(|figure| limit.after(figure)), [0.25; 5]);
        let mut limit = Limit::from(1.0);
        assert_eq!([2.0, 4.0].map(|figure| limit.after(figure)), [2.0, 4.0]);
    }
}
