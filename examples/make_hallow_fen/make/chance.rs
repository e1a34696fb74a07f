//! Takes the id of a run; gives the same pseudo-random numbers for it on every machine.

use galipot::diag::sha256_hex;

/// SplitMix64 (Steele, Lea and Flood 2014), seeded with the low 64 bits of SHA-256 of the run's id.
///
/// Integers only, so every machine draws the same; normals go through `libm`, never through the
/// platform's mathematics.
pub struct Chance {
    state: u64,
}

impl Chance {
    /// Low 64 bits: the last sixteen hexadecimal digits of the digest.
    pub fn of_run(id: &str) -> Self {
        let digest = sha256_hex(id.as_bytes());
        Self { state: u64::from_str_radix(&digest[48..], 16).unwrap_or_default() }
    }

    fn bits(&mut self) -> u64 {
        self.state = self.state.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.state;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// Uniform, strictly between 0 and 1: 53 bits and a half.
    pub fn uniform(&mut self) -> f64 {
        ((self.bits() >> 11) as f64 + 0.5) / (1_u64 << 53) as f64
    }

    /// Standard normal by Box and Muller, the cosine half only: one number for two uniforms.
    pub fn normal(&mut self) -> f64 {
        let radius = libm::sqrt(-2.0 * libm::log(self.uniform()));
        radius * libm::cos(2.0 * std::f64::consts::PI * self.uniform())
    }

    pub fn normals(&mut self, n: usize) -> Vec<f64> {
        (0..n).map(|_| self.normal()).collect()
    }
}
