//! The computer's own keys, and the pointer on drawn keys, as a keyboard.
//!
//! Keys are told apart by their place, not by what is printed on them (W3C UI Events
//! KeyboardEvent `code` values), so that every national layout plays alike. As on a piano, the
//! white keys of a hand lie in a row and the black ones in the row behind, each between its
//! neighbours. The left hand has the two lower rows, the right hand the two upper ones, and where
//! the one ends the other goes on, so that three octaves lie under the hands at once:
//!
//! ```text
//! right    1  2     4  5  6     8  9     -  =        C♯3 E♭3   F♯3 A♭3 B♭3   C♯4 E♭4   F♯4 A♭4
//!            Q  W  E  R  T  Y  U  I  O  P  [  ]      D3 ... C4 (U) ... A4
//! left     A  S     F  G     J  K  L     '           A♭1 B♭1   C♯2 E♭2   F♯2 A♭2 B♭2   C♯3
//!            Z  X  C  V  B  N  M  ,  .  /            A1 ... C3
//! ```
//!
//! Each hand can be moved by octaves. Many computer keyboards do not tell all combinations of four
//! keys and more apart: a key can also be held down with the pointer.

#![deny(clippy::disallowed_methods)]

#[cfg(test)]
mod tests;

use super::keyboard::{self, Event, Fact, Kind, Touch};
use crate::theory::Key;
use crate::time::Time;

/// The velocity of every key: what instruments without a sense of velocity send (MIDI 1.0 Detailed
/// Specification, note-on).
pub const VELOCITY: u8 = 64;
/// The furthest that a hand can be moved either way, in octaves.
pub const FURTHEST: i8 = 3;

/// The keys of the left hand by their codes, with their MIDI numbers.
const LEFT: [(&str, u8); 18] = [
    ("KeyA", 32),
    ("KeyZ", 33),
    ("KeyS", 34),
    ("KeyX", 35),
    ("KeyC", 36),
    ("KeyF", 37),
    ("KeyV", 38),
    ("KeyG", 39),
    ("KeyB", 40),
    ("KeyN", 41),
    ("KeyJ", 42),
    ("KeyM", 43),
    ("KeyK", 44),
    ("Comma", 45),
    ("KeyL", 46),
    ("Period", 47),
    ("Slash", 48),
    ("Quote", 49),
];

/// The keys of the right hand by their codes, with their MIDI numbers.
const RIGHT: [(&str, u8); 21] = [
    ("Digit1", 49),
    ("KeyQ", 50),
    ("Digit2", 51),
    ("KeyW", 52),
    ("KeyE", 53),
    ("Digit4", 54),
    ("KeyR", 55),
    ("Digit5", 56),
    ("KeyT", 57),
    ("Digit6", 58),
    ("KeyY", 59),
    ("KeyU", 60),
    ("Digit8", 61),
    ("KeyI", 62),
    ("Digit9", 63),
    ("KeyO", 64),
    ("KeyP", 65),
    ("Minus", 66),
    ("BracketLeft", 67),
    ("Equal", 68),
    ("BracketRight", 69),
];

/// A hand, with the rows that it plays on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Hand {
    /// The two lower rows.
    Left,
    /// The two upper rows.
    Right,
}

/// What holds a key down.
#[derive(Debug, Clone, PartialEq, Eq)]
enum Finger {
    /// A key of the computer.
    Code(&'static str),
    /// The pointer, as long as its button is pressed.
    Pointer,
    /// The pointer, until it lets go of the key.
    Pinned,
}

/// The computer's keys and pointer, told by whoever has the window.
#[derive(Debug, Clone, Default)]
pub struct Keyboard {
    fingers: Vec<(Finger, Key)>,
    left: i8,
    right: i8,
    events: Vec<(Time, Touch)>,
    last: Option<Time>,
}

impl Keyboard {
    /// Begins with nothing down.
    pub fn new() -> Self {
        Self::default()
    }

    /// Takes a press in; a press of what is down already is the computer repeating it, and is
    /// ignored. Returns whether the code belongs to a key of this keyboard.
    pub fn press(&mut self, code: &str, at: Time) -> bool {
        let Some((code, key)) = self.place(code) else {
            return false;
        };
        let finger = Finger::Code(code);

        if !self.has(&finger)
            && let Some(key) = key
        {
            self.lay(finger, key, at);
        }

        true
    }

    /// Takes a release in. Returns whether the code belongs to a key of this keyboard.
    pub fn release(&mut self, code: &str, at: Time) -> bool {
        let Some((code, _)) = self.place(code) else {
            return false;
        };
        self.lift(|finger, _| *finger == Finger::Code(code), at);

        true
    }

    /// Presses a drawn key with the pointer; it sounds until the pointer's release.
    pub fn pointer_press(&mut self, key: Key, at: Time) {
        self.pointer_release(at);
        self.lay(Finger::Pointer, key, at);
    }

    /// Releases the pointer, wherever it is now.
    pub fn pointer_release(&mut self, at: Time) {
        self.lift(|finger, _| *finger == Finger::Pointer, at);
    }

    /// Holds a drawn key down without the pointer staying on it, or lets go of one so held.
    pub fn pointer_pin(&mut self, key: Key, at: Time) {
        if self.fingers.contains(&(Finger::Pinned, key)) {
            self.pointer_unpin(key, at);
        } else {
            self.lay(Finger::Pinned, key, at);
        }
    }

    /// Lets go of a drawn key that is held down so.
    pub fn pointer_unpin(&mut self, key: Key, at: Time) {
        self.lift(
            |finger, other| *finger == Finger::Pinned && other == key,
            at,
        );
    }

    /// Lets go of everything, as when the window loses the computer's keys and no release will be
    /// told.
    pub fn let_go(&mut self, at: Time) {
        self.lift(|_, _| true, at);
    }

    /// Moves a hand up or down by octaves, as far as [`FURTHEST`]. What is down stays as it is.
    pub fn shift(&mut self, hand: Hand, octaves: i8) {
        let shift = match hand {
            Hand::Left => &mut self.left,
            Hand::Right => &mut self.right,
        };
        *shift = shift.saturating_add(octaves).clamp(-FURTHEST, FURTHEST);
    }

    /// Returns how many octaves a hand is moved up.
    pub const fn shifted(&self, hand: Hand) -> i8 {
        match hand {
            Hand::Left => self.left,
            Hand::Right => self.right,
        }
    }

    /// Returns the key that a code plays now.
    pub fn key(&self, code: &str) -> Option<Key> {
        self.place(code).and_then(|(_, key)| key)
    }

    /// Returns every code of a hand with the key that it plays now, from low to high.
    pub fn codes(&self, hand: Hand) -> Vec<(&'static str, Key)> {
        let row: &[(&'static str, u8)] = match hand {
            Hand::Left => &LEFT,
            Hand::Right => &RIGHT,
        };
        row.iter()
            .filter_map(|(code, number)| Some((*code, moved(*number, self.shifted(hand))?)))
            .collect()
    }

    fn place(&self, code: &str) -> Option<(&'static str, Option<Key>)> {
        let find = |row: &[(&'static str, u8)], octaves| {
            row.iter()
                .find(|(name, _)| *name == code)
                .map(|(name, number)| (*name, moved(*number, octaves)))
        };

        find(&LEFT, self.left).or_else(|| find(&RIGHT, self.right))
    }

    fn has(&self, finger: &Finger) -> bool {
        self.fingers.iter().any(|(other, _)| other == finger)
    }

    fn is_down(&self, key: Key) -> bool {
        self.fingers.iter().any(|(_, other)| *other == key)
    }

    /// Puts a finger on a key, which goes down if it was up.
    fn lay(&mut self, finger: Finger, key: Key, at: Time) {
        if !self.is_down(key) {
            let velocity = VELOCITY;
            self.events.push((at, Touch::Down { key, velocity }));
        }
        self.fingers.push((finger, key));
    }

    /// Takes fingers away; a key comes up when its last finger does.
    fn lift(&mut self, gone: impl Fn(&Finger, Key) -> bool, at: Time) {
        let (lifted, left) = std::mem::take(&mut self.fingers)
            .into_iter()
            .partition::<Vec<_>, _>(|(finger, key)| gone(finger, *key));
        self.fingers = left;

        for (place, (_, key)) in lifted.iter().enumerate() {
            let told = lifted[..place].iter().any(|(_, other)| other == key);
            if !told && !self.is_down(*key) {
                self.events.push((at, Touch::Up { key: *key }));
            }
        }
    }
}

/// Returns a key moved up by octaves; `None` beyond the keys that there are.
fn moved(number: u8, octaves: i8) -> Option<Key> {
    Key::new(i64::from(number) + 12 * i64::from(octaves)).ok()
}

impl keyboard::Keyboard for Keyboard {
    fn poll(&mut self, now: Time) -> Vec<Event> {
        std::mem::take(&mut self.events)
            .into_iter()
            .map(|(at, touch)| {
                let at = self.last.map_or(at, |last| at.max(last)).min(now);
                self.last = Some(at);
                Event::new(at, Fact::Touched(touch))
            })
            .collect()
    }

    fn name(&self) -> String {
        "the computer's own keys".to_owned()
    }

    fn kind(&self) -> Kind {
        Kind::Computer
    }

    fn is_there(&self) -> bool {
        true
    }
}
