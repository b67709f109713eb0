//! The sounds of a form as files: what `render` writes is what the form asks.

use std::process::Command;

use viva_voicing::exam::{code::Code, draw, form::Task, read};
use viva_voicing::instruments::piano::level_db;
use viva_voicing::instruments::speaker::{CEILING, Clip, RATE};

const EXAM: &str = "exams/guide-tones.toml";

fn render(out: &std::path::Path, more: &[&str]) -> std::process::Output {
    Command::new(env!("CARGO_BIN_EXE_viva-voicing"))
        .args(["render", EXAM, "--out"])
        .arg(out)
        .args(more)
        .output()
        .unwrap()
}

fn clip(path: &std::path::Path) -> Clip {
    let mut reader = hound::WavReader::open(path).unwrap();
    assert_eq!(reader.spec().sample_rate, RATE);
    let samples: Vec<f32> = reader
        .samples::<i16>()
        .map(|sample| f32::from(sample.unwrap()) / f32::from(i16::MAX))
        .collect();

    Clip::new(samples.chunks(2).map(|pair| [pair[0], pair[1]]).collect())
}

#[test]
fn every_ear_item_is_written_at_the_level_drawn_for_it() {
    let room = tempfile::tempdir().unwrap();
    let output = render(room.path(), &[]);
    assert!(output.status.success(), "{output:?}");

    let source = std::fs::read_to_string(EXAM).unwrap();
    let exam = read::read(&source, "guide-tones").0.unwrap();
    let form = draw::draw(&exam, Code::FIRST).unwrap();
    let mut heard = 0;
    let mut levels = Vec::new();

    for item in form.items.iter().chain(&form.reserve) {
        let Task::Ear(task) = &item.task else {
            continue;
        };
        let sound = clip(&room.path().join(format!("item-{:03}.wav", item.number)));
        heard += 1;
        assert_eq!(sound.length(), task.sound.length);
        // Sixteen bits round by half a step.
        assert!(
            sound.peak() <= CEILING + 1.0 / 65_534.0,
            "item {}",
            item.number
        );
        let held = 2 * RATE as usize;
        levels.push(level_db(&sound.frames[..held]) - f32::from(task.sound.rove) / 10.0);
    }
    let (least, most) = levels
        .iter()
        .fold((f32::MAX, f32::MIN), |(least, most), level| {
            (least.min(*level), most.max(*level))
        });

    assert!(heard >= 30);
    assert!(
        most - least < 1.0,
        "equal within 1 dB before roving: {least} to {most}"
    );
}

#[test]
fn nothing_is_overwritten_and_a_bad_soundfont_is_told() {
    let room = tempfile::tempdir().unwrap();
    assert!(render(room.path(), &[]).status.success());
    assert_eq!(render(room.path(), &[]).status.code(), Some(1));

    let output = render(&room.path().join("other"), &["--soundfont", EXAM]);
    assert_eq!(output.status.code(), Some(1));
    let text = String::from_utf8(output.stderr).unwrap();
    assert!(text.contains("expected a SoundFont 2"), "{text}");
    assert_eq!(text.lines().count(), 1);
}
