//! Chord symbols: every usual way of writing read, three houses of style printed.

use std::ops::Range;

use thiserror::Error;

use super::quality::Quality;
use super::{Chord, Degree, Name};

/// What is wrong with a chord symbol, and where in its text.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("{message}")]
pub struct Error {
    /// The bytes of the symbol that are at fault.
    pub span: Range<usize>,
    /// The fault in words.
    pub message: String,
}

/// A house of style: how one exam prints its symbols throughout.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum House {
    /// `Cmaj7`, `Cm7`.
    Lower,
    /// `CMA7`, `CMI7`, alterations in brackets.
    Capital,
    /// `C△7`, `C−7`.
    Signs,
}

/// How symbols are printed: the house, and the sign for the half-diminished chord.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Style {
    /// The house of style.
    pub house: House,
    /// Whether the half-diminished chord is `ø7` rather than a minor seventh with ♭5.
    pub slashed: bool,
}

impl Style {
    /// The default: `Cmaj7`, `Cm7`, `Cm7♭5`.
    pub const DEFAULT: Self = Self {
        house: House::Lower,
        slashed: false,
    };
}

/// Reads a chord symbol, in ASCII or with real signs.
///
/// # Errors
/// Says which part of the text is no part of a symbol.
pub fn parse(text: &str) -> Result<Chord, Error> {
    let fault = |span: Range<usize>, message: String| Error { span, message };
    let Some((root, rest)) = Name::parse_prefix(text) else {
        return Err(fault(
            0..text.len(),
            format!("expected a chord symbol that begins with a root from A to G, found `{text}`"),
        ));
    };
    let start = text.len() - rest.len();
    let (suffix, bass) = match rest.rsplit_once('/') {
        Some((suffix, bass)) if bass.starts_with(|c: char| c.is_ascii_alphabetic()) => {
            let name = Name::parse(bass)
                .map_err(|error| fault(text.len() - bass.len()..text.len(), error.to_string()))?;
            (suffix, Some(name))
        }
        _ => (rest, None),
    };
    let quality = parse_quality(suffix).map_err(|error| Error {
        span: error.span.start + start..error.span.end + start,
        message: error.message,
    })?;

    if root.is_double() {
        return Err(fault(
            0..start,
            format!("expected a root with one accidental at most, found `{root}`"),
        ));
    }

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
    let mut reader = Reader::new(text);
    reader.run()?;
    reader.build()
}

#[derive(Default, Clone, Copy, PartialEq, Eq)]
enum Base {
    #[default]
    Major,
    Minor,
    Diminished,
    HalfDiminished,
    Augmented,
}

struct Reader<'a> {
    text: &'a str,
    at: usize,
    base: Base,
    major_seventh: bool,
    triangle: bool,
    extension: Option<u8>,
    sixth: bool,
    suspended: Option<Degree>,
    power: bool,
    altered: bool,
    fifth: Option<Degree>,
    added: Vec<Degree>,
}

impl<'a> Reader<'a> {
    fn new(text: &'a str) -> Self {
        Self {
            text,
            at: 0,
            base: Base::Major,
            major_seventh: false,
            triangle: false,
            extension: None,
            sixth: false,
            suspended: None,
            power: false,
            altered: false,
            fifth: None,
            added: Vec::new(),
        }
    }

    fn rest(&self) -> &'a str {
        &self.text[self.at..]
    }

    fn eat(&mut self, words: &[&str]) -> bool {
        let rest = self.rest();

        match words.iter().find(|word| rest.starts_with(**word)) {
            Some(word) => {
                self.at += word.len();
                true
            }
            None => false,
        }
    }

    fn eat_number(&mut self) -> Option<u8> {
        let number = [13, 11, 9, 7, 6, 5, 4, 2]
            .into_iter()
            .find(|number| self.rest().starts_with(&number.to_string()))?;
        self.at += number.to_string().len();

        Some(number)
    }

    fn fault(&self, from: usize, message: &str) -> Error {
        let end = if self.at > from {
            self.at
        } else {
            from + self.text[from..].chars().next().map_or(0, char::len_utf8)
        };

        Error {
            span: from..end,
            message: format!("{message}, found `{}`", &self.text[from..]),
        }
    }

    fn run(&mut self) -> Result<(), Error> {
        while self.at < self.text.len() {
            self.step()?;
        }

        Ok(())
    }

    fn step(&mut self) -> Result<(), Error> {
        let from = self.at;
        let started = self.extension.is_some() || self.sixth || self.base != Base::Major;

        if self.eat(&["(", ")", ",", " "]) {
            return Ok(());
        }

        if self.eat(&["△", "Δ"]) {
            self.triangle = true;
            self.major_seventh = true;
        } else if self.rest().starts_with("madd") {
            self.at += 1;
            self.base = Base::Minor;
        } else if self.eat(&["alt"]) {
            self.altered = true;
        } else if self.eat(&["sus"]) {
            self.suspended = Some(match self.eat_number() {
                None | Some(4) => Degree::Fourth,
                Some(2) => Degree::Second,
                Some(_) => return Err(self.fault(from, "expected sus, sus2 or sus4")),
            });
        } else if self.eat(&["add"]) {
            let degree = self.tension()?;
            self.added.push(degree);
        } else if self.eat(&["maj", "Maj", "MAJ", "MA", "Ma", "ma", "M", "j"])
            && !self.text[from..].starts_with("MI")
        {
            self.major_seventh = true;
        } else if !started && self.eat(&["dim", "°", "o"]) {
            self.base = Base::Diminished;
        } else if !started && self.eat(&["ø", "Ø"]) {
            self.base = Base::HalfDiminished;
        } else if !started
            && (self.eat(&["min", "Min", "MIN", "MI", "Mi", "mi"])
                || self.eat(&["m", "−", "–"])
                || (self.rest().starts_with('-') && self.eat(&["-"])))
        {
            self.base = Base::Minor;
        } else if self.eat(&["aug"]) || self.is_plus() {
            self.fifth = Some(Degree::SharpFifth);
            if !started {
                self.base = Base::Augmented;
            }
        } else if self.starts_alteration() {
            let degree = self.tension()?;
            self.alter(degree, from)?;
        } else if let Some(number) = self.eat_number() {
            self.number(number, from)?;
        } else {
            return Err(self.fault(from, "expected a part of a chord symbol"));
        }

        Ok(())
    }

    /// A plus that is not the sign of a number: `C+`, `C+7`, `C7+`.
    fn is_plus(&mut self) -> bool {
        let rest = self.rest();
        let raises = ["+5", "+9", "+11"]
            .iter()
            .any(|sign| rest.starts_with(sign));

        (!raises || (self.extension.is_none() && !rest.starts_with("+5"))) && self.eat(&["+"])
    }

    fn starts_alteration(&self) -> bool {
        self.rest().starts_with(['b', '♭', '#', '♯', '+', '-', '−'])
    }

    fn tension(&mut self) -> Result<Degree, Error> {
        let from = self.at;
        let sign = if self.eat(&["b", "♭", "-", "−"]) {
            "b"
        } else if self.eat(&["#", "♯", "+"]) {
            "#"
        } else {
            ""
        };
        let degree = self.eat_number().and_then(|number| {
            let number = match number {
                2 => 9,
                4 => 11,
                6 => 13,
                other => other,
            };
            Degree::parse(&format!("{sign}{number}")).ok()
        });

        degree.ok_or_else(|| self.fault(from, "expected a tension such as ♭9, ♯11 or 13"))
    }

    fn alter(&mut self, degree: Degree, from: usize) -> Result<(), Error> {
        match degree {
            Degree::FlatFifth | Degree::SharpFifth => self.fifth = Some(degree),
            Degree::FlatNinth
            | Degree::SharpNinth
            | Degree::SharpEleventh
            | Degree::FlatThirteenth => self.added.push(degree),
            _ => return Err(self.fault(from, "expected ♭5, ♯5, ♭9, ♯9, ♯11 or ♭13")),
        }

        Ok(())
    }

    fn number(&mut self, number: u8, from: usize) -> Result<(), Error> {
        let twice = self.extension.is_some() || self.sixth;

        match number {
            6 if !twice => {
                self.sixth = true;
                if self.eat(&["/9", "9"]) {
                    self.added.push(Degree::Ninth);
                }
            }
            7 | 9 | 11 | 13 if !twice => self.extension = Some(number),
            5 if self.at == self.text.len() && !twice && self.base == Base::Major => {
                self.power = true;
            }
            // Natural tensions in brackets: 7(9,13).
            9 => self.added.push(Degree::Ninth),
            11 => self.added.push(Degree::Eleventh),
            13 => self.added.push(Degree::Thirteenth),
            _ => return Err(self.fault(from, "expected 6, 7, 9, 11 or 13 once")),
        }

        Ok(())
    }

    fn build(self) -> Result<Quality, Error> {
        let whole = || Error {
            span: 0..self.text.len(),
            message: format!("expected a chord that can be built, found `{}`", self.text),
        };
        let mut degrees = Vec::with_capacity(8);
        let flat_third = matches!(
            self.base,
            Base::Minor | Base::Diminished | Base::HalfDiminished
        );
        let flat_fifth = matches!(self.base, Base::Diminished | Base::HalfDiminished);

        if self.altered {
            let plain = self.base == Base::Major
                && !self.major_seventh
                && self.added.is_empty()
                && self.fifth.is_none()
                && !self.sixth
                && self.suspended.is_none();
            return plain.then_some(Quality::ALTERED).ok_or_else(whole);
        }

        degrees.extend(match (self.power, self.suspended, flat_third) {
            (true, ..) => None,
            (_, Some(degree), _) => Some(degree),
            (_, _, true) => Some(Degree::FlatThird),
            _ => Some(Degree::Third),
        });
        degrees.push(match (self.fifth, flat_fifth) {
            (Some(degree), _) => degree,
            (None, true) => Degree::FlatFifth,
            (None, false) => Degree::Fifth,
        });

        if self.sixth {
            degrees.push(Degree::Sixth);
        }

        let tall = self.extension.is_some() || self.triangle && !self.sixth;

        if tall || self.base == Base::HalfDiminished {
            degrees.push(match self.base {
                Base::HalfDiminished => Degree::FlatSeventh,
                _ if self.major_seventh => Degree::Seventh,
                Base::Diminished => Degree::DoubleFlatSeventh,
                _ => Degree::FlatSeventh,
            });
        }

        let ninth_altered = self
            .added
            .iter()
            .any(|degree| matches!(degree, Degree::FlatNinth | Degree::SharpNinth));
        let extension = self.extension.unwrap_or(7);

        if extension >= 9 && !ninth_altered {
            degrees.push(Degree::Ninth);
        }
        if extension == 11 {
            degrees.push(Degree::Eleventh);
        }
        if extension == 13 {
            degrees.push(Degree::Thirteenth);
        }

        degrees.extend(&self.added);

        Ok(Quality::of(&degrees))
    }
}

/// Prints a chord symbol with real signs.
pub fn print(chord: Chord, style: Style) -> String {
    let bass = chord
        .bass
        .map(|bass| format!("/{bass}"))
        .unwrap_or_default();

    format!(
        "{}{}{bass}",
        chord.root,
        print_quality(chord.quality, style)
    )
}

/// Prints a chord symbol in ASCII, in the default style: `Bbmaj7`, `F#m7b5`, `C7b9b13`.
pub fn ascii(chord: Chord) -> String {
    let bass = chord
        .bass
        .map(|bass| format!("/{}", bass.ascii()))
        .unwrap_or_default();

    format!(
        "{}{}{bass}",
        chord.root.ascii(),
        ascii_quality(chord.quality)
    )
}

/// Prints what stands after the root in ASCII.
pub fn ascii_quality(quality: Quality) -> String {
    let printed = print_quality(quality, Style::DEFAULT);
    let bare = if printed.contains("(maj") || printed.contains("(add") {
        printed
    } else {
        // A natural tension keeps its bracket, or it would read as part of the number before it.
        match printed.split_once('(') {
            Some((head, tail)) if tail.starts_with(['♭', '♯']) && !tail.contains(',') => {
                format!("{head}{}", tail.trim_end_matches(')'))
            }
            _ => printed,
        }
    };

    match bare.as_str() {
        "+" => "aug".to_owned(),
        _ => bare.replace('°', "dim").replace('♭', "b").replace('♯', "#"),
    }
}

/// Prints what stands after the root with real signs.
pub fn print_quality(quality: Quality, style: Style) -> String {
    let has = |degree| quality.has(degree);
    let (major, minor) = match style.house {
        House::Lower => ("maj", "m"),
        House::Capital => ("MA", "MI"),
        House::Signs => ("△", "−"),
    };

    if quality.is_altered() {
        return "7alt".to_owned();
    }

    let third = quality.third();
    let fifth = quality.fifth();
    let flat_fifth = fifth == Some(Degree::FlatFifth);
    let is_minor = third == Some(Degree::FlatThird);
    let seventh = quality.seventh().filter(|degree| degree.is_seventh());
    let suffix = match third {
        Some(Degree::Fourth) => "sus4",
        Some(Degree::Second) => "sus2",
        _ => "",
    };
    let (number, mut used) = extension(quality, seventh);
    let diminished = is_minor
        && flat_fifth
        && (seventh == Some(Degree::DoubleFlatSeventh) || seventh.is_none() && !has(Degree::Sixth));
    let slashed = is_minor && flat_fifth && seventh == Some(Degree::FlatSeventh) && style.slashed;
    let augmented = third == Some(Degree::Third)
        && fifth == Some(Degree::SharpFifth)
        && seventh.is_none()
        && !has(Degree::Sixth);
    let mut out = String::new();

    if third.is_none() {
        return "5".to_owned();
    }

    if diminished {
        out.push('°');
    } else if slashed {
        out.push('ø');
    } else if augmented {
        out.push('+');
    } else if is_minor {
        out.push_str(minor);
    }

    match seventh {
        // Brackets keep the major seventh off the minor sign.
        Some(Degree::Seventh) if is_minor && style.house != House::Signs => {
            out.push_str(&format!("({major}{number})"));
        }
        Some(Degree::Seventh) => out.push_str(&format!("{major}{number}")),
        _ => out.push_str(&number),
    }

    out.push_str(suffix);

    let mut alterations: Vec<Degree> = quality
        .degrees()
        .filter(|degree| degree.number() >= 9 && !used.contains(degree))
        .collect();

    if seventh.is_none() && !has(Degree::Sixth) && suffix.is_empty()
        || seventh.is_none() && !used.is_empty()
    {
        // Without seventh or sixth a tension is an added note.
        let added: Vec<_> = alterations.drain(..).collect();
        for degree in added {
            let text = format!("add{degree}");
            if out.is_empty() {
                out.push_str(&text);
            } else {
                out.push_str(&format!("({text})"));
            }
            used.push(degree);
        }
    }

    if let Some(fifth) = fifth
        && fifth != Degree::Fifth
        && !(diminished || slashed || augmented)
    {
        alterations.insert(0, fifth);
    }

    match alterations.as_slice() {
        [] => {}
        [only] if only.is_fifth() && style.house != House::Capital => {
            out.push_str(&only.to_string());
        }
        _ => {
            out.push('(');
            for (i, degree) in alterations.iter().enumerate() {
                let text = degree.to_string();
                if i > 0 && text.starts_with(|c: char| c.is_ascii_digit()) {
                    out.push(',');
                }
                out.push_str(&text);
            }
            out.push(')');
        }
    }

    out
}

/// Returns the number that a symbol shows and the tensions that the number already names.
fn extension(quality: Quality, seventh: Option<Degree>) -> (String, Vec<Degree>) {
    let has = |degree| quality.has(degree);
    let sixth = has(Degree::Sixth);
    let ninth = has(Degree::Ninth);

    match seventh {
        None if sixth && ninth => ("6/9".to_owned(), vec![Degree::Ninth]),
        None if sixth => ("6".to_owned(), Vec::new()),
        None => (String::new(), Vec::new()),
        Some(_) if ninth && has(Degree::Thirteenth) => {
            ("13".to_owned(), vec![Degree::Ninth, Degree::Thirteenth])
        }
        Some(_) if ninth && has(Degree::Eleventh) => {
            ("11".to_owned(), vec![Degree::Ninth, Degree::Eleventh])
        }
        Some(_) if ninth => ("9".to_owned(), vec![Degree::Ninth]),
        Some(_) => ("7".to_owned(), Vec::new()),
    }
}

/// Names a quality in words, such as `half-diminished`, where the trade has a name for it.
pub fn words(quality: Quality) -> Option<&'static str> {
    const NAMES: [(&[Degree], &str); 12] = [
        (&[Degree::Third, Degree::Fifth], "major triad"),
        (&[Degree::FlatThird, Degree::Fifth], "minor triad"),
        (&[Degree::Third, Degree::SharpFifth], "augmented triad"),
        (&[Degree::FlatThird, Degree::FlatFifth], "diminished triad"),
        (
            &[Degree::Third, Degree::Fifth, Degree::Seventh],
            "major seventh",
        ),
        (
            &[Degree::Third, Degree::Fifth, Degree::FlatSeventh],
            "dominant seventh",
        ),
        (
            &[Degree::FlatThird, Degree::Fifth, Degree::FlatSeventh],
            "minor seventh",
        ),
        (
            &[Degree::FlatThird, Degree::FlatFifth, Degree::FlatSeventh],
            "half-diminished",
        ),
        (
            &[
                Degree::FlatThird,
                Degree::FlatFifth,
                Degree::DoubleFlatSeventh,
            ],
            "diminished seventh",
        ),
        (
            &[Degree::FlatThird, Degree::Fifth, Degree::Seventh],
            "minor with major seventh",
        ),
        (
            &[Degree::Third, Degree::Fifth, Degree::Sixth],
            "major sixth",
        ),
        (
            &[Degree::FlatThird, Degree::Fifth, Degree::Sixth],
            "minor sixth",
        ),
    ];

    NAMES
        .iter()
        .find(|(degrees, _)| Quality::of(degrees) == quality)
        .map(|(_, words)| *words)
}
