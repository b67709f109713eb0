//! Lines and columns of a script, and findings printed with the line they mark.

use std::fmt::Write as _;
use std::ops::Range;

use super::{Diagnostic, Severity};

/// Characters of a marked line that are shown at most.
const WIDTH: usize = 96;

/// Characters shown before the mark when the start of a long line is cut off.
const LEAD: usize = 32;

/// Bytes between two entries of the table that counts characters.
const STRIDE: usize = 256;

/// Replaces characters that would disturb a terminal.
const REPLACEMENT: char = '\u{fffd}';

/// An index of a script by which any place is found in about the same short time.
#[derive(Debug, Clone)]
pub struct Lines<'a> {
    source: &'a str,
    /// Where each line begins, in bytes.
    starts: Vec<usize>,
    /// How many characters begin before each `STRIDE`-th byte.
    characters: Vec<usize>,
}

impl<'a> Lines<'a> {
    /// Reads the script once.
    pub fn new(source: &'a str) -> Self {
        let newlines = source
            .bytes()
            .enumerate()
            .filter(|(_, byte)| *byte == b'\n');
        let starts = std::iter::once(0)
            .chain(newlines.map(|(at, _)| at + 1))
            .collect();
        let mut characters = Vec::with_capacity(source.len() / STRIDE + 1);
        let mut total = 0;
        for block in source.as_bytes().chunks(STRIDE) {
            characters.push(total);
            total += count(block);
        }
        Self {
            source,
            starts,
            characters,
        }
    }

    /// Returns line and column of a byte, both from 1; the column counts characters.
    ///
    /// A place past the end is taken as the end, and one inside a character as its start. A byte
    /// order mark at the start of the script has no width.
    pub fn position(&self, byte: usize) -> (usize, usize) {
        let byte = self.source.floor_char_boundary(byte);
        let line = self.line(byte);
        let start = self.starts[line];
        let start = if line == 0 && self.source.starts_with('\u{feff}') {
            '\u{feff}'.len_utf8().min(byte)
        } else {
            start
        };
        let column = self.characters_before(byte) - self.characters_before(start);
        (line + 1, column + 1)
    }

    /// Prints a finding as `file:line:column: message`, the marked line, and the help.
    ///
    /// Each line ends in a newline.
    pub fn render(&self, diagnostic: &Diagnostic, name: &str) -> String {
        let mut text = self.head(diagnostic, name);
        self.mark(&mut text, &diagnostic.span);
        help(&mut text, diagnostic);
        text
    }

    /// Prints a finding as one line `file:line:column: message`, with the help on a second.
    ///
    /// Each line ends in a newline.
    pub fn plain(&self, diagnostic: &Diagnostic, name: &str) -> String {
        let mut text = self.head(diagnostic, name);
        help(&mut text, diagnostic);
        text
    }

    fn head(&self, diagnostic: &Diagnostic, name: &str) -> String {
        let (line, column) = self.position(diagnostic.span.start);
        let severity = match diagnostic.severity {
            Severity::Fault => "",
            Severity::Warning => "warning: ",
        };
        let message = printable(&diagnostic.message);
        format!("{name}:{line}:{column}: {severity}{message}\n")
    }

    /// Appends the first line of a span with carets under its part of the span.
    ///
    /// An empty line is left out: there is nothing to see in it.
    fn mark(&self, text: &mut String, span: &Range<usize>) {
        let from = self.source.floor_char_boundary(span.start);
        let line = self.line(from);
        let (start, end) = self.bounds(line);
        if self.source[start..end].trim().is_empty() {
            return;
        }
        // A place on the line break is shown past the last character, a byte order mark not at all.
        let from = from.clamp(start, end);
        let to = self.source.floor_char_boundary(span.end).clamp(from, end);

        let column = self.characters_before(from) - self.characters_before(start);
        let skipped = match column > WIDTH - LEAD {
            true => column - LEAD,
            false => 0,
        };
        let shown_from = back(&self.source[start..from], column - skipped) + start;
        let shown = &self.source[shown_from..end];
        let shown_to = shown
            .char_indices()
            .nth(WIDTH)
            .map_or(end, |(at, _)| shown_from + at);

        let (before, after) = (
            if skipped > 0 { "…" } else { "" },
            if shown_to < end { "…" } else { "" },
        );
        let shown = printable(&self.source[shown_from..shown_to]);
        let indent = " ".repeat(column - skipped + before.chars().count());
        let carets = self.source[from..to.min(shown_to)].chars().count().max(1);
        let carets = "^".repeat(carets);
        let _ = writeln!(text, "    {before}{shown}{after}\n    {indent}{carets}");
    }

    /// Returns the index from 0 of the line that holds a byte.
    fn line(&self, byte: usize) -> usize {
        self.starts.partition_point(|start| *start <= byte) - 1
    }

    /// Returns where a line begins and ends, without byte order mark and line break.
    fn bounds(&self, line: usize) -> (usize, usize) {
        let start = self.starts[line];
        let end = match self.starts.get(line + 1) {
            Some(next) => next - 1,
            None => self.source.len(),
        };
        let content = &self.source[start..end];
        let content = content.strip_suffix('\r').unwrap_or(content);
        let end = start + content.len();
        if line == 0 && content.starts_with('\u{feff}') {
            return (start + '\u{feff}'.len_utf8(), end);
        }
        (start, end)
    }

    /// Counts the characters that begin before a byte.
    fn characters_before(&self, byte: usize) -> usize {
        let block = byte / STRIDE;
        match self.characters.get(block) {
            Some(total) => total + count(&self.source.as_bytes()[block * STRIDE..byte]),
            // Only the end of a script whose last block is full lies past the table.
            None => {
                let last = block.saturating_sub(1);
                let total = self.characters.get(last).copied().unwrap_or(0);
                total + count(&self.source.as_bytes()[last * STRIDE..byte])
            }
        }
    }
}

/// Prints one finding with the line it marks; see [`Lines::render`].
///
/// For many findings of one script, make [`Lines`] once instead.
pub fn render(diagnostic: &Diagnostic, name: &str, source: &str) -> String {
    Lines::new(source).render(diagnostic, name)
}

/// Appends the help, if there is any.
fn help(text: &mut String, diagnostic: &Diagnostic) {
    if let Some(help) = &diagnostic.help {
        let _ = writeln!(text, "  help: {}", printable(help));
    }
}

/// Counts the characters that begin in a run of UTF-8 bytes.
fn count(bytes: &[u8]) -> usize {
    // Every byte but a continuation byte (10xxxxxx) begins a character.
    bytes.iter().filter(|byte| **byte & 0xc0 != 0x80).count()
}

/// Returns the byte at which the last `characters` characters of a text begin.
fn back(text: &str, characters: usize) -> usize {
    match characters.checked_sub(1) {
        Some(last) => text.char_indices().rev().nth(last).map_or(0, |(at, _)| at),
        None => text.len(),
    }
}

/// Replaces what would disturb a terminal or turn the reading direction, one for one.
fn printable(text: &str) -> String {
    text.chars()
        .map(|c| match c {
            '\t' => ' ',
            '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2066}'..='\u{2069}' => {
                REPLACEMENT
            }
            '\u{feff}' => REPLACEMENT,
            c if c.is_control() => REPLACEMENT,
            c => c,
        })
        .collect()
}
