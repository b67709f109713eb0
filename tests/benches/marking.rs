//! How fast voicing items are marked with their reasons, and whether the time is linear in events.
//!
//! To reach: 200,000 items (about 2 million events) a second on one core. No limit is enforced.
#![expect(clippy::print_stdout, reason = "a benchmark prints its figures")]

use std::hint::black_box;
use std::time::{Duration, Instant};

use viva_voicing::exam::chance::Chance;
use viva_voicing::exam::form::{Item, Task};
use viva_voicing::exam::script::Exam;
use viva_voicing::exam::{draw, read};
use viva_voicing::marking::Event;
use viva_voicing::marking::event::Action;
use viva_voicing::marking::item::{self, Allowance};
use viva_voicing::theory::Key;
use viva_voicing::time::Time;

const SCRIPT: &str = include_str!("../../exams/guide-tones.toml");
const ITEMS: usize = 200_000;
const ROUNDS: usize = 9;

/// An item of a form, and what was played.
type Played<'a> = (&'a Item, Vec<Event>);

fn main() {
    let (exam, faults) = read::read(SCRIPT, "guide-tones");
    let exam = exam.unwrap_or_else(|| panic!("the shipped exam has faults: {faults:?}"));
    let forms = draw::draw_set(&exam, 1).expect("the shipped exam has forms");
    let items: Vec<&Item> = forms
        .iter()
        .flat_map(|form| &form.items)
        .filter(|item| matches!(item.task, Task::Voicing(_)))
        .collect();
    let mut player = Player {
        chance: Chance::new("bench", &[1]),
        events: Vec::new(),
    };
    let played: Vec<Played<'_>> = (0..ITEMS)
        .map(|i| {
            let item = items[i % items.len()];
            (item, player.play(item))
        })
        .collect();

    let events = count(&played);
    let (took, best) = time(|| all(&exam, &played));
    println!("marking: {ITEMS} voicing items, {events} events, reasons made, one core");
    println!(
        "  {:.0} items a second, {:.0} events a second (median of {ROUNDS}; to reach: 200000 items)",
        rate(ITEMS, took),
        rate(events, took)
    );
    println!(
        "  {:.0} items a second, {:.0} events a second (fastest)",
        rate(ITEMS, best),
        rate(events, best)
    );
    let mut levels = [0; 5];
    for (item, events) in &played {
        let marked = item::mark(&exam, item, Allowance::NONE, events, None);
        levels[usize::from(marked.level())] += 1;
    }
    println!("  levels 0 to 4: {levels:?}");

    println!("  linear in items:");
    for share in [16, 4, 1] {
        line(&exam, &played[..ITEMS / share]);
    }
    println!("  linear in the events of one item:");
    for times in [1, 4, 16] {
        line(&exam, &[(items[0], restless(items[0], 2_000 * times))]);
    }
}

fn line(exam: &Exam, played: &[Played<'_>]) {
    let events = count(played);
    let (took, best) = time(|| all(exam, played));
    let each = |took: Duration| took.as_secs_f64() * 1e9 / events as f64;
    println!(
        "    {events:>8} events: {:>6.1} ns an event (fastest {:.1})",
        each(took),
        each(best)
    );
}

fn all(exam: &Exam, played: &[Played<'_>]) {
    for (item, events) in played {
        drop(black_box(item::mark(
            exam,
            item,
            Allowance::NONE,
            black_box(events),
            None,
        )));
    }
}

/// The median duration of some rounds, and the shortest, which other programs disturb least.
fn time(run: impl Fn()) -> (Duration, Duration) {
    let mut all: Vec<Duration> = (0..ROUNDS)
        .map(|_| {
            let start = Instant::now();
            run();
            start.elapsed()
        })
        .collect();
    all.sort();

    (all[ROUNDS / 2], all[0])
}

fn count(played: &[Played<'_>]) -> usize {
    played.iter().map(|(_, events)| events.len()).sum()
}

fn rate(n: usize, took: Duration) -> f64 {
    n as f64 / took.as_secs_f64()
}

/// One item in which a key outside the chord is touched, over and over, before the item closes:
/// now as a graze, now in earnest, so nothing is ever offered and every event counts.
fn restless(item: &Item, events: usize) -> Vec<Event> {
    let keys = keys(item);
    let (foreign, own) = (key(keys[0].number() + 1), keys[0]);
    // The item closes after twelve seconds.
    let step = 110_000 / events as i64;

    (0..events)
        .map(|i| {
            let action = match i % 4 {
                0 => Action::Down(foreign, 10),
                1 => Action::Up(foreign),
                2 => Action::Down(own, 70),
                _ => Action::Up(own),
            };
            Event::new(Time::from_tenths(i as i64 * step), action)
        })
        .collect()
}

fn keys(item: &Item) -> Vec<Key> {
    match &item.task {
        Task::Voicing(task) => task
            .voicing
            .realise(task.chord.root.class())
            .expect("the shipped exam can be played"),
        _ => Vec::new(),
    }
}

fn key(number: u8) -> Key {
    Key::new(i64::from(number.min(127))).expect("a key of the keyboard")
}

/// An invented player with the common faults of students.
struct Player {
    chance: Chance,
    events: Vec<Event>,
}

impl Player {
    fn play(&mut self, item: &Item) -> Vec<Event> {
        let keys = keys(item);
        let start = self.between(1500, 4500);

        match self.chance.below(100) {
            // Right at once.
            0..40 => self.chord(start, &keys),
            // Late.
            40..52 => self.chord(start + 4000, &keys),
            // One wrong key let go and replaced.
            52..64 => self.corrected(start, &keys),
            // A wrong chord first.
            64..70 => {
                let other = moved(&keys, 2);
                self.chord(start - 1000, &other);
                self.chord(start + 1500, &keys);
            }
            // Third and seventh the other way round.
            70..77 => {
                let mut turned = keys.clone();
                turned[2] = key(keys[3].number() - 12);
                turned[3] = keys[2];
                self.chord(start, &turned);
            }
            // Without the fifth.
            77..82 => {
                let mut fewer = keys.clone();
                let _ = fewer.remove(1);
                self.chord(start, &fewer);
            }
            // A wrong third or seventh.
            82..87 => {
                let mut wrong = keys.clone();
                wrong[2] = key(keys[2].number() - 1);
                self.chord(start, &wrong);
            }
            // A graze beside the right chord.
            87..92 => {
                let beside = key(keys[0].number() + 1);
                self.down(start - 20, beside, 12);
                self.up(start + 15, beside);
                self.chord(start, &keys);
            }
            // Through the neighbour in the cycle of fourths.
            92..97 => {
                let other = moved(&keys, -5);
                self.chord(start - 1200, &other);
                self.chord(start + 900, &keys);
            }
            // A search among single keys, and nothing found.
            _ => {
                for i in 0..5 {
                    let key = key(keys[0].number() + i);
                    self.down(start + i64::from(i) * 400, key, 50);
                    self.up(start + i64::from(i) * 400 + 150, key);
                }
            }
        }

        self.events.sort_by_key(|event| event.at);
        std::mem::take(&mut self.events)
    }

    fn corrected(&mut self, start: i64, keys: &[Key]) {
        let wrong = key(keys[3].number() + 1);
        let mut first = keys.to_vec();
        first[3] = wrong;
        for key in first {
            let at = start + self.between(0, 30);
            self.down(at, key, 60);
        }
        self.up(start + 500, wrong);
        self.down(start + 560, keys[3], 60);
        for key in keys {
            let at = start + 1600 + self.between(0, 60);
            self.up(at, *key);
        }
    }

    fn chord(&mut self, start: i64, keys: &[Key]) {
        let held = self.between(700, 1200);
        for key in keys {
            let at = start + self.between(0, 40);
            let velocity = self.between(40, 90) as u8;
            self.down(at, *key, velocity);
            let end = start + held + self.between(0, 80);
            self.up(end, *key);
        }
    }

    fn down(&mut self, ms: i64, key: Key, velocity: u8) {
        self.push(ms, Action::Down(key, velocity));
    }

    fn up(&mut self, ms: i64, key: Key) {
        self.push(ms, Action::Up(key));
    }

    fn push(&mut self, ms: i64, action: Action) {
        self.events.push(Event::new(Time::from_ms(ms), action));
    }

    fn between(&mut self, low: i64, high: i64) -> i64 {
        low + self.chance.below((high - low) as usize) as i64
    }
}

fn moved(keys: &[Key], semitones: i32) -> Vec<Key> {
    keys.iter()
        .map(|key| {
            let number = i32::from(key.number()) + semitones;
            self::key(number.clamp(0, 127) as u8)
        })
        .collect()
}
