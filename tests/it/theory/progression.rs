//! Progressions in every key: roots as they are printed, numerals, bars that cannot be read.

use viva_voicing::theory::progression::{self, Placed, Progression};
use viva_voicing::theory::{Name, Quality, symbol};

use super::quality;

fn named(name: &str) -> Progression {
    progression::named(name).unwrap_or_else(|| panic!("no progression {name}"))
}

fn parse(bars: &[&str]) -> Result<Progression, progression::Error> {
    let bars: Vec<String> = bars.iter().map(|bar| (*bar).to_owned()).collect();

    Progression::parse("test", &bars)
}

fn symbols(progression: &Progression, tonic: Name) -> String {
    progression
        .in_key(tonic)
        .iter()
        .map(|placed| symbol::ascii(placed.chord))
        .collect::<Vec<_>>()
        .join(" ")
}

fn in_key(progression: &Progression, key: &str) -> String {
    symbols(progression, Name::parse(key).expect("a key"))
}

// Common practice, no source.
#[test]
fn two_five_one_is_spelled_in_every_key() {
    let check = |key: &str, expected: &str| {
        assert_eq!(in_key(&named("ii-V-I"), key), expected);
    };

    check("C", "Dm7 G7 Cmaj7");
    check("F", "Gm7 C7 Fmaj7");
    check("Bb", "Cm7 F7 Bbmaj7");
    check("Eb", "Fm7 Bb7 Ebmaj7");
    check("Ab", "Bbm7 Eb7 Abmaj7");
    check("Db", "Ebm7 Ab7 Dbmaj7");
    check("Gb", "Abm7 Db7 Gbmaj7");
    check("F#", "G#m7 C#7 F#maj7");
    check("B", "C#m7 F#7 Bmaj7");
    check("E", "F#m7 B7 Emaj7");
    check("A", "Bm7 E7 Amaj7");
    check("D", "Em7 A7 Dmaj7");
    check("G", "Am7 D7 Gmaj7");
}

// Common practice, no source.
#[test]
fn minor_two_five_one_is_spelled_in_the_usual_minor_keys() {
    let minor = named("ii-V-i");
    let check = |class: u8, expected: &str| {
        let tonic = minor.tonic(class);
        assert_eq!(symbols(&minor, tonic), expected);
    };

    assert!(minor.is_minor());
    check(0, "Dm7b5 G7b9 Cm6");
    check(5, "Gm7b5 C7b9 Fm6");
    check(10, "Cm7b5 F7b9 Bbm6");
    check(3, "Fm7b5 Bb7b9 Ebm6");
    check(8, "Bbm7b5 Eb7b9 Abm6");
    check(1, "D#m7b5 G#7b9 C#m6");
    check(6, "G#m7b5 C#7b9 F#m6");
    check(11, "C#m7b5 F#7b9 Bm6");
    check(4, "F#m7b5 B7b9 Em6");
    check(9, "Bm7b5 E7b9 Am6");
    check(2, "Em7b5 A7b9 Dm6");
    check(7, "Am7b5 D7b9 Gm6");
}

// Common practice, no source.
#[test]
fn major_keys_are_named_with_flats_and_minor_ones_as_minor_chords() {
    let keys = |progression: &Progression| {
        (0..12)
            .map(|class| progression.tonic(class).ascii())
            .collect::<Vec<_>>()
            .join(" ")
    };

    assert_eq!(keys(&named("ii-V-I")), "C Db D Eb E F Gb G Ab A Bb B");
    assert_eq!(keys(&named("ii-V-i")), "C C# D Eb E F F# G Ab A Bb B");
}

#[test]
fn a_progression_is_minor_when_every_tonic_chord_is() {
    let check = |bars: &[&str], minor: bool| {
        assert_eq!(parse(bars).expect("bars").is_minor(), minor, "{bars:?}");
    };

    check(&["IIm7b5", "V7b9", "Im6"], true);
    check(&["Im7", "IVm7", "Im7"], true);
    check(&["Imaj7", "Im7", "IVm7"], false);
    check(&["Imaj7 VIm7"], false);
    check(&["IIm7 V7"], false);
    check(&["Cm7"], false);
}

// Common practice, no source.
#[test]
fn the_cycle_of_fourths_is_printed_for_each_quality() {
    let check = |text: &str, start: u8, expected: &str| {
        let quality = quality(text);
        let roots: Vec<_> = progression::cycle_of_fourths(quality, start, 13)
            .iter()
            .map(|placed| placed.chord.root.ascii())
            .collect();
        assert_eq!(roots.join(" "), expected, "{text}");
    };

    check("7", 0, "C F Bb Eb Ab Db Gb B E A D G C");
    check("maj7", 0, "C F Bb Eb Ab Db Gb B E A D G C");
    check("m7", 0, "C F Bb Eb Ab C# F# B E A D G C");
    check("m7b5", 0, "C F Bb D# G# C# F# B E A D G C");
    check("dim7", 0, "C F Bb Eb Ab C# F# B E A D G C");
    check("7", 4, "E A D G C F Bb Eb Ab Db Gb B E");
    check("7", 16, "E A D G C F Bb Eb Ab Db Gb B E");
}

#[test]
fn a_chord_knows_its_neighbour_in_the_cycle() {
    for text in ["7", "maj7", "m7", "m7b5"] {
        let cycle = progression::cycle_of_fourths(quality(text), 0, 13);
        for pair in cycle.windows(2) {
            assert_eq!(pair[0].chord.next_in_cycle(), pair[1].chord);
        }
    }
}

#[test]
fn the_cycle_has_a_chord_a_bar() {
    for (i, placed) in progression::cycle_of_fourths(Quality::DOMINANT, 0, 30)
        .iter()
        .enumerate()
    {
        assert_eq!(placed.bar, i);
        assert_eq!(placed.at_twelfths as usize, 12 * i);
        assert_eq!(placed.twelfths, 12);
    }
}

// Common practice, no source.
#[test]
fn known_progressions_are_those_of_the_trade() {
    let check = |name: &str, key: &str, expected: &str| {
        assert_eq!(in_key(&named(name), key), expected, "{name}");
    };

    check("I-VI-ii-V", "Bb", "Bbmaj7 G7 Cm7 F7");
    check("iii-VI-ii-V", "Eb", "Gm7 C7 Fm7 Bb7");
    check("I-vi-ii-V", "C", "Cmaj7 Am7 Dm7 G7");
    check("iv-bVII-I", "C", "Fm7 Bb7 Cmaj7");
    check("ii-bII-I", "C", "Dm7 Db7 Cmaj7");
    check("ii-bII-I", "Ab", "Bbm7 A7 Abmaj7");
    check("V-vi", "E", "B7 C#m7");
    check(
        "blues",
        "F",
        "F7 Bb7 F7 F7 Bb7 Bdim7 F7 D7 Gm7 C7 F7 D7 Gm7 C7",
    );
    check(
        "blues",
        "Bb",
        "Bb7 Eb7 Bb7 Bb7 Eb7 Edim7 Bb7 G7 Cm7 F7 Bb7 G7 Cm7 F7",
    );
    assert_eq!(named("blues").bars(), 12);
    assert_eq!(named("rhythm-changes").bars(), 32);
    assert!(in_key(&named("rhythm-changes"), "Bb").starts_with("Bbmaj7 G7 Cm7 F7 Dm7 G7 Cm7 F7"));
    assert!(in_key(&named("rhythm-changes"), "Bb").contains("D7 D7 G7 G7 C7 C7 F7 F7"));
}

#[test]
fn every_name_is_known_and_stands_in_every_key() {
    for name in progression::names() {
        let progression = named(name);
        assert_eq!(progression.name, name);
        assert!(!progression.is_fixed(), "{name}");

        for class in 0..12 {
            for placed in progression.in_key(progression.tonic(class)) {
                assert!(!placed.chord.root.is_double(), "{name}");
                let tones = placed.chord.tones();
                let usual = placed.chord.quality.printed_root(placed.chord.root.class());
                let spared =
                    usual == placed.chord.root || tones.iter().all(|(_, name)| !name.is_double());
                assert!(spared, "{name}: {}", symbol::ascii(placed.chord));
            }
        }
    }

    assert_eq!(progression::named("no such"), None);
}

// Common practice, no source: chord parts are printed without double accidentals.
#[test]
fn a_root_is_respelled_where_its_chord_needs_double_accidentals() {
    let check = |bar: &str, key: &str, expected: &str| {
        assert_eq!(in_key(&parse(&[bar]).expect(bar), key), expected, "{bar}");
    };

    check("IVm7", "Gb", "Bm7");
    check("bVII7", "Gb", "E7");
    check("IV7", "Gb", "B7");
    check("IVmaj7", "Gb", "Cbmaj7");
    check("bIImaj7", "Gb", "Gmaj7");
    check("bVI7", "Gb", "D7");
    check("IVm7", "Db", "F#m7");
    check("VI7", "B", "G#7");
    check("III7", "F#", "Bb7");
    check("#IVdim7", "E", "A#dim7");
}

#[test]
fn numerals_are_read_with_their_signs_and_qualities() {
    let check = |bar: &str, expected: &str| {
        assert_eq!(in_key(&parse(&[bar]).expect(bar), "C"), expected, "{bar}");
    };

    check("I II III IV", "C D E F");
    check("V VI VII", "G A B");
    check("bII7", "Db7");
    check("♭II7", "Db7");
    check("#IVdim7", "F#dim7");
    check("♯IV°7", "F#dim7");
    check("IIm7b5", "Dm7b5");
    check("IIm7♭5 V7(♭9)", "Dm7b5 G7b9");
    check("bVII7", "Bb7");
    check("bIIImaj7", "Ebmaj7");
    check("VIIm7b5", "Bm7b5");
    check("Imaj7 VI7alt", "Cmaj7 A7alt");
    check("Im(maj7)", "Cm(maj7)");
}

#[test]
fn symbols_stand_as_they_are_written() {
    let written = parse(&["Dm7 G7", "C#m7b5/G"]).expect("symbols");

    assert!(written.is_fixed());
    assert_eq!(in_key(&written, "E"), "Dm7 G7 C#m7b5/G");
}

#[test]
fn the_chords_of_a_bar_share_it_equally() {
    let check = |bar: &str, expected: &[(u32, u32)]| {
        let placed = parse(&["I", bar]).expect(bar).in_key(Name::plain(0));
        let shares: Vec<_> = placed[1..]
            .iter()
            .map(|placed| {
                assert_eq!(placed.bar, 1);
                (placed.at_twelfths, placed.twelfths)
            })
            .collect();
        assert_eq!(shares, expected);
    };

    check("I", &[(12, 12)]);
    check("I V", &[(12, 6), (18, 6)]);
    check("I IV V", &[(12, 4), (16, 4), (20, 4)]);
    check("I  VI\tII V", &[(12, 3), (15, 3), (18, 3), (21, 3)]);
}

/// Chord, bar, start and length in twelfths of a bar.
fn places(bars: &[&str]) -> Vec<(String, usize, u32, u32)> {
    parse(bars)
        .unwrap_or_else(|error| panic!("{bars:?}: {error}"))
        .in_key(Name::plain(0))
        .iter()
        .map(|placed| {
            let Placed {
                chord,
                bar,
                at_twelfths,
                twelfths,
            } = *placed;
            (symbol::ascii(chord), bar, at_twelfths, twelfths)
        })
        .collect()
}

#[test]
fn a_percent_sign_lets_the_chord_before_go_on() {
    let check = |bars: &[&str], expected: &[(&str, usize, u32, u32)]| {
        let expected: Vec<_> = expected
            .iter()
            .map(|(symbol, bar, at, twelfths)| ((*symbol).to_owned(), *bar, *at, *twelfths))
            .collect();
        assert_eq!(places(bars), expected, "{bars:?}");
    };

    // After a bar line, for a whole bar and for more.
    check(&["I", "%"], &[("C", 0, 0, 24)]);
    check(&["I", "%", "%"], &[("C", 0, 0, 36)]);
    check(&["I", "%", "V"], &[("C", 0, 0, 24), ("G", 2, 24, 12)]);
    check(&["I V", "%"], &[("C", 0, 0, 6), ("G", 0, 6, 18)]);
    // In the middle and at the end of a bar.
    check(&["I % V"], &[("C", 0, 0, 8), ("G", 0, 8, 4)]);
    check(&["I % % V"], &[("C", 0, 0, 9), ("G", 0, 9, 3)]);
    check(&["I V %"], &[("C", 0, 0, 4), ("G", 0, 4, 8)]);
    // First in a bar that goes on with another chord.
    check(&["I", "% V"], &[("C", 0, 0, 18), ("G", 1, 18, 6)]);
    check(&["Dm7", "% G7"], &[("Dm7", 0, 0, 18), ("G7", 1, 18, 6)]);
    // The usual four bars.
    check(
        &["IIm7", "V7", "Imaj7", "%"],
        &[("Dm7", 0, 0, 12), ("G7", 1, 12, 12), ("Cmaj7", 2, 24, 24)],
    );
}

#[test]
fn a_held_bar_counts_as_a_bar_and_says_nothing_of_the_key() {
    assert_eq!(named("ii-V-I").bars(), 4);
    assert_eq!(named("ii-V-I").in_key(Name::plain(0)).len(), 3);
    assert_eq!(parse(&["I %", "% %"]).expect("bars").bars(), 2);
    assert!(!parse(&["I", "%"]).expect("bars").is_fixed());
    assert!(parse(&["Im7", "%"]).expect("bars").is_minor());
}

#[test]
fn a_bar_that_cannot_be_read_is_named() {
    let check = |bars: &[&str], expected: &str| {
        let error = parse(bars).expect_err("a bad bar");
        assert_eq!(error.to_string(), expected);
    };
    let crowded =
        |bar, count| format!("bar {bar}: expected one, two, three or four chords, found {count}");
    let unread =
        |bar, text| format!("bar {bar}: expected a chord such as `IIm7` or `Dm7`, found `{text}`");

    check(&["I", ""], &crowded(2, 0));
    check(&["   "], &crowded(1, 0));
    check(&[], &crowded(1, 0));
    check(&["I V I V I"], &crowded(1, 5));
    check(&["IIm7", "V7 X7"], &unread(2, "X7"));
    check(&["VIII7"], &unread(1, "VIII7"));
    check(&["bbII7"], &unread(1, "bbII7"));
    check(&["ii7"], &unread(1, "ii7"));
    check(&["b7"], &unread(1, "b7"));
    check(&["I7x"], &unread(1, "I7x"));
    check(&["|"], &unread(1, "|"));
    // Nothing goes on where nothing stands before.
    check(&["%"], &unread(1, "%"));
    check(&["% I"], &unread(1, "%"));
    check(&["%", "I"], &unread(1, "%"));
    check(&["I", "%%"], &unread(2, "%%"));
    check(&["I", "V%"], &unread(2, "V%"));
    check(&["I", "% % % % %"], &crowded(2, 5));
}
