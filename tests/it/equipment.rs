//! The verb `equipment` as a process: on a plain machine, and with private servers.

#[cfg(all(feature = "jack", target_os = "linux"))]
mod jack;
#[cfg(all(feature = "kiosk", target_os = "linux"))]
mod plain;
#[cfg(feature = "kiosk")]
mod pulse;

use std::fs;
use std::path::Path;
use std::process::Command;

use viva_voicing::settings::{self, Settings};

use crate::sittings::{program, said};

/// A text as it was before its lines were folded.
#[cfg(feature = "kiosk")]
fn unfolded(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// The verb in a folder, with its arguments split at blanks, where no server is to be found but
/// those of the test.
fn equipment(folder: &Path, arguments: &str) -> Command {
    let mut command = program(folder);
    let _ = command
        .arg("equipment")
        .args(arguments.split_whitespace())
        .env("JACK_NO_START_SERVER", "1");
    command
}

/// Writes a settings file.
fn settings(folder: &Path, text: &str) {
    fs::write(folder.join("room.toml"), text).unwrap();
}

#[test]
fn a_faulty_settings_file_is_refused_with_every_fault() {
    let folder = tempfile::tempdir().unwrap();
    settings(
        folder.path(),
        "[keyboard]\nnmae = \"Stage\"\n\n[sound]\nlevel = 9\n",
    );
    let output = equipment(folder.path(), "--settings room.toml").output();
    let (code, printed, complaint) = said(&output.unwrap());

    assert_eq!((code, printed.as_str()), (1, ""));
    assert_eq!(
        complaint,
        "room.toml:2:1: unknown key `nmae`\n    nmae = \"Stage\"\n    ^^^^\n  help: did you mean \
         `name`?\nroom.toml:5:9: a sitting begins at level 5 or less, found 9\n    level = 9\n\
         \u{20}           ^\n  help: write 5 or less: the program cannot know how loud that is in \
         the ear, so each candidate raises it in the level check\n"
    );

    let output = equipment(folder.path(), "--settings none.toml").output();
    let (code, printed, complaint) = said(&output.unwrap());
    assert_eq!((code, printed.as_str()), (1, ""));
    assert!(
        complaint.starts_with("none.toml: expected a file"),
        "{complaint}"
    );
}

#[cfg(not(feature = "kiosk"))]
#[test]
fn a_build_without_devices_says_how_to_get_them() {
    let folder = tempfile::tempdir().unwrap();

    for (arguments, begin) in [("", "Piano\n"), ("--listen", ""), ("--sound", "")] {
        let (code, printed, complaint) =
            said(&equipment(folder.path(), arguments).output().unwrap());
        assert_eq!(code, 1);
        assert!(printed.starts_with(begin), "{printed}");
        assert_eq!(
            complaint,
            "this build of the program has no devices: no keyboard is seen and no sound is made; \
             build it with the feature `kiosk`, which is on unless --no-default-features is given\n"
        );
    }
}

#[test]
fn the_settings_on_the_first_page_are_read() {
    let page = fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("README.md")).unwrap();
    let block = page
        .split("```toml\n")
        .skip(1)
        .filter_map(|rest| rest.split("```").next())
        .find(|block| block.contains("[keyboard]"))
        .expect("the page shows a settings file");
    let (read, found) = settings::read(settings::source(block.as_bytes()).unwrap());

    assert_eq!(found, []);
    let read = read.unwrap();
    assert!(read != Settings::default() && read.keyboard.preference.asks());
}
