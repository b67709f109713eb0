//! Where sounds lie and how they are spread.

use viva_voicing::exam::script::{Motion, Spacing, Stimulus};
use viva_voicing::exam::sound;
use viva_voicing::theory::progression::{self, Progression};
use viva_voicing::theory::{Degree, Quality};
use viva_voicing::time::Time;

use super::{SPACINGS, build, check_clear, chord, classes, qualities};

#[test]
fn a_chord_has_its_notes_its_root_lowest_and_lies_clear_in_the_middle() {
    for (name, quality, expected) in qualities() {
        for spacing in SPACINGS {
            for root in 0..12 {
                for variant in 0..3 {
                    let what = format!("{name} on {root}, {spacing:?}, {variant}");
                    let strikes = build(&chord(quality, spacing, 1), root, variant);
                    let [keys] = strikes.as_slice() else {
                        panic!("{what}: {strikes:?}");
                    };
                    check_clear(keys, &what);
                    assert_eq!(classes(keys, root), expected, "{what}: {keys:?}");
                    assert_eq!(keys.len() as u32, expected.count_ones(), "{what}: {keys:?}");
                    assert_eq!(keys[0] % 12, root, "{what}: {keys:?}");
                }
            }
        }
    }
}

#[test]
fn the_bass_lies_from_c3_to_b3_but_for_the_widest_spread() {
    for (name, quality, expected) in qualities().into_iter().filter(|of| of.2.count_ones() == 4) {
        for spacing in SPACINGS {
            for root in 0..12 {
                for variant in 0..3 {
                    let keys = &build(&chord(quality, spacing, 1), root, variant)[0];
                    let top = (keys[3] + 12 - root) % 12;
                    let third_on_top = matches!(top, 3..=5) && expected & 1 << top != 0;
                    let lowest = if spacing == Spacing::Open && third_on_top {
                        45
                    } else {
                        48
                    };
                    assert!((lowest..lowest + 12).contains(&keys[0]), "{name}: {keys:?}");
                }
            }
        }
    }
}

/// The shapes of four-note chords, by hand: semitones above the bass on C.
#[test]
fn spacings_are_those_that_hands_know() {
    let check = |spacing, variant, expected: &[u8]| {
        let keys = &build(&chord(Quality::DOMINANT, spacing, 1), 0, variant)[0];
        assert_eq!(keys, expected, "{spacing:?}, {variant}");
    };

    // Seventh, third and fifth on top: C E G B♭, C G B♭ E, C B♭ E G.
    check(Spacing::Close, 0, &[48, 52, 55, 58]);
    check(Spacing::Close, 1, &[48, 55, 58, 64]);
    check(Spacing::Close, 2, &[48, 58, 64, 67]);
    // The second voice from the top an octave lower: C G E B♭, C B♭ G E, C E B♭ G.
    check(Spacing::Open, 0, &[48, 55, 64, 70]);
    check(Spacing::Open, 1, &[48, 58, 67, 76]);
    check(Spacing::Open, 2, &[48, 52, 58, 67]);
    // Root and fifth left, third and seventh right from middle C; or root and seventh left.
    check(Spacing::TwoHand, 0, &[48, 55, 64, 70]);
    check(Spacing::TwoHand, 1, &[48, 55, 70, 76]);
    check(Spacing::TwoHand, 2, &[48, 58, 64, 67]);
}

#[test]
fn triads_are_close_or_open_by_their_third() {
    let check = |spacing, variant, expected: &[u8]| {
        let keys = &build(&chord(Quality::MAJOR, spacing, 1), 0, variant)[0];
        assert_eq!(keys, expected, "{spacing:?}, {variant}");
    };

    check(Spacing::Close, 0, &[48, 55, 64]);
    check(Spacing::Close, 1, &[48, 52, 55]);
    check(Spacing::Open, 1, &[48, 64, 67]);
    check(Spacing::TwoHand, 1, &[48, 64, 67]);
}

#[test]
fn an_altered_dominant_sounds_altered() {
    for spacing in SPACINGS {
        for root in 0..12 {
            let keys = &build(&chord(Quality::ALTERED, spacing, 1), root, 0)[0];
            check_clear(keys, "7alt");
            // Root, flat ninth, third, flat thirteenth, seventh.
            assert_eq!(classes(keys, root), 0b0101_0001_0011, "{keys:?}");
        }
    }
}

#[test]
fn an_inversion_lies_on_the_tone_that_is_asked() {
    for (name, quality, expected) in qualities() {
        for number in [3, 5, 7] {
            let Some(degree) = quality.own(number) else {
                continue;
            };
            for spacing in SPACINGS {
                for root in 0..12 {
                    for variant in 0..3 {
                        let what = format!("{name} on {root} over {number}, {spacing:?}");
                        let keys = &build(&chord(quality, spacing, number), root, variant)[0];
                        check_clear(keys, &what);
                        assert_eq!(classes(keys, root), expected, "{what}: {keys:?}");
                        assert_eq!(keys[0] % 12, degree.class_over(root), "{what}: {keys:?}");
                    }
                }
            }
        }
    }
}

#[test]
fn the_root_sounds_alone_before_a_chord_where_that_is_asked() {
    let inverted = chord(Quality::MINOR_SEVENTH, Spacing::Close, 3);
    let plain = chord(Quality::MINOR_SEVENTH, Spacing::Close, 1);

    for root in 0..12 {
        for stimulus in [&inverted, &plain] {
            let sound = sound::build(stimulus, root, 0, true);
            assert_eq!(sound.strikes.len(), 2);
            assert_eq!(super::strikes(&sound)[0], [48 + root]);
            assert_eq!(sound.strikes[1].at, Time::from_ms(1000));
            assert_eq!(sound.length, Time::from_ms(3500));
        }
    }
}

#[test]
fn intervals_have_their_size_and_direction_and_lie_round_one_middle() {
    for semitones in 1..=12 {
        for motion in [Motion::Harmonic, Motion::Rising, Motion::Falling] {
            let mut twice_the_middle = 0;
            for root in 0..12 {
                let stimulus = Stimulus::Interval { semitones, motion };
                let strikes = build(&stimulus, root, 0);
                let (first, second) = match (motion, strikes.as_slice()) {
                    (Motion::Harmonic, [both]) => {
                        check_clear(both, "harmonic");
                        (both[0], both[1])
                    }
                    (_, [first, second]) => {
                        check_clear(first, "first");
                        check_clear(second, "second");
                        (first[0], second[0])
                    }
                    other => panic!("{other:?}"),
                };
                let low = first.min(second);
                assert_eq!(first.abs_diff(second), semitones);
                assert_eq!(first > second, motion == Motion::Falling);
                assert_eq!(low % 12, root);
                twice_the_middle += u32::from(first) + u32::from(second);
            }
            // 66 and a half, give or take half a semitone.
            let middle = f64::from(twice_the_middle) / 24.0;
            assert!((middle - 66.5).abs() <= 0.5, "{semitones}: {middle}");
        }
    }
}

#[test]
fn a_tension_lies_above_the_plain_dominant_that_comes_first() {
    let tensions = [
        (Degree::FlatNinth, 13),
        (Degree::Ninth, 14),
        (Degree::SharpNinth, 15),
        (Degree::SharpEleventh, 18),
        (Degree::FlatThirteenth, 20),
        (Degree::Thirteenth, 21),
    ];

    for (tension, above) in tensions {
        for root in 0..12 {
            let strikes = build(&Stimulus::Tension { tension }, root, 0);
            let bass = 48 + root;
            let plain = vec![bass, bass + 4, bass + 10];
            let mut coloured = plain.clone();
            coloured.push(bass + above);
            check_clear(&coloured, "tension");
            assert_eq!(strikes, [plain, coloured]);
        }
    }
}

#[test]
fn the_bass_of_a_root_motion_goes_the_way_that_is_named() {
    for (name, quality, expected) in qualities() {
        for up in 1..=11u8 {
            for root in 0..12 {
                let strikes = build(&Stimulus::RootMotion { quality, up }, root, 0);
                let [first, second] = strikes.as_slice() else {
                    panic!("{strikes:?}");
                };
                let what = format!("{name} on {root}, {up} up");
                check_clear(first, &what);
                check_clear(second, &what);
                let named = if up > 6 {
                    i16::from(up) - 12
                } else {
                    i16::from(up)
                };
                assert_eq!(i16::from(second[0]) - i16::from(first[0]), named, "{what}");
                assert_eq!(first[0] % 12, root, "{what}");
                // A ninth or thirteenth may not fit with both roots.
                let sounded = classes(first, root);
                let four = expected.count_ones() <= 4;
                assert_eq!(sounded & !expected, 0, "{what}");
                assert!(sounded == expected || !four, "{what}");
                assert_eq!(classes(second, root + up), sounded, "{what}");
            }
        }
    }
}

#[test]
fn one_voice_is_wrong_by_a_semitone_and_the_others_are_right() {
    for (name, quality, expected) in qualities().into_iter().filter(|of| of.2.count_ones() == 4) {
        for number in [1, 3, 5, 7] {
            let Some(degree) = quality.own(number) else {
                continue;
            };
            for root in 0..12 {
                for variant in 0..2 {
                    let what = format!("{name} on {root}, {number} wrong");
                    let voice = number;
                    let keys = &build(&Stimulus::WrongVoice { quality, voice }, root, variant)[0];
                    check_clear(keys, &what);
                    let sounded = classes(keys, root);
                    let right = 1u16 << degree.class();
                    let up = right << 1 & 0xfff | right >> 11;
                    let down = right >> 1 | right << 11 & 0xfff;
                    let others = expected & !right;

                    // The other voices are there, and beside them one a semitone off.
                    assert_eq!(sounded & others, others, "{what}: {keys:?}");
                    let wrong = sounded & !others;
                    assert!(wrong == up || wrong == down, "{what}: {keys:?}");
                    assert_eq!(keys.len(), 4);
                    // On no other root is it the printed quality.
                    for other in 0..12 {
                        assert_ne!(classes(keys, other), expected, "{what}: {keys:?}");
                    }
                    // The bass is the root unless the root itself is wrong.
                    assert_eq!(keys[0] % 12 == root, number != 1, "{what}: {keys:?}");
                }
            }
        }
    }
}

/// Each voice of the upper hand to one of the next, none left out: how far they go together.
fn moved(from: &[u8], to: &[u8]) -> u32 {
    let near = |key: u8, keys: &[u8]| {
        keys.iter()
            .map(|other| u32::from(key.abs_diff(*other)))
            .min()
            .expect("keys")
    };

    from.iter().map(|key| near(*key, to)).sum()
}

#[test]
fn a_progression_comes_after_its_tonic_smoothly_led() {
    for name in progression::names() {
        let progression = progression::named(name).expect("a name");
        for root in 0..12 {
            let placed = progression.in_key(progression.tonic(root));
            let stimulus = Stimulus::Progression {
                progression: progression.clone(),
            };
            let sound = sound::build(&stimulus, root, 0, false);
            let strikes = super::strikes(&sound);
            assert_eq!(strikes.len(), placed.len() + 1, "{name}");

            let home = if progression.is_minor() {
                0b1000_1001
            } else {
                0b1001_0001
            };
            assert_eq!(classes(&strikes[0], root), home, "{name}: {:?}", strikes[0]);
            for (keys, placed) in strikes[1..].iter().zip(&placed) {
                let of = placed.chord.root.class();
                let expected = placed.chord.quality.classes_over(0);
                assert_eq!(classes(keys, of), expected, "{name}: {keys:?}");
                assert_eq!(keys[0] % 12, of, "{name}: {keys:?}");
            }
            for keys in &strikes {
                check_clear(keys, name);
                assert!((48..60).contains(&keys[0]), "{name}: {keys:?}");
            }
            // No voice of the hand goes further than a tone to the nearest of the next chord,
            // taken all together.
            for pair in strikes.windows(2) {
                let (from, to) = (&pair[0][1..], &pair[1][1..]);
                let voices = from.len() as u32;
                assert!(moved(from, to) <= 2 * voices, "{name} on {root}: {pair:?}");
            }
            for strike in &sound.strikes[..placed.len()] {
                assert_eq!(strike.held, Time::from_ms(1000));
            }
            assert_eq!(sound.strikes[placed.len()].held, Time::from_ms(2000));
        }
    }
}

#[test]
fn a_progression_written_in_symbols_is_at_home_on_its_last_root() {
    let bars = ["Dm7 G7".to_owned(), "Cm6".to_owned()];
    let progression = Progression::parse("own", &bars).expect("bars");
    let stimulus = Stimulus::Progression { progression };

    for root in 0..12 {
        let strikes = build(&stimulus, root, 0);
        assert_eq!(classes(&strikes[0], 0), 0b1000_1001);
        assert_eq!(strikes[0][0], 48);
    }
}
