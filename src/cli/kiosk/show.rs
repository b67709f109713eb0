//! A result on the screen: the room's pages of a second look, and nothing else of the room.

use std::path::Path;

use super::super::{End, Fault, settings};
use super::desk::{Disk, Printing};
use super::open::{require_screen, window};
use crate::exam::code::Code;
use crate::instruments::playback::{Playback, Setup as Output};
use crate::kiosk::hands::Computer;
use crate::kiosk::invigilator::Looked;
use crate::kiosk::model::{Kiosk, Setup};
use crate::kiosk::shelf::Shelved;
use crate::kiosk::window::Look;
use crate::kiosk::words::{ENGLISH, GERMAN};
use crate::settings::look::Language;

/// What is shown, and with what.
pub(in crate::cli) struct Opening<'a> {
    /// The room's settings file.
    pub(in crate::cli) settings: Option<&'a Path>,
    /// The folder that the result lies in.
    pub(in crate::cli) folder: &'a Path,
    /// The script inside the result.
    pub(in crate::cli) script: &'a str,
    /// Its digest.
    pub(in crate::cli) digest: &'a str,
    /// The sitting.
    pub(in crate::cli) looked: Looked,
    /// The item that is shown first; else the list.
    pub(in crate::cli) item: Option<u32>,
}

/// Opens a window on it, and returns when it is left.
pub(in crate::cli) fn show(opening: Opening<'_>) -> Result<End, Fault> {
    require_screen()?;
    let room = settings::Opened::open(opening.settings)?;
    let loaded = room.piano()?;
    if let Some(why) = &loaded.refused {
        super::super::complain(why);
    }
    let set = &room.settings;
    let look = &set.room.look;
    let setup = Setup {
        shelf: vec![Shelved {
            exam: opening.looked.sitting.exam().clone(),
            script: opening.script.to_owned(),
            digest: opening.digest.to_owned(),
        }],
        set: Some(0),
        roster: Vec::new(),
        forms: Vec::new(),
        code: Code::FIRST,
        words: match look.language {
            Language::English => &ENGLISH,
            Language::German => &GERMAN,
        },
        level: set.sound.level,
        computer: false,
        monitoring: false,
        print: false,
        program: env!("CARGO_PKG_VERSION").to_owned(),
    };
    let output = Output {
        output: set.sound.output.clone(),
        buffer: set.sound.buffer,
        ..Output::default()
    };
    let look = Look {
        windowed: true,
        enlarged: f32::from(look.text) / 100.0,
        dark: look.dark,
    };
    let desk = Disk::new(opening.folder, None).printing(Printing::of(&set.results));
    let Opening { looked, item, .. } = opening;

    window(
        move || {
            let mut kiosk = Kiosk::new(
                setup,
                Box::new(desk),
                loaded.piano,
                Box::new(Computer::default()),
                Box::new(Playback::absent(output)),
            );
            kiosk.look_at(looked, item);
            kiosk
        },
        look,
    )
}
