//! Form codes: read as they were printed, however they are typed, and refused when mistyped.

use viva_voicing::exam::chance::Chance;
use viva_voicing::exam::code::{Code, SEATS, SETS};

/// The signs of a code.
const SIGNS: &str = "23456789ABCDEFGHJKMNPQRSTUVWXYZ";

fn drawn(count: usize) -> impl Iterator<Item = Code> {
    let mut chance = Chance::new("codes of the tests", &[]);

    (0..count).map(move |_| {
        let seed = chance.below(SETS as usize) as u32;
        Code::new(seed, chance.below(usize::from(SEATS)) as u8 + 1)
    })
}

fn refused(text: &str) -> String {
    match Code::parse(text) {
        Ok(code) => panic!("`{text}` was read as {code}"),
        Err(error) => error.to_string(),
    }
}

#[test]
fn a_printed_code_is_read_back() {
    for seed in (0..SETS).step_by(997).chain([1, SETS - 1]) {
        for seat in 1..=SEATS {
            let code = Code::new(seed, seat);
            let text = code.to_string();
            assert_eq!(text.len(), 7, "{text}");
            assert_eq!(Code::parse(&text), Ok(code));
            assert_eq!((code.seed(), code.seat()), (seed, seat));
        }
    }
}

#[test]
fn no_sign_of_a_code_is_taken_for_another() {
    for code in drawn(500) {
        let text = code.to_string();
        assert!(!text.contains(['0', '1', 'I', 'L', 'O']), "{text}");
    }
}

#[test]
fn every_single_wrong_sign_is_refused() {
    for code in drawn(200) {
        let signs: Vec<char> = code.to_string().replace('-', "").chars().collect();
        for place in 0..6 {
            for sign in SIGNS.chars().filter(|sign| *sign != signs[place]) {
                let mut wrong = signs.clone();
                wrong[place] = sign;
                let text: String = wrong.into_iter().collect();
                assert!(refused(&text).contains("mistyped"), "{text}");
            }
        }
    }
}

#[test]
fn every_exchange_of_neighbours_is_refused() {
    for code in drawn(200) {
        let signs: Vec<char> = code.to_string().replace('-', "").chars().collect();
        for place in (0..5).filter(|place| signs[*place] != signs[place + 1]) {
            let mut wrong = signs.clone();
            wrong.swap(place, place + 1);
            let text: String = wrong.into_iter().collect();
            assert!(refused(&text).contains("mistyped"), "{text}");
        }
    }
}

#[test]
fn a_code_may_be_typed_in_many_ways() {
    for code in drawn(50) {
        let text = code.to_string();
        let bare = text.replace('-', "");
        let apart: Vec<String> = bare.chars().map(String::from).collect();
        for typed in [
            text.to_lowercase(),
            bare.clone(),
            bare.to_lowercase(),
            text.replace('-', " "),
            text.replace('-', "–"),
            text.replace('-', " - "),
            apart.join(" "),
            apart.join("-"),
            format!("  {text}\t\n"),
        ] {
            assert_eq!(Code::parse(&typed), Ok(code), "{typed:?}");
        }
    }
}

#[test]
fn a_sign_that_no_code_has_is_told_with_what_to_look_for() {
    let check = |sign: char, hint: &str| {
        let text = format!("22{sign}-222");
        let message = refused(&text);
        assert!(message.contains(&format!("`{sign}`")), "{message}");
        assert!(message.contains(hint), "{message}");
    };

    check('0', "look again for a D, a Q or an 8");
    check('O', "look again for a D, a Q or an 8");
    check('o', "look again for a D, a Q or an 8");
    check('1', "look again for a 7, a J or a T");
    check('I', "look again for a 7, a J or a T");
    check('l', "look again for a 7, a J or a T");
    check('L', "look again for a 7, a J or a T");
    check('?', "the signs are 2 to 9 and A to Z without I, L and O");
    check('Ä', "the signs are 2 to 9");
    check('🎹', "the signs are 2 to 9");
    check('２', "the signs are 2 to 9");
}

#[test]
fn a_text_of_another_length_is_told_with_an_example() {
    let check = |text: &str, shown: &str| {
        let message = refused(text);
        let example = Code::FIRST.to_string();
        let expected =
            format!("expected a form code of six signs such as `{example}`, found {shown}");
        assert_eq!(message, expected);
    };

    check("", "nothing");
    check("  - ", "nothing");
    check("222", "three: `222`");
    check("222-22", "five: `222-22`");
    check("2222222", "more: `2222222`");
    check(&"2".repeat(1000), &format!("more: `{}…`", "2".repeat(20)));
}
