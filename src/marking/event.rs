//! What a candidate does during an item, with the item's time.

use crate::theory::Key;
use crate::time::Time;

/// Something done, at a time since the item's prompt (ear items: since the end of the compulsory
/// hearing, so it may be negative).
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Event {
    /// When.
    pub at: Time,
    /// What.
    pub action: Action,
}

/// What was done.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Action {
    /// A key was struck, with a velocity from 1 to 127.
    Down(Key, u8),
    /// A key was released.
    Up(Key),
    /// The sustain pedal moved: 0 up to 127 down; down from 64.
    Pedal(u8),
    /// An answer was given, replacing the one before; empty to withdraw it.
    Answer(String),
    /// Another hearing was asked for.
    Hear,
    /// The answer was handed in.
    HandIn,
}

impl Event {
    /// Makes an event.
    pub const fn new(at: Time, action: Action) -> Self {
        Self { at, action }
    }
}

/// A set of keys, one bit a MIDI number.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub struct KeySet(u128);

impl KeySet {
    /// No key.
    pub const EMPTY: Self = Self(0);

    /// Adds a key.
    pub const fn with(self, key: Key) -> Self {
        Self(self.0 | 1 << key.number())
    }

    /// Takes a key away.
    pub const fn without(self, key: Key) -> Self {
        Self(self.0 & !(1 << key.number()))
    }

    /// Joins two sets.
    pub const fn union(self, other: Self) -> Self {
        Self(self.0 | other.0)
    }

    /// Takes all keys of another set away.
    pub const fn minus(self, other: Self) -> Self {
        Self(self.0 & !other.0)
    }

    /// Tells whether a key is in the set.
    pub const fn has(self, key: Key) -> bool {
        self.0 & 1 << key.number() != 0
    }

    /// Returns how many keys there are.
    pub const fn len(self) -> usize {
        self.0.count_ones() as usize
    }

    /// Tells whether there is none.
    pub const fn is_empty(self) -> bool {
        self.0 == 0
    }

    /// Returns the pitch classes as a set of twelve bits.
    pub fn classes(self) -> u16 {
        self.numbers()
            .fold(0, |classes, number| classes | 1 << (number % 12))
    }

    /// Returns the MIDI numbers from low to high.
    pub fn numbers(self) -> impl Iterator<Item = u8> + Clone {
        let mut bits = self.0;

        std::iter::from_fn(move || {
            if bits == 0 {
                return None;
            }
            let lowest = bits.trailing_zeros() as u8;
            bits &= bits - 1;
            Some(lowest)
        })
    }

    /// Returns the keys from low to high.
    pub fn keys(self) -> impl Iterator<Item = Key> {
        self.numbers()
            .filter_map(|number| Key::new(i64::from(number)).ok())
    }

    /// Returns the lowest MIDI number.
    pub fn lowest(self) -> Option<u8> {
        self.numbers().next()
    }
}

impl FromIterator<Key> for KeySet {
    fn from_iter<T: IntoIterator<Item = Key>>(keys: T) -> Self {
        keys.into_iter().fold(Self::EMPTY, Self::with)
    }
}
