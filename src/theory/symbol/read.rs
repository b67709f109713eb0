//! Reading a chord symbol, part by part from the left.

use std::ops::Range;

use super::Error;
use super::draft::{Base, Draft};
use crate::theory::{Chord, Degree, Name, Quality};

/// Reads a chord symbol, in ASCII or with real signs.
///
/// # Errors
/// Says which part of the text is no part of a symbol.
pub fn parse(text: &str) -> Result<Chord, Error> {
    let Some((root, rest)) = Name::parse_prefix(text) else {
        let first = text.chars().next();
        return Err(Error {
            span: 0..first.map_or(0, char::len_utf8),
            message: format!(
                "expected a chord symbol that begins with a root from A to G, found `{text}`"
            ),
        });
    };
    let start = text.len() - rest.len();

    if root.is_double() {
        return Err(Error {
            span: 0..start,
            message: format!("expected a root with one accidental at most, found `{root}`"),
        });
    }

    // The slash of 6/9 has a number behind it, that of a bass a letter.
    let (suffix, bass) = match rest.rsplit_once('/') {
        Some((suffix, bass)) if bass.starts_with(char::is_alphabetic) => (suffix, Some(bass)),
        _ => (rest, None),
    };
    let quality = parse_quality(suffix).map_err(|error| Error {
        span: error.span.start + start..error.span.end + start,
        message: error.message,
    })?;
    let bass = bass
        .map(|bass| {
            Name::parse(bass).map_err(|error| Error {
                span: text.len() - bass.len()..text.len(),
                message: error.to_string(),
            })
        })
        .transpose()?;

    Ok(Chord {
        root,
        quality,
        bass: bass.filter(|bass| bass.class() != root.class()),
    })
}

/// Reads what stands after the root: `maj7`, `m7♭5`, `7(♭9♭13)`, nothing for a major triad.
///
/// # Errors
/// Says which part of the text is no part of a symbol.
pub fn parse_quality(text: &str) -> Result<Quality, Error> {
    let mut reader = Reader {
        text,
        at: 0,
        open: None,
        major_just_read: false,
        draft: Draft::default(),
    };

    while reader.at < text.len() {
        reader.part()?;
    }

    match reader.open {
        Some(open) => Err(reader.fault(open..open + 1, "expected every bracket to be closed")),
        None => Ok(reader.draft.build()),
    }
}

/// The words of symbols; the longest that fits is read.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Word {
    Major,
    Triangle,
    Minor,
    Diminished,
    HalfDiminished,
    Augmented,
    Suspended,
    Added,
    Altered,
}

const WORDS: &[(Word, &[&str])] = &[
    (
        Word::Major,
        &["maj", "Maj", "MAJ", "MA", "Ma", "ma", "M", "j"],
    ),
    (Word::Triangle, &["△", "Δ", "∆"]),
    (
        Word::Minor,
        &["min", "Min", "MIN", "MI", "Mi", "mi", "m", "−", "–", "-"],
    ),
    (Word::Diminished, &["dim", "°", "o"]),
    (Word::HalfDiminished, &["ø", "Ø"]),
    (Word::Augmented, &["aug", "+"]),
    (Word::Suspended, &["sus"]),
    (Word::Added, &["add"]),
    (Word::Altered, &["alt"]),
];

const FLATS: &[&str] = &["b", "♭", "-", "−", "–"];
const SHARPS: &[&str] = &["#", "♯", "+"];

struct Reader<'a> {
    text: &'a str,
    at: usize,
    /// Where the bracket stands that is open.
    open: Option<usize>,
    /// Whether the part before was a sign for the major seventh, so that its number may follow
    /// inside a bracket: `m(maj7)`.
    major_just_read: bool,
    draft: Draft,
}

impl<'a> Reader<'a> {
    fn rest(&self) -> &'a str {
        &self.text[self.at..]
    }

    fn eat(&mut self, spellings: &[&str]) -> bool {
        let rest = self.rest();
        let found = spellings.iter().find(|text| rest.starts_with(**text));

        self.at += found.map_or(0, |text| text.len());
        found.is_some()
    }

    fn eat_number(&mut self) -> Option<u8> {
        let rest = self.rest();
        let (number, text) = [
            (13, "13"),
            (11, "11"),
            (9, "9"),
            (7, "7"),
            (6, "6"),
            (5, "5"),
            (4, "4"),
            (2, "2"),
        ]
        .into_iter()
        .find(|(_, text)| rest.starts_with(text))?;

        self.at += text.len();
        Some(number)
    }

    fn eat_word(&mut self) -> Option<Word> {
        let rest = self.rest();
        let (word, spelling) = WORDS
            .iter()
            .flat_map(|(word, spellings)| spellings.iter().map(|spelling| (*word, *spelling)))
            .filter(|(_, spelling)| {
                // The `a` of `madd9` belongs to the second word.
                let swallows = rest.as_bytes()[(spelling.len() - 1).min(rest.len())..]
                    .starts_with(b"add")
                    && spelling.len() > 1;
                rest.starts_with(spelling) && !swallows
            })
            .max_by_key(|(_, spelling)| spelling.len())?;

        self.at += spelling.len();
        Some(word)
    }

    fn fault(&self, span: Range<usize>, expected: &str) -> Error {
        Error {
            message: format!("{expected}, found `{}`", &self.text[span.clone()]),
            span,
        }
    }

    /// A fault of what was read from a place on, or of the sign there if nothing was.
    fn fault_from(&self, from: usize, expected: &str) -> Error {
        let next = self.text[from..].chars().next().map_or(0, char::len_utf8);

        self.fault(from..self.at.max(from + next), expected)
    }

    fn part(&mut self) -> Result<(), Error> {
        let from = self.at;

        if self.eat(&[" ", ","]) {
            return Ok(());
        }
        if self.eat(&["("]) {
            return match self.open.replace(from) {
                None => Ok(()),
                Some(_) => Err(self.fault_from(from, "expected no bracket within a bracket")),
            };
        }
        if self.eat(&[")"]) {
            return match self.open.take() {
                Some(_) => Ok(()),
                None => Err(self.fault_from(from, "expected an opening bracket before")),
            };
        }

        let after_major = std::mem::take(&mut self.major_just_read);

        if self.draft.altered || self.draft.power {
            Err(self.fault(from..self.text.len(), "expected nothing more"))
        } else if self.starts_alteration() {
            let degree = self.tension(from)?;
            self.alter(degree, from)
        } else if let Some(number) = self.eat_number() {
            self.number(number, from, after_major)
        } else if let Some(word) = self.eat_word() {
            self.word(word, from)
        } else {
            Err(self.fault_from(from, "expected a part of a chord symbol"))
        }
    }

    /// Tells whether a sign raises or lowers the number behind it. A dash right after the root
    /// means minor; a plus means an augmented fifth unless a number stands on both its sides.
    fn starts_alteration(&self) -> bool {
        let rest = self.rest();

        if rest.starts_with(['-', '−', '–']) {
            return self.at > 0;
        }
        if rest.starts_with('+') {
            let raises = ["+9", "+11"].iter().any(|sign| rest.starts_with(sign));
            return rest.starts_with("+5") || raises && self.draft.number.is_some();
        }

        rest.starts_with(['b', '♭', '#', '♯'])
    }

    fn tension(&mut self, from: usize) -> Result<Degree, Error> {
        let sign = if self.eat(FLATS) {
            "b"
        } else if self.eat(SHARPS) {
            "#"
        } else {
            ""
        };
        let degree = self.eat_number().and_then(|number| {
            let number = match number {
                2 => 9,
                4 => 11,
                6 if !sign.is_empty() => 13,
                other => other,
            };
            Degree::parse(&format!("{sign}{number}")).ok()
        });

        degree.ok_or_else(|| self.fault_from(from, "expected a tension such as ♭9, ♯11 or 13"))
    }

    fn alter(&mut self, degree: Degree, from: usize) -> Result<(), Error> {
        match degree {
            Degree::FlatFifth | Degree::SharpFifth => self.set_fifth(degree, from),
            _ => self.add(degree, from),
        }
    }

    fn set_fifth(&mut self, degree: Degree, from: usize) -> Result<(), Error> {
        let given = self.draft.fifth.is_some()
            || matches!(self.draft.base, Base::Diminished | Base::HalfDiminished);

        if given {
            return Err(self.fault_from(from, "expected one fifth"));
        }

        self.draft.fifth = Some(degree);
        Ok(())
    }

    fn add(&mut self, degree: Degree, from: usize) -> Result<(), Error> {
        if degree.number() < 9 {
            return Err(self.fault_from(from, "expected a tension such as ♭9, ♯11 or 13"));
        }
        if !self.draft.has_room_for(degree) {
            return Err(self.fault_from(from, "expected each tension once"));
        }

        self.draft.tensions.push(degree);
        Ok(())
    }

    fn number(&mut self, number: u8, from: usize, after_major: bool) -> Result<(), Error> {
        let listed = self.open.is_some() || self.text[..from].trim_end().ends_with(',');
        let draft = &mut self.draft;

        if listed && !after_major {
            // Natural tensions: 7(9,13).
            let natural = match number {
                9 => Degree::Ninth,
                11 => Degree::Eleventh,
                13 => Degree::Thirteenth,
                _ => return Err(self.fault_from(from, "expected a tension such as 9, 11 or 13")),
            };
            if draft.has_seventh() || draft.number.is_some() {
                return self.add(natural, from);
            }
            return Err(self.fault_from(from, "expected a sixth or seventh before, or `add`"));
        }

        let free = draft.number.is_none() && draft.tensions.is_empty() && draft.suspended.is_none();

        match number {
            7 | 9 | 11 | 13 if free => draft.number = Some(number),
            6 if free && !draft.has_seventh() => {
                draft.number = Some(number);
                if self.eat(&["/9", "9"]) {
                    self.draft.tensions.push(Degree::Ninth);
                }
            }
            5 if self.text == "5" => draft.power = true,
            _ => return Err(self.fault_from(from, "expected one number of 6, 7, 9, 11 and 13")),
        }

        Ok(())
    }

    fn word(&mut self, word: Word, from: usize) -> Result<(), Error> {
        let first = from == 0;

        match word {
            Word::Major | Word::Triangle => self.major(word, from)?,
            Word::Minor if first => self.draft.base = Base::Minor,
            Word::Diminished if first => self.draft.base = Base::Diminished,
            Word::HalfDiminished if first => self.draft.base = Base::HalfDiminished,
            Word::Minor | Word::Diminished | Word::HalfDiminished => {
                return Err(self.fault_from(from, "expected this right after the root"));
            }
            Word::Augmented => self.set_fifth(Degree::SharpFifth, from)?,
            Word::Suspended => self.suspend(from)?,
            Word::Added => {
                let degree = self.tension(from)?;
                self.add(degree, from)?;
            }
            Word::Altered => {
                let draft = &self.draft;
                let plain = draft.base == Base::Major
                    && !draft.major_seventh
                    && matches!(draft.number, None | Some(7))
                    && draft.suspended.is_none()
                    && draft.fifth.is_none()
                    && draft.tensions.is_empty();
                if !plain {
                    return Err(self.fault_from(from, "expected a plain seventh before `alt`"));
                }
                self.draft.altered = true;
            }
        }

        Ok(())
    }

    fn major(&mut self, word: Word, from: usize) -> Result<(), Error> {
        let draft = &mut self.draft;
        let fits = !draft.major_seventh
            && draft.base != Base::HalfDiminished
            && draft.number.is_none()
            && draft.suspended.is_none()
            && draft.tensions.is_empty();

        if !fits {
            return Err(self.fault_from(from, "expected the sign for major before the number"));
        }
        // `mj7` would be read one way by some and another way by others.
        if from > 0 && self.text[from..].starts_with('j') {
            return Err(self.fault_from(from, "expected maj or the like, `j` only after the root"));
        }

        let draft = &mut self.draft;
        draft.major_seventh = true;
        draft.triangle = word == Word::Triangle;
        self.major_just_read = true;
        Ok(())
    }

    fn suspend(&mut self, from: usize) -> Result<(), Error> {
        let degree = match self.eat_number() {
            None | Some(4) => Degree::Fourth,
            Some(2) => Degree::Second,
            Some(_) => return Err(self.fault_from(from, "expected sus, sus2 or sus4")),
        };

        if self.draft.base != Base::Major || self.draft.suspended.is_some() {
            return Err(self.fault_from(from, "expected one third, or what stands for it"));
        }

        self.draft.suspended = Some(degree);
        Ok(())
    }
}
