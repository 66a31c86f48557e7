//! The plane of a drawing: from figures to places, to a hundredth of a unit, a line through points without corners, and
//! text as a drawing can hold it.

use crate::render::shown;
use std::fmt::Write as _;

/// A plane with an axis to the right and one upwards.
#[derive(Clone, Copy, Debug)]
pub(super) struct Plot {
    /// Where it begins and ends, from the left.
    pub across: (f64, f64),
    /// Where it begins and ends, from the top.
    pub down: (f64, f64),
    /// The figures from left to right.
    pub x: (f64, f64),
    /// The figures from the foot to the head.
    pub y: (f64, f64),
}

impl Plot {
    /// Where a figure lies, from the left.
    pub fn left(&self, x: f64) -> f64 {
        self.across.0 + (x - self.x.0) / (self.x.1 - self.x.0) * (self.across.1 - self.across.0)
    }

    /// Where a figure lies, from the top.
    pub fn top(&self, y: f64) -> f64 {
        self.down.1 - (y - self.y.0) / (self.y.1 - self.y.0) * (self.down.1 - self.down.0)
    }

    /// A smooth line through points.
    pub fn smooth(&self, points: &[(f64, f64)]) -> String {
        smooth(&self.placed(points))
    }

    /// The area between two lines.
    pub fn between(&self, one: &[(f64, f64)], other: &[(f64, f64)]) -> String {
        let mut back = self.placed(other);
        back.reverse();
        format!("{}L{}Z", smooth(&self.placed(one)), smooth(&back).trim_start_matches('M'))
    }

    fn placed(&self, points: &[(f64, f64)]) -> Vec<(f64, f64)> {
        points.iter().map(|(x, y)| (self.left(*x), self.top(*y))).collect()
    }
}

/// A place as it is written: to a hundredth of a unit.
pub(super) fn at(place: f64) -> String {
    let text = format!("{place:.2}");
    let short = text.trim_end_matches('0').trim_end_matches('.');
    if short == "-0" { "0".to_string() } else { short.to_string() }
}

/// Text of a file within a drawing. What XML 1.0 has no way to write is a mark.
pub(super) fn for_xml(text: &str) -> String {
    shown(text).replace(['\u{fffe}', '\u{ffff}'], "\u{fffd}")
}

/// Even figures between two, some so many of them: 1, 2 or 5 by a power of ten apart. With how many decimals they are
/// written.
pub(super) fn ticks(from: f64, to: f64, about: f64) -> (Vec<f64>, usize) {
    let rough = (to - from) / about;
    if !(rough.is_finite() && rough > 0.0) {
        return (Vec::new(), 0);
    }
    let power = rough.log10().floor();
    let ten = 10_f64.powf(power);
    let step =
        [1.0, 2.0, 5.0, 10.0].into_iter().map(|of| of * ten).find(|step| *step >= rough * 0.999).unwrap_or(ten * 10.0);
    let decimals = (-(step.log10() + 1e-9).floor()).max(0.0) as usize;
    let first = (from / step - 1e-6).ceil();
    let count = ((to / step + 1e-6).floor() - first).max(0.0) as u32;
    ((0..=count.min(40)).map(|number| (first + f64::from(number)) * step).collect(), decimals)
}

/// A path through places by cubic pieces that go past none of them: monotone where the places are, by the slopes of
/// Fritsch and Carlson, "Monotone Piecewise Cubic Interpolation", SIAM J. Numer. Anal. 17 (1980), 238.
fn smooth(places: &[(f64, f64)]) -> String {
    let mut path = String::new();
    let Some((x, y)) = places.first() else { return path };
    // Writing to a string cannot fail.
    let _ = write!(path, "M{} {}", at(*x), at(*y));
    let slopes = slopes(places);
    for (pair, slope) in places.windows(2).zip(slopes.windows(2)) {
        let ([(x0, y0), (x1, y1)], [from, till]) = (pair, slope) else { continue };
        let third = (x1 - x0) / 3.0;
        let _ = if third == 0.0 {
            write!(path, "L{} {}", at(*x1), at(*y1))
        } else {
            let (first, second) = (y0 + from * third, y1 - till * third);
            write!(path, "C{} {} {} {} {} {}", at(x0 + third), at(first), at(x1 - third), at(second), at(*x1), at(*y1))
        };
    }
    path
}

/// The slope at each place.
fn slopes(places: &[(f64, f64)]) -> Vec<f64> {
    let steps: Vec<f64> = places
        .windows(2)
        .map(|pair| match pair {
            [(x0, y0), (x1, y1)] if x1 != x0 => (y1 - y0) / (x1 - x0),
            _ => 0.0,
        })
        .collect();
    let (Some(first), Some(last)) = (steps.first(), steps.last()) else { return vec![0.0; places.len()] };
    let inner = steps.windows(2).map(|pair| match pair {
        // The harmonic mean keeps to both neighbours, and is level at a turn.
        [before, after] if before * after > 0.0 => 2.0 * before * after / (before + after),
        _ => 0.0,
    });
    std::iter::once(*first).chain(inner).chain([*last]).collect()
}

#[cfg(test)]
mod tests {
    use super::{Plot, at, ticks};

    #[test]
    fn places_are_written_short() {
        assert_eq!([at(1.0), at(2.345), at(-0.001), at(10.5)], ["1", "2.35", "0", "10.5"]);
    }

    #[test]
    fn ticks_are_even() {
        assert_eq!(ticks(0.0, 6.2, 6.0), (vec![0.0, 2.0, 4.0, 6.0], 0));
        let (found, decimals) = ticks(0.0, 1.5, 6.0);
        assert!(decimals == 1 && found.len() == 4, "{found:?}");
        assert!(ticks(0.0, 0.0, 5.0).0.is_empty() && ticks(0.0, f64::NAN, 5.0).0.is_empty());
    }

    #[test]
    fn a_level_piece_stays_level() {
        let plot = Plot { across: (0.0, 10.0), down: (0.0, 10.0), x: (0.0, 10.0), y: (0.0, 10.0) };
        let path = plot.smooth(&[(0.0, 5.0), (5.0, 5.0), (10.0, 8.0)]);
        assert_eq!(path, "M0 5C1.67 5 3.33 5 5 5C6.67 5 8.33 3 10 2");
    }
}
