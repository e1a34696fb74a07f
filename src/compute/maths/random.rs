//! Takes a seed and a block; gives numbers that look random and are the same on every machine.

/// The generator xoshiro256++ of Blackman and Vigna (2019), seeded by SplitMix64 of Steele, Lea and Flood (2014).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Random {
    state: [u64; 4],
}

/// What a report prints beside a simulation.
pub const GENERATOR: &str = "xoshiro256++, seeded by SplitMix64, one jump of 2^128 per block of 4096 draws";

impl Random {
    /// The generator of a seed.
    pub fn new(seed: u64) -> Self {
        let mut at = seed;
        let mut state = [0; 4];
        for s in &mut state {
            at = at.wrapping_add(0x9e37_79b9_7f4a_7c15);
            let mut z = at;
            z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
            z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
            *s = z ^ (z >> 31);
        }
        Self { state }
    }

    /// The generators of the first `n` blocks: each is 2^128 numbers ahead of the one before.
    pub fn blocks(seed: u64, n: usize) -> Vec<Self> {
        let mut g = Self::new(seed);
        let mut out = Vec::with_capacity(n);
        for _ in 0..n {
            out.push(g);
            g.jump();
        }
        out
    }

    /// The next 64 bits.
    pub fn bits(&mut self) -> u64 {
        let s = &mut self.state;
        let out = s[0].wrapping_add(s[3]).rotate_left(23).wrapping_add(s[0]);
        let t = s[1] << 17;
        s[2] ^= s[0];
        s[3] ^= s[1];
        s[1] ^= s[2];
        s[0] ^= s[3];
        s[2] ^= t;
        s[3] = s[3].rotate_left(45);
        out
    }

    /// The next number between 0 and 1, neither of them: the middle of one of 2^53 equal steps.
    pub fn unit(&mut self) -> f64 {
        const STEP: f64 = 1.0 / (1u64 << 53) as f64;
        ((self.bits() >> 11) as f64 + 0.5) * STEP
    }

    fn jump(&mut self) {
        let mut sum = [0; 4];
        for word in [0x180e_c6d3_3cfd_0aba_u64, 0xd5a6_1266_f0c9_392c, 0xa958_2618_e03f_c9aa, 0x39ab_dc45_29b1_661c] {
            for bit in 0..64 {
                if word >> bit & 1 == 1 {
                    for (a, b) in sum.iter_mut().zip(self.state) {
                        *a ^= b;
                    }
                }
                self.bits();
            }
        }
        self.state = sum;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn published_first_numbers() {
        // Test vectors of the authors' code, from memory.
        let mut g = Random { state: [1, 2, 3, 4] };
        let first: Vec<u64> = (0..4).map(|_| g.bits()).collect();
        assert_eq!(first, [41_943_041, 58_720_359, 3_588_806_011_781_223, 3_591_011_842_654_386]);
        assert_eq!(
            Random::new(1_234_567).state[..3],
            [6_457_827_717_110_365_317, 3_203_168_211_198_807_973, 9_817_491_932_198_370_423]
        );
    }

    #[test]
    fn numbers_lie_between_the_ends_and_blocks_differ() {
        let mut blocks = Random::blocks(7, 3);
        let x: Vec<f64> =
            blocks[1..].iter_mut().flat_map(|g| (0..2000).map(|_| g.unit()).collect::<Vec<_>>()).collect();
        assert!(x.iter().all(|x| *x > 0.0 && *x < 1.0) && x[0] != x[2000]);
        let mean = x.iter().sum::<f64>() / x.len() as f64;
        assert!((mean - 0.5).abs() < 0.02, "{mean}");
    }
}
