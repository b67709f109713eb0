//! A cell that is played back: a motive, a chord, or a short line of voicings.

use super::{Places, chord, progression};
use crate::exam::read::scope::Scope;
use crate::exam::script::{Ask, Stimulus};
use crate::exam::sound;
use crate::exam::table::{Table, clip};

/// So many notes has a motive, and so many chords a line.
const NOTES: std::ops::RangeInclusive<usize> = 3..=5;
const CHORDS: std::ops::RangeInclusive<usize> = 2..=5;
/// The highest note of a motive above its root, in semitones: a tenth.
const HIGHEST: i32 = 16;

pub(super) fn read(cell: &Table<'_>, scope: &Scope<'_>) -> Option<(Stimulus, Places)> {
    let kinds = ["motive", "quality", "progression"];
    let given: Vec<&str> = kinds.into_iter().filter(|key| cell.has(key)).collect();

    match given.as_slice() {
        ["motive"] => motive(cell),
        ["quality"] => chord(cell, &[Ask::PlayBack], true),
        ["progression"] => line(cell, scope),
        _ => {
            cell.fault(
                cell.span(),
                match given.as_slice() {
                    [] => "expected a motive, a chord or a line of chords to play back".to_owned(),
                    several => format!("expected one thing to play back, found {}", {
                        let names: Vec<String> =
                            several.iter().map(|key| format!("`{key}`")).collect();
                        names.join(" and ")
                    }),
                },
                Some(
                    "write `motive = \"1 2 3 5\"`, or `quality = \"maj7\"`, or `progression = \"ii-V-I\"` with a `form`"
                        .to_owned(),
                ),
            );
            None
        }
    }
}

/// A motive in degrees of the major scale above its root, 8 the octave, 10 the tenth.
fn motive(cell: &Table<'_>) -> Option<(Stimulus, Places)> {
    let text = cell.required_text("motive")?;
    let fault = |message: String| {
        cell.fault(
            text.span.clone(),
            message,
            Some("write degrees over a root, such as `1 b3 4 5` or `5 8 7 5`".to_owned()),
        );
        None
    };
    let mut notes = Vec::new();

    for word in text.value.split_whitespace() {
        match above(word) {
            Some(above) if (0..=HIGHEST).contains(&above) => notes.push(above as u8),
            Some(_) => {
                return fault(format!(
                    "degree `{}` lies below the root or more than a tenth above it",
                    clip(word)
                ));
            }
            None => return fault(format!("expected a degree, found `{}`", clip(word))),
        }
    }
    if !NOTES.contains(&notes.len()) {
        return fault(format!(
            "expected a motive of {} to {} notes, found {}",
            NOTES.start(),
            NOTES.end(),
            notes.len()
        ));
    }

    Some((Stimulus::Motive { notes }, Places::of(text.span)))
}

/// How far a degree lies above the root, in semitones: of the major scale, 1 to 10, altered.
fn above(word: &str) -> Option<i32> {
    const MAJOR: [i32; 7] = [0, 2, 4, 5, 7, 9, 11];
    let bare = word.trim_start_matches(['b', '#', '♭', '♯']);
    let number: usize = bare
        .parse()
        .ok()
        .filter(|number| (1..=10).contains(number))?;
    let altered: i32 = word[..word.len() - bare.len()]
        .chars()
        .map(|sign| if matches!(sign, 'b' | '♭') { -1 } else { 1 })
        .sum();

    Some(MAJOR[(number - 1) % 7] + 12 * ((number - 1) / 7) as i32 + altered)
}

/// A progression in a form of voicing.
fn line(cell: &Table<'_>, scope: &Scope<'_>) -> Option<(Stimulus, Places)> {
    let named = progression(cell, "progression", scope);
    let form = cell.required_text("form").and_then(|name| {
        let asked = scope.form(&name)?;
        Some((asked.form, name.span))
    });
    let ((Stimulus::Progression { progression }, places), (form, place)) = (named?, form?) else {
        return None;
    };
    let chords = progression.in_key(progression.tonic(0)).len();

    if !CHORDS.contains(&chords) {
        cell.fault(
            places.main,
            format!(
                "expected {} to {} chords to play back, found {chords} in `{}`",
                CHORDS.start(),
                CHORDS.end(),
                clip(&progression.name)
            ),
            Some("write a shorter progression of your own".to_owned()),
        );
        return None;
    }
    if !sound::can_be_led(&progression, &form) {
        cell.fault(
            place,
            format!(
                "`{}` cannot be voiced as `{}` in every key",
                clip(&progression.name),
                form.name
            ),
            Some("choose another form of voicing".to_owned()),
        );
        return None;
    }

    Some((Stimulus::Line { progression, form }, places))
}
