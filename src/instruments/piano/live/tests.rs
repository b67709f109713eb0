//! Playing, by its frames.

use super::super::BUNDLED;
use super::*;

fn down(key: i64, velocity: u8) -> Touch {
    Touch::Down {
        key: Key::new(key).unwrap(),
        velocity,
    }
}

fn up(key: i64) -> Touch {
    Touch::Up {
        key: Key::new(key).unwrap(),
    }
}

fn live() -> Live {
    Piano::bundled().unwrap().live().unwrap()
}

/// So many milliseconds of frames, silence where there are none.
fn hear(live: &mut Live, ms: usize) -> Vec<[f32; 2]> {
    (0..48 * ms)
        .map(|_| live.frame().unwrap_or_default())
        .collect()
}

#[test]
fn nothing_sounds_before_a_touch() {
    let mut live = live();
    assert_eq!(live.frame(), None);
    live.touch(up(60));
    live.touch(Touch::Pedal(127));
    assert_eq!(live.frame(), None);
}

#[test]
fn a_touch_sounds_within_three_milliseconds() {
    for key in [21, 48, 60, 84, 108] {
        let mut live = live();
        live.touch(down(key, 64));
        let first = hear(&mut live, 100)
            .iter()
            .position(|frame| *frame != [0.0; 2]);
        assert!(first.is_some_and(|at| at < 144), "key {key}: {first:?}");
    }
}

#[test]
fn the_usual_chord_is_as_loud_as_a_rendered_clip() {
    let mut live = live();
    for key in USUAL {
        live.touch(down(key, VELOCITY));
    }
    let level = level_db(&hear(&mut live, 2_000));
    assert!((level - LEVEL_DB).abs() < 0.1, "{level} dB");
}

#[test]
fn a_harder_touch_is_louder() {
    let level = |velocity| {
        let mut live = live();
        live.touch(down(60, velocity));
        level_db(&hear(&mut live, 500))
    };
    assert!(level(30) + 6.0 < level(80));
    assert!(level(80) + 3.0 < level(120));
}

#[test]
fn a_key_that_comes_up_falls_silent_and_one_that_is_down_does_not() {
    let mut live = live();
    live.touch(down(60, 80));
    let _ = hear(&mut live, 500);
    let held = level_db(&hear(&mut live, 500));
    live.touch(up(60));
    let _ = hear(&mut live, 2_000);
    let released = level_db(&hear(&mut live, 500));

    assert!(held > -50.0 && released < held - 40.0, "{held} {released}");
}

#[test]
fn the_pedal_holds_what_comes_up_until_it_comes_up_itself() {
    let mut live = live();
    live.touch(Touch::Pedal(127));
    live.touch(down(60, 80));
    let _ = hear(&mut live, 200);
    live.touch(up(60));
    let _ = hear(&mut live, 1_500);
    let sustained = level_db(&hear(&mut live, 200));
    live.touch(Touch::Pedal(0));
    let _ = hear(&mut live, 1_500);
    let damped = level_db(&hear(&mut live, 200));

    assert!(damped < sustained - 30.0, "{sustained} {damped}");
}

#[test]
fn silence_comes_by_itself_when_all_keys_are_up() {
    let mut live = live();
    live.touch(down(72, 100));
    let _ = hear(&mut live, 50);
    live.touch(up(72));
    let _ = hear(&mut live, 20_000);
    assert_eq!(live.frame(), None);
}

#[test]
fn a_reset_ends_all_at_once_and_the_pedal_too() {
    let mut live = live();
    live.touch(Touch::Pedal(127));
    live.touch(down(48, 100));
    let _ = hear(&mut live, 50);
    live.reset();
    assert_eq!(live.frame(), None);

    live.touch(down(60, 80));
    let _ = hear(&mut live, 500);
    let held = level_db(&hear(&mut live, 100));
    live.touch(up(60));
    let _ = hear(&mut live, 1_500);
    assert!(level_db(&hear(&mut live, 100)) < held - 30.0);
}

#[test]
fn the_same_touches_give_the_same_frames() {
    let play = || {
        let mut live = live();
        (0..200)
            .flat_map(|beat| {
                live.touch(down(36 + beat % 60, (beat % 127 + 1) as u8));
                if beat % 3 == 0 {
                    live.touch(up(36 + beat % 60));
                }
                hear(&mut live, 3)
            })
            .collect::<Vec<_>>()
    };
    assert_eq!(play(), play());
}

#[test]
fn any_number_of_strikes_is_borne_and_stays_finite() {
    let mut live = live();
    live.touch(Touch::Pedal(127));
    for strike in 0..2_000 {
        live.touch(down(21 + strike % 88, 127));
        for _ in 0..96 {
            let frame = live.frame().expect("something sounds");
            assert!(frame.iter().all(|side| side.is_finite()));
        }
    }
}

/// SoundFont 2.04 Technical Specification, 7.10: a sample's begin, end, loop and rate. The first two
/// samples are those of the highest keys, left and right; here they run past the last frame of all,
/// as their loop is shorter than a step.
#[test]
fn a_soundfont_that_is_damaged_at_one_key_falls_silent_there_without_a_panic() {
    let mut bytes = BUNDLED.to_vec();
    let find = |id: &[u8; 4]| BUNDLED.windows(4).position(|four| four == id).unwrap();
    let size = find(b"smpl") + 4;
    let frames = u32::from_le_bytes(bytes[size..size + 4].try_into().unwrap()) / 2;
    let lies = [frames - 3, frames - 2, 0, 1, 96_000].map(u32::to_le_bytes);
    let headers = find(b"shdr") + 8;
    for header in [headers, headers + 46] {
        bytes[header + 20..header + 40].copy_from_slice(lies.as_flattened());
    }
    let mut live = Piano::load(&bytes).unwrap().live().unwrap();

    live.touch(down(60, 80));
    assert!(level_db(&hear(&mut live, 100)) > -60.0);
    live.touch(down(108, 80));
    let _ = hear(&mut live, 500);
    live.touch(down(60, 80));
    assert_eq!(hear(&mut live, 100), [[0.0; 2]; 4_800]);
}
