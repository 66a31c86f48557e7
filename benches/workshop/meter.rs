//! A meter as it is: its offset, its slope about pH 7, what it loses in strong alkali, its noise, and the hand that
//! writes its readings down.

use super::Workshop;
use super::chance::Chance;

/// The deviation of one reading about what the meter shows on the average, in pH.
const NOISE: f64 = 0.05;
/// A glass electrode shows less than there is past this pH, by a share of what is past it (common practice, no source).
const ALKALI: (f64, f64) = (11.0, 0.05);
/// A slip is as large as this at the least, in pH: a smaller one is nothing that any reading could show.
const SLIP: f64 = 0.6;

/// A meter.
#[derive(Clone, Copy, Debug)]
pub struct Meter {
    /// What it shows too much at pH 7.
    pub offset: f64,
    /// Its slope as a share of the ideal one.
    pub slope: f64,
}

impl Meter {
    /// One of a workshop.
    pub fn draw(workshop: &Workshop, chance: &mut Chance) -> Meter {
        Meter { offset: workshop.offset * chance.normal(), slope: chance.between(workshop.slope.0, workshop.slope.1) }
    }

    /// What it shows of a pH, to two places.
    pub fn shows(&self, ph: f64, chance: &mut Chance) -> f64 {
        let lost = ALKALI.1 * (ph - ALKALI.0).max(0.0);
        let shown = 7.0 + self.slope * (ph - lost - 7.0) + self.offset + NOISE * chance.normal();
        (shown * 100.0).round() / 100.0
    }

    /// Sets it to a buffer.
    pub fn set(&mut self, buffer: f64) {
        self.offset = (1.0 - self.slope) * (buffer - 7.0);
    }
}

/// A reading as a hand in a hurry writes it down: two digits swapped, one wrong, or the point one place off. What is no
/// pH is refused by the program, and typed once more.
pub fn typed_wrong(reading: f64, chance: &mut Chance) -> f64 {
    let hundredths = (reading * 100.0).round() as i64;
    for _ in 0..200 {
        let mut digits: Vec<char> = format!("{hundredths:03}").chars().collect();
        let at = chance.below(digits.len() as u64 - 1) as usize;
        let wrong = match chance.below(4) {
            0 | 1 => {
                digits.swap(at, at + 1);
                digits.iter().collect::<String>().parse::<f64>().unwrap() / 100.0
            }
            2 => {
                digits[at] = char::from(b'0' + chance.below(10) as u8);
                digits.iter().collect::<String>().parse::<f64>().unwrap() / 100.0
            }
            _ => (reading * 10.0).round() / 100.0,
        };
        if (0.0..=14.0).contains(&wrong) && (wrong - reading).abs() >= SLIP {
            return wrong;
        }
    }
    reading
}
