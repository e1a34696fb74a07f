//! Takes a seed and a block; gives numbers that look random and are the same on every machine.

/// One stream of the generator xoshiro256++ of Blackman and Vigna (2019), seeded by SplitMix64 of Steele, Lea and Flood
/// (2014).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Stream {
    state: [u64; 4],
}

/// What a report prints beside a simulation.
pub const GENERATOR: &str =
    "xoshiro256++, seeded by SplitMix64, one jump of 2^128 for each of two lanes of every block of 4096 draws";

impl Stream {
    fn new(seed: u64) -> Self {
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

    /// Goes one number on.
    fn step(&mut self) {
        let s = &mut self.state;
        let t = s[1] << 17;
        s[2] ^= s[0];
        s[3] ^= s[1];
        s[1] ^= s[2];
        s[0] ^= s[3];
        s[2] ^= t;
        s[3] = s[3].rotate_left(45);
    }

    /// Goes 2^128 numbers on.
    fn jump(&mut self) {
        let mut sum = [0; 4];
        for word in [0x180e_c6d3_3cfd_0aba_u64, 0xd5a6_1266_f0c9_392c, 0xa958_2618_e03f_c9aa, 0x39ab_dc45_29b1_661c] {
            for bit in 0..64 {
                if word >> bit & 1 == 1 {
                    for (a, b) in sum.iter_mut().zip(self.state) {
                        *a ^= b;
                    }
                }
                self.step();
            }
        }
        self.state = sum;
    }
}

/// Streams side by side; the processor computes them together.
const LANES: usize = 2;

/// Numbers of one block, from each lane in turn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Random {
    /// Word by word, each of all lanes.
    state: [[u64; LANES]; 4],
}

impl Random {
    /// The numbers of a seed.
    pub fn new(seed: u64) -> Self {
        Self::next(&mut Stream::new(seed))
    }

    /// The numbers of the first `n` blocks: each lane is 2^128 numbers ahead of the one before.
    pub fn blocks(seed: u64, n: usize) -> Vec<Self> {
        let mut stream = Stream::new(seed);
        (0..n).map(|_| Self::next(&mut stream)).collect()
    }

    /// The next lanes, which end a jump behind the last.
    fn next(stream: &mut Stream) -> Self {
        let mut state = [[0; LANES]; 4];
        for lane in 0..LANES {
            for (word, s) in state.iter_mut().zip(stream.state) {
                word[lane] = s;
            }
            stream.jump();
        }
        Self { state }
    }

    /// The next 64 bits of every lane.
    #[inline(always)]
    fn bits(&mut self) -> [u64; LANES] {
        let [a, b, c, d] = &mut self.state;
        let mut out = [0; LANES];
        for i in 0..LANES {
            out[i] = a[i].wrapping_add(d[i]).rotate_left(23).wrapping_add(a[i]);
            let t = b[i] << 17;
            c[i] ^= a[i];
            d[i] ^= b[i];
            b[i] ^= c[i];
            a[i] ^= d[i];
            c[i] ^= t;
            d[i] = d[i].rotate_left(45);
        }
        out
    }

    /// Fills a column with the next numbers between 0 and 1, neither of them.
    pub fn fill(&mut self, column: &mut [f64]) {
        self.each(column, unit);
    }

    /// Fills a column with a value of two numbers each, which share the 64 bits of one.
    #[inline(always)]
    pub fn fill_of_two(&mut self, column: &mut [f64], value: impl Fn(f64, f64) -> f64) {
        self.each(column, |bits| value(half(bits >> 32), half(bits & 0xffff_ffff)));
    }

    /// A column that does not end with the last lane leaves its bits out.
    #[inline(always)]
    fn each(&mut self, column: &mut [f64], value: impl Fn(u64) -> f64) {
        let mut own = *self;
        let mut rounds = column.chunks_exact_mut(LANES);
        for round in &mut rounds {
            round.iter_mut().zip(own.bits()).for_each(|(x, bits)| *x = value(bits));
        }
        let rest = rounds.into_remainder();
        if !rest.is_empty() {
            rest.iter_mut().zip(own.bits()).for_each(|(x, bits)| *x = value(bits));
        }
        *self = own;
    }
}

/// The middle of one of 2^32 equal steps between 0 and 1.
#[inline(always)]
fn half(bits: u64) -> f64 {
    const LESS: f64 = 1.0 - 1.0 / (1u64 << 33) as f64;
    f64::from_bits(bits << 20 | 0x3ff0_0000_0000_0000) - LESS
}

/// The middle of one of 2^52 equal steps between 0 and 1.
#[inline(always)]
fn unit(bits: u64) -> f64 {
    // The bits as fraction of a number from 1 on; less 1, and half a step more, which is exact.
    const LESS: f64 = 1.0 - 1.0 / (1u64 << 53) as f64;
    f64::from_bits(bits >> 12 | 0x3ff0_0000_0000_0000) - LESS
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn published_first_numbers() {
        // Test vectors of the authors' code, from memory.
        let mut g = Random { state: [1, 2, 3, 4].map(|s| [s; LANES]) };
        let first: Vec<u64> = (0..4).map(|_| g.bits()[1]).collect();
        assert_eq!(first, [41_943_041, 58_720_359, 3_588_806_011_781_223, 3_591_011_842_654_386]);
        assert_eq!(
            Stream::new(1_234_567).state[..3],
            [6_457_827_717_110_365_317, 3_203_168_211_198_807_973, 9_817_491_932_198_370_423]
        );
    }

    #[test]
    fn lanes_go_the_way_of_their_streams() {
        let mut g = Random::blocks(7, 2)[1];
        let mut lane = Stream::new(7);
        (0..3).for_each(|_| lane.jump());
        for _ in 0..100 {
            assert_eq!(g.state.map(|word| word[1]), lane.state);
            g.bits();
            lane.step();
        }
    }

    #[test]
    fn numbers_lie_between_the_ends_and_blocks_differ() {
        let mut x = vec![0.0; 4000];
        let mut blocks = Random::blocks(7, 3);
        blocks[1].fill(&mut x[..1999]);
        blocks[2].fill(&mut x[1999..]);
        assert!(x.iter().all(|x| *x > 0.0 && *x < 1.0) && x[0] != x[1999] && x[1998] > 0.0);
        let mean = x.iter().sum::<f64>() / x.len() as f64;
        assert!((mean - 0.5).abs() < 0.02, "{mean}");
        assert_eq!([unit(0), unit(u64::MAX)], [f64::EPSILON / 2.0, 1.0 - f64::EPSILON / 2.0]);
        let step = 1.0 / (1u64 << 33) as f64;
        assert_eq!([half(0), half(1), half(0xffff_ffff)], [step, 3.0 * step, 1.0 - step]);
    }
}
