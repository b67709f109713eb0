//! A class of invented students, from well to badly prepared, as sealed results without a room.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

use rayon::prelude::*;

use viva_voicing::exam::chance::Chance;
use viva_voicing::exam::code::Code;
use viva_voicing::exam::form::{EarTask, Form, Item, RunTask, Task};
use viva_voicing::exam::script::{Ask, Exam};
use viva_voicing::exam::{draw, read};
use viva_voicing::fraction;
use viva_voicing::marking::Event;
use viva_voicing::marking::event::Action;
use viva_voicing::marking::item::Allowance;
use viva_voicing::results::document::{self, Given};
use viva_voicing::sitting::{End, Incident, Past, Showing, Sitting};
use viva_voicing::theory::voicing::{Voicing, form};
use viva_voicing::theory::{Key, leading};
use viva_voicing::time::Time;

/// The exam that the class sits, and its forms.
pub(crate) struct Class {
    exam: Exam,
    source: String,
    forms: Vec<Form>,
}

impl Class {
    /// A class in which each of a set's seats has its form.
    pub(crate) fn new(source: &str, name: &str) -> Self {
        let (exam, faults) = read::read(source, name);
        let exam = exam.unwrap_or_else(|| panic!("the exam has faults: {faults:?}"));
        let forms = draw::draw_set(&exam, 1).expect("the exam has forms");

        Self {
            exam,
            source: source.to_owned(),
            forms,
        }
    }

    /// A class that sits one form.
    #[allow(dead_code, reason = "the benchmark has the whole set")]
    pub(crate) fn of_one_form(source: &str, name: &str) -> Self {
        let mut class = Self::new(source, name);
        class.forms = vec![draw::draw(&class.exam, Code::FIRST).expect("a form")];

        class
    }

    /// The sitting of a candidate, who is as well prepared as their number says.
    pub(crate) fn sitting(&self, candidate: u64) -> Sitting {
        let form = self.forms[candidate as usize % self.forms.len()].clone();
        let mut chance = Chance::new("class", &[candidate]);
        let ability = Ability::even(25 + chance.below(70));
        let mut now = 10_000;
        let showings = form
            .items
            .iter()
            .filter(|item| !matches!(item.task, Task::Panel(_)))
            .map(|item| {
                let events = played(item, &ability, &mut chance);
                let shown = Time::from_ms(now);
                now += 9_000;
                let zero = match &item.task {
                    Task::Ear(task) => shown + task.sound.length,
                    _ => shown,
                };
                Showing {
                    events,
                    ..Showing::new(item.number, shown, zero)
                }
            })
            .collect();
        let panel: BTreeMap<_, _> = form
            .items
            .iter()
            .filter(|item| matches!(item.task, Task::Panel(_)))
            .map(|item| {
                let credit = fraction::from_hundredths(chance.below(101) as i64);
                (item.number, (credit, "Inez".to_owned()))
            })
            .collect();
        let noise = Incident {
            at: Time::from_ms(30_000),
            item: None,
            kind: "noise".to_owned(),
            text: "a door".to_owned(),
            by: "IO".to_owned(),
        };
        let past = Past {
            now: Time::from_ms(now),
            showings,
            incidents: (0..candidate % 7 / 6).map(|_| noise.clone()).collect(),
            panel,
            overrules: Vec::new(),
            by_hand: None,
            end: Some(match candidate % 211 {
                210 => End::Void("pain in the wrist".to_owned()),
                _ => End::Complete,
            }),
        };

        Sitting::restored(self.exam.clone(), form, Allowance::NONE, past)
    }

    /// What stands round it.
    pub(crate) fn given(&self, candidate: u64) -> Given {
        Given {
            program: "0.1.0".to_owned(),
            script: self.source.clone(),
            digest: "5f".repeat(32),
            candidate: format!("{}", 1_000 + candidate),
            started: format!(
                "2026-03-{:02}T{:02}:{:02}:00Z",
                1 + candidate % 28,
                8 + candidate / 28 % 12,
                candidate / 336 % 60
            ),
            ..Given::default()
        }
    }

    /// Writes the results of some candidates into a folder, which is made.
    pub(crate) fn make(&self, folder: &Path, candidates: std::ops::Range<u64>) {
        fs::create_dir_all(folder).expect("a folder can be made");
        candidates.into_par_iter().for_each(|candidate| {
            let path = folder.join(format!("guide-tones-{:06}.toml", 1_000 + candidate));
            fs::write(path, self.result(candidate)).expect("room on the disk");
        });
    }

    /// The candidate's result.
    pub(crate) fn result(&self, candidate: u64) -> String {
        document::write(&self.sitting(candidate), &self.given(candidate))
    }
}

/// How well somebody is prepared.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Ability {
    /// How many of a hundred chords come right on call, and of lines that nobody practises.
    pub(crate) cold: usize,
    /// How many of a hundred come right of the lines that everybody practises.
    pub(crate) routine: usize,
    /// How many of a hundred things are known when heard, or spelled.
    pub(crate) ear: usize,
    /// How many chords in three go wrong in a line that does.
    pub(crate) slips: usize,
    /// How soon and how late a chord comes on call, in hundredths of its limit.
    pub(crate) found: (i64, i64),
    /// The shortest and the longest way from chord to chord in a free line, in milliseconds.
    pub(crate) step: (i64, i64),
    /// How soon and how late what was heard is named, in milliseconds.
    pub(crate) named: (i64, i64),
    /// How often a wrong letter is written in a chord that is not known.
    pub(crate) misspelt: usize,
}

impl Ability {
    /// Equally well in all things.
    pub(crate) const fn even(skill: usize) -> Self {
        Self {
            cold: skill,
            routine: skill,
            ear: skill,
            slips: 1,
            found: (20, 100),
            step: (1_500, 3_500),
            named: (400, 8_000),
            misspelt: 1,
        }
    }

    fn of(&self, task: &Task) -> usize {
        match task {
            Task::Run(task) if is_practised(task) => self.routine,
            Task::Voicing(_) | Task::Run(_) => self.cold,
            _ => self.ear,
        }
    }
}

/// Tells whether a line is one of those that everybody goes through every day.
fn is_practised(task: &RunTask) -> bool {
    !task.form.is_empty() && (task.name == "cycle-of-fourths" || task.name.starts_with("ii-V"))
}

/// What somebody does in an item, in the order of time.
pub(crate) fn played(item: &Item, ability: &Ability, chance: &mut Chance) -> Vec<Event> {
    let mut player = Player {
        events: Vec::new(),
        right: chance.below(100) < ability.of(&item.task),
        ability,
        chance,
    };
    player.play(item);

    let mut events = player.events;
    events.sort_by_key(|event| event.at);
    events
}

/// What is played on each chord of a run: as asked, or root and guide tones where anything will do.
fn line(task: &RunTask) -> Vec<Vec<Key>> {
    let roots = task.chords.iter().map(|placed| placed.chord.root.class());
    let free: Vec<Voicing> = match task.lines.first() {
        Some(_) => Vec::new(),
        None => {
            let form = form::named("guide-tones-with-root").expect("a form that there is");
            task.chords
                .iter()
                .filter_map(|placed| form.voicing(placed.chord, 0).ok())
                .collect()
        }
    };
    let voicings = task.lines.first().unwrap_or(&free);
    let chords: Vec<_> = roots.zip(voicings).collect();

    leading::line(&chords).unwrap_or_default()
}

/// What one student does in one item.
struct Player<'a> {
    events: Vec<Event>,
    right: bool,
    ability: &'a Ability,
    chance: &'a mut Chance,
}

impl Player<'_> {
    fn play(&mut self, item: &Item) {
        match &item.task {
            Task::Voicing(task) => {
                let mut keys = task
                    .voicing
                    .realise(task.chord.root.class())
                    .unwrap_or_default();
                let limit = task.limit.tenths() / 10;
                let late = if self.right { 0 } else { limit / 2 };
                let (soon, late_at) = self.ability.found;
                let at = self.between(limit * soon / 100, limit * late_at / 100) + late;
                self.slip(&mut keys);
                self.chord(at, &keys);
            }
            Task::Run(task) => {
                let timing = task.timing(100);
                let mut at = timing.look.tenths() / 10 + self.between(100, 900);
                for (place, mut keys) in line(task).into_iter().enumerate() {
                    if self.chance.below(3) < self.ability.slips {
                        self.slip(&mut keys);
                    }
                    let beat = timing.beats.get(place).map(|beat| beat.tenths() / 10);
                    at = beat.map_or(at, |beat| beat + self.between(0, 60));
                    self.chord(at, &keys);
                    at += self.between(self.ability.step.0, self.ability.step.1);
                }
            }
            Task::Ear(task) if task.is_played() => self.back(task),
            Task::Ear(task) if task.asks.contains(&Ask::Bass) => {
                let text = self.dictation(task);
                let at = self.between(self.ability.named.0, self.ability.named.1);
                self.push(at, Action::Answer(text));
            }
            Task::Ear(task) => {
                let parts: Vec<String> = task
                    .options
                    .iter()
                    .zip(task.right.iter())
                    .map(|(options, right)| match self.right {
                        true => options[*right].clone(),
                        false => self.chance.pick(options).cloned().unwrap_or_default(),
                    })
                    .collect();
                if self.right || self.chance.below(9) > 0 {
                    let at = self.between(self.ability.named.0, self.ability.named.1);
                    self.push(at, Action::Answer(parts.join(" / ")));
                }
            }
            Task::Spell(task) => {
                let mut names: Vec<String> = task
                    .tones
                    .iter()
                    .filter_map(|(_, names)| names.first().map(|name| name.ascii()))
                    .collect();
                let wrong = if self.right { 0 } else { self.ability.misspelt };
                for _ in 0..wrong {
                    let place = self.chance.below(names.len());
                    "C".clone_into(&mut names[place]);
                }
                let at = self.between(2_000, 15_000);
                self.push(at, Action::Answer(names.join(" ")));
            }
            Task::Panel(_) => {}
        }
    }

    /// What was heard, at some octave; what was not caught is a step off or left out. Some try again.
    fn back(&mut self, task: &EarTask) {
        let single = task.steps().iter().all(|step| step.len() == 1);
        let octave = 12 * (self.chance.below(3) as i64 - 1);
        let mut at = self.between(self.ability.named.0, self.ability.named.1);

        for _ in 0..=self.chance.below(2) {
            for step in task.steps() {
                let known = self.chance.below(100) < self.ability.ear;
                if !known && self.chance.below(4) == 0 {
                    continue;
                }
                let off = if known { 0 } else { 1 };
                let keys: Vec<Key> = step
                    .iter()
                    .filter_map(|key| Key::new(i64::from(*key) + octave + off).ok())
                    .collect();
                self.chord(at, &keys);
                at += if single { 350 } else { 900 };
            }
            at += 1_600;
        }
    }

    /// Bass and quality of each chord: what is known comes right, all else as it may.
    fn dictation(&mut self, task: &EarTask) -> String {
        let parts: Vec<String> = task
            .options
            .iter()
            .zip(task.right.iter())
            .map(|(options, right)| {
                if self.chance.below(100) < self.ability.ear {
                    options[*right].clone()
                } else if self.chance.below(5) == 0 {
                    String::new()
                } else {
                    self.chance.pick(options).cloned().unwrap_or_default()
                }
            })
            .collect();

        parts.join(" / ")
    }

    /// A wrong key, or one too few, where it is not right.
    fn slip(&mut self, keys: &mut Vec<Key>) {
        if self.right || keys.is_empty() {
            return;
        }
        let place = self.chance.below(keys.len());
        if self.chance.below(3) == 0 {
            let _ = keys.remove(place);
        } else {
            let number = i64::from(keys[place].number());
            keys[place] = Key::new(number + 1).unwrap_or(keys[place]);
        }
    }

    fn chord(&mut self, at: i64, keys: &[Key]) {
        let held = self.between(500, 900);
        for key in keys {
            let on = at + self.between(0, 40);
            let velocity = self.between(40, 90) as u8;
            self.push(on, Action::Down(*key, velocity));
            self.push(on + held, Action::Up(*key));
        }
    }

    fn push(&mut self, ms: i64, action: Action) {
        self.events.push(Event::new(Time::from_ms(ms), action));
    }

    fn between(&mut self, low: i64, high: i64) -> i64 {
        low + self.chance.below((high - low) as usize) as i64
    }
}
