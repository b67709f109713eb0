//! An invented student: everything that can happen at a keyboard, from a seed.

use viva_voicing::exam::chance::Chance;
use viva_voicing::exam::form::{EarTask, Item, RunTask, SpellTask, Task, VoicingTask};
use viva_voicing::marking::event::Action;
use viva_voicing::sitting::Event;
use viva_voicing::theory::{Key, leading};
use viva_voicing::time::Time;

/// What is done, in tenths of a millisecond since the prompt.
pub(crate) type Doing = (i64, Event);

/// Plays an item somehow, `factor` hundredths slower. The moments come in no order.
pub(crate) fn play(item: &Item, factor: u32, chance: &mut Chance) -> Vec<Doing> {
    let mut doings = match &item.task {
        Task::Voicing(task) => voicing(task, chance),
        Task::Run(task) => run(task, factor, chance),
        Task::Ear(task) => ear(task, chance),
        Task::Spell(task) => spell(task, chance),
        Task::Panel(_) => Vec::new(),
    };

    if chance.below(6) == 0 {
        noise(&mut doings, chance);
    }
    if !matches!(item.task, Task::Run(_)) {
        for (at, _) in &mut doings {
            *at = *at * i64::from(factor) / 100;
        }
    }
    doings
}

fn did(at: i64, action: Action) -> Doing {
    (at, Event::Did(action))
}

/// A time from `least` milliseconds to `most`, in tenths.
fn between(least: i64, most: i64, chance: &mut Chance) -> i64 {
    least * 10 + chance.below(((most - least) * 10) as usize + 1) as i64
}

fn shifted(key: Key, by: i64) -> Key {
    Key::new(i64::from(key.number()) + by).unwrap_or(key)
}

/// What a student makes of a right set of keys.
fn slip(keys: &[Key], chance: &mut Chance) -> Vec<Key> {
    let mut keys = keys.to_vec();
    if keys.is_empty() {
        return keys;
    }
    let place = chance.below(keys.len());
    let by = [-12, -1, 1, 2, 12][chance.below(5)];

    match chance.below(12) {
        0 => keys[place] = shifted(keys[place], by),
        1 => drop(keys.remove(place)),
        2 => keys.push(shifted(keys[place], 4)),
        3 => keys.iter_mut().for_each(|key| *key = shifted(*key, by)),
        4 => keys.swap(0, place),
        _ => {}
    }
    keys
}

/// Strikes keys from a moment on: together, rolled, grazed, pedalled, held over.
fn strike(doings: &mut Vec<Doing>, at: i64, keys: &[Key], chance: &mut Chance) {
    let roll = [0, 300, 800, 1_500, 4_000][chance.below(5)];
    let hold = match chance.below(8) {
        0 => between(20, 200, chance),
        1 => between(5_000, 20_000, chance),
        _ => between(300, 1_800, chance),
    };
    let pedal = chance.below(8) == 0;

    if pedal {
        doings.push(did(at + 50, Action::Pedal(between(0, 12, chance) as u8)));
        doings.push(did(at + 100, Action::Pedal(127)));
        doings.push(did(at + hold + 3_000, Action::Pedal(0)));
    }
    for key in keys {
        let on = at + chance.below(roll + 1) as i64;
        let off = on + hold + chance.below(400) as i64;
        let velocity = 1 + chance.below(127) as u8;
        doings.push(did(on, Action::Down(*key, velocity)));
        doings.push(did(off, Action::Up(*key)));
        if chance.below(30) == 0 {
            // Struck again, as a nervous finger does.
            doings.push(did(on + 900, Action::Down(*key, velocity)));
        }
    }
    if let Some(key) = chance.pick(keys).filter(|_| chance_of_graze(at)) {
        let graze = shifted(*key, 1);
        doings.push(did(at + 300, Action::Down(graze, 9)));
        doings.push(did(at + 300 + between(20, 120, chance), Action::Up(graze)));
    }
}

/// One strike in three has a finger graze a key.
const fn chance_of_graze(at: i64) -> bool {
    at % 3 == 0
}

fn voicing(task: &VoicingTask, chance: &mut Chance) -> Vec<Doing> {
    let mut doings = Vec::new();
    let root = task.chord.root.class();
    let right = task.voicing.realise(root).unwrap_or_default();
    let limit = task.limit.tenths() / 10;
    let mut at = between(200, limit * 13 / 10, chance);

    if chance.below(5) == 0 {
        // By way of the neighbour in the cycle of fourths.
        if let Some((neighbour, hands)) = chance.pick(&task.neighbours).cloned() {
            let voicing = viva_voicing::theory::voicing::Voicing {
                hands,
                ..task.voicing.clone()
            };
            let keys = voicing.realise(neighbour.root.class()).unwrap_or_default();
            strike(&mut doings, at, &keys, chance);
            at += between(400, 3_000, chance);
        }
    }
    for _ in 0..=chance.below(3) {
        let keys = slip(&right, chance);
        strike(&mut doings, at, &keys, chance);
        at += between(150, 4_000, chance);
        if chance.below(3) > 0 {
            break;
        }
    }

    doings
}

fn run(task: &RunTask, factor: u32, chance: &mut Chance) -> Vec<Doing> {
    let mut doings = Vec::new();
    let timing = task.timing(factor);
    let chords: Vec<_> = task
        .chords
        .iter()
        .zip(task.lines.first().into_iter().flatten())
        .map(|(chord, voicing)| (chord.chord.root.class(), voicing))
        .collect();
    let line = leading::line(&chords).unwrap_or_default();
    let care = chance.below(4);
    let mut at = timing.look.tenths() + between(0, 1_500, chance);

    for (k, keys) in line.iter().enumerate() {
        let keys = match care {
            0 => slip(keys, chance),
            _ if chance.below(8) == 0 => slip(keys, chance),
            _ => keys.clone(),
        };
        let beat = timing.beats.get(k).map(|beat| beat.tenths());
        let when = match beat {
            Some(beat) => (beat + between(-120, 250, chance)).max(0),
            None => at,
        };
        strike(&mut doings, when, &keys, chance);
        if chance.below(10) == 0 {
            strike(&mut doings, when + 3_500, &line[k], chance);
        }
        at = when + between(500, 3_000, chance);
    }
    if chance.below(3) == 0 {
        doings.push(did(at, Action::HandIn));
    }

    doings
}

fn ear(task: &EarTask, chance: &mut Chance) -> Vec<Doing> {
    let mut doings = Vec::new();
    if task.is_played() {
        back(task, &mut doings, chance);
    }
    let sound = task.sound.length.tenths();
    let end = task.limit.tenths();

    match chance.below(4) {
        0 => {}
        1 => doings.push((sound + between(0, 400, chance), Event::Sounded)),
        2 => doings.push((sound - between(0, 100, chance), Event::Sounded)),
        _ => doings.push((sound, Event::Sounded)),
    }
    for _ in 0..chance.below(4) {
        doings.push(did(between(100, 13_000, chance), Action::Hear));
    }
    for _ in 0..chance.below(4) {
        let parts: Vec<String> = task
            .answers
            .iter()
            .zip(task.options.iter())
            .map(|(answers, options)| match chance.below(3) {
                0 => chance.pick(options).cloned().unwrap_or_default(),
                1 => format!(" {} ", chance.pick(answers).cloned().unwrap_or_default()),
                _ => chance.pick(answers).cloned().unwrap_or_default(),
            })
            .collect();
        // Some come at the very last moment, and some too late.
        let at = match chance.below(4) {
            0 => sound + end + between(-1, 1, chance),
            1 => chance.below(sound as usize) as i64,
            _ => between(500, 11_000, chance),
        };
        doings.push(did(at, Action::Answer(parts.join(" / "))));
    }
    if chance.below(3) == 0 {
        doings.push(did(between(4_000, 12_000, chance), Action::HandIn));
    }

    doings
}

/// Plays back, well or not, before the sound has ended or after, once or more often.
fn back(task: &EarTask, doings: &mut Vec<Doing>, chance: &mut Chance) {
    let mut at = task.sound.length.tenths() + between(-1_000, 4_000, chance);

    for _ in 0..chance.below(4) {
        for step in task.steps() {
            let keys: Vec<Key> = step
                .iter()
                .filter_map(|key| Key::new(i64::from(*key) + 12).ok())
                .collect();
            let keys = if chance.below(4) == 0 {
                slip(&keys, chance)
            } else {
                keys
            };
            strike(doings, at.max(0), &keys, chance);
            at += between(150, 900, chance);
        }
        at += between(0, 1_500, chance);
        if chance.below(4) == 0 {
            doings.push(did(at.max(0), Action::Answer(String::new())));
        }
    }
}

fn spell(task: &SpellTask, chance: &mut Chance) -> Vec<Doing> {
    let mut doings = Vec::new();

    for _ in 0..chance.below(4) {
        let mut names: Vec<String> = task
            .tones
            .iter()
            .map(|(_, names)| {
                chance
                    .pick(names)
                    .map_or(String::new(), |name| name.ascii())
            })
            .collect();
        match chance.below(6) {
            0 => drop(names.pop()),
            1 => drop(names.remove(0)),
            2 => names[1] = "F##".to_owned(),
            3 => names[1] = "?\n\u{7}♭".to_owned(),
            _ => {}
        }
        doings.push(did(
            between(500, 21_000, chance),
            Action::Answer(names.join(" ")),
        ));
    }
    if chance.below(2) == 0 {
        doings.push(did(between(3_000, 19_000, chance), Action::HandIn));
    }

    doings
}

/// Both arms on the keyboard.
fn noise(doings: &mut Vec<Doing>, chance: &mut Chance) {
    for _ in 0..chance.below(40) {
        let at = between(0, 14_000, chance);
        let key = Key::new(chance.below(128) as i64).expect("a MIDI number");
        doings.push(match chance.below(9) {
            0 => did(at, Action::Pedal(chance.below(128) as u8)),
            1 => did(at, Action::Answer("♭\t  x".to_owned())),
            2 => did(at, Action::Hear),
            3 | 4 => did(at, Action::Up(key)),
            5 => did(at, Action::Down(key, 0)),
            _ => did(at, Action::Down(key, 1 + chance.below(127) as u8)),
        });
    }
}

/// What an invigilator does while an item is open, if anything.
pub(crate) fn disturb(chance: &mut Chance) -> Vec<Doing> {
    let at = between(50, 9_000, chance);
    let later = at + between(0, 60_000, chance);

    match chance.below(24) {
        0 | 1 => vec![
            (at, Event::Paused("cable; \"loose\"".to_owned())),
            (later, Event::Resumed),
        ],
        2 | 3 => vec![(
            at,
            Event::Voided {
                reason: "coughing".to_owned(),
                by: "Inez".to_owned(),
            },
        )],
        4 | 5 => vec![(
            at,
            Event::TimeAdded(Time::from_tenths(between(1, 5_000, chance))),
        )],
        6 => vec![(
            at,
            Event::Noted(viva_voicing::sitting::Incident {
                at: Time::ZERO,
                item: None,
                kind: "noise".to_owned(),
                text: "a door, twice".to_owned(),
                by: "Inez".to_owned(),
            }),
        )],
        _ => Vec::new(),
    }
}
