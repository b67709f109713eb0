//! What can be answered to a question, and what it means however it is written.

use std::sync::LazyLock;

use super::cell::TENSIONS;
use crate::exam::draw::Pick;
use crate::exam::item::{accepted, dictated, same_answer};
use crate::exam::script::{Ask, Stimulus};
use crate::exam::sound;
use crate::theory::interval::{Interval, root_motion};
use crate::theory::progression::{Progression, degree, formulas, parse_degree};
use crate::theory::quality::Quality;
use crate::theory::{Degree, symbol};

/// What an answer means, however it is written.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Meaning {
    Quality(Quality),
    Degree(u8),
    /// A degree of the key, in semitones above its tonic.
    Bass(u8),
    Text(String),
}

/// An answer that a cell can have.
pub(super) struct Answer {
    /// All accepted texts, the usual one first.
    pub(super) texts: Vec<String>,
    pub(super) meaning: Meaning,
    /// Its place in the order of likeness.
    pub(super) rank: i32,
}

/// The numbers and words of chord tones.
const DEGREES: [(&str, &str, u8); 7] = [
    ("1", "root", 1),
    ("2", "second", 2),
    ("3", "third", 3),
    ("4", "fourth", 4),
    ("5", "fifth", 5),
    ("6", "sixth", 6),
    ("7", "seventh", 7),
];

/// Qualities that have a name in words.
static WORDED: LazyLock<Vec<(&str, Quality)>> = LazyLock::new(|| {
    [
        "", "m", "aug", "dim", "maj7", "7", "m7", "m7b5", "dim7", "m(maj7)", "6", "m6",
    ]
    .into_iter()
    .filter_map(|suffix| symbol::parse_quality(suffix).ok())
    .filter_map(|quality| Some((symbol::words(quality)?, quality)))
    .collect()
});

/// Reads what a text means as an answer; progressions are the script's business.
pub(super) fn meaning(ask: Ask, text: &str) -> Option<Meaning> {
    let is = |other: &str| text.eq_ignore_ascii_case(other);

    match ask {
        Ask::Quality => WORDED
            .iter()
            .find(|(words, _)| is(words))
            .map(|(_, quality)| *quality)
            .or_else(|| symbol::parse_quality(text).ok())
            .map(Meaning::Quality),
        Ask::Top | Ask::Inversion | Ask::WrongVoice => DEGREES
            .iter()
            .find(|(number, word, _)| *number == text || is(word))
            .map(|(.., number)| Meaning::Degree(*number)),
        Ask::Interval => Interval::all()
            .find(|interval| interval.short() == text || is(interval.words()))
            .map(|interval| Meaning::Text(interval.short().to_owned())),
        Ask::Tension => TENSIONS
            .iter()
            .find(|(ascii, degree)| {
                Degree::parse(text) == Ok(*degree) || *ascii == text || is(degree.words())
            })
            .map(|(ascii, _)| Meaning::Text((*ascii).to_owned())),
        Ask::RootMotion => (1..12)
            .map(|up| root_motion(0, up))
            .find(|words| is(words))
            .map(|words| Meaning::Text(words.to_owned())),
        Ask::Progression => Some(Meaning::Text(text.to_owned())),
        Ask::Cadence => Some(Meaning::Text(cadence(text).to_owned())),
        Ask::Bass => parse_degree(text).map(Meaning::Bass),
        Ask::PlayBack => None,
    }
}

/// Returns the name that a cadence has here, of that or of what the trade calls it.
pub(super) fn cadence(text: &str) -> &str {
    formulas()
        .find(|(_, words)| same_answer(words, text))
        .map_or(text, |(name, _)| name)
}

/// Lists what can be an answer to a question, for help texts.
pub(super) fn known(ask: Ask) -> Vec<&'static str> {
    match ask {
        Ask::Top | Ask::Inversion | Ask::WrongVoice => {
            DEGREES.iter().map(|(_, word, _)| *word).collect()
        }
        Ask::Interval => Interval::all().map(Interval::short).collect(),
        Ask::Tension => TENSIONS.iter().map(|(ascii, _)| *ascii).collect(),
        Ask::RootMotion => (1..12).map(|up| root_motion(0, up)).collect(),
        Ask::Bass => (0..12).map(|above| degree(above).0).collect(),
        Ask::Cadence => formulas().map(|(name, _)| name).collect(),
        Ask::Quality | Ask::Progression | Ask::PlayBack => Vec::new(),
    }
}

/// All answers a stimulus can have.
pub(super) fn answers(ask: Ask, stimulus: &Stimulus) -> Vec<Answer> {
    if let (Ask::Bass | Ask::Quality, Stimulus::Progression { progression }) = (ask, stimulus) {
        return of_chords(ask, progression);
    }
    let rank = match (ask, stimulus) {
        (Ask::Quality, Stimulus::Chord { quality, .. }) => -quality.brightness(),
        (Ask::Interval, Stimulus::Interval { semitones, .. }) => i32::from(*semitones),
        (Ask::Tension, Stimulus::Tension { tension }) => tension.semitones(),
        (Ask::RootMotion, Stimulus::RootMotion { up, .. }) => {
            let up = i32::from(*up);
            if up > 6 { up - 12 } else { up }
        }
        (Ask::Inversion, Stimulus::Chord { bass, .. }) => i32::from(*bass),
        (Ask::WrongVoice, Stimulus::WrongVoice { voice, .. }) => i32::from(*voice),
        _ => 0,
    };
    // Only the top varies from item to item of one cell.
    let count = match ask {
        Ask::Top => sound::variants(stimulus),
        _ => 1,
    };

    (0..count)
        .map(|variant| accepted(ask, stimulus, pick(variant), symbol::Style::DEFAULT))
        .filter_map(|texts| {
            let meaning = meaning(ask, texts.first()?)?;
            let rank = match (ask, &meaning) {
                (Ask::Top, Meaning::Degree(number)) => i32::from(*number),
                _ => rank,
            };
            Some(Answer {
                texts,
                meaning,
                rank,
            })
        })
        .collect()
}

/// What the chords of a dictation can be answered with, basses from the tonic up.
fn of_chords(ask: Ask, progression: &Progression) -> Vec<Answer> {
    dictated(progression, symbol::Style::DEFAULT)
        .into_iter()
        .filter_map(|[basses, qualities]| {
            let texts = if ask == Ask::Bass { basses } else { qualities };
            let meaning = meaning(ask, texts.first()?)?;
            let rank = match &meaning {
                Meaning::Bass(above) => i32::from(*above),
                Meaning::Quality(quality) => -quality.brightness(),
                _ => 0,
            };
            Some(Answer {
                texts,
                meaning,
                rank,
            })
        })
        .collect()
}

pub(super) const fn pick(variant: u8) -> Pick {
    Pick {
        cell: 0,
        root: 0,
        variant,
    }
}
