//! What a script brings itself: forms of voicing and progressions.

use super::{Default, Key, Kind, Part};

/// Degrees of a hand.
const fn hand(name: &'static str, example: &'static str, says: &'static str) -> Key {
    Key::new(
        name,
        Kind::Degrees,
        Default::Else("this hand plays nothing"),
        example,
        says,
    )
}

/// Two MIDI keys.
const fn keys(
    name: &'static str,
    default: &'static str,
    example: &'static str,
    says: &'static str,
) -> Key {
    Key::new(
        name,
        Kind::List(&Kind::Whole(0, 127), 2, 2),
        Default::Is(default),
        example,
        says,
    )
    .of("MIDI keys")
}

const fn flag(name: &'static str, says: &'static str) -> Key {
    Key::new(name, Kind::Flag, Default::Is("false"), "true", says)
}

/// `[[form]]`.
pub(super) const FORM: Part = Part {
    id: "form",
    path: "form",
    title: "Forms of voicing of your own: `[[form]]`",
    says: "One table an order. Several tables with the same `name` are the orders of one form; how \
           the form lies (`open`, `joined`, `doubling`, `optional` and the three ranges of keys) is \
           said with the first of them and holds for all. At least one hand has something to play, \
           one to five notes. A form with the name of one of the program's takes its place.",
    shared: &[],
    keys: &[
        Key::new(
            "name",
            Kind::Line,
            Default::Required,
            "\"school-shell\"",
            "The form's name; sections and cells ask for it with `form`.",
        ),
        Key::new(
            "order",
            Kind::Line,
            Default::Is("\"as written\""),
            "\"third on top\"",
            "The name of this order; cells ask for it with `order`, runs with `start`.",
        ),
        Key::new(
            "words",
            Kind::Line,
            Default::Required,
            "\"Root left, third and seventh right\"",
            "What is asked, as the candidate reads it.",
        ),
        hand(
            "left",
            "\"1 5\"",
            "The left hand from low to high. Plain 1 3 5 7 9 11 13 are the chord's own; with a sign \
             they are exact, as in b9; =9 is the natural ninth on chords that have no other.",
        ),
        hand("right", "\"3 7\"", "The right hand, in the same way."),
        flag(
            "open",
            "Whether neighbouring notes of a hand may be more than an octave apart.",
        ),
        flag(
            "joined",
            "Whether the right hand goes on within an octave above the left.",
        ),
        flag(
            "doubling",
            "Whether notes that the left hand doubles at the octave are set aside.",
        ),
        Key::new(
            "optional",
            Kind::Degrees,
            Default::Is("\"\""),
            "\"5\"",
            "Degrees of the two hands that may be left out.",
        ),
        keys(
            "left_lowest",
            "[34, 127]",
            "[36, 60]",
            "Between which keys the left hand's lowest note lies; middle C is 60.",
        ),
        keys(
            "right_lowest",
            "[52, 75]",
            "[50, 74]",
            "Between which keys the right hand's lowest note lies.",
        ),
        keys(
            "top",
            "[0, 127]",
            "[52, 90]",
            "Between which keys the highest note lies.",
        ),
    ],
    refused: &[],
    sample: "\
[[form]]
name = \"school-shell\"
order = \"seventh on top\"
words = \"Root and fifth left, third and seventh right\"
left = \"1 5\"
right = \"3 7\"
",
};

/// `[[progression]]`.
pub(super) const PROGRESSION: Part = Part {
    id: "progression",
    path: "progression",
    title: "Progressions of your own: `[[progression]]`",
    says: "One table a progression. Written in numerals it goes into any key; written in symbols it \
           stands in its own key, and cannot be asked by ear.",
    shared: &[],
    keys: &[
        Key::new(
            "name",
            Kind::Line,
            Default::Required,
            "\"turnaround\"",
            "Its name; cells ask for it with `progression`.",
        ),
        Key::new(
            "bars",
            Kind::List(&Kind::Line, 1, 128),
            Default::Required,
            "[\"Imaj7 VI7\", \"IIm7 V7\"]",
            "A text for each bar, with one to four chords of equal length and blanks between. A \
             numeral is the degree of the key and the quality, such as IIm7, bII7 or #IVdim7; `%` \
             lets the chord before go on.",
        )
        .of("bars"),
    ],
    refused: &[],
    sample: "\
[[progression]]
name = \"turnaround\"
bars = [\"Imaj7 VI7\", \"IIm7 V7\", \"Imaj7\", \"%\"]
",
};
