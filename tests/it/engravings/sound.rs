//! Whatever notes there are, nothing touches what it may not, nothing lacks, nothing leaves the box.

use std::collections::BTreeMap;

use proptest::prelude::*;
use viva_voicing::engraving::cluster::Cluster;
use viva_voicing::engraving::font::{self, Segment};
use viva_voicing::engraving::grand::{self, Hands};
use viva_voicing::engraving::line::{self, Line};
use viva_voicing::engraving::staff::{self, Clef, Options};
use viva_voicing::engraving::symbol::{self, Setting};
use viva_voicing::engraving::{Drawing, Face, Glyph, Ink, Mark, Point, words};
use viva_voicing::theory::pitch::{Key, Letter, Pitch};
use viva_voicing::theory::progression::Placed;
use viva_voicing::theory::symbol::{House, Style};
use viva_voicing::theory::{Chord, Degree, Name, Quality};

const LETTERS: [Letter; 7] = [
    Letter::C,
    Letter::D,
    Letter::E,
    Letter::F,
    Letter::G,
    Letter::A,
    Letter::B,
];

fn a_name() -> impl Strategy<Value = Name> {
    (0..7usize, -3..=3i8)
        .prop_filter_map("a name", |(letter, sign)| Name::new(LETTERS[letter], sign))
}

/// A spelled note of the piano.
fn a_pitch() -> impl Strategy<Value = Pitch> {
    (21..=108i64, a_name()).prop_filter_map("a spelled key", |(number, name)| {
        let key = (number / 12) * 12 + i64::from(name.class());
        Pitch::new(name, Key::new(key).ok()?)
    })
}

/// Notes within about two octaves, mostly, as hands have them.
fn a_hand() -> impl Strategy<Value = Vec<Pitch>> {
    let near = (1..8i64).prop_flat_map(|octave| {
        let note = (0..26i64, a_name()).prop_filter_map("a spelled key", move |(above, name)| {
            let key = (octave + 1 + above / 12) * 12 + i64::from(name.class());
            Pitch::new(name, Key::new(key).ok().filter(|key| key.number() <= 108)?)
        });
        prop::collection::vec(note, 0..7)
    });

    prop_oneof![4 => near, 1 => prop::collection::vec(a_pitch(), 0..6)]
}

/// The ink of a sign line by line, by the outline itself: fortieths of a staff space with the
/// left and right end on each.
fn ink(glyph: Glyph, x: f32, y: f32) -> Vec<(i32, f32, f32)> {
    const LINES: f32 = 40.0;
    let mut at = Point::new(0.0, 0.0);
    let mut start = at;
    let mut points: Vec<Point> = Vec::new();
    let mut pull = |from: Point, to: Point| {
        for cut in 0..=24 {
            let share = cut as f32 / 24.0;
            points.push(Point::new(
                x + (from.x + (to.x - from.x) * share) * 4.0,
                y + (from.y + (to.y - from.y) * share) * 4.0,
            ));
        }
    };

    for segment in font::outline(Face::Music, glyph.codepoint()).unwrap() {
        match segment {
            Segment::Move(to) => {
                start = to;
                at = to;
            }
            Segment::Line(to) => {
                pull(at, to);
                at = to;
            }
            Segment::Curve(a, b, to) => {
                let mut from = at;
                for cut in 1..=8 {
                    let (t, u) = (cut as f32 / 8.0, 1.0 - cut as f32 / 8.0);
                    let mix = |p: f32, q: f32, r: f32, s: f32| {
                        u * u * u * p + 3.0 * u * u * t * q + 3.0 * u * t * t * r + t * t * t * s
                    };
                    let next = Point::new(mix(at.x, a.x, b.x, to.x), mix(at.y, a.y, b.y, to.y));
                    pull(from, next);
                    from = next;
                }
                at = to;
            }
            Segment::Close => {
                pull(at, start);
                at = start;
            }
        }
    }
    let mut lines: BTreeMap<i32, (f32, f32)> = BTreeMap::new();
    for point in points {
        let number = (point.y * LINES).floor() as i32;
        let line = lines.entry(number).or_insert((point.x, point.x));
        *line = (line.0.min(point.x), line.1.max(point.x));
    }
    lines
        .into_iter()
        .map(|(number, (left, right))| (number, left, right))
        .collect()
}

fn overlap(one: &[(i32, f32, f32)], other: &[(i32, f32, f32)]) -> bool {
    one.iter()
        .any(|a| other.iter().any(|b| a.0 == b.0 && a.1 < b.2 && b.1 < a.2))
}

fn check_cluster(pitches: &[Pitch], clef: Clef) {
    let cluster = Cluster::new(pitches, clef, &[]);
    let width = Glyph::NoteheadWhole.bounds().right * 4.0;
    let says = || format!("{clef:?} {}", words::pitches(pitches));

    // Each note once, on the step of its letter and octave.
    for pitch in pitches {
        let own: Vec<_> = cluster
            .heads
            .iter()
            .filter(|head| head.pitch == *pitch)
            .collect();
        assert_eq!(own.len(), 1, "{}", says());
        assert_eq!(
            own[0].step + 7 * cluster.octaves,
            clef.step(*pitch),
            "{}",
            says()
        );
    }
    // Heads of one column do not touch; columns stand side by side.
    for (index, head) in cluster.heads.iter().enumerate() {
        for other in &cluster.heads[..index] {
            let apart = (head.step - other.step).abs() >= 2;
            assert!(
                apart || (head.x - other.x).abs() > width - 0.2,
                "{}: heads touch",
                says()
            );
        }
        let lone = cluster
            .heads
            .iter()
            .all(|other| other == head || (other.step - head.step).abs() >= 2);
        assert!(!lone || head.column == 0, "{}: displaced alone", says());
    }
    // Every note with an accidental has its sign, drawn clear of signs and heads.
    let signs: Vec<_> = cluster
        .signs
        .iter()
        .map(|sign| ink(sign.glyph, sign.x, staff::y(cluster.heads[sign.head].step)))
        .collect();
    for (index, sign) in signs.iter().enumerate() {
        for other in &signs[..index] {
            assert!(!overlap(sign, other), "{}: accidentals touch", says());
        }
        for head in &cluster.heads {
            let head = ink(Glyph::NoteheadWhole, head.x, staff::y(head.step));
            assert!(!overlap(sign, &head), "{}: an accidental on a head", says());
        }
    }
    for (index, head) in cluster.heads.iter().enumerate() {
        let own = cluster.signs.iter().find(|sign| sign.head == index);
        let accidental = head.pitch.name.accidental();
        assert!(accidental == 0 || own.is_some(), "{}: a sign lacks", says());
        if let Some(sign) = own {
            assert_eq!(sign.glyph, Glyph::accidental(accidental), "{}", says());
        }
    }
    check_ledgers(&cluster, width, &says());
}

fn check_ledgers(cluster: &Cluster, width: f32, says: &str) {
    // From the staff out to each head there is a line on every second step, wide enough for it.
    for head in &cluster.heads {
        let needed = (10..=head.step)
            .step_by(2)
            .chain((head.step..=-2).filter(|s| s % 2 == 0));
        for step in needed {
            let found = cluster.ledgers.iter().any(|ledger| {
                ledger.step == step && ledger.left < head.x && ledger.right > head.x + width
            });
            assert!(found, "{says}: no ledger line on {step}");
        }
    }
    for ledger in &cluster.ledgers {
        let beyond = cluster.heads.iter().any(|head| {
            (ledger.step > 8 && head.step >= ledger.step)
                || (ledger.step < 0 && head.step <= ledger.step)
        });
        assert!(beyond, "{says}: a ledger line for nobody");
        assert_eq!(ledger.step % 2, 0, "{says}");
    }
    // A ledger line does not run into an accidental.
    for sign in &cluster.signs {
        let step = cluster.heads[sign.head].step;
        let sign = ink(sign.glyph, sign.x, staff::y(step));
        for ledger in &cluster.ledgers {
            let line = (staff::y(ledger.step) * 40.0).floor() as i32;
            assert!(
                !overlap(&sign, &[(line, ledger.left, ledger.right)]),
                "{says}: a ledger line through an accidental"
            );
        }
    }
}

fn check_box(drawing: &Drawing) {
    const EDGE: f32 = 0.002;
    assert!(!drawing.words.is_empty());

    for mark in &drawing.marks {
        let bounds = mark.bounds();
        assert!(
            bounds.left >= -EDGE
                && bounds.top >= -EDGE
                && bounds.right <= drawing.width + EDGE
                && bounds.bottom <= drawing.height + EDGE,
            "{mark:?} leaves {} × {}: {}",
            drawing.width,
            drawing.height,
            drawing.words
        );
    }
}

/// The boxes of signs of the music font, by name.
fn boxes(
    drawing: &Drawing,
    wanted: impl Fn(Glyph) -> bool,
) -> Vec<viva_voicing::engraving::Bounds> {
    drawing
        .marks
        .iter()
        .filter(|mark| matches!(mark, Mark::Glyph { glyph, .. } if wanted(*glyph)))
        .map(Mark::bounds)
        .collect()
}

/// The symbols of each system follow one another and stay over their staff.
fn check_symbols(engraved: &line::Engraved) {
    let mut tops: Vec<f32> = engraved.bars.iter().map(|bar| bar.top).collect();
    tops.dedup();
    let mut above = f32::MIN;

    for top in tops {
        let mut over: Vec<_> = engraved
            .drawing
            .marks
            .iter()
            .filter(|mark| match mark {
                Mark::Glyph { glyph, at, .. } => {
                    *glyph >= Glyph::SymbolDiminished && at.y > above && at.y < top
                }
                Mark::Text { text, at, .. } => {
                    text != "now" && !text.starts_with('=') && at.y > above && at.y < top
                }
                _ => false,
            })
            .map(Mark::bounds)
            .collect();
        over.sort_by(|one, other| one.left.total_cmp(&other.left));
        for two in over.windows(2) {
            // An A's flat stands over its shoulder.
            let shoulder = 0.09 * (two[0].bottom - two[0].top);
            assert!(
                two[0].right <= two[1].left + shoulder,
                "symbols touch: {two:?} in {}",
                engraved.drawing.words
            );
        }
        above = top;
    }
}

fn a_chord() -> impl Strategy<Value = Chord> {
    let degrees = prop::sample::subsequence(Degree::ALL.to_vec(), 2..6);
    let bass = prop::option::weighted(0.2, a_name());

    (a_name(), degrees, bass).prop_map(|(root, degrees, bass)| Chord {
        bass,
        ..Chord::new(root, Quality::of(&degrees))
    })
}

fn a_style() -> impl Strategy<Value = Style> {
    let house = prop::sample::select(vec![House::Lower, House::Capital, House::Signs]);

    (house, any::<bool>()).prop_map(|(house, slashed)| Style { house, slashed })
}

fn cases(cases: u32) -> ProptestConfig {
    ProptestConfig {
        failure_persistence: None,
        ..ProptestConfig::with_cases(cases)
    }
}

proptest! {
    #![proptest_config(cases(128))]

    #[test]
    fn a_chord_of_any_notes_is_sound(notes in a_hand()) {
        check_cluster(&notes, Clef::Treble);
        check_cluster(&notes, Clef::Bass);
    }

    #[test]
    fn few_ledger_lines_are_needed(octave in 0..8i64, above in prop::collection::vec(0..16i64, 1..5)) {
        let pitches: Vec<Pitch> = above
            .iter()
            .filter_map(|above| Key::new(12 * (octave + 1) + above).ok())
            .filter(|key| (21..=108).contains(&key.number()))
            .filter_map(|key| Pitch::new(Name::plain(key.class()), key))
            .collect();

        for clef in [Clef::Treble, Clef::Bass] {
            for head in Cluster::new(&pitches, clef, &[]).heads {
                prop_assert!(staff::ledgers(head.step) <= 3 || octave > 5, "{head:?}");
            }
        }
    }

    #[test]
    fn a_grand_staff_of_any_notes_stays_in_its_box(
        left in a_hand(),
        right in a_hand(),
        width in 8.0..90.0f32,
        axis in prop::option::of(0.0..60.0f32),
    ) {
        let hands = Hands::new(&left, &right);
        let options = Options { width, axis, lines: Ink::Quiet };
        let drawing = grand::layout(&hands, &options);

        check_box(&drawing);
        for pitch in left.iter().chain(&right) {
            prop_assert!(drawing.words.contains(&words::pitch(*pitch)));
        }
        // No note stands in a clef.
        let clefs = boxes(&drawing, |glyph| matches!(glyph, Glyph::GClef | Glyph::FClef));
        let notes = boxes(&drawing, |glyph| {
            glyph == Glyph::NoteheadWhole || (-3..=3).any(|sign| Glyph::accidental(sign) == glyph)
        });
        for clef in &clefs {
            for note in &notes {
                prop_assert!(clef.right < note.left);
            }
        }
    }

    #[test]
    fn a_symbol_of_any_chord_stays_in_its_box(
        chord in a_chord(),
        style in a_style(),
        bold in any::<bool>(),
    ) {
        let setting = Setting { bold, ..Setting::new(style, 10.0) };
        let drawing = symbol::layout(chord, setting);

        check_box(&drawing);
        prop_assert!((drawing.height - 10.4).abs() < 0.01, "{}", drawing.height);
        // Marks follow one another: none begins before the one before it, but for an A's shoulder.
        let lefts: Vec<f32> = drawing.marks.iter().map(|mark| mark.bounds().left).collect();
        prop_assert!(lefts.windows(2).all(|two| two[0] < two[1]), "{lefts:?}");
    }

}

proptest! {
    #![proptest_config(cases(32))]

    #[test]
    fn a_line_of_any_notes_keeps_its_systems_apart(
        hands in prop::collection::vec((a_hand(), a_hand()), 1..9),
        width in 30.0..120.0f32,
    ) {
        let hands: Vec<Hands> = hands
            .iter()
            .map(|(left, right)| Hands::new(left, right))
            .collect();
        let placed: Vec<Placed> = (0..hands.len() as u32)
            .map(|index| Placed {
                chord: Chord::new(Name::plain(index as u8), Quality::DOMINANT),
                bar: index as usize / 2,
                at_twelfths: 6 * index,
                twelfths: 6,
            })
            .collect();
        let bars = hands.len().div_ceil(2);
        let engraved = line::layout(&Line {
            chords: &placed,
            hands: &hands,
            bars,
            beats: 4,
            signature: 0,
            tempo: None,
            style: Style::DEFAULT,
            symbol: 4.0,
            width,
            current: None,
        });

        check_box(&engraved.drawing);
        check_symbols(&engraved);
        // Symbols lie over the notes, and the next system's under them.
        let heads = boxes(&engraved.drawing, |glyph| glyph == Glyph::NoteheadWhole);
        let symbols: Vec<_> = engraved
            .drawing
            .marks
            .iter()
            .filter(|mark| matches!(mark, Mark::Text { .. }))
            .map(Mark::bounds)
            .collect();
        for head in &heads {
            for symbol in &symbols {
                let apart = head.top >= symbol.bottom - 1.2 || head.bottom <= symbol.top;
                prop_assert!(apart, "{head:?} {symbol:?}");
            }
        }
    }

    #[test]
    fn a_line_of_any_chords_stays_in_its_box(
        chords in prop::collection::vec((a_chord(), any::<bool>()), 1..20),
        style in a_style(),
        width in 30.0..120.0f32,
        signature in -7..=7i8,
        current in prop::option::of(0..20usize),
    ) {
        let placed: Vec<Placed> = chords
            .iter()
            .enumerate()
            .flat_map(|(bar, (chord, twice))| {
                let twelfths = if *twice { 6 } else { 12 };
                (0..12 / twelfths).map(move |half| Placed {
                    chord: *chord,
                    bar,
                    at_twelfths: 12 * bar as u32 + half * twelfths,
                    twelfths,
                })
            })
            .collect();
        let engraved = line::layout(&Line {
            chords: &placed,
            hands: &[],
            bars: chords.len(),
            beats: 4,
            signature,
            tempo: Some(120),
            style,
            symbol: 7.0,
            width,
            current: current.map(|bar| (bar, "now")),
        });

        check_box(&engraved.drawing);
        prop_assert_eq!(engraved.bars.len(), chords.len());
        for two in engraved.bars.windows(2) {
            prop_assert!(two[0].right <= two[1].left + 0.01 || two[0].bottom < two[1].top);
        }
        check_symbols(&engraved);
        let slashes = boxes(&engraved.drawing, |glyph| glyph == Glyph::NoteheadSlash);
        prop_assert_eq!(slashes.len(), 4 * chords.len());
    }
}
