//! Pitches as keys of a keyboard and as names on paper.

use std::fmt;

use thiserror::Error;

/// What is wrong with a pitch as it was written.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum Error {
    /// The text names no note.
    #[error("expected a note such as C, F♯ or B♭, found `{0}`")]
    NotANote(String),
    /// The number is no MIDI key.
    #[error("expected a MIDI key from 0 to 127, found {0}")]
    NotAKey(i64),
}

/// A key of the keyboard by its MIDI number, 0 to 127; middle C (C4) is 60.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Key(u8);

impl Key {
    /// Middle C, C4.
    pub const MIDDLE_C: Self = Self(60);

    /// Makes a key from its MIDI number.
    ///
    /// # Errors
    /// Refuses numbers outside 0 to 127.
    pub fn new(number: i64) -> Result<Self, Error> {
        u8::try_from(number)
            .ok()
            .filter(|number| *number < 128)
            .map(Self)
            .ok_or(Error::NotAKey(number))
    }

    /// Returns the MIDI number.
    pub const fn number(self) -> u8 {
        self.0
    }

    /// Returns the pitch class, 0 to 11, C being 0.
    pub const fn class(self) -> u8 {
        self.0 % 12
    }

    /// Returns the frequency in hertz, in twelve equal steps at A4 = 440 Hz (ISO 16).
    pub fn frequency_hz(self) -> f64 {
        440.0 * 2f64.powf((f64::from(self.0) - 69.0) / 12.0)
    }

    /// Returns the key's name with a flat where one is needed, such as `B♭3`.
    pub fn flat_name(self) -> String {
        format!(
            "{}{}",
            Name::plain(self.class()),
            i32::from(self.0) / 12 - 1
        )
    }
}

/// A letter of the musical alphabet.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Letter {
    /// C
    C,
    /// D
    D,
    /// E
    E,
    /// F
    F,
    /// G
    G,
    /// A
    A,
    /// B
    B,
}

impl Letter {
    const ALL: [Self; 7] = [
        Self::C,
        Self::D,
        Self::E,
        Self::F,
        Self::G,
        Self::A,
        Self::B,
    ];
    const CLASSES: [i32; 7] = [0, 2, 4, 5, 7, 9, 11];

    /// Returns the pitch class of the letter without accidental.
    pub const fn class(self) -> u8 {
        Self::CLASSES[self as usize] as u8
    }

    /// Returns the letter `steps` further up the alphabet, round from G to A.
    pub const fn up(self, steps: u8) -> Self {
        Self::ALL[(self as usize + steps as usize) % 7]
    }

    fn from_char(letter: char) -> Option<Self> {
        Self::ALL
            .into_iter()
            .find(|candidate| candidate.to_char() == letter)
    }

    const fn to_char(self) -> char {
        match self {
            Self::C => 'C',
            Self::D => 'D',
            Self::E => 'E',
            Self::F => 'F',
            Self::G => 'G',
            Self::A => 'A',
            Self::B => 'B',
        }
    }
}

/// A note's name without its octave: a letter and an accidental of at most three signs.
///
/// Three signs are needed for strict spelling only (the seventh of C♭°7 is B with three flats).
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Name {
    letter: Letter,
    accidental: i8,
}

impl Name {
    /// Makes a name; `None` where the accidental is outside −3 (triple flat) to 3.
    pub const fn new(letter: Letter, accidental: i8) -> Option<Self> {
        if accidental < -3 || accidental > 3 {
            return None;
        }

        Some(Self { letter, accidental })
    }

    /// Returns the usual name of a pitch class, with a flat for a black key.
    pub fn plain(class: u8) -> Self {
        let (letter, accidental) = [
            (Letter::C, 0),
            (Letter::D, -1),
            (Letter::D, 0),
            (Letter::E, -1),
            (Letter::E, 0),
            (Letter::F, 0),
            (Letter::G, -1),
            (Letter::G, 0),
            (Letter::A, -1),
            (Letter::A, 0),
            (Letter::B, -1),
            (Letter::B, 0),
        ][usize::from(class % 12)];

        Self { letter, accidental }
    }

    /// Returns the letter.
    pub const fn letter(self) -> Letter {
        self.letter
    }

    /// Returns the accidental: −1 for ♭, 1 for ♯, 0 for none.
    pub const fn accidental(self) -> i8 {
        self.accidental
    }

    /// Returns the pitch class, 0 to 11.
    pub const fn class(self) -> u8 {
        (self.letter.class() as i32 + self.accidental as i32).rem_euclid(12) as u8
    }

    /// Returns the name a step number (1 = unison) and a count of semitones above.
    ///
    /// `None` where that would take more than three signs.
    pub fn up(self, number: u8, semitones: i32) -> Option<Self> {
        let letter = self.letter.up((number % 7 + 6) % 7);
        let distance =
            (i32::from(self.class()) + semitones - i32::from(letter.class())).rem_euclid(12);
        let accidental = if distance > 6 {
            distance - 12
        } else {
            distance
        };

        Self::new(letter, i8::try_from(accidental).ok()?)
    }

    /// Tells whether the name takes two signs or more.
    pub const fn is_double(self) -> bool {
        self.accidental.abs() > 1
    }

    /// Returns the name as chord parts print it: double accidentals respelled enharmonically.
    pub fn in_print(self) -> Self {
        if !self.is_double() {
            return self;
        }

        let class = self.class();
        let natural = Letter::ALL
            .into_iter()
            .find(|letter| letter.class() == class);

        match natural {
            Some(letter) => Self {
                letter,
                accidental: 0,
            },
            // Three signs can land on a black key; it keeps its side.
            None if self.accidental < 0 => Self::plain(class),
            None => Self {
                letter: Self::plain(class).letter.up(6),
                accidental: 1,
            },
        }
    }

    /// Reads a name: a letter from A to G and `b`, `♭`, `#`, `♯`, `x`, `𝄫` or `𝄪`, or one `♮`.
    ///
    /// # Errors
    /// Refuses any other text and more than three signs.
    pub fn parse(text: &str) -> Result<Self, Error> {
        match Self::parse_prefix(text) {
            Some((name, "")) => Ok(name),
            _ => Err(Error::NotANote(text.to_owned())),
        }
    }

    /// Reads a name from the start of a text and returns what follows.
    pub fn parse_prefix(text: &str) -> Option<(Self, &str)> {
        let mut chars = text.chars();
        let letter = Letter::from_char(chars.next()?)?;
        let mut rest = chars.as_str();
        let mut accidental = 0i8;

        if let Some(plain) = rest.strip_prefix('♮') {
            return Some((Self::new(letter, 0)?, plain));
        }

        while let Some(sign) = rest.chars().next() {
            let step: i8 = match sign {
                'b' | '♭' => -1,
                '#' | '♯' => 1,
                '𝄫' => -2,
                'x' | '𝄪' => 2,
                _ => break,
            };

            // A flat cannot follow a sharp.
            if accidental.signum() * step < 0 {
                break;
            }

            // However many signs follow, they are too many after the third.
            accidental = accidental.saturating_add(step);
            rest = &rest[sign.len_utf8()..];
        }

        Some((Self::new(letter, accidental)?, rest))
    }

    /// Returns the name in plain ASCII, such as `Bb` or `F##`.
    pub fn ascii(self) -> String {
        let sign = if self.accidental < 0 { "b" } else { "#" };

        format!(
            "{}{}",
            self.letter.to_char(),
            sign.repeat(usize::from(self.accidental.unsigned_abs()))
        )
    }
}

/// Prints with real signs: `B♭`, `F𝄪`.
impl fmt::Display for Name {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let signs = match self.accidental {
            -3 => "𝄫♭",
            -2 => "𝄫",
            -1 => "♭",
            1 => "♯",
            2 => "𝄪",
            3 => "𝄪♯",
            _ => "",
        };

        write!(f, "{}{signs}", self.letter.to_char())
    }
}

/// A note with its octave, spelled: `G♭3`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Pitch {
    /// The name.
    pub name: Name,
    /// The key that sounds it.
    pub key: Key,
}

impl Pitch {
    /// Spells a key by a name of the same pitch class; `None` where they differ.
    pub fn new(name: Name, key: Key) -> Option<Self> {
        (name.class() == key.class()).then_some(Self { name, key })
    }

    /// Returns the octave of the written note: C♭5 sounds as B4.
    pub fn octave(self) -> i32 {
        (i32::from(self.key.number()) - i32::from(self.name.accidental())).div_euclid(12) - 1
    }
}

impl fmt::Display for Pitch {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}{}", self.name, self.octave())
    }
}

/// Stacks names from middle C up, each written above the one before.
pub fn stacked(names: impl IntoIterator<Item = Name>) -> Vec<Pitch> {
    let mut octave = 4;
    let mut last = None;
    let mut pitches = Vec::new();

    for name in names {
        let letter = name.letter() as i32;
        if last.is_some_and(|last| letter <= last) {
            octave += 1;
        }
        last = Some(letter);
        let written = (0..=127)
            .filter_map(|key| Key::new(key).ok())
            .filter_map(|key| Pitch::new(name, key))
            .find(|pitch| pitch.octave() == octave);
        pitches.extend(written);
    }

    pitches
}
