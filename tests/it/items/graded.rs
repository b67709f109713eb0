//! Graded items: by key, by pointer, with instruments lost in the middle, and stopped.

use viva_voicing::exam::form::Task;
use viva_voicing::kiosk::act::{Act, Key as Meaning, Reason};
use viva_voicing::kiosk::model::Screen;
use viva_voicing::kiosk::seat::Phase;
use viva_voicing::sitting::End;
use viva_voicing::theory::Key;

use super::scripts::*;
use super::stand::Stand;

fn begun(section: &str) -> Stand {
    let mut stand = Stand::new(&graded(section));
    stand.begin();
    stand
}

/// The number of the item on the page.
fn number(stand: &Stand) -> Option<u32> {
    stand.item().map(|item| item.number)
}

#[test]
fn a_voicing_shows_the_strip_only_and_goes_on_by_itself() {
    let mut stand = begun(VOICING);
    stand.says("At most two attempts.");
    stand.says("Root and fifth left, third and seventh right, seventh on top");
    let first = number(&stand);
    let keys = stand.asked();
    let from = stand.time();
    stand
        .keys
        .chord(&keys, from, from + viva_voicing::time::Time::from_ms(400));
    stand.wait(100);
    stand.says("held: ");
    stand.says_nothing_of("left hand");
    stand.until("the next one", |stand| {
        number(stand).is_some_and(|it| Some(it) != first)
    });
}

#[test]
fn nothing_in_a_graded_voicing_tells_right_from_wrong() {
    let mut right = begun(VOICING);
    let mut wrong = begun(VOICING);
    let keys = right.asked();
    let up = |keys: &[viva_voicing::theory::Key]| -> Vec<viva_voicing::theory::Key> {
        keys.iter()
            .map(|key| viva_voicing::theory::Key::new(i64::from(key.number()) + 1).unwrap())
            .collect()
    };
    right.play(&keys, 600);
    wrong.play(&up(&keys), 600);
    for _ in 0..200 {
        assert_eq!(right.phase(), wrong.phase());
        assert_eq!(right.sheet().said, wrong.sheet().said);
        right.wait(20);
        wrong.wait(20);
    }
}

#[test]
fn a_run_is_looked_at_counted_in_and_played() {
    let mut stand = begun(TEMPO);
    stand.says("Look");
    stand.says("Two bars are counted in.");
    stand.says("starting with the");
    stand.wait(2_100);
    stand.says("Get ready");
    stand.says("bar 1 of 2");
    stand.says("1");
    stand.wait(2_000);
    stand.says("bar 2 of 2");
    stand.wait(2_000);
    stand.says("Play on");
    stand.says("now");
    // Its beats cannot be handed in.
    stand.press(Meaning::Enter);
    assert!(stand.item().is_some());
}

#[test]
fn a_free_run_is_handed_in_by_enter_or_by_pointer() {
    for by_key in [true, false] {
        let mut stand = begun(FREE);
        stand.says("At most 6 seconds a chord.");
        if by_key {
            stand.press(Meaning::Enter);
        } else {
            stand.point(Act::HandIn);
        }
        stand.wait(100);
        assert!(matches!(stand.kiosk.screen, Screen::End(_)));
    }
}

#[test]
fn an_ear_item_is_answered_by_figures_arrows_and_pointer() {
    let mut stand = begun(EAR);
    stand.says("It sounds now");
    stand.until("silence", |stand| !stand.seat().sounding);
    stand.says("Heard once; one hearing left");
    let chosen = |stand: &Stand| stand.seat().answer.options.first().copied().flatten();
    stand.types("3");
    assert_eq!(chosen(&stand), Some(2));
    stand.says("your answer");
    stand.press(Meaning::Arrow(1));
    assert_eq!(chosen(&stand), Some(3));
    stand.press(Meaning::Arrow(-1));
    assert_eq!(chosen(&stand), Some(2));
    stand.point(Act::Answer(0, 4));
    assert_eq!(chosen(&stand), Some(4));
    // There is no ninth option.
    stand.types("9");
    assert_eq!(chosen(&stand), Some(4));
    let before = stand.speaker.lock().played.len();
    stand.types(" ");
    stand.wait(100);
    stand.says("It sounds now");
    assert_eq!(stand.speaker.lock().played.len(), before + 1);
    stand.until("silence", |stand| !stand.seat().sounding);
    stand.says("No hearing left");
    stand.types(" ");
    stand.wait(100);
    assert_eq!(stand.speaker.lock().played.len(), before + 1);
    let first = number(&stand);
    stand.press(Meaning::Enter);
    stand.until("the next one", |stand| {
        number(stand).is_some_and(|it| Some(it) != first)
    });
}

#[test]
fn figures_answer_part_after_part_and_there_is_a_way_back() {
    let mut stand = begun(PARTS);
    let options = |stand: &Stand| stand.seat().answer.options.clone();
    stand.types("2");
    assert_eq!(options(&stand), [Some(1), None]);
    stand.types("3");
    assert_eq!(options(&stand), [Some(1), Some(2)]);
    // Figures go on with the last part, until the way goes back.
    stand.types("1");
    assert_eq!(options(&stand), [Some(1), Some(0)]);
    stand.press(Meaning::Backspace);
    stand.types("4");
    assert_eq!(options(&stand), [Some(3), Some(0)]);
    stand.point(Act::Part(1));
    stand.types("2");
    assert_eq!(options(&stand), [Some(3), Some(1)]);
    stand.point(Act::Answer(0, 0));
    assert_eq!(options(&stand), [Some(0), Some(1)]);
}

#[test]
fn more_than_ten_options_have_letters_after_the_figures() {
    let mut stand = begun(TWELVE);
    for (sign, place) in [("1", 0), ("0", 9), ("a", 10), ("B", 11)] {
        stand.types(sign);
        assert_eq!(stand.seat().answer.options, [Some(place)], "{sign}");
    }
    stand.says("minor second");
}

#[test]
fn a_spelling_is_typed_and_touched_with_double_accidentals() {
    let mut stand = begun(SPELL);
    let tones = |stand: &Stand| stand.seat().answer.tones.clone();
    // B is a letter, and never an accidental.
    stand.types("bB_d#");
    assert_eq!(tones(&stand), [('B', 0), ('B', -2), ('D', 1)]);
    stand.press(Meaning::Backspace);
    stand.point(Act::RubOut);
    assert_eq!(tones(&stand), [('B', 0)]);
    stand.point(Act::Letter('F'));
    stand.point(Act::Alter(2));
    stand.types("hH");
    assert_eq!(tones(&stand), [('B', 0), ('F', 2)]);
    stand.says("F double sharp");
    stand.types("ace");
    assert_eq!(tones(&stand).len(), 4);
    for degree in ["root", "third", "fifth", "seventh"] {
        stand.says(degree);
    }
    let first = number(&stand);
    stand.press(Meaning::Enter);
    stand.until("the next one", |stand| {
        number(stand).is_some_and(|it| Some(it) != first)
    });
}

#[test]
fn a_lost_keyboard_stops_hands_and_leaves_ears_alone() {
    for (section, next) in [
        (VOICING, "another one in place of this"),
        (BACK, "another one in place of this"),
        (TEMPO, "this line once more"),
        (FREE, "this line once more"),
    ] {
        let mut stand = begun(section);
        let first = number(&stand);
        stand.wait(1_000);
        stand.keys.unplug(stand.time());
        stand.wait(60);
        assert!(matches!(stand.phase(), Phase::Stopped { .. }), "{section}");
        stand.says("We can’t hear the keyboard.");
        stand.says("held at");
        stand.says(next);
        stand.says(" · 1 of ");
        stand.wait(5_000);
        stand.keys.plug(stand.time());
        stand.until("an item", |stand| stand.item().is_some());
        let again = number(&stand);
        assert_eq!(
            again == first,
            ![VOICING, BACK].contains(&section),
            "{section}"
        );
    }
    for section in [EAR, SPELL] {
        let mut stand = begun(section);
        stand.keys.unplug(stand.time());
        stand.wait(100);
        assert!(stand.item().is_some(), "{section}");
    }
}

#[test]
fn a_lost_sound_stops_what_sounds_and_leaves_the_rest_alone() {
    for section in [EAR, PARTS, TEMPO] {
        let mut stand = begun(section);
        stand.wait(500);
        stand.speaker.lock().lose();
        stand.wait(60);
        stand.says("The sound is gone.");
        stand.wait(2_000);
        stand.speaker.lock().find();
        stand.until("an item", |stand| stand.item().is_some());
    }
    for section in [VOICING, FREE, SPELL] {
        let mut stand = begun(section);
        stand.speaker.lock().lose();
        stand.wait(100);
        assert!(stand.item().is_some(), "{section}");
    }
}

#[test]
fn f10_stops_any_item_and_goes_back_or_ends() {
    for section in [VOICING, TEMPO, FREE, EAR, SPELL] {
        let mut stand = begun(section);
        stand.wait(300);
        stand.press(Meaning::Function(10));
        stand.says("Do you want to stop?");
        stand.press(Meaning::Enter);
        stand.until("an item", |stand| stand.item().is_some());
        stand.wait(300);
        stand.press(Meaning::Function(10));
        stand.point(Act::Stop(Reason::Pain));
        stand.wait(60);
        assert!(
            matches!(stand.kiosk.ended(), Some(End::Void(why)) if why == "pain"),
            "{section}"
        );
    }
}

#[test]
fn a_graded_item_takes_no_time_of_practice() {
    let mut stand = begun(VOICING);
    let left = stand.seat().time_left(stand.now);
    stand.press(Meaning::Function(9));
    stand.kiosk.act(Act::Again);
    assert_eq!(stand.seat().time_left(stand.now), left);
    assert!(matches!(stand.task(), Task::Voicing(_)));
}

#[test]
fn a_dictation_goes_chord_by_chord_by_keyboard_alone() {
    let mut stand = begun(DICTATION);
    let options = |stand: &Stand| stand.seat().answer.options.clone();
    let place = |stand: &Stand| stand.seat().answer.part;
    stand.says("Which bass and which quality has each chord?");
    stand.says("Chord 1, bass");
    // Along the basses first, then along the qualities.
    stand.types("17");
    assert_eq!(options(&stand)[..4], [Some(0), None, Some(6), None]);
    stand.says("Chord 2, bass: sharp four");
    assert_eq!(place(&stand), 4);
    stand.press(Meaning::Arrow(1));
    assert_eq!(place(&stand), 5);
    stand.says("Chord 3, quality");
    stand.types("3");
    assert_eq!((options(&stand)[5], place(&stand)), (Some(2), 7));
    stand.says("Chord 3, quality: minor seventh");
    stand.press(Meaning::Side(-1));
    stand.press(Meaning::Side(-1));
    stand.press(Meaning::Arrow(-1));
    assert_eq!(place(&stand), 2);
    // The letter b is the twelfth answer; there is no eleventh quality.
    stand.types("b");
    assert_eq!(options(&stand)[2], Some(11));
    stand.press(Meaning::Side(-1));
    stand.press(Meaning::Arrow(1));
    let before = options(&stand);
    stand.types("b");
    assert_eq!(options(&stand), before);
    stand.point(Act::Part(15));
    stand.point(Act::Answer(15, 1));
    assert_eq!(options(&stand)[15], Some(1));
    stand.press(Meaning::Enter);
    stand.wait(100);
    let sitting = stand.seat().sitting();
    let showing = sitting.showings().last().unwrap();
    let given = showing
        .events
        .iter()
        .rev()
        .find_map(|event| match &event.action {
            viva_voicing::marking::event::Action::Answer(text) => Some(text.clone()),
            _ => None,
        });
    assert_eq!(
        given.as_deref(),
        Some("I /  / VII /  /  / m7 /  /  /  /  /  /  /  /  /  / 7")
    );
}

#[test]
fn what_was_heard_is_played_back_at_the_keyboard() {
    let mut stand = begun(BACK);
    stand.says("Play what you hear.");
    stand.says("Listen. Then play it, in any octave.");
    let Task::Ear(task) = stand.task() else {
        panic!("something to hear");
    };
    let key = |step: usize| Key::new(i64::from(task.steps()[step][0]) - 12).unwrap();
    // What is struck while it sounds belongs to nothing.
    stand.play(&[key(0)], 100);
    stand.says("Taken: 0 of");
    stand.until("silence", |stand| !stand.seat().sounding);
    stand.play(&[key(0)], 100);
    stand.says("Taken: 1 of");
    stand.press(Meaning::Backspace);
    stand.says("Taken: 0 of");
    for step in 0..task.steps().len() {
        if task.steps()[step].len() == 1 {
            stand.play(&[key(step)], 100);
        }
    }
    stand.says_nothing_of("right");
    let first = number(&stand);
    stand.press(Meaning::Enter);
    stand.until("the next one", |stand| {
        number(stand).is_some_and(|it| Some(it) != first)
    });
}
