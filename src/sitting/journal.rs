//! The append-only record of a sitting: one event a line, chained and synced.
//!
//! A line is `{"h":"<digest>","b":<body>}` and a line feed, with nothing between. The digest is
//! the SHA-256 (FIPS 180-4) of the digest before, written as 64 lowercase hexadecimal digits, and
//! the bytes of the body; the first line follows [`Head::START`]. Anyone can check a line with
//! `printf '%s' "$previous$body" | sha256sum`.
//!
//! The chain finds every change inside the record. It cannot see whole last lines taken away:
//! that is what the head in a result's seal and on the printed sheet is for.

use std::fmt;
use std::str::FromStr;

use serde::Serialize;
use serde::de::DeserializeOwned;
use serde_json::value::RawValue;
use sha2::{Digest, Sha256};

#[cfg(test)]
mod tests;

/// Why a journal can't be written or read.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum Error {
    /// The body does not turn into JSON.
    #[error("expected a body that JSON can hold, found: {0}")]
    Body(#[source] serde_json::Error),
    /// The body holds a line feed, which would end its line early.
    #[error("expected a body on one line, found a line feed; write it without layout")]
    LineFeed,
    /// A line has not the form of a journal's line.
    #[error("line {line}: expected {expected}; restore the journal from a copy")]
    Form {
        /// The line, from 1.
        line: usize,
        /// What stands there in a whole journal.
        expected: &'static str,
    },
    /// A line's digest is not that of its body and the line before.
    #[error(
        "line {line}: expected digest {expected}, found {found}; this line or the one before was \
         changed, added or removed, restore the journal from a copy"
    )]
    Digest {
        /// The line, from 1.
        line: usize,
        /// The digest worked out.
        expected: Head,
        /// The digest that the line states.
        found: Head,
    },
    /// A whole line holds a body of another kind than the reader wants.
    #[error("line {line}: expected another kind of entry: {source}")]
    Kind {
        /// The line, from 1.
        line: usize,
        /// What the JSON reader says.
        source: serde_json::Error,
    },
    /// Text that should be a digest is not.
    #[error("expected 64 hexadecimal digits in lower case")]
    Head,
}

/// The digest that stands for everything before it: 32 bytes, shown as 64 hexadecimal digits.
#[derive(Clone, Copy, PartialEq, Eq, Hash)]
pub struct Head([u8; 32]);

impl Head {
    /// What the first link of a chain follows: all zeros.
    pub const START: Self = Self([0; 32]);

    /// Returns the digest of this head's hexadecimal digits followed by `bytes`.
    pub fn then(&self, bytes: &[u8]) -> Self {
        let mut hasher = Sha256::new();
        hasher.update(self.hex());
        hasher.update(bytes);
        Self(hasher.finalize().into())
    }

    fn hex(&self) -> [u8; 64] {
        const DIGITS: &[u8; 16] = b"0123456789abcdef";
        let mut hex = [0; 64];
        for (pair, byte) in hex.chunks_exact_mut(2).zip(self.0) {
            pair[0] = DIGITS[usize::from(byte >> 4)];
            pair[1] = DIGITS[usize::from(byte & 15)];
        }
        hex
    }

    fn from_hex(hex: &[u8]) -> Option<Self> {
        // Upper case is refused so that a digest has one spelling and a flipped bit shows.
        let digit = |byte: u8| match byte {
            b'0'..=b'9' => Some(byte - b'0'),
            b'a'..=b'f' => Some(byte - b'a' + 10),
            _ => None,
        };
        let mut bytes = [0; 32];
        if hex.len() != 64 {
            return None;
        }
        for (byte, pair) in bytes.iter_mut().zip(hex.chunks_exact(2)) {
            *byte = digit(pair[0])? << 4 | digit(pair[1])?;
        }
        Some(Self(bytes))
    }
}

impl fmt::Display for Head {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(std::str::from_utf8(&self.hex()).expect("hexadecimal digits are ASCII"))
    }
}

impl fmt::Debug for Head {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Head({self})")
    }
}

impl FromStr for Head {
    type Err = Error;

    fn from_str(text: &str) -> Result<Self, Error> {
        Self::from_hex(text.as_bytes()).ok_or(Error::Head)
    }
}

/// Makes the lines of one journal, each chained to the one before.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Writer {
    head: Head,
    count: usize,
}

impl Writer {
    /// Begins a journal.
    pub fn new() -> Self {
        Self::resume(Head::START, 0)
    }

    /// Goes on after `count` lines, the last of which has the digest `head`.
    pub fn resume(head: Head, count: usize) -> Self {
        Self { head, count }
    }

    /// Makes the next line, with its line feed, and advances the head.
    ///
    /// The head stays where it was when there is an error. JSON has no NaN or infinity and
    /// stores them as `null`: keep numbers that matter as integers.
    ///
    /// # Errors
    /// When the body does not turn into JSON, or holds JSON of its own laid out on many lines.
    pub fn line<T: Serialize + ?Sized>(&mut self, body: &T) -> Result<String, Error> {
        let body = serde_json::to_string(body).map_err(Error::Body)?;
        if body.contains('\n') {
            return Err(Error::LineFeed);
        }
        self.head = self.head.then(body.as_bytes());
        self.count += 1;
        Ok(format!("{OPEN}{}{MIDDLE}{body}{CLOSE}\n", self.head))
    }

    /// Takes over a line made elsewhere, and says whether it is whole and follows the last one.
    ///
    /// # Errors
    /// When it does not; the head stays where it was.
    pub fn follow(&mut self, line: &str) -> Result<(), Error> {
        let number = self.count + 1;
        let form = |expected| Error::Form {
            line: number,
            expected,
        };
        let (line, rest) = line
            .split_once('\n')
            .ok_or(form("a line feed at its end"))?;
        if !rest.is_empty() {
            return Err(form("nothing after its line feed"));
        }
        let (found, body) = parse(line.as_bytes()).map_err(form)?;
        self.head = check(self.head, number, found, &body)?;
        self.count = number;
        Ok(())
    }

    /// Returns the digest of the last line.
    pub fn head(&self) -> Head {
        self.head
    }

    /// Returns the number of lines so far.
    pub fn count(&self) -> usize {
        self.count
    }
}

impl Default for Writer {
    fn default() -> Self {
        Self::new()
    }
}

/// What a journal holds.
#[derive(Debug, Clone)]
pub struct Reading {
    /// The bodies of the whole lines, in order, byte for byte as stored.
    pub bodies: Vec<Box<RawValue>>,
    /// The digest of the last whole line.
    pub head: Head,
    /// Where the last whole line ends, in bytes: cut here before going on.
    pub whole_bytes: usize,
    /// Whether something stands after the last whole line: an append that was cut short.
    pub torn: bool,
}

impl Reading {
    /// Turns every body into a value.
    ///
    /// # Errors
    /// At the first body that is not a `T`, with its line.
    pub fn decode<T: DeserializeOwned>(&self) -> Result<Vec<T>, Error> {
        let value = |(index, body): (usize, &RawValue)| {
            serde_json::from_str(body.get()).map_err(|source| Error::Kind {
                line: index + 1,
                source,
            })
        };
        let bodies = self.bodies.iter().map(AsRef::as_ref);
        bodies.enumerate().map(value).collect()
    }

    /// Returns a writer that goes on after the last whole line.
    pub fn writer(&self) -> Writer {
        Writer::resume(self.head, self.bodies.len())
    }
}

/// Reads a journal and checks its chain.
///
/// The very last line may be torn, that is without its line feed or not of a line's form: a power
/// cut leaves it so, and nothing was acknowledged for it. It is left out and reported.
///
/// # Errors
/// When any other line has not its form, or any line a digest that does not fit.
pub fn read(text: &[u8]) -> Result<Reading, Error> {
    let mut reading = Reading {
        bodies: Vec::new(),
        head: Head::START,
        whole_bytes: 0,
        torn: false,
    };
    for piece in text.split_inclusive(|&byte| byte == b'\n') {
        let number = reading.bodies.len() + 1;
        let last = reading.whole_bytes + piece.len() == text.len();
        let parsed = match piece.strip_suffix(b"\n") {
            Some(line) => parse(line),
            None => Err("a line feed at its end"),
        };
        match parsed {
            Ok((found, body)) => {
                reading.head = check(reading.head, number, found, &body)?;
                reading.bodies.push(body);
                reading.whole_bytes += piece.len();
            }
            Err(_) if last => reading.torn = true,
            Err(expected) => {
                return Err(Error::Form {
                    line: number,
                    expected,
                });
            }
        }
    }
    Ok(reading)
}

const OPEN: &str = r#"{"h":""#;
const MIDDLE: &str = r#"","b":"#;
const CLOSE: &str = "}";

/// Takes a line without its line feed apart, or says what was expected of it.
///
/// The wrapper is compared byte for byte, not parsed as JSON, so that no byte of it can change
/// unseen.
fn parse(line: &[u8]) -> Result<(Head, Box<RawValue>), &'static str> {
    let rest = line
        .strip_prefix(OPEN.as_bytes())
        .ok_or(r#"a line that begins with {"h":""#)?;
    let (hex, rest) = rest
        .split_at_checked(64)
        .ok_or("a digest of 64 hexadecimal digits")?;
    let head = Head::from_hex(hex).ok_or("a digest of 64 hexadecimal digits in lower case")?;
    let body = rest
        .strip_prefix(MIDDLE.as_bytes())
        .and_then(|rest| rest.strip_suffix(CLOSE.as_bytes()))
        .ok_or(r#"a body between "b": and a closing brace"#)?;
    let body = std::str::from_utf8(body).map_err(|_| "UTF-8 text")?;
    let value: Box<RawValue> = serde_json::from_str(body).map_err(|_| "a body in JSON")?;
    if value.get() != body {
        return Err("no space around the body");
    }
    Ok((head, value))
}

fn check(previous: Head, line: usize, found: Head, body: &RawValue) -> Result<Head, Error> {
    let expected = previous.then(body.get().as_bytes());
    if found == expected {
        Ok(expected)
    } else {
        Err(Error::Digest {
            line,
            expected,
            found,
        })
    }
}
