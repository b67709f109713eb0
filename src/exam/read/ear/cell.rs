//! One cell of a section that is heard: what sounds.

mod back;

use crate::exam::read::scope::Scope;
use crate::exam::read::{Place, quality, quality_name, required_count};
use crate::exam::script::{Ask, EarCell, Motion, Spacing, Stimulus};
use crate::exam::sound;
use crate::exam::table::{Spanned, Table, Within, clip};
use crate::theory::interval::Interval;
use crate::theory::quality::Quality;
use crate::theory::{Degree, likeness};

/// The tensions that a dominant can be heard with, as scripts write them.
pub(super) const TENSIONS: [(&str, Degree); 6] = [
    ("9", Degree::Ninth),
    ("b9", Degree::FlatNinth),
    ("#9", Degree::SharpNinth),
    ("#11", Degree::SharpEleventh),
    ("13", Degree::Thirteenth),
    ("b13", Degree::FlatThirteenth),
];

/// So many chords has a dictation.
const DICTATED: std::ops::RangeInclusive<usize> = 4..=8;

/// A cell, and the places of what it says.
pub(super) struct Sounded {
    pub(super) cell: EarCell,
    pub(super) count: Spanned<u32>,
    pub(super) roots_place: Place,
    places: Places,
}

/// Where a cell says what sounds.
struct Places {
    main: Place,
    top: Option<Place>,
    bass: Option<Place>,
}

impl Places {
    const fn of(main: Place) -> Self {
        Self {
            main,
            top: None,
            bass: None,
        }
    }
}

impl Sounded {
    /// Returns the place of what decides the answer to a question.
    pub(super) fn place_of(&self, ask: Ask) -> Place {
        let closer = match ask {
            Ask::Top => &self.places.top,
            Ask::Inversion => &self.places.bass,
            _ => &None,
        };

        closer.as_ref().unwrap_or(&self.places.main).clone()
    }
}

/// Returns a cell as it might be written, for help texts.
pub(super) const fn sample(ask: Ask) -> &'static str {
    match ask {
        Ask::Quality => "`cells = [{ count = 6, quality = \"maj7\" }]`",
        Ask::Top => "`cells = [{ count = 6, quality = \"maj7\", top = 3 }]`",
        Ask::Inversion => "`cells = [{ count = 6, quality = \"maj7\", bass = 3 }]`",
        Ask::Interval => "`cells = [{ count = 6, interval = \"m3\" }]`",
        Ask::Tension => "`cells = [{ count = 6, tension = \"b9\" }]`",
        Ask::Progression => "`cells = [{ count = 2, progression = \"ii-V-I\" }]`",
        Ask::Bass => "`cells = [{ count = 1, progression = \"I-vi-ii-V\" }]`",
        Ask::PlayBack => "`cells = [{ count = 2, motive = \"1 2 3 5\" }]`",
        Ask::Cadence => "`cells = [{ count = 2, cadence = \"ii-V-I\" }]`",
        Ask::RootMotion => "`cells = [{ count = 6, up = 5 }]`",
        Ask::WrongVoice => "`cells = [{ count = 6, quality = \"maj7\", voice = 3 }]`",
    }
}

pub(super) fn read(
    cell: &Table<'_>,
    asks: &[Ask],
    rooted: bool,
    scope: &Scope<'_>,
) -> Option<Sounded> {
    let count = required_count(cell);
    let roots = scope.roots(cell);
    let sounds = match asks[0] {
        Ask::Quality | Ask::Top | Ask::Inversion => chord(cell, asks, rooted),
        Ask::Interval => interval(cell),
        Ask::Tension => cell.required_choice("tension", &TENSIONS).map(|read| {
            (
                Stimulus::Tension {
                    tension: read.value,
                },
                Places::of(read.span),
            )
        }),
        Ask::Progression => progression(cell, "progression", scope),
        Ask::Cadence => progression(cell, "cadence", scope),
        Ask::Bass => dictation(cell, scope),
        Ask::PlayBack => back::read(cell, scope),
        Ask::RootMotion => root_motion(cell),
        Ask::WrongVoice => wrong_voice(cell),
    };
    let (count, roots, (stimulus, places)) = (count?, roots?, sounds?);

    Some(Sounded {
        cell: EarCell {
            count: count.value,
            stimulus,
            roots: roots.classes,
        },
        roots_place: roots.place.unwrap_or_else(|| count.span.clone()),
        count,
        places,
    })
}

fn chord(cell: &Table<'_>, asks: &[Ask], rooted: bool) -> Option<(Stimulus, Places)> {
    let quality = cell.required_parsed("quality", quality);
    let faulty = cell.has("spacing");
    let spacing = cell.choice("spacing", &Spacing::WORDS);
    let faulty = faulty && spacing.is_none();
    let top = member(cell, "top");
    let bass = member(cell, "bass");
    let (quality, top, bass) = (quality?, top?, bass?);
    let of = quality.value;
    let name = quality_name(of);
    let mut whole = !faulty;
    let mut fault = |place: Place, message: String, help: &str| {
        cell.fault(place, message, Some(help.to_owned()));
        whole = false;
    };

    for number in [&top, &bass].into_iter().flatten() {
        if of.own(number.value).is_none() {
            fault(
                number.span.clone(),
                format!("`{name}` has no chord tone {}", number.value),
                "choose another chord tone or another quality",
            );
        }
    }
    let low = bass.as_ref().map_or(1, |bass| bass.value);
    if let Some(top) = &top
        && top.value == low
    {
        fault(
            top.span.clone(),
            format!("chord tone {low} is in the bass and cannot be on top too"),
            "choose another chord tone for `top`, or another for `bass`",
        );
    }
    if let Some(bass) = &bass
        && low != 1
        && !rooted
    {
        fault(
            bass.span.clone(),
            "an inverted chord is another chord unless its root is heard".to_owned(),
            "leave out `root_heard = false`, or put the root in the bass",
        );
    }
    if asks.contains(&Ask::Inversion) {
        if bass.is_none() {
            fault(
                cell.span(),
                "an inversion is asked and the cell does not say which".to_owned(),
                "write `bass = 1`, 3, 5 or 7: the chord tone in the bass",
            );
        }
        if likeness::sounds_as(of, of).len() > 1 {
            fault(
                quality.span.clone(),
                format!(
                    "`{name}` sounds like itself on another root: its inversion cannot be told"
                ),
                "ask for the inversion of another quality",
            );
        }
    }
    whole.then(|| {
        (
            Stimulus::Chord {
                quality: of,
                spacing: spacing.map_or(Spacing::Close, |spacing| spacing.value),
                top: top.as_ref().map(|top| top.value),
                bass: low,
            },
            Places {
                main: quality.span,
                top: top.map(|top| top.span),
                bass: bass.map(|bass| bass.span),
            },
        )
    })
}

/// Reads the number of a chord tone; the outer `None` where what is written is none.
#[expect(
    clippy::option_option,
    reason = "faulty, absent and read are three things"
)]
fn member(cell: &Table<'_>, key: &'static str) -> Option<Option<Spanned<u8>>> {
    if !cell.has(key) {
        return Some(None);
    }
    let number = cell.integer(key, ..)?;
    if !matches!(number.value, 1 | 3 | 5 | 7) {
        cell.fault(
            number.span,
            format!(
                "expected a chord tone, 1, 3, 5 or 7, found {}",
                number.value
            ),
            Some("1 is the root, 3 the third, 5 the fifth, 7 the seventh or the sixth".to_owned()),
        );
        return None;
    }

    Some(Some(number.map(|number| number as u8)))
}

fn interval(cell: &Table<'_>) -> Option<(Stimulus, Places)> {
    let names: Vec<(&str, u8)> = Interval::all()
        .map(|interval| (interval.short(), interval.semitones()))
        .collect();
    let semitones = cell.required_choice("interval", &names);
    let faulty = cell.has("motion");
    let motion = cell.choice(
        "motion",
        &[
            ("harmonic", Motion::Harmonic),
            ("rising", Motion::Rising),
            ("falling", Motion::Falling),
        ],
    );
    let faulty = faulty && motion.is_none();
    let semitones = semitones.filter(|_| !faulty)?;

    Some((
        Stimulus::Interval {
            semitones: semitones.value,
            motion: motion.map_or(Motion::Harmonic, |motion| motion.value),
        },
        Places::of(semitones.span),
    ))
}

fn progression(
    cell: &Table<'_>,
    key: &'static str,
    scope: &Scope<'_>,
) -> Option<(Stimulus, Places)> {
    let name = cell.required_text(key)?;
    let progression = scope.progression(&name, false)?;
    if progression.is_fixed() {
        cell.fault(
            name.span,
            format!(
                "progression `{}` is written in symbols, and its key is to be drawn",
                clip(&progression.name)
            ),
            Some("write it in numerals: `bars = [\"IIm7\", \"V7\", \"Imaj7\"]`".to_owned()),
        );
        return None;
    }

    Some((Stimulus::Progression { progression }, Places::of(name.span)))
}

/// A progression to be written down, of as many chords as can be kept in mind.
fn dictation(cell: &Table<'_>, scope: &Scope<'_>) -> Option<(Stimulus, Places)> {
    let (stimulus, places) = progression(cell, "progression", scope)?;
    let Stimulus::Progression { progression } = &stimulus else {
        return None;
    };
    let chords = progression.in_key(progression.tonic(0)).len();

    if !DICTATED.contains(&chords) {
        cell.fault(
            places.main,
            format!(
                "expected a progression of {} to {} chords for a dictation, found {chords} in `{}`",
                DICTATED.start(),
                DICTATED.end(),
                clip(&progression.name)
            ),
            Some("write one of your own: `[[progression]]` with `bars = [\"Imaj7\", \"VIm7\", \"IIm7\", \"V7\"]`".to_owned()),
        );
        return None;
    }
    Some((stimulus, places))
}

fn root_motion(cell: &Table<'_>) -> Option<(Stimulus, Places)> {
    let faulty = cell.has("quality");
    let quality = cell.parsed("quality", quality);
    let faulty = faulty && quality.is_none();
    let up = cell
        .required_integer("up", Within::from(1..=11).of("semitones"))
        .filter(|_| !faulty)?;

    Some((
        Stimulus::RootMotion {
            quality: quality.map_or(Quality::DOMINANT, |quality| quality.value),
            up: up.value as u8,
        },
        Places::of(up.span),
    ))
}

fn wrong_voice(cell: &Table<'_>) -> Option<(Stimulus, Places)> {
    let quality = cell.required_parsed("quality", quality);
    let _ = cell.required_value("voice");
    let voice = member(cell, "voice").flatten();
    let (quality, voice) = (quality?, voice?);
    let name = quality_name(quality.value);
    let fault = if quality.value.own(voice.value).is_none() {
        format!("`{name}` has no chord tone {}", voice.value)
    } else if sound::can_be_wrong(quality.value, voice.value) {
        return Some((
            Stimulus::WrongVoice {
                quality: quality.value,
                voice: voice.value,
            },
            Places::of(voice.span),
        ));
    } else {
        format!(
            "chord tone {} of `{name}`, a semitone off, would be another chord tone or make the same chord again",
            voice.value
        )
    };

    cell.fault(
        voice.span,
        fault,
        Some("choose another chord tone or another quality".to_owned()),
    );
    None
}
