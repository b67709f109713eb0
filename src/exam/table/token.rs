//! The tokens of a script: just enough of TOML to tell brackets, texts and line ends apart.
//!
//! The division into tokens is that of the TOML reader, so that both see the same nesting.

/// What a token is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Kind {
    Space,
    Comment,
    LineEnd,
    Dot,
    Equals,
    Comma,
    /// The opening bracket `[` or `{`.
    Open(u8),
    /// The closing bracket `]` or `}`.
    Close(u8),
    /// A text in quotes; what its quotes are and whether the closing ones are there.
    Text {
        quote: &'static str,
        closed: bool,
    },
    /// Anything else up to the next space or sign.
    Atom,
}

/// Reads the token that begins at `at` and returns where it ends; nothing at the end.
pub(super) fn next(source: &str, at: usize) -> Option<(Kind, usize)> {
    let rest = &source.as_bytes()[at..];
    let until = |stop: &[u8]| {
        let found = rest.iter().position(|byte| stop.contains(byte));
        at + found.unwrap_or(rest.len())
    };
    Some(match *rest.first()? {
        b'.' => (Kind::Dot, at + 1),
        b'=' => (Kind::Equals, at + 1),
        b',' => (Kind::Comma, at + 1),
        open @ (b'[' | b'{') => (Kind::Open(open), at + 1),
        close @ (b']' | b'}') => (Kind::Close(close), at + 1),
        b'\n' => (Kind::LineEnd, at + 1),
        b'\r' if rest.get(1) == Some(&b'\n') => (Kind::LineEnd, at + 2),
        // The TOML reader complains about a lone carriage return, then takes it as a line end.
        b'\r' => (Kind::LineEnd, at + 1),
        b'#' => (Kind::Comment, until(b"\r\n")),
        b' ' | b'\t' => {
            let space = rest.iter().take_while(|byte| matches!(byte, b' ' | b'\t'));
            (Kind::Space, at + space.count())
        }
        b'"' | b'\'' => {
            let quote = ["\"\"\"", "'''", "\"", "'"]
                .into_iter()
                .find(|quote| rest.starts_with(quote.as_bytes()))
                .unwrap_or("\"");
            let (length, closed) = text(rest, quote);
            (Kind::Text { quote, closed }, at + length)
        }
        _ => (Kind::Atom, until(b".=,[]{} \t#\r\n")),
    })
}

/// Returns the length of a text with its quotes, and whether the closing ones are there.
fn text(rest: &[u8], quote: &str) -> (usize, bool) {
    let escapes = quote.starts_with('"');
    let multiline = quote.len() == 3;
    let mut at = quote.len();
    while let Some(byte) = rest.get(at) {
        match byte {
            b'\\' if escapes => {
                let skip = matches!(rest.get(at + 1), Some(b'\\' | b'"'));
                at += 1 + usize::from(skip);
            }
            b'\n' if !multiline => return (at, false),
            _ if rest[at..].starts_with(quote.as_bytes()) => {
                at += quote.len();
                if multiline {
                    // Up to two quotes of the text itself may stand before the closing three.
                    let mark = quote.as_bytes()[0];
                    let more = rest[at..].iter().take(2).take_while(|byte| **byte == mark);
                    at += more.count();
                }
                return (at, true);
            }
            _ => at += 1,
        }
    }
    (rest.len(), false)
}
