//! Printing a chord symbol in a house of style, or in ASCII.

use super::{House, Style};
use crate::theory::{Chord, Degree, Quality};

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

/// Prints what stands after the root with real signs.
pub fn print_quality(quality: Quality, style: Style) -> String {
    let signs = Signs::of(style.house);
    let parts = Parts::of(quality, &signs, style.slashed);
    let Parts { stem, added, .. } = &parts;
    // Right after the root a bare ♭5 would be taken for part of the root's name.
    let fifth_is_bare = style.house != House::Capital
        && !stem.is_empty()
        && (parts.tensions.is_empty() || parts.half_diminished);
    let (bare, bracketed) = match parts.fifth {
        Some(fifth) if fifth_is_bare => (fifth.to_string(), None),
        fifth => (String::new(), fifth),
    };
    let listed: Vec<String> = bracketed
        .iter()
        .map(Degree::to_string)
        .chain(
            parts
                .tensions
                .iter()
                .map(|degree| format!("{added}{degree}")),
        )
        .collect();

    match listed.as_slice() {
        [] => format!("{stem}{bare}"),
        [only] if stem.is_empty() && only.starts_with("add") => only.clone(),
        _ => format!("{stem}{bare}({})", list(&listed)),
    }
}

/// Prints what stands after the root in ASCII, with brackets only where it would be read
/// otherwise without them.
pub fn ascii_quality(quality: Quality) -> String {
    let parts = Parts::of(quality, &Signs::ASCII, false);
    let Parts { stem, added, .. } = &parts;
    let listed: Vec<String> = parts
        .fifth
        .iter()
        .map(|fifth| fifth.ascii().to_owned())
        .chain(
            parts
                .tensions
                .iter()
                .map(|degree| format!("{added}{}", degree.ascii())),
        )
        .collect();
    let all_signed = listed.iter().all(|text| text.starts_with(['b', '#']));

    match listed.as_slice() {
        [only] if stem.is_empty() && only.starts_with("add") => only.clone(),
        _ if all_signed && (!stem.is_empty() || listed.is_empty()) => {
            format!("{stem}{}", listed.concat())
        }
        _ => format!("{stem}({})", list(&listed)),
    }
}

/// The signs of a house.
struct Signs {
    major: &'static str,
    minor: &'static str,
    diminished: &'static str,
    augmented: &'static str,
    /// Whether brackets keep the major seventh off the sign before it.
    brackets: bool,
}

impl Signs {
    const ASCII: Self = Self {
        major: "maj",
        minor: "m",
        diminished: "dim",
        augmented: "aug",
        brackets: true,
    };

    fn of(house: House) -> Self {
        let (major, minor) = match house {
            House::Lower => ("maj", "m"),
            House::Capital => ("MA", "MI"),
            House::Signs => ("△", "−"),
        };

        Self {
            major,
            minor,
            diminished: "°",
            augmented: "+",
            brackets: house != House::Signs,
        }
    }
}

/// What a symbol consists of.
struct Parts {
    /// Everything before alterations and tensions: `m7`, `maj9`, `7sus4`.
    stem: String,
    /// An altered fifth that the stem does not name.
    fifth: Option<Degree>,
    /// The tensions that the stem does not name, from low to high.
    tensions: Vec<Degree>,
    /// What stands before each tension: `add` on a chord without sixth or seventh.
    added: &'static str,
    /// Whether this is a minor seventh with ♭5, whose name stays in one piece.
    half_diminished: bool,
}

impl Parts {
    fn of(quality: Quality, signs: &Signs, slashed: bool) -> Self {
        let third = quality.third();
        let fifth = quality.fifth();
        let seventh = quality.seventh().filter(|degree| degree.is_seventh());
        let (number, named) = number(quality, seventh);
        let is_minor = third == Some(Degree::FlatThird);
        let is_flat = is_minor && fifth == Some(Degree::FlatFifth);
        let half_diminished = is_flat && seventh == Some(Degree::FlatSeventh);
        let is_plain = third == Some(Degree::Third) && number.is_empty();

        // A sign that names the fifth with the third.
        let whole = if half_diminished && slashed {
            Some("ø")
        } else if is_flat && !half_diminished && !quality.has(Degree::Sixth) {
            Some(signs.diminished)
        } else if is_plain && fifth == Some(Degree::SharpFifth) {
            Some(signs.augmented)
        } else {
            None
        };
        let sign = whole.unwrap_or(if is_minor { signs.minor } else { "" });
        let numbered = match seventh {
            Some(Degree::Seventh) if signs.brackets && !sign.is_empty() => {
                format!("({}{number})", signs.major)
            }
            Some(Degree::Seventh) => format!("{}{number}", signs.major),
            _ => number.to_owned(),
        };
        let suspended = match third {
            Some(Degree::Fourth) => "sus4",
            Some(Degree::Second) => "sus2",
            _ => "",
        };
        let stem = if quality.is_altered() {
            "7alt".to_owned()
        } else if third.is_none() {
            "5".to_owned()
        } else {
            format!("{sign}{numbered}{suspended}")
        };

        Self {
            stem,
            fifth: fifth.filter(|fifth| *fifth != Degree::Fifth && whole.is_none()),
            tensions: quality
                .degrees()
                .filter(|degree| degree.number() >= 9 && !named.contains(degree))
                .collect(),
            added: if number.is_empty() { "add" } else { "" },
            half_diminished,
        }
    }
}

/// Returns the number that a symbol shows and the tensions that the number names.
fn number(quality: Quality, seventh: Option<Degree>) -> (&'static str, &'static [Degree]) {
    let has = |degree| quality.has(degree);
    let ninth = has(Degree::Ninth);
    // An altered ninth stands in for the natural one below a taller number: 13(♭9).
    let any_ninth = ninth || has(Degree::FlatNinth) || has(Degree::SharpNinth);

    match seventh {
        None if has(Degree::Sixth) && ninth => ("6/9", &[Degree::Ninth]),
        None if has(Degree::Sixth) => ("6", &[]),
        None => ("", &[]),
        Some(_) if any_ninth && has(Degree::Thirteenth) => {
            ("13", &[Degree::Ninth, Degree::Thirteenth])
        }
        Some(_) if any_ninth && has(Degree::Eleventh) => ("11", &[Degree::Ninth, Degree::Eleventh]),
        Some(_) if ninth => ("9", &[Degree::Ninth]),
        Some(_) => ("7", &[]),
    }
}

/// Joins what stands in a bracket; a comma keeps a bare number or word off what is before it.
fn list(texts: &[String]) -> String {
    let mut out = String::new();

    for text in texts {
        if !out.is_empty() && text.starts_with(|c: char| c.is_ascii_alphanumeric() && c != 'b') {
            out.push(',');
        }
        out.push_str(text);
    }

    out
}
