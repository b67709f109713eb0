//! Rooms with instruments that a test plays.

use super::*;
use crate::exam::code::Code;
use crate::exam::form::{Item, Task};
use crate::exam::{draw, read};
use crate::instruments::fake_keyboard::Fake;
use crate::instruments::fake_speaker::Shared;
use crate::marking::item::Allowance;
use crate::sitting::Showing;
use crate::theory::Key;

mod bass;

const SCRIPT: &str = r#"
title = "Try-out"
level = "class"
edition = "1"
about = "A try-out."

[rules]
timing = "Time is examined."
seats = 1
warm_ups = 0
reserve = 6

[[section]]
id = "A"
title = "Cold voicings"
kind = "voicing"
points = 40
seconds = 6
gap = 2
form = "guide-tones"
cells = [{ count = 3, quality = "7", order = "third on top" }]

[[section]]
id = "B"
title = "Runs"
kind = "run"
points = 20
gap = 3
form = "guide-tones"
cells = [{ progression = "ii-V-I", roots = ["C"], start = "third on top", tempo = 120, bars_in = 1, look = 10 }]

[[section]]
id = "C"
title = "Listening"
kind = "ear"
ask = "quality"
points = 20
seconds = 10
hearings = 2
gap = 2
options = ["maj7", "7", "m7"]
cells = [
    { count = 1, quality = "maj7", spacing = "close" },
    { count = 1, quality = "7", spacing = "close" },
    { count = 1, quality = "m7", spacing = "close" },
]
"#;

/// How late the speaker of these rooms is heard.
const DELAY: Time = Time::from_ms(80);

/// Keeps so many events, and then nothing more.
struct Full {
    left: usize,
}

impl Journal for Full {
    fn keep(&mut self, _: Time, _: &Event) -> Result<(), String> {
        match self.left.checked_sub(1) {
            Some(left) => {
                self.left = left;
                Ok(())
            }
            None => Err("the disk is full".to_owned()),
        }
    }
}

/// A room, its instruments and all that changed.
struct Stage {
    room: Room,
    keyboard: Fake,
    speaker: Shared,
    now: Time,
    changes: Vec<Change>,
}

impl Stage {
    fn new() -> Self {
        Self::with(Box::new(NoJournal))
    }

    fn with(journal: Box<dyn Journal>) -> Self {
        Self::of(SCRIPT, journal)
    }

    fn of(script: &str, journal: Box<dyn Journal>) -> Self {
        let (exam, diagnostics) = read::read(script, "try-out");
        let exam = exam.unwrap_or_else(|| panic!("{diagnostics:#?}"));
        let form = draw::draw(&exam, Code::FIRST).unwrap();
        let keyboard = Fake::new("stage piano");
        let speaker = Shared::new(DELAY);
        let room = Room::new(
            Sitting::new(exam, form, Allowance::NONE),
            Box::new(keyboard.clone()),
            Box::new(speaker.clone()),
            Piano::bundled().unwrap(),
            Level::START,
            journal,
        );

        Self {
            room,
            keyboard,
            speaker,
            now: Time::ZERO,
            changes: Vec::new(),
        }
    }

    /// Polls every 5 ms until a moment; prompts are shown at once, pages gone on from.
    fn until(&mut self, ms: i64) -> &mut Self {
        while self.now < Time::from_ms(ms) {
            self.now += Time::from_ms(5);
            let changes = self.room.poll(self.now);
            self.follow(changes);
        }

        self
    }

    fn take(&mut self, event: Event) -> &mut Self {
        let changes = self.room.take(event, self.now);
        self.follow(changes);

        self
    }

    fn follow(&mut self, changes: Vec<Change>) {
        for change in changes {
            if let Change::Prompt(prompt) = change {
                self.changes.push(change);
                let more = self.room.shown(prompt, self.now);
                self.follow(more);
            } else {
                self.changes.push(change);
            }
        }
    }

    /// Opens an item as if all before it had been asked.
    fn skip_to(&mut self, kind: &str) -> u32 {
        let number = self
            .items()
            .find(|item| item.task.word() == kind)
            .map(|item| item.number)
            .unwrap();
        let prompt = Prompt::Item(number);
        self.room.called = Some(prompt);
        let changes = self.room.shown(prompt, self.now);
        self.follow(changes);

        number
    }

    fn items(&self) -> impl Iterator<Item = &Item> {
        self.room.sitting.form().items.iter()
    }

    fn showing(&self, place: usize) -> &Showing {
        &self.room.sitting.showings()[place]
    }

    fn kinds(&self) -> Vec<&str> {
        self.room
            .sitting
            .incidents()
            .iter()
            .map(|incident| incident.kind.as_str())
            .collect()
    }

    fn stops(&self) -> usize {
        self.changes
            .iter()
            .filter(|change| matches!(change, Change::Stopped { .. }))
            .count()
    }
}

#[test]
fn a_key_counts_at_its_own_time_though_its_message_comes_later() {
    let mut stage = Stage::new();
    let _ = stage.take(Event::Go).until(6_000);
    let closes = stage.room.sitting.deadline().unwrap();
    assert_eq!(stage.room.sitting.open_item(), Some(1));
    // Polled at 7 ms past the item's end, a key of 2 ms before it.
    stage
        .keyboard
        .down(closes - Time::from_ms(2), Key::MIDDLE_C, 80);
    let changes = stage.room.poll(closes + Time::from_ms(7));
    stage.follow(changes);
    let last = stage.showing(0).events.last().unwrap().clone();
    assert_eq!(last.at, closes - Time::from_ms(2) - stage.showing(0).zero);
    assert_eq!(stage.room.sitting.open_item(), Some(1));
    assert!(stage.room.held().has(Key::MIDDLE_C));
}

#[test]
fn the_time_to_answer_counts_from_the_end_of_the_hearing_as_heard() {
    let mut stage = Stage::new();
    let number = stage.skip_to("ear");
    let Task::Ear(task) = stage.room.sitting.form().item(number).unwrap().task.clone() else {
        unreachable!()
    };
    let _ = stage.until(8_000);
    let showing = stage.showing(0);
    assert_eq!(showing.zero, showing.shown + DELAY + task.sound.length);
    let what = Prompt::Item(number);
    assert!(stage.changes.contains(&Change::Hearing(what)));
    assert!(stage.changes.contains(&Change::Heard(what)));
    assert_eq!(stage.speaker.lock().level, Level::START);
}

#[test]
fn a_hearing_asked_for_sounds_the_very_same_clip() {
    let mut stage = Stage::new();
    let _ = stage.skip_to("ear");
    let _ = stage
        .until(5_000)
        .take(Event::Did(Action::Hear))
        .until(9_000);
    let speaker = stage.speaker.lock();
    let [(_, first), (at, again)] = &speaker.played[..] else {
        panic!("{} clips", speaker.played.len())
    };
    assert_eq!(*at, Time::from_ms(5_000));
    assert_eq!(first, again);
    assert!(first.peak() > 0.05);
}

#[test]
fn a_run_in_tempo_counts_from_where_its_beats_were_heard() {
    let mut stage = Stage::new();
    let _ = stage.until(1_000);
    let number = stage.skip_to("run");
    let _ = stage.until(3_000);
    let begun = Change::Begun(Prompt::Item(number), stage.showing(0).shown);
    assert!(stage.changes.contains(&begun));
    assert_eq!(stage.showing(0).shown, Time::from_ms(1_000) + DELAY);
    // A silence to look, and then the first click of the count-in, to the frame.
    let speaker = stage.speaker.lock();
    let clip = &speaker.played[0].1;
    let silent = clip.frames.iter().position(|frame| *frame != [0.0; 2]);
    assert!((480_000..480_010).contains(&silent.unwrap()));
    // Look, a bar in, and four bars of beats at 120, the last one dying away.
    assert!(clip.length() > Time::from_ms(10_000 + 2_000 + 7_500));
    assert!(clip.length() < Time::from_ms(10_000 + 2_000 + 8_000));
}

#[test]
fn an_unplugged_keyboard_stops_the_clock_and_another_item_takes_the_place() {
    let mut stage = Stage::new();
    let _ = stage.take(Event::Go).until(1_000);
    stage.keyboard.down(Time::from_ms(1_500), Key::MIDDLE_C, 70);
    stage.keyboard.unplug(Time::from_ms(2_000));
    let _ = stage.until(30_000);
    assert!(stage.room.is_stopped());
    assert_eq!(stage.stops(), 1);
    assert!(stage.room.held().is_empty());
    assert_eq!(
        stage.showing(0).voided.as_deref(),
        Some("the keyboard is not there")
    );
    assert_eq!(stage.showing(0).events.len(), 1);
    assert_eq!(stage.room.sitting.showings().len(), 1);

    stage.keyboard.plug(Time::from_ms(30_000));
    let _ = stage.until(33_000);
    assert!(!stage.room.is_stopped());
    assert!(stage.changes.contains(&Change::GoesOn));
    let spare = stage.showing(1).number;
    assert!(stage.items().all(|item| item.number != spare));
    // Two seconds' gap, and no more than a few polls.
    let gap = stage.showing(1).shown - Time::from_ms(30_000);
    assert!(
        (Time::from_ms(2_000)..Time::from_ms(2_030)).contains(&gap),
        "{gap}"
    );
    assert_eq!(
        stage.kinds(),
        [
            "keyboard lost",
            "clock stopped",
            "keyboard found",
            "clock started"
        ]
    );
}

#[test]
fn a_keyboard_that_is_back_at_the_same_look_was_gone_all_the_same() {
    let mut stage = Stage::new();
    let _ = stage.take(Event::Go).until(1_000);
    stage.keyboard.unplug(Time::from_ms(1_001));
    stage.keyboard.plug(Time::from_ms(1_002));
    let _ = stage.until(1_010);
    assert!(!stage.room.is_stopped());
    assert!(stage.showing(0).voided.is_some());
}

#[test]
fn a_lost_sound_stops_the_clock_once_and_the_exam_goes_on_when_it_is_back() {
    let mut stage = Stage::new();
    let _ = stage.skip_to("ear");
    let _ = stage.until(1_000);
    stage.speaker.lock().lose();
    let _ = stage.until(20_000);
    assert_eq!(stage.stops(), 1);
    assert_eq!(
        stage.showing(0).voided.as_deref(),
        Some("the sound is not there")
    );
    stage.speaker.lock().find();
    let _ = stage.until(30_000);
    assert_eq!(stage.room.sitting.showings().len(), 2);
    assert_eq!(stage.showing(1).voided, None);
    assert_eq!(
        stage.kinds(),
        [
            "sound lost",
            "clock stopped",
            "sound found",
            "clock started"
        ]
    );
}

#[test]
fn what_is_not_needed_may_go_and_is_noted() {
    let mut stage = Stage::new();
    let _ = stage.skip_to("ear");
    stage.keyboard.unplug(Time::from_ms(1_000));
    let _ = stage.until(2_000);
    assert_eq!(stage.kinds(), ["keyboard lost"]);
    assert_eq!(stage.stops(), 0);
    assert_eq!(stage.showing(0).voided, None);

    // On a page before hands play, the clock stops before any prompt is seen.
    let mut stage = Stage::new();
    stage.keyboard.unplug(Time::from_ms(1));
    let _ = stage.until(10).take(Event::Go).until(5_000);
    assert!(stage.room.is_stopped());
    assert!(stage.room.sitting.showings().is_empty());
    stage.keyboard.plug(Time::from_ms(6_000));
    let _ = stage.until(6_010).take(Event::Go).until(6_100);
    assert_eq!(stage.room.sitting.open_item(), Some(1));
}

#[test]
fn only_a_person_ends_what_a_person_stopped() {
    let mut stage = Stage::new();
    let _ = stage
        .take(Event::Go)
        .until(1_000)
        .take(Event::Paused("fire drill".to_owned()));
    stage.keyboard.unplug(Time::from_ms(1_100));
    stage.keyboard.plug(Time::from_ms(1_200));
    let _ = stage.until(9_000);
    assert!(stage.room.is_stopped());
    stage.keyboard.unplug(Time::from_ms(9_100));
    let _ = stage.until(10_000).take(Event::Resumed);
    assert!(stage.room.is_stopped(), "the keyboard is still away");
    stage.keyboard.plug(Time::from_ms(10_100));
    let _ = stage.until(13_000);
    assert!(!stage.room.is_stopped());
    assert_eq!(stage.room.sitting.showings().len(), 2);
}

#[test]
fn messages_that_were_missed_void_the_item() {
    let mut stage = Stage::new();
    let _ = stage.take(Event::Go).until(1_000);
    stage.keyboard.tell(Time::from_ms(1_100), Fact::Missed(3));
    let _ = stage.until(5_000);
    assert_eq!(
        stage.showing(0).voided.as_deref(),
        Some("the keyboard sent more than could be kept")
    );
    assert_eq!(stage.kinds(), ["keyboard overrun", "voided"]);
    assert_eq!(stage.room.sitting.showings().len(), 2);
}

#[test]
fn what_cannot_be_kept_never_counts() {
    // The first page and the first prompt are kept, and one key.
    let mut stage = Stage::with(Box::new(Full { left: 3 }));
    let _ = stage.take(Event::Go).until(100);
    stage.keyboard.down(Time::from_ms(200), Key::MIDDLE_C, 70);
    stage.keyboard.up(Time::from_ms(300), Key::MIDDLE_C);
    let _ = stage.until(60_000);
    assert_eq!(stage.showing(0).events.len(), 1);
    assert_eq!(stage.room.sitting.showings().len(), 1);
    let told: Vec<_> = stage
        .changes
        .iter()
        .filter(|change| matches!(change, Change::NotKept(_)))
        .collect();
    assert_eq!(told, [&Change::NotKept("the disk is full".to_owned())]);
}

#[test]
fn a_closed_item_sounds_no_more() {
    let mut stage = Stage::new();
    let _ = stage.skip_to("ear");
    let _ = stage.until(500);
    assert!(stage.speaker.lock().is_sounding());
    let answer = Event::Did(Action::Answer("7".to_owned()));
    let _ = stage
        .take(answer)
        .take(Event::Did(Action::HandIn))
        .until(700);
    assert!(!stage.speaker.lock().is_sounding());
    assert!(stage.changes.contains(&Change::Closed));
}

#[test]
fn what_is_played_is_sounded_where_monitoring_is_on_and_a_lost_keyboard_is_hushed() {
    let mut stage = Stage::new();
    stage.keyboard.down(Time::from_ms(3), Key::MIDDLE_C, 80);
    let _ = stage.until(10);
    assert_eq!(stage.speaker.lock().touched, []);

    stage.room.set_monitoring(true);
    stage.keyboard.down(Time::from_ms(12), Key::MIDDLE_C, 80);
    stage.keyboard.up(Time::from_ms(14), Key::MIDDLE_C);
    let _ = stage.until(20);
    let expected = [
        Touch::Down {
            key: Key::MIDDLE_C,
            velocity: 80,
        },
        Touch::Up { key: Key::MIDDLE_C },
    ];
    assert_eq!(stage.speaker.lock().touched, expected);
    assert_eq!(stage.speaker.lock().hushes, 0);

    stage.keyboard.unplug(Time::from_ms(22));
    let _ = stage.until(30);
    assert_eq!(stage.speaker.lock().hushes, 1);
}

#[test]
fn a_clock_that_went_before_the_sitting_is_no_matter() {
    let mut stage = Stage::new();
    stage.now = Time::from_ms(50_000);
    let room = std::mem::replace(&mut stage.room, Stage::new().room);
    stage.room = room.begun_at(stage.now);
    let _ = stage.take(Event::Go).until(51_000);
    stage
        .keyboard
        .down(Time::from_ms(51_500), Key::MIDDLE_C, 70);
    let _ = stage.until(52_000);
    assert_eq!(stage.showing(0).shown, Time::ZERO);
    assert_eq!(stage.showing(0).events[0].at, Time::from_ms(1_500));
}
