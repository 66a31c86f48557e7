//! Chance that falls the same each time.

/// A stream of numbers: SplitMix64 (Steele, Lea and Flood 2014).
#[derive(Clone, Debug)]
pub struct Chance(u64);

impl Chance {
    /// The stream of a number.
    pub fn new(number: u64) -> Chance {
        let mut chance = Chance(number.wrapping_mul(0x9e37_79b9_7f4a_7c15) ^ 0x5ee1_c0de);
        chance.next();
        chance
    }

    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        mixed ^ (mixed >> 31)
    }

    /// A whole number below one.
    pub fn below(&mut self, most: u64) -> u64 {
        self.next() % most
    }

    /// Evenly between two.
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * ((self.next() >> 11) as f64 / (1_u64 << 53) as f64)
    }

    /// Normal, of middle nought and deviation 1 (Box and Muller 1958).
    pub fn normal(&mut self) -> f64 {
        let radius = (-2.0 * self.between(1e-12, 1.0).ln()).sqrt();
        radius * (std::f64::consts::TAU * self.between(0.0, 1.0)).cos()
    }
}
