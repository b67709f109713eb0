//! With a private JACK server and an independent player on it.

use std::io::{BufRead, BufReader};
use std::path::Path;
use std::process::{Child, Stdio};
use std::sync::mpsc::{self, Receiver};
use std::thread;
use std::time::{Duration, Instant};

use super::{equipment, settings, unfolded};
use crate::keyboards::jack::room::{Player, Server, in_a_room_of};
use crate::sittings::said;

const SOON: Duration = Duration::from_secs(20);

fn in_a_room(test: &str, proof: impl FnOnce(&mut Server)) {
    in_a_room_of("equipment::jack", test, proof);
}

/// The verb while it runs.
struct Listening {
    process: Child,
    lines: Receiver<String>,
}

impl Listening {
    fn start(folder: &Path, arguments: &str) -> Self {
        let mut process = equipment(folder, arguments)
            .stdout(Stdio::piped())
            .spawn()
            .unwrap();
        let out = BufReader::new(process.stdout.take().unwrap());
        let (teller, lines) = mpsc::channel();
        let _ = thread::spawn(move || {
            for line in out.lines().map_while(Result::ok) {
                if teller.send(line).is_err() {
                    break;
                }
            }
        });

        Self { process, lines }
    }

    /// Waits for a line with some words, and returns it.
    fn line(&self, words: &str) -> String {
        let deadline = Instant::now() + SOON;
        loop {
            let left = deadline.saturating_duration_since(Instant::now());
            let line = self.lines.recv_timeout(left).expect(words);
            if line.contains(words) {
                return line;
            }
        }
    }

    /// Reads no more: its output is closed with the next line.
    fn turn_away(&mut self) {
        self.lines = mpsc::channel().1;
    }

    /// Waits for its end, doing something again and again, and returns its exit code.
    fn end(mut self, mut meanwhile: impl FnMut()) -> Option<i32> {
        let deadline = Instant::now() + SOON;
        loop {
            if let Some(status) = self.process.try_wait().unwrap() {
                return status.code();
            }
            if Instant::now() > deadline {
                self.process.kill().unwrap();
                panic!("it does not end");
            }
            meanwhile();
            thread::park_timeout(Duration::from_millis(50));
        }
    }
}

#[test]
fn keyboards_are_told_with_the_choice_among_them() {
    in_a_room("keyboards_are_told_with_the_choice_among_them", |_| {
        let folder = tempfile::tempdir().unwrap();
        let told = |arguments: &str| {
            let (_, printed, _) = said(&equipment(folder.path(), arguments).output().unwrap());
            unfolded(&printed)
        };
        let check = |text: &str, words: &str| assert!(text.contains(words), "{words}\n{text}");

        check(
            &told(""),
            "Keyboards No MIDI keyboard is there. What to do: switch it on",
        );
        let mut player = Player::new();
        let _ = player.ask("open", SOON);
        check(
            &told(""),
            "Keyboards rtkeys:Keys (id rtkeys:Keys) Played on: it is the only one there. The \
             computer's own keys stand in where no MIDI keyboard is there.",
        );

        let mut second = Player::new();
        let _ = second.ask("open", SOON);
        check(
            &told(""),
            "None is chosen: there are 2, and nothing says which of them is meant.",
        );
        settings(
            folder.path(),
            "[keyboard]\nname = \"rtkeys:keys\"\ntranspose = -12\n",
        );
        check(
            &told("--settings room.toml"),
            "Played on: the settings ask for `rtkeys:keys`.",
        );
        check(
            &told("--settings room.toml"),
            "All keys are moved down by 12 semitones.",
        );
    });
}

#[test]
fn what_is_played_is_shown_chord_by_chord() {
    in_a_room("what_is_played_is_shown_chord_by_chord", |_| {
        let folder = tempfile::tempdir().unwrap();
        let mut player = Player::new();
        let _ = player.ask("open", SOON);
        let mut verb = Listening::start(folder.path(), "--listen");
        let _ = verb.line("rtkeys:Keys is there. Please play.");

        player.tell("chords 1 1500 36 43 52 59");
        let line = verb.line("C2");
        let (chord, spread) = line.split_once("   spread ").expect("it has a spread");
        assert!(
            chord.ends_with("  C2 (1)  G2 (2)  E3 (3)  B3 (4)"),
            "{line}"
        );
        let spread: f64 = spread.strip_suffix(" ms").unwrap().parse().unwrap();
        assert!((0.0..500.0).contains(&spread), "{line}");
        assert_eq!(player.strikes(SOON).len(), 4);

        player.tell("strike 61 100");
        let line = verb.line("C♯4/D♭4 (100)");
        assert!(!line.contains("spread"), "one key has no spread: {line}");

        player.tell("close");
        let _ = verb.line("rtkeys:Keys is gone. Check its cable and its power");
        player.tell("open");
        let _ = verb.line("rtkeys:Keys is there. Please play.");

        // Nobody reads any more: a line that cannot be written ends it.
        verb.turn_away();
        assert_eq!(verb.end(|| player.tell("strike 62 100")), Some(0));
    });
}

#[test]
fn listening_for_some_seconds_ends_by_itself() {
    in_a_room("listening_for_some_seconds_ends_by_itself", |_| {
        let folder = tempfile::tempdir().unwrap();
        let mut players = [Player::new(), Player::new()];
        for player in &mut players {
            let _ = player.ask("open", SOON);
        }
        let verb = Listening::start(folder.path(), "--listen --seconds 6");

        // Of several without a choice each is listened to by its name; who is first is open.
        let mut found = [0, 1].map(|_| verb.line(" is there. Please play."));
        found.sort_by_key(|line| line.contains("rtkeys-01:Keys"));
        assert!(found[0].contains("  rtkeys:Keys is there."), "{found:?}");
        assert!(found[1].contains("  rtkeys-01:Keys is there."), "{found:?}");
        players[1].tell("strike 65 90");
        let line = verb.line("F4 (90)");
        assert!(line.contains("  rtkeys"), "{line}");
        assert_eq!(verb.end(|| ()), Some(0));
    });
}

#[test]
fn a_midi_server_that_does_not_answer_does_not_hold_it_up() {
    in_a_room(
        "a_midi_server_that_does_not_answer_does_not_hold_it_up",
        |server| {
            let folder = tempfile::tempdir().unwrap();
            server.signal("STOP");
            let begun = Instant::now();
            let (_, printed, _) = said(&equipment(folder.path(), "").output().unwrap());
            let (code, listened, _) = said(&equipment(folder.path(), "--listen").output().unwrap());
            server.signal("CONT");

            for printed in [printed, listened] {
                assert!(
                    unfolded(&printed).contains(
                        "This computer's MIDI service (JACK server) does not answer, so no MIDI \
                     keyboard can be seen. What to do: "
                    ),
                    "{printed}"
                );
            }
            assert_eq!(code, 1);
            assert!(begun.elapsed() < Duration::from_secs(60));
        },
    );
}
