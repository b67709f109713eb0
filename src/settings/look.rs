//! How a room's pages look, a part of the section `[room]`. The candidate does not choose it.

use crate::exam::table::{Table, Within};

/// A language of the pages; what an exam asks is in its own.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Language {
    /// English.
    #[default]
    English,
    /// German.
    German,
}

/// How a room's pages look.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Look {
    /// The language.
    pub language: Language,
    /// How large text is, in percent: 100 to 200.
    pub text: u16,
    /// Whether it is light on dark.
    pub dark: bool,
    /// Whether the rest of the screen is left alone.
    pub windowed: bool,
}

impl Default for Look {
    fn default() -> Self {
        Self {
            language: Language::English,
            text: 100,
            dark: false,
            windowed: false,
        }
    }
}

/// Reads it from the room's section.
pub(super) fn read(table: &Table<'_>) -> Look {
    let default = Look::default();
    let language = table.choice(
        "language",
        &[("en", Language::English), ("de", Language::German)],
    );
    let text = table.integer("text", Within::from(100..=200).of("percent"));
    let [dark, windowed] =
        ["dark", "windowed"].map(|key| table.boolean(key).is_some_and(|set| set.value));

    Look {
        language: language.map_or(default.language, |language| language.value),
        text: text
            .and_then(|text| u16::try_from(text.value).ok())
            .unwrap_or(default.text),
        dark,
        windowed,
    }
}
