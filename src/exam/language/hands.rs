//! Sections that are played: single voicings and runs.

use super::sections::{COMMON, COUNT, MARKED, QUALITY, ROOTS, limit};
use super::{Default, Key, Kind, Part};

const PEDAL: Key = Key::new(
    "pedal",
    Kind::Flag,
    Default::Is("false"),
    "true",
    "Whether keys sound on as long as the sustain pedal is down.",
);

/// `kind = "voicing"`.
pub(super) const VOICING: Part = Part {
    id: "voicing",
    path: "section",
    title: "Single voicings: `kind = \"voicing\"`",
    says: "A chord symbol is shown with the form that is asked, and is played at the keyboard. The \
           chords come cold: none is the next step round the cycle of fourths from the one before.",
    shared: &[COMMON, MARKED],
    keys: &[
        limit(
            2.0,
            "The time limit of each item, from prompt to complete chord.",
        ),
        Key::new(
            "grace",
            Kind::Number(1.0, 10.0),
            Default::Is("2"),
            "1",
            "When an item closes that is still unanswered. With 2 there is as much time again, for \
             part of the mark; with 1 what is late is lost.",
        )
        .of("times the limit"),
        PEDAL,
        Key::new(
            "with_bass",
            Kind::Flag,
            Default::Is("false"),
            "true",
            "Whether a bass sounds the root as the prompt appears, or what stands below a slash, \
             from C2 to B2.",
        ),
        Key::new(
            "each_root",
            Kind::Whole(1, 20),
            Default::Else("roots come as they are drawn"),
            "1",
            "How often each of the twelve roots comes in the section. The counts of the cells have \
             to add up to it.",
        )
        .of("times"),
        Key::new(
            "form",
            Kind::Name("form of voicing"),
            Default::Else("each cell names its own"),
            "\"guide-tones\"",
            "The form of voicing that is asked, for all cells that name none.",
        ),
        Key::new(
            "cells",
            Kind::Tables("voicing-cell"),
            Default::Required,
            "",
            "The cells: what is asked, and how often.",
        ),
    ],
    refused: &[],
    sample: "\
[[section]]
id = \"A\"
title = \"Cold voicings\"
kind = \"voicing\"
points = 40
seconds = 6
form = \"guide-tones\"
cells = [
    { count = 4, quality = \"7\", order = \"third on top\" },
    { count = 4, quality = \"m7\", order = \"seventh on top\" },
    { count = 4, quality = \"maj7\", group = \"I\", order = \"third on top\" },
]
",
};

/// A cell of a section of single voicings.
pub(super) const VOICING_CELL: Part = Part {
    id: "voicing-cell",
    path: "section.cells",
    title: "Its cells",
    says: "",
    shared: &[ROOTS],
    keys: &[
        COUNT,
        QUALITY,
        Key::new(
            "form",
            Kind::Name("form of voicing"),
            Default::Else("the section's"),
            "\"drop-2\"",
            "The form of voicing that is asked.",
        ),
        Key::new(
            "order",
            Kind::Name("order of the form"),
            Default::Else("the form's only order; with several one has to be named"),
            "\"seventh on top\"",
            "Which order of the form is asked.",
        ),
    ],
    refused: &[],
    sample: VOICING.sample,
};

// How a run goes: what a section says for its cells, and a cell for itself.

const fn tempo(default: Default) -> Key {
    Key::new(
        "tempo",
        Kind::Number(20.0, 400.0),
        default,
        "120",
        "The tempo; each chord is to come on its beat.",
    )
    .of("beats a minute")
}

const fn bars_in(default: Default) -> Key {
    Key::new(
        "bars_in",
        Kind::Whole(1, 8),
        default,
        "1",
        "Bars counted in before a run in tempo.",
    )
    .of("bars")
}

const fn metronome(default: Default) -> Key {
    Key::new(
        "metronome",
        Kind::Flag,
        default,
        "false",
        "Whether the beats click on after the count-in; without, the candidate keeps the time.",
    )
}

const fn with_bass(default: Default) -> Key {
    Key::new(
        "with_bass",
        Kind::Flag,
        default,
        "true",
        "Whether a bass plays the root of each chord on its beat, or what stands below its slash, \
         from C2 to B2; only in tempo.",
    )
}

const fn look(default: Default) -> Key {
    Key::new(
        "look",
        Kind::Number(0.0, 600.0),
        default,
        "10",
        "Time to look at the line before it begins.",
    )
    .of("seconds")
}

const fn seconds(default: Default) -> Key {
    Key::new(
        "seconds",
        Kind::Number(0.5, 3600.0),
        default,
        "6",
        "The limit of each chord in a run without `tempo`, in the candidate's own time. Beside \
         `tempo` it is the time that the whole run may take.",
    )
    .of("seconds")
}

/// `kind = "run"`.
pub(super) const RUN: Part = Part {
    id: "run",
    path: "section",
    title: "Lines of chords: `kind = \"run\"`",
    says: "A line of chords is played, in tempo (with `tempo`) or each in the candidate's own time \
           (with `seconds`). One of the two has to be there, in the section or in the cell. What a \
           section says holds for its cells, unless a cell says otherwise.",
    shared: &[COMMON, MARKED],
    keys: &[
        Key::new(
            "form",
            Kind::Name("form of voicing"),
            Default::Else("each cell names its own"),
            "\"guide-tones\"",
            "The form of voicing that is asked, for all cells that name none.",
        ),
        Key::new(
            "voicing",
            Kind::Word(&["any", "as-asked"], &[]),
            Default::Is("\"as-asked\""),
            "\"any\"",
            "With `any` every voicing will do that has third and seventh, and no `form` is named.",
        )
        .with("-form"),
        tempo(Default::Else("no tempo: `seconds` has to be there")),
        bars_in(Default::Is("2")),
        metronome(Default::Is("true")),
        with_bass(Default::Is("false")),
        look(Default::Is("0")),
        seconds(Default::Else("no limit but the tempo")).with("-tempo"),
        PEDAL,
        Key::new(
            "shuffle",
            Kind::Flag,
            Default::Is("false"),
            "true",
            "Whether the runs come in drawn order; otherwise they come as the cells are written.",
        ),
        Key::new(
            "weights",
            Kind::Table("weights"),
            Default::Is("{ harmony = 40, voicing = 20, leading = 10, readiness = 15, time = 15 }"),
            "{ harmony = 60, voicing = 0, leading = 0, readiness = 0, time = 30 }",
            "How much each criterion weighs.",
        ),
        Key::new(
            "cells",
            Kind::Tables("run-cell"),
            Default::Required,
            "",
            "The cells: what is asked, and how often.",
        ),
    ],
    refused: &[("start", "each cell says how its lines begin")],
    sample: "\
[[section]]
id = \"B\"
title = \"ii–V–I in time\"
kind = \"run\"
points = 30
form = \"guide-tones\"
tempo = 80
look = 10
cells = [
    { count = 2, progression = \"ii-V-I\" },
    { progression = \"cycle-of-fourths\", quality = \"7\", group = \"I\" },
]
",
};

/// The weight of a criterion, from so much.
const fn weight(name: &'static str, from: i64, default: &'static str, says: &'static str) -> Key {
    Key::new(
        name,
        Kind::Whole(from, 1000),
        Default::Is(default),
        "30",
        says,
    )
}

/// `weights` of a run.
pub(super) const WEIGHTS: Part = Part {
    id: "weights",
    path: "section.weights",
    title: "Its weights",
    says: "The criteria of a run, each with its weight. Only their proportions count; 0 leaves a \
           criterion out. In a run in tempo `readiness` has no part, in a free one `time` has none.",
    shared: &[],
    keys: &[
        weight("harmony", 1, "40", "Right chords at the first sounding."),
        weight("voicing", 0, "20", "The form that is asked."),
        weight("leading", 0, "10", "How little the voices move."),
        weight(
            "readiness",
            0,
            "15",
            "How soon the chord is complete, in the candidate's own time.",
        ),
        weight("time", 0, "15", "How close to the beat, in tempo."),
    ],
    refused: &[],
    sample: "\
[[section]]
id = \"B\"
title = \"Comping\"
kind = \"run\"
points = 30
form = \"guide-tones\"
tempo = 80
weights = { harmony = 60, time = 30 }
cells = [{ progression = \"blues\" }]
",
};

/// A cell of a section of runs.
pub(super) const RUN_CELL: Part = Part {
    id: "run-cell",
    path: "section.cells",
    title: "Its cells",
    says: "`cycle-of-fourths` is a progression of its own: one quality round the cycle, from the \
           root that is drawn. `at-random` is another: one quality on all twelve roots, in an order \
           that is drawn with the form and takes no step of the cycle.",
    shared: &[ROOTS],
    keys: &[
        Key::new(
            "count",
            Kind::Whole(1, 50),
            Default::Is("1"),
            "2",
            "How many runs the cell has.",
        )
        .of("runs"),
        Key::new(
            "progression",
            Kind::Name("progression"),
            Default::Required,
            "\"blues\"",
            "The progression, by name, or `cycle-of-fourths` or `at-random`.",
        ),
        Key::new(
            "quality",
            Kind::Quality,
            Default::Else("has to be there for `cycle-of-fourths` and `at-random`, and only there"),
            "\"m7\"",
            "The quality of all chords of the line.",
        )
        .with("progression = \"cycle-of-fourths\""),
        Key::new(
            "chords",
            Kind::Whole(2, 48),
            Default::Is("12"),
            "24",
            "How many chords of the cycle.",
        )
        .of("chords")
        .with("progression = \"cycle-of-fourths\"\nquality = \"7\""),
        Key::new(
            "form",
            Kind::Name("form of voicing"),
            Default::Else("the section's"),
            "\"rootless\"",
            "The form of voicing that is asked.",
        ),
        Key::new(
            "start",
            Kind::Name("order of the form, `drawn` or `open`"),
            Default::Is("\"drawn\""),
            "\"third on top\"",
            "Which order of the form the line begins with: a certain one, `drawn` with the form, or \
             `open` to the candidate. After that each chord is to come in the nearest order.",
        ),
        tempo(Default::Else("the section's")),
        bars_in(Default::Else("the section's")),
        metronome(Default::Else("the section's")),
        with_bass(Default::Else("the section's")),
        look(Default::Else("the section's")),
        seconds(Default::Else(
            "the section's, unless the cell has a `tempo`",
        )),
    ],
    refused: &[(
        "order",
        "a line goes on in the nearest order, and only its `start` can be asked for",
    )],
    sample: RUN.sample,
};
