//! Drawings held against the fonts' own metadata, against another engraver, and against the eye.

mod fonts;
mod gallery;
mod lilypond;
mod paint;
mod sound;
mod symbols;

use viva_voicing::engraving::grand::Hands;
use viva_voicing::theory::Name;
use viva_voicing::theory::pitch::{Key, Pitch};

/// Reads notes such as `Bb2 F3`; the octave is that of the written note.
fn pitches(text: &str) -> Vec<Pitch> {
    text.split_whitespace()
        .map(|note| {
            let (name, octave) = Name::parse_prefix(note).expect(note);
            let octave: i64 = octave.parse().expect(note);
            let natural = 12 * (octave + 1) + i64::from(name.letter().class());
            let key = Key::new(natural + i64::from(name.accidental())).expect(note);
            Pitch::new(name, key).expect(note)
        })
        .collect()
}

/// Reads the notes of the left and of the right hand.
fn hands(left: &str, right: &str) -> Hands {
    Hands::new(&pitches(left), &pitches(right))
}
