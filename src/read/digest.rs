//! Takes bytes; gives their SHA-256 as lower-case hexadecimal.

use sha2::{Digest, Sha256};
use std::fmt::Write;

/// SHA-256 of `bytes`: 64 lower-case hexadecimal digits (FIPS 180-4).
pub fn sha256_hex(bytes: &[u8]) -> String {
    let mut text = String::with_capacity(64);
    for b in Sha256::digest(bytes) {
        let _ = write!(text, "{b:02x}");
    }
    text
}

#[cfg(test)]
mod tests {
    /// FIPS 180-4 example "abc", from memory; `sha256sum` prints the same.
    #[test]
    fn digest_of_the_standard_example() {
        assert_eq!(super::sha256_hex(b"abc"), "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
        assert_eq!(super::sha256_hex(b""), "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
    }
}
