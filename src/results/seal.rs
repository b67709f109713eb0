//! The digest chain that finds any changed byte of a result.
//!
//! A sealed document is its blocks, one after the other, and then the seal's own text:
//!
//! ```toml
//!
//! [seal]
//! algorithm = "sha256-chain"
//! journal = "<64 hex>"
//! bytes = [<length of each block>]
//! links = [
//!     "<16 hex>",
//! ]
//! text = "<64 hex>"
//! head = "<64 hex>"
//! ```
//!
//! Blocks are cut by the lengths in `bytes`, never by looking for brackets, so that no text inside
//! a block can move a border. With h₀ = 64 zeros, hᵢ is the SHA-256 (FIPS 180-4) of the 64 hex
//! digits of hᵢ₋₁ and the bytes of block i. `links` holds the first 16 digits of each hᵢ and
//! `text` the whole last one; `head` is one more link, over the seal's own lines before it. So the
//! seal vouches for itself, and when it is whole the links tell which block differs. The line feed
//! before `[seal]` belongs to the seal.
//!
//! A seal holds no secret: whoever alters a result can seal it anew. What betrays that is the
//! [`short`] head on the printed sheet, or a [`signature`](super::signature).

use std::fmt::{self, Write as _};
use std::ops::RangeInclusive;

use crate::sitting::journal::Head;

#[cfg(test)]
mod tests;

const OPEN: &str = "\n[seal]\n";

/// What a whole document's seal says.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Verified {
    /// The digest of the whole document.
    pub head: Head,
    /// The head of the journal that the document was made from.
    pub journal: Option<Head>,
    /// The number of blocks.
    pub blocks: usize,
}

/// Where a document is not as it was sealed. Lines count from 1.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum Fault {
    /// There is no line `[seal]`.
    #[error(
        "expected a table [seal] at the end, found no seal; \
         this file was never whole or its end was cut off"
    )]
    NoSeal,
    /// The seal has been changed, so that it can't vouch for the rest.
    #[error("line {line}: the seal itself was changed: expected {expected}")]
    Seal {
        /// The first line of the seal that differs, or where it begins.
        line: usize,
        /// What a whole seal has there.
        expected: String,
    },
    /// A block is not the one sealed; those before it are.
    #[error("{}: {block} was changed, or something was added or removed there", place(.lines))]
    Block {
        /// The block that differs.
        block: Block,
        /// Where it stands now, as far as its sealed length reaches. The first change is in there.
        lines: RangeInclusive<usize>,
    },
    /// The document ends before this block.
    #[error("line {line}: expected {number} blocks before the seal, block {missing} is missing")]
    Missing {
        /// The line where it should begin.
        line: usize,
        /// The missing block, from 1.
        missing: usize,
        /// The number of blocks sealed.
        number: usize,
    },
    /// Every block is whole, and more stands before the seal.
    #[error("line {line}: text was added between the last block and the seal")]
    Between {
        /// Where the addition begins.
        line: usize,
    },
    /// Everything is whole up to the end of the seal, and more follows.
    #[error("line {line}: text was added after the seal")]
    After {
        /// Where the addition begins.
        line: usize,
    },
}

/// A block's place and, where it has one, its header as it stands now.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Block {
    /// Its place among all blocks, from 1.
    pub number: usize,
    /// Its header, such as `[[item]]`.
    pub header: Option<String>,
    /// Its place among the blocks with this header, from 1.
    pub nth: usize,
}

impl Block {
    /// Names the last of the blocks that begin at `starts`.
    fn at(body: &[u8], starts: &[usize]) -> Self {
        let header = |&start: &usize| {
            let line = body[start..].split(|&byte| byte == b'\n').next()?;
            line.starts_with(b"[").then_some(line)
        };
        let last = starts.last().and_then(header);
        Self {
            number: starts.len(),
            // A changed header may be anything: what is shown stays short and printable.
            header: last.map(|line| {
                let text = String::from_utf8_lossy(line);
                let letters = text.trim_end().chars().take(60);
                letters
                    .map(|c| if c.is_control() { '\u{fffd}' } else { c })
                    .collect()
            }),
            nth: starts.iter().filter(|start| header(start) == last).count(),
        }
    }
}

impl fmt::Display for Block {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match &self.header {
            Some(header) => write!(f, "{header} number {}", self.nth),
            None if self.number == 1 => f.write_str("the head of the file"),
            None => write!(f, "block {}", self.number),
        }
    }
}

/// Cuts a document into blocks: each begins at a line that begins with `[`.
///
/// Nothing depends on this rule: the seal stores lengths. A line of an array or of a text that
/// happens to begin with a bracket makes one block more.
pub fn split(text: &str) -> Vec<&str> {
    let mut blocks = Vec::new();
    let mut rest = text;
    while !rest.is_empty() {
        let end = rest.find("\n[").map_or(rest.len(), |at| at + 1);
        let (block, tail) = rest.split_at(end);
        blocks.push(block);
        rest = tail;
    }
    blocks
}

/// Returns the seal's text, to be written straight after the blocks.
pub fn seal(blocks: &[&str], journal: Option<&Head>) -> String {
    let mut head = Head::START;
    let mut links = Vec::with_capacity(blocks.len());
    for block in blocks {
        head = head.then(block.as_bytes());
        links.push(link(&head));
    }
    let mut table = Table {
        journal: journal.copied(),
        bytes: blocks.iter().map(|block| block.len() as u64).collect(),
        links,
        text: head,
        head,
    };
    let lines = table.lines();
    table.head = head.then(lines.as_bytes());
    format!("{lines}{}", last_line(&table.head))
}

/// Returns the first eight digits of a head in two groups, such as `8e27-44d1`, for paper.
pub fn short(head: &Head) -> String {
    let hex = head.to_string();
    format!("{}-{}", &hex[..4], &hex[4..8])
}

/// Checks that a document is byte for byte as it was sealed.
///
/// # Errors
/// With the first place that differs. The seal is judged first, since a broken one can't tell
/// about the blocks; then the blocks in order; then what stands between or after.
pub fn audit(text: &str) -> Result<Verified, Fault> {
    open(text).map(|(verified, _)| verified)
}

/// As [`audit`], and returns the sealed blocks, cut where they were sealed.
///
/// # Errors
/// As [`audit`].
pub fn open(text: &str) -> Result<(Verified, Vec<&str>), Fault> {
    let parts = Parts::of(text)?;
    let table = Table::read(parts.seal).map_err(|(offset, expected)| Fault::Seal {
        line: line_at(text, parts.body.len() + offset),
        expected,
    })?;
    let head = check_blocks(parts.body.as_bytes(), &table)?;
    // The links are short, so that two texts with the same ones could be sought. Only the whole
    // digest settles it.
    if head != table.text {
        return Err(Fault::Seal {
            line: line_at(text, parts.body.len() + 1),
            expected: format!("text = \"{head}\""),
        });
    }
    if parts.after.is_empty() {
        let mut rest = parts.body;
        let blocks = table.bytes.iter().map(|length| {
            // A sealed length that cuts a character has been found out above.
            let at = usize::try_from(*length).unwrap_or(usize::MAX);
            let (block, after) = rest.split_at_checked(at).unwrap_or((rest, ""));
            rest = after;
            block
        });
        Ok((
            Verified {
                head: table.head,
                journal: table.journal,
                blocks: table.links.len(),
            },
            blocks.collect(),
        ))
    } else {
        Err(Fault::After {
            line: line_at(text, text.len() - parts.after.len()),
        })
    }
}

/// Compares every block with its link and returns the whole digest of the last.
fn check_blocks(body: &[u8], table: &Table) -> Result<Head, Fault> {
    let mut head = Head::START;
    let mut starts = Vec::with_capacity(table.links.len());
    let mut start = 0_usize;
    for (&length, sealed) in table.bytes.iter().zip(&table.links) {
        starts.push(start);
        let length = usize::try_from(length).unwrap_or(usize::MAX);
        let end = start.saturating_add(length);
        let found = &body[start..end.min(body.len())];
        head = head.then(found);
        if end > body.len() || link(&head) != *sealed {
            let line = line_at(body, start);
            return Err(if found.is_empty() && length > 0 {
                Fault::Missing {
                    line,
                    missing: starts.len(),
                    number: table.links.len(),
                }
            } else {
                Fault::Block {
                    block: Block::at(body, &starts),
                    lines: line..=line_at(body, (start + found.len()).saturating_sub(1)).max(line),
                }
            });
        }
        start = end;
    }
    if start < body.len() {
        return Err(Fault::Between {
            line: line_at(body, start),
        });
    }
    Ok(head)
}

/// A document's text before the seal, the seal, and the text after it.
struct Parts<'a> {
    body: &'a str,
    seal: &'a str,
    after: &'a str,
}

impl<'a> Parts<'a> {
    fn of(text: &'a str) -> Result<Self, Fault> {
        let Some(at) = text.rfind(OPEN) else {
            let near = |line: &str| line.trim_start().starts_with("[seal]");
            return Err(match text.lines().position(near) {
                Some(index) => Fault::Seal {
                    line: index + 1,
                    expected: "a line [seal] ended by a line feed alone, with a line before it"
                        .to_owned(),
                },
                None => Fault::NoSeal,
            });
        };
        let (body, tail) = text.split_at(at);
        let head = tail.find("\nhead = ").map_or(tail.len(), |at| at + 1);
        let end = tail[head..]
            .find('\n')
            .map_or(tail.len(), |at| head + at + 1);
        let (seal, after) = tail.split_at(end);
        Ok(Self { body, seal, after })
    }
}

/// What the seal's table says, once it is known to be spelt right and to vouch for itself.
struct Table {
    journal: Option<Head>,
    bytes: Vec<u64>,
    links: Vec<String>,
    text: Head,
    head: Head,
}

impl Table {
    /// Reads the seal's text, or says where it isn't as [`seal`] writes it, as an offset in bytes.
    fn read(seal: &str) -> Result<Self, (usize, String)> {
        // As this program writes it, it is read line by line; only another's needs TOML to be told
        // what is wrong.
        let table = match Self::of_lines(seal) {
            Some(table) => table,
            None => Self::of_toml(seal)?,
        };
        // TOML has many spellings for one value. Only ours is the sealed one.
        let lines = table.lines();
        let canonical = format!("{lines}{}", last_line(&table.head));
        if canonical != seal {
            let pairs = canonical.bytes().zip(seal.bytes());
            let same = pairs.take_while(|(ours, theirs)| ours == theirs).count();
            let line = line_at(&canonical, same);
            let line = canonical.split('\n').nth(line - 1).unwrap_or_default();
            return Err((same.max(1), format!("`{line}`")));
        }
        if table.text.then(lines.as_bytes()) != table.head {
            return Err((1, "the lines that its head stands for".to_owned()));
        }
        if table.bytes.len() != table.links.len() {
            return Err((1, "as many lengths as links".to_owned()));
        }
        Ok(table)
    }

    /// Reads the lines that [`seal()`] writes; `None` for others. Whoever calls compares the whole.
    fn of_lines(seal: &str) -> Option<Self> {
        fn quoted(text: &str) -> Option<&str> {
            text.strip_prefix('"')?.strip_suffix('"')
        }
        let mut lines = seal.strip_prefix(OPEN)?.lines();
        let mut line = lines.next()?;
        if line != "algorithm = \"sha256-chain\"" {
            return None;
        }
        line = lines.next()?;
        let journal = match line.strip_prefix("journal = ") {
            Some(head) => {
                line = lines.next()?;
                Some(quoted(head)?.parse().ok()?)
            }
            None => None,
        };
        let bytes = line.strip_prefix("bytes = [")?.strip_suffix(']')?;
        let bytes = match bytes {
            "" => Vec::new(),
            some => some
                .split(", ")
                .map(|length| length.parse().ok())
                .collect::<Option<_>>()?,
        };
        if lines.next()? != "links = [" {
            return None;
        }
        let mut links = Vec::new();
        let text = loop {
            let line = lines.next()?;
            match line
                .strip_prefix("    ")
                .and_then(|line| line.strip_suffix(','))
            {
                Some(link) => links.push(quoted(link)?.to_owned()),
                None if line == "]" => break lines.next()?.strip_prefix("text = ")?,
                None => return None,
            }
        };
        let head = lines.next()?.strip_prefix("head = ")?;

        Some(Self {
            journal,
            bytes,
            links,
            text: quoted(text)?.parse().ok()?,
            head: quoted(head)?.parse().ok()?,
        })
    }

    fn of_toml(seal: &str) -> Result<Self, (usize, String)> {
        let document: raw::Document = toml::from_str(seal).map_err(|error| {
            let start = error.span().map_or(1, |span| span.start);
            let reason = error.message().lines().next().unwrap_or_default();
            let expected = format!("the table that was written ({reason})");
            (start.min(seal.len() - 1), expected)
        })?;
        let raw = document.seal;
        let digest = |hex: &str| {
            let words = |_| (1, "digests of 64 hexadecimal digits".to_owned());
            hex.parse().map_err(words)
        };
        Ok(Self {
            journal: raw.journal.as_deref().map(digest).transpose()?,
            bytes: raw.bytes,
            links: raw.links,
            text: digest(&raw.text)?,
            head: digest(&raw.head)?,
        })
    }

    /// Returns the seal's lines before the head, from the line feed before `[seal]`.
    fn lines(&self) -> String {
        let mut text = String::with_capacity(OPEN.len() + 256 + 32 * self.links.len());
        text.push_str(OPEN);
        text.push_str("algorithm = \"sha256-chain\"\n");
        if let Some(head) = &self.journal {
            let _ = writeln!(text, "journal = \"{head}\"");
        }
        text.push_str("bytes = [");
        for (place, length) in self.bytes.iter().enumerate() {
            let comma = if place > 0 { ", " } else { "" };
            let _ = write!(text, "{comma}{length}");
        }
        text.push_str("]\nlinks = [\n");
        for link in &self.links {
            let _ = writeln!(text, "    \"{link}\",");
        }
        let _ = writeln!(text, "]\ntext = \"{}\"", self.text);
        text
    }
}

/// The seal's table as TOML reads it.
mod raw {
    use serde::Deserialize;

    #[derive(Deserialize)]
    #[serde(deny_unknown_fields)]
    pub(super) struct Document {
        pub(super) seal: Table,
    }

    #[derive(Deserialize)]
    #[serde(deny_unknown_fields)]
    pub(super) struct Table {
        #[serde(rename = "algorithm")]
        pub(super) _algorithm: String,
        pub(super) journal: Option<String>,
        pub(super) bytes: Vec<u64>,
        pub(super) links: Vec<String>,
        pub(super) text: String,
        pub(super) head: String,
    }
}

fn link(head: &Head) -> String {
    format!("{head:.16}")
}

fn last_line(head: &Head) -> String {
    format!("head = \"{head}\"\n")
}

fn place(lines: &RangeInclusive<usize>) -> String {
    match (lines.start(), lines.end()) {
        (start, end) if start == end => format!("line {start}"),
        (start, end) => format!("lines {start} to {end}"),
    }
}

/// Returns the line, from 1, on which the byte at an offset stands.
fn line_at(text: impl AsRef<[u8]>, offset: usize) -> usize {
    let before = text.as_ref().iter().take(offset);
    before.filter(|&&byte| byte == b'\n').count() + 1
}
