//! Sets of groups as bits, wide enough for every fault of a large machine.

use std::ops::{BitAnd, BitOrAssign};

/// Words of a set.
const WORDS: usize = 4;

/// Most members of a set.
pub(super) const WIDTH: usize = WORDS * 128;

/// A set of numbers below [`WIDTH`].
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Set([u128; WORDS]);

impl Set {
    /// Only `n`.
    pub fn one(n: usize) -> Set {
        let mut set = Set::default();
        set.0[n / 128] = 1 << (n % 128);
        set
    }

    /// All numbers below `count`.
    pub fn below(count: usize) -> Set {
        let mut set = Set::default();
        for n in 0..count.min(WIDTH) {
            set |= Set::one(n);
        }
        set
    }

    pub fn is_empty(self) -> bool {
        self.0 == [0; WORDS]
    }

    /// How many members it has.
    pub fn count(self) -> u32 {
        self.0.iter().map(|word| word.count_ones()).sum()
    }

    /// Fewer than two members.
    pub fn is_single(self) -> bool {
        self.count() < 2
    }
}

impl BitAnd for Set {
    type Output = Set;

    fn bitand(mut self, other: Set) -> Set {
        for (word, with) in self.0.iter_mut().zip(other.0) {
            *word &= with;
        }
        self
    }
}

impl BitOrAssign for Set {
    fn bitor_assign(&mut self, other: Set) {
        for (word, with) in self.0.iter_mut().zip(other.0) {
            *word |= with;
        }
    }
}

/// Members of `set`, ascending.
pub(super) fn bits(set: Set) -> impl Iterator<Item = usize> {
    let (mut word, mut left) = (0, set.0[0]);
    std::iter::from_fn(move || {
        while left == 0 {
            word += 1;
            left = *set.0.get(word)?;
        }
        let at = left.trailing_zeros() as usize;
        left &= left - 1;
        Some(word * 128 + at)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn members_come_back_in_order() {
        let members = [0, 1, 127, 128, 300, WIDTH - 1];
        let mut set = Set::default();
        assert!(set.is_empty() && set.is_single());
        for n in members {
            set |= Set::one(n);
        }
        assert_eq!(bits(set).collect::<Vec<_>>(), members);
        assert!(!set.is_empty() && !set.is_single() && Set::one(200).is_single());
        assert_eq!(bits(set & Set::below(129)).collect::<Vec<_>>(), [0, 1, 127, 128]);
        assert_eq!(bits(Set::below(WIDTH)).count(), WIDTH);
    }
}
