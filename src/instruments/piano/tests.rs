//! The piano by its samples.

use super::*;

fn chord(keys: &[i64], velocity: u8) -> Vec<Note> {
    keys.iter()
        .map(|key| Note {
            at: Time::ZERO,
            held: Time::from_ms(2000),
            key: Key::new(*key).expect("a key"),
            velocity,
        })
        .collect()
}

const LENGTH: Time = Time::from_ms(2500);

#[test]
fn the_bundled_piano_loads_and_sounds() {
    let piano = Piano::bundled().expect("the bundled piano is whole");
    let clip = piano
        .render(&chord(&[48, 64, 70], 80), LENGTH, 0.0)
        .unwrap();

    assert_eq!(clip.length(), LENGTH);
    assert!(level_db(&clip.frames) > -40.0);
}

#[test]
fn a_broken_soundfont_is_refused_with_a_reason() {
    for bytes in [
        &b""[..],
        b"RIFF",
        b"not a font at all",
        &BUNDLED[..200],
        &BUNDLED[..4_000_000],
    ] {
        assert!(
            matches!(Piano::load(bytes), Err(Error::Font(_))),
            "{} bytes",
            bytes.len()
        );
    }
}

#[test]
fn a_soundfont_that_was_cut_off_says_so() {
    let error = Piano::load(&BUNDLED[..4_000_000]).unwrap_err();

    assert_eq!(
        error.to_string(),
        "expected a SoundFont 2: it ends in the middle; copy it anew"
    );
}

/// SoundFont 2.04 Technical Specification, 7.3 and 7.10: where the zones of the presets and the
/// samples begin. Numbers that point nowhere make the library panic.
#[test]
fn a_soundfont_whose_tables_lie_is_refused_without_a_panic() {
    let table = |id: &[u8; 4]| {
        let at = BUNDLED.windows(4).rposition(|four| four == id).unwrap();
        at + 8
    };
    // Each zone points at generators far past the last.
    let mut zones = BUNDLED.to_vec();
    zones[table(b"pbag") + 4..][..2].copy_from_slice(&[0xFF, 0x7F]);
    assert!(matches!(Piano::load(&zones), Err(Error::Font(_))));

    // Each sample begins far past the last.
    let mut samples = BUNDLED.to_vec();
    let headers = table(b"shdr");
    for header in (headers..BUNDLED.len() - 46).step_by(46) {
        samples[header + 20..][..8]
            .copy_from_slice(&[0xFF, 0xFF, 0xFF, 0x70, 0xFF, 0xFF, 0xFF, 0x7F]);
    }
    assert!(matches!(Piano::load(&samples), Err(Error::Font(_))));
}

#[test]
fn every_key_of_the_bundled_piano_sounds() {
    let piano = Piano::bundled().unwrap();

    for number in 21..=108 {
        assert_eq!(
            piano.sounds(Key::new(number).unwrap()),
            Ok(true),
            "{number}"
        );
    }
}

#[test]
fn clips_have_equal_level_whatever_is_struck() {
    let piano = Piano::bundled().unwrap();
    let held = frame(Time::from_ms(2000));

    for (keys, velocity) in [
        (&[48, 55][..], 30),
        (&[48, 52, 55, 59], 80),
        (&[59, 70, 74, 80], 127),
        (&[36], 20),
    ] {
        let clip = piano.render(&chord(keys, velocity), LENGTH, 0.0).unwrap();
        let level = level_db(&clip.frames[..held]);
        assert!((level - LEVEL_DB).abs() < 0.2, "{keys:?}: {level} dB");
    }
}

#[test]
fn roving_moves_the_level_by_what_was_asked() {
    let piano = Piano::bundled().unwrap();
    let held = frame(Time::from_ms(2000));
    let level = |rove| {
        let clip = piano
            .render(&chord(&[48, 64, 70], 80), LENGTH, rove)
            .unwrap();
        level_db(&clip.frames[..held])
    };

    assert!((level(3.0) - level(-3.0) - 6.0).abs() < 0.01);
}

#[test]
fn nothing_clips_and_both_ends_are_silent() {
    let piano = Piano::bundled().unwrap();

    for rove in [-3.0, 3.0, 30.0] {
        let clip = piano
            .render(&chord(&[45, 48, 52, 55, 84], 127), LENGTH, rove)
            .unwrap();
        assert!(clip.peak() <= CEILING);
        assert_eq!(clip.frames.first(), Some(&[0.0, 0.0]));
        assert_eq!(clip.frames.last(), Some(&[0.0, 0.0]));
    }
}

#[test]
fn the_same_notes_give_the_same_frames() {
    let piano = Piano::bundled().unwrap();
    let again = Piano::bundled().unwrap();
    let notes = chord(&[50, 53, 57, 60], 77);

    assert_eq!(
        piano.render(&notes, LENGTH, 1.5).unwrap(),
        again.render(&notes, LENGTH, 1.5).unwrap()
    );
}

#[test]
fn no_notes_are_silence() {
    let piano = Piano::bundled().unwrap();
    let clip = piano.render(&[], LENGTH, 0.0).unwrap();

    assert_eq!(clip.peak(), 0.0);
}

#[test]
fn nothing_that_is_asked_is_so_sharp_that_the_ceiling_makes_it_softer() {
    let piano = Piano::bundled().unwrap();
    let held = frame(Time::from_ms(2000));
    let mut asked = Vec::new();
    for root in [48, 53, 59, 66] {
        asked.extend((1..=12).map(|semitones| vec![root, root + semitones]));
        asked.extend(
            [[4, 7], [3, 7], [3, 6], [4, 8], [16, 19]]
                .map(|[third, fifth]| vec![root, root + third, root + fifth]),
        );
    }

    for keys in asked {
        let clip = piano.render(&chord(&keys, 80), LENGTH, 3.0).unwrap();
        let level = level_db(&clip.frames[..held]);
        assert!(
            (level - LEVEL_DB - 3.0).abs() < 0.1,
            "{keys:?}: {level} dB, peak {}",
            clip.peak()
        );
    }
}

#[test]
fn both_ends_fade_evenly_over_ten_milliseconds_and_nothing_else_does() {
    let piano = Piano::bundled().unwrap();
    // A whole number of the synthesiser's blocks, so that the same frames come so much later.
    let late = Time::from_ms(20);
    let ten = frame(FADE);
    let note = |at| Note {
        at,
        held: Time::from_ms(500),
        key: Key::MIDDLE_C,
        velocity: 80,
    };
    let whole = piano.sound(&[note(late)], LENGTH).unwrap();
    let whole = &whole[frame(late)..];
    let mut clip = piano
        .sound(&[note(Time::ZERO)], Time::from_ms(400))
        .unwrap();
    fade(&mut clip);

    for (at, frame) in clip.iter().enumerate() {
        let edge = at.min(clip.len() - 1 - at).min(ten);
        let expected = whole[at].map(|sample| sample * (edge as f32 / ten as f32));
        for side in [0, 1] {
            assert!((frame[side] - expected[side]).abs() < 1e-6, "frame {at}");
        }
    }
}
