//! Progressions by name or written out, in any key.

use thiserror::Error;

use super::chord::CYCLE_OF_FOURTHS;
use super::quality::Quality;
use super::{Chord, Name, symbol};

/// What is wrong with a progression as it was written.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum Error {
    /// A chord could be read neither as a symbol nor as a numeral.
    #[error("bar {bar}: expected a chord such as `IIm7` or `Dm7`, found `{text}`")]
    NotAChord {
        /// The bar, from 1.
        bar: usize,
        /// What stands there.
        text: String,
    },
    /// A bar without a chord, or with more than four.
    #[error("bar {bar}: expected one, two, three or four chords, found {count}")]
    Crowded {
        /// The bar, from 1.
        bar: usize,
        /// How many chords it has.
        count: usize,
    },
}

/// A chord of a progression before it has a key.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Step {
    /// Above the tonic: letter steps (1 = tonic), semitones, quality; and the same of a bass that is
    /// not the root.
    Relative(u8, i32, Quality, Option<(u8, i32)>),
    /// As written.
    Absolute(Chord),
    /// The chord before goes on.
    Hold,
}

/// A progression: bars of chords.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Progression {
    /// Its name.
    pub name: String,
    bars: Vec<Vec<Step>>,
}

/// A chord at its place in a progression.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Placed {
    /// The chord.
    pub chord: Chord,
    /// The bar it stands in, from 0.
    pub bar: usize,
    /// Where it begins, in twelfths of a bar from the start.
    pub at_twelfths: u32,
    /// How long it lasts, in twelfths of a bar.
    pub twelfths: u32,
}

/// Progressions by name, a bar an entry; common practice, no source.
const NAMED: &[(&str, &[&str])] = &[
    ("ii-V-I", &["IIm7", "V7", "Imaj7", "%"]),
    ("ii-V-i", &["IIm7b5", "V7b9", "Im6", "%"]),
    ("I-VI-ii-V", &["Imaj7 VI7", "IIm7 V7"]),
    ("iii-VI-ii-V", &["IIIm7 VI7", "IIm7 V7"]),
    ("I-vi-ii-V", &["Imaj7 VIm7", "IIm7 V7"]),
    ("V-I", &["V7", "Imaj7"]),
    ("IV-I", &["IVmaj7", "Imaj7"]),
    ("V-vi", &["V7", "VIm7"]),
    ("iv-bVII-I", &["IVm7", "bVII7", "Imaj7", "%"]),
    ("ii-bII-I", &["IIm7", "bII7", "Imaj7", "%"]),
    (
        "blues",
        &[
            "I7", "IV7", "I7", "I7", "IV7", "#IVdim7", "I7", "VI7", "IIm7", "V7", "I7 VI7",
            "IIm7 V7",
        ],
    ),
    (
        "rhythm-changes",
        &[
            "Imaj7 VI7",
            "IIm7 V7",
            "IIIm7 VI7",
            "IIm7 V7",
            "I7",
            "IV7",
            "IIIm7 VI7",
            "IIm7 V7",
            "Imaj7 VI7",
            "IIm7 V7",
            "IIIm7 VI7",
            "IIm7 V7",
            "I7",
            "IV7",
            "IIm7 V7",
            "Imaj7",
            "III7",
            "III7",
            "VI7",
            "VI7",
            "II7",
            "II7",
            "V7",
            "V7",
            "Imaj7 VI7",
            "IIm7 V7",
            "IIIm7 VI7",
            "IIm7 V7",
            "I7",
            "IV7",
            "IIm7 V7",
            "Imaj7",
        ],
    ),
];

/// Cadences and formulas: a progression's name and what the trade calls it; common practice, no source.
const FORMULAS: &[(&str, &str)] = &[
    ("ii-V-I", "major ii–V–I"),
    ("ii-V-i", "minor iiø–V–i"),
    ("ii-bII-I", "tritone substitute ii–♭II–I"),
    ("iv-bVII-I", "back door iv–♭VII–I"),
    ("V-I", "authentic V–I"),
    ("IV-I", "plagal IV–I"),
    ("V-vi", "deceptive V–vi"),
    ("I-vi-ii-V", "turnaround I–vi–ii–V"),
    ("I-VI-ii-V", "turnaround I–VI–ii–V"),
    ("iii-VI-ii-V", "turnaround iii–VI–ii–V"),
];

/// Returns what the trade calls a progression that is a cadence or formula; nothing for one that
/// only has the name of such.
pub fn formula(progression: &Progression) -> Option<&'static str> {
    FORMULAS
        .iter()
        .find(|(known, _)| *known == progression.name)
        .filter(|(known, _)| named(known).as_ref() == Some(progression))
        .map(|(_, words)| *words)
}

/// Lists the names of the cadences and formulas, as they stand here and as the trade calls them.
pub fn formulas() -> impl Iterator<Item = (&'static str, &'static str)> {
    FORMULAS.iter().copied()
}

/// Returns the names of the known progressions that stand in a key.
pub fn names() -> impl Iterator<Item = &'static str> {
    NAMED.iter().map(|(name, _)| *name)
}

/// Returns the known progressions that stand in a key: name, and bars in numerals.
pub fn written() -> &'static [(&'static str, &'static [&'static str])] {
    NAMED
}

/// Returns a known progression by its name.
pub fn named(name: &str) -> Option<Progression> {
    let (name, bars) = NAMED.iter().find(|(candidate, _)| *candidate == name)?;
    let bars: Vec<String> = bars.iter().map(|bar| (*bar).to_owned()).collect();

    Progression::parse(name, &bars).ok()
}

/// Returns a round of the cycle of fourths: chords of one quality from a starting pitch class.
pub fn cycle_of_fourths(quality: Quality, start: u8, count: usize) -> Vec<Placed> {
    let first = CYCLE_OF_FOURTHS
        .iter()
        .position(|class| *class == start % 12)
        .unwrap_or(0);

    let roots: Vec<u8> = (0..count)
        .map(|i| CYCLE_OF_FOURTHS[(first + i) % 12])
        .collect();

    on_roots(quality, &roots)
}

/// Returns chords of one quality on some roots, a bar each.
pub fn on_roots(quality: Quality, roots: &[u8]) -> Vec<Placed> {
    roots
        .iter()
        .enumerate()
        .map(|(i, class)| Placed {
            chord: Chord::new(quality.printed_root(class % 12), quality),
            bar: i,
            at_twelfths: 12 * i as u32,
            twelfths: 12,
        })
        .collect()
}

impl Progression {
    /// Reads a progression, a bar an entry: numerals over a tonic (`IIm7`, `bII7`; after a stroke
    /// what the bass plays, `I/III`) or symbols (`Dm7`), with blanks between the chords of a bar, which share it equally; `%` lets the chord
    /// before go on.
    ///
    /// # Errors
    /// Says which bar cannot be read, or has no chord or too many; there must be one bar at least.
    pub fn parse(name: &str, bars: &[String]) -> Result<Self, Error> {
        let mut read = Vec::with_capacity(bars.len());

        for (i, bar) in bars.iter().enumerate() {
            let steps = bar
                .split_whitespace()
                .enumerate()
                .map(|(place, text)| {
                    let goes_on = text == "%" && (i > 0 || place > 0);
                    let read = if goes_on {
                        Some(Step::Hold)
                    } else {
                        step(text)
                    };
                    read.ok_or_else(|| Error::NotAChord {
                        bar: i + 1,
                        text: text.to_owned(),
                    })
                })
                .collect::<Result<Vec<_>, _>>()?;
            if steps.is_empty() || steps.len() > 4 {
                return Err(Error::Crowded {
                    bar: i + 1,
                    count: steps.len(),
                });
            }
            read.push(steps);
        }

        if read.is_empty() {
            return Err(Error::Crowded { bar: 1, count: 0 });
        }

        Ok(Self {
            name: name.to_owned(),
            bars: read,
        })
    }

    /// Tells whether the progression is written in symbols and so stands in one key only.
    pub fn is_fixed(&self) -> bool {
        self.bars
            .iter()
            .flatten()
            .any(|step| matches!(step, Step::Absolute(_)))
    }

    /// Tells whether every tonic chord is minor, so that keys are named after minor chords.
    pub fn is_minor(&self) -> bool {
        let tonic = |step: &Step| match step {
            Step::Relative(1, 0, quality, _) => {
                Some(quality.third() == Some(super::Degree::FlatThird))
            }
            _ => None,
        };
        let mut minor = self.bars.iter().flatten().filter_map(tonic).peekable();

        minor.peek().is_some() && minor.all(|minor| minor)
    }

    /// Returns the number of bars.
    pub fn bars(&self) -> usize {
        self.bars.len()
    }

    /// Returns the tonic's name for a pitch class, as lead sheets print it.
    pub fn tonic(&self, class: u8) -> Name {
        if self.is_minor() {
            Quality::MINOR.printed_root(class)
        } else {
            Name::plain(class)
        }
    }

    /// Returns the chords in a key.
    pub fn in_key(&self, tonic: Name) -> Vec<Placed> {
        let mut placed: Vec<Placed> = Vec::new();

        for (bar, steps) in self.bars.iter().enumerate() {
            let twelfths = 12 / steps.len() as u32;
            for (i, step) in steps.iter().enumerate() {
                let chord = match step {
                    Step::Hold => {
                        if let Some(Placed { twelfths: held, .. }) = placed.last_mut() {
                            *held += twelfths;
                        }
                        continue;
                    }
                    Step::Absolute(chord) => *chord,
                    Step::Relative(number, semitones, quality, bass) => Chord {
                        bass: bass.and_then(|(number, semitones)| {
                            tonic.up(number, semitones).map(Name::in_print)
                        }),
                        ..over(tonic, *number, *semitones, *quality)
                    },
                };
                placed.push(Placed {
                    chord,
                    bar,
                    at_twelfths: 12 * bar as u32 + twelfths * i as u32,
                    twelfths,
                });
            }
        }

        placed
    }
}

/// Builds a chord above a tonic, its root on the letter that the numeral says unless the chord
/// would then need double accidentals which the usual root spares: Bm7 for C♭m7 in G♭.
fn over(tonic: Name, number: u8, semitones: i32, quality: Quality) -> Chord {
    let class = (i32::from(tonic.class()) + semitones).rem_euclid(12) as u8;
    let usual = Chord::new(quality.printed_root(class), quality);
    let doubles = |chord: Chord| {
        let tones = chord.tones();
        tones.iter().filter(|(_, name)| name.is_double()).count()
            + quality.degrees().count().saturating_sub(tones.len())
    };

    tonic
        .up(number, semitones)
        .map(|root| Chord::new(root.in_print(), quality))
        .filter(|strict| doubles(*strict) <= doubles(usual))
        .unwrap_or(usual)
}

fn step(text: &str) -> Option<Step> {
    if let Some((number, semitones, rest)) = read_numeral(text) {
        let whole = symbol::parse_quality(rest)
            .ok()
            .map(|quality| (quality, None));
        // `I6/9` is a quality; `I6/III` has a bass.
        let (quality, bass) = whole.or_else(|| {
            let (quality, bass) = rest.rsplit_once('/')?;
            let (number, semitones, rest) = read_numeral(bass)?;
            let quality = symbol::parse_quality(quality).ok()?;
            rest.is_empty()
                .then_some((quality, Some((number, semitones))))
        })?;
        return Some(Step::Relative(number, semitones, quality, bass));
    }

    symbol::parse(text).ok().map(Step::Absolute)
}

/// Reads a numeral: letter steps and semitones above the tonic, and what stands behind it.
fn read_numeral(text: &str) -> Option<(u8, i32, &str)> {
    const NUMERALS: [(&str, u8, i32); 7] = [
        ("VII", 7, 11),
        ("VI", 6, 9),
        ("IV", 4, 5),
        ("III", 3, 4),
        ("II", 2, 2),
        ("V", 5, 7),
        ("I", 1, 0),
    ];

    let (shift, bare) = match text.strip_prefix(['b', '♭']) {
        Some(bare) => (-1, bare),
        None => match text.strip_prefix(['#', '♯']) {
            Some(bare) => (1, bare),
            None => (0, text),
        },
    };

    NUMERALS
        .iter()
        .find(|(numeral, ..)| bare.starts_with(numeral))
        .map(|(numeral, number, semitones)| (*number, semitones + shift, &bare[numeral.len()..]))
}

/// Degrees of a key by their distance above the tonic: as numerals, as the same otherwise spelled,
/// and in words.
const DEGREES: [(&str, &str, &str); 12] = [
    ("I", "I", "one"),
    ("bII", "#I", "flat two"),
    ("II", "II", "two"),
    ("bIII", "#II", "flat three"),
    ("III", "bIV", "three"),
    ("IV", "#III", "four"),
    ("#IV", "bV", "sharp four"),
    ("V", "V", "five"),
    ("bVI", "#V", "flat six"),
    ("VI", "VI", "six"),
    ("bVII", "#VI", "flat seven"),
    ("VII", "bI", "seven"),
];

/// Returns how the degree of a key so many semitones above its tonic is written, both ways, and its
/// words.
pub fn degree(above: u8) -> (&'static str, &'static str, &'static str) {
    DEGREES[usize::from(above % 12)]
}

/// Prints a degree of a key that is written as a numeral with the signs of print; words stay.
pub fn numeral(text: &str) -> String {
    if text.chars().any(|sign| sign.is_ascii_uppercase()) {
        text.replace('b', "♭").replace('#', "♯")
    } else {
        text.to_owned()
    }
}

/// Reads a degree of a key, as a numeral or in words: semitones above the tonic, 0 to 11.
pub fn parse_degree(text: &str) -> Option<u8> {
    let worded = DEGREES
        .iter()
        .position(|(.., words)| words.eq_ignore_ascii_case(text));

    match (worded, read_numeral(text)) {
        (Some(above), _) => Some(above as u8),
        (_, Some((_, semitones, ""))) => Some(semitones.rem_euclid(12) as u8),
        _ => None,
    }
}
