//! Choices from a seed: the same on every machine, and each step's own, so that a step may be left out.

pub struct Dice(u64);

impl Dice {
    pub const fn new(seed: u64) -> Self {
        Self(seed)
    }

    pub fn seed(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mixed = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        let mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        mixed ^ (mixed >> 31)
    }

    /// From 0 to below.
    pub fn below(&mut self, below: usize) -> usize {
        usize::try_from(self.seed() % u64::try_from(below.max(1)).unwrap()).unwrap()
    }

    pub fn number(&mut self, least: i64, most: i64) -> i64 {
        least + i64::try_from(self.below(usize::try_from(most - least + 1).unwrap())).unwrap()
    }

    /// Once in so many times.
    pub fn once_in(&mut self, times: usize) -> bool {
        self.below(times) == 0
    }

    pub fn pick<T: Clone>(&mut self, list: &[T]) -> Option<T> {
        if list.is_empty() { None } else { Some(list[self.below(list.len())].clone()) }
    }

    /// One of a list that has some.
    pub fn one<T: Clone>(&mut self, list: &[T]) -> T {
        self.pick(list).unwrap()
    }
}
