//! Settings files, whole and faulty.

use super::*;
use crate::exam::diagnostic::{Lines, Severity};
use crate::instruments::keyboard::Preference;
use crate::instruments::speaker::Level;
use crate::settings::look::Language;

fn good(text: &str) -> Settings {
    let (settings, found) = read(text);
    assert_eq!(found, [], "{text}");
    settings.expect("nothing is at fault")
}

/// Compares all that is found with `line:column: message (help)`.
fn faults(text: &str, expected: &[&str]) {
    let lines = Lines::new(text);
    let (settings, found) = read(text);
    let found: Vec<_> = found
        .iter()
        .map(|one| {
            assert_eq!(one.severity, Severity::Fault, "{one:?}");
            let (line, column) = lines.position(one.span.start);
            let help = one.help.as_deref().unwrap_or("?");
            format!("{line}:{column}: {} ({help})", one.message)
        })
        .collect();

    assert_eq!(found, expected, "{text}");
    assert_eq!(settings, None, "{text}");
}

#[test]
fn an_empty_file_sets_nothing() {
    for bytes in [
        &b""[..],
        b"\n\n",
        b"# nothing yet\n",
        b"[keyboard]\n[sound]\n",
    ] {
        assert_eq!(good(source(bytes).unwrap()), Settings::default());
    }
}

#[test]
fn by_default_a_sitting_is_quiet_and_unmonitored_and_can_be_played_without_midi() {
    let settings = Settings::default();

    assert!(settings.keyboard.computer);
    assert!(!settings.keyboard.preference.asks());
    assert!(!settings.sound.monitoring);
    assert_eq!(settings.sound.level, Level::START);
    assert_eq!(settings.sound.soundfont, None);
}

#[test]
fn everything_can_be_set() {
    let settings = good(
        "[keyboard]\nname = \" Stage Piano \"\nid = \"20:0\"\nmerge = true\nchannel = 16\n\
         transpose = -12\ncomputer = false\n\n[sound]\noutput = \"Hall\"\nbuffer = 512\n\
 soundfont = \"pianos/upright.sf2\"\nlevel = 5\nmonitoring = true\n\n[room]\n\
         exam = \"guide-tones.toml\"\nroster = \"class.csv\"\nform = \"2B4-01\"\nlanguage = \"de\"\n\
         text = 150\ndark = true\nwindowed = true\n\n[results]\nfolder = \"kept\"\n\
         second = \"/media/stick\"\npaper = \"letter\"\nprinter = \"Room-2\"\nprint = false\n\n[invigilator]\npin = \"$argon2id$v=19$m=8,t=1,p=1$YQ$Yg\"\n",
    );

    assert_eq!(
        settings,
        Settings {
            keyboard: Keyboard {
                preference: Preference {
                    id: Some("20:0".to_owned()),
                    name: Some("Stage Piano".to_owned()),
                    merge: true,
                    channel: Some(16),
                    transpose: -12,
                },
                computer: false,
            },
            sound: Sound {
                output: Some("Hall".to_owned()),
                buffer: Some(512),
                soundfont: Some("pianos/upright.sf2".to_owned()),
                level: LOUDEST_START,
                monitoring: true,
            },
            room: Room {
                exam: Some("guide-tones.toml".to_owned()),
                roster: Some("class.csv".to_owned()),
                form: Some("2B4-01".to_owned()),
                look: Look {
                    language: Language::German,
                    text: 150,
                    dark: true,
                    windowed: true,
                },
            },
            results: Results {
                folder: Some("kept".to_owned()),
                second: Some("/media/stick".to_owned()),
                paper: results::Paper::Letter,
                printer: Some("Room-2".to_owned()),
                print: false,
            },
            invigilator: Invigilator {
                pin: Some("$argon2id$v=19$m=8,t=1,p=1$YQ$Yg".to_owned()),
            },
        }
    );
}

#[test]
fn all_faults_are_found_at_once_and_each_says_how_to_mend_it() {
    faults(
        "[keybord]\nname = \"x\"\n\n[sound]\nbufer = 512\nlevel = -1\noutput = \"\"\nmonitoring = \"true\"\n",
        &[
            "1:2: unknown key `keybord` (did you mean `keyboard`?)",
            "5:1: unknown key `bufer` (did you mean `buffer`?)",
            "6:9: expected 0 or more, found -1 (write 0 or more)",
            "7:10: `output` is empty (leave `output` out if none is meant)",
            "8:14: expected `true` or `false`, found a text (write it without quotes: true)",
        ],
    );
    faults(
        "keyboard = 1\n[sound]\nsoundfont = \"pianos\\new.sf2\"\nbuffer = 1.5\n",
        &[
            "1:12: expected a table, found the number 1 (begin a section with the line [keyboard])",
            "3:13: `soundfont` has a line break or another control sign in it (write it on one \
             line; in a path write each backslash twice, or a slash)",
            "4:10: expected a whole number of frames, found 1.5 (write it without a fraction)",
        ],
    );
    faults(
        "[keyboard]\nchannel = 0\ntranspose = 25\nid = 20\nmerge = 1\ncomputers = true\n",
        &[
            "2:11: expected 1 to 16, found 0 (write 1 or more)",
            "3:13: expected -24 to 24 semitones, found 25 (write 24 or less)",
            "4:6: expected a text, found the number 20 (put it in quotes: \"20\")",
            "5:9: expected `true` or `false`, found the number 1 (write one of the two words, \
             without quotes)",
            "6:1: unknown key `computers` (did you mean `computer`?)",
        ],
    );
}

#[test]
fn no_file_begins_loud() {
    assert_eq!(good("sound.level = 0").sound.level, Level::SILENT);
    assert_eq!(good("sound = { level = 5 }").sound.level, LOUDEST_START);
    assert_eq!(LOUDEST_START.db(), Some(-20.0));
    for step in [6, 10, 11, i64::MAX] {
        faults(
            &format!("[sound]\nlevel = {step}\n"),
            &[&format!(
                "2:9: a sitting begins at level 5 or less, found {step} (write 5 or less: the \
                 program cannot know how loud that is in the ear, so each candidate raises it in \
                 the level check)"
            )],
        );
    }
}

#[test]
fn merging_one_input_is_a_warning() {
    let (settings, found) = read("[keyboard]\nid = \"20:0\"\nmerge = true\n");

    assert!(settings.is_some());
    assert_eq!(found.len(), 1);
    assert_eq!(found[0].severity, Severity::Warning);
    for fine in [
        "id = \"20:0\"\nname = \"Stage\"\n",
        "name = \"Stage\"\n",
        "",
    ] {
        let _ = good(&format!("[keyboard]\n{fine}merge = true\n"));
    }
}

#[test]
fn bytes_that_are_no_text_are_refused() {
    assert!(source(b"\xff\xfea\0").is_err());
    assert!(source(b"[sound]\noutput = \"\xe9\"").is_err());
    assert_eq!(source("\u{feff}[sound]".as_bytes()), Ok("[sound]"));
}

#[test]
fn a_room_has_its_bounds_and_its_pin_is_never_plain() {
    faults(
        "[room]\ntext = 90\nlanguage = \"fr\"\nexams = \"x\"\n[results]\nfolder = \"a\"\nsecond = \"a\"\n\
         [invigilator]\npin = \"2468\"\n",
        &[
            "2:8: expected 100 to 200 percent, found 90 (write 100 or more)",
            "3:12: expected one of `en`, `de`, found `fr` (copy it letter by letter)",
            "4:1: unknown key `exams` (did you mean `exam`?)",
            "7:10: `second` is the same place as `folder` (name a folder on another disk, or leave \
             it out)",
            "9:7: expected the hash of a PIN, which begins with `$argon2id$` (take the line out: \
             the kiosk asks for a new PIN and writes its hash)",
        ],
    );
}

#[test]
fn sheets_are_a4_on_the_usual_printer_and_the_candidate_may_print_theirs() {
    for text in ["", "[results]\nfolder = \"kept\"\n"] {
        let results = good(text).results;
        assert_eq!(results.paper, results::Paper::A4, "{text}");
        assert_eq!(results.printer, None, "{text}");
        assert!(results.print, "{text}");
    }
    faults(
        "[results]\npaper = \"A3\"\nprinter = \"\"\nprint = \"no\"\n",
        &[
            "2:9: expected one of `a4`, `letter`, found `A3` (did you mean `a4`?)",
            "3:11: `printer` is empty (leave `printer` out if none is meant)",
            "4:9: expected `true` or `false`, found a text (write one of the two words, without \
             quotes)",
        ],
    );
}

#[test]
fn a_pin_is_added_and_nothing_that_a_person_wrote_is_changed() {
    let hash = "$argon2id$v=19$m=8,t=1,p=1$YQ$Yg";
    let pin = format!("pin = \"{hash}\"\n");
    let check = |before: &str, after: Option<String>| {
        assert_eq!(invigilator::with_pin(before, hash), after, "{before}");
    };

    check("", Some(format!("[invigilator]\n{pin}")));
    check(
        "# Room 2\n[sound]\nlevel = 2  # soft",
        Some(format!(
            "# Room 2\n[sound]\nlevel = 2  # soft\n\n[invigilator]\n{pin}"
        )),
    );
    check(
        "[invigilator] # Jo\n[sound]\nlevel=2\n",
        Some(format!("[invigilator] # Jo\n{pin}[sound]\nlevel=2\n")),
    );
    check(&format!("[invigilator]\n{pin}"), None);
    check("invigilator = {}\n", None);
    check("[sound]\nlevel = 99\n", None);
}
