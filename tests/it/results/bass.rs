//! The bass under what hands play: in the result, read again, and in no mark.

use viva_voicing::exam::code::Code;
use viva_voicing::exam::{draw, read};
use viva_voicing::marking::item::Allowance;
use viva_voicing::results::document::{self, Given};
use viva_voicing::sitting::outcome::outcome;
use viva_voicing::sitting::{Event, Sitting};
use viva_voicing::time::Time;

const SCRIPT: &str = include_str!("../../fixtures/scripts/good/bass.toml");

/// Sits the first item alone, with or without its bass being heard, and writes the result.
fn sat(sounds: bool) -> (Sitting, String) {
    let (exam, found) = read::read(SCRIPT, "bass");
    let exam = exam.unwrap_or_else(|| panic!("{found:#?}"));
    let form = draw::draw(&exam, Code::FIRST).unwrap();
    let number = form.items[0].number;
    let mut sitting = Sitting::new(exam, form, Allowance::NONE);

    let _ = sitting.update(Event::Go, Time::from_ms(500));
    let _ = sitting.update(Event::Shown(number), Time::from_ms(1_000));
    if sounds {
        let _ = sitting.update(Event::Sounded, Time::from_ms(1_080));
        // Nothing begins twice.
        let _ = sitting.update(Event::Sounded, Time::from_ms(1_500));
    }
    let _ = sitting.update(Event::Stopped("enough".to_owned()), Time::from_ms(30_000));
    let given = Given {
        script: SCRIPT.to_owned(),
        ..Given::default()
    };
    let text = document::write(&sitting, &given);

    (sitting, text)
}

#[test]
fn the_result_tells_when_the_bass_was_heard_and_keeps_it() {
    let (sitting, text) = sat(true);
    assert!(text.contains("\nbass_ms = 80.0\n"), "{text}");
    let read = document::read(&text, None).unwrap();
    assert_eq!(read.sitting.showings(), sitting.showings());
    assert_eq!(document::write(&read.sitting, &read.given), text);
}

#[test]
fn what_was_not_heard_is_not_told_and_no_mark_hangs_on_it() {
    let ((with, _), (without, text)) = (sat(true), sat(false));
    assert!(!text.contains("bass_ms"), "{text}");
    assert_eq!(outcome(&with).grade, outcome(&without).grade);
    assert_eq!(with.showings()[0].events, without.showings()[0].events);
    assert_eq!(with.showings()[0].zero, with.showings()[0].shown);
}
