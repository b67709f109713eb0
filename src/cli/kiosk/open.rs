//! Puts a kiosk together and opens its window.

use std::path::{Path, PathBuf};

use super::super::roster;
use super::super::{End, Fault, load, settings};
use super::desk::{self, Disk, Printing};
use super::{Arguments, Language};
use crate::exam::read;
use crate::instruments::midi;
use crate::instruments::playback::{Playback, Setup as Output};
use crate::kiosk::model::{Kiosk, Setup};
use crate::kiosk::shelf::Shelved;
use crate::kiosk::window::{self, Look};
use crate::kiosk::words::{ENGLISH, GERMAN};
use crate::settings::look;

/// Names exams with their scripts.
macro_rules! bundled {
    ($($name:literal),* $(,)?) => {
        [$(($name, include_str!(concat!("../../../exams/", $name, ".toml")))),*]
    };
}

/// The bundled exams, by their names: the proficiency exams of a class, what prepares for them, the
/// ear from triads to tensions, and what is played before a panel.
const BUNDLED: [(&str, &str); 12] = bundled![
    "guide-tones",
    "cycle-drills",
    "one-hand",
    "class-quiz",
    "spelling",
    "hearing-triads",
    "hearing-sevenths",
    "hearing-nine-qualities",
    "hearing-tensions",
    "hearing-cadences",
    "audition",
    "jury",
];

pub(super) fn run(arguments: &Arguments) -> Result<End, Fault> {
    // A settings file that is not there yet is made with the PIN.
    let file = arguments.settings.as_deref();
    let room = settings::Opened::open(file.filter(|file| file.exists()))?;
    let set = &room.settings;
    // The command line's path, or else that of the settings, from the folder of their file.
    let path = |said: &Option<PathBuf>, written: &Option<String>| -> Option<PathBuf> {
        let folder = file.and_then(Path::parent).unwrap_or(Path::new(""));
        said.clone()
            .or_else(|| written.as_ref().map(|written| folder.join(written)))
    };
    let exam = path(&arguments.exam, &set.room.exam);
    let shelf = match &exam {
        Some(path) => vec![named(path)?],
        None => bundled()?,
    };
    let roster = match path(&arguments.roster, &set.room.roster) {
        Some(path) => roster::read(&path)?,
        None => Vec::new(),
    };
    let results =
        path(&arguments.results, &set.results.folder).unwrap_or_else(|| PathBuf::from("results"));
    let second = path(&None, &set.results.second).or_else(desk::own_folder);
    let form = arguments.form.as_deref().or(set.room.form.as_deref());
    let language = match arguments.language {
        Some(Language::En) => look::Language::English,
        Some(Language::De) => look::Language::German,
        None => set.room.look.language,
    };
    let loaded = room.piano()?;
    if let Some(why) = &loaded.refused {
        super::super::complain(why);
    }
    let sound = &room.settings.sound;
    let setup = Setup {
        set: exam.as_ref().map(|_| 0),
        shelf,
        forms: roster.iter().map(|entry| entry.form).collect(),
        roster: roster.into_iter().map(|entry| entry.number).collect(),
        code: load::code(form)?,
        words: match language {
            look::Language::English => &ENGLISH,
            look::Language::German => &GERMAN,
        },
        level: sound.level,
        computer: room.settings.keyboard.computer,
        monitoring: sound.monitoring,
        print: set.results.print,
        program: env!("CARGO_PKG_VERSION").to_owned(),
    };
    let output = Output {
        output: sound.output.clone(),
        buffer: sound.buffer,
        ..Output::default()
    };
    let keyboard = midi::Keyboard::follow(room.settings.keyboard.preference.clone())?;
    let desk = Disk::new(&results, second)
        .guarded(file.map(Path::to_owned), set.invigilator.pin.clone())
        .printing(Printing::of(&set.results));
    let look = Look {
        windowed: arguments.windowed || set.room.look.windowed,
        enlarged: f32::from(arguments.text.unwrap_or(set.room.look.text)) / 100.0,
        dark: arguments.dark || set.room.look.dark,
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

    require_screen()?;
    window(open, look)
}

/// Makes sure that there is a screen, before anything else is opened.
pub(super) fn require_screen() -> Result<(), Fault> {
    let has_none = cfg!(target_os = "linux")
        && ["DISPLAY", "WAYLAND_DISPLAY"]
            .iter()
            .all(|name| std::env::var_os(name).is_none());

    if has_none {
        return Err(Fault::new(
            "there is no screen here; open it where there is one",
        ));
    }
    Ok(())
}

/// Opens the window, and returns when it is left.
pub(super) fn window(open: impl FnOnce() -> Kiosk + 'static, look: Look) -> Result<End, Fault> {
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

#[cfg(test)]
mod tests {
    use super::{BUNDLED, bundled};

    #[test]
    fn every_exam_of_the_folder_is_bundled_and_guide_tones_comes_first() {
        let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/exams");
        let mut files: Vec<String> = std::fs::read_dir(folder)
            .expect("the folder of the exams")
            .map(|entry| {
                entry
                    .expect("a file")
                    .file_name()
                    .into_string()
                    .expect("a name")
            })
            .filter_map(|name| name.strip_suffix(".toml").map(str::to_owned))
            .collect();
        let mut names: Vec<&str> = BUNDLED.iter().map(|(name, _)| *name).collect();

        assert_eq!(names.first(), Some(&"guide-tones"));
        files.sort_unstable();
        names.sort_unstable();
        assert_eq!(names, files);
        assert_eq!(
            bundled().map_err(|_| "a fault").map(|shelf| shelf.len()),
            Ok(names.len())
        );
    }
}
