//! What every section has, and sections that are written, judged by a person, or a rest.

use super::{Default, Key, Kind, Part};

/// What every section has.
pub(super) const COMMON: &[Key] = &[
    Key::new(
        "id",
        Kind::Line,
        Default::Required,
        "\"A\"",
        "A letter or short name, different from those of the other sections. Items are numbered by it: A 1, A 2.",
    ),
    Key::new(
        "title",
        Kind::Line,
        Default::Required,
        "\"Cold voicings\"",
        "The section's title, printed and shown.",
    ),
    Key::new(
        "kind",
        Kind::Word(&["voicing", "run", "ear", "spell", "panel", "rest"], &[]),
        Default::Required,
        "",
        "What is asked: single voicings, lines of chords, sounds, chords to spell, marks by a \
         person, or nothing at all.",
    ),
];

/// What every section but a rest has.
pub(super) const MARKED: &[Key] = &[
    Key::new(
        "points",
        Kind::Number(0.0, 10_000.0),
        Default::Required,
        "20",
        "What the whole section brings at most. Its items share it equally.",
    )
    .of("marks"),
    Key::new(
        "hurdle",
        Kind::Number(0.0, 10_000.0),
        Default::Else("no hurdle"),
        "12",
        "Whoever has less than this in the section does not pass, whatever the total. It is more \
         than guessing brings, and there has to be a `pass` for it to decide anything.",
    )
    .of("marks"),
    Key::new(
        "gap",
        Kind::Number(0.0, 60.0),
        Default::Is("2"),
        "1.5",
        "The time between the end of an item and the next prompt.",
    )
    .of("seconds"),
];

/// Which tones are spelled.
const fn tones(default: Default) -> Key {
    Key::new(
        "tones",
        Kind::List(&Kind::Whole(2, 13), 1, 12),
        default,
        "[3, 7]",
        "The tones that are asked, by number: 3 is the third, 7 the seventh. The root is printed.",
    )
}

/// How many items a cell has.
pub(super) const COUNT: Key = Key::new(
    "count",
    Kind::Whole(1, 200),
    Default::Required,
    "3",
    "How many items the cell has. Chords that are played or spelled differ within a form, so that there have to be enough to draw from.",
)
.of("items");

/// The quality of a cell's chords.
pub(super) const QUALITY: Key = Key::new(
    "quality",
    Kind::Quality,
    Default::Required,
    "\"m7\"",
    "The quality, as it stands after the root.",
);

/// What a cell draws its roots from, where the order of all twelve does not matter.
pub(super) const ROOTS: &[Key] = &[
    Key::new(
        "group",
        Kind::Name("key group"),
        Default::Else("all twelve roots"),
        "\"I\"",
        "The key group that roots are drawn from; a cell has `group` or `roots`, not both.",
    ),
    Key::new(
        "roots",
        Kind::List(&Kind::Root, 1, 12),
        Default::Is(
            "[\"C\", \"Db\", \"D\", \"Eb\", \"E\", \"F\", \"Gb\", \"G\", \"Ab\", \"A\", \"Bb\", \"B\"]",
        ),
        "[\"C\", \"F\", \"Bb\", \"Eb\", \"Ab\", \"Db\"]",
        "The roots to draw from, each once.",
    ),
];

/// The time limit of an item, from so many seconds.
pub(super) const fn limit(from: f64, says: &'static str) -> Key {
    Key::new(
        "seconds",
        Kind::Number(from, 600.0),
        Default::Required,
        "8",
        says,
    )
    .of("seconds")
}

/// `kind = "spell"`.
pub(super) const SPELL: Part = Part {
    id: "spell",
    path: "section",
    title: "Chords to spell: `kind = \"spell\"`",
    says: "A chord symbol is shown and its chord tones are written.",
    shared: &[COMMON, MARKED],
    keys: &[
        limit(1.0, "The time limit of each item."),
        tones(Default::Else("all of the chord")),
        Key::new(
            "cells",
            Kind::Tables("spell-cell"),
            Default::Required,
            "",
            "The cells: what is asked, and how often.",
        ),
    ],
    refused: &[],
    sample: "\
[[section]]
id = \"D\"
title = \"Spelling\"
kind = \"spell\"
points = 20
seconds = 20
cells = [
    { count = 3, quality = \"7\" },
    { count = 2, quality = \"m7b5\", roots = [\"C\", \"D\", \"E\", \"A\"] },
]
",
};

/// A cell of a section of chords to spell.
pub(super) const SPELL_CELL: Part = Part {
    id: "spell-cell",
    path: "section.cells",
    title: "Its cells",
    says: "",
    shared: &[],
    keys: &[
        COUNT,
        QUALITY,
        tones(Default::Else("those of the section")),
        Key::new(
            "group",
            Kind::Name("key group"),
            Default::Else("all twelve roots"),
            "\"I\"",
            "The key group that roots are drawn from; a cell has `group` or `roots`, not both.",
        ),
        Key::new(
            "roots",
            Kind::List(&Kind::Root, 1, 12),
            Default::Else("all twelve, each under its usual name for the quality"),
            "[\"Ab\", \"Db\", \"Gb\"]",
            "The roots to draw from, each once, printed as you write them.",
        ),
    ],
    refused: &[],
    sample: SPELL.sample,
};

/// `kind = "panel"`.
pub(super) const PANEL: Part = Part {
    id: "panel",
    path: "section",
    title: "Marks by a person: `kind = \"panel\"`",
    says: "What no program hears. An examiner gives these marks, and the mark sheet says who.",
    shared: &[COMMON, MARKED],
    keys: &[Key::new(
        "criteria",
        Kind::List(&Kind::Line, 1, usize::MAX),
        Default::Required,
        "[\"Feel\", \"Sound\"]",
        "What is judged, each once; the section's points are shared equally.",
    )],
    refused: &[],
    sample: "\
[[section]]
id = \"P\"
title = \"The panel\"
kind = \"panel\"
points = 20
criteria = [\"Feel\", \"Sound\", \"Style\"]
",
};

/// `kind = "rest"`.
pub(super) const REST: Part = Part {
    id: "rest",
    path: "section",
    title: "A rest: `kind = \"rest\"`",
    says: "A pause that stops the clock of the exam. It has no points.",
    shared: &[COMMON],
    keys: &[Key::new(
        "seconds",
        Kind::Number(1.0, 3600.0),
        Default::Required,
        "120",
        "How long it lasts.",
    )
    .of("seconds")],
    refused: &[
        ("points", "a rest has no marks"),
        ("hurdle", "a rest has no marks"),
        ("gap", "a rest is itself a gap"),
    ],
    sample: "\
[[section]]
id = \"rest\"
title = \"Two minutes' rest\"
kind = \"rest\"
seconds = 120
",
};
