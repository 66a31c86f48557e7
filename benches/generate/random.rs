//! Figures that look drawn by chance and are the same on every machine and in every run.

/// A row of numbers from one seed: additive steps, each stirred by shifts and multiplications. Enough to vary a text;
/// no claim beyond that.
pub struct Random(u64);

impl Random {
    /// A row of its own for each seed.
    pub fn new(seed: u64) -> Random {
        Random(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15))
    }

    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let stirred = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        let stirred = (stirred ^ (stirred >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        stirred ^ (stirred >> 31)
    }

    /// A number under `bound`.
    pub fn below(&mut self, bound: usize) -> usize {
        let bound = u64::try_from(bound.max(1)).unwrap_or(u64::MAX);
        usize::try_from(self.next() % bound).unwrap_or(0)
    }

    /// A number from `low` to `high`, both included.
    pub fn between(&mut self, low: u32, high: u32) -> u32 {
        low + u32::try_from(self.below((high - low + 1) as usize)).unwrap_or(0)
    }

    /// Whether something that comes up once in `times` comes up.
    pub fn once_in(&mut self, times: usize) -> bool {
        self.below(times) == 0
    }

    /// One of several.
    pub fn pick<'t, T>(&mut self, from: &'t [T]) -> &'t T {
        from.get(self.below(from.len())).expect("something to pick from")
    }
}
