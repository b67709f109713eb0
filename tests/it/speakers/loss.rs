//! Sound outputs that go and come back.

use std::fs;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use viva_voicing::instruments::playback::{Playback, Setup, outputs};
use viva_voicing::instruments::speaker::{Clip, Error, Fact, Level, RATE, Speaker};

use super::server::Server;
use super::stage::{Stage, noise, on_stage};

const LIMIT: Duration = Duration::from_secs(180);
/// How long a loss is watched for a second message, or for a device that cannot be there.
const WATCH: Duration = Duration::from_secs(3);

/// Begins a long clip and waits until it is heard; returns the device's name.
fn begin(stage: &mut Stage, speaker: &mut Playback) -> String {
    let clip = Clip::new(noise(60 * RATE as usize));
    speaker.play(&clip, stage.now()).unwrap();
    stage.wait(speaker, "the clip starts", |_, facts| {
        matches!(facts, [Fact::Started { .. }])
    });

    stage.facts.clear();
    speaker.name()
}

/// Waits for the loss, and watches that it is told once and refused in plain words.
fn lose(stage: &mut Stage, speaker: &mut Playback, name: &str) {
    let before = stage.now();
    stage.wait(speaker, "the loss is told", |_, facts| !facts.is_empty());
    println!("lost {} ms after", stage.now() - before);

    assert!(!speaker.is_there());
    assert_eq!(speaker.latency(), None);
    assert_eq!(
        speaker.play(&Clip::new(noise(480)), stage.now()),
        Err(Error::Gone {
            name: name.to_owned()
        })
    );
    speaker.stop();
    speaker.set_level(Level::FULL);

    let over = Instant::now() + WATCH;
    let mut longest = Duration::ZERO;
    let mut last = Instant::now();
    stage.wait(speaker, "the watch is over", |_, _| {
        longest = longest.max(last.elapsed());
        last = Instant::now();
        Instant::now() >= over
    });
    println!("no poll took longer than {longest:?}");
    assert!(
        longest < Duration::from_millis(500),
        "a poll took {longest:?}"
    );
    assert_eq!(
        stage.facts,
        [Fact::Lost {
            name: name.to_owned()
        }]
    );
    stage.facts.clear();
}

/// Waits until it is found again, and plays a clip that comes out exactly.
fn find(stage: &mut Stage, speaker: &mut Playback, name: &str) {
    let before = stage.now();
    stage.wait(speaker, "it is found again", |_, facts| !facts.is_empty());
    println!("found {} ms after", stage.now() - before);

    assert_eq!(
        stage.facts,
        [Fact::Found {
            name: name.to_owned()
        }]
    );
    assert!(speaker.is_there());

    let clip = Clip::new(noise(RATE as usize));
    let capture = stage.listen();
    let _ = stage.play(speaker, &clip);
    let recording = capture.end_after(RATE as usize / 4);
    let onset = recording.onset(0);
    recording.check(onset, &clip.frames);
    recording.check_silence(onset + clip.frames.len(), recording.frames.len());
}

/// Tells the server something.
fn pactl(words: &[&str]) {
    let status = Command::new("pactl")
        .args(words)
        .stdout(Stdio::null())
        .status()
        .unwrap();
    assert!(status.success(), "{words:?}");
}

#[test]
fn a_dead_server_is_told_once_and_the_next_one_found() {
    on_stage(
        "loss::a_dead_server_is_told_once_and_the_next_one_found",
        LIMIT,
        |stage| {
            let mut speaker = stage.speaker("exam");
            let name = begin(stage, &mut speaker);

            drop(stage.server.take());
            lose(stage, &mut speaker, &name);
            stage.server = Some(Server::start(&stage.folder));
            find(stage, &mut speaker, &name);
        },
    );
}

#[test]
fn a_server_that_hangs_is_told_and_holds_nobody_up() {
    on_stage(
        "loss::a_server_that_hangs_is_told_and_holds_nobody_up",
        LIMIT,
        |stage| {
            let mut speaker = stage.speaker("exam");
            let name = begin(stage, &mut speaker);

            stage.server.as_ref().unwrap().signal("STOP");
            lose(stage, &mut speaker, &name);
            stage.server.as_ref().unwrap().signal("CONT");
            find(stage, &mut speaker, &name);
        },
    );
}

#[test]
fn an_output_that_is_unplugged_is_told_and_found_when_it_is_plugged_in() {
    on_stage(
        "loss::an_output_that_is_unplugged_is_told_and_found_when_it_is_plugged_in",
        LIMIT,
        |stage| {
            let mut speaker = stage.speaker("exam");
            let name = begin(stage, &mut speaker);

            pactl(&["unload-module", "module-null-sink"]);
            lose(stage, &mut speaker, &name);

            let script = fs::read_to_string(stage.folder.join("pulse.pa")).unwrap();
            let load: Vec<&str> = script
                .lines()
                .find(|line| line.contains("module-null-sink"))
                .unwrap()
                .split(' ')
                .collect();
            pactl(&load);
            find(stage, &mut speaker, &name);
        },
    );
}

#[test]
fn a_speaker_may_wait_for_its_device() {
    on_stage("loss::a_speaker_may_wait_for_its_device", LIMIT, |stage| {
        drop(stage.server.take());
        let mut speaker = Playback::absent(Setup {
            output: Some("pulseaudio:exam".to_owned()),
            ..Setup::default()
        });
        speaker.set_level(Level::FULL);

        let over = Instant::now() + WATCH;
        stage.wait(&mut speaker, "the watch is over", |_, _| {
            Instant::now() >= over
        });
        assert_eq!(stage.facts, []);
        assert!(!speaker.is_there());
        assert_eq!(
            speaker.play(&Clip::new(noise(480)), stage.now()),
            Err(Error::None)
        );

        stage.server = Some(Server::start(&stage.folder));
        stage.wait(&mut speaker, "it is found", |_, facts| !facts.is_empty());
        let name = speaker.name();
        assert_eq!(stage.facts, [Fact::Found { name }]);
        assert_eq!(speaker.id(), Some("pulseaudio:exam"));
    });
}

#[test]
fn outputs_are_listed_and_a_missing_one_is_refused_with_their_names() {
    on_stage(
        "loss::outputs_are_listed_and_a_missing_one_is_refused_with_their_names",
        LIMIT,
        |stage| {
            let found = outputs().unwrap();
            let [exam] = &found[..] else {
                panic!("expected one output, found {found:?}");
            };
            assert_eq!(exam.id, "pulseaudio:exam");
            assert!(exam.is_default);

            let open = |output: &str| {
                Playback::open(Setup {
                    output: Some(output.to_owned()),
                    ..Setup::default()
                })
            };
            for way in ["exam", "PulseAudio:Exam", &exam.name.to_uppercase()] {
                assert_eq!(open(way).unwrap().id(), Some("pulseaudio:exam"), "{way}");
            }
            assert_eq!(
                open("hall").err(),
                Some(Error::Missing {
                    wanted: "hall".to_owned(),
                    found: vec![exam.name.clone()],
                })
            );

            drop(stage.server.take());
            assert_eq!(open("pulseaudio:exam").err(), Some(Error::None));
        },
    );
}
