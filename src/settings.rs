//! A room's settings file: which keyboard, which sound output, how loud; text in, settings out.
//!
//! A settings file is TOML, and everything in it may be left out:
//!
//! | section | key | what | range | left out |
//! | --- | --- | --- | --- | --- |
//! | `[keyboard]` | `name` | the MIDI input, by its name or a part of it that no other has | | the only one there |
//! | | `id` | the MIDI input, by its id; beside a name it tells namesakes apart | | |
//! | | `merge` | all inputs that fit play together | | `false` |
//! | | `channel` | the MIDI channel listened to | 1–16 | all |
//! | | `transpose` | semitones that the keys are moved up | −24–24 | 0 |
//! | | `computer` | the computer's own keys stand in where no MIDI keyboard is there | | `true` |
//! | `[sound]` | `output` | the sound output, by its name or id | | the computer's own choice |
//! | | `buffer` | frames the output takes at a time, at 48,000 a second | 32–8192 | what suits the system |
//! | | `soundfont` | a SoundFont 2 to play on, its path from the settings file's folder | | the bundled piano |
//! | | `level` | where every sitting begins, see [`LOUDEST_START`] | 0–5 | 3 |
//! | | `monitoring` | the program sounds what is played, for keyboards that are silent | | `false` |
//! | `[room]` | `exam` | the exam script the room is set to, its path from the settings file's folder | | the bundled exams are offered |
//! | | `roster` | the candidates' numbers, its path from the settings file's folder | | any number will do |
//! | | `form` | the form code that the first candidate has | | the first of the first set |
//! | | `language` | the language of the pages | `en`, `de` | `en` |
//! | | `text` | how large text is, in percent | 100–200 | 100 |
//! | | `dark` | light on dark, for stage light | | `false` |
//! | | `windowed` | a window instead of the whole screen | | `false` |
//! | `[results]` | `folder` | where results go, from the settings file's folder | | `results` in the working folder |
//! | | `second` | where they go when that folder takes no more | | the account's own data folder |
//! | | `paper` | the paper of mark sheets | `a4`, `letter` | `a4` |
//! | | `printer` | the printer that they go to | | the computer's usual one |
//! | | `print` | a candidate may print their own at the end | | `true` |
//! | `[invigilator]` | `pin` | the hash of the invigilator's PIN, which the kiosk writes itself | | it is asked for anew |
//!
//! What the command line says as well counts before the file.
//!
//! Whatever is wrong is found at once, each fault with its place and a way to mend it. A section
//! more is a file more beside [`keyboard`], [`sound`], [`room`],
//! [`results`] and [`invigilator`], a field of [`Settings`] and a line in
//! [`read`].

#![deny(clippy::disallowed_methods)]

pub mod invigilator;
pub mod keyboard;
pub mod look;
pub mod results;
pub mod room;
pub mod sound;

#[cfg(test)]
mod tests;

use crate::exam::diagnostic::{Diagnostic, Diagnostics};
use crate::exam::table::{self, Table};

pub use self::invigilator::Invigilator;
pub use self::keyboard::Keyboard;
pub use self::look::Look;
pub use self::results::Results;
pub use self::room::Room;
pub use self::sound::{LOUDEST_START, Sound};

/// What a room has set; by default what serves most rooms without a settings file.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Settings {
    /// What is played on.
    pub keyboard: Keyboard,
    /// What is heard, and how.
    pub sound: Sound,
    /// What is sat in it, and by whom.
    pub room: Room,
    /// Where its results go.
    pub results: Results,
    /// Who looks after it.
    pub invigilator: Invigilator,
}

/// Takes the bytes of a file as the text of a settings file. An empty one sets nothing.
///
/// # Errors
/// Where they are too many or no UTF-8.
pub fn source(bytes: &[u8]) -> Result<&str, table::Error> {
    match table::source(bytes) {
        Err(table::Error::Empty | table::Error::Blank) => Ok(""),
        source => source,
    }
}

/// Reads a settings file. The settings are there unless something is at fault; warnings do not
/// count.
pub fn read(source: &str) -> (Option<Settings>, Vec<Diagnostic>) {
    let out = Diagnostics::new();
    let settings = table::parse(source, &out).map(|document| {
        let root = document.root(&out);
        let settings = Settings {
            keyboard: keyboard::read(&root),
            sound: sound::read(&root),
            room: room::read(&root),
            results: results::read(&root),
            invigilator: invigilator::read(&root),
        };
        root.finish();
        settings
    });
    let settings = settings.filter(|_| !out.has_faults());

    (settings, out.into_vec())
}

/// Reads a text on one line that says something.
fn words(table: &Table<'_>, key: &'static str) -> Option<String> {
    let text = table.text(key)?;
    let trimmed = text.value.trim();

    if trimmed.is_empty() {
        let help = format!("leave `{key}` out if none is meant");
        table.fault(text.span, format!("`{key}` is empty"), Some(help));
        None
    } else if trimmed.chars().any(char::is_control) {
        table.fault(
            text.span,
            format!("`{key}` has a line break or another control sign in it"),
            Some(
                "write it on one line; in a path write each backslash twice, or a slash".to_owned(),
            ),
        );
        None
    } else {
        Some(trimmed.to_owned())
    }
}
