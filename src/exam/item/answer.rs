//! Which texts are right: answers to ear items, and spellings.

use crate::exam::draw::Pick;
use crate::exam::script::{Ask, Stimulus};
use crate::exam::sound;
use crate::theory::interval::{Interval, root_motion};
use crate::theory::progression::{Progression, degree, formula};
use crate::theory::{Chord, Degree, Name, Quality, symbol};

/// Tells whether two texts give the same answer: real and ASCII signs, and outer blanks, are one.
pub fn same_answer(a: &str, b: &str) -> bool {
    plain(a) == plain(b)
}

fn plain(text: &str) -> String {
    let mut out = String::with_capacity(text.len() + 4);

    for (i, word) in text.split_whitespace().enumerate() {
        if i > 0 {
            out.push(' ');
        }
        for sign in word.chars() {
            match sign {
                '♭' => out.push('b'),
                '♯' => out.push('#'),
                '°' => out.push_str("dim"),
                '−' | '–' => out.push('-'),
                '𝄫' => out.push_str("bb"),
                '𝄪' => out.push_str("##"),
                other => out.push(other),
            }
        }
    }

    out
}

/// All texts that are right for one part of an ear item, the shortest ASCII one first.
pub(in crate::exam) fn accepted(
    ask: Ask,
    stimulus: &Stimulus,
    pick: Pick,
    style: symbol::Style,
) -> Vec<String> {
    let mut texts = match (ask, stimulus) {
        (Ask::Quality, Stimulus::Chord { quality, .. } | Stimulus::RootMotion { quality, .. }) => {
            quality_texts(*quality, style)
        }
        (
            Ask::Top,
            Stimulus::Chord {
                quality, top, bass, ..
            },
        ) => member_texts(
            sound::top(*quality, *bass, *top, pick.variant).and_then(|number| quality.own(number)),
        ),
        (Ask::Inversion, Stimulus::Chord { quality, bass, .. }) => member_texts(quality.own(*bass)),
        (Ask::Interval, Stimulus::Interval { semitones, .. }) => Interval::new(*semitones)
            .map(|interval| vec![interval.short().to_owned(), interval.words().to_owned()])
            .unwrap_or_default(),
        (Ask::Tension, Stimulus::Tension { tension }) => vec![
            tension.ascii().to_owned(),
            tension.to_string(),
            tension.words().to_owned(),
        ],
        (Ask::Progression, Stimulus::Progression { progression }) => vec![progression.name.clone()],
        (Ask::Cadence, Stimulus::Progression { progression }) => cadence_texts(progression),
        (Ask::RootMotion, Stimulus::RootMotion { up, .. }) => {
            vec![root_motion(pick.root, (pick.root + up) % 12).to_owned()]
        }
        (Ask::WrongVoice, Stimulus::WrongVoice { quality, voice }) => {
            member_texts(quality.own(*voice))
        }
        _ => Vec::new(),
    };

    let mut seen = Vec::with_capacity(texts.len());
    texts.retain(|text| {
        let new = !seen.contains(text);
        seen.push(text.clone());
        new
    });
    texts
}

/// A cadence is told by what the trade calls it, and by the name that scripts use.
fn cadence_texts(progression: &Progression) -> Vec<String> {
    formula(progression)
        .map(str::to_owned)
        .into_iter()
        .chain([progression.name.clone()])
        .collect()
}

/// All texts that are right for bass and quality of each chord of a progression, in their order.
pub(in crate::exam) fn dictated(
    progression: &Progression,
    style: symbol::Style,
) -> Vec<[Vec<String>; 2]> {
    let tonic = progression.tonic(0);

    progression
        .in_key(tonic)
        .iter()
        .map(|placed| {
            let (bass, other, words) = degree(placed.chord.lowest_class());
            let mut basses = vec![bass.to_owned()];
            if other != bass {
                basses.push(other.to_owned());
            }
            basses.push(words.to_owned());
            [basses, quality_texts(placed.chord.quality, style)]
        })
        .collect()
}

pub(in crate::exam) fn quality_texts(quality: Quality, style: symbol::Style) -> Vec<String> {
    let ascii = symbol::ascii_quality(quality);
    let printed = symbol::print_quality(quality, style);
    let words = symbol::words(quality).map(str::to_owned);

    // A major triad has an empty suffix; its words are its answer.
    [Some(ascii), Some(printed), words]
        .into_iter()
        .flatten()
        .filter(|text| !text.is_empty())
        .collect()
}

fn member_texts(degree: Option<Degree>) -> Vec<String> {
    degree
        .map(|degree| vec![degree.words().to_owned(), degree.number().to_string()])
        .unwrap_or_default()
}

/// The spellings accepted for a chord tone: strict; where that takes a double accidental also as
/// printed; a sharp ninth also as the minor third that parts often print.
pub(super) fn spellings(chord: Chord, degree: Degree, strict: Name) -> Vec<Name> {
    let mut names = vec![strict];

    if strict.is_double() {
        names.push(strict.in_print());
    }
    if degree == Degree::SharpNinth
        && let Some(third) = Degree::FlatThird.over(chord.root)
    {
        names.push(third);
        if third.is_double() {
            names.push(third.in_print());
        }
    }

    names
}
