//! A small generator: the same seed gives the same barn.

/// SplitMix64 (Steele, Lea and Flood, "Fast splittable pseudorandom number generators", 2014).
pub struct Random(u64);

impl Random {
    pub const fn new(seed: u64) -> Self {
        Self(seed)
    }

    const fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// From 0 to below 1.
    #[allow(clippy::cast_precision_loss, reason = "53 bits are exact")]
    pub fn unit(&mut self) -> f64 {
        (self.next() >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// True with the chance.
    pub fn chance(&mut self, chance: f64) -> bool {
        self.unit() < chance
    }

    /// One of them.
    pub fn choose<T: Copy>(&mut self, of: &[T], otherwise: T) -> T {
        let count = u64::try_from(of.len()).unwrap_or(1).max(1);
        let place = usize::try_from(self.next() % count).unwrap_or(0);
        of.get(place).copied().unwrap_or(otherwise)
    }
}
