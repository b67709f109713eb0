//! The check, step by step: keyboard, lowest key, middle C, level, beats.

use viva_voicing::instruments::speaker::Level;
use viva_voicing::kiosk::act::Key as Meaning;
use viva_voicing::kiosk::model::Screen;
use viva_voicing::theory::Key;
use viva_voicing::time::Time;

use super::stage::{Scene, Stage};

fn bundled() -> Stage {
    let mut stage = Stage::new(Scene::bundled());
    stage.reach_check("17");
    stage
}

fn at_level() -> Stage {
    let mut stage = bundled();
    stage.play(36);
    stage.play(60);
    stage.says("Is the chord comfortable to hear?");
    stage
}

#[test]
fn a_keyboard_that_is_there_is_named_and_its_size_known() {
    let mut stage = bundled();
    stage.says("The keyboard is connected: grand piano");
    stage.says("Play the lowest key");
    let check = |lowest: i64, text: &str| {
        let mut stage = bundled();
        stage.play(lowest);
        stage.says("Play middle C");
        stage.says(text);
    };
    check(21, "Its lowest key is A0, as on keyboards of 88 keys");
    check(28, "Its lowest key is E1, as on keyboards of 76 keys");
    check(36, "Its lowest key is C2, as on keyboards of 61 keys");
    check(41, "Its lowest key is F2");
    stage.play(36);
    stage.play(60);
    stage.says("Is the chord comfortable to hear?");
}

#[test]
fn too_few_keys_are_said_at_once_and_one_can_still_go_on() {
    let mut stage = bundled();
    stage.play(60);
    stage.says("The lowest key was C4; this examination needs the keys from C3 to");
    stage.says("ask for a larger keyboard");
    // A lower key mends it.
    stage.play(36);
    stage.says("Play middle C");

    let mut stage = bundled();
    stage.play(60);
    stage.tab_to("Go on all the same");
    stage.says("Play middle C");
}

#[test]
fn an_octave_shift_is_found_and_counted() {
    let check = |played: i64, text: &str| {
        let mut stage = bundled();
        stage.play(36);
        stage.play(played);
        stage.says("Play middle C");
        stage.says(text);
        // Set back, it goes on.
        stage.play(60);
        stage
    };
    check(72, "That was C5. The keyboard is shifted up by one octave").says("Is the chord");
    check(84, "shifted up by two octaves").says("Is the chord");
    check(62, "That was D4. Try the C in the middle again.").says("Is the chord");

    // Shifted down, the lowest key is really an octave higher, and may be too high.
    check(
        48,
        "That was C3. The keyboard is shifted down by one octave",
    )
    .says("lowest key is C3");

    // A lowest key that was told under the shift is set right.
    let mut stage = bundled();
    stage.play(48);
    stage.play(72);
    stage.play(60);
    stage.says("Its lowest key is C2, as on keyboards of 61 keys");
}

#[test]
fn without_a_keyboard_the_computers_keys_are_offered_with_their_places() {
    let absent = Scene {
        midi: false,
        ..Scene::bundled()
    };
    let mut stage = Stage::new(absent.clone());
    stage.reach_check("17");
    stage.says("We can’t hear the keyboard.");
    stage.says("U C4");
    stage.says("Left hand: A A♭1, Z A1");
    // Enter does nothing: it is easily pressed by mistake.
    stage.enter();
    stage.says("We can’t hear the keyboard.");
    stage.point("Use the computer’s keys");
    stage.pass(60);
    stage.says("Is the chord comfortable to hear?");
    stage.says("The computer’s own keys");

    // One that is plugged in meanwhile is found by itself.
    let mut stage = Stage::new(absent.clone());
    stage.reach_check("17");
    stage.hands.plug(stage.now + Time::from_ms(10));
    stage.pass(60);
    stage.says("Play the lowest key");

    // Where the room has no such keys there is a box for the invigilator.
    let mut stage = Stage::new(Scene {
        computer: false,
        ..absent
    });
    stage.reach_check("17");
    stage.says("raise your hand");
    stage.point("Go on without a keyboard");
    stage.says("Is the chord comfortable to hear?");
}

#[test]
fn a_keyboard_that_is_lost_during_the_check_is_asked_for_again() {
    let mut stage = bundled();
    stage.play(36);
    stage.hands.unplug(stage.now + Time::from_ms(10));
    stage.pass(60);
    stage.says("We can’t hear the keyboard.");
    stage.hands.plug(stage.now + Time::from_ms(10));
    stage.pass(60);
    stage.says("Play the lowest key");
}

/// Tells where each clip sounds: left, right.
fn sides(stage: &Stage) -> Vec<(bool, bool)> {
    let speaker = stage.speaker.lock();
    let sounds = |channel: usize, frames: &[[f32; 2]]| {
        frames.iter().any(|frame| frame[channel].abs() > 0.001)
    };

    speaker
        .played
        .iter()
        .map(|(_, clip)| (sounds(0, &clip.frames), sounds(1, &clip.frames)))
        .collect()
}

#[test]
fn the_chord_sounds_left_then_right_then_on_both_sides() {
    let mut stage = at_level();
    stage.pass(13_000);
    let both = (true, true);
    assert_eq!(
        sides(&stage)[..4],
        [(true, false), (false, true), both, both]
    );
    stage.point("Left and right again");
    stage.pass(100);
    assert_eq!(sides(&stage).last(), Some(&(true, false)));
}

#[test]
fn the_level_starts_quiet_goes_by_arrows_and_pointer_and_is_kept_for_this_sitting_only() {
    let mut stage = at_level();
    stage.pass(60);
    assert_eq!(stage.speaker.lock().level, Level::START);
    stage.says("3 of 10");
    stage.key(Meaning::Arrow(1));
    stage.says("4 of 10");
    stage.point("Louder");
    stage.says("5 of 10");
    stage.point("Softer");
    stage.key(Meaning::Arrow(-1));
    stage.key(Meaning::Arrow(-1));
    stage.says("2 of 10");
    stage.says("Never louder than you need.");
    stage.pass(60);
    assert_eq!(stage.speaker.lock().level, Level::new(2).unwrap());
    stage.point("Comfortable");
    stage.says("The sound is comfortable: level 2 of 10");
    let Screen::Check(check) = &stage.kiosk.screen else {
        panic!("the beats come next");
    };
    assert_eq!(check.level.step(), 2);
    // The next candidate begins as quietly as this one did.
    assert_eq!(stage.kiosk.setup.level, Level::START);
}

#[test]
fn sound_that_is_gone_is_said_and_found_by_itself() {
    let mut stage = at_level();
    stage.speaker.lock().lose();
    stage.pass(60);
    stage.says("There is no sound yet");
    stage.enter();
    stage.says("There is no sound yet");
    stage.speaker.lock().find();
    let before = stage.speaker.lock().played.len();
    stage.pass(60);
    stage.says("Is the chord comfortable to hear?");
    assert_eq!(stage.speaker.lock().played.len(), before + 1);

    // The invigilator may go on without; beats that nobody hears are left out.
    stage.speaker.lock().lose();
    stage.pass(60);
    stage.point("Go on without sound");
    stage.pass(60);
    stage.says("The plan of the examination");
}

#[test]
fn tapping_tells_how_late_and_can_be_done_again() {
    let mut stage = at_level();
    stage.enter();
    stage.says("Tap along with the beats");
    stage.tap(23);
    stage.says("You tap 23 ms late; that is taken out.");
    stage.point("Tap again");
    stage.tap(-15);
    stage.says("You tap 15 ms early; that is taken out.");
    stage.enter();
    stage.says("The plan of the examination");
    let Screen::Plan(found) = &stage.kiosk.screen else {
        panic!("the plan");
    };
    assert_eq!(found.lag.unwrap().median, Time::from_ms(-15));
    assert_eq!(found.lowest, Some(Key::new(36).unwrap()));
}

#[test]
fn too_few_taps_are_asked_for_again_and_may_be_left_out() {
    let mut stage = at_level();
    stage.enter();
    stage.pass(10_000);
    stage.says("Too few beats were heard; here they come again.");
    stage.tab_to("Leave this out");
    stage.says("The plan of the examination");
}

#[test]
fn what_an_exam_does_not_need_is_not_asked() {
    // Without runs in tempo there are no beats to tap; without ears nothing need sound.
    let calm = Scene::mixed().with(", tempo = 120, bars_in = 1, look = 10", ", seconds = 6");
    let mut stage = Stage::new(calm);
    stage.reach_check("17");
    stage.play(21);
    stage.play(60);
    stage.says("the plan of the examination");
    stage.enter();
    stage.pass(40);
    stage.says("The plan of the examination");
}
