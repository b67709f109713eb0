//! Guide-tone voicings against the reference table, and the properties of every voicing.

use viva_voicing::theory::voicing::{Hands, Register, form, spelled};
use viva_voicing::theory::{Chord, Degree, Name, Voicing, symbol};

use super::{asked, chord, degrees, keys, numbers, quality_in_table, table};

fn names(chord: Chord, hand: &[Degree]) -> String {
    hand.iter()
        .map(|degree| chord.name(*degree).expect("the table spells it").ascii())
        .collect::<Vec<_>>()
        .join(" ")
}

// Common practice, no source; intervals verified with music21 10.5.1.
#[test]
fn guide_tones_are_those_of_the_reference_table() {
    let mut crossed = 0;

    for row in table("shell_voicings", 312) {
        let root = Name::parse(row.get("root")).expect("a root");
        let chord = Chord::new(root, quality_in_table(row.get("quality")));
        let order = row.get("form").replace('_', " ");
        let voicing = asked("guide-tones", &order, chord);
        let text = format!("{} {order}", symbol::ascii(chord));

        assert_eq!(names(chord, &voicing.hands.left), row.get("lh"), "{text}");
        assert_eq!(names(chord, &voicing.hands.right), row.get("rh"), "{text}");

        let mut played = row.numbers::<u8>("lh_midi");
        played.extend(row.numbers::<u8>("rh_midi"));
        let played = keys(&played);
        let classes: Vec<u8> = played.iter().map(|key| key.class()).collect();
        let expected: Vec<u8> = voicing
            .hands
            .degrees()
            .map(|degree| degree.class_over(root.class()))
            .collect();
        assert_eq!(classes, expected, "{text}");

        // One row has the fourth of B7sus4 below the fifth: its hands cross, which no voicing may.
        if played[1] > played[2] {
            assert_eq!(text, "B7sus4 seventh on top");
            assert!(!voicing.lies_well(&played, 2, true), "{text}");
            crossed += 1;
        } else {
            assert!(voicing.lies_well(&played, 2, true), "{text}");
            assert!(voicing.placements(root.class()).contains(&played), "{text}");
        }

        let size: u8 = row.number("rh_interval_semitones");
        for placed in voicing.placements(root.class()) {
            assert_eq!(placed[3].number() - placed[2].number(), size, "{text}");
        }
    }

    assert_eq!(crossed, 1);
}

// Common practice, no source: the guide tones of a dominant are those of its tritone substitute,
// exchanged.
#[test]
fn a_tritone_substitute_has_the_guide_tones_of_the_chord_exchanged() {
    for root in 0..12 {
        let written = Chord::new(Name::plain(root), quality_in_table("7"));
        let substitute = Chord::new(Name::plain((root + 6) % 12), quality_in_table("7"));

        for (order, other) in [
            ("third on top", "seventh on top"),
            ("seventh on top", "third on top"),
        ] {
            let voicing = asked("tritone-substitute", order, written);
            let plain = asked("guide-tones", other, substitute);
            let classes = |voicing: &Voicing, root: u8| {
                voicing
                    .hands
                    .degrees()
                    .map(|degree| degree.class_over(root))
                    .collect::<Vec<_>>()
            };

            assert_eq!(classes(&voicing, root), classes(&plain, (root + 6) % 12));
            assert_eq!(voicing.bass(written), Some(Degree::FlatFifth));
        }
    }
}

#[test]
fn the_lowest_degree_is_told_where_it_matters() {
    let check = |form: &str, order: &str, symbol: &str, expected: Option<Degree>| {
        let chord = chord(symbol);
        let voicing = asked(form, order, chord);
        assert_eq!(voicing.bass(chord), expected, "{form}, {order}, {symbol}");
    };

    check("guide-tones", "third on top", "C7", Some(Degree::Root));
    check("guide-tones", "third on top", "C7/E", Some(Degree::Third));
    check(
        "guide-tones",
        "third on top",
        "C7/F#",
        Some(Degree::SharpFourth),
    );
    check("shell", "third on top", "Cm7", Some(Degree::Root));
    check("rootless", "third at the bottom", "C7", None);
    check("rootless", "seventh at the bottom", "Cm7b5", None);
    check("drop-2", "seventh on top", "Cm7b5", None);
    check("drop-2", "third on top", "Cm7b5", Some(Degree::Root));
    check("upper-structure", "two", "C7", None);
}

#[test]
fn what_is_optional_may_be_left_out_of_every_alternative() {
    let mut voicing = Voicing::new(Hands {
        left: degrees("1 5"),
        right: degrees("7 3"),
    });
    voicing.equal.push(Hands {
        left: degrees("1"),
        right: degrees("5 7 3"),
    });
    voicing.optional.push(Degree::Fifth);

    let all: Vec<(usize, usize)> = voicing
        .alternatives()
        .iter()
        .map(|hands| (hands.left.len(), hands.right.len()))
        .collect();
    // Both equal answers become the same one without their fifth.
    assert_eq!(all, [(2, 2), (1, 3), (1, 2)]);
}

#[test]
fn hands_that_cross_or_stretch_do_not_lie_well() {
    let voicing = Voicing::new(Hands {
        left: degrees("1 5"),
        right: degrees("3 7"),
    });
    let check = |played: &[u8], well: bool| {
        assert_eq!(
            voicing.lies_well(&keys(played), 2, true),
            well,
            "{played:?}"
        );
    };

    check(&[36, 43, 52, 58], true);
    check(&[36, 43, 76, 82], false);
    check(&[33, 40, 56, 62], false);
    check(&[36, 55, 64, 70], false);
    check(&[43, 36, 58, 52], false);

    let mut joined = voicing.clone();
    joined.joined = true;
    joined.register = Register::ANYWHERE;
    assert!(joined.lies_well(&keys(&[36, 43, 52, 58]), 2, true));
    assert!(!joined.lies_well(&keys(&[36, 43, 64, 70]), 2, true));
    assert!(!joined.lies_well(&keys(&[48, 55, 52, 58]), 2, true));

    let mut open = voicing;
    open.open = true;
    open.span = 24;
    assert!(open.lies_well(&keys(&[36, 55, 64, 70]), 2, true));
}

#[test]
fn keys_are_spelled_as_the_chord_spells_them() {
    let spelled: Vec<String> = spelled(chord("Ab7"), &keys(&[44, 51, 54, 60]))
        .iter()
        .map(ToString::to_string)
        .collect();

    assert_eq!(spelled, ["A♭2", "E♭3", "G♭3", "C4"]);
}

#[test]
fn forms_and_orders_have_names_of_their_own_and_words() {
    for (i, form) in form::all().iter().enumerate() {
        assert_eq!(
            form::named(&form.name).map(|form| &form.orders),
            Some(&form.orders)
        );
        assert!(form::all()[..i].iter().all(|other| other.name != form.name));

        for (k, order) in form.orders.iter().enumerate() {
            assert_eq!(form.order(&order.name), Some(k), "{}", form.name);
            assert!(!order.words.is_empty(), "{}, {}", form.name, order.name);
            assert!(!order.words.ends_with('.'));
        }
    }

    assert_eq!(form::named("no such"), None);
}

#[test]
fn what_realises_a_voicing_matches_it() {
    for form in form::all() {
        for order in 0..form.orders.len() {
            for class in 0..12 {
                for name in [
                    "maj7", "7", "m7", "m7b5", "dim7", "6", "7sus4", "7b9", "7alt",
                ] {
                    let quality = quality_in_table(name);
                    let chord = Chord::new(quality.printed_root(class), quality);
                    let Ok(voicing) = form.voicing(chord, order) else {
                        continue;
                    };
                    let Some(played) = voicing.realise(class) else {
                        continue;
                    };
                    let classes: Vec<u8> = played.iter().map(|key| key.class()).collect();
                    let expected: Vec<u8> = voicing
                        .hands
                        .degrees()
                        .map(|degree| degree.class_over(class))
                        .collect();

                    assert_eq!(classes, expected, "{} on {chord:?}", form.name);
                    assert!(voicing.lies_well(&played, voicing.hands.left.len(), true));
                    assert!(numbers(&played).windows(2).all(|pair| pair[0] < pair[1]));
                }
            }
        }
    }
}

#[test]
fn whether_a_voicing_has_a_place_is_told_without_placing_it() {
    use viva_voicing::theory::{leading, voicing::form};

    let qualities = [
        "maj7", "7", "m7", "m7b5", "dim7", "6", "m9", "13", "7alt", "sus4",
    ];
    let mut told = [0; 2];

    for form in form::all() {
        for (order, quality) in
            (0..form.orders.len()).flat_map(|order| qualities.map(|quality| (order, quality)))
        {
            let quality = symbol::parse_quality(quality).unwrap();
            for (root, span) in (0..12).flat_map(|root| [7, 11, 12, 15].map(|span| (root, span))) {
                let chord = Chord::new(quality.printed_root(root), quality);
                let Ok(asked) = form.voicing(chord, order) else {
                    continue;
                };
                let mut asked = Voicing { span, ..asked };
                // A narrow register leaves some roots without a place.
                if span == 11 {
                    asked.register.top = 60..=66;
                }
                let placed = !asked.placements(root).is_empty();
                assert_eq!(
                    asked.has_place(root),
                    placed,
                    "{} {order} {chord:?}",
                    form.name
                );
                let led = leading::line(&[(root, &asked)]).is_some();
                assert_eq!(leading::has_place(&asked, root, true), led);
                told[usize::from(placed)] += 1;
            }
        }
    }

    assert!(told.iter().all(|count| *count > 100), "{told:?}");
}
