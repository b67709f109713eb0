//! From text to a document, with every fault of its TOML.

use std::collections::{BTreeMap, HashSet};
use std::ops::Range;

use toml::de::DeTable;

use super::Document;
use super::statement::{self, Sections, Statement};
use super::syntax::{Class, Finding, Places};
use crate::exam::diagnostic::{Diagnostics, Lines};

/// How often the rest of a script is read again after faulty statements are withheld.
///
/// The first reading finds nearly everything, the second what the first could not reach.
const ROUNDS: usize = 8;

/// Reads the TOML of a script, recording all that is wrong with it.
///
/// Statements that cannot be read are left out of the document, so that the rest can still be
/// vetted: see [`Table::is_whole`](super::Table::is_whole). There is no document if the script
/// nests too deeply or is beyond telling; a fault says so.
pub fn parse(source: &str, out: &Diagnostics) -> Option<Document> {
    let statements = match statement::split(source) {
        Ok(statements) => statements,
        Err(span) => {
            let depth = statement::DEPTH;
            out.fault(
                span,
                format!(
                    "expected brackets and dotted keys to nest at most {depth} deep, found more"
                ),
                Some("write sections [name] instead of nested lists and tables".to_owned()),
            );
            return None;
        }
    };
    let mut reader = Reader::new(source, &statements, out);
    reader.withhold_slips();
    for _ in 0..ROUNDS {
        let text = String::from_utf8(reader.text.clone()).expect("whole statements were blanked");
        let (table, errors) = DeTable::parse_recoverable(&text);
        let errors = errors
            .iter()
            .map(|error| (error.span().unwrap_or_default(), error.message()));
        if !reader.report(errors) {
            let sections = Sections::new(&statements, &reader.withheld);
            return Some(Document::new(table.into_inner(), source, &sections));
        }
    }
    None
}

/// What is known of a script while it is read.
struct Reader<'a> {
    source: &'a str,
    lines: Lines<'a>,
    places: Places<'a>,
    statements: &'a [Statement],
    out: &'a Diagnostics,
    /// The script with blanks for what is withheld.
    text: Vec<u8>,
    withheld: Vec<bool>,
    seen: HashSet<(usize, String)>,
}

impl<'a> Reader<'a> {
    fn new(source: &'a str, statements: &'a [Statement], out: &'a Diagnostics) -> Self {
        let lines = Lines::new(source);
        Self {
            source,
            places: Places::new(source, statements),
            statements,
            out,
            text: source.as_bytes().to_vec(),
            withheld: vec![false; statements.len()],
            seen: HashSet::new(),
            lines,
        }
    }

    /// Reports missing brackets and quotes.
    fn withhold_slips(&mut self) {
        let statements = self.statements;
        for (index, statement) in statements.iter().enumerate() {
            for slip in &statement.slips {
                self.record(Finding::slip(self.source, slip));
            }
            if !statement.slips.is_empty() {
                self.withhold(index);
            }
        }
    }

    /// Reports what the TOML reader found; tells whether the rest had better be read again.
    fn report<'e>(&mut self, errors: impl Iterator<Item = (Range<usize>, &'e str)>) -> bool {
        let mut by_line: BTreeMap<usize, Vec<(usize, Finding)>> = BTreeMap::new();
        for (span, message) in errors {
            let after = self
                .statements
                .partition_point(|statement| statement.span.start <= span.start);
            let index = after.saturating_sub(1);
            let statement = self.statements.get(index);
            let finding = Finding::new(
                self.source,
                &self.lines,
                &self.places,
                statement,
                span,
                message,
            );
            let (line, _) = self.lines.position(finding.span.start);
            by_line.entry(line).or_default().push((index, finding));
        }
        let mut again = false;
        let mut effects = Vec::new();
        for mut found in by_line.into_values() {
            found.sort_by_key(|(_, finding)| finding.span.start);
            // Behind a fault of structure the TOML reader guesses, so only the first one counts.
            let first = found
                .iter()
                .position(|(_, finding)| finding.class == Class::Structure);
            for (at, (index, finding)) in found.into_iter().enumerate() {
                match finding.class {
                    Class::Meaning => self.record(finding),
                    Class::Effect => effects.push(finding),
                    Class::Structure | Class::Value => {
                        again |= self.mend(index, &finding.span);
                        if first.is_none_or(|first| first == at) {
                            self.record(finding);
                        }
                    }
                }
            }
        }
        if !again {
            effects.into_iter().for_each(|effect| self.record(effect));
        }
        again
    }

    /// Blanks what cannot be read; tells whether that changed anything.
    fn mend(&mut self, index: usize, span: &Range<usize>) -> bool {
        let Some(statement) = self.statements.get(index) else {
            return false;
        };
        if self.withheld[index] {
            return false;
        }
        match statement.header.and_then(|header| header.closed) {
            Some(closed) if closed <= span.start => {
                let tail = closed..statement.span.end;
                let blank = self.text[tail.clone()].iter().all(|byte| *byte == b' ');
                self.blank(tail);
                // If the fault remains without the tail, it was not in the tail.
                if blank {
                    self.withhold(index);
                }
            }
            _ => self.withhold(index),
        }
        true
    }

    /// Withholds a statement and, with a header, what lies below it.
    fn withhold(&mut self, index: usize) {
        let changed = statement::withhold(self.statements, &mut self.withheld, index);
        for index in changed {
            self.blank(self.statements[index].span.clone());
        }
    }

    /// Blanks a part of the text, keeping its length and its line breaks.
    fn blank(&mut self, span: Range<usize>) {
        for byte in &mut self.text[span] {
            if *byte != b'\n' {
                *byte = b' ';
            }
        }
    }

    /// Records a finding unless it is known.
    fn record(&mut self, finding: Finding) {
        if self
            .seen
            .insert((finding.span.start, finding.message.clone()))
        {
            self.out.fault(finding.span, finding.message, finding.help);
        }
    }
}
