//! Sections that are heard, and the cells of each question.

use super::sections::{COMMON, COUNT, MARKED, QUALITY, ROOTS, limit};
use super::{Default, Key, Kind, Part};

/// The questions of which two can be asked of one sound.
pub const TOGETHER: [&str; 3] = ["quality", "top", "inversion"];

/// `kind = "ear"`.
pub(super) const EAR: Part = Part {
    id: "ear",
    path: "section",
    title: "Sounds: `kind = \"ear\"`",
    says: "Something sounds, and is named by choosing from the options. What the cells say depends \
           on the question after `ask`. Answers that sound alike are never offered together.",
    shared: &[COMMON, MARKED],
    keys: &[
        Key::new(
            "ask",
            Kind::Ask,
            Default::Required,
            "\"quality\"",
            "The question. `quality`, `top` and `inversion` can also be asked two at a time, as in \
             `[\"quality\", \"top\"]`: the two share the mark.",
        ),
        limit(
            1.0,
            "The time to answer, from the end of the first hearing.",
        ),
        Key::new(
            "hearings",
            Kind::Whole(1, 9),
            Default::Else("`hearings` of `[rules]`; without it 2, 3 for cadences, 4 for progressions and dictation"),
            "3",
            "How often each sound is heard at most, the first time included.",
        )
        .of("hearings"),
        Key::new(
            "root_heard",
            Kind::Flag,
            Default::Is("true"),
            "false",
            "Whether a bass or root is sounded that tells like chords apart. Without it chords that \
             are the same notes on another root are not offered together.",
        ),
        Key::new(
            "options",
            Kind::Options,
            Default::Else("all answers of the cells, from like to unlike"),
            "[\"maj7\", \"7\", \"m7\", \"m7b5\"]",
            "The answers that are offered, in the order shown; every answer of the cells has to be \
             among them. With two questions, a list for each.",
        ),
        Key::new(
            "each",
            Kind::Whole(1, 200),
            Default::Else("no standard for single answers"),
            "4",
            "So many sounds of each answer have to be heard rightly to pass, whatever the total: of \
             each quality, say. Where items are voided no more may be missed than before. There has \
             to be a `pass` for it to decide anything.",
        )
        .of("sounds"),
        Key::new(
            "each_with",
            Kind::List(&Kind::Label, 1, usize::MAX),
            Default::Else("the sounds of this section alone"),
            "[\"D\"]",
            "The ids of other sections with the same question, whose sounds are counted with this \
             one's for `each`.",
        )
        .with("each = 4"),
        Key::new(
            "cells",
            Kind::Tables("ear-cell"),
            Default::Required,
            "",
            "The cells: what sounds, and how often. Six sounds of each answer say something of how \
             well it is heard; with fewer there is a warning.",
        ),
    ],
    refused: &[],
    sample: "\
[[section]]
id = \"C\"
title = \"Sevenths by ear\"
kind = \"ear\"
ask = \"quality\"
points = 20
seconds = 8
cells = [
    { count = 6, quality = \"maj7\" },
    { count = 6, quality = \"7\", group = \"I\" },
    { count = 6, quality = \"m7\", spacing = \"open\" },
]

[[section]]
id = \"D\"
title = \"The same under two hands\"
kind = \"ear\"
ask = \"quality\"
points = 10
seconds = 8
cells = [
    { count = 3, quality = \"maj7\", spacing = \"two-hand\" },
    { count = 3, quality = \"7\", spacing = \"two-hand\" },
    { count = 3, quality = \"m7\", spacing = \"two-hand\" },
]
",
};

/// A chord tone.
const fn member(name: &'static str, default: Default, says: &'static str) -> Key {
    Key::new(name, Kind::Member, default, "3", says)
}

/// A cell of sounding chords.
pub(super) const CHORD: Part = Part {
    id: "chord-cell",
    path: "section.cells",
    title: "Cells for `ask = \"quality\"`, `\"top\"` and `\"inversion\"`",
    says: "The quality of the chord, which chord tone is on top, and which one is in the bass. \
           Where the inversion is asked, each cell says `bass`.",
    shared: &[ROOTS],
    keys: &[
        COUNT,
        QUALITY,
        Key::new(
            "spacing",
            Kind::Word(&["close", "open", "two-hand"], &[]),
            Default::Is("\"close\""),
            "\"two-hand\"",
            "How the chord is spread: within about an octave over its bass, over about an octave \
             and a half, or dealt to two hands.",
        ),
        member(
            "top",
            Default::Else("drawn with the form"),
            "Which chord tone is on top: 3 is the third, 5 the fifth, 7 the seventh or the sixth.",
        ),
        member(
            "bass",
            Default::Is("1"),
            "Which chord tone is in the bass, after the root has sounded.",
        ),
    ],
    refused: &[],
    sample: EAR.sample,
};

/// A cell of intervals.
pub(super) const INTERVAL: Part = Part {
    id: "interval-cell",
    path: "section.cells",
    title: "Cells for `ask = \"interval\"`",
    says: "",
    shared: &[ROOTS],
    keys: &[
        COUNT,
        Key::new(
            "interval",
            Kind::Word(
                &[
                    "m2", "M2", "m3", "M3", "P4", "TT", "P5", "m6", "M6", "m7", "M7", "P8",
                ],
                &[],
            ),
            Default::Required,
            "\"m3\"",
            "The interval: m is minor, M major, P perfect, TT the tritone.",
        ),
        Key::new(
            "motion",
            Kind::Word(&["harmonic", "rising", "falling"], &[]),
            Default::Is("\"harmonic\""),
            "\"rising\"",
            "Both notes at once, the lower first, or the upper first.",
        ),
    ],
    refused: &[],
    sample: "\
[[section]]
id = \"C\"
title = \"Thirds by ear\"
kind = \"ear\"
ask = \"interval\"
points = 10
seconds = 6
cells = [
    { count = 6, interval = \"M3\" },
    { count = 6, interval = \"m3\", motion = \"rising\" },
    { count = 6, interval = \"P4\", motion = \"falling\" },
]
",
};

/// A cell of tensions.
pub(super) const TENSION: Part = Part {
    id: "tension-cell",
    path: "section.cells",
    title: "Cells for `ask = \"tension\"`",
    says: "A plain dominant sounds, then the same with a tension.",
    shared: &[ROOTS],
    keys: &[
        COUNT,
        Key::new(
            "tension",
            Kind::Word(&["9", "b9", "#9", "#11", "13", "b13"], &[]),
            Default::Required,
            "\"b9\"",
            "The tension.",
        ),
    ],
    refused: &[],
    sample: "\
[[section]]
id = \"C\"
title = \"Tensions by ear\"
kind = \"ear\"
ask = \"tension\"
points = 10
seconds = 6
cells = [{ count = 6, tension = \"9\" }, { count = 6, tension = \"b9\" }, { count = 6, tension = \"13\" }]
",
};

/// A cell of progressions.
pub(super) const PROGRESSION: Part = Part {
    id: "progression-cell",
    path: "section.cells",
    title: "Cells for `ask = \"progression\"`",
    says: "The tonic sounds, then the progression; the answers are names of progressions.",
    shared: &[ROOTS],
    keys: &[
        COUNT,
        Key::new(
            "progression",
            Kind::Name("progression"),
            Default::Required,
            "\"iv-bVII-I\"",
            "The progression, by name; not `cycle-of-fourths`, and not one written in symbols.",
        ),
    ],
    refused: &[],
    sample: "\
[[section]]
id = \"C\"
title = \"Cadences by ear\"
kind = \"ear\"
ask = \"progression\"
points = 10
seconds = 15
cells = [{ count = 3, progression = \"ii-V-I\" }, { count = 3, progression = \"ii-bII-I\" }]
",
};

/// A cell of cadences.
pub(super) const CADENCE: Part = Part {
    id: "cadence-cell",
    path: "section.cells",
    title: "Cells for `ask = \"cadence\"`",
    says: "The tonic sounds, then the formula; the answers are formulas in the trade's names.",
    shared: &[ROOTS],
    keys: &[
        COUNT,
        Key::new(
            "cadence",
            Kind::Name("progression"),
            Default::Required,
            "\"IV-I\"",
            "The formula, by the name of its progression; not `cycle-of-fourths`, and not one \
             written in symbols.",
        ),
    ],
    refused: &[],
    sample: "\
[[section]]
id = \"C\"
title = \"Cadences by ear\"
kind = \"ear\"
ask = \"cadence\"
points = 10
seconds = 10
cells = [{ count = 3, cadence = \"ii-V-I\" }, { count = 3, cadence = \"ii-bII-I\" }]
",
};

/// A cell of progressions that are taken down.
pub(super) const DICTATION: Part = Part {
    id: "dictation-cell",
    path: "section.cells",
    title: "Cells for `ask = \"dictation\"`",
    says: "The tonic sounds, then a progression of four to eight chords, without a repeat. Of each \
           chord the bass is told, by its degree in the key, and the quality; each of them has an \
           equal share of the mark. `options` are two lists: basses and qualities.",
    shared: &[ROOTS],
    keys: &[
        COUNT,
        Key::new(
            "progression",
            Kind::Name("progression"),
            Default::Required,
            "\"iii-VI-ii-V\"",
            "The progression, by name: four to eight chords; not `cycle-of-fourths`, and not one \
             written in symbols.",
        ),
    ],
    refused: &[],
    sample: "\
[[section]]
id = \"C\"
title = \"Chords taken down\"
kind = \"ear\"
ask = \"dictation\"
points = 10
seconds = 30
cells = [{ count = 1, progression = \"I-vi-ii-V\" }, { count = 1, progression = \"I-VI-ii-V\" }]
",
};

/// A cell that is played back.
pub(super) const PLAY_BACK: Part = Part {
    id: "play-back-cell",
    path: "section.cells",
    title: "Cells for `ask = \"play-back\"`",
    says: "What sounds is played back at the keyboard, at any octave; its first lowest note is \
           shown. A cell has one of `motive`, `quality` and `progression`. Each note of a motive, and \
           each chord, has an equal share of the mark.",
    shared: &[ROOTS],
    keys: &[
        COUNT,
        Key::new(
            "motive",
            Kind::Line,
            Default::Else("a chord or a line of chords"),
            "\"5 8 7 5\"",
            "Three to five notes, one after another, as degrees over a root: 8 is the octave, 10 the \
             tenth, the highest.",
        )
        .with("-quality"),
        Key::new(
            "quality",
            Kind::Quality,
            Default::Else("a motive or a line of chords"),
            "\"m7\"",
            "A chord of this quality.",
        ),
        Key::new(
            "spacing",
            Kind::Word(&["close", "open", "two-hand"], &[]),
            Default::Is("\"close\""),
            "\"two-hand\"",
            "How the chord is spread.",
        ),
        Key::new(
            "top",
            Kind::Member,
            Default::Else("drawn with the form"),
            "3",
            "Which chord tone is on top of the chord.",
        ),
        Key::new(
            "bass",
            Kind::Member,
            Default::Is("1"),
            "3",
            "Which chord tone is in the bass of the chord.",
        ),
        Key::new(
            "progression",
            Kind::Name("progression"),
            Default::Else("a motive or a chord"),
            "\"ii-V-I\"",
            "A line of two to five chords, in a `form` of voicing.",
        )
        .with("-quality\nform = \"guide-tones\""),
        Key::new(
            "form",
            Kind::Name("form of voicing"),
            Default::Else("has to be there for `progression`, and only there"),
            "\"guide-tones\"",
            "The form of voicing of the line.",
        )
        .with("-quality\nprogression = \"ii-V-I\""),
    ],
    refused: &[],
    sample: "\
[[section]]
id = \"C\"
title = \"Play what you hear\"
kind = \"ear\"
ask = \"play-back\"
points = 10
seconds = 15
cells = [
    { count = 2, quality = \"7\" },
    { count = 2, motive = \"1 2 3 5\" },
    { count = 1, progression = \"V-I\", form = \"guide-tones\" },
]
",
};

/// A cell of root motions.
pub(super) const ROOT_MOTION: Part = Part {
    id: "root-motion-cell",
    path: "section.cells",
    title: "Cells for `ask = \"root-motion\"`",
    says: "Two chords of one quality sound, on two roots.",
    shared: &[ROOTS],
    keys: &[
        COUNT,
        Key::new(
            "up",
            Kind::Whole(1, 11),
            Default::Required,
            "5",
            "How far up the second root lies; 5 is a fourth up, 7 a fourth down.",
        )
        .of("semitones"),
        Key::new(
            "quality",
            Kind::Quality,
            Default::Is("\"7\""),
            "\"m7\"",
            "The quality of both chords.",
        ),
    ],
    refused: &[],
    sample: "\
[[section]]
id = \"C\"
title = \"Root motion by ear\"
kind = \"ear\"
ask = \"root-motion\"
points = 10
seconds = 8
cells = [{ count = 6, up = 4 }, { count = 6, up = 7 }, { count = 6, up = 2 }]
",
};

/// A cell of chords with a wrong voice.
pub(super) const WRONG_VOICE: Part = Part {
    id: "wrong-voice-cell",
    path: "section.cells",
    title: "Cells for `ask = \"wrong-voice\"`",
    says: "A chord is shown, and sounds with one voice a semitone off.",
    shared: &[ROOTS],
    keys: &[
        COUNT,
        QUALITY,
        member(
            "voice",
            Default::Required,
            "Which chord tone is wrong. Where that would be another chord tone, or make the same \
             chord again, it is refused.",
        ),
    ],
    refused: &[],
    sample: "\
[[section]]
id = \"C\"
title = \"Which voice is wrong\"
kind = \"ear\"
ask = \"wrong-voice\"
points = 10
seconds = 10
cells = [{ count = 6, quality = \"m7\", voice = 3 }, { count = 6, quality = \"m7\", voice = 7 }]
",
};
