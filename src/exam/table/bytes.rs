//! The bytes of a script file as text, or why they are none.

use crate::exam::diagnostic::Lines;

/// The longest script that is read, in bytes: 1 MiB.
pub const LIMIT: usize = 1024 * 1024;

/// Why bytes are no script; each is one line.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum Error {
    /// More than [`LIMIT`] bytes.
    #[error(
        "expected at most {LIMIT} bytes (1 MiB), found {found}: this is no exam script, or it needs splitting"
    )]
    TooLong {
        /// The length in bytes.
        found: usize,
    },
    /// Text in the two-byte form that some editors call Unicode.
    #[error(
        "expected UTF-8 text, found UTF-16: in the editor choose \"Save as\" and the encoding UTF-8"
    )]
    Utf16,
    /// Bytes that are no UTF-8.
    #[error(
        "expected UTF-8 text, found the byte {byte:#04x} at line {line}, column {column}: \
         in the editor choose \"Save as\" and the encoding UTF-8"
    )]
    NotUtf8 {
        /// The first byte that does not fit.
        byte: u8,
        /// Its line, from 1.
        line: usize,
        /// Its column in characters, from 1.
        column: usize,
    },
    /// No byte at all.
    #[error("expected an exam script, found an empty file")]
    Empty,
    /// Spaces, line breaks and comments only.
    #[error("expected an exam script, found only blank lines and comments")]
    Blank,
}

/// Takes the bytes of a file as the text of a script, without a byte order mark.
///
/// All places are counted in the returned text.
///
/// # Errors
///
/// Fails if there is nothing to read, too much, or no UTF-8.
pub fn source(bytes: &[u8]) -> Result<&str, Error> {
    if bytes.len() > LIMIT {
        return Err(Error::TooLong { found: bytes.len() });
    }
    if bytes.is_empty() {
        return Err(Error::Empty);
    }
    if bytes.starts_with(&[0xff, 0xfe]) || bytes.starts_with(&[0xfe, 0xff]) {
        return Err(Error::Utf16);
    }
    let text = std::str::from_utf8(bytes).map_err(|error| {
        let valid = &bytes[..error.valid_up_to()];
        let valid = std::str::from_utf8(valid).unwrap_or_default();
        let (line, column) = Lines::new(valid).position(valid.len());
        Error::NotUtf8 {
            byte: bytes[error.valid_up_to()],
            line,
            column,
        }
    })?;
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let is_blank = |line: &str| line.trim().is_empty() || line.trim_start().starts_with('#');
    match text.lines().all(is_blank) {
        true => Err(Error::Blank),
        false => Ok(text),
    }
}
