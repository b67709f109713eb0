//! Chance by seed: the same draws on every machine and in every version.
//!
//! Only the ChaCha stream comes from a library; what is made of it is fixed here, since a
//! library's own ranges and shuffles may change between its releases.

use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::{Rng, SeedableRng};
use sha2::{Digest, Sha256};

/// A stream of draws.
#[derive(Debug, Clone)]
pub struct Chance(ChaCha8Rng);

impl Chance {
    /// Begins the stream that belongs to a list of numbers.
    pub fn new(purpose: &str, numbers: &[u64]) -> Self {
        let mut hash = Sha256::new();
        hash.update(purpose.as_bytes());
        for number in numbers {
            hash.update(number.to_le_bytes());
        }

        Self(ChaCha8Rng::from_seed(hash.finalize().into()))
    }

    /// Draws a number below `n`, each equally likely; 0 where `n` is 0.
    pub fn below(&mut self, n: usize) -> usize {
        let n = n.max(1) as u64;
        let limit = (1u64 << 32) / n * n;

        loop {
            let drawn = u64::from(self.0.next_u32());
            if drawn < limit {
                return (drawn % n) as usize;
            }
        }
    }

    /// Puts a list into drawn order.
    pub fn shuffle<T>(&mut self, list: &mut [T]) {
        for i in (1..list.len()).rev() {
            list.swap(i, self.below(i + 1));
        }
    }

    /// Draws one of a list.
    pub fn pick<'a, T>(&mut self, list: &'a [T]) -> Option<&'a T> {
        if list.is_empty() {
            return None;
        }

        list.get(self.below(list.len()))
    }
}
