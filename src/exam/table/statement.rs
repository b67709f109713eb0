//! The statements of a script, found before TOML is understood.
//!
//! A missing bracket or quote would swallow what follows it and bury one slip under a heap of
//! faults. So the script is first cut into statements, at lines that can only begin a new one;
//! those with a slip of this kind are reported here and withheld from the TOML reader.

mod sections;

pub(super) use self::sections::{Sections, withhold};

use std::ops::Range;

use super::token::{self, Kind};

/// How deep brackets and dotted keys may nest together.
pub(super) const DEPTH: usize = 64;

/// A header, or a key with its value.
#[derive(Debug)]
pub(super) struct Statement {
    /// From its first sign to the end of its last line, without the line break.
    pub(super) span: Range<usize>,
    /// Its header with brackets, or its key.
    pub(super) key: Range<usize>,
    /// What the header says; none for a key with its value.
    pub(super) header: Option<Header>,
    /// Brackets and quotes that are missing.
    pub(super) slips: Vec<Slip>,
}

/// What is known of a header.
#[derive(Debug, Clone, Copy)]
pub(super) struct Header {
    /// How many parts its dotted path has.
    pub(super) parts: usize,
    /// Where its closing bracket ends, if it is closed.
    pub(super) closed: Option<usize>,
}

/// A bracket or quote that is missing or wrong.
#[derive(Debug, PartialEq, Eq)]
pub(super) enum Slip {
    /// The quotes opened here are never closed.
    Text {
        span: Range<usize>,
        quote: &'static str,
    },
    /// The bracket at this place is never closed.
    Bracket { at: usize, open: u8 },
    /// The bracket at this place closes none of its kind.
    Closer { at: usize, open: u8, close: u8 },
}

/// An open bracket.
struct Level {
    at: usize,
    open: u8,
    /// How deep its content nests.
    depth: usize,
    /// Dots of the key that is being read.
    dots: usize,
    /// Whether a key is being read.
    in_key: bool,
}

/// Cuts a script into statements.
///
/// # Errors
///
/// Fails at the first place that nests deeper than [`DEPTH`].
pub(super) fn split(source: &str) -> Result<Vec<Statement>, Range<usize>> {
    let mut statements = Vec::new();
    let mut at = match source.starts_with('\u{feff}') {
        true => '\u{feff}'.len_utf8(),
        false => 0,
    };
    while let Some((kind, end)) = token::next(source, at) {
        if matches!(kind, Kind::Space | Kind::Comment | Kind::LineEnd) {
            at = end;
            continue;
        }
        let statement = match kind {
            Kind::Open(b'[') => header(source, at)?,
            _ => pair(source, at)?,
        };
        at = statement.span.end;
        statements.push(statement);
    }
    Ok(statements)
}

/// Reads a header to the end of its line.
fn header(source: &str, start: usize) -> Result<Statement, Range<usize>> {
    let double = source[start..].starts_with("[[");
    let mut at = start + if double { 2 } else { 1 };
    let mut parts = 1;
    let mut closed = None;
    while let Some((kind, end)) = token::next(source, at) {
        match kind {
            Kind::LineEnd => break,
            Kind::Dot if closed.is_none() => parts += 1,
            Kind::Close(b']') if closed.is_none() => {
                closed = match (double, source[end..].starts_with(']')) {
                    (false, _) => Some(end),
                    (true, true) => Some(end + 1),
                    // A single bracket does not close two; what follows is no path any more.
                    (true, false) => None,
                };
            }
            _ => {}
        }
        if parts > DEPTH {
            return Err(at..end);
        }
        at = end;
    }
    Ok(Statement {
        span: start..at,
        key: start..closed.unwrap_or(at),
        header: Some(Header { parts, closed }),
        slips: Vec::new(),
    })
}

/// Reads a key and its value, which may go over several lines.
fn pair(source: &str, start: usize) -> Result<Statement, Range<usize>> {
    let mut at = start;
    let mut key_end = None;
    let mut slips = Vec::new();
    let mut stack = vec![Level {
        at: start,
        open: 0,
        depth: 0,
        dots: 0,
        in_key: true,
    }];
    while let Some((kind, end)) = token::next(source, at) {
        // The bottom of the stack stands for the statement and is never closed.
        let nested = stack.len() > 1;
        let Some(top) = stack.last_mut() else { break };
        match kind {
            Kind::LineEnd if !nested || begins_statement(&source[end..], top.open) => break,
            Kind::Text {
                quote,
                closed: false,
            } => {
                let written = source[at..end].trim_end();
                slips.push(Slip::Text {
                    span: at..at + written.len(),
                    quote,
                });
            }
            Kind::Dot if top.in_key => {
                top.dots += 1;
                if top.depth + top.dots > DEPTH {
                    return Err(at..end);
                }
            }
            Kind::Equals => {
                top.in_key = false;
                if !nested && key_end.is_none() {
                    key_end = Some(at);
                }
            }
            Kind::Comma => {
                top.in_key = top.open == b'{';
                top.dots = 0;
            }
            Kind::Open(open) => {
                let depth = top.depth + top.dots + 1;
                if depth > DEPTH {
                    return Err(at..end);
                }
                stack.push(Level {
                    at,
                    open,
                    depth,
                    dots: 0,
                    in_key: open == b'{',
                });
            }
            Kind::Close(close) if nested => unwind(&mut stack, at, close, &mut slips),
            _ => {}
        }
        at = end;
    }
    if slips.is_empty()
        && stack.len() > 1
        && let Some(top) = stack.last()
    {
        slips.push(Slip::Bracket {
            at: top.at,
            open: top.open,
        });
    }
    let key_end = key_end.unwrap_or(at);
    let key = source[start..key_end].trim_end();
    Ok(Statement {
        span: start..at,
        key: start..start + key.len(),
        header: None,
        slips,
    })
}

/// Closes the innermost bracket of the kind; those left open within it are slips.
fn unwind(stack: &mut Vec<Level>, at: usize, close: u8, slips: &mut Vec<Slip>) {
    let matching = opener(close);
    match stack.iter().rposition(|level| level.open == matching) {
        Some(found) => {
            slips.extend(stack.drain(found + 1..).map(|level| Slip::Bracket {
                at: level.at,
                open: level.open,
            }));
            let _ = stack.pop();
        }
        // No such bracket is open, so the wrong one was written for the innermost.
        None => {
            if let Some(level) = stack.pop() {
                slips.push(Slip::Closer {
                    at,
                    open: level.open,
                    close,
                });
            }
        }
    }
}

/// Returns the bracket that a closing one closes.
fn opener(close: u8) -> u8 {
    match close {
        b']' => b'[',
        _ => b'{',
    }
}

/// Tells whether a line within brackets can only be the beginning of a statement.
///
/// In square brackets no `key =` can stand, and nowhere a header of one bare name.
fn begins_statement(rest: &str, open: u8) -> bool {
    let line = rest.lines().next().unwrap_or_default();
    let mut at = 0;
    let mut tokens = std::iter::from_fn(|| {
        loop {
            let (kind, end) = token::next(line, at)?;
            let text = &line[at..end];
            at = end;
            if kind != Kind::Space {
                return Some((kind, text));
            }
        }
    })
    .peekable();
    let header = tokens
        .peek()
        .is_some_and(|(kind, _)| *kind == Kind::Open(b'['));
    while tokens
        .next_if(|(kind, _)| header && *kind == Kind::Open(b'['))
        .is_some()
    {}
    loop {
        match tokens.next() {
            Some((Kind::Atom, name)) if !header || is_section_name(name) => {}
            Some((Kind::Text { closed: true, .. }, _)) if !header => {}
            _ => return false,
        }
        match tokens.next() {
            Some((Kind::Dot, _)) => {}
            Some((Kind::Equals, _)) => return !header && open == b'[',
            Some((Kind::Close(b']'), _)) if header => break,
            _ => return false,
        }
    }
    tokens.all(|(kind, _)| matches!(kind, Kind::Close(b']') | Kind::Comment))
}

/// Tells whether a bare name can be that of a section but no value.
fn is_section_name(name: &str) -> bool {
    let letters = |c: char| c.is_ascii_alphanumeric() || matches!(c, '_' | '-');
    name.starts_with(|c: char| c.is_ascii_alphabetic())
        && name.chars().all(letters)
        && !matches!(name, "true" | "false" | "inf" | "nan")
}
