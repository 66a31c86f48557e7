//! Points that fill a cube evenly, the same each time, and the bell curve.

/// Bases of the sequence: one prime for each dimension.
const PRIMES: [u32; 5] = [2, 3, 5, 7, 11];
/// The first points of the sequence lie on lines, and are left out.
const SKIPPED: u32 = 29;

/// Point `number` of the sequence of Halton (1960) in five dimensions, each coordinate between 0 and 1.
#[must_use]
pub fn point(number: u32) -> [f64; 5] {
    PRIMES.map(|base| mirrored(number + SKIPPED, base))
}

/// The digits of a number in a base, mirrored behind the point.
fn mirrored(mut number: u32, base: u32) -> f64 {
    let (mut value, mut place) = (0.0, 1.0);
    while number > 0 {
        place /= f64::from(base);
        value += place * f64::from(number % base);
        number /= base;
    }
    value
}

/// The value that a normal deviate of middle nought and deviation 1 stays below with a chance of `share`, by Tukey's
/// lambda: within 0.01 up to three deviations. `share` lies between 0 and 1.
#[must_use]
pub fn normal(share: f64) -> f64 {
    const LAMBDA: f64 = 0.135;
    let share = share.clamp(1e-6, 1.0 - 1e-6);
    (share.powf(LAMBDA) - (1.0 - share).powf(LAMBDA)) / 0.1975
}

/// The chance that a normal deviate stays below a value, within 0.0004.
#[inline]
#[must_use]
pub fn below(value: f64) -> f64 {
    0.5 * (1.0 + (0.797_884_56 * value * (1.0 + 0.044_715 * value * value)).tanh())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: tables of the normal distribution.
    #[test]
    fn the_bell_curve_is_the_one_of_the_tables() {
        for (value, share) in [(-2.326, 0.01), (-1.0, 0.1587), (0.0, 0.5), (1.645, 0.95)] {
            assert!((normal(share) - value).abs() < 0.02, "{share}");
            assert!((below(value) - share).abs() < 0.001, "{value}");
        }
    }

    #[test]
    fn points_fill_the_cube_evenly() {
        let count = 2000;
        for dimension in 0..5 {
            let mean = (0..count).map(|number| point(number)[dimension]).sum::<f64>() / f64::from(count);
            assert!((mean - 0.5).abs() < 0.005, "{dimension}: {mean}");
        }
    }
}
