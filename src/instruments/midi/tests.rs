//! Following and merging, with a driver that a test plays.

use std::sync::mpsc::Receiver;
use std::sync::{Arc, Mutex};

use super::driver::Driver;
use super::follow::{Follower, Notice, RETRY};
use super::merge::Merge;
use super::queue::{self, Outlet, Source};
use super::service::Gone;
use super::*;
use crate::instruments::keyboard::{Fact, Touch};
use crate::theory::Key;

/// A MIDI service that does what a test wants.
#[derive(Debug, Clone, Default)]
struct World(Arc<Mutex<State>>);

#[derive(Debug, Default)]
struct State {
    inputs: Vec<Input>,
    is_gone: bool,
    dies_at_close: bool,
    /// Whether inputs refuse to open.
    refuses: bool,
    open: Vec<(String, Source, Outlet)>,
}

impl World {
    fn with<T>(&self, change: impl FnOnce(&mut State) -> T) -> T {
        change(&mut self.0.lock().unwrap())
    }

    fn has(&self, all: &[(&str, &str)]) {
        self.with(|state| {
            state.inputs = all.iter().map(|(id, name)| Input::new(*id, name)).collect();
        });
    }

    fn open_ids(&self) -> Vec<String> {
        self.with(|state| state.open.iter().map(|(id, ..)| id.clone()).collect())
    }

    /// Sends from the instrument that is open.
    fn send(&self, id: &str, arrived: Instant, driver_us: u64, bytes: &[u8]) {
        self.with(|state| {
            let (_, source, outlet) = state.open.iter().find(|(open, ..)| open == id).expect(id);
            outlet.put(*source, arrived, driver_us, bytes);
        });
    }
}

impl Driver for World {
    fn inputs(&mut self) -> Result<Vec<Input>, Gone> {
        self.with(|state| {
            if state.is_gone {
                state.open.clear();
                Err(Gone)
            } else {
                Ok(state.inputs.clone())
            }
        })
    }

    fn open(&mut self, input: &Input, source: Source, outlet: &Outlet) -> Result<bool, Gone> {
        self.with(|state| {
            if !state.refuses {
                state.open.push((input.id.clone(), source, outlet.clone()));
            }
            Ok(!state.refuses)
        })
    }

    fn close(&mut self, id: &str) -> Result<(), Gone> {
        self.with(|state| {
            state.open.retain(|(open, ..)| open != id);
            if state.dies_at_close {
                Err(Gone)
            } else {
                Ok(())
            }
        })
    }
}

/// A room with its follower, and its own time.
struct Room {
    world: World,
    follower: Follower<World>,
    messages: Receiver<queue::Message>,
    missed: queue::Missed,
    notices: Receiver<Notice>,
    merge: Merge,
    begun: Instant,
    ms: u64,
}

impl Room {
    fn new(preference: Preference) -> Self {
        let world = World::default();
        let (outlet, messages, missed) = queue::queue();
        let (teller, notices) = mpsc::channel();
        Self {
            merge: Merge::new(&preference),
            follower: Follower::new(world.clone(), preference, outlet, teller),
            world,
            messages,
            missed,
            notices,
            begun: Instant::now(),
            ms: 0,
        }
    }

    fn now(&self) -> Instant {
        self.begun + Duration::from_millis(self.ms)
    }

    /// Lets time pass, with a look at its end.
    fn look(&mut self, ms: u64) {
        self.ms += ms;
        self.follower.look(self.now());
    }

    fn send(&self, id: &str, bytes: &[u8]) {
        self.world.send(id, self.now(), self.ms * 1000 + 77, bytes);
    }

    fn poll(&mut self) -> Vec<Event> {
        self.poll_behind(0)
    }

    /// Polls with a time that was read some while ago.
    fn poll_behind(&mut self, behind: i64) -> Vec<Event> {
        let messages: Vec<_> = self.messages.try_iter().collect();
        let notices: Vec<_> = self.notices.try_iter().collect();
        let now = Time::from_ms(self.ms as i64 - behind);
        self.merge
            .take(now, self.now(), messages, self.missed.take(), notices)
    }

    fn facts(&mut self) -> Vec<(i64, Fact)> {
        self.poll()
            .into_iter()
            .map(|event| (event.at.tenths() / 10, event.fact))
            .collect()
    }
}

fn found(name: &str) -> Fact {
    let name = name.to_owned();
    Fact::Found { name }
}

fn lost(name: &str) -> Fact {
    let name = name.to_owned();
    Fact::Lost { name }
}

fn silent(name: &str) -> Fact {
    let name = name.to_owned();
    Fact::Silent { name }
}

fn key(number: u8) -> Key {
    Key::new(i64::from(number)).expect("the test names a key")
}

fn down(number: u8, velocity: u8) -> Fact {
    let key = key(number);
    Fact::Touched(Touch::Down { key, velocity })
}

fn up(number: u8) -> Fact {
    Fact::Touched(Touch::Up { key: key(number) })
}

fn merging() -> Preference {
    Preference {
        merge: true,
        ..Preference::default()
    }
}

#[test]
fn an_instrument_is_found_played_lost_and_found_again() {
    let mut room = Room::new(Preference::default());
    room.look(50);
    assert_eq!(room.facts(), []);
    assert!(!room.merge.is_there());

    room.world.has(&[("20:0", "Stage 20:0")]);
    room.look(50);
    room.ms += 3;
    room.send("20:0", &[0x90, 60, 100]);
    assert_eq!(room.facts(), [(100, found("Stage")), (103, down(60, 100))]);
    assert!(room.merge.is_there());

    room.world.has(&[]);
    room.look(47);
    assert_eq!(room.facts(), [(150, lost("Stage")), (150, up(60))]);
    assert!(!room.merge.is_there());
    assert_eq!(room.world.open_ids(), [""; 0]);

    // It is another client by now.
    room.world.has(&[("24:0", "Stage 24:0")]);
    room.look(50);
    room.send("24:0", &[0x90, 62, 90]);
    assert_eq!(room.facts(), [(200, found("Stage")), (200, down(62, 90))]);
    room.look(50);
    room.look(50);
    assert_eq!(room.facts(), []);
}

#[test]
fn an_instrument_that_does_not_open_is_tried_again() {
    let mut room = Room::new(Preference::default());
    room.world.has(&[("a", "Stage")]);
    room.world.with(|state| state.refuses = true);
    room.look(50);
    room.look(50);
    assert_eq!(room.facts(), []);
    room.world.with(|state| state.refuses = false);
    room.look(50);
    assert_eq!(room.facts(), [(150, found("Stage"))]);
}

#[test]
fn another_instrument_does_not_take_over_from_the_one_played() {
    let mut room = Room::new(Preference::default());
    room.world.has(&[("a", "Stage")]);
    room.look(50);
    room.world.has(&[("b", "Upright"), ("a", "Stage")]);
    room.look(50);
    assert_eq!(room.world.open_ids(), ["a"]);
    // Gone, the other one plays, since no name was asked for.
    room.world.has(&[("b", "Upright")]);
    room.look(50);
    assert_eq!(
        room.facts(),
        [
            (50, found("Stage")),
            (150, lost("Stage")),
            (150, found("Upright"))
        ]
    );
}

#[test]
fn an_instrument_asked_for_by_name_is_waited_for() {
    let mut room = Room::new(Preference {
        name: Some("Stage".to_owned()),
        ..Preference::default()
    });
    room.world.has(&[("b", "Upright")]);
    room.look(50);
    assert_eq!(room.facts(), []);
    room.world.has(&[("b", "Upright"), ("a", "Stage")]);
    room.look(50);
    assert_eq!(room.facts(), [(100, found("Stage"))]);
}

#[test]
fn merged_instruments_play_as_one() {
    let mut room = Room::new(merging());
    room.world.has(&[("a", "Stage"), ("b", "Upright")]);
    room.look(50);
    room.send("a", &[0x90, 60, 100]);
    room.send("b", &[0x90, 60, 90, 64, 80]);
    room.ms += 1;
    room.send("a", &[0x80, 60, 0]);
    assert_eq!(
        room.facts(),
        [
            (50, found("Stage")),
            (50, found("Upright")),
            (50, down(60, 100)),
            (50, down(60, 90)),
            (50, down(64, 80)),
        ]
    );
    assert_eq!(room.merge.names(), ["Stage", "Upright"]);
    room.world.has(&[("a", "Stage")]);
    room.look(49);
    assert_eq!(
        room.facts(),
        [(100, lost("Upright")), (100, up(60)), (100, up(64))]
    );
    assert!(room.merge.is_there());
}

#[test]
fn a_dead_service_is_told_once_and_its_return_too() {
    let mut room = Room::new(Preference::default());
    room.world.has(&[("a", "Stage")]);
    room.look(50);
    room.send("a", &[0x90, 60, 100]);
    assert_eq!(room.facts().len(), 2);

    // The inputs go with the service: only the service is told.
    room.world.with(|state| state.is_gone = true);
    room.world.has(&[]);
    for _ in 0..100 {
        room.look(50);
    }
    assert_eq!(room.facts(), [(100, Fact::ServerGone), (100, up(60))]);
    assert!(!room.merge.is_there());

    room.world.with(|state| state.is_gone = false);
    room.world.has(&[("a", "Stage")]);
    let at = room.ms as i64 + RETRY.as_millis() as i64;
    room.look(RETRY.as_millis() as u64);
    assert_eq!(room.facts(), [(at, Fact::ServerBack), (at, found("Stage"))]);
}

#[test]
fn a_service_that_dies_while_an_input_is_closed_is_told_after_the_loss() {
    let mut room = Room::new(Preference::default());
    room.world.has(&[("a", "Stage")]);
    room.look(50);
    assert_eq!(room.facts().len(), 1);
    room.world.has(&[]);
    room.world.with(|state| state.dies_at_close = true);
    room.look(50);
    assert_eq!(
        room.facts(),
        [(100, lost("Stage")), (100, Fact::ServerGone)]
    );
}

#[test]
fn without_a_service_it_is_told_once_from_the_start() {
    let mut room = Room::new(Preference::default());
    room.world.with(|state| state.is_gone = true);
    for _ in 0..100 {
        room.look(50);
    }
    assert_eq!(room.facts(), [(50, Fact::ServerGone)]);
}

#[test]
fn a_silent_cable_is_lost_and_heard_again() {
    let mut room = Room::new(Preference::default());
    room.world.has(&[("a", "Stage")]);
    room.look(50);
    room.send("a", &[0xFE]);
    room.send("a", &[0x90, 60, 100]);
    assert_eq!(room.facts().len(), 2);
    room.ms += 400;
    assert_eq!(room.facts(), []);
    room.ms += 1;
    assert_eq!(room.facts(), [(451, silent("Stage")), (451, up(60))]);
    assert!(!room.merge.is_there());
    room.ms += 5000;
    assert_eq!(room.facts(), []);
    room.send("a", &[0x90, 62, 100]);
    assert_eq!(
        room.facts(),
        [(5451, found("Stage")), (5451, down(62, 100))]
    );
    assert!(room.merge.is_there());
}

#[test]
fn what_comes_before_its_instrument_is_told_of_is_kept() {
    let mut room = Room::new(Preference::default());
    room.world.has(&[("a", "Stage")]);
    room.look(50);
    let early: Vec<_> = room.notices.try_iter().collect();
    room.send("a", &[0x90, 60, 100]);
    assert_eq!(room.facts(), []);
    room.ms += 5;
    let messages = room.messages.try_iter().collect();
    let events = room
        .merge
        .take(Time::from_ms(55), room.now(), messages, 0, early);
    let facts: Vec<_> = events.into_iter().map(|event| event.fact).collect();
    assert_eq!(facts, [found("Stage"), down(60, 100)]);
}

#[test]
fn what_comes_from_an_instrument_after_its_loss_is_dropped() {
    let mut room = Room::new(Preference::default());
    room.world.has(&[("a", "Stage")]);
    room.look(50);
    let outlet = room.world.with(|state| state.open[0].2.clone());
    room.world.has(&[]);
    room.look(50);
    outlet.put(1, room.now(), 0, &[0x90, 60, 100]);
    assert_eq!(room.facts(), [(50, found("Stage")), (100, lost("Stage"))]);
    room.look(50);
    assert_eq!(room.facts(), []);
}

#[test]
fn a_late_poll_does_not_make_a_hand_late() {
    let mut room = Room::new(Preference::default());
    room.world.has(&[("a", "Stage")]);
    room.look(50);
    room.send("a", &[0x90, 60, 100]);
    room.ms += 10;
    room.send("a", &[0x90, 62, 100]);
    room.ms += 200;
    let at: Vec<_> = room.facts().into_iter().map(|(at, _)| at).collect();
    assert_eq!(at, [50, 50, 60]);
}

#[test]
fn a_time_that_was_read_long_ago_spoils_only_its_own_poll() {
    let mut room = Room::new(Preference::default());
    room.world.has(&[("a", "Stage")]);
    room.look(50);
    let _ = room.poll();
    room.ms += 100;
    room.send("a", &[0x90, 60, 100]);
    let at = room.poll_behind(40)[0].at;
    assert_eq!(at, Time::from_ms(110), "nothing lies in the future");
    room.ms += 100;
    room.send("a", &[0x90, 60, 100]);
    assert_eq!(room.facts(), [(250, down(60, 100))]);
}

#[test]
fn a_burst_of_a_thousand_messages_finds_room() {
    let mut room = Room::new(Preference::default());
    room.world.has(&[("a", "Stage")]);
    room.look(50);
    let begun = room.now();
    for number in 0..1000u64 {
        let arrived = begun + Duration::from_micros(10 * number);
        let bytes = [0x90, (number % 128) as u8, 1 + (number % 127) as u8];
        room.world.send("a", arrived, 10 * number, &bytes);
    }
    room.ms += 10;
    let events = room.poll();
    assert_eq!(events.len(), 1001);
    for (number, event) in events[1..].iter().enumerate() {
        let expected = down((number % 128) as u8, 1 + (number % 127) as u8);
        assert_eq!(event.fact, expected);
        assert_eq!(event.at, Time::from_tenths(500 + number as i64 / 10));
    }
}

#[test]
fn what_finds_no_room_is_counted_and_told() {
    let mut room = Room::new(Preference::default());
    room.world.has(&[("a", "Stage")]);
    room.look(50);
    for number in 0..queue::ROOM + 3 {
        let bytes = [0x90, (number % 128) as u8, 100];
        room.send("a", &bytes);
    }
    let facts = room.facts();
    assert_eq!(facts.len(), 1 + queue::ROOM + 1);
    assert_eq!(facts.last(), Some(&(50, Fact::Missed(3))));
    assert_eq!(room.facts(), []);
}

#[test]
fn long_messages_are_cut_without_harm() {
    let mut room = Room::new(Preference::default());
    room.world.has(&[("a", "Stage")]);
    room.look(50);
    let mut dump = vec![0xF0];
    dump.extend([60; 5000]);
    dump.push(0xF7);
    room.send("a", &[0x90, 60, 100]);
    room.send("a", &dump);
    // The rest of a dump that a driver hands over in parts.
    room.send("a", &[61; 1000]);
    room.send("a", &[0x90, 62, 100, 64, 90, 65, 80, 67, 70, 69, 60]);
    let facts: Vec<_> = room.facts().into_iter().map(|(_, fact)| fact).collect();
    assert_eq!(
        facts[1..],
        [
            down(60, 100),
            down(62, 100),
            down(64, 90),
            down(65, 80),
            down(67, 70),
            down(69, 60)
        ]
    );
}

#[test]
fn a_missing_service_is_told_with_what_to_do() {
    let text = Error::NoService.to_string();
    assert!(
        text.contains(SERVICE) && text.contains("own keys"),
        "{text}"
    );
}
