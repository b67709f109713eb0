//! The form code: a set's seed and a seat in six signs that can be read out loud.

use std::fmt;

use thiserror::Error;

/// The signs of a code: figures and capitals without those that are taken for one another
/// (0, 1, I, L, O). There are 31, a prime, so the check sign finds every single wrong sign and
/// every exchange of neighbours.
const SIGNS: &[u8; 31] = b"23456789ABCDEFGHJKMNPQRSTUVWXYZ";
const BASE: u32 = 31;

/// How many sets there are.
pub const SETS: u32 = BASE * BASE * BASE * BASE;

/// How many seats a set can have.
pub const SEATS: u8 = BASE as u8;

/// What is wrong with a form code.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum Error {
    /// Not six signs.
    #[error("expected a form code of six signs such as `{example}`, found {found}")]
    Length {
        /// What was given, in words.
        found: String,
        /// A right one.
        example: String,
    },
    /// A sign that no code has.
    #[error("a form code has no `{sign}`: {}", hint(*.sign))]
    Sign {
        /// The sign.
        sign: char,
    },
    /// The check sign does not fit: mistyped.
    #[error("form code `{found}` is mistyped: its last sign does not fit the others")]
    Mistyped {
        /// What was given.
        found: String,
    },
}

/// Says what to look for where a sign cannot be right.
const fn hint(sign: char) -> &'static str {
    match sign {
        '0' | 'O' | 'o' => "look again for a D, a Q or an 8",
        '1' | 'I' | 'i' | 'L' | 'l' => "look again for a 7, a J or a T",
        _ => "the signs are 2 to 9 and A to Z without I, L and O",
    }
}

/// Says what stands where six signs were expected.
fn found(text: &str, count: usize) -> String {
    const SHOWN: usize = 20;
    let text = text.trim();
    let mut shown: String = text.chars().take(SHOWN).collect();
    if text.chars().count() > SHOWN {
        shown.push('…');
    }

    match ["nothing", "one", "two", "three", "four", "five"].get(count) {
        Some(nothing) if count == 0 => (*nothing).to_owned(),
        Some(number) => format!("{number}: `{shown}`"),
        None => format!("more: `{shown}`"),
    }
}

/// A form code.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Code {
    seed: u32,
    seat: u8,
}

impl Code {
    /// The first form of the first set.
    pub const FIRST: Self = Self { seed: 0, seat: 1 };

    /// Makes a code; the seed is taken below [`SETS`], the seat from 1 to [`SEATS`].
    pub fn new(seed: u32, seat: u8) -> Self {
        Self {
            seed: seed % SETS,
            seat: seat.clamp(1, SEATS),
        }
    }

    /// Returns the set's seed.
    pub const fn seed(self) -> u32 {
        self.seed
    }

    /// Returns the seat, from 1.
    pub const fn seat(self) -> u8 {
        self.seat
    }

    /// Reads a code; small letters and missing or other dashes are fine.
    ///
    /// # Errors
    /// Says what is wrong: length, a sign that cannot be, or a mistyped sign.
    pub fn parse(text: &str) -> Result<Self, Error> {
        let mut values = Vec::with_capacity(6);

        for sign in text.chars() {
            if matches!(sign, '-' | '–' | '−') || sign.is_whitespace() {
                continue;
            }
            let upper = sign.to_ascii_uppercase();
            let value = SIGNS
                .iter()
                .position(|known| char::from(*known) == upper)
                .ok_or(Error::Sign { sign })?;
            values.push(value as u32);
            if values.len() > 6 {
                break;
            }
        }

        let count = values.len();
        let Ok([a, b, c, d, seat, check]) = <[u32; 6]>::try_from(values) else {
            return Err(Error::Length {
                found: found(text, count),
                example: Self::FIRST.to_string(),
            });
        };

        if check != check_sign([a, b, c, d, seat]) {
            return Err(Error::Mistyped {
                found: text.trim().chars().take(40).collect(),
            });
        }

        Ok(Self::new(
            ((a * BASE + b) * BASE + c) * BASE + d,
            seat as u8 + 1,
        ))
    }

    fn values(self) -> [u32; 5] {
        [
            self.seed / (BASE * BASE * BASE),
            self.seed / (BASE * BASE) % BASE,
            self.seed / BASE % BASE,
            self.seed % BASE,
            u32::from(self.seat) - 1,
        ]
    }
}

/// The weights 2 to 6 differ from neighbour to neighbour and none is a multiple of 31.
fn check_sign(values: [u32; 5]) -> u32 {
    // The constant keeps a row of equal first signs from having that sign as its check.
    values
        .iter()
        .zip(2..)
        .fold(7, |sum, (value, weight)| sum + value * weight)
        % BASE
}

impl fmt::Display for Code {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let values = self.values();
        let check = check_sign(values);

        for (i, value) in values.into_iter().chain([check]).enumerate() {
            if i == 3 {
                f.write_str("-")?;
            }
            write!(f, "{}", char::from(SIGNS[value as usize]))?;
        }

        Ok(())
    }
}
