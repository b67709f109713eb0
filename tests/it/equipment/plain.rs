//! A machine without a sound service and without the keyboard that is asked for.

use std::io::{BufRead, BufReader, Read};
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use super::{equipment, settings, unfolded};
use crate::sittings::said;

/// Nothing of this machine's own is found.
fn alone(folder: &Path, arguments: &str) -> Command {
    let mut command = equipment(folder, arguments);
    let _ = command
        .env("HOME", folder)
        .env("XDG_RUNTIME_DIR", folder)
        .env(
            "PULSE_SERVER",
            format!("unix:{}", folder.join("none").display()),
        )
        .env("ALSA_CONFIG_PATH", folder.join("none.conf"))
        .env("JACK_DEFAULT_SERVER", "vv-test-none");
    command
}

#[test]
fn where_all_is_missing_it_says_what_to_do() {
    let folder = tempfile::tempdir().unwrap();
    settings(
        folder.path(),
        "[keyboard]\nname = \"an instrument that nobody has\"\ncomputer = false\n[sound]\n\
         soundfont = \"pianos/none.sf2\"\n",
    );
    let begun = Instant::now();
    let output = alone(folder.path(), "--settings room.toml").output();
    let (code, printed, complaint) = said(&output.unwrap());

    assert_eq!(code, 1);
    assert_eq!(
        complaint,
        "\nA sitting cannot be held yet: there is no keyboard to play on and no sound. What to do \
         stands above.\n"
    );
    let text = unfolded(&printed);
    for words in [
        "Keyboards ",
        "What to do: ",
        "The settings do not let the computer's own keys stand in (`computer = false`).",
        "Sound No sound output is there. What to do: plug in loudspeakers or headphones, see that \
         this computer's sound service runs, and look again.",
        "Piano The bundled grand piano: all 88 keys sound, A0 to C8 (MIDI 21 to 108). The \
         SoundFont of the settings cannot be used, so this one serves in its place: \
         pianos/none.sf2: expected a file, found nothing of this name",
        "Monitoring Off: ",
    ] {
        assert!(text.contains(words), "{words}\n{printed}");
    }
    assert!(!text.to_lowercase().contains("error"), "{printed}");
    assert!(begun.elapsed() < Duration::from_secs(60));
}

#[test]
fn the_computers_own_keys_are_enough_to_play_and_sound_is_needed_all_the_same() {
    let folder = tempfile::tempdir().unwrap();
    let (code, printed, complaint) = said(&alone(folder.path(), "").output().unwrap());

    assert_eq!(code, 1);
    assert_eq!(
        complaint,
        "\nA sitting cannot be held yet: there is no sound. What to do stands above.\n"
    );
    assert!(
        unfolded(&printed).contains("The computer's own keys"),
        "{printed}"
    );
}

#[test]
fn the_level_check_cautions_before_anything_else() {
    let folder = tempfile::tempdir().unwrap();
    let (code, printed, complaint) = said(&alone(folder.path(), "--sound").output().unwrap());

    assert_eq!((code, complaint.as_str()), (1, ""));
    let text = unfolded(&printed);
    assert!(text.starts_with("Sound Mind your ears: turn"), "{printed}");
    assert!(
        text.contains("No sound output is there. What to do: "),
        "{printed}"
    );
}

#[test]
fn listening_ends_by_itself_and_says_that_nothing_was_there() {
    let folder = tempfile::tempdir().unwrap();
    settings(
        folder.path(),
        "[keyboard]\nname = \"an instrument that nobody has\"\n",
    );
    let output = alone(folder.path(), "--settings room.toml --listen --seconds 1").output();
    let (code, printed, complaint) = said(&output.unwrap());

    assert!(
        printed.contains("Listening for 1 s, or until Ctrl-C\n"),
        "{printed}"
    );
    assert_eq!(
        (code, complaint.as_str()),
        (
            1,
            "No keyboard was heard: none was there to be played on.\n"
        )
    );
}

#[test]
fn ctrl_c_ends_listening_with_nought() {
    let folder = tempfile::tempdir().unwrap();
    let mut child = alone(folder.path(), "--listen")
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .unwrap();
    let mut out = BufReader::new(child.stdout.take().unwrap());
    let mut line = String::new();

    while line != "Listening, until Ctrl-C\n" {
        line.clear();
        assert!(out.read_line(&mut line).unwrap() > 0, "it ended too soon");
    }
    let pid = child.id().to_string();
    let _ = Command::new("kill")
        .args(["-s", "INT", &pid])
        .status()
        .unwrap();
    let _ = out.read_to_string(&mut line).unwrap();
    assert_eq!(child.wait().unwrap().code(), Some(0));
}
