//! What the items of a cell share, and numbers in prompts.

use super::{decimal, line, seconds, voiced};
use crate::exam::script::Line;
use crate::theory::progression;
use crate::theory::quality::Quality;
use crate::theory::voicing::{SPAN, form};
use crate::time::Time;

#[test]
fn the_voicings_of_a_line_are_the_same_in_every_key() {
    let cycle = Line::Cycle {
        quality: Quality::DOMINANT,
        chords: 24,
    };
    let named = progression::names()
        .filter_map(progression::named)
        .map(Line::Progression);

    for of in named.chain([cycle]) {
        for name in ["guide-tones", "guide-tones-with-root"] {
            let form = form::named(name).expect("a form");
            for start in 0..2 {
                let in_key = |key| voiced(form, &line(&of, key), start, SPAN);
                let first = in_key(0);
                for key in 1..12 {
                    assert_eq!(in_key(key), first, "{of:?} in {key}");
                }
            }
        }
    }
}

#[test]
fn numbers_in_prompts_have_no_needless_decimals() {
    let check = |hundredths: u32, expected: &str| assert_eq!(decimal(hundredths), expected);

    check(8000, "80");
    check(9250, "92.5");
    check(13_325, "133.25");
    check(6005, "60.05");
    check(0, "0");
    assert_eq!(seconds(Time::from_ms(6000)), "6");
    assert_eq!(seconds(Time::from_ms(4500)), "4.5");
    assert_eq!(seconds(Time::from_ms(600_000)), "600");
}
