//! One random stream per part and purpose, so that adding a part never changes another's luck.

use rand_chacha::ChaCha8Rng;
use rand_core::{Rng, SeedableRng};
use sha2::{Digest, Sha256};

/// A random stream derived from (seed, part path, purpose).
///
/// ```
/// use spoolbench::base::Stream;
/// let mut a = Stream::new(7, "1V1", "tolerance");
/// let mut b = Stream::new(7, "1V1", "tolerance");
/// assert_eq!(a.unit(), b.unit());
/// ```
#[derive(Clone, Debug)]
pub struct Stream(ChaCha8Rng);

impl Stream {
    /// The stream of `purpose` of the part at `path` in a run with `seed`.
    #[must_use]
    pub fn new(seed: u64, path: &str, purpose: &str) -> Self {
        let mut hash = Sha256::new();
        hash.update(seed.to_le_bytes());
        hash.update((path.len() as u64).to_le_bytes());
        hash.update(path.as_bytes());
        hash.update(purpose.as_bytes());
        Stream(ChaCha8Rng::from_seed(hash.finalize().into()))
    }

    /// 64 random bits.
    pub fn bits(&mut self) -> u64 {
        self.0.next_u64()
    }

    /// A number in [0, 1) [1], of 53 random bits.
    pub fn unit(&mut self) -> f64 {
        (self.bits() >> 11) as f64 / (1u64 << 53) as f64
    }

    /// A number in [low, high).
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.unit()
    }

    /// A whole number in 0..count, without bias; `count` > 0, and 0 gives 0.
    pub fn below(&mut self, count: u64) -> u64 {
        if count < 2 {
            return 0;
        }
        let zone = u64::MAX - u64::MAX % count;
        loop {
            let bits = self.bits();
            if bits < zone {
                return bits % count;
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn streams_differ_by_seed_path_and_purpose() {
        let first = |seed, path, purpose| Stream::new(seed, path, purpose).bits();
        let base = first(1, "K1", "tolerance");
        assert_ne!(base, first(2, "K1", "tolerance"));
        assert_ne!(base, first(1, "K2", "tolerance"));
        assert_ne!(base, first(1, "K1", "fault"));
        // "K1"+"x" and "K"+"1x" are not the same stream: the path's length is hashed.
        assert_ne!(first(1, "K1", "x"), first(1, "K", "1x"));
    }

    #[test]
    fn below_stays_below() {
        let mut s = Stream::new(3, "p", "q");
        for _ in 0..1000 {
            assert!(s.below(7) < 7);
            let u = s.unit();
            assert!((0.0..1.0).contains(&u));
        }
    }
}
