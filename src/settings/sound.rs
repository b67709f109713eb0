//! The section `[sound]`: what a room hears, and how loud it begins.

use super::words;
use crate::exam::table::{Table, Within};
use crate::instruments::speaker::Level;

/// The loudest level that a settings file may let a sitting begin with: 5 of 10, 20 dB below what
/// was rendered.
///
/// What a level is in the ear depends on the amplifier and the headphones behind the computer,
/// and the program cannot know it. So a file never decides to begin loud: a sitting begins soft,
/// and in the level check each candidate raises the level as far as is comfortable. (WHO-ITU
/// H.870: at most 80 dBA for 40 hours a week, 75 dBA for children. The bound of two steps above
/// [`Level::START`], for rooms with quiet loudspeakers, is common practice, no source.)
pub const LOUDEST_START: Level = Level::START.louder().louder();

/// What a room hears.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Sound {
    /// The sound output, by name or id; the computer's own choice if there is none.
    pub output: Option<String>,
    /// Frames the output takes at a time, at 48,000 a second, 32–8192; what suits the system if
    /// there is none.
    pub buffer: Option<u32>,
    /// The path of a SoundFont 2, as written: from the settings file's folder. The bundled piano
    /// if there is none.
    pub soundfont: Option<String>,
    /// The level that a sitting begins with, at most [`LOUDEST_START`].
    pub level: Level,
    /// Whether the program sounds what is played, for keyboards that make no sound of their own.
    pub monitoring: bool,
}

/// Reads the section, where it is there.
pub(super) fn read(root: &Table<'_>) -> Sound {
    let Some(table) = root.table("sound") else {
        return Sound::default();
    };
    let output = words(&table, "output");
    let buffer = table.integer("buffer", Within::from(32..=8192).of("frames"));
    let soundfont = words(&table, "soundfont");
    let level = level(&table);
    let monitoring = table.boolean("monitoring");
    table.finish();

    Sound {
        output,
        buffer: buffer.and_then(|buffer| u32::try_from(buffer.value).ok()),
        soundfont,
        level: level.unwrap_or_default(),
        monitoring: monitoring.is_some_and(|monitoring| monitoring.value),
    }
}

/// Reads the level a sitting begins with. Any louder one has the same reason against it, whether
/// there is such a level or not.
fn level(table: &Table<'_>) -> Option<Level> {
    let step = table.integer("level", 0..)?;
    let level = u8::try_from(step.value).ok().and_then(Level::new);

    match level {
        Some(level) if level <= LOUDEST_START => Some(level),
        _ => {
            let most = LOUDEST_START.step();
            table.fault(
                step.span,
                format!(
                    "a sitting begins at level {most} or less, found {}",
                    step.value
                ),
                Some(format!(
                    "write {most} or less: the program cannot know how loud that is in the ear, so \
                     each candidate raises it in the level check"
                )),
            );
            None
        }
    }
}
