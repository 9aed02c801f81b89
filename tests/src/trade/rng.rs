//! A small generator of repeatable choices.

/// The mixing step of SplitMix64 (Steele, Lea, Flood: "Fast splittable pseudorandom number generators", 2014).
#[derive(Clone, Debug)]
pub struct Rng(u64);

impl Rng {
    #[must_use]
    pub fn new(seed: u64) -> Self {
        Self(seed)
    }

    pub fn bits(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// From `0` to `n - 1`; 0 for `n` = 0.
    pub fn below(&mut self, n: usize) -> usize {
        if n == 0 { 0 } else { usize::try_from(self.bits() % n as u64).unwrap_or(0) }
    }

    /// True in `percent` of all cases.
    pub fn chance(&mut self, percent: usize) -> bool {
        self.below(100) < percent
    }

    pub fn pick<T: Copy>(&mut self, from: &[T]) -> T {
        from[self.below(from.len())]
    }

    pub fn between(&mut self, least: f64, most: f64) -> f64 {
        least + (most - least) * (self.below(10_001) as f64 / 10_000.0)
    }
}
