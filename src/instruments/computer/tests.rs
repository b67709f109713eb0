//! Keys of the computer, the pointer, and what they tell.

use super::keyboard::Keyboard as _;
use super::*;

fn ms(ms: i64) -> Time {
    Time::from_ms(ms)
}

fn key(number: u8) -> Key {
    Key::new(i64::from(number)).expect("the test names a key")
}

fn down(number: u8) -> Touch {
    Touch::Down {
        key: key(number),
        velocity: VELOCITY,
    }
}

fn up(number: u8) -> Touch {
    Touch::Up { key: key(number) }
}

fn touches(keyboard: &mut Keyboard) -> Vec<Touch> {
    keyboard
        .poll(ms(100_000))
        .into_iter()
        .filter_map(|event| match event.fact {
            Fact::Touched(touch) => Some(touch),
            _ => None,
        })
        .collect()
}

#[test]
fn presses_and_releases_keep_their_times() {
    let mut keyboard = Keyboard::new();
    assert!(keyboard.press("KeyU", ms(10)));
    assert!(keyboard.press("KeyU", ms(40)), "a repetition is ours too");
    assert!(keyboard.release("KeyU", ms(70)));
    assert_eq!(
        keyboard.poll(ms(80)),
        [
            Event::new(ms(10), Fact::Touched(down(60))),
            Event::new(ms(70), Fact::Touched(up(60))),
        ]
    );
    assert_eq!(keyboard.poll(ms(90)), []);
}

#[test]
fn times_are_neither_in_the_future_nor_backwards() {
    let mut keyboard = Keyboard::new();
    let _ = keyboard.press("KeyU", ms(50));
    let _ = keyboard.press("KeyI", ms(30));
    let _ = keyboard.press("KeyO", ms(200));
    let at: Vec<_> = keyboard
        .poll(ms(100))
        .iter()
        .map(|event| event.at)
        .collect();
    assert_eq!(at, [ms(50), ms(50), ms(100)]);
}

#[test]
fn other_codes_belong_to_others() {
    let mut keyboard = Keyboard::new();
    for code in [
        "Space",
        "Enter",
        "F12",
        "Escape",
        "Digit3",
        "Semicolon",
        "",
        "z",
    ] {
        assert!(!keyboard.press(code, ms(0)), "{code}");
        assert!(!keyboard.release(code, ms(0)), "{code}");
    }
    assert_eq!(touches(&mut keyboard), []);
}

#[test]
fn black_keys_lie_between_their_white_neighbours() {
    // The white keys of each hand from left to right, as the rows lie (W3C UI Events KeyboardEvent
    // code Values, writing system keys).
    let lower = "KeyZ KeyX KeyC KeyV KeyB KeyN KeyM Comma Period Slash";
    let behind = "KeyA KeyS KeyD KeyF KeyG KeyH KeyJ KeyK KeyL Semicolon Quote";
    let upper = "KeyQ KeyW KeyE KeyR KeyT KeyY KeyU KeyI KeyO KeyP BracketLeft BracketRight";
    let digits =
        "Digit1 Digit2 Digit3 Digit4 Digit5 Digit6 Digit7 Digit8 Digit9 Digit0 Minus Equal";
    let keyboard = Keyboard::new();
    let is_white = |number: u8| [0, 2, 4, 5, 7, 9, 11].contains(&(number % 12));

    for (white, black) in [(lower, behind), (upper, digits)] {
        let white: Vec<_> = white
            .split(' ')
            .map(|code| keyboard.key(code).expect(code).number())
            .collect();
        let black: Vec<_> = black
            .split(' ')
            .map(|code| keyboard.key(code).map(Key::number))
            .collect();
        assert!(white.iter().all(|number| is_white(*number)));
        assert!(
            white
                .windows(2)
                .all(|two| (1..=2).contains(&(two[1] - two[0])))
        );
        // The key behind and to the right of white key i is black key i + 1.
        for (place, number) in white.iter().enumerate() {
            let next = (!is_white(number + 1)).then_some(number + 1);
            if let Some(found) = black.get(place + 1) {
                assert_eq!(*found, next, "behind {number}");
            }
        }
    }
}

#[test]
fn the_rows_join_without_a_gap() {
    let keyboard = Keyboard::new();
    let mut all: Vec<_> = [Hand::Left, Hand::Right]
        .iter()
        .flat_map(|hand| keyboard.codes(*hand))
        .map(|(_, key)| key.number())
        .collect();
    all.sort_unstable();
    all.dedup();
    assert_eq!(all, (32..=69).collect::<Vec<_>>());
}

#[test]
fn four_keys_over_more_than_two_octaves_sound_at_once() {
    let mut keyboard = Keyboard::new();
    // Guide tones over root and fifth: B♭1 F2, D4 A4.
    for code in ["KeyS", "KeyN", "KeyI", "BracketRight"] {
        assert!(keyboard.press(code, ms(5)));
    }
    assert_eq!(touches(&mut keyboard), [34, 41, 62, 69].map(down));
}

#[test]
fn a_hand_is_moved_while_its_keys_stay() {
    let mut keyboard = Keyboard::new();
    let _ = keyboard.press("KeyZ", ms(1));
    keyboard.shift(Hand::Left, 1);
    let _ = keyboard.press("KeyX", ms(2));
    let _ = keyboard.press("KeyQ", ms(3));
    let _ = keyboard.release("KeyZ", ms(4));
    assert_eq!(
        touches(&mut keyboard),
        [down(33), down(47), down(50), up(33)]
    );
    keyboard.shift(Hand::Right, 127);
    assert_eq!(keyboard.shifted(Hand::Right), FURTHEST);
    assert_eq!(keyboard.key("BracketRight"), Some(key(105)));
    keyboard.shift(Hand::Left, -128);
    assert_eq!(keyboard.shifted(Hand::Left), -FURTHEST);
    // A♭1 three octaves down is no key; the code is still ours.
    assert_eq!(keyboard.key("KeyA"), None);
    assert!(keyboard.press("KeyA", ms(5)));
    assert!(keyboard.release("KeyA", ms(6)));
    assert_eq!(touches(&mut keyboard), []);
}

#[test]
fn a_key_under_two_fingers_comes_up_with_the_last() {
    let mut keyboard = Keyboard::new();
    let _ = keyboard.press("Quote", ms(1));
    let _ = keyboard.press("Digit1", ms(2));
    keyboard.pointer_press(key(49), ms(3));
    let _ = keyboard.release("Quote", ms(4));
    keyboard.pointer_release(ms(5));
    assert_eq!(touches(&mut keyboard), [down(49)]);
    let _ = keyboard.release("Digit1", ms(6));
    assert_eq!(touches(&mut keyboard), [up(49)]);
}

#[test]
fn the_pointer_plays_one_key_and_pins_others() {
    let mut keyboard = Keyboard::new();
    keyboard.pointer_pin(key(34), ms(1));
    keyboard.pointer_pin(key(41), ms(2));
    keyboard.pointer_press(key(62), ms(3));
    keyboard.pointer_press(key(69), ms(4));
    assert_eq!(
        touches(&mut keyboard),
        [down(34), down(41), down(62), up(62), down(69)]
    );
    keyboard.pointer_pin(key(34), ms(5));
    keyboard.let_go(ms(6));
    assert_eq!(touches(&mut keyboard), [up(34), up(41), up(69)]);
    keyboard.pointer_release(ms(7));
    assert_eq!(touches(&mut keyboard), []);
}

#[test]
fn chord_spread_is_not_reported_for_it() {
    let keyboard = Keyboard::new();
    assert_eq!(keyboard.kind(), Kind::Computer);
    assert!(!keyboard.kind().has_spread());
    assert!(keyboard.is_there());
}
