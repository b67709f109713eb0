//! What is said of devices, with devices of the tests' own.

use super::chords::Chords;
use super::*;
use crate::instruments::keyboard::{Event, Fact, Input, Kind, Preference, Touch};
use crate::instruments::playback::Output;
use crate::theory::Key;

/// Plays events, each with its milliseconds, polling every 10 ms as the verb does.
fn shown(kind: Kind, events: &[(i64, Fact)], until: i64) -> Vec<String> {
    let mut chords = Chords::new(kind);
    let mut lines = Vec::new();

    for ms in (0..=until).step_by(10) {
        for (at, fact) in events.iter().filter(|(at, _)| (ms - 9..=ms).contains(at)) {
            lines.extend(chords.take(&Event::new(Time::from_ms(*at), fact.clone())));
        }
        lines.extend(chords.settle(Time::from_ms(ms)));
    }
    lines
        .into_iter()
        .map(|line| format!("{} {}", line.at, line.text))
        .collect()
}

fn down(number: i64, velocity: u8) -> Fact {
    let key = Key::new(number).unwrap();
    Fact::Touched(Touch::Down { key, velocity })
}

fn up(number: i64) -> Fact {
    let key = Key::new(number).unwrap();
    Fact::Touched(Touch::Up { key })
}

#[test]
fn a_chord_is_one_line_with_names_velocities_and_spread() {
    let chord = [(100, down(64, 70)), (103, down(48, 81)), (112, down(70, 9))];

    assert_eq!(
        shown(Kind::Midi, &chord, 500),
        ["112.0 C3 (81)  E4 (70)  A♯4/B♭4 (9)   spread 12.0 ms"]
    );
    assert_eq!(
        shown(Kind::Computer, &chord, 500),
        ["112.0 C3 (81)  E4 (70)  A♯4/B♭4 (9)"]
    );
}

#[test]
fn each_black_key_has_both_its_names() {
    let check = |number, expected: &str| {
        let line = &shown(Kind::Midi, &[(0, down(number, 1))], 200)[0];
        assert_eq!(line, &format!("0.0 {expected} (1)"));
    };

    check(21, "A0");
    check(22, "A♯0/B♭0");
    check(60, "C4");
    check(61, "C♯4/D♭4");
    check(63, "D♯4/E♭4");
    check(66, "F♯4/G♭4");
    check(68, "G♯4/A♭4");
    check(71, "B4");
    check(108, "C8");
}

#[test]
fn a_key_released_or_late_begins_a_new_line() {
    let short = [(0, down(60, 50)), (30, up(60)), (40, down(62, 51))];
    assert_eq!(
        shown(Kind::Midi, &short, 400),
        ["0.0 C4 (50)", "40.0 D4 (51)"]
    );

    // What is still down belongs to the chord that the hands hold.
    let late = [(0, down(60, 50)), (400, down(64, 52))];
    assert_eq!(
        shown(Kind::Midi, &late, 800),
        ["0.0 C4 (50)", "400.0 C4 (50)  E4 (52)   spread 400.0 ms"]
    );

    for soon in [50, 300] {
        let again = [(0, down(60, 50)), (soon, down(60, 60))];
        assert_eq!(
            shown(Kind::Midi, &again, 800),
            ["0.0 C4 (50)".to_owned(), format!("{soon}.0 C4 (60)")]
        );
    }
}

#[test]
fn the_pedal_and_what_comes_and_goes_are_told() {
    let name = || "Stage".to_owned();
    let pedal = |value| Fact::Touched(Touch::Pedal(value));
    let lines = shown(
        Kind::Midi,
        &[
            (0, Fact::Found { name: name() }),
            (10, pedal(30)),
            (20, pedal(64)),
            (30, pedal(127)),
            (40, down(60, 50)),
            (50, Fact::Lost { name: name() }),
            (50, up(60)),
            (50, pedal(0)),
            (60, Fact::ServerGone),
        ],
        300,
    );

    assert_eq!(
        lines,
        [
            "0.0 Stage is there. Please play.",
            "20.0 Pedal down",
            "40.0 C4 (50)",
            "50.0 Stage is gone. Check its cable and its power; it is found again by itself.",
            "50.0 Pedal up",
            "60.0 This computer's MIDI service does not run. Keyboards are heard as soon as it \
             does.",
        ]
    );
}

/// What is told of inputs by these names, each with its place as id.
fn told(names: &[&str], preference: &Preference) -> (Vec<String>, String) {
    let inputs: Vec<Input> = names
        .iter()
        .enumerate()
        .map(|(place, name)| Input::new(place.to_string(), name))
        .collect();
    let mut page = Page::default();
    let chosen = keyboards::told(&mut page, &inputs, preference);

    // Folded lines are put together again.
    let text = page.take().split_whitespace().collect::<Vec<_>>().join(" ");
    (chosen, text)
}

fn asking(name: &str) -> Preference {
    Preference {
        name: Some(name.to_owned()),
        ..Preference::default()
    }
}

#[test]
fn the_choice_of_a_keyboard_is_explained() {
    let check = |names: &[&str], preference: &Preference, chosen: &[&str], words: &str| {
        let (found, text) = told(names, preference);
        assert_eq!(found, chosen, "{text}");
        assert!(text.contains(words), "{words}\n{text}");
    };
    let any = Preference::default();
    let all = Preference {
        merge: true,
        ..any.clone()
    };
    let second = Preference {
        id: Some("1".to_owned()),
        ..any.clone()
    };

    check(
        &[],
        &any,
        &[],
        "No MIDI keyboard is there. What to do: switch it on",
    );
    check(
        &["Stage"],
        &any,
        &["Stage"],
        "Stage (id 0) Played on: it is the only one there.",
    );
    check(
        &["Midi Through Port-0", "Stage"],
        &any,
        &["Stage"],
        "Midi Through Port-0 (id 0) The computer's own loop, on which nobody plays.",
    );
    check(
        &["Midi Through Port-0"],
        &any,
        &[],
        "No MIDI keyboard is there.",
    );
    check(
        &["Stage", "Upright"],
        &any,
        &[],
        "None is chosen: there are 2, and nothing says which of them is meant. What to do: write \
         the name of one as `name`",
    );
    check(
        &["Stage", "Upright"],
        &asking("up"),
        &["Upright"],
        "Stage (id 0) There, and not played on. Upright (id 1) Played on: the settings ask for \
         `up`.",
    );
    check(
        &["Stage", "Upright"],
        &second,
        &["Upright"],
        "Played on: the settings ask for the id `1`.",
    );
    check(
        &["Stage"],
        &asking("Upright"),
        &[],
        "The settings ask for `Upright`, which is not there. No other takes its place.",
    );
    check(
        &["Stage left", "Stage right"],
        &asking("stage"),
        &[],
        "None is chosen: the settings ask for `stage`, which fits several.",
    );
    check(
        &["Stage", "Upright"],
        &all,
        &["Stage", "Upright"],
        "Played on: all that fit play together, as the settings ask.",
    );
}

#[test]
fn of_the_outputs_only_those_that_could_be_meant_are_listed() {
    let outputs: Vec<Output> = [
        "alsa:default",
        "alsa:null",
        "alsa:sysdefault:CARD=PCH",
        "alsa:hw:CARD=PCH,DEV=0",
        "alsa:hdmi:CARD=HDMI,DEV=0",
        "pulseaudio:hall",
        "pulseaudio:desk",
    ]
    .into_iter()
    .map(|id| Output {
        id: id.to_owned(),
        name: id.to_owned(),
        is_default: false,
    })
    .collect();
    let check = |used: &str, expected: &[&str]| {
        let others = output::others(&outputs, used);
        let ids: Vec<_> = others.iter().map(|output| output.id.as_str()).collect();
        assert_eq!(ids, expected, "{used}");
    };

    check("pulseaudio:hall", &["pulseaudio:desk"]);
    check(
        "alsa:default",
        &["alsa:sysdefault:CARD=PCH", "alsa:hdmi:CARD=HDMI,DEV=0"],
    );
    check(
        "",
        &[
            "alsa:default",
            "alsa:sysdefault:CARD=PCH",
            "alsa:hdmi:CARD=HDMI,DEV=0",
            "pulseaudio:hall",
            "pulseaudio:desk",
        ],
    );
}

#[test]
fn silence_is_explained_and_never_called_an_error() {
    use crate::instruments::speaker::Error;

    for (silent, words) in [
        (output::Silent::NoAnswer, "does not answer"),
        (
            output::Silent::Known(Error::None),
            "No sound output is there.",
        ),
        (
            output::Silent::Known(Error::Missing {
                wanted: "Hall".to_owned(),
                found: Vec::new(),
            }),
            "The settings ask for the sound output `Hall`, which is not there.",
        ),
        (
            output::Silent::Known(Error::Refused {
                name: "Hall".to_owned(),
                reason: "it is busy".to_owned(),
            }),
            "The sound output Hall does not open. The system says: it is busy.",
        ),
        (
            output::Silent::Known(Error::Gone {
                name: "Hall".to_owned(),
            }),
            "The sound output Hall has just gone.",
        ),
    ] {
        let mut page = Page::default();
        silent.tell(&mut page);
        let text = page.take().split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(
            text.contains(words) && text.contains("What to do: "),
            "{text}"
        );
        assert!(!text.to_lowercase().contains("error"), "{text}");
    }
}

#[test]
fn a_question_that_is_never_answered_is_given_up() {
    let soon = std::time::Duration::from_millis(20);

    assert_eq!(patience::within(soon, || 1), Some(1));
    assert_eq!(
        patience::within(soon, || loop {
            std::thread::park();
        }),
        None::<()>
    );
}
