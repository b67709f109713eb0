//! What stands before the sections: the cover, the rules of the room, the bands.

use super::{Default, Key, Kind, Part};

/// The top level of a script.
pub(super) const COVER: Part = Part {
    id: "cover",
    path: "",
    title: "The cover",
    says: "The first lines of the script, before any line in square brackets.",
    shared: &[],
    keys: &[
        Key::new(
            "title",
            Kind::Line,
            Default::Required,
            "\"Week 3\"",
            "The title, printed on every page.",
        ),
        Key::new(
            "level",
            Kind::Label,
            Default::Is("\"\""),
            "\"class\"",
            "Whom the exam is for, in your own words.",
        ),
        Key::new(
            "edition",
            Kind::Label,
            Default::Is("\"\""),
            "\"2026.1\"",
            "Which edition of the script this is; results carry it. Change it whenever you change the exam.",
        ),
        Key::new(
            "about",
            Kind::Text,
            Default::Is("\"\""),
            "\"Guide tones in all keys.\"",
            "A sentence or two on what the exam asks.",
        ),
        Key::new(
            "symbols",
            Kind::Word(
                &["maj7/m7", "MA7/MI7", "△/−", "triangle/dash"],
                &["△/-", "Δ/−", "Δ/-"],
            ),
            Default::Is("\"maj7/m7\""),
            "\"triangle/dash\"",
            "How chord symbols are printed throughout: Cmaj7 and Cm7, CMA7 and CMI7, or C△7 and C−7 \
             (`triangle/dash` is the same as the two signs).",
        ),
        Key::new(
            "half_diminished",
            Kind::Word(&["m7b5", "ø7"], &["m7♭5", "ø", "half-diminished"]),
            Default::Is("\"m7b5\""),
            "\"ø7\"",
            "How the half-diminished chord is printed.",
        ),
        Key::new(
            "pass",
            Kind::Number(0.01, 10_000.0),
            Default::Else("no pass mark: the exam is neither passed nor failed"),
            "60",
            "The pass mark. It cannot be more than all sections bring together, nor so little that \
             guessing brings it.",
        )
        .of("marks"),
        Key::new(
            "rules",
            Kind::Table("rules"),
            Default::Else("each rule at its default"),
            "",
            "The rules of the room, in a table `[rules]`.",
        ),
        Key::new(
            "rubric",
            Kind::Table("rubric"),
            Default::Else("each figure as in the marking rules"),
            "",
            "Figures of the marking rules that this exam changes, in a table `[rubric]`.",
        ),
        Key::new(
            "key_groups",
            Kind::Groups,
            Default::Is(
                "{ I = [\"C\", \"F\", \"G\", \"D\", \"Bb\"], II = [\"A\", \"Eb\", \"E\", \"Ab\"], \
                 III = [\"B\", \"Db\", \"Gb\"] }",
            ),
            "{ flats = [\"F\", \"Bb\", \"Eb\"], sharps = [\"G\", \"D\", \"A\"] }",
            "Keys of like difficulty, under names that you choose: a table `[key_groups]` with a \
             list of keys after each name. Cells draw from a group by its name, and the mark sheet \
             tells the groups apart. Each key stands in one group at most.",
        ),
        Key::new(
            "band",
            Kind::Tables("band"),
            Default::Else("no bands"),
            "",
            "Grade bands, each in a table `[[band]]`, the highest first.",
        ),
        Key::new(
            "form",
            Kind::Tables("form"),
            Default::Else("the program's own forms"),
            "",
            "Forms of voicing of your own, each order in a table `[[form]]`.",
        ),
        Key::new(
            "progression",
            Kind::Tables("progression"),
            Default::Else("the program's own progressions"),
            "",
            "Progressions of your own, each in a table `[[progression]]`.",
        ),
        Key::new(
            "section",
            Kind::Tables("section"),
            Default::Required,
            "",
            "The sections in the order in which they are sat, each in a table `[[section]]`.",
        ),
    ],
    refused: &[],
    sample: "\
title = \"Week 3\"
level = \"class\"
edition = \"2026.1\"
symbols = \"maj7/m7\"
pass = 60
",
};

/// `[rules]`.
pub(super) const RULES: Part = Part {
    id: "rules",
    path: "rules",
    title: "The rules of the room: `[rules]`",
    says: "What holds for the whole exam.",
    shared: &[],
    keys: &[
        Key::new(
            "tries",
            Kind::Whole(1, 9),
            Default::Is("2"),
            "1",
            "Attempts at each item that is answered at the keyboard.",
        )
        .of("attempts"),
        Key::new(
            "feedback",
            Kind::Flag,
            Default::Is("false"),
            "true",
            "Whether the answer is shown after each item, which makes the exam a practice paper.",
        ),
        Key::new(
            "echo",
            Kind::Flag,
            Default::Is("true"),
            "false",
            "Whether the keys that are held are shown on the screen.",
        ),
        Key::new(
            "time_factor",
            Kind::List(&Kind::Number(1.0, 10.0), 2, 2),
            Default::Is("[1.0, 3.0]"),
            "[1.0, 2.0]",
            "The least and the greatest factor by which the time limits may be multiplied for a \
             candidate who is allowed more time.",
        )
        .of("times the limit"),
        Key::new(
            "timing",
            Kind::Text,
            Default::Is("\"\""),
            "\"A chord that has to be looked for comes too late.\"",
            "Why timing is essential to what you examine: a sentence for candidates and for whoever \
             grants more time. Checking the script warns where it is not said.",
        ),
        Key::new(
            "warm_ups",
            Kind::Whole(0, 9),
            Default::Is("3"),
            "2",
            "Unmarked items before the first section.",
        )
        .of("items"),
        Key::new(
            "reserve",
            Kind::Whole(0, 100),
            Default::Is("10"),
            "20",
            "Spare items, for when one has to be voided: so many in a hundred of each cell.",
        )
        .of("percent"),
        Key::new(
            "seats",
            Kind::Whole(1, 31),
            Default::Is("4"),
            "12",
            "How many parallel forms make a set, so that neighbours do not sit the same one.",
        )
        .of("forms"),
        Key::new(
            "span",
            Kind::Whole(1, 16),
            Default::Is("12"),
            "10",
            "The widest stretch that one hand is asked for; an octave is 12. Over 12 there is a \
             warning, for many hands cannot reach further.",
        )
        .of("semitones"),
        Key::new(
            "settle",
            Kind::Number(0.1, 5.0),
            Default::Is("0.6"),
            "0.8",
            "Keys that stay the same for so long are an attempt.",
        )
        .of("seconds"),
        Key::new(
            "show_marks",
            Kind::Flag,
            Default::Is("true"),
            "false",
            "Whether the candidate sees the mark sheet at the end.",
        ),
        Key::new(
            "practise",
            Kind::Flag,
            Default::Is("true"),
            "false",
            "Whether the last page offers a practice paper drawn from the result, where the candidate \
             sees the marks or each answer was shown.",
        ),
        Key::new(
            "hearings",
            Kind::Whole(1, 9),
            Default::Else("2, 3 for cadences, 4 for progressions and dictation"),
            "3",
            "How often each sound is heard at most, the first time included, where the section does \
             not say.",
        )
        .of("hearings"),
    ],
    refused: &[],
    sample: "\
[rules]
tries = 2
feedback = false
timing = \"Going straight to a chord is the skill that is examined.\"
",
};

/// `[[band]]`.
pub(super) const BAND: Part = Part {
    id: "band",
    path: "band",
    title: "Grade bands: `[[band]]`",
    says: "One table a band, from the highest to the lowest; the last one begins at 0.",
    shared: &[],
    keys: &[
        Key::new(
            "from",
            Kind::Number(0.0, 10_000.0),
            Default::Required,
            "85",
            "The least total of the band; lower than that of the band before.",
        )
        .of("marks"),
        Key::new(
            "name",
            Kind::Line,
            Default::Required,
            "\"secure\"",
            "What the mark sheet calls it; no two bands have the same name.",
        ),
    ],
    refused: &[],
    sample: "\
[[band]]
from = 80
name = \"assured\"

[[band]]
from = 0
name = \"not yet\"
",
};
