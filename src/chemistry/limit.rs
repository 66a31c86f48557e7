//! Where figures lead that come nearer to something by the same share each time.

/// The last two figures, and how many there have been.
#[derive(Default)]
pub struct Limit {
    before: [f64; 2],
    seen: u8,
}

impl Limit {
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
        // Nought and this only: the next figure is the first that it leads to.
        (self.before, self.seen) = ([0.0, limit], 1);
        // Shares that grow lead nowhere.
        let grows = last.abs() >= (second - first).abs();
        if grows || !limit.is_finite() {
            self.before = [0.0, figure];
            return figure;
        }
        limit
    }
}

#[cfg(test)]
mod tests {
    use super::Limit;

    /// By hand: 1 + 1/3 + 1/9 and on leads to 1.5.
    #[test]
    fn a_series_has_a_limit() {
        let mut limit = Limit::default();
        assert_eq!((limit.after(1.0), limit.after(4.0 / 3.0)), (1.0, 4.0 / 3.0));
        assert!((limit.after(13.0 / 9.0) - 1.5).abs() < 1e-14);
    }

    #[test]
    fn what_stays_is_its_own_limit() {
        let mut limit = Limit::default();
        assert_eq!([0.25; 5].map(|figure| limit.after(figure)), [0.25; 5]);
        let mut limit = Limit::default();
        assert_eq!([1.0, 2.0, 4.0].map(|figure| limit.after(figure)), [1.0, 2.0, 4.0]);
    }
}
