//! Random numbers that are the same in every run.

/// SplitMix64, public domain (Steele, Lea, Flood 2014).
pub(crate) struct Chance(u64);

impl Chance {
    pub(crate) fn new(seed: u64) -> Self {
        Self(seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) ^ 0x5bf0_3635)
    }

    pub(crate) fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// From `from` to before `to`.
    pub(crate) fn within(&mut self, from: i64, to: i64) -> i64 {
        from + i64::try_from(self.next() % u64::try_from(to - from).unwrap()).unwrap()
    }

    pub(crate) fn byte(&mut self) -> u8 {
        (self.next() & 0xff) as u8
    }

    /// One time in `times`.
    pub(crate) fn once_in(&mut self, times: u64) -> bool {
        self.next().is_multiple_of(times)
    }

    pub(crate) fn one_of<T: Copy>(&mut self, all: &[T]) -> T {
        all[(self.next() % all.len() as u64) as usize]
    }

    pub(crate) fn share(&mut self) -> f64 {
        (self.next() >> 11) as f64 / (1_u64 << 53) as f64
    }

    pub(crate) fn shuffle<T>(&mut self, all: &mut [T]) {
        for at in (1..all.len()).rev() {
            let other = (self.next() % (at as u64 + 1)) as usize;
            all.swap(at, other);
        }
    }
}
