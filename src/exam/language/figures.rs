//! The figures of the marking rules that a script may change.

use super::{Default, Key, Kind, Part};

/// A figure in milliseconds.
const fn ms(
    name: &'static str,
    default: &'static str,
    example: &'static str,
    says: &'static str,
) -> Key {
    Key::new(
        name,
        Kind::Whole(10, 10_000),
        Default::Is(default),
        example,
        says,
    )
    .of("milliseconds")
}

/// The bounds of three steps.
const fn steps(
    name: &'static str,
    default: &'static str,
    example: &'static str,
    says: &'static str,
) -> Key {
    Key::new(
        name,
        Kind::List(&Kind::Whole(1, 1000), 3, 3),
        Default::Is(default),
        example,
        says,
    )
    .of("percent")
}

/// `[rubric]`.
pub(super) const RUBRIC: Part = Part {
    id: "rubric",
    path: "rubric",
    title: "Figures of the marking rules: `[rubric]`",
    says: "Leave this table out unless you have tried the figures that you change: marks can be \
           compared only between exams with the same figures.",
    shared: &[],
    keys: &[
        ms(
            "gather_ms",
            "80",
            "100",
            "A key struck so soon after a match belongs to the same attempt.",
        ),
        ms(
            "apart_ms",
            "200",
            "250",
            "A key struck later than this after the one before begins another attempt, if something \
             was released between.",
        ),
        ms(
            "found_ms",
            "200",
            "300",
            "Keys held for so long on the way to the chord count as found on the way.",
        ),
        ms(
            "closing_ms",
            "1500",
            "2000",
            "An item closes so long after an offer without a new key, right or wrong.",
        ),
        Key::new(
            "graze_velocity",
            Kind::Whole(1, 127),
            Default::Is("20"),
            "15",
            "A foreign key that is struck more softly than this, and is short, was only brushed and \
             is not counted. How hard a key is struck is told as MIDI tells it, from 1 to 127.",
        ),
        ms(
            "graze_ms",
            "80",
            "60",
            "A foreign key that is held for less than this, and is soft, was only brushed.",
        ),
        ms(
            "window_ms",
            "400",
            "300",
            "How far from its beat a chord in tempo may come at most; never more than half a beat.",
        ),
        ms(
            "still_down_ms",
            "150",
            "200",
            "Keys of the chord before count as played again if they are still down so long after \
             the last note of a chord in tempo.",
        ),
        steps(
            "leading",
            "[125, 175, 250]",
            "[120, 160, 220]",
            "Voice leading: how far the voices move over the least possible, for the steps 4, 3 and \
             2. Each bound is above the one before.",
        ),
        steps(
            "readiness",
            "[40, 60, 85]",
            "[50, 70, 90]",
            "Readiness: the median time to complete over the limit, for the steps 4, 3 and 2.",
        ),
        steps(
            "time",
            "[5, 8, 13]",
            "[6, 10, 15]",
            "Time: the mean distance from the beat in percent of a beat, for the steps 4, 3 and 2.",
        ),
    ],
    refused: &[],
    sample: "\
[rubric]
window_ms = 300
readiness = [50, 70, 90]
",
};
