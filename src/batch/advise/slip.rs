//! A slip of the pen: one reading that all others, with weights and chemistry, contradict.

use super::posterior::Posterior;
use super::priors;
use super::situation::Situation;
use super::titration::Titration;

/// A reading that may have been written down wrong.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Slip {
    /// Which, from nought.
    pub number: usize,
    /// Its share of all explanations.
    pub share: f64,
    /// What was likely meant; none where nothing like it would fit.
    pub meant: Option<f64>,
}

/// The slips that the readings speak for.
#[derive(Clone, Debug)]
pub struct Slips<'c> {
    /// All of them, the likeliest first.
    pub all: Vec<Slip>,
    /// What is thought without the likeliest of them, where that is likelier than all else.
    pub without_likeliest: Option<Posterior<'c>>,
}

impl<'c> Slips<'c> {
    /// Weighs them. Readings that are explained well without are not looked into.
    #[must_use]
    pub fn of(situation: &Situation, titration: &'c Titration, posterior: &Posterior<'c>) -> Slips<'c> {
        let mut slips = Slips { all: Vec::new(), without_likeliest: None };
        if posterior.share(None) >= priors::LOOKED_INTO && posterior.worst_of_best() <= priors::FITS {
            return slips;
        }
        let all = (0..situation.readings.len()).filter_map(|number| {
            let without = Posterior::without(situation, titration, Some(number));
            // Where the others are no better explained, they do not contradict it: several that agree are no slip.
            if without.worst_of_best() > priors::FITS {
                return None;
            }
            let (log_share, meant) = weigh(situation, number, &without)?;
            Some((Slip { number, share: log_share, meant }, without))
        });
        let mut all: Vec<(Slip, Posterior<'c>)> = all.collect();
        all.sort_by(|(one, _), (other, _)| other.share.total_cmp(&one.share));
        let most = all.first().map_or(f64::NEG_INFINITY, |(slip, _)| slip.share).max(posterior.log_chance);
        let of = |log_share: f64| (log_share - most).exp();
        let whole = of(posterior.log_chance) + all.iter().map(|(slip, _)| of(slip.share)).sum::<f64>();
        for (slip, _) in &mut all {
            slip.share = of(slip.share) / whole;
        }
        slips.all = all.iter().map(|(slip, _)| *slip).collect();
        slips.without_likeliest = all.into_iter().next().filter(|(slip, _)| slip.share >= 0.5).map(|(_, by)| by);
        slips
    }

    /// The share of all of them.
    #[must_use]
    pub fn share(&self) -> f64 {
        self.all.iter().map(|slip| slip.share).sum()
    }
}

/// The logarithm of how likely it is that the other readings are as they are and this one was written down wrong, on the
/// scale of what is likely of all; and what was meant.
fn weigh(situation: &Situation, number: usize, without: &Posterior<'_>) -> Option<(f64, Option<f64>)> {
    // A reading is written to this.
    const PLACE: f64 = 0.01;
    let typed = situation.readings.get(number)?.reading;
    let meant = meant_by(typed)
        .into_iter()
        .map(|(figure, share)| (figure, share * PLACE * without.reading_density(situation, number, figure)));
    let meant: Vec<(f64, f64)> = meant.collect();
    let likeliest = meant.iter().fold(
        (None, 0.0),
        |best, (figure, share)| {
            if *share > best.1 { (Some(*figure), *share) } else { best }
        },
    );
    let anything = priors::ANY_FIGURE * PLACE / 14.0;
    let mass = meant.iter().map(|(_, share)| share).sum::<f64>() + anything;
    let log_share = priors::SLIP.ln() + without.log_chance + (mass / PLACE).ln();
    log_share.is_finite().then_some((log_share, likeliest.0.filter(|_| likeliest.1 > anything)))
}

/// What may have been meant by a figure that was typed, and the share of such slips that make the one of the other: two
/// digits swapped, a decimal point one place off, a digit too many, a wrong digit.
fn meant_by(typed: f64) -> Vec<(f64, f64)> {
    if !(0.0..1000.0).contains(&typed) {
        return Vec::new();
    }
    let hundredths = format!("{:.0}", typed * 100.0);
    let digits: Vec<char> = format!("{hundredths:0>3}").chars().collect();
    let mut meant: Vec<(f64, f64)> = Vec::new();
    let mut put = |digits: Vec<char>, share: f64| {
        let figure = digits.into_iter().collect::<String>().parse::<f64>();
        meant.extend(figure.ok().map(|figure| figure / 100.0).filter(|figure| *figure <= 14.0).map(|it| (it, share)));
    };
    for at in 1..digits.len() {
        let mut swapped = digits.clone();
        swapped.swap(at - 1, at);
        put(swapped, priors::SWAPPED / (digits.len() - 1) as f64);
    }
    for at in 0..digits.len() {
        let mut short = digits.clone();
        short.remove(at);
        put(short, priors::TOO_MANY / digits.len() as f64);
        for digit in '0'..='9' {
            let mut other = digits.clone();
            if let Some(own) = other.get_mut(at) {
                *own = digit;
            }
            put(other, priors::WRONG_DIGIT / (9 * digits.len()) as f64);
        }
    }
    meant.extend([typed / 10.0, typed * 10.0].into_iter().filter(|it| *it <= 14.0).map(|it| (it, priors::POINT_OFF)));
    meant.retain(|(figure, _)| (figure - typed).abs() > 1e-9);
    meant
}

#[cfg(test)]
mod tests {
    use super::meant_by;

    #[test]
    fn what_was_meant_is_among_what_may_have_been() {
        for (typed, meant) in [(8.36, 3.86), (3.68, 3.86), (38.6, 3.86), (0.39, 3.9), (13.86, 3.86), (3.36, 3.86)] {
            assert!(meant_by(typed).iter().any(|(figure, _)| (figure - meant).abs() < 0.006), "{typed} {meant}");
        }
        assert!(meant_by(f64::NAN).is_empty() && meant_by(-1.0).is_empty());
    }
}
