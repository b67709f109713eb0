//! What hands play over a sounded bass.

use super::*;
use crate::exam::sound;
use crate::instruments::speaker::frames;
use crate::marking::item::Marked;
use crate::sitting::outcome::outcome;

fn script() -> String {
    SCRIPT
        .replace("kind = \"voicing\"", "kind = \"voicing\"\nwith_bass = true")
        .replace("kind = \"run\"", "kind = \"run\"\nwith_bass = true")
}

fn stage() -> Stage {
    Stage::of(&script(), Box::new(NoJournal))
}

/// How strongly a pitch sounds in some frames of a clip, by Goertzel's sum at its frequency.
fn strength(clip: &[[f32; 2]], key: u8) -> f64 {
    let hertz = 440.0 * 2f64.powf((f64::from(key) - 69.0) / 12.0);
    let turn = std::f64::consts::TAU * hertz / 48_000.0;
    let (mut re, mut im) = (0.0, 0.0);

    for (place, frame) in clip.iter().enumerate() {
        let angle = turn * place as f64;
        re += f64::from(frame[0]) * angle.cos();
        im += f64::from(frame[0]) * angle.sin();
    }
    re.hypot(im) / clip.len() as f64
}

/// The key from F1 to F♯3 whose octave and twelfth sound most strongly with it.
fn lowest(clip: &[[f32; 2]]) -> u8 {
    (29..=54)
        .max_by(|a, b| {
            let sum = |key: u8| strength(clip, key) + strength(clip, key + 12);
            sum(*a).total_cmp(&sum(*b))
        })
        .unwrap()
}

#[test]
fn the_bass_sounds_as_the_prompt_appears_and_the_time_counts_from_the_prompt() {
    let mut stage = stage();
    let _ = stage.until(1_000);
    let number = stage.skip_to("voicing");
    let _ = stage.until(3_000);
    let item = stage.items().find(|item| item.number == number).unwrap();
    let Task::Voicing(task) = &item.task else {
        panic!("a voicing is asked");
    };
    let key = sound::bass_key(task.chord);
    let showing = stage.showing(0);
    assert_eq!(showing.shown, Time::from_ms(1_000));
    assert_eq!(showing.zero, showing.shown);
    assert_eq!(showing.bass, Some(DELAY));
    assert!(showing.events.is_empty());

    let speaker = stage.speaker.lock();
    let clip = &speaker.played[0].1;
    assert_eq!(clip.length(), Time::from_ms(6_500));
    assert_eq!(lowest(&clip.frames[4_800..52_800]), key);
}

/// The sounded root is no key of the candidate's.
#[test]
fn a_voicing_is_marked_as_without_it() {
    let play = |script: &str| {
        let mut stage = Stage::of(script, Box::new(NoJournal));
        let _ = stage.until(1_000);
        let number = stage.skip_to("voicing");
        let item = stage.items().find(|item| item.number == number).unwrap();
        let Task::Voicing(task) = &item.task else {
            panic!("a voicing is asked");
        };
        let keys = task.voicing.realise(task.chord.root.class()).unwrap();
        stage
            .keyboard
            .chord(&keys, Time::from_ms(2_000), Time::from_ms(2_600));
        let _ = stage.until(12_000);
        stage
    };
    let (with, without) = (play(&script()), play(SCRIPT));
    let marked = |stage: &Stage| match &outcome(&stage.room.sitting).items[0].marked {
        Marked::Voicing(marked) => marked.clone(),
        other => panic!("{other:?}"),
    };
    assert_eq!(marked(&with), marked(&without));
    assert_eq!(marked(&with).level, 4);
}

#[test]
fn it_falls_silent_as_the_item_closes() {
    let mut stage = stage();
    let number = stage.skip_to("voicing");
    let item = stage.items().find(|item| item.number == number).unwrap();
    let Task::Voicing(task) = &item.task else {
        panic!("a voicing is asked");
    };
    let keys = task.voicing.realise(task.chord.root.class()).unwrap();
    stage
        .keyboard
        .chord(&keys, Time::from_ms(500), Time::from_ms(900));
    let _ = stage.until(1_500);
    assert!(stage.speaker.lock().is_sounding());
    let _ = stage.until(3_500);
    assert!(!stage.speaker.lock().is_sounding());
    assert!(stage.changes.contains(&Change::Closed));
}

/// A note on each chord's beat, after the time to look and the count-in, with the clicks.
#[test]
fn in_a_run_the_roots_sound_on_their_beats_with_the_clicks() {
    let mut stage = stage();
    let _ = stage.until(1_000);
    let number = stage.skip_to("run");
    let _ = stage.until(3_000);
    assert_eq!(stage.showing(0).shown, Time::from_ms(1_000) + DELAY);
    assert_eq!(stage.showing(0).bass, Some(Time::ZERO));
    let item = stage.items().find(|item| item.number == number).unwrap();
    let Task::Run(task) = &item.task else {
        panic!("a run is asked");
    };
    let speaker = stage.speaker.lock();
    let clip = &speaker.played[0].1;
    let silent = clip.frames.iter().position(|frame| *frame != [0.0; 2]);
    assert!((480_000..480_010).contains(&silent.unwrap()));

    for (beat, placed) in task.timing(100).beats.iter().zip(&task.chords) {
        // Between the click on the beat and the next.
        let from = frames(*beat) + 4_800;
        let found = lowest(&clip.frames[from..from + 16_800]);
        assert_eq!(found, sound::bass_key(placed.chord), "{:?}", placed.chord);
    }
}

#[test]
fn a_lost_sound_stops_the_clock_of_a_voicing_over_it() {
    let mut stage = stage();
    let _ = stage.skip_to("voicing");
    let _ = stage.until(1_000);
    stage.speaker.lock().lose();
    let _ = stage.until(10_000);
    assert_eq!(stage.stops(), 1);
    assert_eq!(
        stage.showing(0).voided.as_deref(),
        Some("the sound is not there")
    );
    stage.speaker.lock().find();
    let _ = stage.until(20_000);
    assert_eq!(stage.room.sitting.showings().len(), 2);
    assert!(stage.showing(1).bass.is_some());
}

/// A keyboard that sounds by itself is not sounded a second time, and the bass plays all the same.
#[test]
fn it_needs_no_monitoring() {
    for on in [false, true] {
        let mut stage = stage();
        stage.room.set_monitoring(on);
        let _ = stage.skip_to("voicing");
        let _ = stage.until(1_000);
        assert_eq!(stage.speaker.lock().played.len(), 1, "{on}");
        assert!(stage.showing(0).bass.is_some(), "{on}");
    }
}
