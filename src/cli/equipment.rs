//! `equipment`: what a room is played on and heard by, and what to do where something is missing.

#[cfg(feature = "kiosk")]
mod devices;
mod page;
#[cfg(test)]
mod tests;

#[cfg(feature = "kiosk")]
pub(super) use devices::once;

use std::path::PathBuf;

use clap::Args;

use self::page::Page;
use super::settings::{Loaded, Opened};
use super::{End, Fault};
use crate::theory::Key;

/// Say what keyboards and sound outputs are there, and what to do where one is missing
///
/// Tells which keyboard would be played on and why, which sound output is used and how late it is,
/// and which piano sounds. Ends with 0 where a sitting could be held, and with 1 where something
/// needed is missing.
#[derive(Debug, Args)]
pub(super) struct Arguments {
    /// The room's settings file; without one the defaults hold, and none is looked for
    #[arg(long, value_name = "FILE")]
    settings: Option<PathBuf>,
    /// Show keys as they are pressed, chord by chord, until Ctrl-C
    #[arg(long, conflicts_with = "sound")]
    listen: bool,
    /// Play a chord from very quiet upwards, then left, right and both; Ctrl-C stops it
    #[arg(long)]
    sound: bool,
    /// End listening after so many seconds
    #[arg(long, value_name = "N", requires = "listen", value_parser = clap::value_parser!(u32).range(1..=86_400))]
    seconds: Option<u32>,
}

pub(super) fn run(arguments: &Arguments) -> Result<End, Fault> {
    let room = Opened::open(arguments.settings.as_deref())?;

    #[cfg(feature = "kiosk")]
    let end = if arguments.listen {
        devices::listen(&room, arguments.seconds)
    } else if arguments.sound {
        devices::sound(&room)
    } else {
        devices::tell(&room)
    };
    #[cfg(not(feature = "kiosk"))]
    let end = without_devices(arguments, &room);

    end
}

/// What is left to say in a build without devices.
#[cfg(not(feature = "kiosk"))]
fn without_devices(arguments: &Arguments, room: &Opened) -> Result<End, Fault> {
    if !arguments.listen && !arguments.sound {
        let mut page = Page::default();
        piano(&mut page, &room.piano()?);
        page.say();
    }
    Err(Fault::new(
        "this build of the program has no devices: no keyboard is seen and no sound is made; \
         build it with the feature `kiosk`, which is on unless --no-default-features is given",
    ))
}

/// Says which piano sounds.
fn piano(page: &mut Page, loaded: &Loaded) {
    page.head("Piano");
    let name = match &loaded.file {
        None => "The bundled grand piano".to_owned(),
        Some(file) => format!("The SoundFont {}", file.display()),
    };
    page.line(&format!("{name}: {}.", range(&loaded.silent)));

    if let Some(refused) = &loaded.refused {
        page.line("The SoundFont of the settings cannot be used, so this one serves in its place:");
        page.more(refused);
    }
}

/// Says which keys sound.
fn range(silent: &[Key]) -> String {
    match silent {
        [] => "all 88 keys sound, A0 to C8 (MIDI 21 to 108)".to_owned(),
        [only] => format!("all 88 keys sound but {}", only.flat_name()),
        [first, .., last] => format!(
            "{} of the 88 keys stay silent, between {} and {}; choose a SoundFont that has all \
             that the exam asks for",
            silent.len(),
            first.flat_name(),
            last.flat_name()
        ),
    }
}
