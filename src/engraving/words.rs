//! Drawings in words, for those who cannot see them; a printed page must have them (PDF/UA).

use crate::theory::pitch::Pitch;
use crate::theory::{Chord, Degree, Name, Quality, symbol};

/// Names a note without its octave: `B flat`.
pub fn name(name: Name) -> String {
    let accidental = match name.accidental() {
        -3 => " triple flat",
        -2 => " double flat",
        -1 => " flat",
        1 => " sharp",
        2 => " double sharp",
        3 => " triple sharp",
        _ => "",
    };

    format!("{:?}{accidental}", name.letter())
}

/// Names a note with its octave: `B flat 2`; middle C is `C 4`.
pub fn pitch(pitch: Pitch) -> String {
    format!("{} {}", name(pitch.name), pitch.octave())
}

/// Lists notes, or says that there are none.
pub fn pitches(pitches: &[Pitch]) -> String {
    if pitches.is_empty() {
        return "no note".to_owned();
    }

    let listed: Vec<String> = pitches.iter().map(|one| pitch(*one)).collect();
    listed.join(", ")
}

/// Says what each hand has; a hand without notes is left out where the other has some.
pub fn hands(left: &[Pitch], right: &[Pitch]) -> String {
    match (left, right) {
        ([], []) => "no note".to_owned(),
        (_, []) => format!("left hand {}", pitches(left)),
        ([], _) => format!("right hand {}", pitches(right)),
        _ => format!("left hand {}; right hand {}", pitches(left), pitches(right)),
    }
}

/// Names a chord: `B flat dominant seventh with flat ninth over D`.
pub fn chord(chord: Chord) -> String {
    let bass = chord
        .bass
        .map(|bass| format!(" over {}", name(bass)))
        .unwrap_or_default();

    format!("{} {}{bass}", name(chord.root), quality(chord.quality))
}

/// Names a quality: what the trade calls it, and what is different or added.
pub fn quality(quality: Quality) -> String {
    if quality.is_altered() {
        return "altered dominant".to_owned();
    }
    let core: Vec<Degree> = quality
        .degrees()
        .filter(|degree| degree.number() < 9)
        .collect();
    let tensions = quality.degrees().filter(|degree| degree.number() >= 9);
    let mut added: Vec<String> = Vec::new();

    let words = if let Some(words) = symbol::words(Quality::of(&core)) {
        words
    } else {
        // The nearest chord that has a name, and what it has otherwise.
        let nearest: Vec<Degree> = core
            .iter()
            .map(|degree| match degree {
                Degree::Second | Degree::Fourth => Degree::Third,
                Degree::FlatFifth | Degree::SharpFifth => Degree::Fifth,
                other => *other,
            })
            .collect();
        for degree in &core {
            match degree {
                Degree::Second => added.push("second for third".to_owned()),
                Degree::Fourth => added.push("fourth for third".to_owned()),
                Degree::FlatFifth => added.push("flat fifth".to_owned()),
                Degree::SharpFifth => added.push("sharp fifth".to_owned()),
                _ => {}
            }
        }
        match symbol::words(Quality::of(&nearest)) {
            Some(words) => words,
            None => {
                added = core
                    .iter()
                    .map(|degree| degree.words().to_owned())
                    .collect();
                "chord"
            }
        }
    };
    added.extend(tensions.map(|degree| degree.words().to_owned()));

    match added.split_last() {
        None => words.to_owned(),
        Some((last, [])) => format!("{words} with {last}"),
        Some((last, others)) => format!("{words} with {} and {last}", others.join(", ")),
    }
}
