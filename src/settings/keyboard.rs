//! The section `[keyboard]`: what a room is played on.

use super::words;
use crate::exam::table::{Table, Within};
use crate::instruments::keyboard::Preference;

/// How far keys can be moved either way, in semitones: further than any keyboard's own buttons
/// would be needed for (common practice, no source).
const FURTHEST: i64 = 24;

/// What a room is played on.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Keyboard {
    /// Which MIDI inputs, and how they are heard.
    pub preference: Preference,
    /// Whether the computer's own keys stand in where no MIDI keyboard is there.
    pub computer: bool,
}

/// Any one MIDI keyboard, or else the computer's own keys.
impl Default for Keyboard {
    fn default() -> Self {
        Self {
            preference: Preference::default(),
            computer: true,
        }
    }
}

/// Reads the section, where it is there.
pub(super) fn read(root: &Table<'_>) -> Keyboard {
    let default = Keyboard::default();
    let Some(table) = root.table("keyboard") else {
        return default;
    };
    let [name, id] = ["name", "id"].map(|key| words(&table, key));
    let merge = table.boolean("merge");
    let channel = table.integer("channel", 1..=16);
    let transpose = table.integer(
        "transpose",
        Within::from(-FURTHEST..=FURTHEST).of("semitones"),
    );
    let computer = table.boolean("computer");

    if let Some(merge) = &merge
        && merge.value
        && id.is_some()
        && name.is_none()
    {
        table.warning(
            merge.span.clone(),
            "an `id` is that of one input, so there is nothing to merge",
            Some("leave `id` out to play on all there are, or write a `name`".to_owned()),
        );
    }
    table.finish();

    Keyboard {
        preference: Preference {
            id,
            name,
            merge: merge.is_some_and(|merge| merge.value),
            channel: channel.and_then(|channel| u8::try_from(channel.value).ok()),
            transpose: transpose
                .and_then(|transpose| i8::try_from(transpose.value).ok())
                .unwrap_or_default(),
        },
        computer: computer.map_or(default.computer, |computer| computer.value),
    }
}
