//! Puts a kiosk together and opens its window.

use std::path::Path;

use super::super::{End, Fault, load, room};
use super::desk::Disk;
use super::{Arguments, Language, roster};
use crate::exam::read;
use crate::instruments::midi;
use crate::instruments::playback::{Playback, Setup as Output};
use crate::kiosk::model::{Kiosk, Setup};
use crate::kiosk::shelf::Shelved;
use crate::kiosk::window::{self, Look};
use crate::kiosk::words::{ENGLISH, GERMAN};

/// The bundled exams, by their names.
const BUNDLED: [(&str, &str); 1] = [(
    "guide-tones",
    include_str!("../../../exams/guide-tones.toml"),
)];

pub(super) fn run(arguments: &Arguments) -> Result<End, Fault> {
    let room = room::Room::open(arguments.settings.as_deref())?;
    let shelf = match &arguments.exam {
        Some(path) => vec![named(path)?],
        None => bundled()?,
    };
    let roster = match &arguments.roster {
        Some(path) => roster::read(path)?,
        None => Vec::new(),
    };
    let loaded = room.piano()?;
    if let Some(why) = &loaded.refused {
        super::super::complain(why);
    }
    let sound = &room.settings.sound;
    let setup = Setup {
        set: arguments.exam.as_ref().map(|_| 0),
        shelf,
        roster,
        code: load::code(arguments.form.as_deref())?,
        words: match arguments.language {
            Language::En => &ENGLISH,
            Language::De => &GERMAN,
        },
        level: sound.level,
        computer: room.settings.keyboard.computer,
        monitoring: sound.monitoring,
        program: env!("CARGO_PKG_VERSION").to_owned(),
    };
    let output = Output {
        output: sound.output.clone(),
        buffer: sound.buffer,
        ..Output::default()
    };
    let keyboard = midi::Keyboard::follow(room.settings.keyboard.preference.clone())?;
    let desk = Disk::new(&arguments.results);
    let look = Look {
        windowed: arguments.windowed,
        enlarged: f32::from(arguments.text) / 100.0,
        dark: arguments.dark,
    };
    let open = move || {
        // The output is looked for while the cover is read.
        let speaker = Playback::absent(output);
        Kiosk::new(
            setup,
            Box::new(desk),
            loaded.piano,
            Box::new(keyboard),
            Box::new(speaker),
        )
    };

    if cfg!(target_os = "linux")
        && ["DISPLAY", "WAYLAND_DISPLAY"]
            .iter()
            .all(|name| std::env::var_os(name).is_none())
    {
        return Err(Fault::new(
            "there is no screen here; open the kiosk where there is one",
        ));
    }
    window::run(open, look).map_err(|error| {
        Fault::new(format_args!(
            "the window can't be opened: {error}; open it where there is a screen"
        ))
    })?;
    Ok(End::Fine)
}

fn named(path: &Path) -> Result<Shelved, Fault> {
    let (exam, script) = load::exam(path)?;

    Ok(Shelved {
        exam,
        digest: load::digest(&script),
        script,
    })
}

fn bundled() -> Result<Vec<Shelved>, Fault> {
    BUNDLED
        .iter()
        .map(|(name, script)| {
            let (exam, _) = read::read(script, name);
            let exam =
                exam.ok_or_else(|| Fault::new(format_args!("the bundled exam {name} has faults")))?;
            Ok(Shelved {
                exam,
                digest: load::digest(script),
                script: (*script).to_owned(),
            })
        })
        .collect()
}
