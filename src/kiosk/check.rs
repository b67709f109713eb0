//! The check before a sitting: is the keyboard heard, does it lie right, is the sound comfortable,
//! and how late does the candidate hear and tap.

use crate::instruments::keyboard::{Fact, Keyboard, Touch};
use crate::instruments::metronome::{Metronome, Plan};
use crate::instruments::piano::{Note, Piano};
use crate::instruments::speaker::{self, Clip, Lag, Level, Speaker, tap_along};
use crate::marking::event::KeySet;
use crate::theory::Key;
use crate::time::Time;

/// Beats to tap along with, and beats before them that count in.
pub const BEATS: u32 = 8;
const COUNT_IN: u32 = 4;
/// Beats a minute, in hundredths: a walking pace, which most people tap most evenly at (common
/// practice, no source).
const TEMPO: u32 = 9_000;
/// The chord of the level check and how long it sounds.
const CHORD: [i64; 4] = [48, 55, 64, 71];
const SOUNDS: Time = Time::from_ms(2_500);
/// A pause between two soundings of the chord.
const PAUSE: Time = Time::from_ms(1_200);

/// A step of the check.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Step {
    /// No keyboard is there yet.
    Keyboard,
    /// The lowest key.
    Lowest,
    /// Middle C.
    MiddleC,
    /// The level.
    Level,
    /// Tapping along.
    Tap,
}

/// What an exam needs of the check.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Needs {
    /// The lowest and the highest key, where hands play.
    pub keys: Option<(u8, u8)>,
    /// Whether anything sounds.
    pub sound: bool,
    /// Whether beats are played to.
    pub beats: bool,
}

/// What was found.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Found {
    /// The lowest key, where it was asked for.
    pub lowest: Option<Key>,
    /// How late the candidate taps.
    pub lag: Option<Lag>,
}

/// A check on its way.
#[derive(Debug, Clone)]
pub struct Check {
    needs: Needs,
    /// The step.
    pub step: Step,
    /// What was found so far.
    pub found: Found,
    /// The key that was played for middle C and is none.
    pub other: Option<Key>,
    /// Whether the lowest key is too high for the exam.
    pub too_few: bool,
    /// Whether too few beats were tapped.
    pub again: bool,
    /// How many beats were tapped.
    pub taps: Vec<Time>,
    /// The level.
    pub level: Level,
    /// Keys that are down.
    pub held: KeySet,
    chord: Option<Clip>,
    /// When the beats began to be heard.
    begun: Option<Time>,
    sounding: bool,
    next: Option<Time>,
}

impl Check {
    /// Begins a check; the chord is rendered here, in some milliseconds.
    pub fn new(needs: Needs, level: Level, piano: &Piano) -> Self {
        let notes: Vec<Note> = CHORD
            .iter()
            .filter_map(|number| Key::new(*number).ok())
            .map(|key| Note {
                at: Time::ZERO,
                held: Time::from_ms(2_000),
                key,
                velocity: 80,
            })
            .collect();

        Self {
            needs,
            step: Step::Keyboard,
            found: Found::default(),
            other: None,
            too_few: false,
            again: false,
            taps: Vec::new(),
            level,
            held: KeySet::EMPTY,
            chord: piano.render(&notes, SOUNDS, 0.0).ok(),
            begun: None,
            sounding: false,
            next: None,
        }
    }

    /// Takes in what the keyboard and the speaker tell, and sounds what the step needs. Returns
    /// whether the check is over.
    pub fn poll(
        &mut self,
        keyboard: &mut dyn Keyboard,
        speaker: &mut dyn Speaker,
        now: Time,
    ) -> bool {
        for event in keyboard.poll(now) {
            match event.fact {
                Fact::Touched(Touch::Down { key, .. }) => {
                    self.held = self.held.with(key);
                    self.struck(key, event.at);
                }
                Fact::Touched(Touch::Up { key }) => self.held = self.held.without(key),
                _ => {}
            }
        }
        for fact in speaker.poll(now) {
            self.told(&fact);
        }

        match self.step {
            Step::Keyboard if self.needs.keys.is_none() => self.go(Step::Level),
            Step::Keyboard if keyboard.is_there() => self.go(Step::Lowest),
            Step::Lowest | Step::MiddleC if !keyboard.is_there() => self.step = Step::Keyboard,
            Step::Level if !self.needs.sound => return true,
            Step::Level => self.sound_chord(speaker, now),
            Step::Tap if !self.needs.beats => return true,
            Step::Tap => self.sound_beats(speaker, now),
            _ => {}
        }

        self.is_over()
    }

    /// Tells whether nothing is left to be checked.
    fn is_over(&self) -> bool {
        self.step == Step::Tap && self.found.lag.is_some()
    }

    /// The candidate goes on from a step; returns whether the check is over.
    pub fn go_on(&mut self, speaker: &mut dyn Speaker) -> bool {
        match self.step {
            Step::Keyboard | Step::MiddleC => self.go(Step::Level),
            Step::Lowest => self.go(Step::MiddleC),
            Step::Level => {
                speaker.stop();
                self.sounding = false;
                self.next = None;
                self.go(Step::Tap);
                return !self.needs.beats;
            }
            Step::Tap => {
                speaker.stop();
                return true;
            }
        }

        false
    }

    /// Returns the names of the lowest and the highest key that the exam needs.
    pub fn keys(&self) -> (String, String) {
        let (low, high) = self.needs.keys.unwrap_or((21, 108));
        let name =
            |key: u8| Key::new(i64::from(key)).map_or_else(|_| String::new(), Key::flat_name);

        (name(low), name(high))
    }

    /// Changes the level; the chord sounds again.
    pub fn set_level(&mut self, level: Level, speaker: &mut dyn Speaker) {
        self.level = level;
        speaker.set_level(level);
        speaker.stop();
        self.sounding = false;
        self.next = None;
    }

    fn go(&mut self, step: Step) {
        self.step = step;
        self.other = None;
    }

    fn struck(&mut self, key: Key, at: Time) {
        match self.step {
            Step::Lowest => {
                let needed = self.needs.keys.map_or(0, |(low, _)| low);
                self.found.lowest = Some(key);
                self.too_few = key.number() > needed;
                if !self.too_few {
                    self.go(Step::MiddleC);
                }
            }
            Step::MiddleC if key == Key::MIDDLE_C => self.go(Step::Level),
            Step::MiddleC => self.other = Some(key),
            Step::Tap => self.taps.push(at),
            Step::Keyboard | Step::Level => {}
        }
    }

    fn told(&mut self, fact: &speaker::Fact) {
        match fact {
            speaker::Fact::Started { at } => self.begun = Some(*at),
            speaker::Fact::Ended { .. } => {
                self.sounding = false;
                if self.step == Step::Tap {
                    self.sum_up();
                }
            }
            speaker::Fact::Lost { .. } => {
                self.sounding = false;
                self.begun = None;
            }
            speaker::Fact::Found { .. } => {}
        }
    }

    fn sound_chord(&mut self, speaker: &mut dyn Speaker, now: Time) {
        let due = self.next.is_none_or(|next| next <= now);

        if let (false, true, Some(chord)) = (self.sounding, due, &self.chord) {
            speaker.set_level(self.level);
            self.sounding = speaker.play(chord, now).is_ok();
            self.next = Some(now + SOUNDS + PAUSE);
        }
    }

    fn sound_beats(&mut self, speaker: &mut dyn Speaker, now: Time) {
        if self.sounding || self.found.lag.is_some() {
            return;
        }
        if let Some(metronome) = metronome() {
            self.begun = None;
            self.taps.clear();
            self.sounding = speaker.play(&metronome.clip(), now).is_ok();
        }
    }

    /// The beats are over: the middle of the taps, or once more.
    fn sum_up(&mut self) {
        let (Some(begun), Some(metronome)) = (self.begun, metronome()) else {
            return;
        };
        let beats: Vec<Time> = (COUNT_IN..COUNT_IN + BEATS)
            .map(|beat| begun + metronome.at(beat))
            .collect();

        self.found.lag = tap_along(&self.taps, &beats);
        self.again = self.found.lag.is_none();
    }
}

fn metronome() -> Option<Metronome> {
    Metronome::new(Plan {
        tempo: TEMPO,
        factor: 100,
        bar: 4,
        bars_in: 1,
        beats_on: BEATS,
    })
    .ok()
}
